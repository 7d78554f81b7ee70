"""What chance brings to the invented burn comes as often and as large as its scene says."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from random import Random
from statistics import correlation, fmean, stdev

import pytest

from cockpit.burn.scene import Scene
from cockpit.burn.simulate import SimulatedBurn
from cockpit.burn.simulate_chance import DropOuts, SoftLayers, Spikes, Wander
from cockpit.gauges import Sample, SimulatedGauge
from cockpit.profiles import GaugeProfile

SCENE = Scene(recess_mm=3.0, end_mm=18.0)
HOUR_S = 3600.0


def test_what_wanders_has_its_spread_and_its_memory() -> None:
    wander = Wander(0.5, memory_s=0.3, step_s=0.05, chance=Random(1))
    values = []
    for _ in range(60_000):
        values.append(wander.value)
        wander.step()
    assert fmean(values) == pytest.approx(0.0, abs=0.02)
    assert stdev(values) == pytest.approx(0.5, rel=0.03)
    # One memory, six steps, later.
    assert correlation(values[:-6], values[6:]) == pytest.approx(math.exp(-1), abs=0.03)


def layers(scene: Scene, count: int) -> list[tuple[float, float, float]]:
    """The first layers under a break: top, bottom, how many times as fast."""
    soft, depth_mm = SoftLayers(scene, Random(2)), scene.recess_mm
    found: list[tuple[float, float, float]] = []
    while len(found) < count:
        times, change_mm = soft.at(depth_mm)
        if times > 1:
            found.append((depth_mm, change_mm, times))
        depth_mm = change_mm
    return found


def test_soft_layers_come_at_their_distance_and_are_as_thick_and_soft_as_they_may_be() -> None:
    found = layers(replace(SCENE, soft_every_mm=2.0, soft_mm=0.5, soft_times=3.0), 2000)
    assert all(bottom - top == pytest.approx(0.5) for top, bottom, _ in found)
    apart_mm = [lower - upper for (upper, _, _), (lower, _, _) in pairwise(found)]
    assert min(apart_mm) == pytest.approx(1.4, abs=0.01)
    assert max(apart_mm) == pytest.approx(2.6, abs=0.01)
    times = [each for _, _, each in found]
    assert min(times) == pytest.approx(1.5, abs=0.01)
    assert max(times) == pytest.approx(3.0, abs=0.01)
    # Both are drawn evenly between their ends.
    assert fmean(apart_mm) == pytest.approx(2.0, rel=0.02)
    assert fmean(times) == pytest.approx(2.25, rel=0.02)
    assert 1.4 <= found[0][0] - SCENE.recess_mm <= 2.6


def test_soft_layers_passed_by_unseen_change_nothing_below() -> None:
    scene = replace(SCENE, soft_every_mm=2.0, soft_mm=0.5)
    top_mm, bottom_mm, times = layers(scene, 20)[-1]
    fell = SoftLayers(scene, Random(2))
    assert fell.at((top_mm + bottom_mm) / 2) == (times, bottom_mm)


def test_without_soft_layers_nothing_changes_with_depth() -> None:
    assert SoftLayers(SCENE, Random(2)).at(1e6) == (1.0, math.inf)


def spikes(rate_hz: float, lasts_s: float = 10 * HOUR_S) -> list[tuple[float, float]]:
    """The spikes of a gauge read so often: when, and how far off."""
    source = Spikes(replace(SCENE, spike_every_s=60.0, spike_mm=2.0), Random(3))
    times_s = [n / rate_hz for n in range(round(lasts_s * rate_hz))]
    return [(t_s, off) for t_s in times_s if (off := source.off_mm(t_s))]


def test_spikes_come_by_pure_chance_and_are_half_their_size_to_all_of_it() -> None:
    found = spikes(10.0)
    # 600 are expected, give or take three times their root.
    assert len(found) == pytest.approx(600, abs=75)
    waits_s = [after - before for (before, _), (after, _) in pairwise(found)]
    # An exponential's spread is its mean.
    assert stdev(waits_s) == pytest.approx(60.0, rel=0.15)
    sizes_mm = [abs(off) for _, off in found]
    assert min(sizes_mm) == pytest.approx(1.0, abs=0.02)
    assert max(sizes_mm) == pytest.approx(2.0, abs=0.02)
    assert sum(off > 0 for _, off in found) / len(found) == pytest.approx(0.5, abs=0.07)


def test_spikes_come_at_their_time_however_fast_the_gauge_is() -> None:
    slow, fast = spikes(2.0, HOUR_S), spikes(50.0, HOUR_S)
    # A slow gauge shows the first of those that fall between two of its readings.
    assert {off for _, off in slow} <= {off for _, off in fast}
    when_s = {off: t_s for t_s, off in fast}
    assert all(0 <= t_s - when_s[off] < 0.5 for t_s, off in slow)
    assert len(slow) >= 0.9 * len(fast)


def test_a_spike_spoils_one_reading_and_never_the_truth() -> None:
    calm = replace(SCENE, vibration_mm=0.0, resolution_mm=0.0)
    spiked = replace(calm, spike_every_s=20.0, spike_mm=2.0)
    right, wrong, off_mm = SimulatedBurn(calm, 4), SimulatedBurn(spiked, 4), []
    for _ in range(6000):
        for burn in (right, wrong):
            burn.advance(0.1, arc_on=True)
        off_mm.append(wrong.reading_mm() - right.reading_mm())
        assert wrong.reading_mm() == right.travel_mm == wrong.travel_mm
    struck = [abs(off) for off in off_mm if off]
    assert 10 < len(struck) < 60
    assert all(1.0 - 1e-9 <= size <= 2.0 + 1e-9 for size in struck)


def test_a_spike_can_be_asked_for() -> None:
    burn = SimulatedBurn(replace(SCENE, vibration_mm=0.0))
    burn.spike(-2.5)
    assert burn.reading_mm() == burn.travel_mm - 2.5
    assert burn.reading_mm() == burn.travel_mm
    for nothing in (math.nan, math.inf):
        with pytest.raises(ValueError, match="off by"):
            burn.spike(nothing)


def unheard(step_s: float) -> list[tuple[float, float]]:
    """The spells in which a gauge that is asked so often is not heard."""
    drop_outs = DropOuts(replace(SCENE, dropout_every_s=50.0, dropout_s=2.5), Random(5))
    found, began_s = list[tuple[float, float]](), math.inf
    for n in range(round(10 * HOUR_S / step_s)):
        t_s = n * step_s
        heard = drop_outs.hears(t_s)
        if not heard:
            began_s = min(began_s, t_s)
        elif began_s < t_s:
            found.append((began_s, t_s))
            began_s = math.inf
    return found


def test_drop_outs_come_by_pure_chance_and_last_their_time() -> None:
    found = unheard(0.125)
    # One every 52.5 s: 686 in ten hours.
    assert len(found) == pytest.approx(686, abs=75)
    assert sum(end - begin for begin, end in found) == pytest.approx(686 * 2.5, rel=0.12)
    assert min(end - begin for begin, end in found) >= 2.5 - 0.125 - 1e-9


def test_whether_it_is_heard_does_not_depend_on_how_often_one_asks() -> None:
    scene = replace(SCENE, dropout_every_s=20.0, dropout_s=3.0)
    often, seldom = SimulatedBurn(scene, 6), SimulatedBurn(scene, 6)
    answers = set()
    for _ in range(200):
        for _ in range(40):
            often.advance(0.125, arc_on=True)
            answer = often.is_heard
        seldom.advance(5.0, arc_on=True)
        assert seldom.is_heard == answer
        answers.add(answer)
    assert answers == {True, False}


def test_a_simulated_gauge_sends_nothing_while_it_is_not_heard() -> None:
    now_s = 0.0
    scene = replace(SCENE, dropout_every_s=30.0, dropout_s=4.0)
    profile = GaugeProfile(name="invented", source="simulated", rate_hz=10.0)
    gauge = SimulatedGauge(profile, lambda: now_s, 7, scene)
    gauge.open()
    now_s = 600.05
    times_s = [sample.t_s for sample in gauge.drain() if isinstance(sample, Sample)]
    gaps_s = [after - before for before, after in pairwise(times_s)]
    long_s = [gap for gap in gaps_s if gap > 0.11]
    assert len(long_s) > 5
    assert min(long_s) == pytest.approx(4.05, abs=0.06)
    # What does come, comes when it would have come.
    assert all(t_s * 10 == pytest.approx(round(t_s * 10), abs=1e-6) for t_s in times_s)


@pytest.mark.parametrize(
    ("changes", "same_until"),
    [
        ({"spike_every_s": 9.0, "dropout_every_s": 9.0}, lambda burn: False),
        ({"fall_noise": 0.6}, lambda burn: burn.fallen),
        ({"soft_every_mm": 3.0}, lambda burn: burn.depth_mm > 3.0 + 0.7 * 3.0 - 0.1),
    ],
)
def test_one_thing_turned_on_leaves_the_rest_as_it_was(
    changes: dict[str, float], same_until: Callable[[SimulatedBurn], bool]
) -> None:
    scene = Scene(recess_mm=3.0, end_mm=8.0)
    plain, hard = SimulatedBurn(scene, 8), SimulatedBurn(replace(scene, **changes), 8)
    steps = 0
    while steps < 2000 and not same_until(hard):
        assert (plain.travel_mm, plain.depth_mm, plain.wear_mm) == (
            hard.travel_mm,
            hard.depth_mm,
            hard.wear_mm,
        )
        plain.advance(0.1, arc_on=True)
        hard.advance(0.1, arc_on=True)
        steps += 1
    assert steps > 200
