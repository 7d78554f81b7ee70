"""The hole seen from above, to scale: thread, broken tool, electrode, burn, and the room for error.

Right is the operator's right, up is away from the operator.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from textual.reactive import reactive

from cockpit.units import LengthUnit
from cockpit.widgets.canvas import CELL_HEIGHT, Canvas, Dots, checkered, sparse
from cockpit.widgets.cross_legend import NARROW, WIDE, legend
from cockpit.widgets.cross_view import ARROWS, ASCII_ARROWS, ASCII_MARKS, CrossView
from cockpit.widgets.picture import Ink, Picture, PictureWidget, Sheet
from cockpit.widgets.terminal import ascii_only

__all__ = ["CrossSection", "CrossView", "cross_section"]

# Half the length of the arms of a cross, in widths of a cell.
_CROSS_ARM = 0.4


_Offset = tuple[float, float]
_ON_AXIS: _Offset = (0.0, 0.0)


@dataclass(frozen=True, slots=True)
class _Plot:
    """A canvas that takes millimetres from the hole's axis, at ``x``, ``y`` of the canvas."""

    canvas: Canvas
    x: float
    y: float
    per_mm: float

    def point(self, offset: _Offset) -> tuple[float, float]:
        across, along = offset
        return self.x + across * self.per_mm, self.y - along * self.per_mm

    def disc(self, diameter_mm: float, offset: _Offset = _ON_AXIS) -> Dots:
        return self.canvas.disc(*self.point(offset), diameter_mm / 2 * self.per_mm)

    def circle(
        self, diameter_mm: float, ink: Ink, offset: _Offset = _ON_AXIS, *, dotted: bool = False
    ) -> None:
        radius = diameter_mm / 2 * self.per_mm
        dash = self.canvas.dot if dotted else 0.0
        self.canvas.circle(*self.point(offset), radius, ink, dash=dash)


def cross_section(
    view: CrossView,
    width: int,
    height: int,
    *,
    unit: LengthUnit = LengthUnit.MM,
    ascii_only: bool = False,
) -> Picture:
    """Draw the hole from above on ``width`` × ``height`` cells, with a legend at the right.

    The legend gives figures in ``unit`` where there is room for them, else words alone, else
    there is none. Web the burn leaves standing and thread it touches are drawn solid, as harm.
    """
    legend_width = _legend_width(width, height)
    sheet = Sheet(width, height)
    canvas = Canvas(max(width - legend_width, 0), height, ascii_only=ascii_only)
    plot = _plot(view, canvas)
    _draw_tool(plot, view)
    _draw_burn(plot, view)
    _draw_marks(plot, view)
    canvas.stamp(sheet, ASCII_MARKS)
    _write_arrow(sheet, view, plot, ASCII_ARROWS if ascii_only else ARROWS)
    if legend_width:
        _write_legend(sheet, view, unit, legend_width, ascii_only)
    return sheet.picture()


def _legend_width(width: int, height: int) -> int:
    """Give the legend as much as leaves the circle three quarters of the size it could have."""
    circle = 0.75 * CELL_HEIGHT * height
    return next((legend for legend in (WIDE, NARROW) if width - legend >= circle), 0)


def _plot(view: CrossView, canvas: Canvas) -> _Plot:
    """Fit everything in, with room for the arrow when the burn is off."""
    rim = 2.0 if view.is_off else 0.5
    room = min(canvas.width, canvas.height * CELL_HEIGHT) / 2 - rim
    scale = max(room, 1.0) / view.reach_mm
    return _Plot(canvas, canvas.width / 2, canvas.height * CELL_HEIGHT / 2, scale)


def _draw_tool(plot: _Plot, view: CrossView) -> None:
    """Draw what is stuck in the hole: lands sparse, web dense."""
    plot.canvas.fill(_lands(plot, view) & plot.disc(view.minor_mm), Ink.TOOL, sparse)
    if view.web_mm is not None:
        plot.canvas.fill(plot.disc(view.web_mm), Ink.WEB, checkered)


def _lands(plot: _Plot, view: CrossView) -> Dots:
    """The tool's outline: a full circle less its flutes, round gullets that reach to the web."""
    outline = plot.disc(view.nominal_mm)
    if not view.flutes or view.web_mm is None:
        return outline
    gullet_mm = (view.nominal_mm - view.web_mm) / 2
    axis_mm = (view.nominal_mm + view.web_mm) / 4
    for flute in range(view.flutes):
        angle = 2 * math.pi * (flute + 0.5) / view.flutes
        axis = (axis_mm * math.cos(angle), axis_mm * math.sin(angle))
        outline -= plot.disc(gullet_mm, axis)
    return outline


