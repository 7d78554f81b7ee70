"""Markdown, read again by a parser of it."""

from __future__ import annotations

import pytest
from markdown_it import MarkdownIt

from cockpit.record.facts import HoleFacts
from cockpit.record.markdown import as_markdown
from cockpit.record.sheet import hole_sheet
from cockpit.units import LengthUnit
from tests.hostile import ATTACKS
from tests.record.test_sheet import with_words, words_of


def read(text: str) -> tuple[list[str], set[str]]:
    """The texts of a document, and the kinds of what is within its lines."""
    tokens = MarkdownIt("commonmark").enable("table").parse(text)
    lines = [token for token in tokens if token.type == "inline"]
    inside = {child.type for line in lines for child in line.children or ()}
    shown = ["".join(child.content for child in line.children or ()) for line in lines]
    return [" ".join(text.split()) for text in shown if text], inside


@pytest.mark.parametrize("unit", LengthUnit)
def test_a_parser_of_markdown_reads_every_word(blind: HoleFacts, unit: LengthUnit) -> None:
    sheet = hole_sheet(blind, unit)
    shown, _ = read(as_markdown(sheet))
    assert sorted(shown) == sorted([*words_of(sheet), "Times are UTC."])


@pytest.mark.parametrize("text", ATTACKS.values(), ids=ATTACKS)
def test_no_name_becomes_markup(blind: HoleFacts, text: str) -> None:
    sheet = hole_sheet(with_words(blind, text), LengthUnit.MM)
    shown, inside = read(as_markdown(sheet))
    assert inside <= {"text", "text_special"}
    # Blanks of a cell are no matter of Markdown's.
    assert sorted(shown) == sorted(
        " ".join(word.split()) for word in (*words_of(sheet), "Times are UTC.")
    )
