"""A burn over arc time: the depth with its interval, the travel, the levels, what happened when.

Depth goes down, arc time to the right. Over the drawing stand the letters of what happened, one
lane above the other; on the curve under each stands its sign, and the legend spells both out.
Where the gauge was silent the drawing is blank.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from textual.reactive import reactive

from cockpit.flow.past_trace import PastTrace
from cockpit.flow.plot import (
    Column,
    Placed,
    Scale,
    Tick,
    clock_scale,
    clock_ticks,
    columns,
    depth_scale,
    depth_ticks,
    lanes,
)
from cockpit.units import LengthUnit, write_length
from cockpit.widgets.canvas import CELL_HEIGHT, Canvas
from cockpit.widgets.columns import flow
from cockpit.widgets.dots import Dots, between, checkered
from cockpit.widgets.picture import Ink, Picture, PictureWidget, Sheet
from cockpit.widgets.side_labels import LEAD_WIDTH, Labels, draw_labels, spread
from cockpit.widgets.side_labels import Placed as PlacedLevel
from cockpit.widgets.side_view import Level
from cockpit.widgets.terminal import ascii_only
from cockpit.widgets.trace_legend import SIGNS, ink_of, legend

#: The fewest rows of drawing before lanes are given up, and columns before labels are.
LEAST_ROWS, LEAST_COLUMNS = 12, 24
#: The most lanes of letters.
_MOST_LANES = 4
#: Rows from figure to figure of the depth.
_ROWS_A_TICK = 3
#: The rows of the arc time: its line and its figures.
_CLOCK_ROWS = 2

_LINES: Final = {Ink.LABEL: "─-", Ink.TARGET: "━-", Ink.LIMIT: "═="}
_ASCII: Final = {Ink.DOUBT: ":", Ink.TIP: "*", Ink.ELECTRODE: "."}
#: Of the travel every so many dots are drawn, so that it is no depth.
_DOTTED = 3


@dataclass(frozen=True, slots=True)
class _Grid:
    """Where the drawing is on the sheet, and the scales of it."""

    left: int
    top: int
    width: int
    height: int
    depth: Scale
    clock: Scale
    is_plain: bool

    def row(self, depth_mm: float) -> int:
        """The row of a depth, in the drawing."""
        return self.depth.place(depth_mm, self.height)

    def column(self, arc_s: float) -> int:
        """The column of an arc time, in the drawing."""
        return self.clock.place(arc_s, self.width)

    def columns(self, trace: PastTrace, count: int) -> list[Column | None]:
        """What is known in each of so many columns."""
        return columns(trace.moments, self.clock, count, trace.unread)


def trace_plot(
    trace: PastTrace, unit: LengthUnit, width: int, height: int, *, is_plain: bool = False
) -> Picture:
    """Draw a burn on ``width`` × ``height`` cells; 50 × 16 is the least that is clear."""
    sheet = Sheet(width, height)
    depth, clock = _depths(trace), clock_scale(trace.end_s)
    ticks = depth_ticks(depth, max(height // _ROWS_A_TICK, 2), unit)
    left = max(len(tick.figure) for tick in ticks) + 1
    labels = _labels(trace, unit, width - left)
    across = width - left - labels.width
    if across < 1:
        return sheet.picture()
    told = list(flow(legend(trace, is_plain, is_over=False), width))
    spare = height - _CLOCK_ROWS - len(told) - LEAST_ROWS
    placed = lanes(trace.signs, clock, across, max(min(spare, _MOST_LANES), 1))
    if any(one.sign is None for one in placed):
        told = list(flow(legend(trace, is_plain, is_over=True), width))
    top = max((one.lane + 1 for one in placed), default=0)
    down = height - top - _CLOCK_ROWS - len(told)
    if down < 1:
        return sheet.picture()
    grid = _Grid(left, top, across, down, depth, clock, is_plain)
    _draw_lines(sheet, grid, trace, labels.levels)
    for column, row, character, ink in _curves(grid, trace).cells():
        sheet.write(left + column, top + row, character, ink)
    _write_burns(sheet, grid, trace)
    _write_silent(sheet, grid, trace)
    _write_signs(sheet, grid, trace, placed)
    _write_axes(sheet, grid, ticks)
    _write_labels(sheet, grid, labels, unit)
    for row, line in enumerate(told):
        sheet.write(0, height - len(told) + row, line, Ink.LABEL)
    return sheet.picture()


def _depths(trace: PastTrace) -> Scale:
    """The scale that all that is drawn lies on."""
    aim = trace.aim
    levels = [one for one in (aim.recess_mm, aim.target_mm, aim.limit_mm) if one is not None]
    seen = [mm for one in trace.moments for mm in (one.depth.low, one.depth.high, one.travel_mm)]
    return depth_scale([*levels, *seen])


def _labels(trace: PastTrace, unit: LengthUnit, room: int) -> Labels:
    """The levels, and where depth and travel came to, that are named at the right."""
    aim, last = trace.aim, trace.moments[-1] if trace.moments else None
    named = (
        ("break", aim.recess_mm, Ink.LABEL),
        ("target", aim.target_mm, Ink.TARGET),
        ("limit", aim.limit_mm, Ink.LIMIT),
        ("depth", None if last is None else last.depth.mid, Ink.TIP),
        ("travel", None if last is None else last.travel_mm, Ink.ELECTRODE),
    )
    levels = sorted(
        (
            Level(name, mm, ink, write_length(mm, unit, with_unit=False))
            for name, mm, ink in named
            if mm is not None
        ),
        key=lambda level: level.depth_mm,
    )
    names, figures = (
        max(map(len, texts))
        for texts in ([one.name for one in levels], [one.figure for one in levels])
    )
    labels = Labels(tuple(levels), names, figures)
    return labels if labels.width + LEAST_COLUMNS <= room else Labels()


def _draw_lines(sheet: Sheet, grid: _Grid, trace: PastTrace, levels: Sequence[Level]) -> None:
    """Write where burns are parted, and over that the levels, the weightiest last."""
    for stretch in trace.burns[1:]:
        column = grid.left + grid.column(stretch.begin_s)
        for row in range(grid.height):
            sheet.write(column, grid.top + row, "|" if grid.is_plain else "┊", Ink.LABEL)
    for ink, line in _LINES.items():
        for level in levels:
            if level.ink is ink:
                text = line[grid.is_plain] * grid.width
                sheet.write(grid.left, grid.top + grid.row(level.depth_mm), text, ink)


def _curves(grid: _Grid, trace: PastTrace) -> Picture:
    """Draw the interval, the travel over it, and the depth over both."""
    canvas = Canvas(grid.width, grid.height, ascii_only=grid.is_plain)
    laid = grid.columns(trace, round(grid.width / canvas.dot))
    rows = round(grid.height * CELL_HEIGHT / canvas.step)

    def at(depth_mm: float) -> int:
        return grid.depth.place(depth_mm, rows)

    band: dict[int, int] = {}
    for place, column in enumerate(laid):
        if column is not None:
            for row in range(at(column.low_mm), at(column.high_mm) + 1):
                band[row] = band.get(row, 0) | 1 << place
    canvas.fill(Dots(band), Ink.DOUBT, checkered)
    travel = _curve(None if one is None else at(one.travel_mm) for one in laid)
    canvas.fill(travel if grid.is_plain else travel.textured(_every_third), Ink.ELECTRODE)
    canvas.fill(_curve(None if one is None else at(one.mid_mm) for one in laid), Ink.TIP)
    sheet = Sheet(grid.width, grid.height)
    canvas.stamp(sheet, _ASCII)
    return sheet.picture()


def _every_third(_row: int, count: int) -> int:
    """Set the dots of every third column."""
    return sum(1 << place for place in range(0, count, _DOTTED))


def _curve(rows: Iterable[int | None]) -> Dots:
    """A line through the rows of neighbouring columns; it goes down without a break, never up.

    What lies higher than before is another spot, or another electrode.
    """
    dots: dict[int, int] = {}
    for place, (before, row) in enumerate(pairwise([None, *rows])):
        if row is not None:
            top = row if before is None or before >= row else before + 1
            for one in range(top, row + 1):
                dots[one] = dots.get(one, 0) | between(range(place, place + 1))
    return Dots(dots)


def _write_burns(sheet: Sheet, grid: _Grid, trace: PastTrace) -> None:
    """Name each burn over its stretch, where nothing else is drawn and there is room."""
    ends = [*(grid.column(one.begin_s) for one in trace.burns), grid.width]
    for stretch, (begin, end) in zip(trace.burns, pairwise(ends), strict=True):
        for name in (stretch.name, str(stretch.number)):
            free = range(begin + 1, end - len(name))
            at = next((one for one in free if _is_free(sheet, grid, one, len(name))), None)
            if at is not None:
                sheet.write(grid.left + at, grid.top, name, Ink.LABEL)
                break


def _is_free(sheet: Sheet, grid: _Grid, column: int, count: int) -> bool:
    cells = range(grid.left + column - 1, grid.left + column + count + 1)
    return all(sheet.ink(cell, grid.top) is Ink.NONE for cell in cells[1:-1])


def _write_silent(sheet: Sheet, grid: _Grid, trace: PastTrace) -> None:
    """Say in a blank that is wide enough why it is one."""
    word = "silent"
    for begin_s, end_s in trace.unread:
        begin, end = grid.column(begin_s), grid.column(end_s)
        if end - begin > len(word) + 1:
            at = grid.left + (begin + end + 1 - len(word)) // 2
            sheet.write(at, grid.top + grid.height // 2, word, Ink.LABEL)


def _write_signs(sheet: Sheet, grid: _Grid, trace: PastTrace, placed: Sequence[Placed]) -> None:
    """Write each letter in its lane, and its sign on the curve below; in a silence, as it began."""
    laid = columns(trace.moments, grid.clock, grid.width)
    for one in placed:
        ink = Ink.LABEL if one.sign is None else ink_of(one.sign)
        sheet.write(grid.left + one.column, grid.top - 1 - one.lane, one.letter, ink)
    for one in placed:
        column = laid[one.column]
        if one.sign is not None:
            row = 0 if column is None else grid.row(column.mid_mm)
            sign = SIGNS[one.sign.kind][grid.is_plain]
            sheet.write(grid.left + one.column, grid.top + row, sign, ink_of(one.sign))


def _write_axes(sheet: Sheet, grid: _Grid, ticks: Sequence[Tick]) -> None:
    """Write the figures of depth at the left, those of the arc time under the drawing."""
    upright, tick_at, corner, level, tick_under = "|++-+" if grid.is_plain else "│┤└─┬"
    for row in range(grid.height):
        sheet.write(grid.left - 1, grid.top + row, upright, Ink.LABEL)
    for tick in ticks:
        row = grid.top + grid.row(tick.value)
        sheet.write(0, row, f"{tick.figure:>{grid.left - 1}}{tick_at}", Ink.LABEL)
    under = grid.top + grid.height
    sheet.write(grid.left - 1, under, corner + level * grid.width, Ink.LABEL)
    for tick in clock_ticks(grid.clock, grid.width):
        column = grid.left + grid.column(tick.value)
        sheet.write(column, under, tick_under, Ink.LABEL)
        at = min(max(column - len(tick.figure) // 2, 0), grid.left + grid.width - len(tick.figure))
        sheet.write(at, under + 1, tick.figure, Ink.LABEL)
    sheet.write(grid.left + grid.width + LEAD_WIDTH, under + 1, "arc time", Ink.LABEL)


def _write_labels(sheet: Sheet, grid: _Grid, labels: Labels, unit: LengthUnit) -> None:
    if not labels.levels:
        return
    rows = [grid.top + grid.row(level.depth_mm) for level in labels.levels]
    # The row over all of them says in which unit they are.
    label_rows = spread(rows, max(grid.top, 1), grid.top + grid.height - 1)
    placed = [
        PlacedLevel(level, row, label_row, True)
        for level, row, label_row in zip(labels.levels, rows, label_rows, strict=True)
    ]
    at = grid.left + grid.width
    draw_labels(sheet, at, labels, placed, ("", unit), ascii_only=grid.is_plain)


class TracePlot(PictureWidget):
    """A burn over arc time. ``trace``: what to show, ``unit``: what its figures are in."""

    trace: reactive[PastTrace | None] = reactive(None)
    unit: reactive[LengthUnit] = reactive(LengthUnit.MM)

    def draw(self, width: int, height: int) -> Picture:
        if self.trace is None:
            return super().draw(width, height)
        return trace_plot(self.trace, self.unit, width, height, is_plain=ascii_only())
