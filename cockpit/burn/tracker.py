"""Readings and marks in, state and calls out.

Fed one event at a time, in the order of time. The screen, the replay and the rehearsal all run this
same class, and it looks at nothing but what it is fed: the same events give the same calls.
"""

from __future__ import annotations

import copy
import math
from collections.abc import Iterator
from typing import Final

from cockpit.burn.aim import Aim
from cockpit.burn.calls import Board, Call, CallKind, below
from cockpit.burn.estimate import Estimate
from cockpit.burn.gate import Gate
from cockpit.burn.progress import PROGRESS_MM
from cockpit.burn.reading import Mark, MarkKind, Reading
from cockpit.burn.state import BurnState, Span
from cockpit.trade.depth import target_calls
from cockpit.trade.wear import Z95, Z99, Wear

#: A cable counts as mended when nothing has jumped for so long, s (assumed).
JUMP_CALM_S: Final = 5.0
#: No new depth for this long, and for so many times as long as the feed makes likely ...
STALL_S: Final = 12.0
STALL_TIMES: Final = 3.0
#: ... for this much of it, mm (all assumed).
STALL_MM: Final = 0.15
#: Of a hole that takes several electrodes, one is used up when so much is left, mm (assumed).
LAST_OF_ELECTRODE_MM: Final = 1.0
#: A stop may stand at the limit by plan, and gives by so much: more passes it, mm (assumed).
PAST_LIMIT_MM: Final = 0.1
#: Relative sd of the feed over the rest of a burn (assumed), for the time to target.
FEED_SPREAD: Final = 0.2

#: What still stands when the arc is off: it tells what comes next.
AFTER_THE_ARC: Final = frozenset(
    {CallKind.LIMIT, CallKind.TARGET, CallKind.THROUGH, CallKind.SHORT}
)
#: What still stands when the arc comes on again: nothing has changed about it.
INTO_THE_NEXT_BURN: Final = frozenset({CallKind.LIMIT, CallKind.SHORT})


