import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cockpit.units import LengthUnit
from cockpit.widgets.picture import Ink
from cockpit.widgets.side_labels import fit, spread
from cockpit.widgets.side_section import SideView, side_section

BLIND = SideView(
    recess_mm=3.0,
    target_mm=18.0,
    through=False,
    tip_mm=12.9,
    low_mm=12.7,
    high_mm=13.1,
    stop_mm=17.1,
    limit_mm=21.5,
    bottom_mm=22.0,
)


TAP = replace(
    BLIND,
    tip_mm=None,
    low_mm=None,
    high_mm=None,
    stop_mm=None,
    stops_mm=(15.0, 17.0),
    bore_mm=8.376,
    hole_mm=5.86,
    web_mm=4.0,
    electrode_mm=5.56,
)
NPT = SideView(
    recess_mm=1.0,
    target_mm=9.0,
    through=True,
    bottom_mm=12.0,
    bore_mm=8.6,
    lower_bore_mm=7.9,
    hole_mm=5.86,
    web_mm=4.1,
    electrode_mm=5.56,
)
SIZES = [(30, 9), (40, 9), (26, 14), (40, 18), (34, 20), (60, 30)]


def label_rows(view: SideView, width: int, height: int) -> dict[str, int]:
    lines = side_section(view, width, height).lines
    names = "surface|break|tip|target|limit|bottom|far side|tool end|at stop(?: \\d)?"
    found = ((re.search(rf"[─↓] ({names})(?= |$)", line), y) for y, line in enumerate(lines))
    return {name[1]: y for name, y in found if name}


def drawn(
    view: SideView, *inks: Ink, size: tuple[int, int] = (60, 30), plain: bool = False
) -> list[tuple[int, int]]:
    """The cells of some inks in the drawing itself, without the labels."""
    _, frame = fit(view, *size, ascii_only=plain)
    cells = side_section(view, *size, ascii_only=plain).cells()
    return [(x, y) for x, y, _, ink in cells if ink in inks and x < frame.width]


@pytest.mark.parametrize("size", [(30, 9), (30, 12), (40, 16), (60, 24)])
def test_every_level_has_a_row_of_its_own_with_its_figure(size: tuple[int, int]) -> None:
    rows = label_rows(BLIND, *size)
    assert len(rows) == len(set(rows.values())) == 7
    lines = side_section(BLIND, *size).lines
    figures = {"break": "3.00", "tip": "12.90", "target": "18.00", "limit": "21.50"}
    for name, figure in figures.items():
        assert lines[rows[name]].rstrip().endswith(figure)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("tip_mm", [None, 3.0, 9.0, 12.5])
def test_target_and_limit_are_labelled_on_their_own_rows(
    size: tuple[int, int], tip_mm: float | None
) -> None:
    view = TAP if tip_mm is None else replace(TAP, tip_mm=tip_mm, stops_mm=(), stop_mm=15.0)
    rows = label_rows(view, *size)
    lines = side_section(view, *size).lines
    assert "━━━" in lines[rows["target"]]
    assert "═══" in lines[rows["limit"]]


def test_the_tip_going_down_moves_no_other_label_until_it_gets_there() -> None:
    for size in SIZES:
        burning = replace(TAP, stops_mm=(), stop_mm=15.0)
        still = [label_rows(replace(burning, tip_mm=tip_mm), *size) for tip_mm in (4.0, 8.0, 11.0)]
        assert len({rows.pop("tip") for rows in still}) > 1
        assert still[0] == still[1] == still[2]


def test_the_scale_stands_still_while_a_leaning_burn_goes_down() -> None:
    scales = {
        fit(replace(NPT, offset_mm=1.0, lean=0.1, tip_mm=tip_mm), 40, 18)[1].per_mm
        for tip_mm in (0.0, 2.0, 5.0, 8.5)
    }
    assert len(scales) == 1


