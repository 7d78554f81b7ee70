"""The invented burn keeps the promises that the tracker, the demo and the simulator build on."""

from __future__ import annotations

import math
from dataclasses import replace
from statistics import fmean, median, stdev

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cockpit.burn.simulate import (
    APPROACH_MM_S,
    CLEAR_MM,
    HAND_MM_S,
    OWN_FEED_S,
    REST_S,
    Scene,
    SimulatedBurn,
)

SCENE = Scene(recess_mm=3.0, end_mm=18.0)
#: Without chance: what it does can be worked out by hand.
CALM = replace(
    SCENE,
    feed_noise=0.0,
    wear_drift=0.0,
    vibration_mm=0.0,
    resolution_mm=0.0,
    lift_every_s=math.inf,
)
APPROACH_S = CLEAR_MM / APPROACH_MM_S
TO_END_S = (18.0 - 3.0) / 2.8 * 60
#: Everything that makes a burn hard, and soon.
HARD = Scene(
    recess_mm=3.0,
    end_mm=4.0,
    lift_every_s=6.0,
    stall_at_mm=3.5,
    stall_s=4.0,
    soft_every_mm=0.3,
    soft_mm=0.1,
    fall_mm_s=0.25,
    fall_noise=0.5,
    spike_every_s=5.0,
    dropout_every_s=10.0,
)


def truth(burn: SimulatedBurn) -> tuple[float, ...]:
    """All that is true of a burn, in a form that can be compared."""
    return (
        burn.t_s,
        burn.travel_mm,
        burn.depth_mm,
        burn.wear_mm,
        burn.wear_ratio,
        burn.feed_mm_s,
        burn.own_feed_mm_s,
        burn.fell_at_s,
        burn.fall_shown_s(0.15),
        float(burn.is_heard),
    )


def do(what: str, burn: SimulatedBurn) -> None:
    """Do with a burn what the operator may."""
    if what in ("touch", "hole", "electrode", "spot"):
        burn.advance(0.0, arc_on=False)
    match what:
        case "touch":
            burn.to_reference()
        case "hole":
            burn.to_hole()
        case "electrode":
            burn.change_electrode()
        case "spot":
            burn.next_spot()
        case "stall":
            burn.stall()


def burn_until_fallen(burn: SimulatedBurn, step_s: float = 0.05) -> float:
    """Burn until the electrode is through; return the arc time, s."""
    arc_s = 0.0
    while not burn.fallen:
        burn.advance(step_s, arc_on=True)
        arc_s += step_s
        assert arc_s < 3600
    return arc_s


def test_the_same_seed_gives_the_same_readings_and_another_seed_others() -> None:
    def readings(seed: int) -> list[float]:
        burn, shown = SimulatedBurn(SCENE, seed), []
        for _ in range(600):
            burn.advance(0.1, arc_on=True)
            shown.append(burn.reading_mm())
        return shown

    assert readings(1) == readings(1)
    assert readings(1) != readings(2)


@settings(max_examples=50)
@given(
    steps_s=st.lists(st.floats(0.001, 7.0), min_size=1, max_size=60),
    seed=st.integers(0, 99),
    bottom_mm=st.sampled_from([None, 4.0, 4.3]),
    between=st.sampled_from(["nothing", "electrode", "spot", "stall"]),
)
def test_the_truth_does_not_depend_on_how_often_it_is_looked_at(
    steps_s: list[float], seed: int, bottom_mm: float | None, between: str
) -> None:
    scene = replace(HARD, bottom_mm=bottom_mm)
    often, once = SimulatedBurn(scene, seed), SimulatedBurn(scene, seed)
    for half in range(2):
        for step_s in steps_s:
            often.advance(step_s, arc_on=True)
            often.reading_mm()
            truth(often)
        once.advance(math.fsum(steps_s), arc_on=True)
        assert truth(often) == pytest.approx(truth(once), abs=1e-6)
        for burn in (often, once) if half == 0 else ():
            do(between, burn)


