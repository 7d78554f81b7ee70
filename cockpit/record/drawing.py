"""Lines, areas and words on paper: what a page and a PDF are both drawn from.

All in mm, from the upper left corner, down positive. Greys run from 0, black, to 1, white: a record
is printed in black and white. The words are the record's own, never a person's.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from cockpit.units import LengthUnit

Point = tuple[float, float]
Anchor = Literal["start", "middle", "end"]

BLACK: Final = 0.0
THICK_MM: Final = 0.5
USUAL_MM: Final = 0.25
THIN_MM: Final = 0.12
WORDS_MM: Final = 2.5


@dataclass(frozen=True, slots=True)
class Line:
    """A line through two points or more. ``dash``: lengths of strokes and gaps in turn."""

    points: tuple[Point, ...]
    width_mm: float = USUAL_MM
    dash: tuple[float, ...] = ()
    grey: float = BLACK


@dataclass(frozen=True, slots=True)
class Area:
    """A filled area within its corners."""

    points: tuple[Point, ...]
    grey: float


@dataclass(frozen=True, slots=True)
class Words:
    """A word or two on one line; ``at`` is where the line begins, has its middle, or ends."""

    at: Point
    text: str
    size_mm: float = WORDS_MM
    anchor: Anchor = "start"
    is_bold: bool = False


Shape = Line | Area | Words


@dataclass(frozen=True, slots=True)
class Drawing:
    """A drawing: its size, what it shows in a sentence, and its shapes, the lowest first."""

    width_mm: float
    height_mm: float
    title: str
    shapes: tuple[Shape, ...]


#: What a unit of length is called where it stands alone.
UNIT_WORDS: Final = {LengthUnit.MM: "mm", LengthUnit.INCH: "inches"}


def rectangle(
    left_mm: float, top_mm: float, right_mm: float, bottom_mm: float
) -> tuple[Point, ...]:
    """The corners of an upright rectangle."""
    return (
        (left_mm, top_mm),
        (right_mm, top_mm),
        (right_mm, bottom_mm),
        (left_mm, bottom_mm),
    )


def outline(
    corners: Sequence[Point], width_mm: float = USUAL_MM, dash: tuple[float, ...] = ()
) -> Line:
    """The line around an area."""
    return Line((*corners, corners[0]), width_mm, dash)


def hatching(
    left_mm: float, top_mm: float, right_mm: float, bottom_mm: float, step_mm: float = 2.0
) -> list[Line]:
    """The lines of cut material at 45 degrees in an upright rectangle, as technical drawings have.

    They go through fixed places of the paper, so that those of rectangles side by side meet.
    """
    lines = []
    # Along each line x + y is the same.
    place = -(-(left_mm + top_mm) // step_mm) * step_mm
    while place < right_mm + bottom_mm:
        low_x, high_x = max(left_mm, place - bottom_mm), min(right_mm, place - top_mm)
        if high_x - low_x > 1e-6:
            lines.append(Line(((low_x, place - low_x), (high_x, place - high_x)), THIN_MM))
        place += step_mm
    return lines


def spread(wanted: Sequence[float], gap: float, first: float, last: float) -> list[float]:
    """Places as near to those that are wanted, in rising order, as leaves a gap between each two.

    Where there is no room for all of them the gap shrinks.

    >>> spread([1.0, 1.0, 9.0], 2.0, 0.0, 10.0)
    [1.0, 3.0, 9.0]
    >>> spread([9.0, 9.5, 10.0], 2.0, 0.0, 10.0)
    [6.0, 8.0, 10.0]
    """
    if not wanted:
        return []
    if len(wanted) > 1:
        gap = min(gap, (last - first) / (len(wanted) - 1))
    places: list[float] = []
    for one in wanted:
        places.append(max(one, places[-1] + gap if places else first))
    for number in range(len(places) - 1, -1, -1):
        most = last if number == len(places) - 1 else places[number + 1] - gap
        places[number] = min(places[number], most)
    return places


def nice_steps(span: float, most: int, steps: Sequence[float]) -> float:
    """The smallest of the steps that parts a span into no more than so many; else the largest.

    >>> nice_steps(447.0, 8, (10.0, 30.0, 60.0, 300.0))
    60.0
    """
    return next((step for step in steps if span / step <= most), steps[-1])
