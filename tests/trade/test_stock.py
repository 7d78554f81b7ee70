"""What is left in the rack: counted, worn, used up."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cockpit.trade.stock import COUNTS, Entry, StockEntry, on_hand

LENGTH_MM, HOLDER_MM = 200.0, 40.0


def left(*entries: tuple[StockEntry, int]) -> tuple[int, float]:
    found = on_hand([Entry(*entry) for entry in entries], LENGTH_MM, HOLDER_MM)
    return found.count, found.worn_mm


def test_what_comes_in_and_is_used_up_counts() -> None:
    count, came, used = StockEntry.COUNTED, StockEntry.CAME_IN, StockEntry.USED_UP
    assert left((count, 4), (came, 10), (used, 1)) == (13, 0.0)
    assert left((StockEntry.PROFILE, 6), (used, 1), (count, 9)) == (9, 0.0)


def test_an_electrode_that_nobody_counted_is_never_less_than_none() -> None:
    assert left((StockEntry.USED_UP, 3)) == (0, 0.0)
    assert left((StockEntry.USED_UP, 3), (StockEntry.CAME_IN, 2)) == (2, 0.0)


def test_none_counted_is_none_worn() -> None:
    """What comes into an empty rack is new."""
    count, came, worn = StockEntry.COUNTED, StockEntry.CAME_IN, StockEntry.WORN
    assert left((count, 2), (worn, 150_000), (count, 0), (came, 3)) == (3, 0.0)
    assert left((count, 2), (worn, 150_000), (count, 1), (came, 3)) == (4, 150.0)


def test_wear_adds_up_until_one_is_gone() -> None:
    worn = (StockEntry.WORN, 60_000)
    assert left((StockEntry.COUNTED, 3), worn, worn) == (3, 120.0)
    # 160 mm of each can be lost.
    assert left((StockEntry.COUNTED, 3), worn, worn, worn) == (2, 20.0)
    # One that is changed takes its wear with it.
    assert left((StockEntry.COUNTED, 3), worn, (StockEntry.USED_UP, 1), worn) == (2, 60.0)


def test_a_holder_that_takes_all_of_it_never_wears_one_out() -> None:
    found = on_hand([Entry(StockEntry.COUNTED, 2), Entry(StockEntry.WORN, 10_000)], 30.0, 40.0)
    assert (found.count, found.usable_mm) == (2, 0.0)


@given(
    st.lists(st.tuples(st.sampled_from(sorted(StockEntry)), st.integers(0, 400_000)), max_size=40)
)
def test_it_is_never_nonsense(entries: list[tuple[StockEntry, int]]) -> None:
    count, worn_mm = left(*entries)
    assert count >= 0
    assert 0 <= worn_mm < LENGTH_MM - HOLDER_MM
    if entries and entries[-1][0] in COUNTS:
        assert count == entries[-1][1]


@pytest.mark.parametrize(("count", "level", "is_low"), [(0, 0, True), (2, 1, False), (1, 1, True)])
def test_it_is_low_at_the_reorder_level(count: int, level: int, is_low: bool) -> None:
    found = on_hand([Entry(StockEntry.COUNTED, count)], LENGTH_MM, HOLDER_MM)
    assert found.is_low(level) is is_low
