"""Readings and marks in, state and calls out.

Fed one event at a time, in the order of time. The screen, the replay and the rehearsal all run this
same class, and it looks at nothing but what it is fed: the same events give the same calls.
"""

from __future__ import annotations

import math
from collections import deque
from dataclasses import dataclass, field
from statistics import NormalDist, median

from cockpit.burn.calls import Board, Call, CallKind, below
from cockpit.burn.falls import Fall
from cockpit.burn.progress import PROGRESS_MM, Progress
from cockpit.burn.reading import Mark, MarkKind, Reading, believable
from cockpit.trade.wear import MeasurementNoise, Wear

#: Two-sided 95 % and one-sided 99 % of the normal distribution.
Z95 = NormalDist().inv_cdf(0.975)
Z99 = NormalDist().inv_cdf(0.99)

#: A reading may be off by this, mm, over and above what the head can have moved (assumed).
JUMP_SLACK_MM = 0.5
#: So many jumped readings that agree with each other are a gauge set anew (assumed).
JUMPS_THAT_AGREE = 3
#: A cable counts as mended when nothing has jumped for so long, s (assumed).
JUMP_CALM_S = 5.0

#: What still stands when the arc is off: it tells what comes next.
AFTER_THE_ARC = frozenset({CallKind.LIMIT, CallKind.TARGET, CallKind.THROUGH})
SILENT_S = 1.0
SILENT_PERIODS = 5
STALL_S = 12.0
STALL_TIMES = 3.0
#: How far a stalled burn should have come in the time that STALL_TIMES multiplies, mm (assumed).
STALL_MM = 0.15
#: Relative sd of the feed over the rest of a burn (assumed), for the time to target.
FEED_SPREAD = 0.2


@dataclass(frozen=True, slots=True)
class Aim:
    """What a burn aims at; depths from the part's surface, mm. None: not known or no such limit.

    ``wear_mean`` and ``wear_sd``: the plan's belief about the wear ratio. ``streaming``: the gauge
    sends by itself, so that saying nothing is a fault; a typed one is as silent as its operator.
    ``measures_anew``: a second measurement of a kind at the same travel takes the first one's place
    instead of being averaged with it, as logs of an earlier cockpit have it. ``head_speed_mm_s``: a
    head moves no faster than this (assumed; the machine's profile says).
    """

    recess_mm: float = 0.0
    target_mm: float | None = None
    limit_mm: float | None = None
    wear_mean: float = 0.25
    wear_sd: float = 0.10
    noise: MeasurementNoise = field(default_factory=MeasurementNoise)
    streaming: bool = True
    measures_anew: bool = False
    head_speed_mm_s: float = 25.0

    @property
    def near_mm(self) -> float:
        """How far before the target the operator is warned: 1 mm, or 5 % of a long burn."""
        burn_mm = 0.0 if self.target_mm is None else self.target_mm - self.recess_mm
        return max(1.0, 0.05 * burn_mm)


@dataclass(frozen=True, slots=True)
class Span:
    """A figure with its interval."""

    low: float
    mid: float
    high: float


@dataclass(frozen=True, slots=True)
class BurnState:
    """One moment of a burn, as the screen shows it. Lengths mm, times s, feed mm of depth a minute.

    ``depth_mm`` is None until the arc was on once with a reading; its interval is 95 %, and it lies
    between the break and the travel that made it.
    """

    t_s: float
    arc_on: bool
    arc_s: float
    burns: int
    travel_mm: float | None
    high_mm: float | None
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