@settings(max_examples=30)
@given(
    moves=st.lists(
        st.tuples(
            st.sampled_from(["on", "on", "off", "touch", "hole", "electrode", "spot"]),
            st.floats(0.02, 20.0),
        ),
        max_size=40,
    ),
    seed=st.integers(0, 99),
)
def test_depth_is_high_water_travel_less_wear_whatever_is_done(
    moves: list[tuple[str, float]], seed: int
) -> None:
    burn = SimulatedBurn(replace(HARD, end_mm=5.0), seed)
    high_mm, wear_mm = HARD.recess_mm, 0.0
    for what, lasts_s in moves:
        do(what, burn)
        if what in ("electrode", "spot"):
            high_mm, wear_mm = burn.depth_mm + burn.wear_mm, burn.wear_mm
            assert burn.travel_mm <= high_mm
        for _ in range(math.ceil(lasts_s / 0.02)):
            burn.advance(0.02, arc_on=what == "on")
            high_mm = max(high_mm, burn.travel_mm)
            assert burn.wear_mm >= wear_mm
            wear_mm = burn.wear_mm
        # The high-water mark may have been passed between two looks, by a lift's beginning.
        assert high_mm <= burn.depth_mm + burn.wear_mm + 1e-9
        assert high_mm >= burn.depth_mm + burn.wear_mm - 0.02


def test_a_calm_burn_goes_by_its_feed_and_its_wear_ratio() -> None:
    burn = SimulatedBurn(CALM)
    burn.advance(APPROACH_S + 60.0, arc_on=True)
    assert burn.depth_mm == pytest.approx(3.0 + 2.8)
    # r is lost per millimetre of travel, and travel = depth gained + wear.
    assert burn.wear_mm == pytest.approx(0.25 * (2.8 + burn.wear_mm))
    assert burn.travel_mm == pytest.approx(burn.depth_mm + burn.wear_mm)
    assert burn.reading_mm() == burn.travel_mm


def test_on_its_depth_stop_the_head_rests_and_goes_on_when_that_is_set_deeper() -> None:
    burn = SimulatedBurn(CALM, seed=1)
    burn.set_stop(10.0)
    burn.advance(600.0, arc_on=True)
    assert burn.travel_mm == burn.depth_mm + burn.wear_mm == pytest.approx(10.0)
    depth_mm = burn.depth_mm
    burn.advance(5.0, arc_on=False)
    burn.set_stop(12.0)
    burn.advance(600.0, arc_on=True)
    assert burn.travel_mm == pytest.approx(12.0)
    assert burn.depth_mm == pytest.approx(depth_mm + 0.75 * 2.0)


def test_a_stop_catches_a_fall() -> None:
    burn = SimulatedBurn(CALM)
    burn.advance(APPROACH_S + TO_END_S, arc_on=True)
    stop_mm = burn.travel_mm + 0.5
    burn.set_stop(stop_mm)
    burn.advance(30.0, arc_on=True)
    assert burn.fallen
    assert burn.travel_mm == pytest.approx(stop_mm)


def test_a_stop_above_the_tip_lets_the_head_no_lower() -> None:
    burn = SimulatedBurn(CALM)
    burn.advance(60.0, arc_on=True)
    depth_mm = burn.depth_mm
    burn.advance(5.0, arc_on=False)
    burn.set_stop(depth_mm - 1.0)
    burn.advance(60.0, arc_on=True)
    assert burn.travel_mm == pytest.approx(depth_mm - 1.0)
    assert burn.depth_mm == depth_mm


def test_the_feed_wanders_slowly_about_its_mean() -> None:
    minutes = []
    for seed in range(300):
        burn = SimulatedBurn(replace(CALM, feed_noise=0.25), seed)
        burn.advance(APPROACH_S + 60.0, arc_on=True)
        minutes.append(burn.depth_mm - 3.0)
    # Over 60 s a memory of 15 s leaves about 0.25 x sqrt(2 x 15 / 60 x (1 - 15 / 60)) = 0.15.
    assert fmean(minutes) == pytest.approx(2.8, rel=0.03)
    assert stdev(minutes) / 2.8 == pytest.approx(0.15, abs=0.03)


def test_the_wear_ratio_drifts_a_little() -> None:
    ratios = []
    for seed in range(300):
        burn = SimulatedBurn(replace(CALM, wear_drift=0.005), seed)
        burn.advance(APPROACH_S + TO_END_S, arc_on=True)
        ratios.append(burn.wear_ratio)
    # 20 mm of travel: 0.005 x sqrt(20).
    assert fmean(ratios) == pytest.approx(0.25, abs=0.005)
    assert stdev(ratios) == pytest.approx(0.005 * math.sqrt(20.0), rel=0.15)


