import math
from functools import partial
from itertools import pairwise

import pytest

from cockpit.widgets.canvas import Canvas
from cockpit.widgets.dots import checkered, sparse
from cockpit.widgets.picture import Ink, Sheet


def drawn(canvas: Canvas) -> list[tuple[int, int, str, Ink]]:
    sheet = Sheet(canvas.width, canvas.height)
    canvas.stamp(sheet, {Ink.WEB: "#", Ink.THREAD: "o"})
    return list(sheet.picture().cells())


def dots(cells: list[tuple[int, int, str, Ink]]) -> int:
    return sum((ord(character) - 0x2800).bit_count() for _, _, character, _ in cells)


@pytest.mark.parametrize("radius", [3, 5, 9, 12, 20])
def test_a_circle_is_twice_as_many_columns_wide_as_rows_high(radius: int) -> None:
    canvas = Canvas(60, 30)
    canvas.circle(30, 30, radius, Ink.THREAD)
    cells = drawn(canvas)
    columns = {x for x, *_ in cells}
    rows = {y for _, y, *_ in cells}
    wide, high = max(columns) - min(columns) + 1, 2 * (max(rows) - min(rows) + 1)
    assert abs(wide - 2 * radius) <= 2
    assert abs(high - wide) <= 2


@pytest.mark.parametrize("ascii_only", [False, True])
@pytest.mark.parametrize("dash", [0.0, 0.5, 1.0])
def test_a_circle_is_the_same_in_all_four_quarters(ascii_only: bool, dash: float) -> None:
    canvas = Canvas(40, 20, ascii_only=ascii_only)
    canvas.circle(20, 20, 15.3, Ink.THREAD, dash=dash)
    places = {(x, y) for x, y, *_ in drawn(canvas)}
    assert places == {(39 - x, y) for x, y in places} == {(x, 19 - y) for x, y in places}


def test_textures_differ_in_density() -> None:
    counts = []
    for texture in (sparse, checkered):
        canvas = Canvas(10, 5)
        canvas.fill(canvas.rectangle(0, 0, 10, 10), Ink.WEB, texture)
        counts.append(dots(drawn(canvas)))
    assert counts == [100, 200]  # of 10 × 5 cells with 8 dots each


def test_a_ring_has_the_area_of_a_ring() -> None:
    canvas = Canvas(20, 10)
    canvas.fill(canvas.disc(10, 10, 8) - canvas.disc(10, 10, 4), Ink.WEB)
    assert dots(drawn(canvas)) == pytest.approx(math.pi * (8**2 - 4**2) * 4, rel=0.05)


def test_what_lies_off_the_canvas_is_left_out() -> None:
    canvas = Canvas(6, 3)
    canvas.fill(canvas.disc(0, 0, 1000), Ink.WEB)
    canvas.circle(6, 6, 4, Ink.THREAD)
    assert {(x, y) for x, y, *_ in drawn(canvas)} == {(x, y) for x in range(6) for y in range(3)}


def test_the_last_ink_lies_on_top_and_clearing_leaves_nothing() -> None:
    canvas = Canvas(4, 2, ascii_only=True)
    canvas.fill(canvas.rectangle(0, 0, 4, 4), Ink.WEB)
    canvas.line(0.5, 1, 3.5, 1, Ink.THREAD)
    assert {character for _, y, character, _ in drawn(canvas) if y == 0} == {"o"}
    canvas.clear(canvas.rectangle(0, 0, 4, 4))
    assert drawn(canvas) == []


@pytest.mark.parametrize("half", [0.3, 0.74, 2.0, 3.3, 4.25])
def test_a_band_is_alike_on_both_sides_of_its_middle(half: float) -> None:
    canvas = Canvas(11, 4)
    band = canvas.band(0, 8, lambda y: (5.5 - half - y / 9, 5.5 + half + y / 9))
    assert set(band) == {(21 - column, row) for column, row in band}
    assert len({row for _, row in band}) == 16


def test_a_wider_band_holds_a_narrower_one() -> None:
    canvas = Canvas(20, 4)
    halves = [0.2, 0.7, 1.0, 1.6, 2.25, 5.0, 9.9]
    bands = [canvas.band(0, 8, partial(around, half)) for half in halves]
    assert all(set(narrow) <= set(wide) for narrow, wide in pairwise(bands))


def around(half: float, _y: float) -> tuple[float, float]:
    return 10 - half, 10 + half


def test_a_level_is_one_dot_thick_and_a_spot_is_never_nothing() -> None:
    canvas = Canvas(5, 3)
    for y in (0.0, 1.0, 2.25, 5.9):
        assert len({row for _, row in canvas.level(y)}) == 1
        assert canvas.spot(2.3, y)


def test_solid_shapes_can_be_drawn_in_blocks_where_they_fill_quarters() -> None:
    canvas = Canvas(3, 2)
    canvas.fill(canvas.rectangle(0, 0, 1.5, 3), Ink.HARM)
    canvas.fill(canvas.rectangle(2, 0, 3, 0.5), Ink.HARM)
    sheet = Sheet(3, 2)
    canvas.stamp(sheet, {}, blocks={Ink.HARM})
    assert sheet.picture().lines == ["█▌⠉", "▀▘ "]
