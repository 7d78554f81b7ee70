"""The PDF, read again by another library."""

from __future__ import annotations

import io
import re
import unicodedata
from dataclasses import replace

import pytest
from pypdf import PdfReader

from cockpit.record.facts import HoleFacts, JobFacts, NoteFacts
from cockpit.record.pdf import as_pdf
from cockpit.record.sheet import hole_sheet, job_sheet
from cockpit.units import LengthUnit
from tests.hostile import ATTACKS
from tests.record.test_sheet import with_words, words_of

#: A printer leaves so much of a sheet blank at least, mm (common practice, no source).
UNPRINTED_MM = 4.2
#: The heights and widths of A4 (ISO 216) and US Letter (8.5 by 11 in), mm.
A4_MM, LETTER_MM = (210.0, 297.0), (215.9, 279.4)
POINT_MM = 25.4 / 72


def read(held: bytes) -> PdfReader:
    return PdfReader(io.BytesIO(held), strict=True)


def text_of(reader: PdfReader) -> str:
    """All text without its blanks: where a line ends is no matter of the facts'."""
    return "".join("".join(page.extract_text() for page in reader.pages).split())


def letters(words: list[str]) -> list[str]:
    return ["".join(word.split()) for word in words]


@pytest.mark.parametrize("unit", LengthUnit)
def test_another_library_reads_every_word_in_it(
    blind: HoleFacts, through: HoleFacts, unit: LengthUnit
) -> None:
    for facts in (blind, through):
        sheet = hole_sheet(facts, unit)
        reader = read(as_pdf(sheet))
        assert len(reader.pages) == 1, "an ordinary hole is one page"
        text = text_of(reader)
        # A cell that is broken into lines stands beside those of the other columns.
        assert [
            word for word in letters(words_of(sheet)) if len(word) < 40 and word not in text
        ] == []
        for drawing in sheet.drawings:
            assert "".join(drawing.title.split()) in text


def test_it_has_title_language_and_page_numbers(blind: HoleFacts) -> None:
    notes = tuple(NoteFacts(f"note {n} of many", blind.last_utc, "MT") for n in range(200))
    sheet = hole_sheet(replace(blind, notes=notes), LengthUnit.MM)
    reader = read(as_pdf(sheet))
    assert reader.metadata is not None
    assert reader.metadata.title == sheet.title
    assert str(reader.root_object["/Lang"]) == "en"
    many = len(reader.pages)
    assert many > 2
    for number, page in enumerate(reader.pages, 1):
        assert f"page {number} of {many}" in page.extract_text()
    text = text_of(reader)
    assert all("".join(note.text.split()) in text for note in notes)


def test_it_is_the_same_whenever_it_is_made(blind: HoleFacts) -> None:
    sheet = hole_sheet(blind, LengthUnit.MM)
    held = as_pdf(sheet)
    assert held == as_pdf(sheet)
    metadata = read(held).metadata
    assert metadata is not None
    made = metadata.creation_date
    assert made is not None
    assert made.isoformat()[:19] == sheet.date_utc[:19]


def test_its_letters_are_of_the_sizes_of_a_page(blind: HoleFacts) -> None:
    sizes_pt: set[float] = set()

    def seen(text: str, _cm: object, _matrix: object, _font: object, size_pt: float) -> None:
        if text.strip():
            sizes_pt.add(size_pt)

    (page,) = read(as_pdf(hole_sheet(blind, LengthUnit.MM))).pages
    page.extract_text(visitor_text=seen)
    assert min(sizes_pt) > 6.0
    assert sorted(sizes_pt)[-2:] == pytest.approx([7.8, 14.0])


def test_on_a4_and_on_letter_nothing_is_cut(blind: HoleFacts) -> None:
    notes = tuple(NoteFacts("x " * 900, blind.last_utc, "MT") for _ in range(9))
    reader = read(as_pdf(hole_sheet(replace(blind, notes=notes), LengthUnit.MM)))
    ys_mm: list[float] = []

    def seen(text: str, _cm: object, matrix: list[float], _font: object, _size: object) -> None:
        if text.strip():
            ys_mm.append(matrix[5] * POINT_MM)

    for page in reader.pages:
        assert [float(side) * POINT_MM for side in page.mediabox[2:]] == pytest.approx(
            A4_MM, abs=0.1
        )
        page.extract_text(visitor_text=seen)
    shorter_mm = A4_MM[1] - LETTER_MM[1]
    assert min(ys_mm) > shorter_mm + UNPRINTED_MM - 0.5
    assert max(ys_mm) < A4_MM[1] - shorter_mm - UNPRINTED_MM + 0.5


@pytest.mark.parametrize(
    "name", ["Ångström & Søn", "Kőrösi Zsuzsanna", "Λαμπρινός Ήλιος", "Щербаков Ёлкин", "Nguyễn"]
)
def test_names_of_europe_keep_their_letters(blind: HoleFacts, name: str) -> None:
    for form in ("NFC", "NFD"):
        facts = replace(blind, customer=unicodedata.normalize(form, name))
        text = text_of(read(as_pdf(hole_sheet(facts, LengthUnit.MM))))
        assert "".join(name.split()) in text
        assert "\ufffd" not in text


def test_what_the_font_has_not_got_is_seen_and_said(blind: HoleFacts) -> None:
    facts = replace(blind, part="工具 and \N{HEBREW LETTER SHIN}")
    text = text_of(read(as_pdf(hole_sheet(facts, LengthUnit.MM))))
    assert "\ufffd\ufffdand\ufffd" in text
    assert "standsforacharacterthatthisprinthasnoletterfor." in text


@pytest.mark.parametrize("text", ATTACKS.values(), ids=ATTACKS)
def test_no_name_breaks_the_print(blind: HoleFacts, text: str) -> None:
    reader = read(as_pdf(hole_sheet(with_words(blind, text), LengthUnit.MM)))
    assert reader.metadata is not None
    for page in reader.pages:
        assert re.search(r"page \d+ of \d+", page.extract_text())
        assert "/Annots" not in page


def test_a_number_of_pages_in_a_name_stays_a_name(blind: HoleFacts) -> None:
    facts = replace(blind, label="{nb}")
    assert "Holerecord:{nb}" in text_of(read(as_pdf(hole_sheet(facts, LengthUnit.MM))))


def test_a_job_begins_a_page_for_each_hole(blind: HoleFacts, through: HoleFacts) -> None:
    job = JobFacts("Harrowfield Pumps", "HP-2207", ("pump casing",), (blind, through))
    sheets = [job_sheet(job, LengthUnit.MM), *(hole_sheet(h, LengthUnit.MM) for h in job.holes)]
    reader = read(as_pdf(*sheets))
    assert [page.extract_text().split("\n")[0].strip() for page in reader.pages] == [
        f"{sheet.title} times are UTC" for sheet in sheets
    ]
