"""Money: decimal, to the cent, half up."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from cockpit.trade.price import RateCard, Work, bill, price_hole, rounded


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


def card(**changes: object) -> RateCard:
    held = {
        "name": "x",
        "currency": "EUR",
        "setup_per_part": "40",
        "per_hole": "25",
        "per_arc_minute": "2.50",
        "per_electrode": "6",
        "minimum": "75",
    }
    return RateCard.model_validate(held | changes)


SIZES = [{"up_to": "6 mm", "per_hole": "31.50"}, {"up_to": "1/2 in", "per_hole": "27.25"}]


@pytest.mark.parametrize(
    ("nominal_mm", "asked"),
    [(3.0, "31.50"), (6.0, "31.50"), (6.01, "27.25"), (12.7, "27.25"), (13.0, "25"), (None, "25")],
)
def test_a_hole_costs_by_its_size(nominal_mm: float | None, asked: str) -> None:
    assert card(sizes=SIZES).hole_rate(nominal_mm) == Decimal(asked)
    # In whatever order they stand on the card.
    assert card(sizes=SIZES[::-1]).hole_rate(nominal_mm) == Decimal(asked)


def test_a_size_twice_is_refused() -> None:
    with pytest.raises(ValidationError, match="the same diameter"):
        card(sizes=[SIZES[0], SIZES[0]])


def test_a_bill_by_hand() -> None:
    """Two parts, three holes.

    Part 1: set-up 40.00; M5 hole 31.50, 4:20 = 4.33 min x 2.50 = 10.825 -> 10.83, 1 x 6 = 6.00;
    1/2 in hole 27.25, 11:07 = 11.12 min x 2.50 = 27.80, 2 x 6 = 12.00. Part 2: set-up 40.00; hole
    over 1/2 in 25.00, 0:35 = 0.58 min x 2.50 = 1.45, no electrode. Together 221.83.
    """
    parts = [
        [Work("a", 5.0, 260.0, 1), Work("b", 12.7, 667.0, 2)],
        [Work("c", 16.0, 35.0, 0)],
    ]
    made = bill(card(sizes=SIZES), parts)
    amounts = [str(line.amount) for line in made.lines]
    first = ["40.00", "31.50", "10.83", "6.00", "27.25", "27.80", "12.00"]
    assert amounts == [*first, "40.00", "25.00", "1.45", "0.00"]
    assert made.total == Decimal("221.83")


def test_nothing_done_costs_nothing() -> None:
    assert bill(card(), []).total == Decimal("0.00")


@given(
    st.lists(
        st.lists(st.tuples(st.floats(0, 1e6), st.integers(0, 20)), min_size=1, max_size=4),
        max_size=4,
    )
)
def test_what_is_printed_adds_up(parts: list[list[tuple[float, int]]]) -> None:
    made = bill(card(), [[Work("x", None, *work) for work in part] for part in parts])
    assert made.total == sum(line.amount for line in made.lines)
    assert all(line.amount == rounded(line.quantity * line.rate) for line in made.lines)
    assert not parts or made.total >= Decimal("75.00")
