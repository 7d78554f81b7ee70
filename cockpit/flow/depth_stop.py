"""The head and its depth stop: whether it has come down to it, or past it."""

from __future__ import annotations

from cockpit.burn.calls import Call, CallKind
from cockpit.burn.state import BurnState, Span
from cockpit.burn.tracker import FEED_SPREAD
from cockpit.trade.wear import Z95

#: The head counts as down on the stop this near to it, mm.
AT_STOP_MM = 0.1
#: A stop gives by no more than this, mm (assumed).
GIVES_MM = 0.2
#: Near its stop and without new depth for so long the head rests on it, s (assumed).
RESTS_S = 5.0


def is_at_stop(high_mm: float | None, stop_mm: float) -> bool:
    """Whether the head has come down to the stop. Both in mm of travel.

    >>> is_at_stop(20.95, 21.0), is_at_stop(20.5, 21.0), is_at_stop(None, 21.0)
    (True, False, False)
    """
    return high_mm is not None and high_mm >= stop_mm - AT_STOP_MM


def is_past_stop(high_mm: float | None, stop_mm: float) -> bool:
    """Whether the head has come so far past the stop that this can't have held.

    >>> is_past_stop(21.1, 21.0), is_past_stop(21.3, 21.0), is_past_stop(None, 21.0)
    (False, True, False)
    """
    return high_mm is not None and high_mm > stop_mm + GIVES_MM


def to_stop_s(state: BurnState, stop_mm: float) -> Span | None:
    """The time to the stop, s, with its 95 % interval, where it comes before the target.

    None where the target comes first, or nothing is known of the feed. ``stop_mm``: of travel.
    """
    if state.high_mm is None or not state.feed_mm_min or state.to_go_mm is None:
        return None
    deepens_mm = (stop_mm - state.high_mm) * (1 - state.wear.within_reason.ratio)
    if not 0 < deepens_mm < state.to_go_mm:
        return None
    mid_s, part = 60 * deepens_mm / state.feed_mm_min, Z95 * FEED_SPREAD
    return Span(mid_s * (1 - part), mid_s, mid_s * (1 + part))


class StopWatch:
    """Calls the head on its stop, or past it. What was called stands until the stop is set anew."""

    def __init__(self) -> None:
        self._stop_mm: float | None = None
        #: The call that stands, if one does.
        self.standing: Call | None = None

    def set_to(self, stop_mm: float) -> None:
        """The stop is set to this travel, mm."""
        if stop_mm != self._stop_mm:
            self._stop_mm, self.standing = stop_mm, None

    def unset(self) -> None:
        """The electrode or the spot is another one: what was called is over, no stop is set yet."""
        self._stop_mm = self.standing = None

    def saw(
        self, t_s: float, high_mm: float | None, depth_mm: float | None, idle_s: float
    ) -> Call | None:
        """Look at a burn under the arc; give the call that this raises, if any.

        ``high_mm``: the farthest travel. ``idle_s``: since when there is no new depth.
        """
        if self._stop_mm is None:
            return None
        if is_past_stop(high_mm, self._stop_mm):
            kind = CallKind.SLIPPED
        elif is_at_stop(high_mm, self._stop_mm) and idle_s >= RESTS_S:
            kind = CallKind.AT_STOP
        else:
            return None
        if self.standing is not None and self.standing.kind in (kind, CallKind.SLIPPED):
            return None
        self.standing = Call(t_s, kind, depth_mm)
        return self.standing
