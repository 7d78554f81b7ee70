"""What an operator does next once the arc is off."""

from __future__ import annotations

from collections.abc import Collection

from cockpit.burn.calls import CallKind
from cockpit.burn.state import BurnState
from cockpit.flow.steps import Step

#: So much deeper than it was to be, a spot guides the electrode back into itself, mm (assumed).
HOLDS_MM = 0.5


def is_spot_burnt(state: BurnState, least_mm: float, *, is_burnt: bool, had_spot: bool) -> bool:
    """Whether there is a spot to look at: a pilot as deep as ``least_mm``, as far as is known.

    ``is_burnt``: a burn of this sitting has ended. ``had_spot``: there was one before. What nobody
    could read is looked at rather than burnt on.
    """
    depth = state.depth_mm
    is_deep = depth is not None and depth.mid >= least_mm
    if not state.has_landed:
        # How deep it is now nobody knows; but what was there before is deep enough or not.
        return is_burnt or (had_spot and is_deep)
    return (is_burnt or had_spot) and (is_deep or depth is None)


def holds_electrode(over_mm: float) -> bool:
    """Whether a spot this much deeper than planned, mm, would hold the electrode in its place.

    >>> holds_electrode(0.3), holds_electrode(1.2)
    (False, True)
    """
    return over_mm > HOLDS_MM


def after_arc(standing: Collection[CallKind], *, at_stop: bool) -> Step:
    """Where the hole goes from the burn: past the limit, know how far before all.

    ``standing``: the calls that stand. ``at_stop``: whether this burn ended on the stop.

    >>> after_arc({CallKind.THROUGH, CallKind.NEAR}, at_stop=False)
    <Step.CLEANOUT: 'clean-out'>
    """
    if CallKind.LIMIT in standing:
        return Step.TOUCH
    if CallKind.THROUGH in standing:
        return Step.CLEANOUT
    if CallKind.TARGET in standing or at_stop:
        return Step.TOUCH
    if CallKind.SHORT in standing:
        return Step.ELECTRODE
    return Step.BURN
