import math
import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cockpit.units import LengthUnit
from cockpit.widgets.cross_layout import best_layout
from cockpit.widgets.cross_legend import legend
from cockpit.widgets.cross_section import CrossView, cross_section
from cockpit.widgets.picture import Ink

TAP = CrossView(
    minor_mm=8.376,
    nominal_mm=10.0,
    web_mm=4.0,
    hole_mm=5.86,
    electrode_mm=5.56,
    allowed_offset_mm=0.66,
    flutes=3,
    required_mm=0.6,
)
ROUND = replace(TAP, web_mm=None, flutes=None, hole_mm=3.0)
SIZES = [(0, 0), (1, 1), (7, 3), (20, 6), (26, 14), (30, 9), (40, 9), (40, 18), (60, 30), (120, 40)]

Cells = list[tuple[int, int, str, Ink]]


def picture(view: CrossView, size: tuple[int, int] = (60, 30), *, plain: bool = False) -> Cells:
    """The cells of the picture itself, without the legend."""
    entries = legend(view, ascii_only=plain)
    layout = best_layout(*size, entries, LengthUnit.MM)
    cells = cross_section(view, *size, ascii_only=plain).cells()
    return [cell for cell in cells if cell[0] < layout.columns and cell[1] < layout.rows]


def places(
    view: CrossView, *inks: Ink, size: tuple[int, int] = (60, 30), plain: bool = False
) -> list[tuple[int, int]]:
    return [(x, y) for x, y, _, ink in picture(view, size, plain=plain) if ink in inks]


def beside(view: CrossView, size: tuple[int, int], unit: LengthUnit, *, plain: bool) -> str:
    """The legend alone."""
    layout = best_layout(*size, legend(view, ascii_only=plain), unit)
    lines = cross_section(view, *size, unit=unit, ascii_only=plain).lines
    return "\n".join(
        line[layout.columns :] if row < layout.rows else line for row, line in enumerate(lines)
    )


def words(view: CrossView, size: tuple[int, int] = (60, 30), *, plain: bool = False) -> str:
    return "\n".join(cross_section(view, *size, ascii_only=plain).lines)


def centre(cells: list[tuple[int, int]]) -> tuple[float, float]:
    xs, ys = [x for x, _ in cells], [y for _, y in cells]
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2


@pytest.mark.parametrize(("across", "along"), [(1, 0), (-1, 0), (0, 1), (0, -1), (0.8, 0.8)])
@pytest.mark.parametrize("size", [(40, 18), (60, 30), (120, 40)])
def test_the_drawn_offset_is_the_offset_to_half_a_cell(
    across: float, along: float, size: tuple[int, int]
) -> None:
    view = replace(ROUND, offset=(across, along))
    rim = places(view, Ink.PART, size=size)
    columns_a_mm = (max(x for x, _ in rim) - min(x for x, _ in rim)) / view.nominal_mm
    x, y = centre(places(view, Ink.BURNT, size=size))
    hole_x, hole_y = centre(rim)
    assert x - hole_x == pytest.approx(across * columns_a_mm, abs=0.5)
    assert hole_y - y == pytest.approx(along * columns_a_mm / 2, abs=0.5)


@pytest.mark.parametrize("offset", [(0.3, -0.4), (1.5, 0.2), (-0.9, 1.2)])
@pytest.mark.parametrize("size", [(40, 18), (60, 30)])
def test_a_mirrored_offset_gives_a_mirrored_picture(
    offset: tuple[float, float], size: tuple[int, int]
) -> None:
    view = replace(TAP, flutes=None, required_mm=0.0, offset=offset)
    inks = (Ink.BURNT, Ink.CENTRE, Ink.HARM, Ink.MOVE)
    cells = places(view, *inks, size=size)
    middle = sum(centre(places(view, Ink.PART, size=size))[:1])
    mirrored = places(replace(view, offset=(-offset[0], offset[1])), *inks, size=size)
    assert sorted((round(2 * middle - x), y) for x, y in cells) == sorted(mirrored)


