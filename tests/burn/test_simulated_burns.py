"""The tracker on many invented burns: falls found, nothing else called, an interval that holds.

Every burn has its own seed, so the figures are always the same; the bounds are those of chance.
"""

from __future__ import annotations

import math
from dataclasses import replace
from random import Random

import pytest
from scipy.stats import binom

from cockpit.burn.aim import Aim
from cockpit.burn.calls import CallKind
from cockpit.burn.reading import Mark, MarkKind, Reading
from cockpit.burn.simulate import Scene, SimulatedBurn
from cockpit.burn.tracker import Tracker

FALLING = Scene(recess_mm=3.0, end_mm=10.0)
#: The same hole with the tool on its bottom: nowhere to fall.
SOLID = replace(FALLING, end_mm=10.0, bottom_mm=10.0)
BURNS = 60


def run(scene: Scene, seed: int, lasts_s: float, rate_hz: float = 10.0) -> tuple[Tracker, float]:
    """Burn for so long, or until 3 s after the fall; the time of 0.15 mm of fall, or infinity."""
    burn, tracker = SimulatedBurn(scene, seed), Tracker(Aim(recess_mm=scene.recess_mm))
    tracker.take(Mark.at(0.0, MarkKind.START))
    shown_s, t_s, n = math.inf, 0.0, 0
    while t_s < min(lasts_s, shown_s + 3.0):
        n += 1
        t_s = n / rate_hz
        burn.advance(1 / rate_hz, arc_on=True)
        tracker.take(Reading.at(t_s, burn.reading_mm()))
        if burn.depth_mm >= scene.end_mm + 0.15 and shown_s == math.inf and burn.fallen:
            shown_s = t_s
    return tracker, shown_s


@pytest.mark.parametrize("rate_hz", [2.0, 10.0])
def test_every_fall_is_called_once_in_time_and_in_place_and_nothing_else_is(rate_hz: float) -> None:
    late_s, off_mm = [], []
    for seed in range(BURNS):
        tracker, shown_s = run(FALLING, seed, 900.0, rate_hz)
        assert [call.kind for call in tracker.calls] == [CallKind.THROUGH]
        (call,) = tracker.calls
        assert call.depth_mm is not None
        late_s.append(call.t_s - shown_s)
        # The ratio of these burns is the believed one, give or take its drift.
        off_mm.append(abs(call.depth_mm - FALLING.end_mm))
    assert min(late_s) >= -2 / rate_hz
    assert sum(late <= max(2 / rate_hz, 0.3) + 1e-6 for late in late_s) >= 0.95 * BURNS
    assert sum(off <= 0.25 for off in off_mm) >= 0.95 * BURNS


@pytest.mark.parametrize("resolution_mm", [0.01, 0.0127])
def test_a_burn_without_a_fall_calls_nothing(resolution_mm: float) -> None:
    scene = replace(SOLID, resolution_mm=resolution_mm)
    for seed in range(BURNS // 3):
        tracker, _ = run(scene, seed, 300.0)
        assert tracker.calls == []


def covered(seed: int, touched: bool) -> bool:
    """Whether the interval holds the truth at a moment drawn by chance; the ratio is drawn too."""
    chance = Random(seed)
    ratio = min(max(chance.gauss(0.25, 0.10), 0.0), 0.9)
    scene = Scene(recess_mm=3.0, end_mm=100.0, wear_ratio=ratio)
    burn, tracker = SimulatedBurn(scene, seed), Tracker(Aim(recess_mm=3.0))
    tracker.take(Mark.at(0.0, MarkKind.START))
    moment = chance.randrange(150, 700)
    touch = chance.randrange(100, moment) if touched else 0
    for n in range(1, moment):
        burn.advance(0.2, arc_on=True)
        tracker.take(Reading.at(0.2 * n, burn.reading_mm()))
        if n == touch:
            read_mm = burn.wear_mm + chance.gauss(0.0, 0.03)
            tracker.take(Mark.at(0.2 * n, MarkKind.TOUCH, read_mm))
    depth = tracker.state().depth_mm
    assert depth is not None
    return depth.low <= burn.depth_mm <= depth.high


@pytest.mark.parametrize("touched", [False, True])
def test_the_interval_holds_the_truth_nineteen_times_in_twenty(touched: bool) -> None:
    burns = 200
    held = sum(covered(seed, touched) for seed in range(burns))
    # As many as a true 95 % gives 998 times in 1,000.
    low, high = binom.interval(0.998, burns, 0.95)
    assert low <= held <= high
