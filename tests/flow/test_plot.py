"""A burn laid out on a grid: nothing falls outside, and the axes say what is drawn."""

from __future__ import annotations

from itertools import pairwise
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cockpit.burn.hindsight import Moment
from cockpit.burn.state import Span
from cockpit.flow.past_trace import Sign, SignKind
from cockpit.flow.plot import (
    MORE,
    Scale,
    clock_scale,
    clock_ticks,
    columns,
    depth_scale,
    depth_ticks,
    lanes,
)
from cockpit.units import LengthUnit, in_unit, write_clock

depths = st.lists(st.floats(0.0, 400.0), min_size=1, max_size=8)
ends = st.floats(0.0, 40_000.0)
counts = st.integers(1, 400)
units = st.sampled_from(LengthUnit)
NEAR = 1e-6


def some_moments(seed: int, many: int) -> list[Moment]:
    """A depth that never goes back, at odd times."""
    chance, arc_s, mid_mm, moments = Random(seed), 0.0, 3.0, []
    for _ in range(many):
        arc_s, mid_mm = arc_s + chance.uniform(0.0, 20.0), mid_mm + chance.uniform(0.0, 0.5)
        depth = Span(mid_mm - chance.random(), mid_mm, mid_mm + chance.random())
        moments.append(Moment(arc_s, arc_s, depth, 1.3 * mid_mm))
    return moments


def a_sign(arc_s: float, letter: str = "T") -> Sign:
    return Sign(arc_s, SignKind.MEASURED, letter, "touch-off")


# Scales and axes ---------------------------------------------------------------------------------


@given(depths)
def test_all_that_is_shown_lies_on_the_scale_with_room_beside_it(shown_mm: list[float]) -> None:
    scale = depth_scale(shown_mm)
    assert scale.first <= min(shown_mm)
    assert scale.last > max(shown_mm)
    assert [scale.part(mm) for mm in sorted(shown_mm)] == sorted(map(scale.part, shown_mm))


def test_the_surface_is_shown_unless_the_burn_begins_far_below_it() -> None:
    assert depth_scale([3.0, 18.0, 24.0]).first == 0.0
    assert depth_scale([0.0, 24.0]).first < 0.0
    assert 35.0 < depth_scale([40.0, 60.0]).first < 40.0


@given(depths, counts, st.floats(-1e4, 1e4))
def test_a_place_is_always_one_of_the_cells(shown: list[float], cells: int, value: float) -> None:
    scale = depth_scale(shown)
    assert 0 <= scale.place(value, cells) < cells


@given(depths, st.integers(2, 30), units)
def test_ticks_are_even_round_and_cover_the_scale(
    shown_mm: list[float], most: int, unit: LengthUnit
) -> None:
    scale = depth_scale(shown_mm)
    ticks = depth_ticks(scale, most, unit)
    assert len(ticks) <= most
    values = [tick.value for tick in ticks]
    assert all(scale.first - NEAR <= value <= scale.last + NEAR for value in values)
    assert [tick.figure for tick in ticks] == sorted({t.figure for t in ticks}, key=float)
    # The figure says the value itself, not one that was rounded to look like it.
    assert all(
        float(tick.figure) == pytest.approx(in_unit(tick.value, unit), abs=NEAR) for tick in ticks
    )
    steps = [after - before for before, after in pairwise(values)]
    if steps:
        assert max(steps) == pytest.approx(min(steps))
        assert values[0] - scale.first <= steps[0] + NEAR
        assert scale.last - values[-1] <= steps[0] + NEAR
        digits = f"{in_unit(steps[0], unit):.6e}"
        assert digits.startswith(("1.000000", "2.000000", "5.000000"))


@given(depths, st.integers(4, 30), units)
def test_there_are_as_many_ticks_as_go_into_the_room_by_half(
    shown_mm: list[float], most: int, unit: LengthUnit
) -> None:
    """The next finer step is 2.5 times finer at most, and would be too much."""
    assert len(depth_ticks(depth_scale(shown_mm), most, unit)) >= (most - 1) / 2.5 - 2


