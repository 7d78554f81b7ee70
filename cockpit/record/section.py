"""The hole cut open, to scale: what it was, how far it was to be burnt, how far it is.

Depths grow downwards from the surface; what is right of the operator is right of the axis. The
thread is drawn as ISO 6410-1 does: its minor diameter thick, its nominal one thin, the cut
material hatched up to the minor one.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from cockpit.record.drawing import (
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
    outline,
    rectangle,
    spread,
)
from cockpit.record.facts import HoleFacts, PlannedFacts
from cockpit.units import LengthUnit, write_length

WIDTH_MM: Final = 80.0
HEIGHT_MM: Final = 68.0
# The part takes the left of the paper, the words the right.
_PART_MM: Final = 42.0
_AXIS_MM: Final = 21.0
_TOP_MM: Final = 4.0
_DEEPEST_MM: Final = 58.0
_WIDEST_MM: Final = 26.0
_BELOW_MM: Final = 5.0
_WORDS_AT_MM: Final = 47.0
_LINE_MM: Final = 3.4
#: The scales that drawings have (ISO 5455), and the halves between that some shops use.
_SCALES: Final = (20.0, 10.0, 5.0, 2.5, 2.0, 1.5, 1.0, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01, 0.005)

_DASHED: Final = (1.2, 0.8)
_LONG_DASHED: Final = (3.6, 1.2)
_BURNT_GREY: Final = 0.8


@dataclass(frozen=True, slots=True)
class _Level:
    """A depth that is named beside the drawing, on one line or more."""

    depth_mm: float
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Paper:
    """Where things of the part are on paper, at ``scale``; the part ends at ``end_mm``."""

    scale: float
    end_mm: float

    def y(self, depth_mm: float) -> float:
        return _TOP_MM + depth_mm * self.scale

    def half(self, diameter_mm: float) -> float:
        return diameter_mm * self.scale / 2


def section(facts: HoleFacts, unit: LengthUnit) -> Drawing | None:
    """Draw the hole of an accepted plan; None where there is none."""
    planned = facts.planned
    if planned is None:
        return None
    reached = facts.reached
    deepest_mm = max(facts.bottom_mm, reached.depth_mm if reached else 0.0, planned.target_mm)
    wide_mm = planned.thread.nominal_mm
    scale = next(
        (one for one in _SCALES if one * deepest_mm <= _DEEPEST_MM and one * wide_mm <= _WIDEST_MM),
        _SCALES[-1],
    )
    paper = _Paper(scale, deepest_mm)
    shapes = (
        *_part(facts, planned, paper),
        *_burn(facts, planned, paper),
        *_levels(planned, paper),
        *_names(facts, planned, paper, unit),
    )
    ratio = f"{scale:g} : 1" if scale >= 1 else f"1 : {1 / scale:g}"
    title = f"The hole cut open, {ratio}, depths from the surface in {UNIT_WORDS[unit]}"
    return Drawing(WIDTH_MM, HEIGHT_MM, title, shapes)


def _part(facts: HoleFacts, planned: PlannedFacts, paper: _Paper) -> Iterator[Shape]:
    thread = planned.thread
    end_y = paper.y(facts.bottom_mm)
    wall = paper.half(thread.minor_min_mm if thread.has_thread else thread.nominal_mm)
    below_y = end_y if facts.through else end_y + _BELOW_MM
    yield from hatching(0.0, _TOP_MM, _AXIS_MM - wall, below_y)
    yield from hatching(_AXIS_MM + wall, _TOP_MM, _PART_MM, below_y)
    if not facts.through:
        yield from hatching(_AXIS_MM - wall, end_y, _AXIS_MM + wall, below_y)
        yield Line(((_AXIS_MM - wall, end_y), (_AXIS_MM + wall, end_y)), THICK_MM)
    narrower = thread.taper * facts.bottom_mm
    for side in (-1, 1):
        top, low = wall, wall - paper.half(narrower)
        yield Line(((_AXIS_MM + side * top, _TOP_MM), (_AXIS_MM + side * low, end_y)), THICK_MM)
        if thread.has_thread:
            top = paper.half(thread.nominal_mm)
            low = top - paper.half(narrower)
            ends = ((_AXIS_MM + side * top, _TOP_MM), (_AXIS_MM + side * low, end_y))
            yield Line(ends, THIN_MM)
        edges = [_TOP_MM, end_y] if facts.through else [_TOP_MM]
        for y in edges:
            ends = ((_AXIS_MM + side * wall, y), (_AXIS_MM + side * _AXIS_MM, y))
            yield Line(ends, THICK_MM)


def _burn(facts: HoleFacts, planned: PlannedFacts, paper: _Paper) -> Iterator[Shape]:
    thread, half = planned.thread, paper.half(planned.hole_mm)
    body = paper.half(thread.minor_min_mm if thread.has_thread else thread.nominal_mm)
    break_y = paper.y(planned.break_mm)
    end_mm = facts.bottom_mm if planned.tool_end_mm is None else planned.tool_end_mm
    tool = rectangle(_AXIS_MM - body, break_y, _AXIS_MM + body, paper.y(end_mm))
    if facts.reached is None:
        yield outline(tool, USUAL_MM, _DASHED)
        return
    reached_mm = facts.bottom_mm if facts.reached.through_mm is not None else facts.reached.depth_mm
    # The last spot is the one that was burnt on at.
    off_mm = facts.centres[-1].across_mm * paper.scale if facts.centres else 0.0
    axis = _AXIS_MM + off_mm
    burnt = rectangle(axis - half, break_y, axis + half, paper.y(reached_mm))
    yield Area(burnt, _BURNT_GREY)
    yield outline(tool, USUAL_MM, _DASHED)
    yield outline(burnt)
    if facts.reached.through_mm is None:
        low_y, high_y = paper.y(facts.reached.depth_low_mm), paper.y(facts.reached.depth_high_mm)
        yield Line(((axis, low_y), (axis, high_y)), THICK_MM)
        for y in (low_y, high_y):
            yield Line(((axis - 1.2, y), (axis + 1.2, y)), USUAL_MM)


def _levels(planned: PlannedFacts, paper: _Paper) -> Iterator[Shape]:
    wall = paper.half(planned.thread.nominal_mm) + 1.5
    ends = (_AXIS_MM - wall, _AXIS_MM + wall)
    target_y = paper.y(planned.target_mm)
    yield Line(((ends[0], target_y), (ends[1], target_y)), USUAL_MM, _LONG_DASHED)
    if planned.limit_mm is not None:
        limit_y = paper.y(planned.limit_mm)
        yield Line(((ends[0], limit_y), (ends[1], limit_y)), THICK_MM)
    end_y = paper.y(paper.end_mm) + 3.0
    yield Line(((_AXIS_MM, _TOP_MM - 3.0), (_AXIS_MM, end_y)), THIN_MM, _LONG_DASHED)


def _names(
    facts: HoleFacts, planned: PlannedFacts, paper: _Paper, unit: LengthUnit
) -> Iterator[Shape]:
    levels = sorted(_named(facts, planned, unit), key=lambda level: level.depth_mm)
    wanted: list[float] = []
    for level in levels:
        wanted += [paper.y(level.depth_mm)] * len(level.lines)
    places = iter(spread(wanted, _LINE_MM, _TOP_MM, HEIGHT_MM - 2.0))
    for level in levels:
        at_y = [next(places) for _ in level.lines]
        y = paper.y(level.depth_mm)
        leader = ((_PART_MM, y), (_PART_MM + 1.0, y), (_WORDS_AT_MM - 1.0, at_y[0]))
        yield Line((*leader, (_WORDS_AT_MM - 0.5, at_y[0])), THIN_MM)
        for line_y, text in zip(at_y, level.lines, strict=True):
            yield Words((_WORDS_AT_MM, line_y + WORDS_MM * 0.35), text)


def _named(facts: HoleFacts, planned: PlannedFacts, unit: LengthUnit) -> Iterator[_Level]:
    def length(mm: float) -> str:
        return write_length(mm, unit, with_unit=False)

    yield _Level(0.0, (f"surface {length(0.0)}",))
    yield _Level(planned.break_mm, (f"break {length(planned.break_mm)}",))
    yield _Level(planned.target_mm, (f"target {length(planned.target_mm)}",))
    if planned.limit_mm is not None:
        yield _Level(planned.limit_mm, (f"bottom limit {length(planned.limit_mm)}",))
    name = "far side" if facts.through else "bottom"
    yield _Level(facts.bottom_mm, (f"{name} {length(facts.bottom_mm)}",))
    reached = facts.reached
    if reached is None:
        return
    if reached.through_mm is not None:
        yield _Level(reached.through_mm, (f"THROUGH at {length(reached.through_mm)}",))
    elif reached.at_least:
        yield _Level(reached.depth_low_mm, (f"REACHED {length(reached.depth_low_mm)}", "at least"))
    else:
        low, high = length(reached.depth_low_mm), length(reached.depth_high_mm)
        lines = (f"REACHED {length(reached.depth_mm)}", f"{low} to {high}, 95 %")
        yield _Level(reached.depth_mm, lines)
