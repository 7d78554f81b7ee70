"""Gauge to tracker to log, while a hole is in hand.

One direction: what the gauge sends is put on the hole's clock, shown to the tracker, and kept.
Marks and calls are on disk before ``LiveBurn`` returns; readings at most ``KEEP_EVERY_S`` later. A
disk that takes nothing stops no burn: what happened is kept in memory, called, and written when it
can be. Where the gauge's profile says so, the readings start and stop the arc clock too, and the
key wins.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress

from cockpit.burn.aim import Aim
from cockpit.burn.arcwatch import ArcWatch, Seems
from cockpit.burn.calls import Call, CallKind, in_order
from cockpit.burn.reading import CHANGING, Mark, MarkKind, Reading
from cockpit.burn.state import BurnState
from cockpit.burn.tracker import Tracker
from cockpit.flow.after_arc import holds_electrode
from cockpit.flow.clock import Clock
from cockpit.flow.depth_stop import StopWatch
from cockpit.flow.outbox import Outbox
from cockpit.flow.stillness import Stillness
from cockpit.gauges.protocol import (
    ArcHint,
    Gauge,
    Reject,
    Sample,
    StopHint,
    TouchHint,
    newest,
)
from cockpit.log import questions
from cockpit.log.rows import BurnEnd, BurnKind, SwitchedBy
from cockpit.log.store import FOLD_AT_ONCE, LogError, Store
from cockpit.trade.wear import Z95

#: Readings wait at most this long for the disk, s of the wall clock.
KEEP_EVERY_S = 0.25
#: A disk that took nothing is tried again after this long, s.
TRY_AGAIN_S = 1.0
#: A hole's clock leaps by this much over a break, so that times before and after can't touch, s.
BREAK_S = 1.0
#: Silence is judged this late, so that a reading on its way is not called missing, s.
GRACE_S = 0.05


class LiveBurn:
    """The burn of one hole as it happens: the only place where readings meet marks."""

    def __init__(
        self, store: Store, shift_id: int, hole_id: int, aim: Aim, gauge: Gauge, clock: Clock
    ) -> None:
        """Take up the hole's clock where the log left it. Raises LogError."""
        self.gauge = gauge
        self.rejects = 0
        #: Whether anything was measured since the last burn.
        self.is_measured = False
        #: The state that the stop was last set by, in an earlier sitting; None at first.
        self.when_stop_was_set: BurnState | None = None
        self.trouble = ""
        self._store = store
        self._shift_id = shift_id
        self._hole_id = hole_id
        self._clock = clock
        self._arc_on = False
        self._watch: ArcWatch | None = None
        self._watched_kind = BurnKind.BURN
        self._watched_pilot_mm: float | None = None
        self._watched_from_s = 0.0
        self._by_key = False
        self._outbox = Outbox(store, shift_id, hole_id, clock)
        #: The call that stands while the log can't be written.
        self._log_call: Call | None = None
        self._stop_watch = StopWatch()
        #: The depth that the pilot burn under the arc goes to, mm, and the call that it is past it.
        self._pilot_mm: float | None = None
        self._too_deep: Call | None = None
        self._stillness = Stillness()
        #: Whether the indicator stood still at the last look.
        self.is_still = False
        self._send_at_s = clock.s() + KEEP_EVERY_S
        self._began_s = clock.s()
        self._take_up(aim)

    # Taking up ---------------------------------------------------------------------------------

    def _take_up(self, aim: Aim) -> None:
        past = questions.events(self._store.connection, self._hole_id)
        self.tracker = Tracker(aim)
        for _, event in past:
            self.tracker.take(event)
            self._note_measured(event)
            if isinstance(event, Mark) and (event.measures or event.kind is MarkKind.ELECTRODE):
                self.when_stop_was_set = self.tracker.state()
        self._seq = past[-1][0] + 1 if past else 0
        self._last_s = past[-1][1].t_s if past else 0.0
        #: Every call so far, in the order they were raised.
        self.calls = list(self.tracker.calls)
        self._calls_seen = len(self.calls)
        self._fold_due = bool(past)
        self._close_cut_short()
        self._offset_s = self._last_s + BREAK_S if past else 0.0
        name = self.gauge.profile.name
        self._store.add_sitting(self._shift_id, self._hole_id, self._offset_s, name)
        self.glance()

    def _note_measured(self, event: Reading | Mark) -> None:
        if isinstance(event, Mark) and (event.measures or event.kind is MarkKind.START):
            self.is_measured = event.measures

    def _close_cut_short(self) -> None:
        """End a burn that nobody ended, at the last thing the log knows of it."""
        for burn in questions.burns(self._store.connection, self._hole_id):
            if burn.end_s is None:
                mark = Mark.at(self._last_s, MarkKind.UNSEEN)
                self._store.close_burn(
                    self._shift_id, self._hole_id, burn.id, BurnEnd.CUT_SHORT, self._seq, mark
                )
                self._seq += 1
                self.tracker.take(mark)

    # The clock ---------------------------------------------------------------------------------

    def now_s(self) -> float:
        """The time on the hole's own clock, s; never before the last event."""
        return self._on_hole_clock(self._clock.s())

    def _on_hole_clock(self, clock_s: float) -> float:
        return max(self._last_s, self._offset_s + clock_s - self._began_s)

    # Readings ----------------------------------------------------------------------------------

    def glance(self) -> Sample | None:
        """What the gauge shows, for a look at it; it is not tracked, and not kept."""
        self._send_when_due()
        arrived, now_s = self.gauge.drain(), self._clock.s()
        for item in arrived:
            if isinstance(item, Sample):
                self._stillness.saw(item.t_s, item.travel_mm)
        self.is_still = self._stillness.is_still(now_s)
        return newest(arrived, now_s)

    def pump(self) -> BurnState:
        """Take what the gauge sent since the last time, keep it, and say how the burn stands."""
        self._drain(follow_arc=True)
        self.tracker.tick(self.now_s() - GRACE_S)
        self._collect_calls()
        state = self.state()
        self._watch_stop(state)
        self._watch_pilot(state)
        self._send_when_due()
        self._fold_some()
        return state

    def state(self) -> BurnState:
        """How the burn stands, without looking at the gauge."""
        return self.tracker.state(self.now_s())

    @property
    def standing(self) -> tuple[Call, ...]:
        """The calls that stand, most important first."""
        of_the_burn = filter(self._is_told, self.tracker.state().standing)
        own = filter(None, (self._log_call, self._too_deep, self._stop_watch.standing))
        return in_order((*of_the_burn, *own))

    def _is_told(self, call: Call) -> bool:
        """Whether it is worth a word.

        A head that rests on its stop is no stall; a target that was measured asks for nothing more.
        """
        if call.kind is CallKind.STALLED:
            return self._stop_watch.standing is None
        return not (self.is_measured and call.kind is CallKind.TARGET)

    def _drain(self, *, follow_arc: bool = False) -> None:
        for item in self.gauge.drain():
            if isinstance(item, Reject):
                self.rejects += 1
            else:
                self._stillness.saw(item.t_s, item.travel_mm)
                reading = Reading.at(self._on_hole_clock(item.t_s), item.travel_mm)
                self._take(reading)
                seems = self._arc_seems(reading)
                if follow_arc and seems is not None:
                    self._follow_arc(seems, reading.t_s)
        self.is_still = self._stillness.is_still(self._clock.s())

    def _take(self, reading: Reading) -> None:
        self._outbox.reading(self._next_seq(reading.t_s), reading)
        self.tracker.take(reading)

    def _next_seq(self, t_s: float) -> int:
        self._last_s = max(self._last_s, t_s)
        self._seq += 1
        return self._seq - 1

    # Marks -------------------------------------------------------------------------------------

    @property
    def arc_on(self) -> bool:
        """Whether the arc clock runs."""
        return self._arc_on

    def arc_starts(self, kind: BurnKind, pilot_mm: float | None = None) -> BurnState:
        """Start the arc clock; ``pilot_mm`` is the depth that a pilot burn goes to."""
        self._drain()
        if not self._arc_on:
            self._start(kind, pilot_mm, self.now_s(), SwitchedBy.KEY)
        return self.state()

    def arc_stops(self) -> BurnState:
        """Stop the arc clock."""
        self._drain()
        if self._arc_on:
            self._stop(self.now_s(), SwitchedBy.KEY)
        return self.state()

    def _start(self, kind: BurnKind, pilot_mm: float | None, t_s: float, by: SwitchedBy) -> None:
        mark = Mark.at(t_s, MarkKind.START, pilot_mm)
        self._outbox.start(kind, self._next_seq(mark.t_s), mark, by)
        self._switched(mark, by)

    def _stop(self, t_s: float, by: SwitchedBy | None) -> None:
        mark = Mark.at(t_s, MarkKind.UNSEEN if by is None else MarkKind.STOP)
        self._outbox.stop(self._next_seq(mark.t_s), mark, by)
        self._switched(mark, by)
        self._fold_due = True

    def _switched(self, mark: Mark, by: SwitchedBy | None) -> None:
        self._arc_on = on = mark.kind is MarkKind.START
        # A stop has no depth with it: with the arc off it is on the screen, and no call any more.
        self._pilot_mm, self._too_deep = mark.value_mm, None
        self.tracker.take(mark)
        self._note_measured(mark)
        self._by_key = by is SwitchedBy.KEY
        self.gauge.hint(ArcHint(on))
        if self._watch is not None:
            self._watch.switched(on, by_key=self._by_key)
        self._collect_calls()
        self._send()

    def measured(self, kind: MarkKind, value_mm: float) -> BurnState:
        """Take a measurement of the operator: touch-off, electrode length lost, gauged depth."""
        return self._marked(kind, value_mm)

    def changed(self, kind: MarkKind) -> BurnState:
        """Another electrode is in the holder, zeroed; or the head stands over another spot."""
        return self._marked(kind, None)

    def supposing(self, kind: MarkKind) -> BurnState:
        """The state that such a change would lead to."""
        return self.tracker.supposing(Mark.at(self.now_s(), kind))

    def _marked(self, kind: MarkKind, value_mm: float | None) -> BurnState:
        self._drain()
        if kind in CHANGING:
            self._stop_watch.unset()
        mark = Mark.at(self.now_s(), kind, value_mm)
        self._outbox.mark(self._next_seq(mark.t_s), mark)
        self.tracker.take(mark)
        self._note_measured(mark)
        self._collect_calls()
        self._send()
        return self.state()

    def stop_at(self, stop_mm: float) -> None:
        """The depth stop is set to this travel, mm."""
        self._stop_watch.set_to(stop_mm)
        self.gauge.hint(StopHint(stop_mm))

    def _watch_stop(self, state: BurnState) -> None:
        if self._arc_on:
            depth_mm = None if state.depth_mm is None else state.depth_mm.mid
            idle_s = self.tracker.estimate.progress.idle_s
            call = self._stop_watch.saw(round(state.t_s, 3), state.high_mm, depth_mm, idle_s)
            self._raised([call] if call else [])

    def _watch_pilot(self, state: BurnState) -> None:
        """Call a pilot burn that goes on until the spot holds the electrode where it is."""
        depth, pilot_mm = state.depth_mm, self._pilot_mm
        if self._too_deep is not None or depth is None or pilot_mm is None:
            return
        if holds_electrode(depth.low - pilot_mm):
            self._too_deep = Call(round(state.t_s, 3), CallKind.TOO_DEEP, depth.mid)
            self._raised([self._too_deep])

    def touching(self, on: bool) -> None:
        """The operator is at the reference face, or back over the hole; only a demo listens."""
        self.gauge.hint(TouchHint(on))

    # The arc by itself -------------------------------------------------------------------------

    def arc_by_readings(self, kind: BurnKind | None, pilot_mm: float | None = None) -> None:
        """From now on readings may start a burn of this kind, and stop it; None: they may not.

        Only where the gauge's profile says so; nothing that was read before counts.
        """
        self._watch = None
        if kind is not None and self.gauge.profile.arc == "readings":
            resolution_mm = self.gauge.profile.resolution_mm
            self._watch = ArcWatch(self.tracker.aim.recess_mm, resolution_mm)
            self._watched_kind, self._watched_pilot_mm = kind, pilot_mm
            self._watched_from_s = self.now_s()
            self._by_key = False

    @property
    def arc_by(self) -> str:
        """What the arc clock follows where readings may switch it; nothing where they may not.

        "readings", or "key" once that was pressed.
        """
        if self._watch is None:
            return ""
        return "key" if self._by_key else "readings"

    def _arc_seems(self, reading: Reading) -> Seems | None:
        if self._watch is None or reading.t_s < self._watched_from_s:
            return None
        return self._watch.saw(reading.t_s, reading.travel_mm, self._mark_mm())

    def _mark_mm(self) -> float | None:
        """Where the tip stands on the work, mm; one that has yet to land may do so higher."""
        state = self.tracker.state()
        if state.high_mm is None or self.tracker.estimate.progress.has_landed:
            return state.high_mm
        return max(self.tracker.aim.recess_mm, state.high_mm - Z95 * state.wear.sd_mm)

    def _follow_arc(self, seems: Seems, t_s: float) -> None:
        """Switch the arc clock as it seems.

        It counts from the reading that showed it, so how often the gauge is looked at is no matter.
        """
        if seems is Seems.ON and not self._arc_on:
            self._start(self._watched_kind, self._watched_pilot_mm, t_s, SwitchedBy.READINGS)
        elif seems is Seems.OFF and self._arc_on:
            self._stop(t_s, SwitchedBy.READINGS)

    # Keeping -----------------------------------------------------------------------------------

    def close(self) -> None:
        """Leave the hole, and keep what waits; a burn whose arc clock runs is cut short by that.

        Raises LogError while that can't be written; it waits on then.
        """
        # First what is so already: refused, nobody has left, and the arc clock runs on.
        self._drain()
        self.settle()
        if self._arc_on:
            self._stop(self.now_s(), None)
        self.settle()
        with suppress(LogError):
            while self._store.fold(self._hole_id):
                pass

    @property
    def has_unkept_marks(self) -> bool:
        """Whether marks or calls wait, because the log could not be written."""
        return bool(self.trouble and self._outbox.deeds)

    def settle(self) -> None:
        """Put what waits into the log now, before anything else is that comes after it.

        Raises LogError while that can't be written; it waits on then.
        """
        self._send()
        if self.unkept:
            raise LogError(
                f"{self.unkept} readings, marks and calls of this hole are not in the log yet. "
                f"{self.trouble}"
            )

    @property
    def unkept(self) -> int:
        """How many readings, marks and calls wait for the log."""
        return len(self._outbox)

    def _send_when_due(self) -> None:
        if self._clock.s() >= self._send_at_s:
            self._send()

    def _send(self) -> None:
        """Put what waits on the disk; while that can't be, ``trouble`` and a call say so."""
        try:
            self._outbox.send()
        except LogError as error:
            self.trouble = str(error)
            if self._log_call is None:
                self._log_call = Call(self.now_s(), CallKind.LOG, None)
                self._raised([self._log_call])
            self._send_at_s = self._clock.s() + TRY_AGAIN_S
            return
        self._send_at_s = self._clock.s() + KEEP_EVERY_S
        self.trouble = ""
        self._log_call = None

    def _collect_calls(self) -> None:
        new = self.tracker.calls[self._calls_seen :]
        self._calls_seen += len(new)
        self._raised(list(filter(self._is_told, new)))

    def _raised(self, calls: Sequence[Call]) -> None:
        if calls:
            self.calls += calls
            self._outbox.calls(calls)
            # Soon, and in one piece with what showed them.
            self._send_at_s = min(self._send_at_s, self._clock.s())

    def _fold_some(self) -> None:
        """Fold a stretch of what is in the log, once a burn is over; the rest at the next looks."""
        if self._fold_due and not self._arc_on:
            try:
                self._fold_due = self._store.fold(self._hole_id) == FOLD_AT_ONCE
            except LogError:
                # Nothing is lost by it: whoever leaves the hole folds it then.
                self._fold_due = False
