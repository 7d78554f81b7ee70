"""What the tracker sees is exactly what the log keeps."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cockpit.burn.reading import FARTHEST_MM, Mark, MarkKind, Reading, believable
from cockpit.log.store import micrometres, milliseconds


@given(t_s=st.floats(0, 1e6), travel_mm=st.floats(-FARTHEST_MM, FARTHEST_MM))
def test_a_reading_survives_the_logs_whole_numbers(t_s: float, travel_mm: float) -> None:
    reading = Reading.at(t_s, travel_mm)
    kept = Reading(milliseconds(reading.t_s) / 1000, micrometres(reading.travel_mm) / 1000)
    assert kept == reading
    assert abs(reading.t_s - t_s) <= 0.0005 + 1e-9
    assert abs(reading.travel_mm - travel_mm) <= 0.0005 + 1e-9


@pytest.mark.parametrize("kind", list(MarkKind))
def test_three_marks_carry_a_measurement(kind: MarkKind) -> None:
    assert Mark.at(1.23456, kind).measures is (kind.value in ("touch", "wear", "depth"))
    assert Mark.at(1.23456, kind, 2.34567) == Mark(1.235, kind, 2.346)


@pytest.mark.parametrize("travel_mm", [math.nan, math.inf, -math.inf, 2000.1, -2000.1, 1e300])
def test_no_head_travels_so_far(travel_mm: float) -> None:
    assert not believable(travel_mm)


@pytest.mark.parametrize("travel_mm", [0.0, -0.0, 2000.0, -2000.0, 1e-300])
def test_a_head_may_travel_so_far(travel_mm: float) -> None:
    assert believable(travel_mm)
