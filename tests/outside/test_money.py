"""Rounding of money against the examples in the documentation of Python's decimal module."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

import pytest

from cockpit.trade.price import RateCard, Work, hole_lines, rounded
from tests.outside.checks import OutsideCheck, largest_deviation

DOCUMENTED = "Python's documentation of decimal"


def charged(minutes: str, rate: str) -> Decimal:
    """What so many minutes of arc come to on a bill."""
    nothing = dict.fromkeys(("setup_per_part", "per_hole", "per_electrode", "minimum"), "0")
    card = RateCard.model_validate(
        {"name": "x", "currency": "EUR", "per_arc_minute": rate} | nothing
    )
    lines = hole_lines(card, Work("a", None, float(Decimal(minutes) * 60), 0))
    return next(line.amount for line in lines if line.of == "min")


def examples() -> Iterator[tuple[float, float]]:
    # "Calculating a 5 % tax on a 70 cent phone charge": 0.74, where binary floats give 0.73.
    yield float(charged("0.70", "1.05")), 0.74
    # The FAQ's rounding to two places.
    yield float(rounded(Decimal("3.214"))), 3.21
    # "away from zero" for ties, as ROUND_HALF_UP is described.
    yield float(rounded(Decimal("7.325"))), 7.33
    yield float(rounded(Decimal("-7.325"))), -7.33


CHECKS = [
    OutsideCheck(
        "amounts of money, rounded",
        f"{DOCUMENTED}: quick-start tutorial, rounding modes, FAQ",
        "1",
        1e-12,
        lambda: largest_deviation(examples()),
    )
]


@pytest.mark.parametrize("check", CHECKS, ids=str)
def test_it_agrees_with_the_outside(check: OutsideCheck) -> None:
    assert check.deviation() <= check.bound


def test_a_float_would_not_have() -> None:
    assert round(0.70 * 1.05, 2) == 0.73
