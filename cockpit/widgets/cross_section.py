"""The hole seen from above, to scale: thread, broken tool, electrode, burn, and the room for error.

Right is the operator's right, up is away from the operator.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from textual.reactive import reactive

from cockpit.units import LengthUnit
from cockpit.widgets.canvas import CELL_HEIGHT, Canvas
from cockpit.widgets.cross_layout import best_layout
from cockpit.widgets.cross_legend import BEFORE_MARK, legend
from cockpit.widgets.cross_view import ARROWS, ASCII_ARROWS, ASCII_MARKS, CrossView, Offset
from cockpit.widgets.dots import Dots, checkered, sparse
from cockpit.widgets.picture import Ink, Picture, PictureWidget, Sheet
from cockpit.widgets.terminal import ascii_only

__all__ = ["CrossSection", "CrossView", "cross_section"]

# Half the length of the arms of a cross: a part of what is shown, within these widths of a cell.
_CROSS_PART, _CROSS_ARM = 1 / 16, (0.4, 1.2)

# Columns left free around the drawing: for the arrow outside the rim, or for nothing.
_RIM, _BARE_RIM = 2.0, 0.5

# A ring is drawn where it stands this many dots clear of the lines beside it.
_RING_ROOM = 2.5

_ON_AXIS: Offset = (0.0, 0.0)


@dataclass(frozen=True, slots=True)
class _Plot:
    """A canvas that takes millimetres from the hole's axis, at ``x``, ``y`` of the canvas."""

    canvas: Canvas
    x: float
    y: float
    per_mm: float

    def point(self, offset: Offset) -> tuple[float, float]:
        across, along = offset
        return self.x + across * self.per_mm, self.y - along * self.per_mm

    def cell(self, offset: Offset, out: float = 0.0) -> tuple[int, int]:
        """The cell of a point, or of one ``out`` columns further that way from the hole's axis."""
        x, y = self.point(offset)
        angle = math.atan2(y - self.y, x - self.x)
        x, y = x + out * math.cos(angle), y + out * math.sin(angle)
        return math.floor(x), math.floor(y / CELL_HEIGHT)

    def dots(self, mm: float) -> float:
        """A length in dots."""
        return mm * self.per_mm / self.canvas.dot

    def disc(self, diameter_mm: float, offset: Offset = _ON_AXIS) -> Dots:
        return self.canvas.disc(*self.point(offset), diameter_mm / 2 * self.per_mm)

    def circle(
        self, diameter_mm: float, ink: Ink, offset: Offset = _ON_AXIS, *, dash: float = 0.0
    ) -> None:
        """Draw a circle, dashed when ``dash``, in dots, is not nought."""
        radius = diameter_mm / 2 * self.per_mm
        self.canvas.circle(*self.point(offset), radius, ink, dash=dash * self.canvas.dot)


def cross_section(
    view: CrossView,
    width: int,
    height: int,
    *,
    unit: LengthUnit = LengthUnit.MM,
    ascii_only: bool = False,
) -> Picture:
    """Draw the hole from above on ``width`` × ``height`` cells, with a legend beside or below it.

    The legend gives figures in ``unit``; where there is room for less, its weightiest lines alone,
    else there is none. Web the burn leaves standing and thread it reaches are drawn solid, as harm.
    """
    layout = best_layout(width, height, legend(view, ascii_only=ascii_only), unit)
    sheet = Sheet(width, height)
    plot = _plot(view, Canvas(layout.columns, layout.rows, ascii_only=ascii_only))
    _draw_tool(plot, view)
    _draw_burn(plot, view)
    _draw_marks(plot, view)
    plot.canvas.stamp(sheet, ASCII_MARKS, blocks={Ink.HARM})
    _write_marks(sheet, view, plot)
    layout.write(sheet)
    return sheet.picture()


def _plot(view: CrossView, canvas: Canvas) -> _Plot:
    """Fit everything in, with room for the arrow when the burn has to be moved."""
    rim = _RIM if view.is_too_far_off else _BARE_RIM
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
    """Draw the thread: its root dotted, its minor diameter as a thick line, lower down a thin one.

    Inside it, where there is room, the ring that the burn has to keep within.
    """
    plot.circle(view.nominal_mm, Ink.PART, dash=1)
    plot.circle(view.minor_mm, Ink.THREAD)
    if not plot.canvas.ascii_only:
        one_dot_out_mm = 2 * plot.canvas.dot / plot.per_mm
        plot.circle(view.minor_mm + one_dot_out_mm, Ink.THREAD)
    if view.lower_minor_mm is not None:
        plot.circle(view.lower_minor_mm, Ink.THREAD, dash=1)
    kept_mm = view.narrowest_mm - 2 * view.required_mm
    neighbours_mm = (view.narrowest_mm, view.hole_mm)
    if all(plot.dots(abs(kept_mm - mm) / 2) >= _RING_ROOM for mm in neighbours_mm) and kept_mm > 0:
        halo_mm = 4 * plot.canvas.dot / plot.per_mm
        plot.canvas.clear(plot.disc(kept_mm + halo_mm) - plot.disc(kept_mm - halo_mm))
        plot.circle(kept_mm, Ink.KEEP, dash=2)


