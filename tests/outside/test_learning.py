"""What is learnt against scipy.stats, NIST's certified values, and shops that are drawn by lot."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from importlib.resources import files
from math import exp, sqrt
from random import Random

import numpy as np
import pytest
from scipy import stats

from cockpit.trade.experience import Experience, log_rate
from cockpit.trade.learning import (
    PRIOR_BURNS,
    SORTS,
    Assumed,
    Learnt,
    Lesson,
    Like,
    Sums,
    cholesky,
    grouped,
    solve,
)
from cockpit.trade.student import t_quantile
from cockpit.trade.timing import burn_time
from cockpit.trade.wear import Z99
from tests.outside.checks import OutsideCheck, largest_deviation

#: NIST Statistical Reference Datasets, as scipy brings them in its own tests.
STRD = files("scipy.stats.tests.data")
CHANCES = (0.01, 0.05, 0.5, 0.6, 0.9, 0.95, 0.975, 0.99, 0.995, 0.9999)
DEGREES = (*range(1, 60), 100, 101, 399, 400, 401, 402, 1000, 100_000)


# Student's t -------------------------------------------------------------------------------------


def quantiles() -> Iterator[tuple[float, float]]:
    for dof in DEGREES:
        for chance in CHANCES:
            theirs = float(stats.t.ppf(chance, dof))
            yield t_quantile(chance, dof) / (1 + abs(theirs)), theirs / (1 + abs(theirs))


# The belief about the next burn ------------------------------------------------------------------

ASSUMED = Assumed(-1.2, 0.5)
KINDS, MATERIALS, SIZES = ("tap", "drill", "pin"), ("cast iron", "steel"), (3.0, 4.0, 5.5)


def drawn_burns(seed: int, many: int) -> list[tuple[Like, float, float]]:
    chance = Random(seed)
    return [
        (
            Like(chance.choice(SIZES), chance.choice(KINDS), chance.choice(MATERIALS)),
            chance.gauss(-1.0, 0.6),
            chance.uniform(0.2, 1.0),
        )
        for _ in range(many)
    ]


def seen_together(burns: list[tuple[Like, float, float]]) -> float:
    """The logarithm of the density of these burns as a whole, before any of them was seen.

    Normal effects and an inverse gamma scatter, integrated out, leave a multivariate t.
    """
    likes = [like for like, _, _ in burns]
    spread = np.diag([1 / weight for _, _, weight in burns])
    spread += ASSUMED.variance("shop")
    for sort in SORTS:
        held = [getattr(like, sort if sort != "electrode" else "electrode_mm") for like in likes]
        alike = np.array([[a == b and a is not None for b in held] for a in held], dtype=float)
        spread += ASSUMED.variance(sort) * np.where(np.eye(len(held)) > 0, 1.0, alike)
    first = ASSUMED.scale**2 * ASSUMED.shares.burn
    return float(
        stats.multivariate_t.logpdf(
            [value for _, value, _ in burns],
            loc=np.full(len(burns), ASSUMED.mean),
            shape=first * spread,
            df=PRIOR_BURNS,
        )
    )


NEXT = (
    Like(4.0, "tap", "steel"),
    Like(9.0, "tap", "steel"),
    Like(9.0, "screw", "aluminium"),
    Like(None, "tap", None),
)


def densities() -> Iterator[tuple[float, float]]:
    """How likely the next burn is: by the belief, and as both together over those before."""
    for seed, many in ((1, 0), (2, 1), (3, 5), (4, 40)):
        burns = drawn_burns(seed, many)
        before = seen_together(burns) if burns else 0.0
        learnt = Learnt(ASSUMED, grouped(burns))
        for like in NEXT:
            belief = learnt.belief(like)
            for value in (-2.5, -1.3, -0.9, 0.4):
                ours = stats.t.logpdf(value, belief.dof, belief.location, belief.scale)
                yield float(ours), seen_together([*burns, (like, value, 1.0)]) - before


# NIST --------------------------------------------------------------------------------------------


def norris() -> Iterator[tuple[float, float]]:
    """A straight line by the same solver, with a flat prior: certified to 15 digits."""
    text = (STRD / "nist_linregress" / "Norris.dat").read_text(encoding="utf-8")
    rows = [list(map(float, line.split())) for line in text.splitlines()[60:96]]
    y, x = zip(*rows, strict=True)
    count, total = float(len(x)), sum(x)
    root = cholesky([[count, total], [total, sum(one * one for one in x)]])
    line = solve(root, [sum(y), sum(a * b for a, b in zip(x, y, strict=True))])
    left = sum((b - line[0] - line[1] * a) ** 2 for a, b in zip(x, y, strict=True))
    yield line[0], -0.262323073774029
    yield line[1], 1.00211681802045
    yield sqrt(left / (count - 2)), 0.884796396144373


@cache
def one_way(name: str) -> tuple[dict[Like, Sums], float, float]:
    """Groups of a data set, with the certified sum of squares between them and within."""
    lines = (STRD / "nist_anova" / f"{name}.dat").read_text(encoding="utf-8").splitlines()
    certified = [line.split() for line in lines[40:58]]
    between = next(float(words[3]) for words in certified if words[:1] == ["Between"])
    within = next(float(words[3]) for words in certified if words[:1] == ["Within"])
    rows = [line.split() for line in lines[60:] if line.strip()]
    return grouped((Like(float(at)), float(value), 1.0) for at, value in rows), between, within


def variances() -> Iterator[tuple[float, float]]:
    """Sums of squares about the means, each as a part of the certified one.

    Those of SmLs07 and beyond are 13 digits alike, which no float keeps apart well enough.
    """
    for name in ("SiRstv", "SmLs01", "SmLs02", "SmLs03", "SmLs04", "SmLs05", "SmLs06"):
        groups, between, within = one_way(name)
        yield sum(sums.squares for sums in groups.values()) / within, 1.0
        weight = sum(sums.weight for sums in groups.values())
        # The means of the groups about a first guess, lest the digits that they share are lost.
        guess = next(iter(groups.values())).mean
        offs = [(sums.weight, sums.mean - guess) for sums in groups.values()]
        mean = sum(w * off for w, off in offs) / weight
        yield sum(w * (off - mean) ** 2 for w, off in offs) / between, 1.0


NIST = "NIST Statistical Reference Datasets"
CHECKS = [
    OutsideCheck(
        "quantiles of Student's t (1 to 100,000 degrees of freedom)",
        "scipy.stats.t",
        "1",
        1e-10,
        lambda: largest_deviation(quantiles()),
    ),
    OutsideCheck(
        "how likely the next burn is (logarithm), after 0, 1, 5 and 40 burns",
        "scipy.stats.multivariate_t, of all burns over those before",
        "1",
        1e-9,
        lambda: largest_deviation(densities()),
    ),
    OutsideCheck(
        "a straight line, by the solver of what is learnt",
        f"{NIST}, Norris: certified values",
        "1",
        1e-10,
        lambda: largest_deviation(norris()),
    ),
    OutsideCheck(
        "squares between and within groups of burns, as parts",
        f"{NIST}, SiRstv and SmLs01 to SmLs06: certified values",
        "1",
        1e-8,
        lambda: largest_deviation(variances()),
    ),
]


@pytest.mark.parametrize("check", CHECKS, ids=str)
def test_it_agrees_with_the_outside(check: OutsideCheck) -> None:
    assert check.deviation() <= check.bound


# Shops drawn by lot ------------------------------------------------------------------------------


class DrawnShop:
    """A shop with a burn rate of its own, and one for each size, kind and material.

    Or of another figure: ``lesson``.
    """

    def __init__(self, seed: int, scatter: float | None, lesson: Lesson = Lesson.RATE) -> None:
        self.chance = chance = Random(seed)
        assumed = Experience().assumed[lesson]
        first = assumed.scale**2 * assumed.shares.burn
        if scatter is None:
            # As the prior has it: inverse gamma.
            first *= PRIOR_BURNS / chance.gammavariate(PRIOR_BURNS / 2, 2)
            scatter = sqrt(first)
        self.scatter = scatter
        self.usual = chance.gauss(assumed.mean, sqrt(first * assumed.variance("shop")))
        self.adds = {
            level: chance.gauss(0, sqrt(first * assumed.variance(sort)))
            for sort, levels in zip(SORTS, (SIZES, KINDS, MATERIALS), strict=True)
            for level in levels
        }

    def figure(self) -> tuple[Like, float]:
        """A hole and its true figure, or the logarithm of it."""
        pick = self.chance.choice
        like = Like(pick(SIZES), pick(KINDS), pick(MATERIALS))
        usual = self.usual + sum(self.adds[level] for level in like if level is not None)
        return like, usual + self.chance.gauss(0, self.scatter)

    def burn(self) -> tuple[Like, float]:
        """A hole and its true burn rate."""
        like, log_k = self.figure()
        return like, exp(log_k)

    def taught(self, burns: int) -> Experience:
        """What the shop knows after so many burns, each as the log would have it."""
        seen = []
        for _ in range(burns):
            like, rate = self.burn()
            area_mm2, burnt_mm, amps = 20.0, self.chance.uniform(5, 30), 150.0
            arc_s = area_mm2 * burnt_mm / (rate * amps) * 60
            seen.append((like, log_rate(area_mm2 * burnt_mm, amps, arc_s), 1.0))
        return replace(Experience(), taught={Lesson.RATE: grouped(seen)})


@pytest.mark.parametrize("is_as_assumed", [True, False])
def test_nine_of_ten_times_are_within_the_interval_and_it_narrows(is_as_assumed: bool) -> None:
    """After 5, 20 and 100 burns; the shops' scatter is as assumed, or evenly 0.15 to 0.30."""
    widths = []
    for burns in (0, 5, 20, 100):
        within, width, drawn = 0, 0.0, 0
        for seed in range(400):
            scatter = None if is_as_assumed else Random(-seed).uniform(0.15, 0.30)
            shop = DrawnShop(seed, scatter)
            known = shop.taught(burns)
            for _ in range(5):
                like, rate = shop.burn()
                time = burn_time(20.0, 15.0, 150.0, known.removal(like, hard_metal=False))
                took_s = 20.0 * 15.0 / (rate * 150.0) * 60
                within += time.low_s <= took_s <= time.high_s
                width += np.log(time.high_s / time.low_s)
                drawn += 1
                assert time.burns_known == burns
        widths.append(width / drawn)
        if burns:
            assert 0.86 <= within / drawn <= 0.94, (burns, within / drawn)
    assert sorted(widths, reverse=True) == widths
    assert widths[-1] < 0.6 * widths[0]


@pytest.mark.parametrize("is_as_assumed", [True, False])
def test_the_wear_that_a_stop_is_set_by_is_passed_once_in_a_hundred_holes(
    is_as_assumed: bool,
) -> None:
    """Less wear than a plan reckons with takes the tip deeper than its stop was to let it.

    Without a burn and after 2, 5, 20 and 100, in shops whose scatter is as assumed, or evenly 0.02
    to 0.06 of the travel; 3,200 holes each, of which 51 are three sds over one in a hundred.
    """
    for burns in (0, 2, 5, 20, 100):
        under, drawn, width = 0, 0, 0.0
        for seed in range(800):
            scatter = None if is_as_assumed else Random(-seed).uniform(0.02, 0.06)
            shop = DrawnShop(seed, scatter, Lesson.WEAR)
            seen = grouped((*shop.figure(), 1.0) for _ in range(burns))
            known = replace(Experience(), taught={Lesson.WEAR: seen})
            for _ in range(4):
                like, ratio = shop.figure()
                wear = known.wear_for(like)
                under += ratio < wear.mean - Z99 * wear.sd
                width += wear.sd
                drawn += 1
        assert under <= 51, (burns, under)
        assert width / drawn <= 0.101
