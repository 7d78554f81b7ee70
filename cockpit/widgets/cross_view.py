"""What a cross-section shows, and the signs it is drawn with."""

from __future__ import annotations

import math
from dataclasses import dataclass

from cockpit.widgets.picture import Ink

ARROWS = "→↗↑↖←↙↓↘"
"""Arrows by eighths of a turn, from the operator's right towards away."""

ASCII_ARROWS = ">/^\\</v\\"
"""The same in plain ASCII."""

ASCII_MARKS = {
    Ink.PART: ".",
    Ink.THREAD: "o",
    Ink.TOOL: ":",
    Ink.WEB: "#",
    Ink.BURNT: "*",
    Ink.ELECTRODE: "e",
    Ink.ALLOWED: "a",
    Ink.CENTRE: "+",
    Ink.HARM: "!",
}
"""The character of each ink in plain ASCII."""

# Half of the last place a millimetre is written to: less than this is shown as nothing.
_NOTHING_MM = 0.005


@dataclass(frozen=True, slots=True)
class CrossView:
    """A hole seen from above. Lengths in millimetres; those without "offset" are diameters.

    ``minor_mm``: the thread's minor diameter, or the bore of a plain hole. ``web_mm``: None where
    there is no web (screw, pin). ``allowed_offset_mm``: how far off the burn may stand; negative
    when the electrode does not fit. ``offset``: where the burn's axis stands, across (to the
    operator's right) and along (away from the operator); None before there is a burn.
    ``flutes``: None where there are none.
    """

    minor_mm: float
    nominal_mm: float
    web_mm: float | None
    hole_mm: float
    electrode_mm: float
    allowed_offset_mm: float
    offset: tuple[float, float] | None = None
    flutes: int | None = None

    @property
    def offset_mm(self) -> float:
        """How far the burn's axis stands from the hole's."""
        return math.hypot(*self.offset) if self.offset else 0.0

    @property
    def reach_mm(self) -> float:
        """The distance from the hole's axis of the outermost thing to be shown."""
        return max(self.nominal_mm / 2, self.offset_mm + self.hole_mm / 2)

    @property
    def is_off(self) -> bool:
        """Whether the burn stands off by enough to be shown."""
        return self.offset_mm >= _NOTHING_MM

    @property
    def is_too_far_off(self) -> bool:
        """Whether the burn stands further off than it may."""
        return self.offset is not None and self.offset_mm > self.allowed_offset_mm

    @property
    def touches_thread(self) -> bool:
        """Whether the burn, where it stands, reaches past the minor diameter."""
        return self.offset_mm + self.hole_mm / 2 > self.minor_mm / 2

    @property
    def leaves_web(self) -> bool:
        """Whether the burn, where it stands, leaves a sliver of the web."""
        return self.web_mm is not None and self.offset_mm + self.web_mm / 2 > self.hole_mm / 2