@pytest.mark.parametrize(
    ("offset", "arrow"), [((1, 0), "←"), ((-1, 0), "→"), ((0, 1), "↓"), ((0, -1), "↑")]
)
def test_arrows_point_back_to_the_middle(offset: tuple[float, float], arrow: str) -> None:
    view = replace(ROUND, allowed_offset_mm=0.3, offset=offset)
    cells = picture(view)
    rim = [(x, y) for x, y, _, ink in cells if ink is Ink.PART]
    arrows = [(x, y) for x, y, mark, ink in cells if mark == arrow and ink is Ink.MOVE]
    outer, inner = sorted(arrows, key=lambda at: -math.dist(at, centre(rim)))
    across, along = offset
    assert outer[0] * across > max(x * across for x, _ in rim) or not across
    assert -outer[1] * along > max(-y * along for _, y in rim) or not along
    assert math.dist(inner, centre(rim)) <= 1.5  # at the hole's axis
    assert not any(mark in "←→↑↓" and mark != arrow for *_, mark, ink in cells if ink is Ink.MOVE)


def test_off_and_move_are_opposite_in_the_legend() -> None:
    text = words(replace(TAP, offset=(1.5, -0.2)))
    for line in ("→ off right    1.50 mm", "↓ off towards  0.20 mm"):
        assert line in text
    for line in ("← MOVE left    1.50 mm", "↑ MOVE away    0.20 mm"):
        assert line in text


def test_a_burn_that_may_stay_is_not_told_to_move() -> None:
    near = replace(TAP, offset=(0.3, -0.4))
    assert "near enough" in words(near)
    assert "MOVE" not in words(near)
    assert not places(near, Ink.MOVE)
    assert "on centre" in words(replace(TAP, offset=(0.0, 0.0)))


def test_the_spot_before_shows_where_it_was() -> None:
    further = replace(TAP, offset=(1.5, 0.2), before=(-0.8, -1.0))
    assert "○ spot before" in words(further)
    ((x, y),) = places(further, Ink.BEFORE)
    hole_x, hole_y = centre(places(further, Ink.PART))
    assert x < hole_x
    assert y > hole_y


@pytest.mark.parametrize("size", [(30, 12), (40, 16), (60, 24), (120, 40)])
@pytest.mark.parametrize("ascii_only", [False, True])
def test_every_size_shows_thread_web_burn_and_fits(size: tuple[int, int], ascii_only: bool) -> None:
    picture = cross_section(TAP, *size, ascii_only=ascii_only)
    assert [len(line) for line in picture.lines] == [size[0]] * size[1]
    assert {Ink.THREAD, Ink.WEB, Ink.BURNT, Ink.TOOL} <= {ink for *_, ink in picture.cells()}
    assert "".join(picture.lines).isascii() == ascii_only


def test_web_left_standing_is_on_the_far_side_of_the_burn() -> None:
    view = replace(TAP, nominal_mm=20.0, minor_mm=18.0, offset=(1.5, 0.0))
    hole_x, _ = centre(places(view, Ink.PART))
    sliver = places(view, Ink.HARM)
    assert len(sliver) >= 8
    assert all(x < hole_x for x, _ in sliver)


@pytest.mark.parametrize("plain", [False, True])
@pytest.mark.parametrize("size", [(30, 9), (40, 9), (40, 18), (60, 30)])
@pytest.mark.parametrize("off", [0.0, 0.6, 1.2, 1.257, 1.259, 1.3, 2.0, 4.0])
def test_thread_is_marked_exactly_when_it_is_touched(
    off: float, size: tuple[int, int], plain: bool
) -> None:
    view = replace(TAP, web_mm=None, flutes=None, offset=(off * 0.6, off * 0.8))
    assert view.touches_thread == (off > (8.376 - 5.86) / 2)
    assert bool(places(view, Ink.HARM, size=size, plain=plain)) == view.touches_thread