@given(ends, counts)
def test_clock_ticks_begin_at_nought_and_their_figures_stand_apart(
    end_s: float, cells: int
) -> None:
    scale = clock_scale(end_s)
    ticks = clock_ticks(scale, cells)
    assert ticks[0].value == 0
    assert ticks[-1].value <= scale.last + NEAR
    assert [tick.figure for tick in ticks] == [write_clock(tick.value) for tick in ticks]
    places = [scale.part(tick.value) * cells for tick in ticks]
    for (before, after), tick in zip(pairwise(places), ticks[1:], strict=True):
        assert after - before > len(tick.figure)


@given(ends, counts)
def test_the_clock_leaves_no_more_than_a_step_without_a_figure(end_s: float, cells: int) -> None:
    scale = clock_scale(end_s)
    values = [tick.value for tick in clock_ticks(scale, cells)]
    if len(values) > 1:
        assert scale.last - values[-1] <= values[1] - values[0] + NEAR


# Columns -----------------------------------------------------------------------------------------


@given(st.integers(0, 10**6), st.integers(0, 60), counts)
def test_columns_are_those_of_the_grid_and_never_go_back(seed: int, many: int, count: int) -> None:
    moments = some_moments(seed, many)
    scale = clock_scale(moments[-1].arc_s if moments else 10.0)
    laid = columns(moments, scale, count)
    assert len(laid) == count
    known = [column for column in laid if column is not None]
    assert all(one.low_mm <= one.mid_mm <= one.high_mm for one in known)
    mids_mm = [one.mid_mm for one in known]
    assert mids_mm == sorted(mids_mm)
    # Nothing is known before the first moment, and from then on something always is.
    assert None not in laid[count - len(known) :]
    assert bool(known) == bool(moments)
    if moments:
        assert laid[-1] is not None
        assert laid[-1].mid_mm == moments[-1].depth.mid
        assert laid[-1].travel_mm == moments[-1].travel_mm


@given(st.integers(0, 10**6), st.floats(0.0, 1.0), st.floats(0.0, 1.0), counts)
def test_a_silence_is_blank_and_nothing_else_is(
    seed: int, one: float, other: float, count: int
) -> None:
    moments = some_moments(seed, 30)
    scale = clock_scale(moments[-1].arc_s)
    begin_s, end_s = sorted((one * scale.last, other * scale.last))
    whole = columns(moments, scale, count)
    blank = columns(moments, scale, count, [(begin_s, end_s)])
    width_s = scale.last / count
    for number, (before, after) in enumerate(zip(whole, blank, strict=True)):
        from_s, to_s = number * width_s, (number + 1) * width_s
        if end_s <= from_s or begin_s >= to_s:
            assert after == before
        elif begin_s <= from_s and to_s <= end_s:
            assert after is None


# Signs -------------------------------------------------------------------------------------------

signs = st.lists(
    st.tuples(st.floats(0.0, 1.0), st.sampled_from("TWDESLG")), min_size=0, max_size=40
)


@given(signs, ends, counts, st.integers(1, 5))
def test_every_sign_is_in_the_column_of_its_time_and_no_two_in_one_place(
    drawn: list[tuple[float, str]], end_s: float, count: int, most: int
) -> None:
    scale = clock_scale(end_s)
    given_signs = [a_sign(part * scale.last, letter) for part, letter in drawn]
    placed = lanes(given_signs, scale, count, most)
    places = [(one.column, one.lane) for one in placed]
    assert len(places) == len(set(places))
    for one in placed:
        assert 0 <= one.column < count
        assert 0 <= one.lane < most
        if one.sign is not None:
            assert one.column == scale.place(one.sign.arc_s, count)
            assert one.letter == one.sign.letter
    # Whatever happened is there: by its letter, or by the sign that says there is more.
    for sign in given_signs:
        column = scale.place(sign.arc_s, count)
        assert {sign.letter, MORE} & {one.letter for one in placed if one.column == column}


def test_more_signs_than_lanes_are_said_to_be_more() -> None:
    three = [a_sign(5.0, letter) for letter in "TEG"]
    scale = Scale(0.0, 10.0)
    assert [one.letter for one in lanes(three, scale, 10, 3)] == ["T", "E", "G"]
    assert [one.letter for one in lanes(three, scale, 10, 2)] == ["T", MORE]
    assert [one.letter for one in lanes([*three, *three], scale, 10, 3)] == ["T", "E", "G"]