@pytest.mark.parametrize("size", [(40, 18), (34, 20), (60, 30)])
def test_the_ladder_of_stops_is_listed_in_order(size: tuple[int, int]) -> None:
    rows = label_rows(replace(TAP, stops_mm=(13.0, 16.0)), *size)
    assert rows["break"] < rows["at stop"] < rows["at stop 2"] < rows["target"]


def test_stops_to_come_lose_their_labels_first() -> None:
    long = replace(TAP, stops_mm=(12.0, 14.5, 15.9, 16.9))
    assert {"at stop", "bottom", "limit", "break"} <= label_rows(long, 40, 9).keys()
    assert not {"at stop 3", "at stop 4"} & label_rows(long, 40, 9).keys()
    assert {"at stop 2", "at stop 3", "at stop 4"} <= label_rows(long, 60, 30).keys()


def test_of_the_ladder_only_what_is_still_to_come_is_shown() -> None:
    later = replace(TAP, stops_mm=(12.0, 14.5, 15.9), stop_mm=14.5)
    lines = side_section(later, 40, 24).lines
    assert any("at stop" in line and "14.50" in line for line in lines)
    assert any("at stop 3" in line and "15.90" in line for line in lines)
    assert "at stop 2" not in label_rows(later, 40, 24)


def test_levels_on_one_row_both_stay_readable() -> None:
    view = replace(BLIND, target_mm=21.5, tip_mm=21.45, low_mm=None, high_mm=None)
    rows = label_rows(view, 30, 12)
    assert rows["tip"] < rows["target"] < rows["limit"] < rows["bottom"]


def test_the_tip_goes_down_as_the_burn_does() -> None:
    rows = [
        max(y for _, y in drawn(replace(BLIND, tip_mm=tip_mm), Ink.TIP, size=(40, 24)))
        for tip_mm in (0.0, 4.0, 8.0, 12.0, 16.0, 20.0)
    ]
    assert rows == sorted(set(rows))


@pytest.mark.parametrize("view", [BLIND, replace(TAP, tip_mm=12.9)])
def test_what_is_burnt_is_gone_and_what_is_under_the_tip_is_not(view: SideView) -> None:
    tool = drawn(view, Ink.TOOL, Ink.WEB, size=(40, 24))
    tips = [(x, y) for x, y in drawn(view, Ink.TIP, size=(40, 24)) if x < 12]
    tip_row = max(y for _, y in tips)
    left, right = min(x for x, _ in tips), max(x for x, _ in tips)
    assert all(y > tip_row for x, y in tool if left < x < right)
    assert any(y < tip_row for x, y in tool)  # the lands beside the burn still stand


def test_without_a_burn_the_tool_is_whole_and_there_is_no_electrode() -> None:
    view = replace(BLIND, tip_mm=None, low_mm=None, high_mm=None)
    inks = {ink for *_, ink in side_section(view, 40, 16).cells()}
    assert Ink.ELECTRODE not in inks
    assert Ink.TIP not in inks


@pytest.mark.parametrize("plain", [False, True])
def test_a_blind_hole_has_a_floor_and_a_through_hole_has_none(plain: bool) -> None:
    blind = replace(TAP, limit_mm=None, stops_mm=())
    through = replace(blind, through=True)
    for view, has_floor in ((blind, True), (through, False)):
        walls = [x for x, _ in drawn(view, Ink.THREAD, plain=plain)]
        bore = range(min(walls) + 1, max(walls))
        faces = drawn(view, Ink.PART, plain=plain)
        assert any(x in bore for x, _ in faces) == has_floor
    assert "far side" in "".join(side_section(through, 30, 16).lines)


