"""The run length of Page's sum: the approximation, the exact one, published ones, and the sum."""

from collections.abc import Iterator
from functools import cache

import numpy as np
import pytest
from scipy import special, stats

from cockpit.burn.cusum import OVERSHOOT_SDS, Cusum, run_length
from tests.outside.checks import OutsideCheck, largest_deviation

THRESHOLDS = [*(1 + n / 10 for n in range(21)), 3.5, 4.0, 5.0, 6.0, 7.0, 8.0]
NODES = 64
RUNS = 3000
# Drift and threshold in sds, with run lengths between 100 and 350.
SIMULATED = ((-0.25, 4.5), (-0.5, 3.0), (-0.5, 4.0), (-1.0, 2.0), (-1.5, 1.3))

# D. C. Montgomery, "Introduction to Statistical Quality Control", average run lengths of the
# tabular cusum with k = 1/2, which watches both sides; from memory. By threshold and shift, in sds.
SHIFTS = (0, 0.25, 0.5, 0.75, 1, 1.5, 2, 2.5, 3, 4)
PUBLISHED = {
    4: (168, 74.2, 26.6, 13.3, 8.38, 4.75, 3.34, 2.62, 2.19, 1.71),
    5: (465, 139, 38.0, 17.0, 10.4, 5.75, 4.01, 3.11, 2.57, 2.01),
}


@cache
def exact_run_length(drift: float, threshold: float) -> float:
    """Mean run length by Page's two integral equations, all in sds.

    A run is made of cycles that begin with the sum at zero. With N(y) the mean length of what is
    left of a cycle with the sum at y, and P(y) the chance that it ends past the threshold h,

        N(y) = 1 + ∫ N(x) f(x - y) dx,   P(y) = 1 - F(h - y) + ∫ P(x) f(x - y) dx,   x from 0 to h,

    and the run length is N(0) / P(0). Source: E. S. Page, Biometrika 41 (1954) 100-115. Solved at
    Gauss-Legendre nodes, as the Markov chain of D. Brook and D. A. Evans, Biometrika 59 (1972)
    539-549, solves it at even ones; unlike one equation for the whole run, these stay well
    conditioned however long the run is.
    """
    nodes, weights = np.polynomial.legendre.leggauss(NODES)
    sums, weights = threshold * (nodes + 1) / 2, threshold * weights / 2
    onward = stats.norm.pdf(sums[None, :] - sums[:, None], drift) * weights
    starts = np.column_stack([np.ones(NODES), stats.norm.sf(threshold - sums, drift)])
    lengths, chances = np.linalg.solve(np.eye(NODES) - onward, starts).T
    first = stats.norm.pdf(sums, drift) * weights
    return float((1 + first @ lengths) / (stats.norm.sf(threshold, drift) + first @ chances))


def both_sides(shift: float, threshold: float) -> float:
    """The run length of two sums, one for each side, with a reference of half an sd."""
    rates = (1 / exact_run_length(sign * shift - 0.5, threshold) for sign in (1, -1))
    return 1 / sum(rates)


def published() -> Iterator[tuple[float, float]]:
    for threshold, lengths in PUBLISHED.items():
        for shift, length in zip(SHIFTS, lengths, strict=True):
            yield both_sides(shift, threshold) / length, 1.0


def approximated(*drifts: float) -> Iterator[tuple[float, float]]:
    """The approximation over the exact run length, and 1."""
    for drift in drifts:
        for threshold in THRESHOLDS:
            yield run_length(drift, threshold) / exact_run_length(drift, threshold), 1.0


def increments(drift: float, seed: int) -> Iterator[float]:
    chance = np.random.default_rng(seed)
    while True:
        yield from chance.normal(drift, 1.0, 4096).tolist()