class Tracker:
    """The live estimate of one hole."""

    def __init__(self, aim: Aim) -> None:
        self.aim = aim
        self.readings = 0
        self.rejected = 0
        self._board = Board()
        self._gate = Gate(aim.head_speed_mm_s)
        self.estimate = Estimate(aim)
        self._pilot_mm: float | None = None
        self._jumped_s = -math.inf
        self._arc_since_s: float | None = None
        self._arc_s = 0.0
        self._is_long = False
        self._electrodes = 1
        #: Whether a fall was called at this spot.
        self.has_fallen = False
        self._burns = 0

    # What comes in -----------------------------------------------------------------------------

    def take(self, event: Reading | Mark) -> None:
        """Take the next reading or mark; one that can't be is counted, and changes nothing."""
        if isinstance(event, Reading):
            self._take_reading(event)
        else:
            self._take_mark(event)

    def tick(self, now_s: float) -> None:
        """Time has passed without an event: only silence can follow from that, or too long an arc.

        Each is called at the moment it fell due, however late it is noticed.
        """
        since_s = self._arc_since_s
        if since_s is None:
            return
        silent_s = self._gate.silent_from_s(since_s)
        if self.aim.streaming and now_s > silent_s:
            self._call(CallKind.SILENT, round(silent_s, 3))
        if self.aim.longest_s is not None and not self._is_long:
            due_s = since_s + self.aim.longest_s - self._arc_s
            if now_s > due_s:
                self._is_long = True
                self._call(CallKind.LONG, round(due_s, 3))

    def _take_reading(self, reading: Reading) -> None:
        if not self._gate.admits(reading.t_s, reading.travel_mm):
            self.rejected += 1
            return
        self.tick(reading.t_s)
        if self._gate.jumps(reading):
            self._reject_jump(reading.t_s)
            return
        dt_s = self._arc_time_since_last_s(reading.t_s)
        self._gate.keep(reading)
        self.readings += 1
        self._board.clear(CallKind.SILENT)
        if reading.t_s >= self._jumped_s + JUMP_CALM_S:
            self._board.clear(CallKind.JUMP)
        if self._arc_since_s is not None:
            self._burn(reading, dt_s)

    def _take_mark(self, mark: Mark) -> None:
        under_arc = mark.changes and self._arc_since_s is not None
        if under_arc or not self._gate.admits(mark.t_s, mark.value_mm):
            self.rejected += 1
            return
        self.tick(mark.t_s)
        match mark.kind:
            case MarkKind.START:
                self._arc_starts(mark.t_s, mark.value_mm)
            case MarkKind.STOP:
                self._arc_stops(mark.t_s)
            case MarkKind.UNSEEN:
                was_on = self._arc_since_s is not None
                self._arc_stops(mark.t_s)
                if was_on and self.aim.doubts_unseen:
                    self.estimate.lose_sight()
            case MarkKind.ELECTRODE:
                self.estimate.change_electrode(mark.value_mm or 0.0)
                self._electrodes += self._burns > 0
                # A target is for the electrode that reached it: with this one there is nothing to
                # touch off yet. What is true of the hole itself stands on.
                self._board.clear(CallKind.SHORT, CallKind.TARGET)
            case MarkKind.SPOT:
                self.estimate.change_spot()
                self.has_fallen = False
                self._board.clear(*CallKind)
            case _ if mark.value_mm is not None:
                self.estimate.measure(mark.kind, mark.value_mm)
                self._judge(mark.t_s)

    # The arc -----------------------------------------------------------------------------------

    def _arc_starts(self, t_s: float, pilot_mm: float | None) -> None:
        if self._arc_since_s is None:
            self._arc_since_s = t_s
            self._pilot_mm = pilot_mm
            self._burns += 1
            self.estimate.progress.arc_starts()
            self._board.clear(*(kind for kind in CallKind if kind not in INTO_THE_NEXT_BURN))
            self._judge(t_s)

    def _arc_stops(self, t_s: float) -> None:
        if self._arc_since_s is not None:
            self._arc_s += t_s - self._arc_since_s
            self._arc_since_s = None
            self._pilot_mm = None
            self._board.clear(*(kind for kind in CallKind if kind not in AFTER_THE_ARC))

    def _arc_time_since_last_s(self, t_s: float) -> float:
        """The arc time from the reading before to this one, s."""
        if self._arc_since_s is None or self._gate.last is None:
            return 0.0 if self._arc_since_s is None else t_s - self._arc_since_s
        return t_s - max(self._arc_since_s, self._gate.last.t_s)

    def _burn(self, reading: Reading, dt_s: float) -> None:
        before = self.estimate.progress.high_mm, self.estimate.told
        fall = self.estimate.burn(reading.travel_mm, dt_s)
        if fall is not None:
            self.has_fallen = True
            call = Call(reading.t_s, CallKind.THROUGH, self.estimate.depth_at_fall_mm(fall))
            self._board.judge(call, True)
        if fall or (self.estimate.progress.high_mm, self.estimate.told) != before:
            self._judge(reading.t_s)
        match self._stalled():
            case True:
                self._call(CallKind.STALLED, reading.t_s)
            case False:
                self._board.clear(CallKind.STALLED)

    def _reject_jump(self, t_s: float) -> None:
        """Count it; with the arc off it is no call, because a hand moves a head faster."""
        self.rejected += 1
        if self._arc_since_s is not None:
            self._jumped_s = t_s
            self._call(CallKind.JUMP, t_s)

    # Calls -------------------------------------------------------------------------------------

    def _call(self, kind: CallKind, t_s: float) -> None:
        self._board.judge(Call(t_s, kind, self._depth_mid()), True)

    def _judge(self, t_s: float) -> None:
        """What follows from the depth.

        With the arc off nothing is to be done about it, but what was may be over; only an electrode
        that won't last is best changed then.
        """
        high_mm, wear = self.estimate.contact()
        depth = self.estimate.depth()
        if high_mm is None or depth is None:
            return
        for kind, verdict in self._verdicts(high_mm, wear, depth):
            if not verdict or kind is CallKind.SHORT or self._arc_since_s is not None:
                self._board.judge(Call(t_s, kind, depth.mid), verdict)

    def _verdicts(
        self, high_mm: float, wear: Wear, depth: Span
    ) -> Iterator[tuple[CallKind, bool | None]]:
        aim = self.aim
        if self._pilot_mm is not None:
            yield CallKind.PILOT, below(self._pilot_mm - depth.mid, 0.0, 0.2)
        if aim.target_mm is not None:
            left_mm = min(
                at_mm - self.estimate.possible(wear.depth_mm(high_mm, sds))
                for sds, at_mm in target_calls(aim.target_mm, aim.limit_mm)
            )
            yield CallKind.TARGET, below(left_mm, 0.0, 0.2)
            yield CallKind.NEAR, below(left_mm, aim.near_mm, 1.25 * aim.near_mm)
        if aim.limit_mm is not None:
            deepest_mm = self.estimate.possible(wear.depth_mm(high_mm, Z99))
            yield CallKind.LIMIT, below(aim.limit_mm - deepest_mm, -PAST_LIMIT_MM, 0.0)
        if aim.reach_mm is not None:
            spare_mm = self._spare_mm(aim.reach_mm - high_mm, depth.mid, wear)
            yield CallKind.SHORT, below(spare_mm, 0.0, 0.5)

    def _spare_mm(self, left_mm: float, depth_mm: float, wear: Wear) -> float:
        """What of an electrode with ``left_mm`` of travel the rest of the hole will leave, mm.

        Where the hole takes several anyway, what is left before this one is used up.
        """
        if self.aim.electrodes > 1 or self._electrodes > 1 or self.aim.target_mm is None:
            return left_mm - LAST_OF_ELECTRODE_MM
        to_go_mm = max(0.0, self.aim.target_mm - depth_mm)
        return left_mm - to_go_mm / (1 - wear.within_reason.ratio)

    def _stalled(self) -> bool | None:
        progress = self.estimate.progress
        idle_s, feed_mm_s = progress.idle_s, progress.feed_before_mm_s
        if idle_s < STALL_S:
            return False if idle_s < STALL_S / 2 else None
        likely_s = STALL_MM / feed_mm_s if feed_mm_s else 0.0
        # Of the time, the burn itself took this much before it stalled.
        burning_s = likely_s * PROGRESS_MM / STALL_MM
        return True if idle_s >= max(STALL_S + burning_s, STALL_TIMES * likely_s) else None

    # What goes out -----------------------------------------------------------------------------

    @property
    def calls(self) -> list[Call]:
        """Every call so far, in the order of time."""
        return self._board.history

    def supposing(self, mark: Mark) -> BurnState:
        """The state that a mark would lead to; nothing changes."""
        other = copy.deepcopy(self)
        other.take(mark)
        return other.state()

    def arc_s(self, now_s: float) -> float:
        """Arc time so far, s; it runs on between readings."""
        if self._arc_since_s is None:
            return self._arc_s
        return self._arc_s + max(0.0, now_s - self._arc_since_s)

    def state(self, now_s: float | None = None) -> BurnState:
        """The state at ``now_s`` (s; the last event's time when None)."""
        now_s = self._gate.t_s if now_s is None else now_s
        high_mm, wear = self.estimate.contact()
        depth = self.estimate.depth()
        to_go_mm = self._to_go(depth)
        feed_mm_s = self.estimate.progress.feed_mm_s()
        deepens = 1 - wear.within_reason.ratio
        feed_mm_min = None if feed_mm_s is None else 60 * feed_mm_s * deepens
        last = self._gate.last
        return BurnState(
            t_s=now_s,
            arc_on=self._arc_since_s is not None,
            arc_s=self.arc_s(now_s),
            burns=self._burns,
            electrodes=self._electrodes,
            travel_mm=None if last is None else last.travel_mm,
            high_mm=high_mm,
            has_landed=self.estimate.is_landed,
            is_unseen=self.estimate.is_unseen,
            depth_mm=depth,
            wear=wear,
            feed_mm_min=feed_mm_min,
            to_go_mm=to_go_mm,
            to_target_s=_to_target(to_go_mm, feed_mm_min, wear.sd_mm),
            standing=self._board.standing,
            readings=self.readings,
            rejected=self.rejected,
        )

    def _depth_mid(self) -> float | None:
        depth = self.estimate.depth()
        return None if depth is None else depth.mid

    def _to_go(self, depth: Span | None) -> float | None:
        if self.aim.target_mm is None:
            return None
        return self.aim.target_mm - (self.aim.recess_mm if depth is None else depth.mid)


def _to_target(to_go_mm: float | None, feed_mm_min: float | None, sd_mm: float) -> Span | None:
    """The time to the target, s, with its 95 % interval."""
    if to_go_mm is None or to_go_mm <= 0 or feed_mm_min is None or feed_mm_min <= 0:
        return None
    half_mm = Z95 * math.hypot(sd_mm, FEED_SPREAD * to_go_mm)
    ways_mm = max(0.0, to_go_mm - half_mm), to_go_mm, to_go_mm + half_mm
    return Span(*(60 * way_mm / feed_mm_min for way_mm in ways_mm))
