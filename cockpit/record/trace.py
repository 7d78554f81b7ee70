"""The burn over the arc's time: depth with its 95 % interval, travel, what was measured and called.

Depth grows downwards. Calls have the numbers, measurements the letters of the record's tables.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from string import ascii_lowercase
from typing import Final

from cockpit.record.drawing import (
    BLACK,
    THICK_MM,
    THIN_MM,
    UNIT_WORDS,
    USUAL_MM,
    WORDS_MM,
    Area,
    Drawing,
    Line,
    Shape,
    Words,
    hatching,
    nice_steps,
    outline,
    rectangle,
    spread,
)
from cockpit.record.facts import HoleFacts, PointFacts
from cockpit.units import LengthUnit, in_unit, write_clock, write_length

WIDTH_MM: Final = 174.0
HEIGHT_MM: Final = 46.0
_LEFT_MM: Final = 14.0
_RIGHT_MM: Final = 146.0
_TOP_MM: Final = 8.0
_LOW_MM: Final = 37.5
_MARKS_Y_MM: Final = 3.0
_MARK_GAP_MM: Final = 4.6
#: More marks than have room above the picture are left to the tables.
_MOST_MARKS: Final = 28

_STEPS_S: Final = (10.0, 15.0, 30.0, 60.0, 120.0, 300.0, 600.0, 1200.0, 1800.0, 3600.0, 7200.0)
_STEPS: Final = tuple(lead * 10.0**power for power in range(-3, 4) for lead in (1.0, 2.0, 5.0))
_BAND_GREY: Final = 0.8
_GRID_GREY: Final = 0.75
_DASHED: Final = (1.2, 0.8)
_LONG_DASHED: Final = (3.6, 1.2)
_DOTTED: Final = (0.25, 0.6)


@dataclass(frozen=True, slots=True)
class _Paper:
    """Where times and depths are on paper."""

    last_s: float
    deepest_mm: float

    def x(self, arc_s: float) -> float:
        return _LEFT_MM + (_RIGHT_MM - _LEFT_MM) * min(arc_s / self.last_s, 1.0)

    def y(self, mm: float) -> float:
        return _TOP_MM + (_LOW_MM - _TOP_MM) * min(max(mm / self.deepest_mm, 0.0), 1.0)


def letter(place: int) -> str:
    """The letter of a measurement: a to z, then aa, ab and so on.

    >>> letter(0), letter(25), letter(26), letter(702)
    ('a', 'z', 'aa', 'aaa')
    """
    more, last = divmod(place, 26)
    return (letter(more - 1) if more else "") + ascii_lowercase[last]


def trace(facts: HoleFacts, unit: LengthUnit) -> Drawing | None:
    """Draw the burn; None where the trace says nothing of a depth."""
    points, planned = facts.trace, facts.planned
    if len(points) < 2 or planned is None:
        return None
    travels_mm = [one.travel_mm for one in points if one.travel_mm is not None]
    deepest_mm = max(
        *travels_mm,
        points[-1].depth_high_mm,
        planned.target_mm,
        planned.limit_mm or 0.0,
    )
    paper = _Paper(max(facts.arc_s, points[-1].arc_s, 1.0), deepest_mm * 1.04)
    shapes = (
        *_unread(facts, paper),
        *_axes(paper, unit),
        *_curves(points, paper),
        *_levels(facts, paper, unit),
        *_marks(facts, paper),
        *_legend(),
    )
    title = f"Depth and travel over the arc's time, in {UNIT_WORDS[unit]} and minutes"
    return Drawing(WIDTH_MM, HEIGHT_MM, title, shapes)


def _unread(facts: HoleFacts, paper: _Paper) -> Iterator[Shape]:
    for begin_s, end_s in facts.unread:
        yield from hatching(paper.x(begin_s), _TOP_MM, paper.x(end_s), _LOW_MM, 1.2)


def _axes(paper: _Paper, unit: LengthUnit) -> Iterator[Shape]:
    step_s = nice_steps(paper.last_s, 8, _STEPS_S)
    for number in range(int(paper.last_s // step_s) + 1):
        x = paper.x(number * step_s)
        yield Line(((x, _TOP_MM), (x, _LOW_MM)), THIN_MM, grey=_GRID_GREY)
        yield Words((x, _LOW_MM + 3.4), write_clock(number * step_s), anchor="middle")
    deepest = in_unit(paper.deepest_mm, unit)
    step = nice_steps(deepest, 6, _STEPS)
    places = max(0, len(f"{step:g}".partition(".")[2]))
    for number in range(int(deepest // step) + 1):
        y = paper.y(number * step * paper.deepest_mm / deepest)
        yield Line(((_LEFT_MM, y), (_RIGHT_MM, y)), THIN_MM, grey=_GRID_GREY)
        label = f"{number * step:.{places}f}"
        yield Words((_LEFT_MM - 1.2, y + WORDS_MM * 0.35), label, anchor="end")
    yield outline(rectangle(_LEFT_MM, _TOP_MM, _RIGHT_MM, _LOW_MM), THIN_MM)
    yield Words((_RIGHT_MM + 1.5, _LOW_MM + 3.4), "arc time")
    yield Words((_LEFT_MM - 1.2, _TOP_MM - 2.2), f"{unit}", anchor="end")


def _curves(points: Sequence[PointFacts], paper: _Paper) -> Iterator[Shape]:
    high = [(paper.x(one.arc_s), paper.y(one.depth_low_mm)) for one in points]
    low = [(paper.x(one.arc_s), paper.y(one.depth_high_mm)) for one in points]
    yield Area((*high, *low[::-1]), _BAND_GREY)
    seen = [
        (paper.x(one.arc_s), paper.y(one.travel_mm)) for one in points if one.travel_mm is not None
    ]
    if len(seen) > 1:
        yield Line(tuple(seen), USUAL_MM, _DASHED)
    yield Line(tuple((paper.x(one.arc_s), paper.y(one.depth_mm)) for one in points), THICK_MM)


def _levels(facts: HoleFacts, paper: _Paper, unit: LengthUnit) -> Iterator[Shape]:
    planned = facts.planned
    assert planned is not None
    levels: list[tuple[str, float, float, tuple[float, ...]]] = [
        ("target", planned.target_mm, USUAL_MM, _LONG_DASHED)
    ]
    if planned.limit_mm is not None:
        levels.append(("limit", planned.limit_mm, USUAL_MM, ()))
    if facts.trace[-1].travel_mm is not None:
        levels.append(("travel", facts.trace[-1].travel_mm, 0.0, ()))
    levels.append(("depth", facts.trace[-1].depth_mm, 0.0, ()))
    levels.sort(key=lambda level: level[1])
    wanted = [paper.y(mm) for _, mm, _, _ in levels]
    places = spread(wanted, 3.4, _TOP_MM, _LOW_MM - 1.0)
    for (name, mm, width_mm, dash), y in zip(levels, places, strict=True):
        if width_mm:
            yield Line(((_LEFT_MM, paper.y(mm)), (_RIGHT_MM, paper.y(mm))), width_mm, dash)
        yield Line(((_RIGHT_MM, paper.y(mm)), (_RIGHT_MM + 1.2, y)), THIN_MM)
        text = f"{name} {write_length(mm, unit, with_unit=False)}"
        yield Words((_RIGHT_MM + 1.5, y + WORDS_MM * 0.35), text)


def _marks(facts: HoleFacts, paper: _Paper) -> Iterator[Shape]:
    """Each mark in a row above the picture, and where it was in it."""
    marks = [(one.arc_s, letter(place), True) for place, one in enumerate(facts.marks)]
    marks += [(one.arc_s, str(number), False) for number, one in enumerate(facts.calls, 1)]
    marks.sort()
    if len(marks) > _MOST_MARKS:
        yield Words((_LEFT_MM, _MARKS_Y_MM), "more marks than can be drawn: see the tables")
        return
    wanted = [paper.x(arc_s) for arc_s, _, _ in marks]
    places = spread(wanted, _MARK_GAP_MM, _LEFT_MM, _RIGHT_MM)
    arcs_s = [point.arc_s for point in facts.trace]
    for (arc_s, name, is_measured), x in zip(marks, places, strict=True):
        at_x = paper.x(arc_s)
        point = facts.trace[max(0, bisect_right(arcs_s, arc_s) - 1)]
        down = ((x, _MARKS_Y_MM + 1.2), (at_x, _TOP_MM), (at_x, paper.y(point.depth_mm)))
        yield Line(down, THIN_MM, () if is_measured else _DOTTED)
        box = rectangle(x - 1.9, _MARKS_Y_MM - 2.3, x + 1.9, _MARKS_Y_MM + 1.2)
        if is_measured:
            yield outline(box, THIN_MM)
        yield Words((x, _MARKS_Y_MM + 0.35), name, anchor="middle", is_bold=is_measured)


def _legend() -> Iterator[Shape]:
    y = HEIGHT_MM - 1.0
    x = _LEFT_MM
    for text, width_mm, dash, band in (
        ("depth", THICK_MM, (), False),
        ("95 %", 0.0, (), True),
        ("travel", USUAL_MM, _DASHED, False),
        ("target", USUAL_MM, _LONG_DASHED, False),
    ):
        if band:
            yield Area(rectangle(x, y - 1.8, x + 8.0, y), _BAND_GREY)
        else:
            yield Line(((x, y - 0.9), (x + 8.0, y - 0.9)), width_mm, dash, BLACK)
        yield Words((x + 9.2, y), text)
        x += 24.0
    yield outline(rectangle(x, y - 2.6, x + 3.8, y + 0.6), THIN_MM)
    yield Words((x + 1.9, y), "a", anchor="middle", is_bold=True)
    yield Words((x + 5.0, y), "measured or changed")
    yield Words((x + 36.0, y), "1")
    yield Words((x + 39.0, y), "call")