@cache
def simulated_misses() -> tuple[float, ...]:
    """How far the mean length of simulated runs is from the exact one, in standard errors."""
    misses = []
    for seed, (drift, threshold) in enumerate(SIMULATED):
        excesses = increments(drift, seed)

        def one_run(excesses: Iterator[float] = excesses, threshold: float = threshold) -> int:
            page = Cusum()
            return next(n for n, excess in enumerate(excesses, 1) if page.add(excess) > threshold)

        lengths = np.array([one_run() for _ in range(RUNS)])
        error = lengths.std(ddof=1) / RUNS**0.5
        misses.append(float((lengths.mean() - exact_run_length(drift, threshold)) / error))
    return tuple(misses)


EXACT = "integral equations of Page 1954, solved at Gauss-Legendre nodes, numpy"
CHECKS = [
    OutsideCheck(
        "the reference for run lengths itself, two-sided sums with h of 4 and 5",
        "Montgomery, Introduction to Statistical Quality Control, from memory",
        "ratio",
        0.005,
        lambda: largest_deviation(published()),
    ),
    OutsideCheck(
        "mean run length until a false call, drift to -0.5 sd, threshold 1 to 8 sds",
        EXACT,
        "ratio",
        0.02,
        lambda: largest_deviation(approximated(-0.25, -0.375, -0.5)),
    ),
    OutsideCheck(
        "the same, drift to -1 sd",
        EXACT,
        "ratio",
        0.08,
        lambda: largest_deviation(approximated(-0.625, -0.75, -0.875, -1.0)),
    ),
    OutsideCheck(
        "the same, drift to -1.5 sds, said too long",
        EXACT,
        "ratio",
        0.25,
        lambda: largest_deviation(approximated(-1.125, -1.25, -1.375, -1.5)),
    ),
    OutsideCheck(
        "the same, drift to -2.5 sds, said too long",
        EXACT,
        "ratio",
        1.5,
        lambda: largest_deviation(approximated(-1.75, -2.0, -2.25, -2.5)),
    ),
    OutsideCheck(
        "mean overshoot of a normal random walk, 0.583 sds",
        "-ζ(1/2) / √(2π), Siegmund 1985, from memory; ζ by scipy.special",
        "sd",
        0.0005,
        lambda: abs(OVERSHOOT_SDS + float(special.zeta(0.5)) / (2 * np.pi) ** 0.5),
    ),
    OutsideCheck(
        f"the sum itself, fed with normal increments, {len(SIMULATED)} times {RUNS:,} runs",
        EXACT,
        "standard errors",
        # 99 % of such sets of five have none beyond this.
        float(stats.norm.ppf(0.5 + 0.99 ** (1 / len(SIMULATED)) / 2)),
        lambda: max(map(abs, simulated_misses())),
    ),
]


@pytest.mark.parametrize("check", CHECKS, ids=str)
def test_run_lengths_agree(check: OutsideCheck) -> None:
    assert check.deviation() <= check.bound


@pytest.mark.parametrize(("threshold", "length"), [(4.0, 335.4), (5.0, 930.9)])
def test_the_one_sided_sum_with_a_reference_of_half_an_sd(threshold: float, length: float) -> None:
    """The best known run lengths of all, from memory."""
    assert exact_run_length(-0.5, threshold) == pytest.approx(length, rel=2e-4)
    assert run_length(-0.5, threshold) == pytest.approx(length, rel=0.01)


def test_the_reference_does_not_hang_on_its_nodes(monkeypatch: pytest.MonkeyPatch) -> None:
    settings = [(drift, threshold) for drift in (-0.25, -1.0, -2.5) for threshold in (1.0, 8.0)]
    few = [exact_run_length(*setting) for setting in settings]
    monkeypatch.setattr(f"{__name__}.NODES", 128)
    many = [exact_run_length.__wrapped__(*setting) for setting in settings]
    assert many == pytest.approx(few, rel=1e-10)


def test_the_approximation_fails_either_way_where_it_is_said_to() -> None:
    assert run_length(-2.5, 2.6) > 2 * exact_run_length(-2.5, 2.6)
    assert run_length(-2.5, 0.5) < exact_run_length(-2.5, 0.5) / 2