def test_it_falls_fast_and_without_wear_where_the_tool_ends_and_rests_there() -> None:
    burn = SimulatedBurn(CALM)
    burn.advance(APPROACH_S + TO_END_S - 0.01, arc_on=True)
    assert not burn.fallen
    worn_mm = burn.wear_mm
    burn.advance(0.01 + 0.05, arc_on=True)
    assert burn.fallen
    assert burn.depth_mm == pytest.approx(18.0 + 6.0 * 0.05, abs=1e-3)
    burn.advance(30.0, arc_on=True)
    assert burn.depth_mm == pytest.approx(18.8)
    assert burn.wear_mm == pytest.approx(worn_mm, abs=1e-3)
    assert burn.travel_mm == pytest.approx(burn.depth_mm + burn.wear_mm)


def test_a_tool_that_ends_on_the_bottom_gives_no_fall_and_the_part_burns_on() -> None:
    burn = SimulatedBurn(replace(CALM, bottom_mm=18.0))
    burn.advance(APPROACH_S + TO_END_S + 60.0, arc_on=True)
    assert not burn.fallen
    assert burn.depth_mm == pytest.approx(18.0 + 2.8)


def test_a_bottom_just_under_the_tool_stops_the_fall_and_then_burns() -> None:
    burn = SimulatedBurn(replace(CALM, bottom_mm=18.3))
    burn.advance(APPROACH_S + TO_END_S + 0.05 + 60.0, arc_on=True)
    assert burn.fallen
    assert burn.depth_mm == pytest.approx(18.3 + 2.8)


def test_lifting_to_clear_comes_back_fast_to_the_mark_and_no_further() -> None:
    burn = SimulatedBurn(replace(CALM, lift_every_s=10.0))
    highs, lowest_gap_mm, fastest_mm_s, before_mm = [], 0.0, 0.0, burn.travel_mm
    burn.advance(APPROACH_S, arc_on=True)
    for _ in range(3000):
        before_mm = burn.travel_mm
        burn.advance(0.02, arc_on=True)
        mark_mm = burn.depth_mm + burn.wear_mm
        highs.append(burn.travel_mm - mark_mm)
        lowest_gap_mm = min(lowest_gap_mm, burn.travel_mm - mark_mm)
        fastest_mm_s = max(fastest_mm_s, (burn.travel_mm - before_mm) / 0.02)
    assert max(highs) <= 1e-9
    assert lowest_gap_mm == pytest.approx(-3.0, abs=1e-6)
    # 3 mm in a quarter of 2 s: as fast as a fall, which is what makes it worth having.
    assert fastest_mm_s == pytest.approx(6.0, rel=0.01)


def test_a_stall_holds_the_depth_for_its_time_and_lifting_ends_it() -> None:
    scene = replace(CALM, stall_at_mm=5.8, stall_s=30.0)
    waited, lifted = SimulatedBurn(scene), SimulatedBurn(scene)
    for burn in (waited, lifted):
        burn.advance(APPROACH_S + 60.0 + 29.0, arc_on=True)
        assert burn.depth_mm == pytest.approx(5.8)
    waited.advance(1.0 + 60.0, arc_on=True)
    assert waited.depth_mm == pytest.approx(5.8 + 2.8)
    lifted.advance(10.0, arc_on=False)
    lifted.advance(APPROACH_S + 60.0, arc_on=True)
    assert lifted.depth_mm == pytest.approx(5.8 + 2.8)


def test_with_the_arc_off_the_tip_rests_and_then_lifts_clear() -> None:
    burn = SimulatedBurn(CALM)
    burn.advance(APPROACH_S + 60.0, arc_on=True)
    mark_mm = burn.travel_mm
    burn.advance(REST_S, arc_on=False)
    assert burn.travel_mm == mark_mm
    burn.advance(5.0, arc_on=False)
    assert burn.travel_mm == pytest.approx(mark_mm - CLEAR_MM)
    assert burn.depth_mm + burn.wear_mm == pytest.approx(mark_mm)


def test_touching_off_reads_the_wear_and_the_head_is_moved_there() -> None:
    burn = SimulatedBurn(CALM)
    burn.advance(APPROACH_S + 120.0, arc_on=True)
    mark_mm = burn.travel_mm
    burn.to_reference()
    burn.advance(0.5, arc_on=False)
    assert burn.travel_mm == pytest.approx(mark_mm - 0.5 * HAND_MM_S)
    burn.advance(5.0, arc_on=False)
    assert burn.reading_mm() == pytest.approx(burn.wear_mm)
    assert burn.wear_mm == pytest.approx(5.6 / 3)
    burn.to_hole()
    burn.advance(5.0, arc_on=False)
    assert burn.travel_mm == pytest.approx(mark_mm - CLEAR_MM)


