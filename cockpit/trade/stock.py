"""How many electrodes are left: what was counted, less what was used up since.

An electrode that goes back into the rack is worn but not used up. So what the burns wear off one
size is added up until it comes to the length that one electrode can give; then one of them must be
gone, even if nobody said so when it was changed.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from pydantic import Field

from cockpit.trade.base import Frozen


class StockEntry(StrEnum):
    """What was said of the electrodes of a size, or seen of them."""

    PROFILE = "profile"
    COUNTED = "counted"
    CAME_IN = "came in"
    USED_UP = "used up"
    WORN = "worn"


#: After these as many are there as is said; whatever was before them.
COUNTS: Final = frozenset({StockEntry.PROFILE, StockEntry.COUNTED})


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry: a number of electrodes, or what one of them has lost, in µm (``WORN``)."""

    kind: StockEntry
    number: int


class OnHand(Frozen):
    """What is left of a size: ``count`` of them, the one in use worn by ``worn_mm``.

    ``usable_mm`` is how much one can lose before it is used up.
    """

    count: int = Field(ge=0)
    worn_mm: float = 0.0
    usable_mm: float

    def is_low(self, reorder_at: int) -> bool:
        """Whether it is time to order.

        >>> OnHand(count=2, usable_mm=150).is_low(2), OnHand(count=3, usable_mm=150).is_low(2)
        (True, False)
        """
        return self.count <= reorder_at


def on_hand(
    entries: Iterable[Entry], length_mm: float, holder_mm: float, before: OnHand | None = None
) -> OnHand:
    """Give what is left of electrodes ``length_mm`` long, of which the holder keeps a part.

    ``before``: what was left before these entries; none at all unless told.

    A count says how many there are with the one in use; that one stays as worn as it is, unless
    there is none. One that was used up makes room for a new one. Never under none: somebody has one
    that nobody counted.

    >>> box = [Entry(StockEntry.COUNTED, 4), Entry(StockEntry.WORN, 90_000)]
    >>> on_hand(box, length_mm=200, holder_mm=40)
    OnHand(count=4, worn_mm=90.0, usable_mm=160.0)
    >>> on_hand([*box, Entry(StockEntry.WORN, 90_000)], length_mm=200, holder_mm=40)
    OnHand(count=3, worn_mm=20.0, usable_mm=160.0)
    """
    usable_mm = max(length_mm - holder_mm, 0.0)
    left = before or OnHand(count=0, usable_mm=usable_mm)
    for entry in entries:
        left = _after(left, entry)
    return left


def _after(left: OnHand, entry: Entry) -> OnHand:
    if entry.kind in COUNTS:
        worn_mm = left.worn_mm if entry.number else 0.0
        return left.model_copy(update={"count": entry.number, "worn_mm": worn_mm})
    if entry.kind is StockEntry.CAME_IN:
        return left.model_copy(update={"count": left.count + entry.number})
    if entry.kind is StockEntry.USED_UP:
        count = max(left.count - entry.number, 0)
        return left.model_copy(update={"count": count, "worn_mm": 0.0})
    worn_mm, count = left.worn_mm + entry.number / 1000, left.count
    while 0 < left.usable_mm <= worn_mm:
        worn_mm, count = worn_mm - left.usable_mm, max(count - 1, 0)
    return left.model_copy(update={"count": count, "worn_mm": worn_mm})
