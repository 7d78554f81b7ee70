"""What of a shaking travel can be relied on."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cockpit.burn.steady import ENOUGH, WINDOW_S, Steady

rates_hz = st.sampled_from([1.0, 2.0, 5.0, 10.0, 20.0, 50.0])


def fed(steady: Steady, travels_mm: list[float], period_s: float) -> list[float]:
    """Feed them, and let the mark rise with what came of it."""
    said, high_mm = [], travels_mm[0]
    for travel_mm in travels_mm:
        said.append(steady.take(travel_mm, period_s, high_mm))
        high_mm = max(high_mm, said[-1])
    return said


@given(rate_hz=rates_hz, spike_mm=st.floats(0.6, 30.0), place=st.integers(3, 25))
def test_a_single_spike_is_outvoted_or_waits_for_a_second(
    rate_hz: float, spike_mm: float, place: int
) -> None:
    travels_mm = [5.0 + 0.005 * n / rate_hz for n in range(30)]
    straight_mm = fed(Steady(), list(travels_mm), 1 / rate_hz)
    spiked_mm = list(travels_mm)
    spiked_mm[place] += spike_mm
    said = fed(Steady(), spiked_mm, 1 / rate_hz)
    # A slow gauge may be typed, and then a leap of half a millimetre counts at once.
    slack_mm = 0.02 if rate_hz > 1.0 or spike_mm > 0.71 else 0.71
    assert max(said) <= max(straight_mm) + slack_mm


@given(rate_hz=rates_hz, leap_mm=st.floats(0.2, 10.0))
def test_a_leap_that_a_second_reading_bears_out_is_believed_by_a_third_at_the_latest(
    rate_hz: float, leap_mm: float
) -> None:
    period_s = 1 / rate_hz
    travels_mm = [5.0] * 20 + [5.0 + leap_mm] * 20
    said = fed(Steady(), travels_mm, period_s)
    # A long leap waits for a third reading.
    due = max(1 + (leap_mm > 0.5), round(WINDOW_S / 2 / period_s) + 2)
    assert said[20 + due] == pytest.approx(5.0 + leap_mm)


@pytest.mark.parametrize("rate_hz", [2.0, 5.0])
def test_a_slow_gauge_is_not_behind_while_it_burns(rate_hz: float) -> None:
    travels_mm = [5.0 + 0.06 * n / rate_hz for n in range(100)]
    assert fed(Steady(), travels_mm, 1 / rate_hz) == travels_mm


@pytest.mark.parametrize("rate_hz", [5.0, 10.0, 50.0])
@pytest.mark.parametrize("sd_mm", [0.006, 0.01, 0.03])
def test_the_noise_is_learnt_and_neither_spikes_nor_lifts_count_for_more(
    rate_hz: float, sd_mm: float
) -> None:
    chance, steady, heard_mm, found = Random(1), Steady(), [], []
    for n in range(3000):
        lift_mm = -2.0 if n % 300 in range(50, 60) else 0.0
        spike_mm = 1.5 if n % 100 == 0 else 0.0
        true_mm = 5.0 + 0.06 * n / rate_hz
        travel_mm = true_mm + chance.gauss(0.0, sd_mm)
        heard_mm.append(steady.take(travel_mm + lift_mm + spike_mm, 1 / rate_hz, true_mm))
        if n % 300 == 299:
            found.append(steady.noise_mm)
    smoothed_over = max(1.0, WINDOW_S * rate_hz)
    # The sd of a median of n is 1.25 of that of their mean.
    factor = 1.25 / smoothed_over**0.5 if smoothed_over >= ENOUGH else 1.0
    assert 0.6 * sd_mm * factor < sum(found) / len(found) < 1.6 * sd_mm * factor


def test_a_new_burn_forgets_where_the_tip_was() -> None:
    steady = Steady()
    fed(steady, [5.0] * 10, 0.1)
    steady.forget()
    assert steady.take(2.0, 0.1, 5.0) == 2.0
