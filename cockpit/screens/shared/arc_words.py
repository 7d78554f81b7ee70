"""What the burn screens say beside their large figures, in the operator's unit.

Beside each large figure stand three short lines, so that a figure is never without its name.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from cockpit.burn.calls import CallKind
from cockpit.burn.state import BurnState
from cockpit.flow.depth_stop import is_at_stop, is_past_stop
from cockpit.flow.hole import HoleInHand
from cockpit.gauges.protocol import Gauge, GaugeStatus
from cockpit.screens.shared.words import PLACES_AFAR
from cockpit.units import LengthUnit, write_clock, write_difference, write_length
from cockpit.widgets.sparkline import feed_trace
from cockpit.widgets.terminal import ascii_only

#: What is said of the time while nothing is read.
NOT_KNOWN = "depth as read last; time not known"
#: After a change of electrode or spot; then the travel shows how deep it is.
NOT_LANDED = "tip not yet on the work"
#: A head so far above where it was is lifted, mm (assumed).
LIFTED_MM = 0.5


@dataclass(frozen=True, slots=True)
class ArcWords:
    """The words for one moment of a burn.

    ``recess_mm``: depth of the break, where the burn begins. ``target_mm``: what this burn goes to,
    called ``goal``, with the mark of a figure that somebody overruled. ``stop_mm``: where the depth
    stop is set, in travel.
    """

    state: BurnState
    unit: LengthUnit
    recess_mm: float
    target_mm: float
    stop_mm: float
    goal: str = "target"
    target_mark: str = ""
    stop_mark: str = ""

    @classmethod
    def of(
        cls,
        hole: HoleInHand,
        state: BurnState,
        unit: LengthUnit,
        goal: str,
        goal_mm: float,
        mark: str,
    ) -> ArcWords:
        """For a hole in hand, on its way to ``goal_mm``."""
        return cls(
            state,
            unit,
            recess_mm=hole.plan.depth.recess_mm,
            target_mm=goal_mm,
            stop_mm=hole.stop_mm,
            goal=goal,
            target_mark=mark,
            stop_mark=hole.stop_mark(),
        )

    @property
    def is_silent(self) -> bool:
        """Whether nothing is read: what was read last is not what it is now."""
        return any(call.kind is CallKind.SILENT for call in self.state.standing)

    @property
    def depth_mm(self) -> float:
        """How deep the burn is; before the first reading, where it begins."""
        depth = self.state.depth_mm
        return depth.mid if depth else self.recess_mm

    # Large -------------------------------------------------------------------------------------

    def arc(self) -> str:
        """The state of the burn."""
        return "ARC ON" if self.state.arc_on else "ARC OFF"

    def depth(self) -> str:
        """The depth."""
        return self._afar(self.depth_mm)

    def target(self) -> str:
        """The depth that this burn goes to."""
        return self._afar(self.target_mm)

    # Beside ------------------------------------------------------------------------------------

    def beside_arc(self) -> str:
        """The state once more, and the arc clock, which goes on from burn to burn."""
        burns = {0: "no burn yet", 1: "in 1 burn"}.get(self.state.burns)
        return "\n".join(
            (self.arc(), write_clock(self.state.arc_s), burns or f"in {self.state.burns} burns")
        )

    def beside_depth(self) -> str:
        """How far the depth is to be trusted, 95 %."""
        depth = self.state.depth_mm
        half = "not read yet"
        if self.state.is_unseen:
            # Nobody saw how the burn before ended.
            half = "or deeper"
        elif depth is not None:
            half = f"± {self._length((depth.high - depth.low) / 2)}"
        name = "depth, last" if self.is_silent else "depth"
        return f"{name}\n{self.unit}\n{half}"

    def beside_target(self) -> str:
        """How far it still is; or that it may be reached, as far as the depth is known."""
        left_mm = self.target_mm - self.depth_mm
        # Of the figures that stand beside it, so that they come out even.
        left = write_difference(self.target_mm, self.depth_mm, self.unit, PLACES_AFAR[self.unit])
        at_most = " at most" if self.state.is_unseen else " to go"
        to_go = f"{left}{at_most}" if left_mm >= 0 else f"OVER {left.lstrip('-')}"
        if left_mm >= 0 and self.state.depth_mm and self.state.depth_mm.high >= self.target_mm:
            # How much is left is not known: nobody is to burn on for it.
            to_go = "may be there"
        return f"{self.goal}{self.target_mark}\n{self.unit}\n{to_go}"

    # Small -------------------------------------------------------------------------------------

    def travel(self) -> str:
        """What the indicator shows, and how much of it is wear."""
        state = self.state
        ratio = "" if self.is_silent else f" ({state.wear.ratio:.2f} per {self.unit})"
        wear = f"wear {self._length(state.wear.wear_mm)}{ratio}"
        at_last = " at last" if self.is_silent else ""
        travel = f"{self._length(state.travel_mm)}{at_last}"
        return f"travel {travel}   {wear if state.has_landed else NOT_LANDED}"

    def feed(self, feeds: Sequence[float | None], width: int) -> str:
        """How fast it goes down, now and a second at a time before."""
        state = self.state
        known = state.arc_on and not self.is_silent
        feed = f"feed {self._length(state.feed_mm_min if known else None)} {self.unit}/min "
        return feed + feed_trace(feeds, max(8, width - len(feed)), ascii_only=ascii_only())

    def stop(self) -> str:
        """Where the depth stop is, or that the head is on it."""
        stop = self._length(self.stop_mm) + self.stop_mark
        high_mm = self.state.high_mm
        if high_mm is None or not self._is_at_stop:
            return f"stop {stop} on the indicator"
        if is_past_stop(high_mm, self.stop_mm):
            return f"PAST THE STOP {stop} by {self._length(high_mm - self.stop_mm)}: slipped?"
        travel_mm = self.state.travel_mm
        if not self.state.arc_on and travel_mm is not None and travel_mm < high_mm - LIFTED_MM:
            return f"was at the stop {stop}"
        return f"AT THE STOP {stop}"

    @property
    def _is_at_stop(self) -> bool:
        return is_at_stop(self.state.high_mm, self.stop_mm)

    def heard(self, gauge: Gauge, rejects: int, by: str) -> str:
        """Whether the gauge is live, what came of it, and ``by`` whom the arc clock is switched."""
        if gauge.status is not GaugeStatus.LIVE:
            return gauge.detail or f"gauge {gauge.status}"
        told = f"gauge {'silent' if self.is_silent else 'live'}, {self.state.readings} readings"
        rejected = rejects + self.state.rejected
        told += f", {rejected} rejected" if rejected else ""
        return told + (f"   arc by {by}" if by else "")

    def facts(
        self, time: str, heard: str, feeds: Sequence[float | None], width: int, *, is_live: bool
    ) -> Iterator[str]:
        """The small lines. ``time``: how long to go; ``heard``: what comes of the gauge."""
        yield self.travel()
        if not is_live:
            # What is wrong with the gauge matters more than what can't be known without it.
            yield heard
        yield self.stop()
        if self.state.is_unseen and not self.is_silent:
            time = "time not known before the tip lands"
        yield NOT_KNOWN if self.is_silent else "" if self._is_at_stop else time
        if is_live:
            yield self.feed(feeds, width)
            yield heard

    def small(self) -> Iterator[str]:
        """Clock and depth where there is no room for anything else."""
        depth = self.state.depth_mm
        told = self._length(depth.mid if depth else None)
        trust = f" ± {self._length((depth.high - depth.low) / 2)}" if depth else ""
        trust = " or deeper" if self.state.is_unseen else trust
        yield f"{self.arc()}  {write_clock(self.state.arc_s)}  depth {told} {self.unit}{trust}"
        yield f"{self.goal} {self._length(self.target_mm)}"

    def _afar(self, mm: float) -> str:
        return write_length(mm, self.unit, PLACES_AFAR[self.unit], with_unit=False)

    def _length(self, mm: float | None) -> str:
        return "--" if mm is None else write_length(mm, self.unit, with_unit=False)
