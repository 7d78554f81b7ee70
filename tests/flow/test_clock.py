"""Clocks that only go forward."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from cockpit.flow.clock import Clock, FastClock, HandClock, WallClock

NOON = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)


def test_a_hand_clock_stands_still_until_it_is_moved() -> None:
    clock = HandClock(NOON)
    assert (clock.s(), clock.utc()) == (0.0, NOON)
    clock.advance(90.5)
    assert (clock.s(), clock.utc()) == (90.5, NOON + timedelta(seconds=90.5))


@pytest.mark.parametrize("clock", [WallClock(), FastClock(1000.0)])
def test_a_running_clock_goes_forward_and_knows_the_date_in_utc(clock: Clock) -> None:
    times = [clock.s() for _ in range(100)]
    assert times == sorted(times)
    assert clock.utc().utcoffset() == timedelta(0)


def test_a_fast_clock_goes_on_from_where_an_earlier_one_got_to_and_never_back() -> None:
    clock = FastClock(6.0)
    later = clock.utc() + timedelta(hours=3)
    clock.goes_on_from(later)
    assert later <= clock.utc() < later + timedelta(minutes=10)
    clock.goes_on_from(NOON)
    assert clock.utc() >= later


def test_a_fast_clock_runs_its_speed_times_as_fast() -> None:
    wall, fast = WallClock(), FastClock(1000.0)
    began_s, began_fast_s = wall.s(), fast.s()
    while wall.s() < began_s + 0.05:
        pass
    # One interval lies within the other, so no delay of the computer can spoil the comparison.
    inner_s, outer_s = fast.s() - began_fast_s, wall.s() - began_s
    assert 40.0 < inner_s <= 1000.0 * outer_s
