"""How a burn stands at one moment, as the screen shows it."""

from __future__ import annotations

from dataclasses import dataclass

from cockpit.burn.calls import Call
from cockpit.trade.wear import Wear


@dataclass(frozen=True, slots=True)
class Span:
    """A figure with its interval."""

    low: float
    mid: float
    high: float


@dataclass(frozen=True, slots=True)
class BurnState:
    """One moment of a burn. Lengths mm, times s, feed mm of depth a minute.

    ``depth_mm`` is None until the arc was on once with a reading; its interval is 95 %, and it lies
    between the break and the travel that made it. ``high_mm`` is the travel at which the tip stands
    on the work: the farthest so far, or where it is believed to be after the electrode or the spot
    was changed; ``has_landed`` is False until it stands there. ``is_unseen``: it may stand deeper,
    and the hole be deeper than ``depth_mm``, since nobody saw how its last burn ended.
    ``electrodes``: how many were burnt with.
    """

    t_s: float
    arc_on: bool
    arc_s: float
    burns: int
    electrodes: int
    travel_mm: float | None
    high_mm: float | None
    has_landed: bool
    is_unseen: bool
    depth_mm: Span | None
    wear: Wear
    feed_mm_min: float | None
    to_go_mm: float | None
    to_target_s: Span | None
    standing: tuple[Call, ...]
    readings: int
    rejected: int

    @property
    def top_call(self) -> Call | None:
        """The one call to act on now."""
        return self.standing[0] if self.standing else None
