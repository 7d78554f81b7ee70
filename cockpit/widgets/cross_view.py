"""What a cross-section shows, and the signs it is drawn with."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

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
    Ink.KEEP: "k",
    Ink.ALLOWED: "a",
    Ink.CENTRE: "+",
    Ink.BEFORE: "O",
    Ink.MOVE: "=",
    Ink.HARM: "!",
}
"""The character of each ink in plain ASCII."""

Offset = tuple[float, float]
"""Across (to the operator's right) and along (away from the operator), in millimetres."""

# Half of the last place a millimetre is written to: less than this is shown as nothing.
NOTHING_MM = 0.005


@dataclass(frozen=True, slots=True)
class CrossView:
    """A hole seen from above, in millimetres.

    Diameters: ``minor_mm`` of the thread, or the bore of a plain hole; ``nominal_mm``; ``web_mm``,
    None where there is no web (screw, pin); ``hole_mm``, the burn; ``electrode_mm``;
    ``lower_minor_mm``, the minor diameter at the bottom of the burn where a taper makes it another.

    On each side: ``allowed_offset_mm``, how far off the burn may stand, negative when the electrode
    does not fit; ``required_mm``, the clearance the thread needs; ``thread_left_mm`` and
    ``web_left_mm``, what the burn leaves to the thread and past the web on the worst side, negative
    for harm, and taken from the drawn figures when None.

    ``offset``: where the burn's axis stands; None before there is a burn. ``before``: where the
    pilot burn before this one stood. ``flutes``: None where there are none. ``wall``: what the burn
    must not reach, in a word. ``marks``: what stands behind the figure of an ink in the legend,
    such as the mark of one that a person overruled.
    """

    minor_mm: float
    nominal_mm: float
    web_mm: float | None
    hole_mm: float
    electrode_mm: float
    allowed_offset_mm: float
    offset: Offset | None = None
    flutes: int | None = None
    lower_minor_mm: float | None = None
    required_mm: float = 0.0
    thread_left_mm: float | None = None
    web_left_mm: float | None = None
    before: Offset | None = None
    wall: str = "thread"
    marks: Mapping[Ink, str] = field(default_factory=dict)

    @property
    def offset_mm(self) -> float:
        """How far the burn's axis stands from the hole's."""
        return math.hypot(*self.offset) if self.offset else 0.0

    @property
    def narrowest_mm(self) -> float:
        """The minor diameter where it is least."""
        return min(self.minor_mm, self.lower_minor_mm or self.minor_mm)

    @property
    def reach_mm(self) -> float:
        """The distance from the hole's axis of the outermost thing to be shown."""
        return max(self.nominal_mm / 2, self.minor_mm / 2, self.offset_mm + self.hole_mm / 2)

    @property
    def thread_clear_mm(self) -> float:
        """What the burn leaves to the thread on the worst side; negative inside the thread."""
        if self.thread_left_mm is not None:
            return self.thread_left_mm
        return (self.narrowest_mm - self.hole_mm) / 2 - self.offset_mm

    @property
    def web_margin_mm(self) -> float | None:
        """How far the burn reaches past the web on the worst side; negative when web is left."""
        if self.web_mm is None or self.web_left_mm is not None:
            return self.web_left_mm
        return (self.hole_mm - self.web_mm) / 2 - self.offset_mm

    @property
    def is_off(self) -> bool:
        """Whether the burn stands off by enough to be shown."""
        return self.offset_mm >= NOTHING_MM

    @property
    def is_too_far_off(self) -> bool:
        """Whether the burn stands further off than it may; a centred one cannot be bettered."""
        return self.is_off and self.offset_mm > max(self.allowed_offset_mm, 0.0)

    @property
    def touches_thread(self) -> bool:
        """Whether the burn, where it stands, reaches past the minor diameter."""
        return self.thread_clear_mm < 0

    @property
    def leaves_web(self) -> bool:
        """Whether the burn, where it stands, leaves a sliver of the web."""
        return self.web_margin_mm is not None and self.web_margin_mm < 0
