"""Student's t: what is believed of a figure whose own scatter had to be learnt as well."""

from __future__ import annotations

from functools import lru_cache
from math import atan2, cos, exp, lgamma, log, pi, sin, sqrt
from statistics import NormalDist

# Over so many degrees of freedom the expansion is exact to the last digits of a float.
_MANY = 400
_NEWTON_STEPS = 60
_ENOUGH = 1e-12


def within(t: float, dof: int) -> float:
    """Give the chance that Student's t lies between -t and t.

    For t >= 0 and whole degrees of freedom from 1. Source: M. Abramowitz and I. A. Stegun,
    "Handbook of Mathematical Functions", NBS 1964, 26.7.3 and 26.7.4, the finite sums.

    >>> round(within(2.228139, 10), 6)
    0.95
    """
    angle = atan2(t, sqrt(dof))
    square = cos(angle) ** 2
    if dof % 2:
        if dof == 1:
            return 2 * angle / pi
        term, total = cos(angle), cos(angle)
        for k in range(3, dof - 1, 2):
            term *= square * (k - 1) / k
            total += term
        return 2 / pi * (angle + sin(angle) * total)
    term = total = 1.0
    for k in range(2, dof - 1, 2):
        term *= square * (k - 1) / k
        total += term
    return sin(angle) * total


@lru_cache(maxsize=4096)
def t_quantile(chance: float, dof: int) -> float:
    """Give what Student's t with ``dof`` degrees of freedom stays under with a chance (0 to 1).

    >>> round(t_quantile(0.975, 10), 3), round(t_quantile(0.05, 4), 3)
    (2.228, -2.132)
    """
    if chance < 0.5:
        return -t_quantile(1 - chance, dof)
    normal = NormalDist().inv_cdf(chance)
    if dof > _MANY:
        return _expanded(normal, dof)
    # From below: the density falls from there on, so that no step of Newton's oversteps.
    t, wanted = normal, 2 * chance - 1
    for _ in range(_NEWTON_STEPS):
        step = (wanted - within(t, dof)) / (2 * _density(t, dof))
        t += step
        if abs(step) < _ENOUGH * (1 + t):
            break
    return t


def _density(t: float, dof: int) -> float:
    height = lgamma((dof + 1) / 2) - lgamma(dof / 2) - log(dof * pi) / 2
    return exp(height - (dof + 1) / 2 * log(1 + t * t / dof))


def _expanded(x: float, dof: int) -> float:
    """The quantile from that of the normal distribution; Abramowitz and Stegun 26.7.5."""
    terms = (
        (x**3 + x) / 4,
        (5 * x**5 + 16 * x**3 + 3 * x) / 96,
        (3 * x**7 + 19 * x**5 + 17 * x**3 - 15 * x) / 384,
        (79 * x**9 + 776 * x**7 + 1482 * x**5 - 1920 * x**3 - 945 * x) / 92160,
    )
    return x + sum(term / float(dof) ** power for power, term in enumerate(terms, 1))
