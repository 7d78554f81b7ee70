"""Quantiles and chances against scipy.stats, and the ladder of stops against drawn burns."""

from collections.abc import Iterator
from statistics import NormalDist

import numpy as np
import numpy.typing as npt
import pytest
from scipy import stats

from cockpit.trade.depth import DepthPlan, chance_deeper, depth_plan, next_stop_mm
from cockpit.trade.timing import burn_time
from cockpit.trade.wear import RATIO_DRIFT_SD, Z95, Z99, Wear, WearPrior
from tests.outside.checks import OutsideCheck, largest_deviation

FloatArray = npt.NDArray[np.float64]

PRIORS = [(0.25, 0.10), (0.15, 0.05), (0.35, 0.12), (0.5, 0.1), (0.3, 0.02)]
DRAWS = 200_000


def drawn_wear(
    mean: float, sd: float, travel_mm: float, seed: int
) -> tuple[FloatArray, FloatArray]:
    """Draw wear and wear ratio after some travel, the ratio drifting step by step."""
    chance = np.random.default_rng(seed)
    steps = 200
    step_mm = travel_mm / steps
    ratio = chance.normal(mean, sd, DRAWS)
    wear = np.zeros(DRAWS)
    for _ in range(steps):
        drift = chance.normal(0.0, RATIO_DRIFT_SD * step_mm**0.5, DRAWS)
        wear += (ratio + drift / 2) * step_mm
        ratio += drift
    return wear, ratio


@pytest.mark.parametrize(("stop_mm", "travel_mm"), [(21.0, 3.0), (24.0, 3.0), (26.0, 20.0)])
def test_the_chance_to_pass_the_limit_is_that_of_the_normal_distribution(
    stop_mm: float, travel_mm: float
) -> None:
    wear = Wear(0.25 * (travel_mm - 3), 0.25, 0.04, 0.002, 0.01)
    new_mm = stop_mm - travel_mm
    # Wear at the stop: mean w + r x, variance of a ratio that drifts as a Wiener process.
    mean = wear.wear_mm + wear.ratio * new_mm
    variance = wear.var_wear + 2 * new_mm * wear.cov + new_mm**2 * wear.var_ratio
    variance += RATIO_DRIFT_SD**2 * new_mm**3 / 3
    outside = stats.norm(stop_mm - mean, variance**0.5).sf(21.5)
    said = chance_deeper(stop_mm, 21.5, travel_mm, wear)
    assert said == pytest.approx(0.0 if stop_mm <= 21.5 else outside, abs=1e-12)


@pytest.mark.parametrize(("mean", "sd"), PRIORS)
def test_the_second_stop_passes_the_limit_in_one_burn_of_a_hundred_too(
    mean: float, sd: float
) -> None:
    """Each drawn burn touches off at the first stop, sets the next one by it, and burns to that."""
    plan = depth_plan(depth_mm=42, recess_mm=3, through=False, wear=WearPrior(mean=mean, sd=sd))
    assert plan.limit_mm is not None
    first_mm = plan.stops_mm[0]
    wear, ratio = drawn_wear(mean, sd, first_mm - 3, seed=2)
    chance = np.random.default_rng(3)
    measured = wear + chance.normal(0.0, 0.03, DRAWS)
    believed = Wear.prior(mean, sd).travelled(first_mm - 3)
    deeper, few = 0, 4000
    for truth, rate, seen in zip(wear[:few], ratio[:few], measured[:few], strict=True):
        if first_mm - truth > plan.limit_mm:
            continue
        sharp = believed.measured(float(seen), 0.03)
        next_mm = next_stop_mm(first_mm, sharp, plan.target_mm, plan.limit_mm)
        new_mm = next_mm - first_mm
        drifted = chance.normal(rate * new_mm, RATIO_DRIFT_SD * (new_mm**3 / 3) ** 0.5)
        deeper += next_mm - truth - drifted > plan.limit_mm
    # 1 % of 4,000 is 40; three standard deviations of a binomial count are 19.
    assert 40 - 19 <= deeper <= 40 + 19


@pytest.mark.parametrize(("mean", "sd"), PRIORS)
def test_the_expected_ladder_is_the_middle_of_drawn_ones(mean: float, sd: float) -> None:
    plan: DepthPlan = depth_plan(
        depth_mm=22, recess_mm=3, through=False, wear=WearPrior(mean=mean, sd=sd)
    )
    wear, _ = drawn_wear(mean, sd, plan.stops_mm[0] - 3, seed=4)
    believed = Wear.prior(mean, sd).travelled(plan.stops_mm[0] - 3)
    seconds = [
        next_stop_mm(
            plan.stops_mm[0], believed.measured(float(seen), 0.03), plan.target_mm, plan.limit_mm
        )
        for seen in wear[:2000]
    ]
    assert float(np.median(seconds)) == pytest.approx(plan.stops_mm[1], abs=0.25)


def quantiles() -> Iterator[tuple[float, float]]:
    for mean, sd in PRIORS:
        for chance in (0.05, 0.5, 0.95):
            ours = WearPrior(mean=mean, sd=sd).quantile(chance)
            yield ours, float(stats.norm(mean, sd).ppf(chance))
    outside = stats.lognorm(s=0.5, scale=20 * 18 / (0.30 * 140) * 60)
    time = burn_time(20, 18, 140)
    for chance, ours in ((0.05, time.low_s), (0.5, time.median_s), (0.95, time.high_s)):
        yield ours / float(outside.ppf(chance)), 1.0


def intervals() -> Iterator[tuple[float, float]]:
    """Half-widths of the live estimate and of the ladder of stops, in sds.

    All of them are normal; nothing in the cockpit goes by Student's t.
    """
    yield Z95, float(stats.norm.ppf(0.975))
    yield Z99, float(stats.norm.ppf(0.99))
    for chance in (1e-9, 0.001, 0.01, 0.05, 0.3, 0.5, 0.95, 0.975, 0.99, 0.999):
        yield NormalDist().inv_cdf(chance), float(stats.norm.ppf(chance))


def first_stops() -> Iterator[tuple[float, float]]:
    """The share of drawn burns that the first stop lets past the limit, and 1 %."""
    for mean, sd in PRIORS:
        wear = WearPrior(mean=mean, sd=sd)
        plan = depth_plan(depth_mm=22, recess_mm=3, through=False, wear=wear)
        assert plan.limit_mm is not None
        drawn, _ = drawn_wear(mean, sd, plan.stops_mm[0] - 3, seed=1)
        yield float(np.mean(plan.stops_mm[0] - drawn > plan.limit_mm)), 0.01


CHECKS = [
    OutsideCheck(
        "quantiles of wear ratio and arc time",
        "normal and log-normal distribution, as scipy.stats has them",
        "ratio",
        1e-9,
        lambda: largest_deviation(quantiles()),
    ),
    OutsideCheck(
        "quantiles of the normal distribution that intervals and calls go by",
        "normal distribution, as scipy.stats has it",
        "sd",
        1e-12,
        lambda: largest_deviation(intervals()),
    ),
    OutsideCheck(
        "burns that the first stop lets past the bottom limit, 1 %",
        f"Monte Carlo, {DRAWS:,} burns for each of {len(PRIORS)} beliefs, numpy",
        "share",
        # Three standard errors.
        3 * (0.01 * 0.99 / DRAWS) ** 0.5,
        lambda: largest_deviation(first_stops()),
    ),
]


@pytest.mark.parametrize("check", CHECKS, ids=str)
def test_chances_agree(check: OutsideCheck) -> None:
    assert check.deviation() <= check.bound