def _draw_thread(plot: _Plot, view: CrossView) -> None:
    """Draw the thread: its root dotted, its minor diameter as a thick line."""
    plot.circle(view.nominal_mm, Ink.PART, dotted=True)
    plot.circle(view.minor_mm, Ink.THREAD)
    if not plot.canvas.ascii_only:
        one_dot_out_mm = 2 * plot.canvas.dot / plot.per_mm
        plot.circle(view.minor_mm + one_dot_out_mm, Ink.THREAD)


def _draw_burn(plot: _Plot, view: CrossView) -> None:
    """Draw the burn and its electrode. A web left standing and a thread touched come out solid."""
    offset = view.offset or _ON_AXIS
    burn = plot.disc(view.hole_mm, offset)
    if view.offset is not None:
        plot.canvas.clear(burn)
    if view.leaves_web and view.web_mm is not None:
        plot.canvas.fill(plot.disc(view.web_mm) - burn, Ink.HARM)
    _draw_thread(plot, view)
    gap_mm = (view.hole_mm - view.electrode_mm) / 2
    if gap_mm * plot.per_mm >= 1.5 * plot.canvas.dot:
        plot.circle(view.electrode_mm, Ink.ELECTRODE, offset, dotted=True)
    plot.circle(view.hole_mm, Ink.BURNT, offset)
    if view.touches_thread:
        plot.canvas.fill(burn - plot.disc(view.minor_mm), Ink.HARM)


def _draw_marks(plot: _Plot, view: CrossView) -> None:
    """Draw the circle in which the burn's axis may stand, and the axis itself as a cross."""
    canvas = plot.canvas
    allowed = view.allowed_offset_mm * plot.per_mm
    if allowed > canvas.dot:
        canvas.clear(canvas.disc(plot.x, plot.y, allowed + canvas.dot))
        plot.circle(2 * view.allowed_offset_mm, Ink.ALLOWED, dotted=True)
    if view.offset is not None:
        x, y = plot.point(view.offset)
        canvas.line(x - _CROSS_ARM, y, x + _CROSS_ARM, y, Ink.CENTRE)
        canvas.line(x, y - _CROSS_ARM, x, y + _CROSS_ARM, Ink.CENTRE)


def _write_arrow(sheet: Sheet, view: CrossView, plot: _Plot, arrows: str) -> None:
    """Write, outside the rim, an arrow the way the burn is off."""
    if view.offset is None or not view.is_off:
        return
    across, along = view.offset
    angle = math.atan2(along, across)
    rim = view.reach_mm * plot.per_mm + 1.0
    column = math.floor(plot.x + rim * math.cos(angle))
    row = math.floor((plot.y - rim * math.sin(angle)) / CELL_HEIGHT)
    arrow = arrows[round(angle / (math.pi / 4)) % 8]
    sheet.write(column, row, arrow, Ink.HARM if view.is_too_far_off else Ink.CENTRE)


def _write_legend(
    sheet: Sheet, view: CrossView, unit: LengthUnit, width: int, ascii_only: bool
) -> None:
    """Write the legend along the right edge, at half height."""
    entries = legend(view, unit, ascii_only=ascii_only)
    left, top = sheet.width - width + 1, max((sheet.height - len(entries)) // 2, 0)
    for row, entry in enumerate(entries, start=top):
        sheet.write(left, row, entry.sample, entry.ink)
        words = Ink.HARM if entry.ink is Ink.HARM else Ink.LABEL
        sheet.write(left + 2, row, entry.wide if width == WIDE else entry.narrow, words)


class CrossSection(PictureWidget):
    """The hole seen from above. ``view``: what to show; ``unit``: of the figures in the legend."""

    view: reactive[CrossView | None] = reactive(None)
    unit = reactive(LengthUnit.MM)

    def __init__(
        self,
        view: CrossView | None = None,
        unit: LengthUnit = LengthUnit.MM,
        *,
        id: str | None = None,  # noqa: A002
    ) -> None:
        super().__init__(id=id)
        self.set_reactive(CrossSection.view, view)
        self.set_reactive(CrossSection.unit, unit)

    def draw(self, width: int, height: int) -> Picture:
        if self.view is None:
            return super().draw(width, height)
        return cross_section(self.view, width, height, unit=self.unit, ascii_only=ascii_only())
