"""How long the arc will be on."""

from math import pi

import pytest

from cockpit.trade.figures import Figures
from cockpit.trade.timing import assumed_removal, burn_time, burnt_area_mm2


def test_the_median_is_volume_over_rate() -> None:
    # 14.3 mm2 x 15 mm / (0.30 x 137.5) min
    assert burn_time(14.3, 15, 137.5).median_s == pytest.approx(312.0)


def test_time_grows_with_depth_and_shrinks_with_current() -> None:
    usual = burn_time(14.3, 15, 137.5)
    assert burn_time(14.3, 30, 137.5).median_s == pytest.approx(2 * usual.median_s)
    assert burn_time(14.3, 15, 275).median_s == pytest.approx(usual.median_s / 2)
    assert burn_time(14.3, 15, 137.5, assumed_removal(hard_metal=True)).median_s == pytest.approx(
        2 * usual.median_s
    )


def test_the_source_tells_whether_burns_of_the_log_are_used() -> None:
    figures = Figures()
    time = burn_time(14.3, 15, 137.5, figures=figures)
    is_said = figures.sources["time.burns_known"].startswith("no burn of the log")
    assert is_said == (time.burns_known == 0)


def test_median_and_interval_are_of_one_log_normal_spread() -> None:
    time = burn_time(14.3, 15, 137.5)
    # 1.645 standard deviations of 0.5 on either side: a factor of 2.276
    assert time.high_s / time.median_s == pytest.approx(2.276, abs=0.001)
    assert time.median_s / time.low_s == pytest.approx(2.276, abs=0.001)


def test_a_core_that_stays_is_not_burnt() -> None:
    full, ring = burnt_area_mm2(5, 2, 0.15, True), burnt_area_mm2(5, 2, 0.15, False)
    assert full == pytest.approx(pi / 4 * 25)
    assert full - ring == pytest.approx(pi / 4 * 1.7**2)
    assert burnt_area_mm2(5, 0.2, 0.15, False) == full