def test_a_new_electrode_on_the_reference_face_reads_zero() -> None:
    burn = SimulatedBurn(CALM)
    burn.to_reference()
    burn.advance(2.0, arc_on=False)
    assert burn.reading_mm() == 0.0


def test_a_new_electrode_is_zeroed_again_and_the_hole_stays_as_deep() -> None:
    burn = SimulatedBurn(CALM)
    burn.advance(APPROACH_S + 120.0, arc_on=True)
    with pytest.raises(ValueError, match="arc on"):
        burn.change_electrode()
    burn.advance(0.1, arc_on=False)
    burn.change_electrode()
    assert burn.depth_mm == pytest.approx(8.6)
    assert (burn.wear_mm, burn.travel_mm) == (0.0, 0.0)
    burn.advance(5.0, arc_on=False)
    assert burn.travel_mm == pytest.approx(8.6 - CLEAR_MM)
    burn.to_reference()
    burn.advance(5.0, arc_on=False)
    assert burn.reading_mm() == 0.0
    burn.advance(8.6 / APPROACH_MM_S, arc_on=True)
    assert burn.travel_mm == pytest.approx(8.6)
    burn.advance(60.0, arc_on=True)
    assert burn.depth_mm == pytest.approx(8.6 + 2.8)
    assert burn.wear_mm == pytest.approx(2.8 / 3)


def test_at_the_next_spot_all_is_still_to_burn_but_the_electrode_is_worn() -> None:
    burn = SimulatedBurn(replace(CALM, stall_at_mm=17.0))
    burn.advance(APPROACH_S + TO_END_S + 60.0, arc_on=True)
    assert burn.fallen
    with pytest.raises(ValueError, match="arc on"):
        burn.next_spot()
    worn_mm = burn.wear_mm
    burn.advance(0.1, arc_on=False)
    burn.next_spot()
    assert (burn.depth_mm, burn.wear_mm, burn.fallen) == (3.0, worn_mm, False)
    assert burn.fell_at_s == burn.fall_shown_s(0.0) == math.inf
    burn.advance(2.0, arc_on=False)
    assert burn.travel_mm == pytest.approx(3.0 + worn_mm - CLEAR_MM)
    before_s = burn.t_s
    burn.advance(APPROACH_S + TO_END_S + 60.0, arc_on=True)
    assert burn.fell_at_s == pytest.approx(before_s + APPROACH_S + TO_END_S + 30.0)
    assert burn.wear_mm == pytest.approx(2 * worn_mm)


def test_a_tip_that_is_out_of_the_hole_does_not_jump_to_the_next_spot() -> None:
    burn = SimulatedBurn(CALM)
    burn.advance(APPROACH_S + 120.0, arc_on=True)
    do("touch", burn)
    burn.advance(5.0, arc_on=False)
    on_face_mm = burn.travel_mm
    burn.next_spot()
    assert burn.travel_mm == on_face_mm
    burn.advance(5.0, arc_on=False)
    assert burn.travel_mm == pytest.approx(3.0 + burn.wear_mm - CLEAR_MM)


def test_a_stall_that_is_asked_for_lasts_until_the_arc_goes_off() -> None:
    burn = SimulatedBurn(CALM)
    burn.advance(APPROACH_S + 60.0, arc_on=True)
    burn.stall()
    burn.advance(600.0, arc_on=True)
    assert burn.depth_mm == pytest.approx(5.8)
    assert burn.own_feed_mm_s == pytest.approx(0.0)
    burn.advance(1.0, arc_on=False)
    burn.advance(APPROACH_S + 60.0, arc_on=True)
    assert burn.depth_mm == pytest.approx(5.8 + 2.8)


