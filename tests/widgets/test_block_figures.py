import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cockpit.widgets.block_figures import (
    block_figures,
    block_words,
    figures_width,
    tallest_rows,
)

FIGURES = "0123456789.:-–± "
LETTERS = string.ascii_uppercase
texts = st.text(alphabet=FIGURES + LETTERS, max_size=8)


@pytest.mark.parametrize("ascii_only", [False, True])
@pytest.mark.parametrize("rows", range(3, 24))
def test_every_figure_looks_like_itself_alone(rows: int, ascii_only: bool) -> None:
    for alphabet in (FIGURES, LETTERS):
        drawn = {tuple(block_figures(one, rows, ascii_only=ascii_only)) for one in alphabet}
        assert len(drawn) == len(alphabet)


@given(texts, st.integers(0, 30), st.booleans())
def test_lines_are_as_many_and_as_wide_as_said(text: str, rows: int, ascii_only: bool) -> None:
    lines = block_figures(text, rows, ascii_only=ascii_only)
    assert len(lines) == rows
    assert {len(line) for line in lines} <= {figures_width(text, rows, ascii_only=ascii_only)}


@pytest.mark.parametrize("rows", [3, 5, 7, 10, 14])
def test_digits_use_the_whole_height_and_are_equally_wide(rows: int) -> None:
    for digit in "0123456789":
        lines = block_figures(digit, rows)
        assert lines[0].strip()
        assert lines[-1].strip()
        assert len(lines[0]) == len(block_figures("0", rows)[0])


@given(texts, st.integers(3, 20))
def test_ascii_figures_are_ascii(text: str, rows: int) -> None:
    assert "".join(block_figures(text, rows, ascii_only=True)).isascii()


@given(texts, st.integers(0, 120), st.integers(0, 40), st.booleans())
def test_the_tallest_fits_and_one_row_more_does_not(
    text: str, width: int, height: int, ascii_only: bool
) -> None:
    rows = tallest_rows(text, width, height, ascii_only=ascii_only)
    assert rows <= height
    if rows >= 3:
        assert figures_width(text, rows, ascii_only=ascii_only) <= width
    if 3 <= rows < height:
        assert figures_width(text, rows + 1, ascii_only=ascii_only) > width


def test_other_characters_are_refused() -> None:
    with pytest.raises(ValueError, match="no large figure for 'x'"):
        block_figures("3x", 5)


@given(
    st.text(alphabet=FIGURES + LETTERS + "abcdef,", max_size=30),
    st.integers(1, 90),
    st.integers(0, 20),
    st.booleans(),
)
def test_words_never_take_more_room_than_there_is(
    text: str, width: int, height: int, ascii_only: bool
) -> None:
    lines = block_words(text, width, height, ascii_only=ascii_only)
    assert len(lines) <= height
    assert all(len(line) <= width for line in lines)


def test_words_are_large_over_as_many_lines_as_it_takes() -> None:
    assert len(block_words("Zero on the reference face", 72, 12)) > 6
    assert len(block_words("Eyes, hearing, air", 72, 12)) > 3
    assert block_words("Eyes & ears", 72, 12) == ["Eyes & ears"]