@pytest.mark.parametrize("size", [(40, 18), (60, 30)])
def test_bore_hole_and_web_are_to_scale_in_both_directions(size: tuple[int, int]) -> None:
    view = replace(TAP, limit_mm=None, stops_mm=(), offset_mm=0.0)
    assert "to scale" in side_section(view, *size).lines[0]
    walls = drawn(view, Ink.THREAD, size=size)
    columns = max(x for x, _ in walls) - min(x for x, _ in walls)
    rows = max(y for _, y in walls) - min(y for _, y in walls)
    assert columns == pytest.approx(2 * rows * 8.376 / 22.0, abs=1.5)  # a cell is twice as high
    hole = [x for x, _ in drawn(view, Ink.BURNT, size=size)]  # its edges are inside, walls outside
    assert max(hole) - min(hole) + 1 == pytest.approx(columns * 5.86 / 8.376, abs=1.5)
    web = [x for x, _ in drawn(replace(view, offset_mm=None), Ink.WEB, size=size)]
    assert max(web) - min(web) + 1 == pytest.approx(columns * 4.0 / 8.376, abs=1.5)


def test_where_it_is_not_to_scale_across_it_says_how_much() -> None:
    for size in [(width, height) for width in range(30, 70, 3) for height in range(9, 40, 3)]:
        _, frame = fit(TAP, *size)
        ratio = frame.per_mm * 22.0 / (frame.y(22.0) - frame.y(0.0))
        note = re.search(r"to scale|width ×(\d+\.?\d*)", side_section(TAP, *size).lines[0])
        assert note
        assert ratio == pytest.approx(float(note[1] or 1), abs=0.051)


@pytest.mark.parametrize("offset_mm", [-1.1, -0.5, 0.4, 1.0])
@pytest.mark.parametrize("size", SIZES)
def test_the_drawn_offset_is_the_offset_to_half_a_cell(
    offset_mm: float, size: tuple[int, int]
) -> None:
    view = replace(TAP, web_mm=None, hole_mm=4.0, offset_mm=offset_mm)
    _, frame = fit(view, *size)
    hole = [x for x, _ in drawn(view, Ink.BURNT, size=size)]
    walls = [x for x, _ in drawn(view, Ink.THREAD, size=size)]
    shift = (min(hole) + max(hole) - min(walls) - max(walls)) / 2
    assert shift == pytest.approx(offset_mm * frame.per_mm, abs=0.5)


@pytest.mark.parametrize("view", [TAP, NPT, replace(TAP, tip_mm=12.9)])
@pytest.mark.parametrize("size", SIZES)
def test_a_mirrored_offset_gives_a_mirrored_drawing(view: SideView, size: tuple[int, int]) -> None:
    inks = (Ink.BURNT, Ink.HARM, Ink.ELECTRODE)
    one, other = (replace(view, offset_mm=mm, lean=mm / 20) for mm in (1.43, -1.43))
    walls = [x for x, _ in drawn(view, Ink.THREAD, size=size)]
    _, frame = fit(one, *size)
    mirrored = [(frame.width - 1 - x, y) for x, y in drawn(one, *inks, size=size)]
    assert walls
    assert sorted(mirrored) == sorted(
        cell for cell in drawn(other, *inks, size=size) if cell[0] < frame.width
    )


@pytest.mark.parametrize("plain", [False, True])
@pytest.mark.parametrize("tip_mm", [None, 12.9])
@pytest.mark.parametrize("off", [0.0, 0.7, 1.257, 1.259, 1.5, 3.0])
@pytest.mark.parametrize("size", SIZES)
def test_the_wall_is_marked_exactly_when_the_burn_meets_it(
    off: float, tip_mm: float | None, plain: bool, size: tuple[int, int]
) -> None:
    view = replace(TAP, web_mm=None, tip_mm=tip_mm, offset_mm=off)
    worst = view.worst_wall()
    assert worst
    assert (worst.left_mm < 0) == (off > (8.376 - 5.86) / 2)
    assert bool(drawn(view, Ink.HARM, size=size, plain=plain)) == (worst.left_mm < 0)


