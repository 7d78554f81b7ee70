"""The hole cut open from the side, to scale in depth: what is burnt, how far to go, what stops it.

The drawing stands at the left. Every level is led out to a label at the right; labels that would
fall on one row are spread apart, and their leads bend.
"""

from __future__ import annotations

from dataclasses import dataclass

from textual.reactive import reactive

from cockpit.widgets.picture import Ink, Picture, PictureWidget, Sheet
from cockpit.widgets.side_labels import LEAD_WIDTH, draw_labels, heaviest, label_width
from cockpit.widgets.side_view import SideView
from cockpit.widgets.terminal import ascii_only

__all__ = ["SideSection", "SideView", "side_section"]

_NARROWEST = 9
_WIDEST = 31


# Across a tube: its left edge, its wall, its bore, its right edge.
_Tube = tuple[str, str, str, str]


@dataclass(frozen=True, slots=True)
class _Marks:
    """The characters a section is drawn with."""

    part: str
    tool: str
    wall: str
    edge: str
    corners: tuple[str, str, str, str]
    tube: _Tube
    tip: _Tube
    half_tip: _Tube
    doubt: str
    lines: dict[Ink, str]


_BLOCKS = _Marks(
    part="░",
    tool="▓",
    wall="│",
    edge="─",
    corners=("┐", "┌", "└", "┘"),
    tube=("▐", "█", " ", "▌"),
    tip=("▐", "█", "█", "▌"),
    half_tip=("▝", "▀", "▀", "▘"),
    doubt="▒",
    lines={Ink.STOP: "┄", Ink.TARGET: "━", Ink.LIMIT: "═"},
)
_ASCII = _Marks(
    part=".",
    tool="#",
    wall="|",
    edge="-",
    corners=("+", "+", "+", "+"),
    tube=("|", ":", " ", "|"),
    tip=("|", "_", "_", "|"),
    half_tip=("|", "_", "_", "|"),
    doubt="?",
    lines={Ink.STOP: "~", Ink.TARGET: "-", Ink.LIMIT: "="},
)


class _Frame:
    """Where things stand on the sheet: columns from the left, rows from the top.

    A depth belongs to the row whose middle is nearest. Above the surface there is room for the
    electrode, under the deepest level a row of metal.
    """

    def __init__(self, view: SideView, width: int, height: int) -> None:
        self.view = view
        self.width = width
        self.height = height
        self._sky = 1 if height < 12 else 2
        self._rows_a_mm = max(height - 2 - self._sky, 1) / max(view.deepest_mm, 1e-3)
        self.left_wall = max(1, width // 7)
        room = width - 2 * self.left_wall - 2
        self.bore = room - 1 + room % 2
        self.right_wall = self.left_wall + 1 + self.bore
        self.slot = self.bore // 2 | 1
        self.slot_left = self.left_wall + 1 + (self.bore - self.slot) // 2
        self.surface = self.row(0.0)
        self.floor = None if view.bottom_mm is None else self.row(view.bottom_mm)

    def row(self, depth_mm: float) -> int:
        return int(self._middle(depth_mm))

    def is_upper_half(self, depth_mm: float) -> bool:
        return self._middle(depth_mm) % 1 < 0.5

    def _middle(self, depth_mm: float) -> float:
        return self._sky + 0.5 + max(depth_mm, 0.0) * self._rows_a_mm


def side_section(view: SideView, width: int, height: int, *, ascii_only: bool = False) -> Picture:
    """Draw the hole cut open on ``width`` × ``height`` cells; 30 × 9 is the least that is clear.

    A stop is set in travel and its label says so. When there are more levels than rows, tip,
    target and limit keep their labels longest.
    """
    sheet = Sheet(width, height)
    if width < 1 or height < 2:
        return sheet.picture()
    marks = _ASCII if ascii_only else _BLOCKS
    room = width - LEAD_WIDTH - label_width(view.levels)
    frame = _Frame(view, min(max(room, _NARROWEST), _WIDEST), height)
    for row in range(height):
        sheet.write(0, row, _part_row(frame, marks, row), Ink.PART)
    _draw_tool(sheet, frame, marks)
    _draw_lines(sheet, frame, marks)
    _draw_electrode(sheet, frame, marks)
    levels = heaviest(view.levels, height - 1)
    rows = [frame.row(level.depth_mm) for level in levels]
    draw_labels(sheet, frame.width, levels, rows, view.unit, ascii_only=ascii_only)
    return sheet.picture()


def _part_row(frame: _Frame, marks: _Marks, row: int) -> str:
    """Give a row of the part, with the empty bore in it."""
    top_left, top_right, bottom_left, bottom_right = marks.corners
    hollow = " " * frame.bore
    below = frame.floor is not None and row > frame.floor
    if row < frame.surface or (below and frame.view.through):
        return ""
    if row == frame.surface:
        return _walled(frame, marks.edge, top_left + hollow + top_right)
    if below:
        return marks.part * frame.width
    if row != frame.floor:
        return _walled(frame, marks.part, marks.wall + hollow + marks.wall)
    if frame.view.through:
        return _walled(frame, marks.edge, bottom_right + hollow + bottom_left)
    return _walled(frame, marks.part, bottom_left + marks.edge * frame.bore + bottom_right)


def _walled(frame: _Frame, metal: str, bore: str) -> str:
    return metal * frame.left_wall + bore + metal * (frame.width - frame.right_wall - 1)


def _draw_tool(sheet: Sheet, frame: _Frame, marks: _Marks) -> None:
    """Draw what is stuck in the bore, from the break to the target."""
    for row in range(frame.row(frame.view.recess_mm), frame.row(frame.view.target_mm) + 1):
        sheet.write(frame.left_wall + 1, row, marks.tool * frame.bore, Ink.TOOL)


def _draw_lines(sheet: Sheet, frame: _Frame, marks: _Marks) -> None:
    """Draw a lead from every level to the right edge; those not to be passed cross the bore too."""
    weight = [Ink.LABEL, *marks.lines, Ink.TIP]
    for level in sorted(frame.view.levels, key=lambda level: weight.index(level.ink)):
        row = frame.row(level.depth_mm)
        line = marks.lines.get(level.ink, marks.edge)
        if level.ink in marks.lines:
            sheet.write(frame.left_wall + 1, row, line * frame.bore, level.ink)
        lead = frame.right_wall + 1
        sheet.write(lead, row, line * (frame.width - lead), level.ink)


def _draw_electrode(sheet: Sheet, frame: _Frame, marks: _Marks) -> None:
    """Draw the electrode down to its tip, and under it how much deeper it may be."""
    view = frame.view
    if view.tip_mm is None:
        return
    tip = frame.row(view.tip_mm)
    for row in range(tip):
        sheet.write(frame.slot_left, row, _tube(marks.tube, frame.slot), Ink.ELECTRODE)
    end = marks.half_tip if frame.is_upper_half(view.tip_mm) else marks.tip
    sheet.write(frame.slot_left, tip, _tube(end, frame.slot), Ink.TIP)
    for row in range(tip + 1, frame.row(view.high_mm or view.tip_mm) + 1):
        sheet.write(frame.slot_left, row, marks.doubt * frame.slot, Ink.TIP)


def _tube(tube: _Tube, width: int) -> str:
    """Draw a tube across, its walls about a quarter of its width each."""
    left, wall, bore, right = tube
    thickness = (width - 1) // 4
    return left + wall * thickness + bore * (width - 2 - 2 * thickness) + wall * thickness + right


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
