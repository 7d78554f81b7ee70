"""High-water mark and feed, fed by hand."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cockpit.burn.progress import Progress

travels = st.lists(st.floats(-5.0, 30.0), min_size=1, max_size=60)


@given(travels_mm=travels)
def test_the_mark_never_falls_and_gains_add_up_to_it(travels_mm: list[float]) -> None:
    progress, gained, has_fallen = Progress(3.0), [0.0], False
    for travel_mm in travels_mm:
        before_mm = progress.high_mm
        gained.append(progress.advance(travel_mm, 0.1))
        assert progress.high_mm is not None
        assert gained[-1] >= 0.0
        assert before_mm is None or progress.high_mm >= before_mm
        has_fallen |= progress.fall is not None
        # What was fallen is travel, and no gain.
        risen_mm = 3.0 + math.fsum(gained)
        assert risen_mm <= progress.high_mm + 1e-9
        assert has_fallen or risen_mm == pytest.approx(progress.high_mm)
    assert progress.high_mm is not None
    assert progress.high_mm <= max(3.0, *travels_mm)


@given(travels_mm=travels, place=st.integers(0, 59), spike_mm=st.floats(-50.0, 50.0))
def test_one_spike_anywhere_never_moves_the_mark_beyond_the_readings_around_it(
    travels_mm: list[float], place: int, spike_mm: float
) -> None:
    spiked = [*travels_mm[:place], spike_mm, *travels_mm[place:]]
    progress = Progress(3.0)
    for travel_mm in spiked:
        progress.advance(travel_mm, 0.1)
    assert progress.high_mm is not None
    assert progress.high_mm <= max(3.0, *travels_mm)


@pytest.mark.parametrize("period_s", [0.02, 0.1, 0.5, 5.0, 30.0])
def test_feed_is_the_slope_whatever_the_rate_of_readings(period_s: float) -> None:
    progress = Progress(0.0)
    for n in range(1, round(90.0 / period_s) + 1):
        progress.advance(0.05 * n * period_s, period_s)
    assert progress.feed_mm_s() == pytest.approx(0.05, rel=0.01)


def test_feed_follows_a_softer_layer_within_its_window() -> None:
    progress, travel_mm = Progress(0.0), 0.0
    for n in range(800):
        travel_mm += 0.1 * (0.05 if n < 400 else 0.12)
        progress.advance(travel_mm, 0.1)
    assert progress.feed_mm_s() == pytest.approx(0.12, rel=0.02)


def test_feed_is_not_told_from_the_first_seconds() -> None:
    progress = Progress(0.0)
    for n in range(1, 39):
        progress.advance(0.005 * n, 0.1)
    assert progress.feed_mm_s() is None


def test_a_long_burn_keeps_only_what_it_looks_at() -> None:
    progress = Progress(0.0)
    for n in range(20_000):
        progress.advance(0.001 * n, 0.02)
    assert len(progress._feed._path) <= 40.0 / 0.02 + 2


def test_readings_handed_over_at_once_after_a_hiccup_are_no_fall() -> None:
    progress = Progress(0.0)
    for n in range(1, 301):
        progress.advance(0.05 * 0.1 * n, 0.1)
    for n in range(301, 401):  # ten seconds of burning, told at the end of them
        progress.advance(0.05 * 0.1 * n, 10.0 if n == 301 else 0.0)
        assert progress.fall is None
    assert progress.feed_mm_s() == pytest.approx(0.05, rel=0.05)
