"""What a side section shows, and the levels that are pointed out in it."""

from __future__ import annotations

from dataclasses import dataclass

from cockpit.units import LengthUnit, write_length
from cockpit.widgets.picture import Ink


@dataclass(frozen=True, slots=True)
class SideView:
    """A hole cut open. Lengths in millimetres, depths from the part's surface, positive down.

    ``recess_mm``: depth of the break. ``tip_mm``: depth of the burn so far, somewhere between
    ``low_mm`` and ``high_mm``; None before there is a burn. ``stop_mm``: where the depth stop is
    set, in *travel of the indicator*: the burn gets no deeper than that. ``limit_mm``: None for a
    through hole. ``bottom_mm``: bottom of the hole, or the far side of a part it goes through;
    None when nobody knows. ``unit``: what the figures are written in.
    """

    recess_mm: float
    target_mm: float
    through: bool
    unit: LengthUnit = LengthUnit.MM
    tip_mm: float | None = None
    low_mm: float | None = None
    high_mm: float | None = None
    stop_mm: float | None = None
    limit_mm: float | None = None
    bottom_mm: float | None = None

    @property
    def deepest_mm(self) -> float:
        """The depth of the deepest thing to be shown."""
        return max(level.depth_mm for level in self.levels)

    @property
    def levels(self) -> tuple[Level, ...]:
        """The levels to be pointed out, from the surface down."""
        named = (
            ("surface", 0.0, Ink.LABEL),
            ("break", self.recess_mm, Ink.LABEL),
            ("tip", self.tip_mm, Ink.TIP),
            ("target", self.target_mm, Ink.TARGET),
            ("limit", self.limit_mm, Ink.LIMIT),
            ("far side" if self.through else "bottom", self.bottom_mm, Ink.LABEL),
            ("travel stop", self.stop_mm, Ink.STOP),
        )
        levels = [
            Level(name, depth_mm, ink, write_length(depth_mm, self.unit, with_unit=False))
            for name, depth_mm, ink in named
            if depth_mm is not None
        ]
        return tuple(sorted(levels, key=lambda level: level.depth_mm))


@dataclass(frozen=True, slots=True)
class Level:
    """A depth with a name. ``figure``: the depth as the operator reads it, without its unit."""

    name: str
    depth_mm: float
    ink: Ink
    figure: str
