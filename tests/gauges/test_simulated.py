"""A gauge on an invented burn."""

from __future__ import annotations

import math

import pytest

from cockpit.burn.simulate import Scene
from cockpit.gauges import (
    ArcHint,
    GaugeStatus,
    Hint,
    HoleHint,
    Reject,
    Sample,
    SimulatedGauge,
    StopHint,
    TouchHint,
)
from cockpit.profiles import GaugeProfile

SCENE = Scene(recess_mm=3.0, end_mm=18.0, lift_every_s=math.inf)


class Bench:
    """A simulated gauge and a clock that moves when told."""

    def __init__(self, rate_hz: float = 10.0, seed: int = 3) -> None:
        self.now_s = 50.0
        profile = GaugeProfile(name="invented", source="simulated", rate_hz=rate_hz)
        self.gauge = SimulatedGauge(profile, lambda: self.now_s, seed, SCENE)
        self.gauge.open()

    def after(self, seconds: float) -> list[Sample | Reject]:
        self.now_s += seconds
        return self.gauge.drain()

    def last_mm(self, seconds: float) -> float:
        last = self.after(seconds)[-1]
        assert isinstance(last, Sample)
        return last.travel_mm


def test_readings_come_at_the_profiles_rate() -> None:
    bench = Bench(rate_hz=25.0)
    assert bench.gauge.status is GaugeStatus.LIVE
    samples = bench.after(2.001)
    assert len(samples) == 50
    assert samples[0].t_s == pytest.approx(50.04)
    assert samples[-1].t_s == pytest.approx(52.0)
    assert bench.after(0.0) == []


def test_how_often_it_is_drained_changes_nothing() -> None:
    def played(nap_s: float) -> list[Sample | Reject]:
        bench, got = Bench(), list[Sample | Reject]()
        bench.gauge.hint(ArcHint(True))
        for _ in range(round(60.0 / nap_s)):
            got += bench.after(nap_s)
        return got

    assert len(played(0.25)) == 600
    assert played(0.25) == played(0.03125) == played(20.0)


def test_it_burns_only_while_it_is_told_that_the_arc_is_on() -> None:
    bench = Bench()
    bench.after(30.0)
    assert bench.gauge.burn.depth_mm == 3.0
    bench.gauge.hint(ArcHint(True))
    bench.after(60.0)
    depth_mm = bench.gauge.burn.depth_mm
    assert depth_mm > 4.0
    bench.gauge.hint(ArcHint(False))
    bench.after(60.0)
    assert bench.gauge.burn.depth_mm == depth_mm


def test_touching_off_reads_the_wear() -> None:
    bench = Bench()
    bench.gauge.hint(TouchHint(True))
    assert bench.last_mm(3.0) == pytest.approx(0.0, abs=0.011)
    bench.gauge.hint(TouchHint(False))
    bench.gauge.hint(ArcHint(True))
    bench.after(120.0)
    bench.gauge.hint(ArcHint(False))
    bench.gauge.hint(TouchHint(True))
    assert bench.gauge.burn.wear_mm > 1.0
    assert bench.last_mm(3.0) == pytest.approx(bench.gauge.burn.wear_mm, abs=0.02)


def test_it_comes_no_further_down_than_the_stop_it_is_told_of() -> None:
    bench = Bench()
    bench.gauge.hint(StopHint(7.5))
    bench.gauge.hint(ArcHint(True))
    assert bench.last_mm(600.0) == pytest.approx(7.5, abs=0.02)


def test_each_hole_has_its_own_burn_and_a_new_electrode() -> None:
    bench = Bench()
    bench.gauge.hint(ArcHint(True))
    bench.after(60.0)
    bench.gauge.hint(HoleHint(recess_mm=1.0, end_mm=4.0, bottom_mm=4.0))
    assert bench.gauge.burn.wear_mm == 0.0
    assert bench.gauge.burn.depth_mm == 1.0
    assert bench.gauge.burn.scene.bottom_mm == 4.0
    assert bench.gauge.burn.scene.lift_every_s == math.inf
    bench.after(60.0)
    assert bench.gauge.burn.depth_mm == 1.0  # the arc of the last hole is not on in this one


def test_a_hole_that_contradicts_itself_is_made_one_that_can_be() -> None:
    bench = Bench()
    bench.gauge.hint(HoleHint(recess_mm=3.0, end_mm=22.0, bottom_mm=21.5))
    assert bench.gauge.burn.scene.end_mm == bench.gauge.burn.scene.bottom_mm == 22.0
    bench.gauge.hint(HoleHint(recess_mm=5.0, end_mm=4.0, bottom_mm=4.5))
    assert bench.gauge.burn.scene.end_mm == bench.gauge.burn.scene.bottom_mm == 5.1


@pytest.mark.parametrize("hint", [ArcHint(True), TouchHint(True)])
def test_closed_it_stands_still(hint: Hint) -> None:
    bench = Bench()
    bench.gauge.close()
    bench.gauge.hint(hint)
    assert bench.gauge.status is GaugeStatus.CLOSED
    assert bench.after(60.0) == []
    assert bench.gauge.burn.travel_mm == -2.0
    bench.gauge.open()
    assert len(bench.after(1.01)) == 10
