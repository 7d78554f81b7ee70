"""What is kept of a text, and how it is shown: any text at all."""

from __future__ import annotations

import csv
import io
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cockpit.text import MOST_MARKS, cell, mended, one_line, page, printable, visible
from tests.hostile import ATTACKS, unseemly

#: Any character at all, and more often those that are up to something.
ANY = st.text(
    st.characters()
    | st.characters(categories=["Cc", "Cf", "Cs", "Zl", "Zp", "Mn"])
    | st.sampled_from("=+-@;\"'\t\r\n \x1b\x9b\u200d\u0301"),
    max_size=60,
)
SIGNS = ("=", "+", "-", "@", "\t", "\r", "\n")


@given(ANY)
def test_no_text_brings_anything_along(text: str) -> None:
    for shown in (one_line(text), visible(text), printable(text)):
        assert unseemly(shown) == []
    assert unseemly(page(text).replace("\n", "")) == []


@given(ANY)
def test_what_is_mended_needs_no_mending(text: str) -> None:
    for shown in (one_line, visible, printable, page):
        assert shown(shown(text)) == shown(text)


@given(ANY)
def test_what_is_kept_is_trimmed_and_on_one_line(text: str) -> None:
    kept = one_line(text)
    assert kept == kept.strip()
    assert len(kept.splitlines()) <= 1
    assert "  " not in kept


@given(st.text(st.characters(categories=["L", "N", "P", "S"]), max_size=40))
def test_letters_figures_and_signs_of_every_alphabet_stay_as_they_are(text: str) -> None:
    assert one_line(text) == visible(text) == printable(text) == text


@pytest.mark.parametrize(
    "name",
    [
        "Łukasiewicz & Søn",
        "Nguyễn Thị Hằng".encode().decode(),
        unicodedata.normalize("NFD", "Nguyễn Ångström"),
        "工具（左）",
        "שָׁלוֹם",
        "مهندس‌ها",  # with a zero-width non-joiner, as Persian is written
        "क्‍ष",  # with a zero-width joiner, as Hindi is written
        "བསྒྲུབས",
        "👨‍👩‍👧 🏳️‍🌈 👍🏽 1️⃣",
    ],
)
def test_names_of_people_stay_as_they_are(name: str) -> None:
    assert one_line(name) == visible(name) == printable(name) == name


@pytest.mark.parametrize(
    ("text", "kept", "shown"),
    [
        ("two\r\nlines", "two lines", "two  lines"),
        ("\x1b[2J\x9b31m", "[2J31m", "?[2J?31m"),
        ("flange\u200b 3\u202e", "flange 3", "flange? 3?"),
        ("M\u200d8", "M8", "M?8"),
        ("\ud800", "", "?"),
        (" \t\x07 ", "", "  ? "),
    ],
)
def test_what_steers_is_left_out_of_what_is_kept_and_shown_as_a_mark(
    text: str, kept: str, shown: str
) -> None:
    assert (one_line(text), printable(text)) == (kept, shown)


@given(st.integers(0, 40))
def test_a_flood_of_marks_ends(marks: int) -> None:
    assert one_line("e" + "\u0301" * marks + "s") == "e" + "\u0301" * min(marks, MOST_MARKS) + "s"


def test_a_mark_can_be_as_wide_as_what_it_stands_for() -> None:
    assert mended("a\x1bb\u200bc", lambda one: "" if one == "\u200b" else "?") == "a?bc"


# Cells -------------------------------------------------------------------------------------------


@given(st.lists(ANY, min_size=1, max_size=4))
def test_no_cell_begins_a_formula_however_a_spreadsheet_parts_the_columns(texts: list[str]) -> None:
    """The signs are those of OWASP ASVS, requirement 1.2.10."""
    file = io.StringIO()
    csv.writer(file, lineterminator="\n").writerow(["name", *map(cell, texts)])
    for delimiter in ",;\t":
        for row in csv.reader(io.StringIO(file.getvalue()), delimiter=delimiter):
            assert not [one for one in row if one.lstrip().startswith(SIGNS)]


@given(ANY)
def test_a_cell_holds_what_was_said(text: str) -> None:
    shown = cell(text)
    assert isinstance(shown, str)
    assert shown.replace("'", "") == one_line(text).replace("'", "")


@pytest.mark.parametrize("number", [-0.3, -7, 0, 12.5, None])
def test_a_number_of_ours_stays_one(number: float | None) -> None:
    assert cell(number) == number


def test_a_name_with_a_sign_inside_is_no_formula() -> None:
    for name in ("M8 - left", "a+b", "foo@bar", "2=2"):
        assert cell(name) == name
    assert cell(ATTACKS["formula"]) == "'=1+1;'@SUM(1)"
