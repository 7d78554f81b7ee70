"""Gauge to tracker to log, while a hole is in hand.

One direction: what the gauge sends is put on the hole's clock, shown to the tracker, and kept.
Marks and calls are on disk before ``LiveBurn`` returns; readings at most ``KEEP_EVERY_S`` later.
Where the gauge's profile says so, the readings start and stop the arc clock too, and the key wins.
"""

from __future__ import annotations

from cockpit.burn.aim import Aim
from cockpit.burn.arcwatch import ArcWatch, Seems
from cockpit.burn.reading import Mark, MarkKind, Reading
from cockpit.burn.state import BurnState
from cockpit.burn.tracker import Tracker
from cockpit.flow.clock import Clock
from cockpit.flow.stillness import Stillness
from cockpit.gauges.protocol import ArcHint, Gauge, Reject, Sample, TouchHint
from cockpit.log import questions
from cockpit.log.rows import BurnEnd, BurnKind
from cockpit.log.store import LogError, Store
from cockpit.trade.wear import Z95

#: Readings wait at most this long for the disk, s of the wall clock.
KEEP_EVERY_S = 0.25
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
        #: The state that the stop was last set by, in an earlier sitting; None at first.
        self.when_stop_was_set: BurnState | None = None
        self.trouble = ""
        self._store = store
        self._shift_id = shift_id
        self._hole_id = hole_id
        self._clock = clock
        self._burn_id: int | None = None
        self._watch: ArcWatch | None = None
        self._watched_kind = BurnKind.BURN
        self._watched_pilot_mm: float | None = None
        self._watched_from_s = 0.0
        self._by_key = False
        self._waiting: list[tuple[int, Reading]] = []
        self._stillness = Stillness()
        #: Whether the indicator stood still at the last look.
        self.is_still = False
        self._kept_s = clock.s()
        self._began_s = clock.s()
        self._take_up(aim)

    # Taking up ---------------------------------------------------------------------------------

    def _take_up(self, aim: Aim) -> None:
        past = questions.events(self._store.connection, self._hole_id)
        self.tracker = Tracker(aim)
        for _, event in past:
            self.tracker.take(event)
            if isinstance(event, Mark) and (event.measures or event.kind is MarkKind.ELECTRODE):
                self.when_stop_was_set = self.tracker.state()
        self._seq = past[-1][0] + 1 if past else 0
        self._last_s = past[-1][1].t_s if past else 0.0
        self._calls_kept = len(self.tracker.calls)
        self._close_cut_short()
        self._offset_s = self._last_s + BREAK_S if past else 0.0
        self._store.add_sitting(self._shift_id, self._hole_id, self._offset_s)
        self.glance()

    def _close_cut_short(self) -> None:
        """End a burn that nobody ended, at the last thing the log knows of it."""
        for burn in questions.burns(self._store.connection, self._hole_id):
            if burn.end_s is None:
                mark = Mark.at(self._last_s, MarkKind.STOP)
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
        """The newest reading, for a look at the gauge; nothing is tracked or kept."""
        samples = [item for item in self.gauge.drain() if isinstance(item, Sample)]
        for sample in samples:
            self._stillness.saw(sample.t_s, sample.travel_mm)
        self.is_still = self._stillness.is_still(self._clock.s())
        return samples[-1] if samples else None

    def pump(self) -> BurnState:
        """Take what the gauge sent since the last time, keep it, and say how the burn stands."""
        self._drain(follow_arc=True)
        self.tracker.tick(self.now_s() - GRACE_S)
        self._keep_calls()
        if self._clock.s() - self._kept_s >= KEEP_EVERY_S:
            self._keep_readings()
        return self.state()

    def state(self) -> BurnState:
        """How the burn stands, without looking at the gauge."""
        return self.tracker.state(self.now_s())

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
                    follow_arc = self._follow_arc(seems, reading.t_s)
        self.is_still = self._stillness.is_still(self._clock.s())

    def _take(self, reading: Reading) -> None:
        self._waiting.append((self._next_seq(reading.t_s), reading))
        self.tracker.take(reading)

    def _next_seq(self, t_s: float) -> int:
        self._last_s = max(self._last_s, t_s)
        self._seq += 1
        return self._seq - 1

    # Marks -------------------------------------------------------------------------------------

    @property
    def arc_on(self) -> bool:
        """Whether the arc clock runs."""
        return self._burn_id is not None

    def arc_starts(self, kind: BurnKind, pilot_mm: float | None = None) -> BurnState:
        """Start the arc clock. Raises LogError, and then the clock does not run.

        ``pilot_mm``: the depth that a pilot burn goes to.
        """
        self._drain()
        if self._burn_id is None:
            self._start(kind, pilot_mm, self.now_s(), by_key=True)
        return self.state()

    def arc_stops(self) -> BurnState:
        """Stop the arc clock. Raises LogError, and then the clock runs on."""
        self._drain()
        if self._burn_id is not None:
            self._stop(self._burn_id, self.now_s(), by_key=True)
        return self.state()

    def _start(self, kind: BurnKind, pilot_mm: float | None, t_s: float, *, by_key: bool) -> None:
        mark = Mark.at(t_s, MarkKind.START, pilot_mm)
        seq = self._next_seq(mark.t_s)
        self._burn_id = self._store.open_burn(self._shift_id, self._hole_id, kind, seq, mark)
        self.tracker.take(mark)
        self._switched(True, by_key)
        self._keep_calls()

    def _stop(self, burn_id: int, t_s: float, *, by_key: bool) -> None:
        mark = Mark.at(t_s, MarkKind.STOP)
        seq = self._next_seq(mark.t_s)
        self._keep_readings()
        self._store.close_burn(self._shift_id, self._hole_id, burn_id, BurnEnd.OPERATOR, seq, mark)
        self._burn_id = None
        self.tracker.take(mark)
        self._switched(False, by_key)
        self._keep_calls()

    def _switched(self, on: bool, by_key: bool) -> None:
        self._by_key = by_key
        self.gauge.hint(ArcHint(on))
        if self._watch is not None:
            self._watch.switched(on, by_key=by_key)

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
        mark = Mark.at(self.now_s(), kind, value_mm)
        self._store.add_mark(self._shift_id, self._hole_id, self._next_seq(mark.t_s), mark)
        self.tracker.take(mark)
        self._keep_readings()
        self._keep_calls()
        return self.state()

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

    def _follow_arc(self, seems: Seems, t_s: float) -> bool:
        """Switch the arc clock as it seems; whether the log took it. If not, the next pump tries.

        It counts from the reading that showed it, so how often the gauge is looked at is no matter.
        """
        try:
            if seems is Seems.ON and self._burn_id is None:
                self._start(self._watched_kind, self._watched_pilot_mm, t_s, by_key=False)
            elif seems is Seems.OFF and self._burn_id is not None:
                self._stop(self._burn_id, t_s, by_key=False)
        except LogError as error:
            self.trouble = str(error)
            return False
        return True

    # Keeping -----------------------------------------------------------------------------------

    def close(self) -> None:
        """Leave the hole: stop the arc clock if it runs, and keep what waits."""
        self.arc_stops()
        self._keep_readings()

    def _keep_readings(self) -> None:
        """Write what waits; what can't be written waits on, and ``trouble`` says so."""
        self._kept_s = self._clock.s()
        if not self._waiting:
            return
        try:
            self._store.add_readings(self._hole_id, self._waiting)
        except LogError as error:
            self.trouble = str(error)
            return
        self._waiting.clear()
        self.trouble = ""

    def _keep_calls(self) -> None:
        new = self.tracker.calls[self._calls_kept :]
        if not new:
            return
        # First what showed them: a replay of what is on disk never knows less than the log.
        self._keep_readings()
        try:
            self._store.add_calls(self._shift_id, self._hole_id, new)
        except LogError as error:
            self.trouble = str(error)
            return
        self._calls_kept += len(new)
