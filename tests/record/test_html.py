"""The page, read by a strict parser of HTML5, and its drawings by one of XML."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import html5lib
import pytest

from cockpit.record.facts import HoleFacts, JobFacts
from cockpit.record.html import as_html, svg
from cockpit.record.sheet import hole_sheet, job_sheet
from cockpit.units import LengthUnit
from tests.hostile import ATTACKS, unseemly
from tests.record.test_sheet import with_words, words_of

SVG = "{http://www.w3.org/2000/svg}"


def parsed(page: str) -> ElementTree.Element:
    """The page's tree; html5lib raises ParseError for the least that is not as WHATWG has it."""
    parser = html5lib.HTMLParser(
        html5lib.getTreeBuilder("etree"), strict=True, namespaceHTMLElements=False
    )
    tree: ElementTree.Element = parser.parse(page)
    return tree


def words_on(tree: ElementTree.Element) -> list[str]:
    """The text of each cell, heading and paragraph."""
    names = ("h1", "h2", "th", "td", "p")
    return ["".join(one.itertext()) for one in tree.iter() if one.tag in names and one.text]


@pytest.mark.parametrize("unit", LengthUnit)
def test_the_page_says_every_word_of_the_record(blind: HoleFacts, unit: LengthUnit) -> None:
    sheet = hole_sheet(blind, unit)
    tree = parsed(as_html(sheet))
    assert set(words_of(sheet)) | {"times are UTC"} == set(words_on(tree))
    assert tree.get("lang") == "en"
    assert [one.text for one in tree.iter("title")] == [sheet.title]
    drawings = [one for one in tree.iter() if one.tag.endswith("svg")]
    assert [one.get("aria-label") for one in drawings] == [one.title for one in sheet.drawings]


def test_the_page_needs_nothing_beside_it(blind: HoleFacts) -> None:
    page = as_html(hole_sheet(blind, LengthUnit.MM))
    tree = parsed(page)
    names = {one.tag for one in tree.iter()}
    assert names.isdisjoint({"script", "link", "img", "iframe", "object", "a", "form"})
    assert not [one.tag for one in tree.iter() for key in one.attrib if key in ("src", "href")]
    assert re.findall(r"url\(|@import", page) == []


@pytest.mark.parametrize("unit", LengthUnit)
def test_each_drawing_is_well_formed_by_itself(blind: HoleFacts, unit: LengthUnit) -> None:
    for drawing in hole_sheet(blind, unit).drawings:
        root = ElementTree.fromstring(svg(drawing))
        assert root.tag == f"{SVG}svg"
        assert len(root) == len(drawing.shapes)
        assert {one.tag for one in root} <= {
            f"{SVG}{name}" for name in ("polyline", "polygon", "text")
        }


@pytest.mark.parametrize("text", ATTACKS.values(), ids=ATTACKS)
def test_no_name_becomes_a_tag_or_steers(blind: HoleFacts, text: str) -> None:
    sheet = hole_sheet(with_words(blind, text), LengthUnit.MM)
    page = as_html(sheet)
    assert unseemly(page.replace("\n", "")) == []
    usual = {one.tag for one in parsed(as_html(hole_sheet(blind, LengthUnit.MM))).iter()}
    tree = parsed(page)
    assert {one.tag for one in tree.iter()} == usual
    assert set(words_of(sheet)) <= set(words_on(tree))


def test_what_no_page_may_hold_is_not_in_it(blind: HoleFacts) -> None:
    text = "a\ufffe\ufdd0\U0001ffffb<script>alert(1)</script>&lt;\"'"
    page = as_html(hole_sheet(with_words(blind, text), LengthUnit.MM))
    assert not [one for one in parsed(page).iter() if one.tag == "script"]
    assert "\ufffe" not in page


def test_a_job_has_each_hole_on_a_page_of_its_own(blind: HoleFacts, through: HoleFacts) -> None:
    job = JobFacts("Harrowfield Pumps", "HP-2207", ("pump casing",), (blind, through))
    sheets = [job_sheet(job, LengthUnit.MM), *(hole_sheet(h, LengthUnit.MM) for h in job.holes)]
    articles = list(parsed(as_html(*sheets)).iter("article"))
    titles = ["".join(one.itertext()) for article in articles for one in article.iter("h1")]
    assert titles == [sheet.title for sheet in sheets]