def _draw_burn(plot: _Plot, view: CrossView) -> None:
    """Draw the burn and its electrode. A web left standing and a thread reached come out solid."""
    offset = view.offset or _ON_AXIS
    burn = plot.disc(view.hole_mm, offset)
    if view.offset is not None:
        plot.canvas.clear(burn)
    allowed_mm = 2 * view.allowed_offset_mm
    if _shows_allowed(plot, view):
        plot.canvas.clear(plot.disc(allowed_mm + 2 * plot.canvas.dot / plot.per_mm))
    _draw_thread(plot, view)
    if plot.dots((view.hole_mm - view.electrode_mm) / 2) >= 1.5:
        plot.circle(view.electrode_mm, Ink.ELECTRODE, offset, dash=1)
    plot.circle(view.hole_mm, Ink.BURNT, offset)
    if view.leaves_web and view.web_mm is not None:
        left = plot.disc(view.web_mm) - burn
        plot.canvas.fill(left or _nearest(plot, view, -view.web_mm), Ink.HARM)
    if view.touches_thread:
        reached = burn - plot.disc(view.narrowest_mm)
        plot.canvas.fill(reached or _nearest(plot, view, view.narrowest_mm), Ink.HARM)


def _shows_allowed(plot: _Plot, view: CrossView) -> bool:
    return view.allowed_offset_mm * plot.per_mm > plot.canvas.dot


def _nearest(plot: _Plot, view: CrossView, diameter_mm: float) -> Dots:
    """The dot of a circle that the burn is worst for: on its side, or opposite when negative.

    For harm that is too small for the drawing's scale, and must show all the same.
    """
    across, along = view.offset or _ON_AXIS
    angle = math.atan2(along, across)
    half = diameter_mm / 2
    x, y = plot.point((half * math.cos(angle), half * math.sin(angle)))
    return plot.canvas.spot(x, y)


def _draw_marks(plot: _Plot, view: CrossView) -> None:
    """Draw the circle in which the burn's axis may stand, the axis itself, and the way back."""
    canvas = plot.canvas
    if _shows_allowed(plot, view):
        plot.circle(2 * view.allowed_offset_mm, Ink.ALLOWED, dash=1)
    if view.offset is None:
        return
    x, y = plot.point(view.offset)
    if view.is_too_far_off:
        canvas.line(x, y, *plot.point(_just_off(view.offset)), Ink.MOVE)
    least, most = _CROSS_ARM
    arm = min(max(view.reach_mm * plot.per_mm * _CROSS_PART, least), most)
    canvas.line(x - arm, y, x + arm, y, Ink.CENTRE)
    canvas.line(x, y - arm, x, y + arm, Ink.CENTRE)


def _just_off(offset: Offset) -> Offset:
    """The hole's axis, but on the burn's side: it stands between cells, and has to be in one."""
    across, along = offset
    return across * 1e-6, along * 1e-6


def _write_marks(sheet: Sheet, view: CrossView, plot: _Plot) -> None:
    """Write the spot before, and arrows the way the electrode has to go: back to the middle.

    One at the hole's axis, at the end of the line from the burn's, unless both are one cell; one
    outside the rim where the burn is off to, pointing in, to be seen at any size.
    """
    plain = plot.canvas.ascii_only
    axis = None if view.offset is None else plot.cell(view.offset)
    before = None if view.before is None else plot.cell(view.before)
    if before is not None and sheet.ink(*before) is not Ink.CENTRE:
        sheet.write(*before, ASCII_MARKS[Ink.BEFORE] if plain else BEFORE_MARK, Ink.BEFORE)
    if view.offset is None or not view.is_too_far_off:
        return
    across, along = view.offset
    eighth = round(math.atan2(-along, -across) / (math.pi / 4)) % 8
    arrow = (ASCII_ARROWS if plain else ARROWS)[eighth]
    on_rim = (view.reach_mm / view.offset_mm * across, view.reach_mm / view.offset_mm * along)
    sheet.write(*plot.cell(on_rim, 0.75), arrow, Ink.MOVE)
    head = plot.cell(_just_off(view.offset), 0.5)
    if head != axis:
        sheet.write(*head, arrow, Ink.MOVE)


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
