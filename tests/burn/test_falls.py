"""The test for a fall: what it calls, what it leaves alone, and where it says the fall began."""

from __future__ import annotations

import math
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cockpit.burn.falls import (
    FALL_MM,
    FALSE_ALARM_H,
    SLOWEST_FALL_MM_S,
    STRETCH_S,
    UNEVEN,
    Fall,
    FallWatch,
)

OWN_MM_S = 0.05


def first_fall(
    gains: list[tuple[float, float]], own_mm_s: float = OWN_MM_S, noise_mm: float = 0.005
) -> tuple[int, Fall] | None:
    """The place of the gain (mm, s) at which a fall is told, if one is; the burn begins at 10."""
    watch, high_mm = FallWatch(), 10.0
    for place, (gain_mm, dt_s) in enumerate(gains):
        high_mm += gain_mm
        fall = watch.take(gain_mm, dt_s, high_mm, own_mm_s, noise_mm)
        if fall is not None:
            return place, fall
    return None


def evenly(speed_mm_s: float, lasts_s: float, dt_s: float = 0.1) -> list[tuple[float, float]]:
    return [(speed_mm_s * dt_s, dt_s)] * round(lasts_s / dt_s)


@pytest.mark.parametrize("dt_s", [0.02, 0.1, 0.2])
@pytest.mark.parametrize("times", [6.0, 10.0, 100.0])
def test_a_fall_is_told_soon_after_it_has_shown_itself_and_dated_back(
    dt_s: float, times: float
) -> None:
    burn = evenly(OWN_MM_S, 20.0, dt_s)
    told = first_fall(burn + evenly(times * OWN_MM_S, 3.0, dt_s))
    assert told is not None
    place, fall = told
    fallen_mm = (place + 1 - len(burn)) * times * OWN_MM_S * dt_s
    assert fallen_mm <= FALL_MM + max(0.3, 2 * dt_s) * times * OWN_MM_S + 1e-9
    assert fall.from_high_mm == pytest.approx(10.0 + 20.0 * OWN_MM_S)


@pytest.mark.parametrize("times", [1.0, 2.0, 3.0, 4.0])
def test_a_softer_layer_is_left_alone_however_long(times: float) -> None:
    assert first_fall(evenly(times * OWN_MM_S, 600.0)) is None


def test_a_fast_dip_shorter_than_a_fall_is_left_alone() -> None:
    gains = evenly(OWN_MM_S, 20.0)
    for _ in range(50):
        gains += [(0.6 * FALL_MM, 0.1), *evenly(OWN_MM_S, 2.0)]
    assert first_fall(gains) is None


def test_six_times_a_crawl_is_still_a_burn() -> None:
    assert first_fall(evenly(0.95 * SLOWEST_FALL_MM_S, 60.0), own_mm_s=0.005) is None
    assert first_fall(evenly(2.0 * SLOWEST_FALL_MM_S, 3.0), own_mm_s=0.005) is not None


def test_what_a_stuck_computer_hands_over_at_once_is_one_moment() -> None:
    """Ten seconds of burning, a hundred readings, all with the time at which they were read."""
    gains = evenly(OWN_MM_S, 20.0) + [(0.005, 10.0)] + [(0.005, 0.0)] * 99 + evenly(OWN_MM_S, 5.0)
    assert first_fall(gains) is None


def test_a_noisy_gauge_has_to_show_more() -> None:
    gains = evenly(OWN_MM_S, 20.0) + evenly(6.0 * OWN_MM_S, 3.0)
    sharp, noisy = first_fall(gains), first_fall(gains, noise_mm=0.04)
    assert sharp is not None
    assert noisy is not None
    assert noisy[0] > sharp[0]


def test_burning_in_the_softest_layer_for_a_day_is_never_called() -> None:
    """As uneven as it is thought to be; the stated rate is one in 10,000 hours."""
    chance, watch, high_mm = Random(5), FallWatch(), 0.0
    soft_mm = 3.0 * OWN_MM_S * STRETCH_S
    for _ in range(round(24 * 3600 / STRETCH_S)):
        gain_mm = max(0.0, chance.gauss(soft_mm, UNEVEN * soft_mm))
        high_mm += gain_mm
        assert watch.take(gain_mm, STRETCH_S, high_mm, OWN_MM_S, 0.003) is None
    assert FALSE_ALARM_H > 24


@settings(max_examples=50)
@given(
    st.lists(st.floats(0.0, 0.5), min_size=1, max_size=60), st.floats(0.005, 0.2), st.integers(1, 5)
)
def test_a_fall_never_begins_below_where_it_is_told_nor_above_its_burn(
    gains_mm: list[float], own_mm_s: float, pieces: int
) -> None:
    told = first_fall([(gain_mm / pieces, 0.1) for gain_mm in gains_mm] * pieces, own_mm_s)
    if told is not None:
        place, fall = told
        now_mm = 10.0 + math.fsum(([g / pieces for g in gains_mm] * pieces)[: place + 1])
        assert 10.0 <= fall.from_high_mm <= now_mm - FALL_MM + 1e-9
