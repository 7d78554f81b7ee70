"""Money: decimal, to the cent, half up."""

from decimal import Decimal

import pytest
from pydantic import ValidationError

from cockpit.trade.price import RateCard, price_hole


def test_every_part_of_the_price_counts(rates: RateCard) -> None:
    # 40 + 25 + 10 min x 2.50 + 2 x 6
    assert price_hole(rates, arc_s=600, electrodes=2) == Decimal("102.00")


def test_a_further_hole_of_the_part_has_no_set_up_and_no_minimum(rates: RateCard) -> None:
    assert price_hole(rates, arc_s=60, electrodes=0, first_of_part=False) == Decimal("27.50")


def test_the_minimum_holds(rates: RateCard) -> None:
    assert price_hole(rates, arc_s=1, electrodes=0) == Decimal("75.00")


def test_half_a_cent_goes_up() -> None:
    nothing = dict.fromkeys(("setup_per_part", "per_hole", "per_electrode", "minimum"), "0")
    card = RateCard.model_validate(
        {"name": "x", "currency": "EUR", "per_arc_minute": "0.01"} | nothing
    )
    assert price_hole(card, arc_s=30, electrodes=0) == Decimal("0.01")
    assert price_hole(card, arc_s=150, electrodes=0) == Decimal("0.03")


def test_the_answer_is_exact_where_floats_are_not(rates: RateCard) -> None:
    prices = [price_hole(rates, arc_s=132, electrodes=0, first_of_part=False) for _ in range(10)]
    assert sum(prices) == Decimal("305.00")


def test_a_negative_rate_is_refused(rates: RateCard) -> None:
    with pytest.raises(ValidationError, match="per_hole"):
        RateCard.model_validate(rates.model_dump() | {"per_hole": "-1"})
