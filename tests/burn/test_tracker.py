"""The tracker: hand-made traces in, depth and calls out."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cockpit.burn.aim import Aim
from cockpit.burn.calls import CallKind
from cockpit.burn.reading import Mark, MarkKind, Reading
from cockpit.burn.simulate import Scene, SimulatedBurn
from cockpit.burn.tracker import PAST_LIMIT_MM, Tracker
from cockpit.trade.depth import next_stop_mm
from cockpit.trade.wear import MeasurementNoise, Wear
from tests.burn.hand import FEED_MM_S, Hand, in_time_order

BLIND = Aim(recess_mm=3.0, target_mm=18.0, limit_mm=21.5)
#: A wear that is known, so that depth can be worked out by hand.
KNOWN = replace(BLIND, wear_mean=0.25, wear_sd=1e-6)


def arc_on(aim: Aim | None = None, rate_hz: float = 10.0) -> Hand:
    hand = Hand(aim, rate_hz)
    hand.start()
    return hand


# Depth -------------------------------------------------------------------------------------------


def test_depth_is_travel_less_wear_with_the_interval_of_the_prior() -> None:
    hand = arc_on()
    hand.burn(180.0)
    high_mm = hand.state.high_mm
    assert high_mm is not None
    # The median of three is one reading behind.
    assert high_mm == pytest.approx(3.0 + FEED_MM_S * 179.9, abs=0.002)
    travelled_mm = high_mm - 3.0
    # Until the tip has been seen to stand on the work, its travel wears nothing.
    assert hand.depth.mid == pytest.approx(3.0 + 0.75 * travelled_mm, abs=0.01)
    assert hand.depth.high - hand.depth.mid == pytest.approx(1.96 * 0.1 * travelled_mm, rel=0.01)
    assert hand.depth.mid - hand.depth.low == pytest.approx(hand.depth.high - hand.depth.mid)


def test_until_the_arc_was_on_nothing_is_known() -> None:
    hand = Hand()
    hand.burn(20.0)
    assert hand.state.depth_mm is None
    assert hand.state.high_mm is None
    assert hand.state.arc_s == 0.0
    assert hand.state.readings == 200
    assert hand.calls == []


def test_coming_down_to_the_break_is_no_burning() -> None:
    hand = Hand()
    hand.travel_mm = -2.0
    hand.start()
    hand.move(2.0, 2.5)
    assert (hand.depth.low, hand.depth.mid, hand.depth.high) == (3.0, 3.0, 3.0)


def test_lifting_to_clear_adds_nothing() -> None:
    hand = arc_on()
    hand.burn(60.0)
    hand.rest(0.2)
    before = hand.state
    for _ in range(5):
        hand.lift()
    after = hand.state
    assert (after.high_mm, after.depth_mm, after.wear) == (
        before.high_mm,
        before.depth_mm,
        before.wear,
    )
    assert hand.calls == []


def test_a_lift_does_not_look_like_a_slow_burn() -> None:
    steady, lifting = arc_on(), arc_on()
    steady.burn(60.0)
    for _ in range(6):
        lifting.burn(10.0)
        lifting.lift()
    assert lifting.state.feed_mm_min == pytest.approx(2.8, rel=0.05)
    assert steady.state.feed_mm_min == pytest.approx(2.8, rel=0.01)


def test_a_touch_off_sets_the_wear_and_sharpens_the_ratio() -> None:
    hand = arc_on()
    hand.burn(180.0)
    high_mm = hand.state.high_mm
    assert high_mm is not None
    hand.stop()
    worn_mm = 0.32 * (high_mm - 3.0)
    before = hand.state.wear
    hand.mark(MarkKind.TOUCH, worn_mm)
    after = hand.state.wear
    assert after.wear_mm == pytest.approx(worn_mm, abs=0.005)
    assert after.sd_mm <= 0.03 < before.sd_mm
    assert after.ratio == pytest.approx(0.32, abs=0.003)
    assert after.ratio_sd < before.ratio_sd / 4
    assert hand.depth.mid == pytest.approx(high_mm - worn_mm, abs=0.005)


@pytest.mark.parametrize(
    ("kind", "sd_mm"), [(MarkKind.TOUCH, 0.03), (MarkKind.WEAR, 0.05), (MarkKind.DEPTH, 0.15)]
)
def test_each_measurement_is_believed_as_far_as_its_gauge_goes(
    kind: MarkKind, sd_mm: float
) -> None:
    hand = arc_on()
    hand.burn(180.0)
    high_mm = hand.state.high_mm
    assert high_mm is not None
    value_mm = high_mm - 9.0 if kind is not MarkKind.DEPTH else 9.0
    hand.mark(kind, value_mm)
    # Against a prior of over 1 mm, the sd that is left is nearly the gauge's.
    assert hand.state.wear.sd_mm == pytest.approx(sd_mm, rel=0.02)
    assert hand.depth.mid == pytest.approx(9.0, abs=0.05)


def test_a_gauge_profile_may_say_how_good_it_is() -> None:
    hand = arc_on(Aim(recess_mm=3.0, noise=MeasurementNoise(touch_sd_mm=0.2)))
    hand.burn(180.0)
    hand.mark(MarkKind.TOUCH, 2.0)
    assert hand.state.wear.sd_mm == pytest.approx(0.2, rel=0.03)


@pytest.mark.parametrize("touched_mm", [-0.25, 0.0, 1.2])
def test_depth_never_leaves_what_can_be(touched_mm: float) -> None:
    hand = arc_on()
    hand.burn(20.0)
    hand.mark(MarkKind.TOUCH, touched_mm)
    high_mm = hand.state.high_mm
    assert high_mm is not None
    assert 3.0 <= hand.depth.low <= hand.depth.mid <= hand.depth.high <= high_mm


def test_a_depth_gauged_before_anything_was_burnt_says_nothing() -> None:
    hand = Hand()
    hand.mark(MarkKind.DEPTH, 5.0)
    assert hand.state.wear == Tracker(hand.aim).state().wear


def test_the_arc_clock_runs_between_readings_and_over_several_burns() -> None:
    hand = arc_on()
    hand.burn(10.0)
    assert hand.tracker.arc_s(12.5) == pytest.approx(12.5)
    hand.stop()
    hand.t_s += 100.0
    hand.start()
    hand.burn(5.0)
    hand.start()
    hand.stop()
    hand.stop()
    assert hand.state.arc_s == pytest.approx(15.0)
    assert hand.state.burns == 2


def test_the_time_to_target_comes_from_feed_and_interval() -> None:
    hand = arc_on(KNOWN)
    hand.burn(120.0)
    state = hand.state
    assert state.to_go_mm is not None
    assert state.to_target_s is not None
    assert state.to_go_mm == pytest.approx(18.0 - hand.depth.mid)
    assert state.to_target_s.mid == pytest.approx(60 * state.to_go_mm / 2.8, rel=0.01)
    assert 0 < state.to_target_s.low < state.to_target_s.mid < state.to_target_s.high


def test_the_time_to_target_is_finite_all_the_way_down_to_it() -> None:
    """Right above the target the wear is many times less certain than what is left is long."""
    hand = arc_on(replace(BLIND, limit_mm=None))
    hand.burn(330.0)
    target_mm = hand.depth.mid
    for left_mm in (1e-1, 1e-3, 1e-6, 1e-12, 0.0, -1.0):
        tracker = Tracker(replace(hand.aim, target_mm=target_mm + left_mm))
        for event in hand.events:
            tracker.take(event)
        to_target = tracker.state().to_target_s
        if left_mm <= 0:
            assert to_target is None
        else:
            assert to_target is not None
            assert 0 <= to_target.low <= to_target.mid <= to_target.high < 3600


@pytest.mark.parametrize("every_s", [5.0, 30.0])
def test_a_typed_reading_counts_at_once(every_s: float) -> None:
    hand = arc_on(replace(KNOWN, streaming=False), rate_hz=1 / every_s)
    hand.burn(120.0)
    assert hand.state.high_mm == pytest.approx(3.0 + 120.0 * FEED_MM_S, abs=0.001)
    assert hand.state.feed_mm_min == pytest.approx(2.8, rel=0.01)
    assert hand.calls == []


def test_a_slip_in_typing_moves_nothing_until_a_second_reading_bears_it_out() -> None:
    hand = arc_on(replace(KNOWN, streaming=False), rate_hz=1 / 30)
    hand.burn(90.0)
    before = hand.state.high_mm
    hand.read(hand.travel_mm + 20.0)
    assert hand.state.high_mm == before
    hand.burn(30.0)
    assert hand.state.high_mm == pytest.approx(hand.travel_mm, abs=0.001)


# Calls -------------------------------------------------------------------------------------------


def test_near_is_called_a_millimetre_before_the_target() -> None:
    hand = arc_on(KNOWN)
    while not hand.calls:
        assert hand.t_s == 0 or hand.depth.high < 17.0
        hand.burn(0.1)
    assert hand.calls == ["near"]
    assert hand.depth.high == pytest.approx(17.0, abs=0.01)


def test_near_comes_earlier_in_a_long_burn() -> None:
    hand = arc_on(replace(KNOWN, target_mm=43.0, limit_mm=None))
    while not hand.calls:
        hand.burn(0.1)
    assert hand.calls == ["near"]
    # 5 % of 40 mm.
    assert hand.depth.high == pytest.approx(41.0, abs=0.01)


def test_target_is_called_where_the_upper_interval_reaches_it() -> None:
    hand = arc_on(replace(BLIND, limit_mm=None))
    while "target" not in hand.calls:
        hand.burn(0.1)
        assert hand.t_s < 600
    assert hand.calls == ["near", "target"]
    assert hand.depth.high == pytest.approx(18.0, abs=0.02)
    assert hand.depth.mid < 16.0


def test_limit_is_called_at_a_chance_of_one_in_a_hundred() -> None:
    hand = arc_on(replace(BLIND, target_mm=None))
    while not hand.calls:
        hand.burn(0.1)
        assert hand.t_s < 900
    assert hand.calls == ["limit"]
    wear = hand.state.wear
    # Of being deeper by more than a stop gives, at which it may stand by plan.
    deeper_mm = 21.5 + PAST_LIMIT_MM - hand.depth.mid
    chance = 0.5 * math.erfc(deeper_mm / wear.sd_mm / math.sqrt(2))
    assert chance == pytest.approx(0.01, abs=0.0003)


def test_a_head_on_a_stop_that_the_limit_holds_is_past_no_limit() -> None:
    hand = arc_on(BLIND)
    stop_mm = next_stop_mm(3.0, Wear.prior(BLIND.wear_mean, BLIND.wear_sd), 21.5, 21.5)
    while hand.travel_mm < stop_mm + 0.05:
        hand.burn(0.1)
    assert "target" in hand.calls
    assert "limit" not in hand.calls


def test_limit_is_never_called_where_travel_alone_stays_above_it() -> None:
    hand = arc_on(replace(BLIND, target_mm=None, wear_sd=0.5))
    while hand.travel_mm < 21.4:
        hand.burn(0.1)
    assert hand.calls == []


def test_near_and_target_and_limit_are_raised_once_while_they_stand() -> None:
    hand = arc_on(BLIND)
    hand.burn(420.0)
    assert hand.calls == ["near", "target", "limit"]
    assert [call.kind.value for call in hand.state.standing] == ["limit", "target", "near"]


def test_a_touch_off_that_shows_more_left_takes_the_call_down() -> None:
    hand = arc_on(replace(BLIND, limit_mm=None))
    while "target" not in hand.calls:
        hand.burn(0.1)
    hand.stop()
    assert hand.standing("target")
    hand.mark(MarkKind.TOUCH, 0.33 * (hand.travel_mm - 3.0))
    assert not hand.standing("target")
    hand.start()
    hand.rest(0.5)
    assert hand.calls == ["near", "target"]


def test_with_the_arc_off_no_depth_is_called() -> None:
    hand = arc_on(replace(BLIND, limit_mm=None, wear_sd=0.02))
    hand.burn(260.0)
    assert hand.calls == []
    hand.stop()
    hand.mark(MarkKind.TOUCH, 0.0)
    assert hand.depth.mid == pytest.approx(hand.travel_mm, abs=0.1)
    assert hand.calls == []
    hand.start()
    assert hand.calls == ["target", "near"]


def test_a_fall_is_called_with_the_depth_where_it_began() -> None:
    hand = arc_on(replace(KNOWN, target_mm=None, limit_mm=None))
    hand.burn(180.0)
    broke_mm = 3.0 + 0.75 * (hand.travel_mm - 3.0)
    fell_s = hand.t_s
    hand.move(6.0, 0.2)
    hand.rest(5.0)
    (call,) = hand.tracker.calls
    assert call.kind is CallKind.THROUGH
    assert call.t_s <= fell_s + 0.3
    assert call.depth_mm == pytest.approx(broke_mm, abs=0.05)


def test_a_fall_is_told_once_and_a_second_one_again_after_a_new_arc() -> None:
    hand = arc_on()
    hand.burn(60.0)
    hand.move(6.0, 0.2)
    hand.burn(30.0)
    hand.stop()
    assert hand.standing("through")
    hand.start()
    assert not hand.standing("through")
    hand.burn(30.0)
    assert hand.calls == ["through"]
    hand.move(6.0, 0.2)
    hand.rest(1.0)
    assert hand.calls == ["through", "through"]


@pytest.mark.parametrize("rate_hz", [2.0, 10.0, 50.0])
@pytest.mark.parametrize("unseen_mm", [0.1, 0.4, 1.5])
def test_what_was_burnt_while_nobody_looked_is_depth_but_no_fall(
    rate_hz: float, unseen_mm: float
) -> None:
    hand = arc_on(rate_hz=rate_hz)
    hand.burn(60.0)
    hand.stop()
    seen_mm = hand.travel_mm
    hand.move(-5.0, 1.0)
    hand.start()
    hand.move(2.0, (5.0 + unseen_mm) / 2.0)
    hand.burn(10.0)
    assert hand.calls == []
    high_mm = hand.state.high_mm
    assert high_mm is not None
    assert high_mm >= seen_mm + unseen_mm
    # And once it has landed a fall is a fall again.
    hand.move(6.0, max(0.2, 2 / rate_hz))
    hand.rest(2.0)
    assert hand.calls == ["through"]


@pytest.mark.parametrize("times", [1.5, 2.0, 3.0])
def test_a_softer_layer_is_no_fall(times: float) -> None:
    hand = arc_on()
    hand.burn(60.0)
    hand.burn(30.0, times * FEED_MM_S)
    hand.burn(30.0)
    assert hand.calls == []


@pytest.mark.parametrize("height_mm", [0.5, 3.0, 10.0])
def test_the_fast_return_after_a_lift_is_no_fall(height_mm: float) -> None:
    hand = arc_on()
    for _ in range(4):
        hand.burn(20.0)
        hand.lift(height_mm)
    assert hand.calls == []


@pytest.mark.parametrize("spike_mm", [0.3, 1.0, 2.5, -2.5])
def test_one_spike_is_no_fall_and_moves_nothing(spike_mm: float) -> None:
    hand = arc_on()
    hand.burn(60.0)
    before_mm = hand.state.high_mm
    assert before_mm is not None
    hand.read(hand.travel_mm + spike_mm)
    hand.rest(5.0)
    assert hand.calls == []
    assert hand.state.high_mm == pytest.approx(before_mm, abs=0.02)
    assert hand.state.rejected == 0


@pytest.mark.parametrize("step_mm", [0.01, 0.0127, 0.05])
def test_a_coarse_gauge_is_no_fall(step_mm: float) -> None:
    hand = arc_on()
    for _ in range(3000):
        hand.travel_mm += FEED_MM_S / 10
        hand.read(round(hand.travel_mm / step_mm) * step_mm)
    assert hand.calls == []


def test_no_advance_is_called_after_twelve_seconds_of_arc() -> None:
    hand = arc_on()
    hand.burn(30.0)
    hand.rest(11.0)
    assert hand.calls == []
    hand.rest(3.0)
    assert hand.calls == ["stalled"]
    assert 42.0 <= hand.tracker.calls[0].t_s <= 43.5
    hand.rest(60.0)
    assert hand.calls == ["stalled"]


def test_a_slow_burn_is_given_longer_before_it_is_called_stalled() -> None:
    crawl_mm_s = 0.02
    hand = arc_on()
    hand.burn(60.0, crawl_mm_s)
    hand.rest(3 * 0.15 / crawl_mm_s - 3.0)
    assert hand.calls == []
    hand.rest(6.0)
    assert hand.calls == ["stalled"]


def test_a_stall_clears_with_the_first_advance_and_is_called_anew_for_the_next() -> None:
    hand = arc_on()
    hand.burn(30.0)
    hand.rest(15.0)
    hand.burn(2.0)
    assert not hand.standing("stalled")
    hand.burn(20.0)
    hand.rest(15.0)
    assert hand.calls == ["stalled", "stalled"]


def test_noise_at_a_standstill_does_not_hide_a_stall() -> None:
    burn = SimulatedBurn(Scene(recess_mm=3, end_mm=18, stall_at_mm=5.0, stall_s=40.0), seed=3)
    hand = arc_on()
    for _ in range(1200):
        burn.advance(0.1, arc_on=True)
        hand.read(burn.reading_mm())
    assert hand.calls == ["stalled"]


def test_a_lift_within_an_even_burn_is_no_stall() -> None:
    hand = arc_on()
    for _ in range(10):
        hand.burn(5.0)
        hand.move(-3.0, 2.0)
        hand.rest(4.0)
        hand.move(3.0, 2.0)
    assert hand.calls == []


def test_a_gauge_that_says_nothing_from_the_start_is_silent() -> None:
    hand = Hand()
    hand.start()
    hand.tracker.tick(1.0)
    assert hand.calls == []
    hand.tracker.tick(1.001)
    assert hand.calls == ["silent"]
    assert hand.tracker.calls[0].t_s == 1.0


@pytest.mark.parametrize(("rate_hz", "patience_s"), [(50.0, 1.0), (10.0, 1.0), (2.0, 2.5)])
@pytest.mark.parametrize("ticks", [True, False])
def test_silence_is_dated_to_the_moment_it_fell_due(
    rate_hz: float, patience_s: float, ticks: bool
) -> None:
    hand = arc_on(rate_hz=rate_hz)
    hand.burn(20.0)
    last_s = hand.events[-1].t_s
    for n in range(1, 100 if ticks else 1):
        hand.tracker.tick(last_s + 0.07 * n)
    hand.t_s = last_s + 9.0
    hand.stop()
    assert hand.calls == ["silent"]
    assert hand.tracker.calls[0].t_s == pytest.approx(last_s + patience_s, abs=0.0011)


def test_silence_is_called_while_nothing_but_nonsense_comes() -> None:
    hand = arc_on()
    hand.burn(10.0)
    for n in range(15):
        hand.read(500.0 + 100 * n)
    assert hand.calls == ["jump", "silent"]


def test_a_gauge_that_comes_back_may_fall_silent_again() -> None:
    hand = arc_on()
    hand.burn(10.0)
    for _ in range(2):
        hand.t_s += 2.0
        hand.burn(1.0)
    assert hand.calls == ["silent", "silent"]
    assert not hand.standing("silent")


def test_with_the_arc_off_silence_is_no_call() -> None:
    hand = arc_on()
    hand.burn(5.0)
    hand.stop()
    hand.tracker.tick(hand.t_s + 60.0)
    assert hand.calls == []


def test_whoever_types_is_never_called_silent() -> None:
    hand = arc_on(replace(KNOWN, streaming=False))
    hand.burn(3.0)
    hand.tracker.tick(hand.t_s + 600.0)
    assert hand.calls == []


def test_a_jump_is_ignored_counted_and_called_once_for_a_bad_cable() -> None:
    hand = arc_on()
    hand.burn(10.0)
    for _ in range(4):
        hand.read(hand.travel_mm + 50.0)
        hand.rest(1.0)
    assert hand.calls == ["jump"]
    assert hand.state.rejected == 4
    assert hand.state.travel_mm == pytest.approx(hand.travel_mm, abs=0.001)
    hand.burn(6.0)
    assert not hand.standing("jump")


def test_a_head_moved_as_fast_as_heads_move_does_not_jump() -> None:
    hand = arc_on()
    hand.burn(10.0)
    hand.move(-25.0, 1.0)
    hand.move(25.0, 1.0)
    assert hand.state.rejected == 0
    assert hand.calls == []


def test_a_head_that_the_machine_says_is_slow_jumps_sooner() -> None:
    hand = arc_on(Aim(head_speed_mm_s=5.0))
    hand.burn(10.0)
    hand.move(-25.0, 1.0)
    assert "jump" in hand.calls


def test_a_hand_that_moves_the_head_with_the_arc_off_is_no_bad_cable() -> None:
    hand = arc_on()
    hand.burn(10.0)
    hand.stop()
    hand.move(-80.0, 1.0)
    hand.rest(1.0)
    assert hand.calls == []
    assert hand.state.travel_mm == pytest.approx(hand.travel_mm, abs=0.001)


def test_a_gauge_set_anew_is_believed_when_three_readings_agree() -> None:
    hand = arc_on()
    hand.burn(10.0)
    hand.travel_mm -= 40.0
    hand.rest(0.2)
    assert hand.state.travel_mm != pytest.approx(hand.travel_mm, abs=1.0)
    hand.rest(0.1)
    assert hand.state.travel_mm == pytest.approx(hand.travel_mm, abs=0.001)
    assert hand.state.rejected == 2


# Nonsense and order ------------------------------------------------------------------------------

NONSENSE = [
    Reading(11.0, math.nan),
    Reading(11.0, math.inf),
    Reading(11.0, -math.inf),
    Reading(11.0, 2001.0),
    Reading(11.0, -1e300),
    Reading(math.nan, 3.5),
    Reading(math.inf, 3.5),
    Reading(9.0, 3.5),
    Reading(-1.0, 3.5),
    Mark(math.nan, MarkKind.STOP),
    Mark(9.0, MarkKind.STOP),
    Mark(11.0, MarkKind.TOUCH, math.nan),
    Mark(11.0, MarkKind.WEAR, math.inf),
    Mark(11.0, MarkKind.DEPTH, -1e9),
]


@pytest.mark.parametrize("event", NONSENSE, ids=str)
def test_nonsense_is_counted_and_changes_nothing_else(event: Reading | Mark) -> None:
    hand = arc_on()
    hand.burn(10.0)
    before = hand.state
    hand.tracker.take(event)
    after = hand.state
    assert after.rejected == before.rejected + 1
    assert replace(after, rejected=before.rejected) == before
    hand.burn(1.0)
    assert hand.calls == []


def eventful(seed: int) -> Hand:
    """A burn with lifts, a stall, silences, spikes, a touch-off and a fall."""
    scene = Scene(recess_mm=3, end_mm=9, stall_at_mm=6.0, stall_s=30.0, lift_every_s=20.0)
    burn, hand = SimulatedBurn(scene, seed), arc_on(replace(BLIND, target_mm=8.5))
    for n in range(2400):
        if n == 900:
            hand.stop()
            hand.mark(MarkKind.TOUCH, burn.wear_mm)
            hand.start()
        burn.advance(0.1, arc_on=True)
        if n % 700 == 350:
            hand.t_s += 3.0
        hand.read(burn.reading_mm() + (60.0 if n % 400 == 399 else 0.0))
    hand.stop()
    return hand


EVENTFUL = [eventful(seed) for seed in range(3)]


@pytest.mark.parametrize("seed", range(3))
def test_an_eventful_burn_has_every_call_in_the_order_of_time(seed: int) -> None:
    hand = EVENTFUL[seed]
    assert {"near", "target", "through", "stalled", "silent", "jump"} <= set(hand.calls)
    assert in_time_order([call.t_s for call in hand.tracker.calls])


@settings(max_examples=25)
@given(seed=st.integers(0, 2), ticks=st.lists(st.floats(0, 260), max_size=200))
def test_time_that_passes_in_whatever_pieces_gives_the_same_calls(
    seed: int, ticks: list[float]
) -> None:
    hand = EVENTFUL[seed]
    tracker, due = Tracker(hand.aim), sorted(ticks)
    for event in hand.events:
        while due and due[0] <= event.t_s:
            tracker.tick(due.pop(0))
        tracker.take(event)
    assert tracker.calls == hand.tracker.calls
    assert tracker.state() == hand.state


@pytest.mark.parametrize("rate_hz", [5.0, 10.0, 50.0])
@pytest.mark.parametrize("back_mm", [0.0, 0.05])
def test_what_was_burnt_while_the_gauge_was_silent_before_a_lift_is_no_fall(
    rate_hz: float, back_mm: float
) -> None:
    """Silent while it burns on; the first thing heard is the head on its way up, slowly."""
    hand = arc_on(rate_hz=rate_hz)
    hand.burn(60.0, 0.03)
    hand.t_s += 4.0
    burnt_mm = hand.travel_mm + 0.16
    hand.travel_mm -= back_mm
    hand.move(-0.4, 1.0)
    hand.rest(1.5)
    hand.move(0.8, (burnt_mm - hand.travel_mm) / 0.8)
    hand.burn(5.0, 0.03)
    assert hand.calls == ["silent"]
