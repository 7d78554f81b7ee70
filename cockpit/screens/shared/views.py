"""From a hole in hand to what the drawings show."""

from __future__ import annotations

from math import hypot

from textual.geometry import Size

from cockpit.burn.state import BurnState
from cockpit.flow.hole import HoleInHand
from cockpit.flow.steps import Step
from cockpit.trade.plan import HOLE_RESTS_ON, OFFSET_RESTS_ON
from cockpit.units import LengthUnit
from cockpit.widgets.cross_view import CrossView
from cockpit.widgets.picture import Ink
from cockpit.widgets.side_view import SideView

#: While the arc is on a drawing is brought up to date with each second or fifth look at the gauge:
#: one of more cells than this takes longer, and does so less often.
SOON, LATER, LARGE_CELLS = 2, 5, 1800
# The figures of the plan that each ink's line in the legend rests on.
_CROSS_FIGURES = {
    Ink.THREAD: ("thread.minor_min_mm",),
    Ink.WEB: ("remnant.web_mm",),
    Ink.BURNT: HOLE_RESTS_ON,
    Ink.ELECTRODE: ("electrode.label",),
    Ink.KEEP: ("electrode.required_clearance_mm",),
    Ink.ALLOWED: OFFSET_RESTS_ON,
}


def every(size: Size) -> int:
    """With how many looks at the gauge a drawing of this size is brought up to date.

    >>> every(Size(30, 18)), every(Size(60, 52))
    (2, 5)
    """
    return LATER if size.area > LARGE_CELLS else SOON


def cross_view(
    hole: HoleInHand,
    offset: tuple[float, float] | None = None,
    before: tuple[float, float] | None = None,
) -> CrossView:
    """The hole from above, with the burn at ``offset`` (across, along; mm) if there is one.

    ``before``: where the spot of the pilot burn before this one sat.
    """
    plan = hole.plan
    electrode, thread = plan.electrode, plan.thread
    verdict = None if offset is None else hole.judge_centre(*offset)
    lower_mm = thread.minor_at_mm(plan.depth.deepest_mm)
    return CrossView(
        minor_mm=thread.minor_min_mm,
        nominal_mm=thread.nominal_mm,
        web_mm=plan.remnant.web_mm,
        hole_mm=electrode.hole_mm,
        electrode_mm=electrode.diameter_mm,
        allowed_offset_mm=electrode.allowed_offset_mm,
        offset=offset,
        flutes=plan.remnant.flutes,
        lower_minor_mm=lower_mm if thread.taper else None,
        required_mm=electrode.required_clearance_mm,
        thread_left_mm=None if verdict is None else verdict.thread_clearance_mm,
        web_left_mm=None if verdict is None else verdict.web_margin_mm,
        before=before,
        wall=thread.wall,
        marks={
            ink: mark for ink, figures in _CROSS_FIGURES.items() if (mark := plan.mark(*figures))
        },
    )


def side_view(
    hole: HoleInHand,
    unit: LengthUnit,
    state: BurnState | None = None,
    offset: tuple[float, float] | None = None,
) -> SideView:
    """The hole cut open, with the tip where ``state`` has it.

    With an ``offset`` it is cut along the way the burn is off: to the operator's right in the
    drawing when that is how it is off, else to the left.
    """
    plan = hole.plan
    depth, burnt = plan.depth, state.depth_mm if state else None
    thread, electrode = plan.thread, plan.electrode
    is_right = offset is None or offset[0] >= 0
    off_mm = None if offset is None else hypot(*offset) * (1 if is_right else -1)
    return SideView(
        recess_mm=depth.recess_mm,
        target_mm=depth.target_mm,
        through=hole.ticket.through,
        unit=unit,
        tip_mm=burnt.mid if burnt else None,
        tip="tip" if state is None or state.arc_on else "burnt",
        pilot_mm=depth.recess_mm + plan.pilot_mm if hole.step is Step.PILOT else None,
        low_mm=burnt.low if burnt else None,
        high_mm=burnt.high if burnt else None,
        stop_mm=_at_stop_mm(hole, state),
        limit_mm=depth.limit_mm,
        bottom_mm=hole.ticket.bottom_mm,
        stops_mm=() if state else tuple(map(hole.depth_at_stop_mm, depth.stops_mm)),
        tool_end_mm=hole.ticket.tool_end_mm,
        bore_mm=thread.minor_min_mm,
        hole_mm=electrode.hole_mm,
        web_mm=plan.remnant.web_mm,
        electrode_mm=electrode.diameter_mm,
        lower_bore_mm=thread.minor_at_mm(depth.target_mm) if thread.taper else None,
        offset_mm=off_mm,
        lean=0.0 if offset is None else hole.out_of_square * (1 if is_right else -1),
        marks={
            name: mark
            for name, mark in (
                ("break", plan.mark("depth.recess_mm")),
                ("target", plan.mark("depth.target_mm")),
                ("limit", plan.mark("depth.limit_mm")),
                ("at stop", hole.stop_mark()),
            )
            if mark
        },
    )


def _at_stop_mm(hole: HoleInHand, state: BurnState | None) -> float:
    """Where the tip will stand on the stop: as it is set, or, of a plan, on the first."""
    if state is not None:
        return hole.depth_at_stop_mm(hole.stop_mm, state)
    is_burnt = hole.step is Step.CENTRE
    return hole.stop_depth_mm if is_burnt else hole.depth_at_stop_mm(hole.plan.depth.stops_mm[0])