@pytest.mark.parametrize("off", [0.0, 0.8, 0.929, 0.931, 1.2])
def test_web_is_marked_exactly_when_some_is_left(off: float) -> None:
    view = replace(TAP, offset_mm=-off)
    harm = drawn(view, Ink.HARM)
    assert bool(harm) == (off > (5.86 - 4.0) / 2)
    assert all(x > fit(view, 60, 30)[1].axis for x, _ in harm)  # on the far side


def test_a_lean_meets_the_wall_lower_down_and_a_taper_sooner() -> None:
    straight = replace(NPT, web_mm=None, offset_mm=0.6)
    assert not drawn(straight, Ink.HARM)
    leaning = replace(straight, lean=0.05)
    rows = [y for _, y in drawn(leaning, Ink.HARM)]
    _, frame = fit(leaning, 60, 30)
    assert min(rows) > frame.row(NPT.recess_mm)
    assert not drawn(replace(leaning, lower_bore_mm=None), Ink.HARM)


def test_before_a_burn_web_and_lands_can_be_told_apart() -> None:
    web = drawn(TAP, Ink.WEB)
    lands = drawn(TAP, Ink.TOOL)
    assert max(x for x, _ in web) < max(x for x, _ in lands)
    assert min(x for x, _ in web) > min(x for x, _ in lands)
    assert not drawn(replace(TAP, web_mm=None), Ink.WEB)


def test_a_tool_that_ends_lower_than_the_target_is_drawn_to_its_end() -> None:
    longer = replace(TAP, target_mm=14.0, tool_end_mm=18.0, stops_mm=())
    assert max(y for _, y in drawn(longer, Ink.WEB)) > label_rows(longer, 60, 30)["target"]
    assert "tool end" in label_rows(longer, 60, 30)
    assert "tool end" not in label_rows(TAP, 60, 30)


def test_inches_are_inches() -> None:
    lines = side_section(replace(BLIND, unit=LengthUnit.INCH), 40, 16).lines
    assert lines[0].rstrip().endswith("in")
    assert any("target" in line and "0.7087" in line for line in lines)  # 18 / 25.4


@pytest.mark.parametrize("plain", [False, True])
@pytest.mark.parametrize("view", [BLIND, TAP, NPT])
def test_labels_are_whole_and_figures_have_a_unit_at_any_size(view: SideView, plain: bool) -> None:
    names = {level.name for level in view.levels}
    figures = {level.figure for level in view.levels}
    for width, height in [(w, h) for w in range(0, 64, 3) for h in range(0, 24, 2)]:
        lines = side_section(view, width, height, ascii_only=plain).lines
        assert [len(line) for line in lines] == [width] * height
        labels, frame = fit(view, width, height, ascii_only=plain) if height > 1 else (None, None)
        if not labels or not frame or not labels.levels:
            assert not re.search(r"\d", "".join(lines[1:]))
            continue
        texts = [line[frame.width + 3 :].strip() for line in lines[1:]]
        for text in texts:
            name, _, figure = text.rpartition(" ") if "." in text else (text, "", "")
            assert name.strip() in names | {""}
            assert figure in figures | {""}
        if re.search(r"\d\.\d\d", "".join(texts)):
            assert lines[0].rstrip().endswith(" mm")


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
        stops_mm=st.lists(depths, max_size=4).map(tuple),
        tool_end_mm=maybe,
        bore_mm=st.none() | st.floats(0.2, 30),
        hole_mm=st.none() | st.floats(0.2, 30),
        web_mm=st.none() | st.floats(0.1, 20),
        electrode_mm=st.none() | st.floats(0.2, 30),
        lower_bore_mm=st.none() | st.floats(0.2, 30),
        offset_mm=st.none() | st.floats(-40, 40),
        lean=st.floats(-0.5, 0.5),
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


# What it looks like, for a person to judge; line ends are stripped.

