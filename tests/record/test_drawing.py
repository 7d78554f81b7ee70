"""What the drawings show, in mm of paper."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cockpit.record import section, trace
from cockpit.record.drawing import Area, Drawing, Line, Words, hatching, spread
from cockpit.record.facts import HoleFacts
from cockpit.units import LengthUnit, write_length


def words_in(drawing: Drawing) -> list[str]:
    return [shape.text for shape in drawing.shapes if isinstance(shape, Words)]


def drawn(facts: HoleFacts, unit: LengthUnit = LengthUnit.MM) -> tuple[Drawing, Drawing]:
    cut, over_time = section.section(facts, unit), trace.trace(facts, unit)
    assert cut is not None
    assert over_time is not None
    return cut, over_time


@pytest.mark.parametrize("unit", LengthUnit)
def test_nothing_is_drawn_off_the_paper(
    blind: HoleFacts, through: HoleFacts, unit: LengthUnit
) -> None:
    deep = replace(blind, bottom_mm=500.0)
    for facts in (blind, through, deep):
        for drawing in drawn(facts, unit):
            for shape in drawing.shapes:
                for x, y in [shape.at] if isinstance(shape, Words) else shape.points:
                    assert -0.1 <= x <= drawing.width_mm + 0.1
                    assert -0.1 <= y <= drawing.height_mm + 0.1


@pytest.mark.parametrize("unit", LengthUnit)
def test_the_section_names_its_depths_in_the_record_s_unit(
    blind: HoleFacts, unit: LengthUnit
) -> None:
    assert blind.reached is not None
    words = words_in(drawn(blind, unit)[0])
    for name, mm in (
        ("surface", 0.0),
        ("break", 3.0),
        ("target", 18.0),
        ("bottom limit", 21.5),
        ("bottom", 22.0),
        ("REACHED", blind.reached.depth_mm),
    ):
        assert f"{name} {write_length(mm, unit, with_unit=False)}" in words


def test_the_burnt_hole_is_to_scale(blind: HoleFacts) -> None:
    assert blind.planned is not None
    assert blind.reached is not None
    cut = drawn(blind)[0]
    scale = float(cut.title.split(",")[1].split(":")[0])
    (burnt,) = (shape.points for shape in cut.shapes if isinstance(shape, Area))
    (left, top), (right, _), (_, low), _ = burnt
    assert right - left == pytest.approx(scale * blind.planned.hole_mm)
    assert low - top == pytest.approx(scale * (blind.reached.depth_mm - blind.planned.break_mm))
    off_mm = blind.centres[-1].across_mm
    assert (left + right) / 2 == pytest.approx(section._AXIS_MM + scale * off_mm)


def test_a_hole_that_fell_through_is_open_below(through: HoleFacts) -> None:
    words = words_in(drawn(through)[0])
    assert [word for word in words if word.startswith("THROUGH at ")]
    assert not [word for word in words if word.startswith(("bottom", "REACHED"))]


def test_the_trace_has_a_mark_for_each_row_of_the_tables(blind: HoleFacts) -> None:
    words = words_in(drawn(blind)[1])
    for place in range(len(blind.marks)):
        assert trace.letter(place) in words
    for number in range(1, len(blind.calls) + 1):
        assert str(number) in words


def test_the_trace_ends_where_the_hole_does(blind: HoleFacts) -> None:
    over_time = drawn(blind)[1]
    curve = max(
        (one for one in over_time.shapes if isinstance(one, Line) and one.width_mm > 0.4),
        key=lambda line: len(line.points),
    )
    assert len(curve.points) == len(blind.trace)
    ys = [y for _, y in curve.points]
    assert ys == sorted(ys)
    assert curve.points[-1][0] == pytest.approx(trace._RIGHT_MM, abs=0.5)


def test_without_a_plan_or_a_burn_nothing_is_drawn(blind: HoleFacts) -> None:
    bare = replace(blind, planned=None)
    assert section.section(bare, LengthUnit.MM) is None
    assert trace.trace(bare, LengthUnit.MM) is None
    assert trace.trace(replace(blind, trace=()), LengthUnit.MM) is None
    assert section.section(replace(blind, reached=None), LengthUnit.MM) is not None


@given(wanted=st.lists(st.floats(0.0, 100.0), max_size=12).map(sorted), gap=st.floats(0.1, 5.0))
def test_names_that_are_spread_keep_apart_in_their_order(wanted: list[float], gap: float) -> None:
    places = spread(wanted, gap, 0.0, 100.0)
    assert len(places) == len(wanted)
    for one, after in pairwise(places):
        assert after - one >= gap - 1e-6
    assert all(-1e-6 <= place <= 100.0 + 1e-6 for place in places)


def test_hatching_stays_within_its_area() -> None:
    lines = hatching(2.0, 3.0, 10.0, 30.0)
    assert len(lines) > 10
    for line in lines:
        for x, y in line.points:
            assert 2.0 - 1e-6 <= x <= 10.0 + 1e-6
            assert 3.0 - 1e-6 <= y <= 30.0 + 1e-6