@pytest.mark.parametrize("off", [0.0, 0.9, 0.929, 0.931, 1.0, 1.2])
def test_web_is_marked_exactly_when_some_is_left(off: float) -> None:
    view = replace(TAP, nominal_mm=20.0, minor_mm=18.0, offset=(-off, 0.0))
    assert view.leaves_web == (off > (5.86 - 4.0) / 2)
    assert bool(places(view, Ink.HARM)) == view.leaves_web


def test_figures_that_are_handed_in_are_believed() -> None:
    leaning = replace(TAP, offset=(0.3, 0.0), thread_left_mm=-0.11, web_left_mm=0.07)
    assert "into thread  0.11 mm" in words(leaning)
    assert "web margin   0.07 mm" in words(leaning)
    assert places(leaning, Ink.HARM)
    assert "thread clear 0.96 mm" in words(replace(TAP, offset=(0.3, 0.0)))


def test_a_taper_is_judged_by_its_narrow_end_which_is_drawn() -> None:
    pipe = replace(TAP, web_mm=None, flutes=None, minor_mm=8.6, lower_minor_mm=7.9)
    beside = replace(pipe, offset=(1.1, 0.0))
    assert beside.touches_thread
    assert not replace(beside, lower_minor_mm=None).touches_thread
    assert "thread below 7.90 mm" in words(pipe)
    wall = len(places(replace(pipe, lower_minor_mm=None), Ink.THREAD))
    assert len(places(pipe, Ink.THREAD)) > wall


def test_the_ring_to_keep_within_is_drawn_only_where_it_is_clear() -> None:
    assert places(TAP, Ink.KEEP, size=(60, 30))
    assert not places(TAP, Ink.KEEP, size=(30, 9))
    assert not places(replace(TAP, required_mm=0.0), Ink.KEEP)


def test_harm_is_named_in_words_and_a_good_burn_is_not_blamed() -> None:
    assert "into thread" in words(replace(TAP, offset=(0.0, 1.8)))
    assert "leaves web" in words(replace(TAP, offset=(0.0, 1.0)))
    good = words(replace(TAP, offset=(0.3, 0.2)))
    assert not any(blame in good for blame in ("into", "leaves", "too far"))
    # Between: neither yet, but further than the electrode's window allows.
    assert "too far off" in words(replace(TAP, web_mm=1.0, offset=(0.9, 0.0)))


def test_a_plain_bore_is_not_called_a_thread() -> None:
    pin = CrossView(8.0, 8.0, None, 6.6, 6.3, 0.2, (0.0, 0.9), required_mm=0.48, wall="bore")
    # Measured to be narrower than its name, it is a bore all the same.
    for view in (pin, replace(pin, minor_mm=7.9)):
        assert "into bore" in words(view)
        assert "thread" not in words(view)


def test_the_legend_is_in_the_operators_unit() -> None:
    text = "\n".join(cross_section(TAP, 60, 24, unit=LengthUnit.INCH).lines)
    assert "0.2307 in" in text  # 5.86 mm / 25.4
    assert "mm" not in text


def test_the_web_is_drawn_to_scale() -> None:
    # A dot of a cell more or less on each: a cell in all.
    thread, web = (places(TAP, ink, size=(120, 40)) for ink in (Ink.THREAD, Ink.WEB))
    high = [max(y for _, y in cells) - min(y for _, y in cells) + 1 for cells in (thread, web)]
    assert high[1] == pytest.approx(high[0] * 4.0 / 8.376, abs=1)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("plain", [False, True])
