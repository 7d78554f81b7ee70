"""The invented burns that ``bench_tracker.py`` measures the tracker on, one burn at a time.

Every burn follows from its number, so the figures are the same wherever they are taken. What the
worlds are like is assumed: harder than a real machine should be, and nobody's machine.
"""

from __future__ import annotations

import math
import sys
from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from random import Random

import numpy as np
import ruptures as rpt

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from cockpit.burn.aim import Aim
from cockpit.burn.calls import Call, CallKind
from cockpit.burn.falls import FALL_MM, FALL_TIMES, SOFT_TIMES
from cockpit.burn.reading import Mark, MarkKind, Reading
from cockpit.burn.simulate import Scene, SimulatedBurn
from cockpit.burn.tracker import Tracker
from cockpit.trade.wear import MeasurementNoise

RATES_HZ = (2.0, 5.0, 10.0, 20.0, 50.0)
RESOLUTIONS_MM = (0.01, 0.0127)
SLOWEST_FALL_MM_S = 0.25
FASTEST_FALL_MM_S = 8.0
#: A burn is watched for so long after its fall has been shown.
AFTER_S = 4.0
#: An offline fit looks at no more points than this: its cost grows with their square.
FIT_POINTS = 100
HEARD_BEFORE_S = 1.0
#: How far back the feed is looked at that was called a fall.
SOFT_WITHIN_S = 4.0
NOISE = MeasurementNoise()

# The plain threshold that it is compared with: so much travel within so long, whatever the burn.
PLAIN_MM, PLAIN_S = 0.15, 0.6


def _log_uniform(chance: Random, low: float, high: float) -> float:
    return math.exp(chance.uniform(math.log(low), math.log(high)))


@dataclass(frozen=True, slots=True)
class World:
    """A burn to be watched: the scene, the gauge's rate, and how fast the travel advances."""

    scene: Scene
    rate_hz: float
    feed_mm_s: float

    @classmethod
    def by_chance(cls, chance: Random, ratio: float | None = None) -> World:
        """Any tool, feed, wear, gauge, vibration, lifts, soft layers, spikes and drop-outs."""
        ratio = chance.uniform(0.05, 0.6) if ratio is None else ratio
        feed_mm_min = _log_uniform(chance, 0.8, 4.0)
        rate_hz = chance.choice(RATES_HZ)
        scene = Scene(
            recess_mm=3.0,
            end_mm=1000.0,
            feed_mm_min=feed_mm_min,
            wear_ratio=ratio,
            vibration_mm=chance.uniform(0.003, 0.02),
            resolution_mm=chance.choice(RESOLUTIONS_MM),
            lift_every_s=chance.uniform(20.0, 90.0),
            lift_mm=chance.uniform(0.5, 5.0),
            lift_s=chance.uniform(1.0, 4.0),
            soft_every_mm=chance.uniform(3.0, 8.0),
            soft_mm=chance.uniform(0.3, 1.5),
            soft_times=3.0,
            spike_every_s=60.0,
            spike_mm=2.0,
            dropout_every_s=180.0,
            dropout_s=chance.uniform(0.5, 4.0),
        )
        return cls(scene, rate_hz, feed_mm_min / 60 / (1 - ratio))

    def aim(self, wear_mean: float = 0.25, wear_sd: float = 0.10) -> Aim:
        """What the tracker is told: the break, and what is believed of the wear."""
        return Aim(
            recess_mm=self.scene.recess_mm,
            wear_mean=wear_mean,
            wear_sd=wear_sd,
            measures_anew=True,
        )


class Watched:
    """A burn with its gauge and a tracker that watches it, reading by reading."""

    def __init__(self, world: World, seed: int, aim: Aim) -> None:
        self.world = world
        self.burn = SimulatedBurn(world.scene, seed)
        self.tracker = Tracker(aim)
        self.t_s = 0.0
        self.arc_s = 0.0
        self._count = 0

    def mark(self, kind: MarkKind, value_mm: float | None = None) -> None:
        """The operator marks something now."""
        self.tracker.take(Mark.at(self.t_s, kind, value_mm))

    def read(self) -> Reading | None:
        """Let a period pass with the arc on; the reading, or None while the gauge is silent."""
        self._count += 1
        period_s = 1 / self.world.rate_hz
        self.t_s = self._count * period_s
        self.arc_s += period_s
        self.burn.advance(period_s, arc_on=True)
        reading = Reading.at(self.t_s, self.burn.reading_mm())
        if not self.burn.is_heard:
            return None
        self.tracker.take(reading)
        return reading


