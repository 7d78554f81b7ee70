"""The holes of the log as they are listed, searched as somebody types, and what they come to.

Of each hole no more is held than what it is found by and what it adds to the totals: those that are
shown are read again. What was found before is not looked for again while the search only grows.
"""

from __future__ import annotations

import sqlite3
import time
from array import array
from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from operator import itemgetter, neg
from typing import Final, TypeVar

from cockpit import dates
from cockpit.flow.bench import counted
from cockpit.log import listing
from cockpit.log.listing import Entry, Listed, wanted_words
from cockpit.units import LengthUnit, write_clock, write_length

#: So many holes are read first, and after that as many as take so long, s: a key that comes
#: meanwhile waits no longer than that.
FIRST_HOLES: Final = 250
SLICE_S: Final = 0.02
#: However slow or quick it goes, no fewer and no more than these at once.
LEAST_HOLES, MOST_HOLES = 20, 2_000

_NOTHING: Final = Decimal(0)
_Number = TypeVar("_Number", int, Decimal)


@dataclass(frozen=True, slots=True)
class Totals:
    """What holes come to; ``prices`` by currency."""

    holes: int
    closed: int
    arc_s: float
    calls: int
    electrodes: int
    prices: dict[str, Decimal] = field(default_factory=dict)


class HoleSearch:
    """Holes, newest first, and what each is found by. More may be added at the end at any time."""

    def __init__(self, entries: Iterable[Entry] = ()) -> None:
        self._ids = array("q")
        self._words: list[str] = []
        self._closed, self._arc_ms = array("q"), array("q")
        self._calls, self._electrodes = array("q"), array("q")
        #: By currency the price of every hole, nothing for those that have none in it.
        self._prices: dict[str, list[Decimal]] = {}
        self._wanted: tuple[str, ...] = ()
        self._found: list[int] = []
        self.add(entries)

    def __len__(self) -> int:
        return len(self._ids)

    def add(self, entries: Iterable[Entry]) -> None:
        """Take in the next older holes."""
        for entry in entries:
            place = len(self._ids)
            for column in (self._ids, self._closed, self._arc_ms, self._calls, self._electrodes):
                column.append(0)
            self._words.append("")
            for prices in self._prices.values():
                prices.append(_NOTHING)
            self._set(place, entry)
            if all(word in entry.words for word in self._wanted):
                self._found.append(place)

    def renew(self, *entries: Entry) -> None:
        """Holes that are there already may have come to something else since."""
        for entry in entries:
            place = bisect_left(self._ids, -entry.id, key=neg)
            if place < len(self._ids) and self._ids[place] == entry.id:
                for prices in self._prices.values():
                    prices[place] = _NOTHING
                self._set(place, entry)
        # Once for all of them: a long log takes its time.
        self._look(self._wanted, range(len(self._ids)))

    def find(self, text: str, most: int | None = None) -> list[int]:
        """The ids of the holes that have all words of this text in them, in whatever case.

        No more than ``most`` of them, the newest.
        """
        wanted = wanted_words(text)
        if wanted != self._wanted:
            # What has a longer word in it was found by the shorter one.
            grows = all(any(old in new for new in wanted) for old in self._wanted)
            self._look(wanted, self._found if grows else range(len(self._ids)))
        return [self._ids[place] for place in self._found[:most]]

    def totals(self) -> Totals:
        """What all holes that were found last come to."""
        found, every = self._found, len(self._ids)
        pick = itemgetter(*found) if 1 < len(found) < every else None

        def picked(column: Sequence[_Number]) -> Iterable[_Number]:
            if len(found) == every:
                return column
            return pick(column) if pick else (column[place] for place in found)

        sums = {code: sum(picked(prices), _NOTHING) for code, prices in self._prices.items()}
        return Totals(
            holes=len(found),
            closed=sum(picked(self._closed)),
            arc_s=sum(picked(self._arc_ms)) / 1000,
            calls=sum(picked(self._calls)),
            electrodes=sum(picked(self._electrodes)),
            prices={code: price for code, price in sums.items() if price},
        )

    def _set(self, place: int, entry: Entry) -> None:
        self._ids[place] = entry.id
        self._words[place] = entry.words
        self._closed[place] = int(entry.is_closed)
        self._arc_ms[place] = entry.arc_ms
        self._calls[place] = entry.calls
        self._electrodes[place] = entry.electrodes
        if entry.price is not None:
            if entry.currency not in self._prices:
                self._prices[entry.currency] = [_NOTHING] * len(self._ids)
            self._prices[entry.currency][place] = entry.price

    def _look(self, wanted: tuple[str, ...], among: Iterable[int]) -> None:
        words, found = self._words, list(among)
        for word in set(wanted):
            found = [place for place in found if word in words[place]]
        self._found, self._wanted = found, wanted


class SlicedReading:
    """Reads the holes of a log into a search, newest first, a slice at a time."""

    def __init__(self, connection: sqlite3.Connection, search: HoleSearch) -> None:
        self._connection = connection
        self._search = search
        self._before: int | None = None
        self._many = FIRST_HOLES
        self.is_done = False
        #: How many holes there are to be read.
        self.of = listing.how_many(connection)

    def read_on(self) -> None:
        """One slice more. Raises LogError."""
        began_s = time.perf_counter()
        entries = listing.next_entries(self._connection, self._before, self._many)
        self._search.add(entries)
        self.is_done = len(entries) < self._many
        if entries:
            self._before = entries[-1].id
            each_s = (time.perf_counter() - began_s) / len(entries)
            self._many = max(LEAST_HOLES, min(round(SLICE_S / max(each_s, 1e-6)), MOST_HOLES))


def log_line(hole: Listed, year: str, unit: LengthUnit) -> tuple[str, ...]:
    """A hole's line; of this year's the day and the time, of an earlier one's the date."""
    row = hole.row
    moment = dates.moment(row.at_utc)
    when = moment[5:] if moment.startswith(year) else moment[:10]
    whose = (row.operator, row.job.customer, row.job.part, row.label, row.thread)
    depth = "" if hole.depth_mm is None else write_length(hole.depth_mm, unit, with_unit=False)
    price = "" if hole.price is None else f"{hole.price} {hole.currency or ''}".strip()
    return when, *whose, depth, write_clock(row.arc_s), str(row.calls), price, row.stands


def totals_of(totals: Totals, most_shown: int, read: int, of: int) -> tuple[str, str]:
    """What these holes come to, of which no more than ``most_shown`` are shown, in two lines.

    ``read``: how many holes of the log were looked through until now, of how many.
    """
    shown = f", newest {most_shown} shown" if totals.holes > most_shown else ""
    more = f"   still reading: {read} of {of}" if read < of else ""
    holes = f"{counted(totals.holes, 'hole')}{shown}, {totals.closed} closed{more}"
    prices = [f"{price:,} {code}".strip() for code, price in sorted(totals.prices.items())]
    arc = f"arc {write_clock(totals.arc_s)}"
    told = (counted(totals.calls, "call"), counted(totals.electrodes, "electrode"))
    return holes, "   ".join((arc, *told, *prices))