@pytest.mark.parametrize("unit", LengthUnit)
@pytest.mark.parametrize("offset", [None, (0.0, 0.0), (1.5, 0.2)])
def test_words_are_whole_and_figures_have_a_unit(
    size: tuple[int, int], plain: bool, unit: LengthUnit, offset: tuple[float, float] | None
) -> None:
    view = replace(TAP, offset=offset)
    lines = cross_section(view, *size, unit=unit, ascii_only=plain).lines
    assert [len(line) for line in lines] == [size[0]] * size[1]
    text = beside(view, size, unit, plain=plain)
    known = " ".join(f"{entry.word} {entry.short}" for entry in legend(view)).split()
    assert set(re.findall(r"[A-Za-z]{3,}!?", text)) <= set(known)
    if re.search(r"\d", text):
        assert re.search(rf"\b{unit}\b", text)
    for figure in re.findall(r"[\d.]*\d[\d.]*", text):
        assert re.fullmatch(r"\d+\.\d{2}" if unit is LengthUnit.MM else r"\d+\.\d{4}", figure)


@pytest.mark.parametrize("size", [(30, 9), (40, 9), (26, 14), (40, 18)])
@pytest.mark.parametrize("plain", [False, True])
def test_what_has_to_be_done_is_said_at_every_useful_size(
    size: tuple[int, int], plain: bool
) -> None:
    text = words(replace(TAP, offset=(1.5, 0.2)), size, plain=plain)
    left, towards = ("<", "v") if plain else ("←", "↓")
    assert re.search(rf"{left} MOVE( left)? +1\.50", text)
    assert re.search(rf"{towards} MOVE( towards)? +0\.20", text)
    assert "too far" in text


lengths = st.floats(0.2, 30)


@given(
    st.builds(
        CrossView,
        minor_mm=lengths,
        nominal_mm=lengths,
        web_mm=st.none() | lengths,
        hole_mm=lengths,
        electrode_mm=lengths,
        allowed_offset_mm=st.floats(-5, 5),
        offset=st.none() | st.tuples(st.floats(-40, 40), st.floats(-40, 40)),
        flutes=st.none() | st.integers(0, 6),
        lower_minor_mm=st.none() | lengths,
        required_mm=st.floats(0, 5),
        thread_left_mm=st.none() | st.floats(-5, 5),
        web_left_mm=st.none() | st.floats(-5, 5),
        before=st.none() | st.tuples(st.floats(-40, 40), st.floats(-40, 40)),
    ),
    st.integers(0, 40),
    st.integers(0, 14),
    st.booleans(),
)
def test_any_view_can_be_drawn_at_any_size(
    view: CrossView, width: int, height: int, plain: bool
) -> None:
    lines = cross_section(view, width, height, ascii_only=plain).lines
    assert [len(line) for line in lines] == [width] * height
    assert not plain or "".join(lines).isascii()


# What it looks like, for a person to judge; line ends are stripped.

PLAN_40 = """\
    ⢀⡠⢤⣤⣤⣤⡤⢄⡀
  ⢀⣼⣼⠾⠻⠩⠩⠉⠛⠳⣧⣧⡀   ⠂ off at most  0.66 mm
 ⡬⣽⠯⢡⡥⠷⠫⠩⠙⠲⢤⡀⠹⣯⢥  ⠶ thread       8.38 mm
⢸⣼⠇⢁⡿⢡⢕⠕⣕⢕⢔⠠⢳⡡⠹⣧⡇ ⢕ web          4.00 mm
⢸⣿ ⢸ ⢑⢕⢎ ⡱⢕⠥⠡⡧⠡⣿⡇ ⠒ burn         5.86 mm
⢸⢻⡆⠨⢧⠡⠕⢕⢝⢔⠕⠡⡽⠡⢱⡟⡇   thread needs 0.60 mm
 ⢓⣻⣧⠩⠳⠧⣥⣡⣡⠴⠚⠁⣱⣟⡚    electrode    5.56 mm
  ⠈⢻⢻⢧⣥⣡⣡⣀⣤⡴⡟⡟⠁
    ⠈⠑⠚⠛⠛⠛⠓⠊⠁
"""

