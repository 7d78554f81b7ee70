"""How long the arc will be on."""

from math import pi

import pytest

from cockpit.trade.timing import burn_time, burnt_area_mm2


def test_the_median_is_volume_over_rate() -> None:
    # 14.3 mm2 x 15 mm / (0.30 x 137.5) min
    assert burn_time(14.3, 15, 137.5).median_s == pytest.approx(312.0)


def test_time_grows_with_depth_and_shrinks_with_current() -> None:
    usual = burn_time(14.3, 15, 137.5)
    assert burn_time(14.3, 30, 137.5).median_s == pytest.approx(2 * usual.median_s)
    assert burn_time(14.3, 15, 275).median_s == pytest.approx(usual.median_s / 2)
    assert burn_time(14.3, 15, 137.5, hard_metal=True).median_s > usual.median_s


def test_nothing_is_learnt_yet() -> None:
    time = burn_time(14.3, 15, 137.5)
    assert time.burns_known == 0
    assert time.low_s < time.median_s < time.high_s


def test_a_core_that_stays_is_not_burnt() -> None:
    full, ring = burnt_area_mm2(5, 2, 0.15, True), burnt_area_mm2(5, 2, 0.15, False)
    assert full == pytest.approx(pi / 4 * 25)
    assert full - ring == pytest.approx(pi / 4 * 1.7**2)
    assert burnt_area_mm2(5, 0.2, 0.15, False) == full
