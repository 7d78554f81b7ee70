"""From a hole in hand to what the drawings show."""

from __future__ import annotations

from cockpit.burn.tracker import BurnState
from cockpit.flow.hole import HoleInHand
from cockpit.units import LengthUnit
from cockpit.widgets.cross_view import CrossView
from cockpit.widgets.side_view import SideView


def cross_view(hole: HoleInHand, offset: tuple[float, float] | None = None) -> CrossView:
    """The hole from above, with the burn at ``offset`` (across, along; mm) if there is one."""
    plan = hole.plan
    return CrossView(
        minor_mm=plan.thread.minor_min_mm,
        nominal_mm=plan.thread.nominal_mm,
        web_mm=plan.remnant.web_mm,
        hole_mm=plan.electrode.hole_mm,
        electrode_mm=plan.electrode.diameter_mm,
        allowed_offset_mm=plan.electrode.allowed_offset_mm,
        offset=offset,
        flutes=plan.remnant.flutes,
    )


def side_view(hole: HoleInHand, unit: LengthUnit, state: BurnState | None = None) -> SideView:
    """The hole cut open, with the tip where ``state`` has it."""
    depth, burnt = hole.plan.depth, state.depth_mm if state else None
    return SideView(
        recess_mm=depth.recess_mm,
        target_mm=depth.target_mm,
        through=hole.ticket.through,
        unit=unit,
        tip_mm=burnt.mid if burnt else None,
        low_mm=burnt.low if burnt else None,
        high_mm=burnt.high if burnt else None,
        stop_mm=depth.stops_mm[0] if state is None else hole.stop_mm,
        limit_mm=depth.limit_mm,
        bottom_mm=hole.ticket.depth_mm,
    )