PLAN_30 = """\

  ⢀⣠⣲⡿⠿⠿⠿⢿⣖⣄⡀               mm
 ⡠⣷⠿⢡⡥⠵⠳⠢⢤⡈⠻⣾⢄  ⠂ off max 0.66
⢰⣿⠃⢱⠫⢁⢕⠕⢕⢤⠹⡦⠹⣿⡆ ⠶ thread  8.38
⢸⣿ ⡇⠐⢕⠱⣉⢆⢕⠥⢹⠡⣿⡇ ⢕ web     4.00
⠸⣿⡤⠸⣤⠱⠕⢔⠕⠁⣡⠧⢡⣿⠇ ⠒ burn    5.86
 ⠑⡿⣧⡩⠳⠣⠥⠔⠚⢁⣴⢿⠊    needs   0.60
  ⠈⠙⠽⣷⣷⣷⣶⣾⠯⠋⠁

"""

TOO_FAR_40 = """\


                                      mm
         ⣀⣀⣀⣀⣀⣀⣀          █ too far
     ⢀⠠⢒⣩⣤⡶⠶⠶⠶⢶⣤⣍⡒⠄⡀      ← MOVE    1.50
    ⠔⣡⡶⠟⣩⠄⠒ ⠉⣀⣲⠤⣭⣻⣶⣌⠢     ↓ MOVE    0.20
  ⢀⠎⣴⠟⡐⠃⠠⠠⢡⠕⠋    ⠘⢋⠻⣦⠱⡀   █ thread! 0.26
  ⡎⣸⡏⡘⠡⠡⠡⣡⠏       ⠈⢃⢹⣇⢱   █ unburnt 0.58
  ⡇⣿⢀⠁  ⢹█ ⡴←⣦⣀⣰⡀  ⠈⡀█⢸←  → off     1.50
  ⡇⣿⠈⡀  ▐█ ⠳⠤⠞ ⠈   ⢀⠁█⢸   ↑ off     0.20
  ⢇⢹⣇⢡⡀⠠⠡⠹○⡀      ⢀⡌⣼⡏⡸   ○ before  1.28
  ⠈⢆⠻⣦⠡⡄⠡⠡⠡⠩⠲⠤⣀⣀⣀⣤⠜⣿⠟⡰⠁   ⠂ off max 0.66
    ⠢⡙⠷⣦⣙⠂⠤⠁⣁ ⠤⠐⣋⣴⠾⢋⠔     ⠶ thread  8.38
     ⠈⠐⠬⣙⠛⠷⠶⠶⠶⠾⠛⣋⠥⠂⠁      ⢕ web     4.00
         ⠉⠉⠉⠉⠉⠉⠉          ⠒ burn    5.86
                          ⠤ needs   0.60


"""

TOO_FAR_30_ASCII = """\
                            mm
     . . .      ! too far
   .ooo****.    < MOVE    1.50
  .o::**   **   v MOVE    0.20
  o  !*<++  !<  ! thread! 0.26
  .o::******.   ! unburnt 0.58
   .ooooooo.    > off     1.50
     . . .      ^ off     0.20
                a off max 0.66
"""


@pytest.mark.parametrize(
    ("offset", "before", "size", "plain", "expected"),
    [
        (None, None, (40, 9), False, PLAN_40),
        (None, None, (30, 9), False, PLAN_30),
        ((1.5, 0.2), (-0.8, -1.0), (40, 18), False, TOO_FAR_40),
        ((1.5, 0.2), None, (30, 9), True, TOO_FAR_30_ASCII),
    ],
)
def test_it_looks_as_it_did_when_somebody_last_looked(
    offset: tuple[float, float] | None,
    before: tuple[float, float] | None,
    size: tuple[int, int],
    plain: bool,
    expected: str,
) -> None:
    text = words(replace(TAP, offset=offset, before=before), size, plain=plain)
    assert [line.rstrip() for line in text.splitlines()] == expected.splitlines()