PLAN_40 = """\
                   width ×2.2 mm
⠤⠤⢤          ⡤──── surface  0.00
░░⢸⠠⢰⢐⢔⢔⢔⢔⠤⡦⠠⡇──── break    3.00
░░⢸⠡⢹⢑⢕⢕⢕⢕⠥⡧⠡⡇░░
░░⢸⠡⢹⢑⢕⢕⢕⢕⠥⡧⠡⡇░░
░░⢸┄┄┄┄┄┄┄┄┄┄⡇┄┄── at stop 15.00
░░⢸━━━━━━━━━━⡇━━── target  18.00
░░⠸══════════⠇══┬─ limit   21.50
░░░░░░░░░░░░░░░░╰─ bottom  22.00
"""

PLAN_30 = """\
                 width ×2.2 mm
⠤⢤          ⡤─── surface  0.00
░⢸⠠⢰⢐⢔⢔⢔⢔⠤⡦⠠⡇─── break    3.00
░⢸⠡⢹⢑⢕⢕⢕⢕⠥⡧⠡⡇░
░⢸⠡⢹⢑⢕⢕⢕⢕⠥⡧⠡⡇░
░⢸┄┄┄┄┄┄┄┄┄┄⡇┄── at stop 15.00
░⢸━━━━━━━━━━⡇━── target  18.00
░⠸══════════⠇═┬─ limit   21.50
░░░░░░░░░░░░░░╰─ bottom  22.00
"""

BURNING_40 = """\
    ▐█▌  ▐█▌       to scale     mm
    ▐█▌  ▐█▌
⠤⠤⢤ ▐█▌  ▐█▌ ⡤──── surface    0.00
░░⢸ ▐█▌  ▐█▌ ⡇░░
░░⢸⠠▐█▌  ▐█⡧⠠⡇──── break      3.00
░░⢸⠡⢹█▌  ▐█⡧⠡⡇░░
░░⢸⠡⢹█▌  ▐█⡧⠡⡇░░
░░⢸⠡⢹█▌  ▐█⡧⠡⡇░░
░░⢸⠡⢹█▌  ▐█⡧⠡⡇░░
░░⢸⠡⢹█▌  ▐█⡧⠡⡇░░
░░⢸⠡⠙▀▀▀▀▀▀⠣⠡⡇──── tip       12.90
░░⢸┄┄┄┄┄┄┄┄┄┄⡇┄┄── at stop   15.00
░░⢸⠡⠡⢑⢕⢕⢕⢕⠥⠡⠡⡇┈┈── at stop 2 17.00
░░⢸━━━━━━━━━━⡇━━── target    18.00
░░⢸          ⡇░░
░░⠸══════════⠇══┬─ limit     21.50
░░░░░░░░░░░░░░░░╰─ bottom    22.00
░░░░░░░░░░░░░░░░
"""

OFF_CENTRE_30_ASCII = """\
                 width x2.2 mm
-|          |--- surface  0.00
.|:::!     *!--- break    3.00
.|:::*     *|.
.|:::*     *|.
.|~~~~~~~~~~|~-- at stop 15.00
.|----------|--- target  18.00
.|==========|=+- limit   21.50
..............+- bottom  22.00
"""


@pytest.mark.parametrize(
    ("view", "size", "plain", "expected"),
    [
        (TAP, (40, 9), False, PLAN_40),
        (TAP, (30, 9), False, PLAN_30),
        (replace(TAP, tip_mm=12.9, high_mm=14.4), (40, 18), False, BURNING_40),
        (replace(TAP, offset_mm=1.5), (30, 9), True, OFF_CENTRE_30_ASCII),
    ],
)
def test_it_looks_as_it_did_when_somebody_last_looked(
    view: SideView, size: tuple[int, int], plain: bool, expected: str
) -> None:
    lines = side_section(view, *size, ascii_only=plain).lines
    assert [line.rstrip() for line in lines] == expected.splitlines()
