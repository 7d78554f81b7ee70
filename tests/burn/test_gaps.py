"""What nobody saw is told as such."""

from __future__ import annotations

import pytest

from cockpit.burn.gaps import gaps
from cockpit.burn.hindsight import Moment
from cockpit.burn.reading import Mark, MarkKind, Reading
from cockpit.burn.state import Span
from cockpit.flow.past import over_arc_time

ON, OFF = MarkKind.START, MarkKind.STOP


def read(first_s: float, last_s: float, hz: int = 10) -> list[Reading | Mark]:
    """Steady readings over a time."""
    return [
        Reading(round(first_s + n / hz, 3), 1.0) for n in range(round((last_s - first_s) * hz) + 1)
    ]


def test_a_burn_that_was_read_all_along_has_no_gap() -> None:
    assert list(gaps([Mark(0.0, ON), *read(0.0, 60.0), Mark(60.5, OFF)])) == []


def test_with_the_arc_off_nothing_need_be_read() -> None:
    events = [
        *read(0.0, 3.0),
        Mark(30.0, ON),
        *read(30.0, 40.0),
        Mark(40.0, OFF),
        *read(90.0, 91.0),
    ]
    assert list(gaps(events)) == []


def test_gaps_are_told_in_arc_time_from_reading_to_reading_and_to_the_ends() -> None:
    first = [Mark(100.0, ON), *read(103.0, 110.0), *read(115.0, 120.0), Mark(124.0, OFF)]
    second = [Mark(200.0, ON), *read(200.0, 205.0), *read(208.0, 209.0), Mark(209.0, OFF)]
    assert list(gaps(first + second)) == [
        pytest.approx(span) for span in ((0.0, 3.0), (10.0, 15.0), (20.0, 24.0), (29.0, 32.0))
    ]


def test_a_slow_gauge_is_not_silent_between_its_readings() -> None:
    readings = [Reading(2.0 * n, 1.0) for n in range(30)]
    assert list(gaps([Mark(0.0, ON), *readings])) == []


def test_a_step_of_the_trace_that_was_not_read_is_blank() -> None:
    moments = [
        Moment(float(s), float(s), Span(s - 0.1, float(s), s + 0.1), float(s)) for s in range(41)
    ]
    shown = over_arc_time(moments, 10, [(11.0, 21.0), (30.0, 31.0)])
    assert [place for place, depth in enumerate(shown) if depth is None] == [3, 4]