class PlainThreshold:
    """Calls a fall at ``PLAIN_MM`` of travel beyond the mark within ``PLAIN_S``."""

    def __init__(self) -> None:
        self._seen: deque[tuple[float, float]] = deque()
        self._high_mm = -math.inf

    def take(self, reading: Reading) -> bool:
        """Take the next reading; whether it calls."""
        rose = reading.travel_mm - self._high_mm
        while self._seen and self._seen[0][0] < reading.t_s - PLAIN_S:
            self._seen.popleft()
        calls = bool(self._seen) and reading.travel_mm - self._seen[0][1] >= PLAIN_MM
        self._high_mm = max(self._high_mm, reading.travel_mm)
        self._seen.append((reading.t_s, self._high_mm))
        return calls and rose > 0


# Falls -------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class FallSeen:
    """How one fall was called. Times s, lengths mm; ``late_s`` is None where it was missed.

    ``late_s``: from the first reading that could show 0.15 mm of fall; ``times``: how many times
    the burn's own feed of its last 20 s the fall ran. ``off_mm``: depth of the break as called less
    as it was, ``travel_off_mm`` the same of the travel. ``others``: falls called that were none.
    ``is_heard``: whether the gauge spoke from just before the fall to the end. ``path``: times and
    high-water travels around the fall, for a look afterwards; ``broke_at_mm``: the true travel.
    """

    rate_hz: float
    times: float
    late_s: float | None
    off_mm: float
    travel_off_mm: float
    others: int
    plain_late_s: float | None
    broke_at_mm: float
    path: tuple[tuple[float, float], ...]
    is_heard: bool

    @property
    def is_in_time(self) -> bool:
        """Within two readings or 0.3 s."""
        return self.late_s is not None and self.late_s <= max(2 / self.rate_hz, 0.3) + 1e-6


def falling_world(chance: Random) -> World:
    """A world with a fall, at the least as fast as a fall is by definition; never a long one."""
    world = World.by_chance(chance)
    least_mm_s = max(SLOWEST_FALL_MM_S, FALL_TIMES * world.feed_mm_s)
    scene = replace(
        world.scene,
        end_mm=world.scene.recess_mm + chance.uniform(1.5, 6.0),
        fall_mm=chance.uniform(0.5, 2.0),
        fall_mm_s=_log_uniform(chance, least_mm_s, max(FASTEST_FALL_MM_S, least_mm_s)),
        fall_noise=0.15,
    )
    return replace(world, scene=scene)


def watch_fall(seed: int) -> FallSeen:
    """Burn until well after the fall."""
    chance = Random(f"fall {seed}")
    world = falling_world(chance)
    # What the plan believes of the wear is about right: the depth of a break rests on it.
    aim = world.aim(wear_mean=world.scene.wear_ratio, wear_sd=0.02)
    watched, plain = Watched(world, seed, aim), PlainThreshold()
    burn, end_mm = watched.burn, world.scene.end_mm
    watched.mark(MarkKind.START)
    shown_s, unheard_s, broke_at_mm, plain_s = math.inf, -math.inf, 0.0, math.inf
    called: list[tuple[Call, float]] = []
    path: list[tuple[float, float]] = []
    while watched.t_s < shown_s + AFTER_S:
        reading = watched.read()
        if burn.depth_mm <= end_mm:
            broke_at_mm = end_mm + burn.wear_mm
        if reading is None:
            unheard_s = watched.t_s
            continue
        if burn.depth_mm >= end_mm + FALL_MM:
            shown_s = min(shown_s, watched.t_s)
        path.append((watched.t_s, watched.tracker.state().high_mm or 0.0))
        falls = [call for call in watched.tracker.calls if call.kind is CallKind.THROUGH]
        for call in falls[len(called) :]:
            called.append((call, watched.tracker.estimate.wear.wear_mm))
        if plain.take(reading) and burn.fallen:
            plain_s = min(plain_s, watched.t_s)
    hits = [one for one in called if one[0].t_s >= burn.fell_at_s]
    hit, worn_mm = hits[0] if hits else (Call(math.nan, CallKind.THROUGH, math.nan), 0.0)
    depth_mm = math.nan if hit.depth_mm is None else hit.depth_mm
    return FallSeen(
        rate_hz=world.rate_hz,
        times=world.scene.fall_mm_s / burn.own_feed_mm_s,
        late_s=hit.t_s - shown_s if hits else None,
        off_mm=abs(depth_mm - end_mm),
        travel_off_mm=abs(depth_mm + worn_mm - broke_at_mm),
        others=len(called) - len(hits),
        plain_late_s=plain_s - shown_s if plain_s < math.inf else None,
        broke_at_mm=broke_at_mm,
        path=tuple(path[-round(10 * world.rate_hz) :]),
        is_heard=unheard_s < burn.fell_at_s - HEARD_BEFORE_S,
    )


