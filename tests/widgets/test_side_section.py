from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cockpit.units import LengthUnit
from cockpit.widgets.picture import Ink
from cockpit.widgets.side_labels import spread
from cockpit.widgets.side_section import SideView, side_section

BLIND = SideView(
    recess_mm=3.0,
    target_mm=18.0,
    through=False,
    tip_mm=12.9,
    low_mm=12.7,
    high_mm=13.1,
    stop_mm=20.1,
    limit_mm=21.5,
    bottom_mm=22.0,
)


def label_rows(view: SideView, width: int, height: int) -> dict[str, int]:
    lines = side_section(view, width, height).lines
    names = ("surface", "break", "tip", "target", "travel stop", "limit", "bottom")
    return {name: y for name in names for y, line in enumerate(lines) if f" {name} " in line}


@pytest.mark.parametrize("size", [(30, 9), (30, 12), (40, 16), (60, 24)])
def test_every_level_has_a_row_of_its_own_with_its_figure(size: tuple[int, int]) -> None:
    rows = label_rows(BLIND, *size)
    assert len(rows) == len(set(rows.values())) == 7
    lines = side_section(BLIND, *size).lines
    figures = {"break": "3.00", "tip": "12.90", "target": "18.00", "limit": "21.50"}
    for name, figure in figures.items():
        assert lines[rows[name]].rstrip().endswith(figure)


def test_levels_on_one_row_both_stay_readable() -> None:
    view = replace(BLIND, target_mm=21.5, tip_mm=21.45, low_mm=None, high_mm=None)
    rows = label_rows(view, 30, 12)
    assert rows["tip"] < rows["target"] < rows["limit"] < rows["bottom"]


def test_the_tip_goes_down_as_the_burn_does() -> None:
    def tip_row(tip_mm: float) -> int:
        picture = side_section(replace(BLIND, tip_mm=tip_mm, high_mm=None), 40, 24)
        return max(y for x, y, _, ink in picture.cells() if ink is Ink.TIP and x < 15)

    rows = [tip_row(tip_mm) for tip_mm in (0.0, 4.0, 8.0, 12.0, 16.0, 20.0)]
    assert rows == sorted(set(rows))


def test_what_is_burnt_is_gone_and_what_is_under_the_tip_is_not() -> None:
    picture = side_section(BLIND, 40, 24)
    tool = [(x, y) for x, y, _, ink in picture.cells() if ink is Ink.TOOL]
    tips = [(x, y) for x, y, _, ink in picture.cells() if ink is Ink.TIP and x < 15]
    middle = sum(x for x, _ in tips) // len(tips)
    tip_row = max(y for _, y in tips)
    assert all(y > tip_row for x, y in tool if x == middle)
    assert any(y < tip_row for x, y in tool)  # the lands beside the burn still stand


def test_without_a_burn_the_tool_is_whole_and_there_is_no_electrode() -> None:
    view = replace(BLIND, tip_mm=None, low_mm=None, high_mm=None)
    inks = {ink for *_, ink in side_section(view, 40, 16).cells()}
    assert Ink.ELECTRODE not in inks
    assert Ink.TIP not in inks


def test_a_blind_hole_has_a_floor_and_a_through_hole_has_none() -> None:
    through = replace(BLIND, through=True, limit_mm=None, stop_mm=None, bottom_mm=20.0)
    assert "└─" not in "".join(line[:12] for line in side_section(through, 30, 16).lines)
    assert "far side" in "".join(side_section(through, 30, 16).lines)
    blind = replace(BLIND, limit_mm=None, stop_mm=None)
    assert "└─" in "".join(line[:12] for line in side_section(blind, 30, 16).lines)


def test_inches_are_inches() -> None:
    lines = side_section(replace(BLIND, unit=LengthUnit.INCH), 40, 16).lines
    assert lines[0].rstrip().endswith("in")
    assert any("target" in line and "0.7087" in line for line in lines)  # 18 / 25.4


def test_a_figure_is_never_cut_short() -> None:
    for width in range(8, 30):
        text = "\n".join(side_section(BLIND, width, 12).lines)
        assert (
            ("18.00" in text) == ("20.10" in text) == any(digit in text for digit in "0123456789")
        )


@given(st.data())
def test_spread_keeps_order_and_moves_nothing_without_need(data: st.DataObject) -> None:
    last = data.draw(st.integers(1, 20))
    rows = sorted(data.draw(st.lists(st.integers(1, last), max_size=last)))
    result = spread(rows, 1, last)
    assert result == sorted(set(result))
    assert all(1 <= row <= last for row in result)
    if len(set(rows)) == len(rows):
        assert result == rows


depths = st.floats(0, 60)
maybe = st.none() | depths


@given(
    st.builds(
        SideView,
        recess_mm=depths,
        target_mm=depths,
        through=st.booleans(),
        unit=st.sampled_from(LengthUnit),
        tip_mm=st.none() | st.floats(-5, 60),
        high_mm=maybe,
        stop_mm=maybe,
        limit_mm=maybe,
        bottom_mm=maybe,
    ),
    st.integers(0, 70),
    st.integers(0, 30),
    st.booleans(),
)
def test_any_view_can_be_drawn_at_any_size(
    view: SideView, width: int, height: int, ascii_only: bool
) -> None:
    lines = side_section(view, width, height, ascii_only=ascii_only).lines
    assert [len(line) for line in lines] == [width] * height
    assert not ascii_only or "".join(lines).isascii()
