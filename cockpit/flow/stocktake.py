"""The rack: how many electrodes of each size there are, and what people say of that."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from cockpit import dates
from cockpit.log import questions, racks
from cockpit.log.racks import StockRow
from cockpit.log.store import LogError, Store
from cockpit.text import one_line
from cockpit.trade.electrodes import Electrode
from cockpit.trade.errors import TradeError
from cockpit.trade.stock import OnHand, StockEntry
from cockpit.trade.ticket import Shop
from cockpit.units import LengthUnit, quoted, write_length

#: More electrodes of a size than this are a slip of the finger (assumed).
MOST_ELECTRODES: Final = 9999
#: What stands beside a size of which it is time to order more.
LOW: Final = "LOW"
NO_SHIFT: Final = "No shift is open: open one in the cockpit, so that the log knows who says this."


class StockError(TradeError):
    """Something about the rack that can't be: one sentence."""


@dataclass(frozen=True, slots=True)
class Size:
    """A size of the rack, and what is left of it."""

    electrode: Electrode
    left: OnHand

    @property
    def label(self) -> str:
        """What it is called."""
        return self.electrode.label

    @property
    def is_low(self) -> bool:
        """Whether it is time to order."""
        return self.left.is_low(self.electrode.reorder_at)

    def in_use(self, unit: LengthUnit) -> str:
        """How much the one in use is worn, of what it can give; empty where none was used yet."""
        if not self.left.count or not self.left.worn_mm:
            return ""
        places = 0 if unit is LengthUnit.MM else 2
        worn = write_length(self.left.worn_mm, unit, places, with_unit=False)
        return f"{worn} of {write_length(self.left.usable_mm, unit, places)}"


@dataclass(frozen=True, slots=True)
class Said:
    """What a person says of one size: so many were counted, or came in, with a note."""

    label: str
    entry: StockEntry
    number: int
    note: str = ""


def sizes(stock: Sequence[Electrode], rack: Mapping[str, OnHand]) -> list[Size]:
    """Every size of the rack, in the order of its profile."""
    return [Size(one, rack[one.label]) for one in stock]


def read_number(text: str, entry: StockEntry) -> int:
    """Read how many electrodes there are, or came in. Raises StockError.

    >>> read_number(" 7 ", StockEntry.COUNTED)
    7
    """
    word = text.strip()
    if not (word.isascii() and word.isdigit()):
        raise StockError(f"{quoted(word)} is no number of electrodes: type a whole one, such as 7.")
    # As many digits as anybody may type are not made a number of.
    number = int(word) if len(word.lstrip("0")) <= len(str(MOST_ELECTRODES)) else None
    if number is None or number > MOST_ELECTRODES:
        raise StockError(f"{quoted(word)} is more than {MOST_ELECTRODES}: count again.")
    if entry is StockEntry.CAME_IN and number == 0:
        raise StockError("If none came in there is nothing to enter: type how many did.")
    return number


def read_said(text: str, entry: StockEntry, shop: Shop) -> Said:
    """Read ``5/32 in=7``. Raises StockError."""
    label, equals, number = text.rpartition("=")
    if not equals:
        raise StockError(f"{quoted(text)} says no number: write it like 5/32 in=7.")
    return Said(_size_named(label, shop.stock), entry, read_number(number, entry))


def _size_named(said: str, stock: Sequence[Electrode]) -> str:
    """The label that was meant: whole, or without its unit. A mere beginning is a slip."""
    wanted = " ".join(said.casefold().split())
    whole = [one.label for one in stock if one.label.casefold() == wanted]
    numbers = [one.label for one in stock if wanted and one.label.split()[:-1] == [wanted]]
    found = whole or numbers
    if len(found) == 1:
        return found[0]
    what = "is more than one electrode" if found else "is no electrode of the rack"
    labels = ", ".join(found or [one.label for one in stock])
    raise StockError(f"{quoted(said.strip())} {what}: say one of {labels}.")


def enter(store: Store, profile_counts: Mapping[str, int], said: Sequence[Said]) -> None:
    """Write what a person says of the rack into the open shift: all of it, or nothing.

    ``profile_counts``: how many of each size the rack's profile says there are. Raises LogError.
    """
    shift = questions.open_shift(store.connection)
    if shift is None:
        raise LogError(NO_SHIFT)
    with store.together():
        # Else the profile would be noted later, and win over what is said now.
        note_profile(store, shift.id, profile_counts)
        for one in said:
            note = one_line(one.note)
            store.add_stock(shift.id, one.label, one.entry, one.number, note=note)


def note_profile(store: Store, shift_id: int, profile_counts: Mapping[str, int]) -> None:
    """What the rack's profile says counts from when somebody wrote it."""
    before = racks.profile_counts(store.connection)
    for label, number in profile_counts.items():
        if before.get(label) != number:
            store.add_stock(shift_id, label, StockEntry.PROFILE, number)


def entry_words(row: StockRow) -> str:
    """An entry about the rack in one line: when, who, what."""
    return (
        f"{dates.moment(row.at_utc)[5:]}  {row.operator}  {row.electrode}: {' '.join(_told(row))}"
    )


def _told(row: StockRow) -> Iterator[str]:
    if row.entry is StockEntry.PROFILE:
        yield f"{row.number} by the rack's profile"
    elif row.entry is StockEntry.USED_UP:
        yield f"{row.number} used up"
    else:
        yield f"{row.number} {row.entry}"
    if row.hole_id is not None:
        yield f"in hole {row.hole_id}"
    if row.note:
        yield f"({row.note})"


def totals_words(rack: Sequence[Size]) -> str:
    """How many there are, and what is low, in one line."""
    few = [f"{one.label} ({one.left.count})" for one in rack if one.is_low]
    low = f"LOW: {', '.join(few)}" if few else "no size is low"
    return f"{sum(one.left.count for one in rack)} electrodes on hand   {low}"