def fitted_break_mm(fall: FallSeen) -> float:
    """How far off the break is, in travel, mm, by the best fit of two straight pieces.

    It is told what no one knows who looks on: that there is a fall, and when it had ended.
    """
    highs_mm = [high_mm for _, high_mm in fall.path]
    fallen = next(i for i, high_mm in enumerate(highs_mm) if high_mm > highs_mm[-1] - FALL_MM / 3)
    signal = np.array(highs_mm[max(0, fallen - FIT_POINTS) : fallen + 1])
    (place, _) = rpt.Dynp(model="clinear", min_size=2, jump=1).fit(signal).predict(n_bkps=1)
    return abs(float(signal[place - 1]) - fall.broke_at_mm)


# Quiet burns -------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Quiet:
    """Arc time without a fall or a stall, h, and what was called in it.

    ``falls`` were called while the burn ran at no more than three times its own feed; ``softer``
    while a soft layer and a feed that wanders came together to more than is still called a burn.
    """

    arc_h: float
    falls: int
    softer: int
    stalls: int
    plain: int


def watch_quiet(seed: int, arc_h: float = 0.5) -> Quiet:
    """Burn for so long with nothing to call."""
    world = World.by_chance(Random(f"quiet {seed}"))
    watched, plain = Watched(world, seed, world.aim()), PlainThreshold()
    watched.mark(MarkKind.START)
    burn, falls, softer = watched.burn, 0, 0
    feeds: deque[tuple[float, float]] = deque(maxlen=round(SOFT_WITHIN_S * world.rate_hz))
    plain_calls, last_s = 0, -math.inf
    while watched.arc_s < arc_h * 3600:
        reading = watched.read()
        feeds.append((burn.feed_mm_s / (1 - burn.wear_ratio), burn.own_feed_mm_s))
        if watched.tracker.has_fallen:
            is_soft = max(feed for feed, _ in feeds) > SOFT_TIMES * feeds[0][1]
            falls, softer = falls + (not is_soft), softer + is_soft
            for kind in (MarkKind.STOP, MarkKind.SPOT, MarkKind.START):
                watched.mark(kind)
        # One call of the threshold for what may be one event.
        if reading is not None and plain.take(reading) and reading.t_s > last_s + AFTER_S:
            plain_calls, last_s = plain_calls + 1, reading.t_s
    kinds = [call.kind for call in watched.tracker.calls]
    return Quiet(arc_h, falls, softer, kinds.count(CallKind.STALLED), plain_calls)


# Stalls ------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class StallSeen:
    """How one stall was called: after how long, and how long it may take; s. None: missed."""

    after_s: float | None
    due_s: float
    others: int


