"""The hole cut open from the side: what is burnt, how far to go, what stops it.

The drawing stands at the left, to scale in depth, and across as well where that is clear. Every
level is led out to a label at the right; labels that would fall on one row are spread apart, and
their leads bend.
"""

from __future__ import annotations

import math

from textual.reactive import reactive

from cockpit.widgets.canvas import CELL_HEIGHT, Canvas
from cockpit.widgets.dots import Dots, checkered, sparse, striped
from cockpit.widgets.picture import Ink, Picture, PictureWidget, Sheet
from cockpit.widgets.side_frame import Frame
from cockpit.widgets.side_labels import Placed, draw_labels, fit, place
from cockpit.widgets.side_view import SideView
from cockpit.widgets.terminal import ascii_only

__all__ = ["SideSection", "SideView", "side_section"]

_ASCII_MARKS = {
    Ink.PART: "-",
    Ink.THREAD: "|",
    Ink.TOOL: ":",
    Ink.WEB: "#",
    Ink.BURNT: "*",
    Ink.ELECTRODE: "e",
    Ink.TIP: "V",
    Ink.DOUBT: "?",
    Ink.HARM: "!",
}

# The lines of levels, lightest first: later ones lie over earlier ones.
_LINES = {
    Ink.LABEL: "─-",
    Ink.LATER: "┈'",
    Ink.STOP: "┄~",
    Ink.TARGET: "━-",
    Ink.LIMIT: "═=",
    Ink.TIP: "─-",
}
# Those that a burn is not to pass, or to reach, cross the bore too; these inks lie over them.
_CROSSING = (Ink.STOP, Ink.TARGET, Ink.LIMIT)
_OVER_LINES = (Ink.ELECTRODE, Ink.TIP, Ink.DOUBT, Ink.HARM)

_SOLID = frozenset({Ink.ELECTRODE, Ink.TIP, Ink.HARM})

# The electrode and its tip end on half rows, so that they can be drawn in blocks.
_HALF_ROW = CELL_HEIGHT / 2


def side_section(view: SideView, width: int, height: int, *, ascii_only: bool = False) -> Picture:
    """Draw the hole cut open on ``width`` × ``height`` cells; 30 × 9 is the least that is clear.

    When there are more levels than rows, tip,
    target and limit keep their labels longest, and stops to come lose theirs first. What the burn
    takes from the wall, and what it leaves of the web, is drawn solid, as harm.
    """
    sheet = Sheet(width, height)
    if width < 1 or height < 2:
        return sheet.picture()
    labels, frame = fit(view, width, height, ascii_only=ascii_only)
    canvas = Canvas(frame.width, height, ascii_only=ascii_only)
    _draw_hole(canvas, frame)
    _draw_tool(canvas, frame)
    burn = _draw_burn(canvas, frame)
    _draw_electrode(canvas, frame)
    _draw_harm(canvas, frame, burn)
    _write_part(sheet, canvas, frame, "." if ascii_only else "░")
    canvas.stamp(sheet, _ASCII_MARKS, blocks=_SOLID)
    placed = place(labels, frame)
    _write_lines(sheet, canvas, frame, placed)
    heading = (frame.note, view.unit)
    draw_labels(sheet, frame.width, labels, placed, heading, ascii_only=ascii_only)
    return sheet.picture()


def _write_part(sheet: Sheet, canvas: Canvas, frame: Frame, metal: str) -> None:
    """Write the metal of the part: left and right of the bore, and under it."""
    for row in range(frame.surface + 1, sheet.height):
        if frame.floor is not None and row >= frame.floor and frame.view.through:
            return
        if frame.floor is not None and row > frame.floor:
            sheet.write(0, row, metal * frame.width, Ink.PART)
            continue
        left, right = canvas.cells_beside(frame.bore, row)
        sheet.write(0, row, metal * left, Ink.PART)
        sheet.write(right + 1, row, metal * (frame.width - right - 1), Ink.PART)


def _draw_hole(canvas: Canvas, frame: Frame) -> None:
    """Draw the surface, the walls and the floor, or the far side that the hole comes out of."""
    top, bottom_mm = frame.y(0.0), frame.view.bottom_mm
    bottom = CELL_HEIGHT * frame.height if bottom_mm is None else frame.y(bottom_mm)
    inside = canvas.band(top - canvas.step, bottom + canvas.step, frame.bore)
    canvas.fill(canvas.level(top) - inside, Ink.PART)
    if bottom_mm is not None:
        floor = canvas.level(bottom)
        canvas.fill(floor - inside if frame.view.through else floor & inside, Ink.PART)

    def outside(y: float) -> tuple[float, float]:
        left, right = frame.bore(y)
        return left - canvas.dot, right + canvas.dot

    depths = (
        canvas.rectangle(0, top, frame.width, bottom) | canvas.level(top) | canvas.level(bottom)
    )
    walls = canvas.band(top - canvas.step, bottom + canvas.step, outside) - inside
    canvas.fill(walls & depths, Ink.THREAD)