def test_in_a_soft_layer_it_burns_faster_from_its_top_to_its_bottom() -> None:
    burn = SimulatedBurn(replace(CALM, end_mm=60.0, soft_every_mm=4.0, soft_mm=0.5), seed=2)
    usual_mm_s, step_s, passed = 2.8 / 60, 0.05, list[tuple[float, float]]()
    burn.advance(APPROACH_S, arc_on=True)
    while burn.depth_mm < 50.0:
        before_mm, feed_mm_s = burn.depth_mm, burn.feed_mm_s
        burn.advance(step_s, arc_on=True)
        if feed_mm_s == burn.feed_mm_s:
            assert (burn.depth_mm - before_mm) / step_s == pytest.approx(feed_mm_s)
        elif burn.feed_mm_s > usual_mm_s:
            passed.append((burn.depth_mm, burn.feed_mm_s / usual_mm_s))
        else:
            assert burn.depth_mm - passed[-1][0] == pytest.approx(0.5, abs=0.02)
    assert 8 <= len(passed) <= 17
    assert all(1.5 <= times <= 3.0 for _, times in passed)
    assert burn.wear_mm == pytest.approx((burn.depth_mm - 3.0) / 3)


def test_a_fall_is_timed_exactly_however_seldom_one_looks() -> None:
    fell_s = APPROACH_S + TO_END_S
    burn = SimulatedBurn(CALM)
    burn.advance(fell_s - 0.01, arc_on=True)
    assert burn.fell_at_s == burn.fall_shown_s(0.0) == math.inf
    burn.advance(0.02, arc_on=True)
    assert burn.fell_at_s == burn.fall_shown_s(0.0) == pytest.approx(fell_s)
    assert burn.fall_shown_s(0.15) == math.inf
    burn.advance(500.0, arc_on=True)
    assert burn.fall_shown_s(0.15) == pytest.approx(fell_s + 0.15 / 6.0)
    assert burn.fall_shown_s(0.8) == pytest.approx(fell_s + 0.8 / 6.0)
    assert burn.fall_shown_s(0.81) == math.inf


def test_a_fall_that_is_interrupted_goes_on_where_it_was() -> None:
    burn = SimulatedBurn(replace(CALM, fall_mm_s=0.25))
    burn.advance(APPROACH_S + TO_END_S + 0.4, arc_on=True)
    assert burn.depth_mm == pytest.approx(18.1)
    burn.advance(10.0, arc_on=False)
    burn.advance(APPROACH_S + 0.4, arc_on=True)
    assert burn.depth_mm == pytest.approx(18.2)
    assert burn.fall_shown_s(0.05) == pytest.approx(burn.fell_at_s + 0.2)
    assert burn.fall_shown_s(0.15) == pytest.approx(burn.t_s - 0.2)


def test_a_burn_without_air_under_it_never_falls() -> None:
    burn = SimulatedBurn(replace(CALM, bottom_mm=18.0))
    burn.advance(APPROACH_S + TO_END_S + 60.0, arc_on=True)
    assert burn.fell_at_s == burn.fall_shown_s(0.15) == math.inf


def test_a_fall_fed_by_hand_is_uneven_about_its_median() -> None:
    scene = replace(CALM, fall_mm_s=0.25, fall_noise=0.4)
    first, whole = [], []
    for seed in range(400):
        burn = SimulatedBurn(scene, seed)
        burn.advance(APPROACH_S + TO_END_S + 120.0, arc_on=True)
        assert burn.depth_mm == pytest.approx(18.8)
        # What it does in its first hundredth, the speed has not had time to change in.
        first.append(math.log(0.001 / (burn.fall_shown_s(0.001) - burn.fell_at_s)))
        whole.append(0.8 / (burn.fall_shown_s(0.8) - burn.fell_at_s))
    assert math.exp(median(first)) == pytest.approx(0.25, rel=0.06)
    assert stdev(first) == pytest.approx(0.4, rel=0.1)
    # Over ten memories it evens out.
    assert stdev(whole) < 0.6 * 0.25 * 0.4
    # At the moment it says, it is where it says.
    again = SimulatedBurn(scene, 399)
    again.advance(burn.fall_shown_s(0.15), arc_on=True)
    assert again.depth_mm == pytest.approx(18.15)


