"""A burn over arc time, laid out on a grid: scales, figures of the axes, columns, lanes of signs.

Depths in mm from the part's surface, arc time in s. A grid is so many columns wide; what is laid
out always lies on it.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from cockpit.burn.hindsight import Moment
from cockpit.flow.past import shared_s
from cockpit.flow.past_trace import Sign
from cockpit.units import LengthUnit, in_unit, write_clock, write_length

#: From tick to tick: so many times a power of ten.
_STEPS: Final = (1, 2, 5)
#: From tick to tick of a clock, s; beyond the last, whole hours.
_CLOCK_STEPS_S: Final = (1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600)
#: The part of a scale that stays free above what is shallowest and under what is deepest.
_FREE: Final = 0.04
#: The surface is shown unless what is burnt begins farther down than this part of the deepest.
_SURFACE_WITHIN: Final = 0.5
#: Columns between the figures of the clock.
_GAP: Final = 3

MORE: Final = "+"
"""The letter that stands where more signs fall due than there are lanes."""


@dataclass(frozen=True, slots=True)
class Column:
    """What is known of the depth, and the travel, at the end of a column's time; mm."""

    low_mm: float
    mid_mm: float
    high_mm: float
    travel_mm: float


@dataclass(frozen=True, slots=True)
class Tick:
    """A place on an axis with its figure."""

    value: float
    figure: str


@dataclass(frozen=True, slots=True)
class Scale:
    """An even scale from ``first`` to ``last``, which differ."""

    first: float
    last: float

    def part(self, value: float) -> float:
        """How far along a value is, from 0 to 1; what is beyond an end is at it."""
        return min(max((value - self.first) / (self.last - self.first), 0.0), 1.0)

    def place(self, value: float, cells: int) -> int:
        """Which of so many cells a value is in."""
        return min(int(self.part(value) * cells), cells - 1)


def clock_scale(end_s: float) -> Scale:
    """The scale of the arc time, from its start to its end."""
    return Scale(0.0, max(end_s, 1.0))


def depth_scale(shown_mm: Iterable[float]) -> Scale:
    """A scale that holds all these depths with some room, and the surface if that is not far.

    >>> depth_scale([3.0, 18.0, 24.0])
    Scale(first=0.0, last=24.96)
    """
    depths_mm = sorted(shown_mm) or [0.0]
    shallow_mm, deep_mm = depths_mm[0], depths_mm[-1]
    if shallow_mm <= _SURFACE_WITHIN * deep_mm:
        shallow_mm = min(shallow_mm, 0.0)
    free_mm = _FREE * max(deep_mm - shallow_mm, 0.1)
    first_mm = shallow_mm - (free_mm if shallow_mm or depths_mm[0] <= 0 else 0.0)
    return Scale(first_mm, deep_mm + free_mm)


def depth_ticks(scale: Scale, most: int, unit: LengthUnit) -> list[Tick]:
    """Even ticks in the shown unit, ``most`` or fewer, at round figures; values in mm.

    >>> [tick.figure for tick in depth_ticks(Scale(0.0, 25.0), 6, LengthUnit.MM)]
    ['0', '5', '10', '15', '20', '25']
    """
    first, last = in_unit(scale.first, unit), in_unit(scale.last, unit)
    step = _step(last - first, max(most - 1, 1))
    places = max(-math.floor(math.log10(step) + 1e-9), 0)
    mm = 1 / in_unit(1.0, unit)
    numbers = range(math.ceil(first / step - 1e-9), math.floor(last / step + 1e-9) + 1)
    return [
        Tick(n * step * mm, write_length(n * step * mm, unit, places, with_unit=False))
        for n in numbers
    ]


def _step(span: float, most: int) -> float:
    """The least round step of which no more than so many go into a span."""
    power = 10.0 ** math.floor(math.log10(span / most))
    return next(
        step
        for times in (power, 10 * power)
        for step in (times * one for one in _STEPS)
        if span / step <= most + 1e-9 or step >= 50 * power
    )


def clock_ticks(scale: Scale, columns: int) -> list[Tick]:
    """Ticks of the arc time, as close as their figures can stand side by side.

    >>> [tick.figure for tick in clock_ticks(Scale(0.0, 130.0), 40)]
    ['0:00', '0:30', '1:00', '1:30', '2:00']
    """
    end_s = scale.last
    room_s = end_s * (len(write_clock(end_s)) + _GAP) / max(columns, 1)
    step_s: float = next((one for one in _CLOCK_STEPS_S if one >= room_s), 0)
    step_s = step_s or 3600 * math.ceil(room_s / 3600)
    times = range(math.floor(end_s / step_s + 1e-9) + 1)
    return [Tick(n * step_s, write_clock(n * step_s)) for n in times]


def columns(
    moments: Sequence[Moment],
    scale: Scale,
    count: int,
    unread: Sequence[tuple[float, float]] = (),
) -> list[Column | None]:
    """What is known at the end of each of ``count`` columns of the arc time.

    None before anything was known, and where the gauge was silent for half of a column. As long as
    nothing more is known, as on the way down with another electrode, it is what it was.
    """
    begins_s = [moment.arc_s for moment in moments]
    width_s = (scale.last - scale.first) / max(count, 1)
    laid: list[Column | None] = []
    for number in range(count):
        end_s = scale.first + (number + 1) * width_s
        known = bisect_right(begins_s, end_s + 1e-9)
        if not known or shared_s(unread, end_s - width_s, end_s) > width_s / 2:
            laid.append(None)
            continue
        moment = moments[known - 1]
        depth = moment.depth
        laid.append(Column(depth.low, depth.mid, depth.high, moment.travel_mm))
    return laid


@dataclass(frozen=True, slots=True)
class Placed:
    """A sign in its column and in its lane, the lowest lane 0. ``sign`` None: several more."""

    column: int
    lane: int
    sign: Sign | None

    @property
    def letter(self) -> str:
        """What is written there."""
        return MORE if self.sign is None else self.sign.letter


def lanes(signs: Sequence[Sign], scale: Scale, count: int, most: int) -> list[Placed]:
    """Every sign in the column of its time, one above the other where several fall into one.

    The same letter twice in a column stands there once. Where there are more than ``most``, the
    last lane says so.
    """
    stacks: dict[int, list[Sign]] = {}
    for sign in sorted(signs, key=lambda one: one.arc_s):
        stack = stacks.setdefault(scale.place(sign.arc_s, count), [])
        if all(one.letter != sign.letter for one in stack):
            stack.append(sign)
    placed: list[Placed] = []
    for column, stack in stacks.items():
        kept = len(stack) if len(stack) <= most else max(most - 1, 0)
        placed += [Placed(column, lane, sign) for lane, sign in enumerate(stack[:kept])]
        if kept < len(stack) and most:
            placed.append(Placed(column, kept, None))
    return placed
