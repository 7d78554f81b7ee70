"""Which readings count, and when none come."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cockpit.burn.gate import SILENT_PERIODS, SILENT_S, Gate
from cockpit.burn.reading import Reading


@given(st.lists(st.floats(-10.0, 100.0) | st.sampled_from([math.nan, math.inf]), max_size=40))
def test_time_only_goes_forward(times_s: list[float]) -> None:
    gate, admitted = Gate(25.0), []
    for t_s in times_s:
        if gate.admits(t_s, 3.0):
            admitted.append(t_s)
    assert admitted == sorted(admitted)
    assert all(math.isfinite(t_s) and t_s >= 0 for t_s in admitted)
    assert gate.t_s == (admitted[-1] if admitted else 0.0)


@pytest.mark.parametrize("value_mm", [math.nan, math.inf, -math.inf, 2000.5, -2000.5])
def test_a_length_that_cant_be_does_not_move_the_time_on(value_mm: float) -> None:
    gate = Gate(25.0)
    assert not gate.admits(5.0, value_mm)
    assert gate.t_s == 0.0
    assert gate.admits(5.0, None)


def test_a_jump_is_what_the_head_can_not_have_moved() -> None:
    gate = Gate(25.0)
    gate.keep(Reading(0.0, 3.0))
    assert not gate.jumps(Reading(0.1, 3.0 + 2.5 + 0.49))
    assert gate.jumps(Reading(0.1, 3.0 + 2.5 + 0.51))
    assert Gate(5.0).last is None
    assert not Gate(5.0).jumps(Reading(0.1, 900.0))


def test_three_jumps_that_agree_are_a_gauge_set_anew() -> None:
    gate = Gate(25.0)
    gate.keep(Reading(0.0, 3.0))
    assert gate.jumps(Reading(0.1, 40.0))
    assert gate.jumps(Reading(0.2, 90.0))  # does not agree: counting begins anew
    assert gate.jumps(Reading(0.3, 90.1))
    assert not gate.jumps(Reading(0.4, 90.1))


@pytest.mark.parametrize("period_s", [0.02, 0.1, 0.5, 3.0])
def test_silence_is_a_second_or_five_of_the_gauges_own_periods(period_s: float) -> None:
    gate = Gate(25.0)
    assert gate.silent_from_s(4.0) == 4.0 + SILENT_S
    for n in range(20):
        gate.keep(Reading(n * period_s, 3.0))
    last_s = 19 * period_s
    assert gate.silent_from_s(0.0) == pytest.approx(
        last_s + max(SILENT_S, SILENT_PERIODS * period_s)
    )
    # Who begins to listen later waits from then on.
    assert gate.silent_from_s(last_s + 9.0) > last_s + 9.0