def test_the_burns_own_feed_is_of_travel_over_its_last_twenty_seconds_of_burning() -> None:
    burn = SimulatedBurn(replace(CALM, lift_every_s=7.0, stall_at_mm=10.0, stall_s=5.0))
    assert burn.own_feed_mm_s == 0.0
    travel_mm_s = 2.8 / 60 / 0.75
    burn.advance(APPROACH_S + 1.0, arc_on=True)
    assert burn.own_feed_mm_s == pytest.approx(travel_mm_s)
    for _ in range(10):
        burn.advance(7.3, arc_on=True)
        assert burn.own_feed_mm_s == pytest.approx(travel_mm_s)
    stalled = SimulatedBurn(replace(CALM, stall_at_mm=10.0, stall_s=5.0))
    stalled.advance(APPROACH_S + 7.0 / 2.8 * 60 + 5.0 + 6.0, arc_on=True)
    assert stalled.own_feed_mm_s == pytest.approx(travel_mm_s * (OWN_FEED_S - 5.0) / OWN_FEED_S)
    stalled.advance(9.0, arc_on=True)
    assert stalled.own_feed_mm_s == pytest.approx(travel_mm_s * (OWN_FEED_S - 5.0) / OWN_FEED_S)
    stalled.advance(3.0, arc_on=True)
    assert stalled.own_feed_mm_s == pytest.approx(travel_mm_s * (OWN_FEED_S - 2.0) / OWN_FEED_S)


def test_the_burns_own_feed_is_what_the_travel_says_and_a_fall_leaves_it_alone() -> None:
    scene = replace(SCENE, lift_every_s=math.inf, soft_every_mm=1.0, soft_mm=0.4, end_mm=6.0)
    burn, travels_mm = SimulatedBurn(scene, seed=9), list[float]()
    burn.advance(APPROACH_S, arc_on=True)
    while True:
        travels_mm.append(burn.travel_mm)
        own_mm_s = burn.own_feed_mm_s
        burn.advance(0.1, arc_on=True)
        if burn.fallen:
            break
        if len(travels_mm) > 200:
            assert burn.own_feed_mm_s == pytest.approx((burn.travel_mm - travels_mm[-200]) / 20)
    burn.advance(30.0, arc_on=True)
    assert burn.own_feed_mm_s == pytest.approx(own_mm_s, rel=0.02)


def test_readings_shake_and_come_in_steps() -> None:
    burn = SimulatedBurn(replace(CALM, vibration_mm=0.05, resolution_mm=0.0127))
    burn.advance(APPROACH_S + TO_END_S + 10.0, arc_on=True)
    shown = [burn.reading_mm() for _ in range(2000)]
    steps = [reading / 0.0127 for reading in shown]
    assert steps == pytest.approx([round(step) for step in steps], abs=1e-3)
    assert stdev(shown) == pytest.approx(0.05, rel=0.1)
    assert fmean(shown) == pytest.approx(burn.travel_mm, abs=0.005)
    burn.advance(10.0, arc_on=False)
    assert stdev(burn.reading_mm() for _ in range(2000)) < 0.01


def test_a_whole_burn_with_everything_in_it_ends_below_the_tool() -> None:
    burn = SimulatedBurn(SCENE, seed=5)
    arc_s = burn_until_fallen(burn)
    assert 0.6 * TO_END_S < arc_s < 1.6 * TO_END_S
    assert burn.wear_mm == pytest.approx(15.0 / 3, rel=0.3)


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"end_mm": 3.0}, "end below its break"),
        ({"recess_mm": -1.0}, "end below its break"),
        ({"bottom_mm": 17.0}, "bottom"),
        ({"wear_ratio": 1.0}, "wear ratio"),
        ({"feed_mm_min": 0.0}, "feed_mm_min"),
        ({"fall_mm_s": math.nan}, "fall_mm_s"),
        ({"soft_every_mm": 0.0}, "soft_every_mm"),
        ({"soft_every_mm": 1.4, "soft_mm": 1.0}, "overlap"),
        ({"soft_times": 1.4}, "soft_times"),
        ({"soft_mm": math.inf}, "soft_mm"),
        ({"fall_noise": -0.1}, "fall_noise"),
        ({"spike_every_s": 0.0}, "spike_every_s"),
        ({"spike_mm": math.nan}, "spike_mm"),
        ({"dropout_every_s": -1.0}, "dropout_every_s"),
        ({"dropout_s": math.inf}, "dropout_s"),
    ],
)
def test_a_scene_that_can_not_be_is_refused(wrong: dict[str, float], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        replace(SCENE, **wrong)


@pytest.mark.parametrize("dt_s", [-0.1, math.inf, math.nan])
def test_time_only_goes_forward(dt_s: float) -> None:
    with pytest.raises(ValueError, match="forward"):
        SimulatedBurn(SCENE).advance(dt_s, arc_on=True)