class Tracker:
    """The live estimate of one hole with one electrode."""

    def __init__(self, aim: Aim) -> None:
        self.aim = aim
        self.readings = 0
        self.rejected = 0
        self._board = Board()
        self._progress = Progress(aim.recess_mm)
        self._wear = Wear.prior(aim.wear_mean, aim.wear_sd)
        self._wear_unmeasured = self._wear_before_fall = self._wear
        self._measured_here: dict[MarkKind, float] = {}
        self._last: Reading | None = None
        self._jumped: list[Reading] = []
        self._jumped_s = -math.inf
        self._periods: deque[float] = deque(maxlen=15)
        self._t_s = 0.0
        self._arc_since_s: float | None = None
        self._arc_s = 0.0
        self._burns = 0

    # What comes in -----------------------------------------------------------------------------

    def take(self, event: Reading | Mark) -> None:
        """Take the next reading or mark."""
        if isinstance(event, Reading):
            self._take_reading(event)
        else:
            self._take_mark(event)

    def tick(self, now_s: float) -> None:
        """Time has passed without an event: only silence can follow from that."""
        self._listen(now_s)

    def _take_reading(self, reading: Reading) -> None:
        if not believable(reading.travel_mm) or not self._in_time(reading.t_s):
            self.rejected += 1
            return
        self._listen(reading.t_s)
        self._t_s = reading.t_s
        if self._jumps(reading):
            self._reject_jump(reading.t_s)
            return
        dt_s = self._count(reading)
        self._board.clear(CallKind.SILENT)
        if reading.t_s >= self._jumped_s + JUMP_CALM_S:
            self._board.clear(CallKind.JUMP)
        if self._arc_since_s is not None:
            self._burn(reading, dt_s)

    def _take_mark(self, mark: Mark) -> None:
        measured = mark.value_mm is None or believable(mark.value_mm)
        if not (measured and self._in_time(mark.t_s)):
            self.rejected += 1
            return
        self._listen(mark.t_s)
        self._t_s = mark.t_s
        if mark.kind is MarkKind.START:
            self._arc_starts(mark.t_s)
        elif mark.kind is MarkKind.STOP:
            self._arc_stops(mark.t_s)
        elif mark.value_mm is not None:
            self._measure(mark.kind, mark.value_mm)

    def _in_time(self, t_s: float) -> bool:
        return math.isfinite(t_s) and t_s >= self._t_s

    # Readings ----------------------------------------------------------------------------------

    def _jumps(self, reading: Reading) -> bool:
        """Whether the reading is farther from the last than the head can have moved."""
        if self._last is None or self._reachable(self._last, reading):
            return False
        if self._jumped and not self._reachable(self._jumped[-1], reading):
            self._jumped.clear()
        self._jumped.append(reading)
        return len(self._jumped) < JUMPS_THAT_AGREE

    def _reject_jump(self, t_s: float) -> None:
        """Count it; with the arc off it is no call, because a hand moves a head faster."""
        self.rejected += 1
        if self._arc_since_s is not None:
            self._jumped_s = t_s
            self._board.judge(Call(t_s, CallKind.JUMP, self._depth_mid()), True)

    def _reachable(self, before: Reading, after: Reading) -> bool:
        room_mm = self.aim.head_speed_mm_s * (after.t_s - before.t_s) + JUMP_SLACK_MM
        return abs(after.travel_mm - before.travel_mm) <= room_mm

    def _count(self, reading: Reading) -> float:
        """Keep the reading as the last one; return the arc time since the one before, s."""
        since_s = self._arc_since_s
        if self._last is not None:
            self._periods.append(reading.t_s - self._last.t_s)
            since_s = None if since_s is None else max(since_s, self._last.t_s)
        self.readings += 1
        self._last = reading
        self._jumped.clear()
        return 0.0 if since_s is None else reading.t_s - since_s

    def _burn(self, reading: Reading, dt_s: float) -> None:
        before_mm = self._progress.high_mm
        new_mm = self._progress.advance(reading.travel_mm, dt_s)
        if self._progress.high_mm != before_mm:
            self._measured_here.clear()
        if new_mm > 0:
            self._wear = self._wear.travelled(new_mm)
        if self._progress.fall is not None:
            self._falls(self._progress.fall, reading.t_s)
        elif self._progress.is_quiet:
            self._wear_before_fall = self._wear
        self._board.judge_all(reading.t_s, self._depth_mid(), self._verdicts())

    def _falls(self, fall: Fall, t_s: float) -> None:
        """Call it where it began; what was fallen since has worn nothing."""
        self._wear = self._wear_before_fall
        depth_mm = max(fall.from_high_mm - self._wear.wear_mm, self.aim.recess_mm)
        self._board.judge(Call(t_s, CallKind.THROUGH, depth_mm), True)

    # Marks -------------------------------------------------------------------------------------

    def _arc_starts(self, t_s: float) -> None:
        if self._arc_since_s is None:
            self._arc_since_s = t_s
            self._burns += 1
            self._progress.arc_starts()
            self._board.clear(*(kind for kind in CallKind if kind is not CallKind.LIMIT))
            self._board.judge_all(t_s, self._depth_mid(), self._depth_verdicts())

    def _arc_stops(self, t_s: float) -> None:
        if self._arc_since_s is not None:
            self._arc_s += t_s - self._arc_since_s
            self._arc_since_s = None
            self._board.clear(*(kind for kind in CallKind if kind not in AFTER_THE_ARC))

    def _measure(self, kind: MarkKind, value_mm: float) -> None:
        if kind is MarkKind.DEPTH:
            if self._progress.high_mm is None:
                return
            value_mm = self._progress.high_mm - value_mm
        if not self._measured_here:
            self._wear_unmeasured = self._wear
        self._wear = self.wear_without(kind).measured(value_mm, self._noise_mm(kind))
        self._measured_here[kind] = value_mm
        self._wear_before_fall = self._wear
        self._board.judge_all(self._t_s, self._depth_mid(), self._depth_verdicts())

    def wear_without(self, kind: MarkKind) -> Wear:
        """What is believed of the wear without a measurement of this kind at this travel.

        A second one takes the place of the first: it was measured again because the first was
        doubted, so the two are not averaged.
        """
        if not self._measured_here or not self.aim.measures_anew:
            return self._wear
        wear = self._wear_unmeasured
        for other, wear_mm in self._measured_here.items():
            if other is not kind:
                wear = wear.measured(wear_mm, self._noise_mm(other))
        return wear

    def _noise_mm(self, kind: MarkKind) -> float:
        noise = self.aim.noise
        match kind:
            case MarkKind.TOUCH:
                return noise.touch_sd_mm
            case MarkKind.WEAR:
                return noise.length_sd_mm
            case _:
                return noise.gauged_sd_mm

    # Calls -------------------------------------------------------------------------------------

    def _listen(self, now_s: float) -> None:
        """Raise ``silent`` at the moment it fell due, however late it is noticed."""
        since_s = self._arc_since_s
        if since_s is None:
            return
        if self._last is not None:
            since_s = max(since_s, self._last.t_s)
        patience_s = self._patience_s()
        if patience_s is not None and now_s > since_s + patience_s:
            call = Call(round(since_s + patience_s, 3), CallKind.SILENT, self._depth_mid())
            self._board.judge(call, True)

    def _patience_s(self) -> float | None:
        if not self.aim.streaming:
            return None
        if len(self._periods) < 3:
            return SILENT_S
        return max(SILENT_S, SILENT_PERIODS * median(self._periods))

    def _verdicts(self) -> dict[CallKind, bool | None]:
        return self._depth_verdicts() | {CallKind.STALLED: self._stalled()}

    def _depth_verdicts(self) -> dict[CallKind, bool | None]:
        """With the arc off no depth is anything to act on; a call that stands may still clear."""
        depth = self._depth()
        verdicts: dict[CallKind, bool | None] = {}
        if depth is None:
            return verdicts
        if self.aim.target_mm is not None:
            left_mm = self.aim.target_mm - depth.high
            near_mm = self.aim.near_mm
            verdicts[CallKind.TARGET] = below(left_mm, 0.0, 0.2)
            verdicts[CallKind.NEAR] = below(left_mm, near_mm, 1.25 * near_mm)
        if self.aim.limit_mm is not None:
            past_mm = min(depth.mid + Z99 * self._wear.sd_mm, self._high_mm())
            verdicts[CallKind.LIMIT] = below(self.aim.limit_mm - past_mm, 0.0, 0.1)
        if self._arc_since_s is None:
            return {kind: None if verdict else verdict for kind, verdict in verdicts.items()}
        return verdicts

    def _stalled(self) -> bool | None:
        idle_s = self._progress.since_progress_s
        feed_mm_s = self._progress.feed_at_progress_mm_s
        likely_s = STALL_MM / feed_mm_s if feed_mm_s else 0.0
        # The mark may have risen by up to a step since the last one that counted.
        step_s = likely_s * PROGRESS_MM / STALL_MM
        if idle_s >= max(STALL_S + step_s, STALL_TIMES * likely_s):
            return True
        return False if idle_s == 0 else None

    # What goes out -----------------------------------------------------------------------------

    @property
    def calls(self) -> list[Call]:
        """Every call so far, in the order of time."""
        return self._board.history

    def arc_s(self, now_s: float) -> float:
        """Arc time so far, s; it runs on between readings."""
        if self._arc_since_s is None:
            return self._arc_s
        return self._arc_s + max(0.0, now_s - self._arc_since_s)

    def state(self, now_s: float | None = None) -> BurnState:
        """The state at ``now_s`` (s; the last event's time when None)."""
        now_s = self._t_s if now_s is None else now_s
        depth = self._depth()
        to_go_mm = self._to_go(depth)
        feed_mm_s = self._progress.feed_mm_s()
        deepens = 1 - self._wear.within_reason.ratio
        feed_mm_min = None if feed_mm_s is None else 60 * feed_mm_s * deepens
        return BurnState(
            t_s=now_s,
            arc_on=self._arc_since_s is not None,
            arc_s=self.arc_s(now_s),
            burns=self._burns,
            travel_mm=None if self._last is None else self._last.travel_mm,
            high_mm=self._progress.high_mm,
            depth_mm=depth,
            wear=self._wear,
            feed_mm_min=feed_mm_min,
            to_go_mm=to_go_mm,
            to_target_s=self._to_target(to_go_mm, feed_mm_min),
            standing=self._board.standing,
            readings=self.readings,
            rejected=self.rejected,
        )

    def _high_mm(self) -> float:
        return self.aim.recess_mm if self._progress.high_mm is None else self._progress.high_mm

    def _depth_mid(self) -> float | None:
        depth = self._depth()
        return None if depth is None else depth.mid

    def _depth(self) -> Span | None:
        """Depth and its 95 % interval: never above the break, nor deeper than the travel."""
        high_mm = self._progress.high_mm
        if high_mm is None:
            return None

        def possible(depth_mm: float) -> float:
            return min(max(depth_mm, self.aim.recess_mm), high_mm)

        mid_mm, half_mm = high_mm - self._wear.wear_mm, Z95 * self._wear.sd_mm
        return Span(*(possible(mid_mm + off_mm) for off_mm in (-half_mm, 0.0, half_mm)))

    def _to_go(self, depth: Span | None) -> float | None:
        if self.aim.target_mm is None:
            return None
        return self.aim.target_mm - (self.aim.recess_mm if depth is None else depth.mid)

    def _to_target(self, to_go_mm: float | None, feed_mm_min: float | None) -> Span | None:
        if to_go_mm is None or to_go_mm <= 0 or feed_mm_min is None or feed_mm_min <= 0:
            return None
        half_mm = Z95 * math.hypot(self._wear.sd_mm, FEED_SPREAD * to_go_mm)
        ways_mm = max(0.0, to_go_mm - half_mm), to_go_mm, to_go_mm + half_mm
        return Span(*(60 * way_mm / feed_mm_min for way_mm in ways_mm))
