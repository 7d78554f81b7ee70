"""The scales of a side section: where a depth and a distance from the hole's axis are drawn."""

from __future__ import annotations

import math

from cockpit.widgets.canvas import CELL_HEIGHT
from cockpit.widgets.side_view import SideView

# The bore is drawn at least this many columns wide, if need be wider than true.
_CLEAR_COLUMNS = 10
# Columns of metal left and right of the bore: the least, and what is shown when there is room.
_LEAST_METAL, _METAL = 1.5, 3.0
# The part of the drawing's width that a sketch's bore takes, in whole columns of this many, so that
# all edges are edges of cells; and the most columns it is drawn on.
_SKETCHED_PART, _SKETCHED_STEP, _SKETCHED_COLUMNS = 0.62, 4, 30
# Parts of the true width: within the first it counts as true; for less than the second it is kept.
_AS_GOOD_AS_TRUE, _NOT_WORTH_A_STRETCH = 0.05, 0.15


class Frame:
    """Where things stand on a canvas: x and y from the top left corner, in widths of a cell.

    A depth belongs to the row whose middle is nearest. Above the surface there is room for the
    electrode, under the deepest level a row of metal and ``spare`` more, which leave labels more
    room. Across, the scale is that of the depths when that fits and the bore comes out wide enough
    to be clear; else all is as much wider or narrower as ``note`` says.
    """

    def __init__(
        self,
        view: SideView,
        room: int,
        height: int,
        spare: int = 0,
        *,
        ascii_only: bool = False,
    ) -> None:
        self.view = view.drawable()
        self.height = height
        self._sky = 1 if height < 12 else 2
        self._rows_a_mm = max(height - 2 - self._sky - spare, 1) / max(view.deepest_mm, 1e-3)
        self._times = "x" if ascii_only else "×"
        self.is_sketch = view.bore_mm is None
        self._fit(max(room, 1))
        self.surface = self.row(0.0)
        self.floor = None if view.bottom_mm is None else self.row(view.bottom_mm)

    def _fit(self, room: int) -> None:
        """Choose the scale across, ``per_mm`` columns a millimetre, and the drawing's width."""
        view, true = self.view, CELL_HEIGHT * self._rows_a_mm
        bore_mm = max(view.bore_at_mm(0.0), view.bore_at_mm(view.target_mm), 1e-3)
        half_mm = max(bore_mm / 2, min(self._reach_mm(), bore_mm))
        if self.is_sketch:
            self.width, self.note = max(min(room - room % 2, _SKETCHED_COLUMNS), 1), ""
            steps = max(round(_SKETCHED_PART * self.width / _SKETCHED_STEP), 1)
            self.per_mm = steps * _SKETCHED_STEP / bore_mm
        else:
            most = max(room / 2 - _LEAST_METAL, 0.5) / half_mm
            self.per_mm = min(max(true, _CLEAR_COLUMNS / bore_mm), most)
            if true <= self.per_mm <= true * (1 + _NOT_WORTH_A_STRETCH):
                self.per_mm = true
            drawn = 2 * half_mm * self.per_mm
            self.width = min(room, math.ceil(max(drawn + 2 * _METAL, drawn * 1.4)))
            self.note = self._compare(self.per_mm / true)
        self.axis = self.width / 2

    def _reach_mm(self) -> float:
        """How far from the hole's axis the burn gets by the time it is at the target.

        Not by now: the scale has to stand still while the tip goes down.
        """
        view = self.view
        if view.tip_mm is None and view.offset_mm is None:
            return 0.0
        ends_mm = (view.shift_at_mm(view.recess_mm), view.shift_at_mm(view.target_mm))
        return max(map(abs, ends_mm)) + (view.hole_mm or 0.0) / 2

    def _compare(self, ratio: float) -> str:
        if abs(ratio - 1) <= _AS_GOOD_AS_TRUE:
            return "to scale"
        return f"width {self._times}{ratio:.{1 if ratio < 9.95 else 0}f}"

    def y(self, depth_mm: float) -> float:
        """The height of a depth on the canvas; above the surface, as well."""
        return CELL_HEIGHT * (self._sky + 0.5 + depth_mm * self._rows_a_mm)

    def depth_mm(self, y: float) -> float:
        """The depth at a height on the canvas."""
        return (y / CELL_HEIGHT - self._sky - 0.5) / self._rows_a_mm

    def row(self, depth_mm: float) -> int:
        """The row of a depth; what is deeper than the drawing goes to its last row."""
        y = self.y(max(depth_mm, 0.0))
        return int(min(y / CELL_HEIGHT, self.height - 1))

    def is_below(self, depth_mm: float) -> bool:
        """Whether a depth is deeper than the drawing goes."""
        return self.y(depth_mm) > CELL_HEIGHT * self.height

    def across(self, diameter_mm: float, shift_mm: float = 0.0) -> tuple[float, float]:
        """The left and the right edge of something round, in columns."""
        middle, half = self.axis + shift_mm * self.per_mm, diameter_mm / 2 * self.per_mm
        return middle - half, middle + half

    def bore(self, y: float) -> tuple[float, float]:
        """The walls of the hole at a height on the canvas."""
        return self.across(self.view.bore_at_mm(self.depth_mm(y)))

    def burn(self, y: float) -> tuple[float, float]:
        """The walls of the burn at a height on the canvas."""
        return self.across(self.view.hole_mm or 0.0, self.view.shift_at_mm(self.depth_mm(y)))

    def electrode(self, y: float) -> tuple[float, float]:
        """The outside of the electrode at a height on the canvas."""
        return self.across(self.view.electrode_mm or 0.0, self.view.shift_at_mm(self.depth_mm(y)))

    def electrode_bore(self, y: float) -> tuple[float, float]:
        """The inside of the electrode at a height on the canvas, about half of the outside."""
        left, right = self.electrode(y)
        return left + (right - left) / 4, right - (right - left) / 4

    def web(self, y: float) -> tuple[float, float]:
        """The web of the tool; the same at every height."""
        return self.across(self.view.web_mm or 0.0)