def _draw_tool(canvas: Canvas, frame: Frame) -> None:
    """Draw what is stuck in the bore: lands sparse, web dense; dense all through when unknown."""
    top, end = frame.y(frame.view.recess_mm), frame.y(frame.view.end_mm)
    tool = canvas.band(top, end, frame.bore)
    canvas.fill(tool, Ink.TOOL, checkered if frame.is_sketch else sparse)
    if frame.view.web_mm is not None:
        canvas.fill(canvas.band(top, end, frame.web) & tool, Ink.WEB, checkered)


def _draw_burn(canvas: Canvas, frame: Frame) -> Dots:
    """Draw what is burnt, or what would be, with its walls; before that its outline alone.

    Gives what is gone, or would be.
    """
    view = frame.view
    if view.burn_mm is None:
        if view.tip_mm is None and not frame.is_sketch:
            planned = canvas.band(frame.y(view.recess_mm), frame.y(view.target_mm), frame.burn)
            canvas.fill(planned.edges(), Ink.BURNT)
        return Dots()
    top, bottom = (frame.y(depth_mm) for depth_mm in view.burn_mm)
    if view.tip_mm is not None:
        bottom = _snapped(canvas, bottom)
    burn = canvas.band(top, bottom, frame.burn)
    canvas.clear(burn)
    if view.tip_mm is None:
        canvas.fill(burn.edges(), Ink.BURNT)
    return burn


def _draw_harm(canvas: Canvas, frame: Frame, burn: Dots) -> None:
    """Draw what the burn leaves of the web and takes from the wall; if little, a spot of it."""
    top, bottom = 0.0, CELL_HEIGHT * frame.height
    web = canvas.band(top, bottom, frame.web).level_with(burn)
    for worst, harm, side in (
        (frame.view.worst_web(), web - burn, -1),
        (frame.view.worst_wall(), burn - canvas.band(top, bottom, frame.bore), 1),
    ):
        if worst is None or worst.left_mm >= 0:
            continue
        y = frame.y(worst.depth_mm)
        is_right = side * frame.view.shift_at_mm(worst.depth_mm) > 0
        canvas.fill(harm or canvas.spot(frame.burn(y)[is_right], y), Ink.HARM)


def _snapped(canvas: Canvas, y: float) -> float:
    """The lower end of the half row, or in plain ASCII of the row, that a height is in."""
    step = max(canvas.step, _HALF_ROW)
    return (math.floor(y / step) + 1) * step


def _draw_electrode(canvas: Canvas, frame: Frame) -> None:
    """Draw the electrode down to its tip, and under it how much deeper it may be."""
    view = frame.view
    if view.tip_mm is None:
        return
    bottom = _snapped(canvas, frame.y(max(view.tip_mm, 0.0)))
    row_end = CELL_HEIGHT * math.ceil(bottom / CELL_HEIGHT)
    tube = canvas.band(0, bottom, frame.electrode)
    canvas.clear(canvas.band(0, row_end, frame.electrode))
    canvas.fill(tube - canvas.band(0, bottom, frame.electrode_bore), Ink.ELECTRODE)
    end = canvas.band(bottom - max(canvas.step, _HALF_ROW), bottom, frame.electrode)
    canvas.fill(end, Ink.TIP)
    if view.high_mm is not None:
        deeper = canvas.band(row_end, frame.y(view.high_mm), frame.electrode)
        canvas.fill(deeper, Ink.DOUBT, striped)


def _write_lines(sheet: Sheet, canvas: Canvas, frame: Frame, placed: list[Placed]) -> None:
    """Write a lead from every level to the right edge; those not to be passed cross the bore.

    Where there are no labels the lines are drawn all the same, without those of stops to come.
    """
    levels = [place.level for place in placed if place.is_led]
    if not placed:
        levels = [level for level in frame.view.levels if level.ink is not Ink.LATER]
    for ink, lines in _LINES.items():
        for level in levels:
            if level.ink is not ink:
                continue
            row = frame.row(level.depth_mm)
            left, right = canvas.cells_beside(frame.bore, row)
            inside = range(left + 1, right) if ink in _CROSSING else range(0)
            for column in (*inside, *range(right + 1, frame.width)):
                if sheet.ink(column, row) not in _OVER_LINES:
                    sheet.write(column, row, lines[canvas.ascii_only], ink)


class SideSection(PictureWidget):
    """The hole cut open. ``view``: what to show."""

    view: reactive[SideView | None] = reactive(None)

    def __init__(
        self,
        view: SideView | None = None,
        *,
        id: str | None = None,  # noqa: A002
    ) -> None:
        super().__init__(id=id)
        self.set_reactive(SideSection.view, view)

    def draw(self, width: int, height: int) -> Picture:
        if self.view is None:
            return super().draw(width, height)
        return side_section(self.view, width, height, ascii_only=ascii_only())
