"""Quantiles and chances against scipy.stats."""

from math import log

import numpy as np
import pytest
from scipy import stats

from cockpit.trade.depth import WearPrior, chance_deeper, depth_plan
from cockpit.trade.timing import burn_time

PRIORS = [(0.25, 0.10), (0.05, 0.10), (0.0, 0.3), (0.5, 0.2), (0.3, 0.01)]


def outside_wear(mean: float, sd: float) -> stats.rv_continuous:
    return stats.truncnorm(-mean / sd, (0.95 - mean) / sd, loc=mean, scale=sd)


@pytest.mark.parametrize(("mean", "sd"), PRIORS)
@pytest.mark.parametrize("chance", [0.01, 0.05, 0.5, 0.95, 0.99])
def test_wear_quantiles(mean: float, sd: float, chance: float) -> None:
    wear, outside = WearPrior(mean=mean, sd=sd), outside_wear(mean, sd)
    assert wear.quantile(chance) == pytest.approx(outside.ppf(chance), abs=1e-8)
    assert wear.chance_below(outside.ppf(chance)) == pytest.approx(chance, abs=1e-8)


@pytest.mark.parametrize(("mean", "sd"), PRIORS)
def test_one_burn_in_a_hundred_passes_the_limit_at_the_first_stop(mean: float, sd: float) -> None:
    wear = WearPrior(mean=mean, sd=sd)
    plan = depth_plan(depth_mm=22, recess_mm=3, through=False, wear=wear)
    assert plan.limit_mm is not None
    # depth at the stop = recess + (stop - recess)(1 - r), r drawn from the outside distribution
    drawn = outside_wear(mean, sd).ppf(np.linspace(0.5e-5, 1 - 0.5e-5, 100_000))
    depths = 3 + (plan.stops_mm[0] - 3) * (1 - drawn)
    deeper = float(np.mean(depths > plan.limit_mm))
    assert deeper == pytest.approx(0.01, abs=2e-5)
    assert chance_deeper(plan.stops_mm[0], plan.limit_mm, 3, 3, wear) == pytest.approx(
        deeper, abs=2e-5
    )


@pytest.mark.parametrize("chance_and_name", [(0.05, "low_s"), (0.5, "median_s"), (0.95, "high_s")])
def test_arc_time_is_log_normal(chance_and_name: tuple[float, str]) -> None:
    chance, name = chance_and_name
    # 20 mm2 x 18 mm at 0.30 mm3/min/A x 140 A, log-sd 0.5
    outside = stats.lognorm(s=0.5, scale=20 * 18 / (0.30 * 140) * 60)
    assert getattr(burn_time(20, 18, 140), name) == pytest.approx(outside.ppf(chance), rel=1e-9)
    assert log(outside.median()) == pytest.approx(log(burn_time(20, 18, 140).median_s))
