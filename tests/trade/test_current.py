"""The current and the position of the heat switch."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from cockpit.trade.current import HeatRange, Machine, current_for, wanted_amps
from cockpit.trade.electrodes import Electrode


def stick(diameter_mm: float) -> Electrode:
    return Electrode(
        label="x",
        diameter_mm=diameter_mm,
        bore_mm=diameter_mm / 3,
        length_mm=200,
        material="copper",
        on_hand=1,
    )


def small_machine(rating_a: float = 100) -> Machine:
    ranges = [("low", 10, 40), ("mid", 40, 80), ("high", 80, 120)]
    return Machine(
        name="small",
        rating_a=rating_a,
        grip_mm=20,
        stand_off_mm=15,
        ranges=tuple(HeatRange(position=p, amps_low=a, amps_high=b) for p, a, b in ranges),
    )


def test_current_goes_with_the_diameter() -> None:
    assert wanted_amps(stick(2)) == pytest.approx((63.0, 75.6))


@pytest.mark.parametrize(
    ("diameter_mm", "position", "low", "high"),
    [
        (1.5, "mid", 47.25, 56.7),  # wholly inside one position
        (1.2, "mid", 37.8, 45.36),  # 2.2 A in low, 5.36 A in mid
        (0.2, "low", 10, 10),  # less than the machine gives
        (9.0, "high", 100, 100),  # more than it is rated for
    ],
)
def test_the_position_is_the_one_that_covers_most(
    diameter_mm: float, position: str, low: float, high: float
) -> None:
    current = current_for(stick(diameter_mm), small_machine())
    assert current.range == position
    assert (current.amps_low, current.amps_high) == pytest.approx((low, high))


@given(st.floats(min_value=0.1, max_value=50), st.floats(min_value=5, max_value=300))
def test_the_rating_is_never_passed(diameter_mm: float, rating_a: float) -> None:
    current = current_for(stick(diameter_mm), small_machine(rating_a))
    assert current.amps_low <= current.amps_high <= rating_a
    assert current.amps_low <= current.amps <= current.amps_high


def test_a_heat_range_upside_down_is_refused() -> None:
    with pytest.raises(ValidationError, match="from its low to its high"):
        HeatRange(position="3", amps_low=110, amps_high=75)


def test_the_shipped_machine_leaves_no_gap_between_its_ranges(machine: Machine) -> None:
    pairs = zip(machine.ranges, machine.ranges[1:], strict=False)
    assert all(lower.amps_high == upper.amps_low for lower, upper in pairs)
    assert machine.ranges[-1].amps_high == machine.rating_a
    assert machine.flush_kpa == pytest.approx(103.42, abs=0.01)