def watch_stall(seed: int) -> StallSeen:
    """Burn into a stall and watch it for long enough."""
    chance = Random(f"stall {seed}")
    world = World.by_chance(chance)
    at_mm = world.scene.recess_mm + chance.uniform(1.5, 5.0)
    scene = replace(world.scene, stall_at_mm=at_mm, stall_s=math.inf)
    watched = Watched(replace(world, scene=scene), seed, world.aim())
    watched.mark(MarkKind.START)
    stalled_s, own_mm_s = math.inf, 0.0
    while watched.t_s < stalled_s + 120.0:
        if watched.burn.depth_mm < at_mm:
            own_mm_s = watched.burn.own_feed_mm_s
        watched.read()
        if stalled_s == math.inf and watched.burn.depth_mm >= at_mm:
            stalled_s = watched.t_s
    calls = [call for call in watched.tracker.calls if call.kind is CallKind.STALLED]
    hits = [call for call in calls if call.t_s > stalled_s]
    return StallSeen(
        after_s=hits[0].t_s - stalled_s if hits else None,
        due_s=max(12.0 + 0.05 / own_mm_s, 3 * FALL_MM / own_mm_s),
        others=len(calls) - len(hits[:1]),
    )


# Depth -------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class DepthSeen:
    """The depth at one moment: believed less true, half the 95 % interval; mm."""

    rate_hz: float
    error_mm: float
    half_mm: float
    holds: bool


def watch_depth(seed: int, touched: bool) -> DepthSeen:
    """Look at the depth at a moment drawn by chance; the wear ratio is drawn from what is believed.

    ``touched``: the electrode was touched off at another such moment before.
    """
    chance = Random(f"depth {seed}")
    ratio = min(max(chance.gauss(0.30, 0.12), 0.05), 0.6)
    world = World.by_chance(chance, ratio)
    watched = Watched(world, seed, world.aim(wear_mean=0.30, wear_sd=0.12))
    watched.mark(MarkKind.START)
    end_s = chance.uniform(60.0, 400.0)
    touch_s = chance.uniform(30.0, end_s) if touched else math.inf
    while watched.t_s < end_s:
        watched.read()
        if watched.t_s >= touch_s:
            _touch_off(watched, chance)
            touch_s = math.inf
    return _depth_seen(watched)


def watch_ladder(seed: int) -> Iterator[DepthSeen]:
    """Burn 22 mm deep with a touch-off after every 7 mm of travel; look each half millimetre.

    Before the first touch-off nobody knows more than the plan believed, so the looks begin there.
    """
    chance = Random(f"ladder {seed}")
    world = World.by_chance(chance)
    watched = Watched(world, seed, world.aim())
    watched.mark(MarkKind.START)
    look_mm, touch_mm = 3.5, 10.0
    while watched.burn.depth_mm < 25.0:
        watched.read()
        high_mm = watched.tracker.state().high_mm or 0.0
        if high_mm >= touch_mm:
            _touch_off(watched, chance)
            touch_mm += 7.0
        if watched.burn.depth_mm >= look_mm and high_mm >= 10.0:
            yield _depth_seen(watched)
            look_mm = watched.burn.depth_mm + 0.5


def ladder(seed: int) -> list[DepthSeen]:
    """All looks of one such burn."""
    return list(watch_ladder(seed))


def _touch_off(watched: Watched, chance: Random) -> None:
    read_mm = watched.burn.wear_mm + chance.gauss(0.0, NOISE.touch_sd_mm)
    watched.mark(MarkKind.STOP)
    watched.mark(MarkKind.TOUCH, read_mm)
    watched.mark(MarkKind.START)


def _depth_seen(watched: Watched) -> DepthSeen:
    depth, true_mm = watched.tracker.state().depth_mm, watched.burn.depth_mm
    assert depth is not None
    return DepthSeen(
        watched.world.rate_hz,
        depth.mid - true_mm,
        (depth.high - depth.low) / 2,
        depth.low <= true_mm <= depth.high,
    )


# Cost --------------------------------------------------------------------------------------------


def readings_of_a_burn(rate_hz: float, count: int) -> list[Reading]:
    """So many readings of one burn."""
    world = replace(World.by_chance(Random("cost")), rate_hz=rate_hz)
    watched = Watched(world, 0, world.aim())
    readings = (watched.read() for _ in range(count))
    return [reading for reading in readings if reading is not None]


def track(readings: list[Reading]) -> Tracker:
    """What is timed: a tracker with every aim there is, fed with these readings."""
    tracker = Tracker(
        Aim(3.0, 900.0, 950.0, reach_mm=1500.0, longest_s=9000.0, fastest_mm_s=0.2, electrodes=9)
    )
    tracker.take(Mark.at(0.0, MarkKind.START))
    for reading in readings:
        tracker.take(reading)
    return tracker
