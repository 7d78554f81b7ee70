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
from operator import neg
from typing import Final

from cockpit.flow.bench import counted
from cockpit.flow.steps import Step
from cockpit.log import listing
from cockpit.log.listing import Listed, wanted_words, words_of
from cockpit.units import LengthUnit, write_clock, write_length

#: So many holes are read first, and after that as many as take so long, s: a key that comes
#: meanwhile waits no longer than that.
FIRST_HOLES: Final = 250
SLICE_S: Final = 0.02
#: However slow or quick it goes, no fewer and no more than these at once.
LEAST_HOLES, MOST_HOLES = 20, 2_000


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

    def __init__(self, holes: Iterable[Listed] = ()) -> None:
        self._ids = array("q")
        self._words: list[str] = []
        self._closed = array("q")
        self._arc_ms = array("q")
        self._calls = array("q")
        self._electrodes = array("q")
        self._prices: list[tuple[str, Decimal] | None] = []
        self._wanted: tuple[str, ...] = ()
        self._found = array("q")
        self.add(holes)

    def __len__(self) -> int:
        return len(self._ids)

    def add(self, holes: Iterable[Listed]) -> None:
        """Take in the next older holes."""
        for hole in holes:
            place = len(self._ids)
            for column in (self._ids, self._closed, self._arc_ms, self._calls, self._electrodes):
                column.append(0)
            self._words.append("")
            self._prices.append(None)
            self._set(place, hole)
            if all(word in self._words[place] for word in self._wanted):
                self._found.append(place)

    def renew(self, hole: Listed) -> None:
        """A hole that is there already may have come to something else since."""
        place = bisect_left(self._ids, -hole.row.id, key=neg)
        if place < len(self._ids) and self._ids[place] == hole.row.id:
            self._set(place, hole)
            wanted, self._wanted = self._wanted, ()
            self._found = array("q", range(len(self._ids)))
            self._narrow(wanted)

    def find(self, text: str) -> Sequence[int]:
        """The ids of the holes that have all words of this text in them, in whatever case."""
        wanted = wanted_words(text)
        if wanted != self._wanted:
            # What has a longer word in it was found by the shorter one.
            if not all(any(old in new for new in wanted) for old in self._wanted):
                self._found = array("q", range(len(self._ids)))
                self._wanted = ()
            self._narrow(wanted)
        return [self._ids[place] for place in self._found]

    def totals(self) -> Totals:
        """What all holes that were found last come to."""
        found = self._found

        def total(column: Sequence[int]) -> int:
            return sum(map(column.__getitem__, found))

        prices: dict[str, Decimal] = {}
        for priced in map(self._prices.__getitem__, found):
            if priced is not None:
                currency, price = priced
                prices[currency] = prices.get(currency, Decimal(0)) + price
        return Totals(
            holes=len(found),
            closed=total(self._closed),
            arc_s=total(self._arc_ms) / 1000,
            calls=total(self._calls),
            electrodes=total(self._electrodes),
            prices=prices,
        )

    def _set(self, place: int, hole: Listed) -> None:
        row = hole.row
        self._ids[place] = row.id
        self._words[place] = words_of(hole)
        # A hole left for later has an outcome too, and still waits on the bench.
        self._closed[place] = int(row.step == Step.ENDED)
        self._arc_ms[place] = round(1000 * row.arc_s)
        self._calls[place] = row.calls
        self._electrodes[place] = hole.electrodes or 0
        self._prices[place] = None if hole.price is None else (hole.currency or "", hole.price)

    def _narrow(self, wanted: tuple[str, ...]) -> None:
        words = self._words
        for word in set(wanted) - set(self._wanted):
            self._found = array("q", [place for place in self._found if word in words[place]])
        self._wanted = wanted


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
        holes = listing.next_holes(self._connection, self._before, self._many)
        self._search.add(holes)
        self.is_done = len(holes) < self._many
        if holes:
            self._before = holes[-1].row.id
            each_s = (time.perf_counter() - began_s) / len(holes)
            self._many = max(LEAST_HOLES, min(round(SLICE_S / max(each_s, 1e-6)), MOST_HOLES))


def log_line(hole: Listed, year: str, unit: LengthUnit) -> tuple[str, ...]:
    """A hole's line; of this year's the day and the time, of an earlier one's the date."""
    row = hole.row
    is_old = not row.at_utc.startswith(year)
    when = row.at_utc[:10] if is_old else row.at_utc[5:16].replace("T", " ")
    whose = (row.operator, row.job.customer, row.job.part, row.label, row.thread)
    depth = "" if hole.depth_mm is None else write_length(hole.depth_mm, unit, with_unit=False)
    price = "" if hole.price is None else f"{hole.price} {hole.currency or ''}".strip()
    outcome = row.outcome or f"at {row.step}"
    return when, *whose, depth, write_clock(row.arc_s), str(row.calls), price, outcome


def totals_of(totals: Totals, most_shown: int, read: int, of: int) -> tuple[str, str]:
    """What these holes come to, of which no more than ``most_shown`` are shown, in two lines.

    ``read``: how many holes of the log were looked through until now, of how many.
    """
    shown = f", the newest {most_shown} shown" if totals.holes > most_shown else ""
    more = f"   still reading: {read} of {of} so far" if read < of else ""
    holes = f"{counted(totals.holes, 'hole')}{shown}, {totals.closed} closed{more}"
    prices = [f"{price:,} {code}".strip() for code, price in sorted(totals.prices.items())]
    arc = f"arc {write_clock(totals.arc_s)}"
    told = (counted(totals.calls, "call"), counted(totals.electrodes, "electrode"))
    return holes, "   ".join((arc, *told, *prices))
