"""The depth of a burn as it looks afterwards, held to the truth of many invented ones."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from random import Random
from statistics import fmean

import pytest
from scipy.stats import binom

from cockpit.burn.aim import Aim
from cockpit.burn.hindsight import Hindsight, Moment, hindsight
from cockpit.burn.reading import Mark, MarkKind, Reading
from cockpit.burn.simulate import Scene, SimulatedBurn
from cockpit.burn.state import Span
from tests.burn.hand import FEED_MM_S, Hand

AIM = Aim(recess_mm=3.0, measures_anew=True)
TOUCH_SD_MM = AIM.noise.touch_sd_mm
BURNS = 120
# What a true 95 % gives 998 times in 1,000.
LEAST_HELD, MOST_HELD = binom.interval(0.998, BURNS, 0.95)


class Watched:
    """An invented burn whose truth, and whose live depth, are kept beside the look back."""

    def __init__(self, seed: int, rate_hz: float = 5.0, end_mm: float = 100.0) -> None:
        self.chance = Random(seed)
        ratio = min(max(self.chance.gauss(AIM.wear_mean, AIM.wear_sd), 0.0), 0.9)
        scene = Scene(recess_mm=3.0, end_mm=end_mm, wear_ratio=ratio)
        self.burn = SimulatedBurn(scene, seed)
        self.look = Hindsight(AIM, 60)
        self.events: list[Reading | Mark] = []
        self.truth_mm: dict[float, float] = {}
        self.live: dict[float, Span] = {}
        self._rate_hz, self._count = rate_hz, 0

    def _take(self, event: Reading | Mark) -> None:
        self.events.append(event)
        self.look.take(event)

    def mark(self, kind: MarkKind, value_mm: float | None = None) -> None:
        self._take(Mark.at(self._count / self._rate_hz, kind, value_mm))

    def watch(self, lasts_s: float, arc_on: bool = False) -> None:
        for _ in range(round(lasts_s * self._rate_hz)):
            self._count += 1
            self.burn.advance(1 / self._rate_hz, arc_on)
            reading = Reading.at(self._count / self._rate_hz, self.burn.reading_mm())
            self._take(reading)
            depth = self.look.tracker.estimate.depth()
            self.truth_mm[reading.t_s] = self.burn.depth_mm
            if depth is not None:
                self.live[reading.t_s] = depth

    def arc(self, lasts_s: float) -> None:
        self.mark(MarkKind.START)
        self.watch(lasts_s, arc_on=True)
        self.mark(MarkKind.STOP)
        self.watch(2.0)

    def touch_off(self) -> None:
        self.mark(MarkKind.TOUCH, self.burn.wear_mm + self.chance.gauss(0.0, TOUCH_SD_MM))

    def change_electrode(self) -> None:
        """As exactly as it is zeroed: the tip touches at nought, which is read as a bit off."""
        self.burn.change_electrode()
        self.watch(3.0)
        self.mark(MarkKind.ELECTRODE, self.chance.gauss(0.0, TOUCH_SD_MM))

    def next_spot(self) -> None:
        self.burn.next_spot()
        self.watch(3.0)
        self.mark(MarkKind.SPOT)

    @property
    def moments(self) -> list[Moment]:
        return self.look.moments()

    def before(self, t_s: float) -> list[Moment]:
        return [moment for moment in self.moments if moment.t_s < t_s]

    @property
    def now_s(self) -> float:
        return self._count / self._rate_hz


def touched(watched: Watched) -> float:
    """Two burns, each touched off after; when the second was."""
    for _ in range(2):
        watched.arc(watched.chance.uniform(40.0, 80.0))
        watched.touch_off()
    return watched.now_s


def followed(watched: Watched) -> float:
    """A burn that was never touched off, and another electrode after it; when that was put in."""
    watched.arc(watched.chance.uniform(60.0, 120.0))
    ended_s = watched.now_s
    watched.change_electrode()
    watched.arc(20.0)
    return ended_s


@dataclass
class Told:
    """At a moment drawn by chance from each of many burns: how far off, how wide, how often held.

    The first of each pair is what was shown live, the second what was seen afterwards.
    """

    rms_mm: tuple[float, float]
    width_mm: tuple[float, float]
    held: tuple[int, int]

    @classmethod
    def of(cls, course: Callable[[Watched], float], rate_hz: float) -> Told:
        live: list[tuple[Span, float]] = []
        seen: list[tuple[Span, float]] = []
        for seed in range(BURNS):
            watched = Watched(seed, rate_hz)
            moment = watched.chance.choice(watched.before(course(watched)))
            truth_mm = watched.truth_mm[moment.t_s]
            live.append((watched.live[moment.t_s], truth_mm))
            seen.append((moment.depth, truth_mm))
        return cls((rms(live), rms(seen)), (width(live), width(seen)), (held(live), held(seen)))


def rms(spans: list[tuple[Span, float]]) -> float:
    return math.sqrt(fmean((span.mid - truth_mm) ** 2 for span, truth_mm in spans))


def width(spans: list[tuple[Span, float]]) -> float:
    return fmean(span.high - span.low for span, _ in spans)


def held(spans: list[tuple[Span, float]]) -> int:
    return sum(span.low <= truth_mm <= span.high for span, truth_mm in spans)


@pytest.mark.parametrize("course", [touched, followed])
def test_afterwards_the_depth_is_nearer_to_the_truth_and_known_as_well_as_is_said(
    course: Callable[[Watched], float],
) -> None:
    told = Told.of(course, 10.0)
    assert told.rms_mm[1] < 0.2 * told.rms_mm[0]
    assert told.rms_mm[1] < 0.04
    assert told.width_mm[1] < 0.2 * told.width_mm[0]
    assert LEAST_HELD <= told.held[0] <= MOST_HELD
    assert LEAST_HELD <= told.held[1] <= MOST_HELD


def never_back(moments: list[Moment]) -> bool:
    return all(
        before.depth.mid <= after.depth.mid
        and before.arc_s <= after.arc_s
        and before.t_s <= after.t_s
        and before.depth.low <= before.depth.mid <= before.depth.high
        for before, after in pairwise(moments)
    )


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize("course", [touched, followed])
def test_it_ends_where_the_tracker_stands_and_never_goes_back(
    seed: int, course: Callable[[Watched], float]
) -> None:
    watched = Watched(seed)
    course(watched)
    moments, state = watched.moments, watched.look.tracker.state()
    assert state.depth_mm is not None
    assert state.high_mm is not None
    assert moments[-1] == Moment(state.t_s, state.arc_s, state.depth_mm, state.high_mm)
    assert never_back(moments)
    assert 25 <= len(moments) <= 60
    assert moments[0].depth.mid == pytest.approx(3.0, abs=0.1)
    # Even steps of arc time: none is much longer than they are on the whole.
    steps_s = [after.arc_s - before.arc_s for before, after in pairwise(moments)]
    assert max(steps_s) < 3.0 + 2 * state.arc_s / len(moments)
    assert hindsight(watched.events, AIM, 60) == moments


@pytest.mark.parametrize("seed", range(5))
def test_what_the_next_electrode_lands_on_the_one_before_had_burnt(seed: int) -> None:
    watched = Watched(seed, 10.0)
    watched.arc(90.0)
    ended_s, deep_mm = watched.now_s, watched.burn.depth_mm
    unaware = watched.before(ended_s)[-1].depth
    watched.change_electrode()
    assert watched.before(ended_s)[-1].depth == unaware
    watched.arc(10.0)
    seen = watched.before(ended_s)[-1].depth
    assert seen.high - seen.low < 0.25 < unaware.high - unaware.low
    assert seen.mid == pytest.approx(deep_mm, abs=0.15)


def test_a_hole_gauged_between_two_electrodes_tells_of_the_first() -> None:
    watched = Watched(2)
    watched.arc(90.0)
    ended_s = watched.now_s
    unaware = watched.before(ended_s)[-1].depth
    watched.change_electrode()
    watched.mark(MarkKind.DEPTH, watched.burn.depth_mm)
    told = watched.before(ended_s)[-1].depth
    assert told.high - told.low < unaware.high - unaware.low
    now = watched.look.tracker.state().depth_mm
    assert now is not None
    assert watched.moments[-1].depth == now
    # As far as it had come at that moment, a few seconds before the arc went off.
    assert now.mid - 0.2 < told.mid <= now.mid


@pytest.mark.parametrize("seed", range(5))
def test_a_second_spot_begins_at_the_break_with_the_same_electrode(seed: int) -> None:
    watched = Watched(seed, 10.0)
    watched.arc(60.0)
    moved_s, deep_mm = watched.now_s, watched.burn.depth_mm
    watched.next_spot()
    waiting = watched.moments
    assert waiting[-1].depth == watched.look.tracker.state().depth_mm
    assert waiting[-1].depth.mid == 3.0
    watched.arc(60.0)
    watched.touch_off()
    moments = watched.moments
    first = [moment for moment in moments if moment.t_s <= moved_s]
    second = [moment for moment in moments if moment.t_s > moved_s]
    assert never_back(first)
    assert never_back(second)
    # Known at the end, it is known of the first spot too: it was the same electrode.
    assert first[-1].depth.mid == pytest.approx(deep_mm, abs=0.15)
    assert second[0].depth.mid == pytest.approx(3.0, abs=0.3)


def test_another_electrode_over_another_spot_tells_nothing_of_the_first_spot() -> None:
    change, move = Watched.change_electrode, Watched.next_spot
    for steps in ((change, move), (move, change)):
        watched = Watched(3, 10.0)
        watched.arc(60.0)
        ended_s = watched.now_s
        unaware = watched.before(ended_s)
        for step in steps:
            step(watched)
        watched.arc(20.0)
        told = watched.before(ended_s)
        assert told[-1].depth.high - told[-1].depth.low == pytest.approx(
            unaware[-1].depth.high - unaware[-1].depth.low, abs=0.05
        )


@pytest.mark.parametrize("seed", range(5))
def test_what_fell_at_the_end_has_worn_nothing(seed: int) -> None:
    watched = Watched(seed, 10.0, end_mm=6.0)
    watched.mark(MarkKind.START)
    while not watched.burn.fallen:
        watched.watch(0.5, arc_on=True)
    watched.watch(3.0, arc_on=True)
    watched.mark(MarkKind.STOP)
    watched.touch_off()
    assert [call.kind.value for call in watched.look.tracker.calls] == ["through"]
    moments = watched.moments
    assert never_back(moments)
    assert moments[-1].depth.mid == pytest.approx(6.8, abs=0.1)
    for moment in moments[:-1]:
        assert moment.depth.mid == pytest.approx(watched.truth_mm[moment.t_s], abs=0.12)


def test_a_wear_that_can_not_be_does_not_turn_the_depth_back() -> None:
    """Touched off wrong, the electrode seems to lose more than it travels."""
    hand = Hand(AIM)
    for worn_mm in (0.1, 4.0, 4.1):
        hand.start()
        hand.burn(60.0)
        hand.stop()
        hand.mark(MarkKind.TOUCH, worn_mm)
    moments = hindsight(hand.events, AIM, 100)
    assert never_back(moments)
    assert moments[-1].depth == hand.depth


def test_a_mark_under_the_arc_changes_nothing() -> None:
    plain, marked = Hand(AIM), Hand(AIM)
    for hand in (plain, marked):
        hand.start()
        hand.burn(30.0)
        if hand is marked:
            hand.mark(MarkKind.ELECTRODE)
            hand.mark(MarkKind.SPOT)
        hand.burn(30.0)
        hand.stop()
        hand.mark(MarkKind.TOUCH, 1.5)
    assert hindsight(plain.events, AIM, 40) == hindsight(marked.events, AIM, 40)


def test_without_a_measurement_it_is_the_live_depth() -> None:
    hand = Hand(AIM)
    live = {}
    hand.start()
    for _ in range(600):
        hand.burn(0.1, FEED_MM_S)
        live[hand.events[-1].t_s] = hand.depth
    for moment in hindsight(hand.events, AIM, 40):
        seen, shown = moment.depth, live[moment.t_s]
        assert seen.mid == pytest.approx(shown.mid, abs=1e-9)
        assert (seen.low, seen.high) == pytest.approx((shown.low, shown.high), abs=0.02)


def test_what_was_never_burnt_has_no_moments() -> None:
    assert hindsight([], AIM, 40) == []
    off = [Reading.at(0.1 * n, 2.0) for n in range(50)]
    assert hindsight(off, AIM, 40) == []
    assert hindsight([Mark.at(0.0, MarkKind.ELECTRODE), *off], AIM, 40) == []


def test_readings_that_can_not_be_leave_the_look_back_as_it_is() -> None:
    hand = Hand(AIM)
    hand.start()
    hand.burn(30.0)
    good = hindsight(hand.events, AIM, 40)
    bad = [Reading(math.nan, 3.0), Reading(1e9, 9e9), Reading(-5.0, 3.0), Reading(0.0, math.inf)]
    mixed = [event for one in hand.events for event in (one, *bad)]
    assert hindsight(mixed, AIM, 40) == good


def test_two_moments_are_the_fewest() -> None:
    hand = Hand(AIM)
    hand.start()
    hand.burn(30.0)
    for points in (2, 3, 7):
        assert 2 <= len(hindsight(hand.events, AIM, points)) <= points
    with pytest.raises(ValueError, match="2 moments or more, not 1"):
        hindsight(hand.events, AIM, 1)
