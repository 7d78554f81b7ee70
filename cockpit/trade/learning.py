"""What a shop's own finished burns teach: burn rate, wear ratio, arc gap and current.

Each is one figure a burn, or its logarithm, taken for normal: what this shop does, plus what the
electrode's size, the kind of broken tool and the part's material add to that, plus a scatter from
burn to burn. All of these are believed to be normal before the first burn, in fixed proportion to
the scatter, whose square is believed to be inverse gamma; so the belief after any number of burns
is of the same form (a conjugate prior), and what the next burn will be is Student's t. Without a
burn it is the assumed prior. An electrode, kind or material that no burn had adds its own spread.

Source: A. Gelman et al., "Bayesian Data Analysis", 3rd ed., 14.2 and 14.8 (from memory); with a
flat prior it is weighted least squares. The figures of the priors are assumed.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from functools import cached_property
from math import exp, log, sqrt
from statistics import NormalDist
from typing import Final, NamedTuple

from cockpit.trade.student import t_quantile

#: How sure the scatter from burn to burn is before the first: as if so many had shown it (assumed).
PRIOR_BURNS: Final = 4
#: A burn this unlikely by what the others say is pointed out: one in a thousand (assumed).
UNLIKE_CHANCE: Final = 0.001


class Lesson(StrEnum):
    """What a burn can teach."""

    RATE = "rate"
    WEAR = "wear"
    GAP = "gap"
    CURRENT = "current"


class Like(NamedTuple):
    """What burns are told apart by; an electrode by its diameter, mm. None: any, or not known."""

    electrode_mm: float | None = None
    kind: str | None = None
    material: str | None = None

    @property
    def levels(self) -> tuple[tuple[str, object], ...]:
        """What it is of each sort, as far as that is known."""
        return tuple((sort, level) for sort, level in zip(SORTS, self, strict=True) if level)


SORTS: Final = ("electrode", "kind", "material")


@dataclass(frozen=True, slots=True)
class Shares:
    """How the variance of a burn that nobody has seen yet is made up; the parts add up to 1.

    ``burn``: from one burn to the next like it. ``shop``: from shop to shop. The others: between
    electrodes, kinds of tool and materials of one shop (assumed).
    """

    burn: float = 0.25
    shop: float = 0.35
    electrode: float = 0.10
    kind: float = 0.15
    material: float = 0.15


@dataclass(frozen=True, slots=True)
class Assumed:
    """What is believed of a figure before the first burn: about normal, ``mean`` and ``sd``.

    The belief is Student's t, and has its quantile of ``chance`` in common with that normal.
    ``is_log``: mean and sd are those of the figure's natural logarithm.
    """

    mean: float
    sd: float
    chance: float = 0.95
    is_log: bool = False
    shares: Shares = field(default_factory=Shares)

    @property
    def scale(self) -> float:
        """The scale of the t that is believed of the first burn."""
        normal = NormalDist().inv_cdf(self.chance)
        return self.sd * normal / t_quantile(self.chance, PRIOR_BURNS)

    def quantile(self, chance: float) -> float:
        """What the figure is assumed to stay under with a chance.

        >>> round(Assumed(0.25, 0.10).quantile(0.95), 3)
        0.414
        """
        value = NormalDist(self.mean, self.sd).inv_cdf(chance)
        return exp(value) if self.is_log else value

    def variance(self, sort: str) -> float:
        """The prior variance of what a sort adds, in units of the variance from burn to burn."""
        return float(getattr(self.shares, sort)) / self.shares.burn


@dataclass(frozen=True, slots=True)
class Sums:
    """Burns alike, added up: their weight, mean, and weighted squares about it; and how many."""

    weight: float = 0.0
    mean: float = 0.0
    squares: float = 0.0
    burns: int = 0

    @classmethod
    def of(cls, burns: Iterable[tuple[float, float]]) -> Sums:
        """Many burns at once: figure and weight of each; to the last digit the same as one by one.

        >>> Sums.of([(1.0, 1.0), (3.0, 1.0)])
        Sums(weight=2.0, mean=2.0, squares=2.0, burns=2)
        """
        total = mean = squares = 0.0
        many = 0
        for value, weight in burns:
            total += weight
            off = value - mean
            mean += off * weight / total
            squares += weight * off * (value - mean)
            many += 1
        return cls(total, mean, squares, many)

    def with_one(self, value: float, weight: float = 1.0) -> Sums:
        """These and one more burn.

        ``weight``: 1, or less for one that was measured badly beside the scatter of the burns.
        Source: B. P. Welford, Technometrics 4 (1962) 419, with weights.

        >>> total = Sums().with_one(1.0).with_one(3.0)
        >>> total.mean, total.squares, total.burns
        (2.0, 2.0, 2)
        """
        total = self.weight + weight
        off = value - self.mean
        mean = self.mean + off * weight / total
        squares = self.squares + weight * off * (value - mean)
        return Sums(total, mean, squares, self.burns + 1)


@dataclass(frozen=True, slots=True)
class Belief:
    """What is believed of the next burn's figure: Student's t, or that of its logarithm.

    ``burns``: how many burns it rests on; ``alike``: how many of those had the same electrode, kind
    and material.
    """

    location: float
    scale: float
    dof: int
    burns: int = 0
    alike: int = 0
    is_log: bool = False

    def quantile(self, chance: float) -> float:
        """What the figure stays under with a chance."""
        value = self.location + self.scale * t_quantile(chance, self.dof)
        return exp(value) if self.is_log else value

    @property
    def median(self) -> float:
        """The figure that is as likely passed as not."""
        return exp(self.location) if self.is_log else self.location

    def sd_at(self, chance: float) -> float:
        """The sd of the normal distribution whose quantile of a chance is the same, over 0.5."""
        return self.scale * t_quantile(chance, self.dof) / NormalDist().inv_cdf(chance)

    def is_unlike(self, value: float) -> bool:
        """Whether a burn with this figure is one that hardly ever comes."""
        return self.is_unlike_held(log(value) if self.is_log else value)

    def is_unlike_held(self, held: float) -> bool:
        """The same of the figure as it is learnt: its logarithm, where that is learnt."""
        off = abs(held - self.location)
        return off > self.scale * t_quantile(1 - UNLIKE_CHANCE / 2, self.dof)


class _Known(NamedTuple):
    """What burns of a kind are about; variances in units of that from burn to burn.

    ``spread``: how well ``location`` is known; ``unseen``: what no burn has told of yet adds.
    """

    location: float
    spread: float
    unseen: float
    alike: int


class Learnt:
    """One figure, learnt from groups of burns that are alike."""

    def __init__(self, assumed: Assumed, groups: Mapping[Like, Sums] | None = None) -> None:
        self.assumed = assumed
        self.groups = {like: sums for like, sums in (groups or {}).items() if sums.burns}
        #: How many burns this rests on.
        self.burns = sum(sums.burns for sums in self.groups.values())
        self._columns = _columns(self.groups)
        self._kept: dict[Like, _Known] = {}
        self._precision = self._added_up()
        right = [0.0] * len(self._columns)
        for like, sums in self.groups.items():
            for at in self._places(like):
                right[at] += sums.weight * (sums.mean - assumed.mean)
        self._root = cholesky(self._precision)
        self._effects = solve(self._root, right)
        self._dof, self._scale = self._scatter(right)

    def belief(self, like: Like, weight: float = 1.0) -> Belief:
        """What is believed of the next burn like this; a sort that is None may be any.

        ``weight``: under 1 where the burn is measured badly.
        """
        known = self._known(like)
        return Belief(
            location=known.location,
            scale=self._scale * sqrt(1 / weight + known.spread + known.unseen),
            dof=self._dof,
            burns=self.burns,
            alike=known.alike,
            is_log=self.assumed.is_log,
        )

    def _known(self, like: Like) -> _Known:
        """What is known of burns like this; kept, since it is asked for of burn after burn."""
        if like not in self._kept:
            places = self._places(like)
            row = [0.0] * len(self._columns)
            for at in places:
                row[at] = 1.0
            seen = {sort for sort, _ in (self._columns[at] for at in places)}
            self._kept[like] = _Known(
                location=self.assumed.mean + sum(self._effects[at] for at in places),
                spread=sum(v * w for v, w in zip(row, solve(self._root, row), strict=True)),
                unseen=sum(self.assumed.variance(sort) for sort in SORTS if sort not in seen),
                alike=sum(
                    sums.burns
                    for other, sums in self.groups.items()
                    if all(one in (None, its) for one, its in zip(like, other, strict=True))
                ),
            )
        return self._kept[like]

    def without(self, like: Like, value: float, weight: float = 1.0) -> Belief:
        """What all the other burns say of one that this rests on, as it was measured.

        Nothing is learnt anew for it. With the residual e of the burn, its weight w and its
        leverage h = w x' P^-1 x, where P is the precision with all burns, the others have the burn
        e/(1 - h) off, their sum of squares is less by w e^2/(1 - h), and x' P^-1 x becomes that
        over 1 - h. A level that no other burn has keeps its prior, and so its own spread. Exact.
        Source: R. D. Cook and S. Weisberg, "Residuals and Influence in Regression", 1982, 2.2 (from
        memory), with the prior as further rows.
        """
        known = self._known(like)
        off, rest = value - known.location, 1 - weight * known.spread
        squares = self._scale**2 * self._dof - weight * off**2 / rest
        dof = self._dof - 1
        return Belief(
            location=value - off / rest,
            scale=sqrt(max(squares, self._least_squares) / dof)
            * sqrt(1 / weight + known.spread / rest + known.unseen),
            dof=dof,
            burns=self.burns - 1,
            alike=known.alike - 1,
            is_log=self.assumed.is_log,
        )

    def is_unlike(self, like: Like, value: float, weight: float = 1.0) -> bool:
        """Whether a burn that this rests on is one that hardly ever comes, by all the others.

        The same as ``without(...).is_unlike_held(value)``, for many burns: put in, everything there
        but the residual e falls out, and it says e^2 > k S (1/w - h) / (1 + k), where S is the sum
        of squares with all burns, and k the square of the quantile over its degrees of freedom.
        """
        known = self._known(like)
        if known.unseen:
            return self.without(like, value, weight).is_unlike_held(value)
        return (value - known.location) ** 2 > self._unlike * (1 / weight - known.spread)

    @cached_property
    def _unlike(self) -> float:
        k = t_quantile(1 - UNLIKE_CHANCE / 2, self._dof - 1) ** 2 / (self._dof - 1)
        return k / (1 + k) * self._scale**2 * self._dof

    def _places(self, like: Like) -> list[int]:
        """The columns in which burns like this have a 1; what no burn had yet has none."""
        wanted = (("shop", None), *like.levels)
        return [self._columns.index(one) for one in wanted if one in self._columns]

    def _added_up(self) -> list[list[float]]:
        size = len(self._columns)
        precision = [[0.0] * size for _ in range(size)]
        for at, (sort, _) in enumerate(self._columns):
            precision[at][at] = 1 / self.assumed.variance(sort)
        for like, sums in self.groups.items():
            places = self._places(like)
            for at in places:
                for other in places:
                    precision[at][other] += sums.weight
        return precision

    def _scatter(self, right: Sequence[float]) -> tuple[int, float]:
        """Degrees of freedom and scale of the scatter from burn to burn."""
        first = self.assumed.scale**2 * self.assumed.shares.burn
        squares = PRIOR_BURNS * first
        for sums in self.groups.values():
            squares += sums.squares + sums.weight * (sums.mean - self.assumed.mean) ** 2
        squares -= sum(effect * value for effect, value in zip(self._effects, right, strict=True))
        dof = PRIOR_BURNS + self.burns
        return dof, sqrt(max(squares, self._least_squares) / dof)

    @property
    def _least_squares(self) -> float:
        """What cancels out may leave a little less than nothing."""
        return PRIOR_BURNS * self.assumed.scale**2 * self.assumed.shares.burn * 1e-9


def grouped(burns: Iterable[tuple[Like, float, float]]) -> dict[Like, Sums]:
    """Add burns up by what they are like: (like, figure or its logarithm, weight) each."""
    alike: dict[Like, list[tuple[float, float]]] = {}
    for like, value, weight in burns:
        alike.setdefault(like, []).append((value, weight))
    return {like: Sums.of(some) for like, some in alike.items()}


def _columns(groups: Iterable[Like]) -> list[tuple[str, object]]:
    levels = dict.fromkeys(level for like in groups for level in like.levels)
    return [("shop", None), *levels]


def cholesky(matrix: Sequence[Sequence[float]]) -> list[list[float]]:
    """Give the lower triangle L with L L' = ``matrix``, which is symmetric and positive definite.

    >>> cholesky([[4.0, 2.0], [2.0, 5.0]])
    [[2.0], [1.0, 2.0]]
    """
    root: list[list[float]] = []
    for i, row in enumerate(matrix):
        line: list[float] = []
        for j in range(i + 1):
            above = line if i == j else root[j]
            rest = row[j] - sum(a * b for a, b in zip(line, above, strict=False))
            line.append(sqrt(rest) if i == j else rest / root[j][j])
        root.append(line)
    return root


def solve(root: Sequence[Sequence[float]], right: Sequence[float]) -> list[float]:
    """Solve L L' x = ``right`` for x, L being a lower triangle.

    >>> solve([[2.0], [1.0, 2.0]], [8.0, 8.0])
    [1.5, 1.0]
    """
    ahead: list[float] = []
    for row, value in zip(root, right, strict=True):
        rest = value - sum(a * b for a, b in zip(row, ahead, strict=False))
        ahead.append(rest / row[-1])
    back = list(ahead)
    for i in reversed(range(len(root))):
        back[i] /= root[i][i]
        for j in range(i):
            back[j] -= root[i][j] * back[i]
    return back
