"""Where the parts of a record stand on a page, whether it is shown or printed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from cockpit.record.drawing import Drawing
from cockpit.record.sheet import Part, Sheet

Block = Part | Drawing


@dataclass(frozen=True, slots=True)
class Band:
    """A band across the page: one column, or two side by side where there is a ``right`` one."""

    left: tuple[Block, ...]
    right: tuple[Block, ...] = ()


def bands(sheet: Sheet) -> Iterator[Band]:
    """The page from top to bottom; each part and drawing stands on it once."""
    left = {part.key: part for part in sheet.parts}

    def take(*keys: str) -> tuple[Block, ...]:
        return tuple(left.pop(key) for key in keys if key in left)

    drawings = sheet.drawings
    yield from _band(take("hole"), take("outcome"))
    yield from _band(take("corrected"))
    yield from _band(take("planned", "burnt"), drawings[:1])
    yield from _band(drawings[1:])
    yield from _band(take("measured"), take("calls"))
    yield from _band(take("notes"))
    yield from _band(take(*left))


def _band(left: tuple[Block, ...], right: tuple[Block, ...] = ()) -> Iterator[Band]:
    if left or right:
        yield Band(left, right) if left else Band(right)
