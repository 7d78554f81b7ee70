"""The words of a record, which all of its forms are set from."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from cockpit.record.drawing import Drawing
from cockpit.record.facts import HoleFacts, JobFacts, JobPriceFacts, NoteFacts, PriceFacts
from cockpit.record.page import bands
from cockpit.record.sheet import Sheet, hole_sheet, job_sheet
from cockpit.units import LengthUnit
from tests.hostile import ATTACKS, unseemly
from tests.wall_clock import clock_of, needs_zone


def words_of(sheet: Sheet) -> list[str]:
    """Every word of a sheet but those of its drawings."""
    words = [sheet.title]
    for part in sheet.parts:
        words.append(part.heading)
        words += [word for fact in part.facts for word in (fact.name, fact.value) if word]
        if part.table:
            words += part.table.columns
            words += [cell for row in part.table.rows for cell in row if cell]
    return words


def with_words(facts: HoleFacts, text: str) -> HoleFacts:
    """The facts with a text in the place of everything that a person can have written."""
    return replace(
        facts,
        label=text,
        customer=text,
        reference=text,
        part=text,
        taken_in_by=text,
        broken=text,
        material=text,
        hands=(text, text),
        checks=tuple(replace(one, title=text, word=text, who=text) for one in facts.checks),
        marks=tuple(replace(one, who=text) for one in facts.marks),
        calls=tuple(replace(one, call=text, text=text) for one in facts.calls),
        outcomes=tuple(
            replace(one, chased=text, gauged=text, bottom=text, marked=text, why=text, who=text)
            for one in facts.outcomes
        ),
        planned=facts.planned and replace(facts.planned, electrode=text, cautions=(text,)),
    )


def test_in_inches_no_length_of_the_record_is_in_millimetres(blind: HoleFacts) -> None:
    unset = replace(blind, checks=tuple(one for one in blind.checks if "mm" not in one.word))
    words = words_of(hole_sheet(unset, LengthUnit.INCH))
    assert not [word for word in words if " mm" in word]
    assert "0.7087 in" in words


@pytest.mark.parametrize("unit", LengthUnit)
def test_every_part_stands_on_the_page_once(blind: HoleFacts, unit: LengthUnit) -> None:
    sheet = hole_sheet(blind, unit)
    placed = [block for band in bands(sheet) for block in (*band.left, *band.right)]
    parts = [block for block in placed if not isinstance(block, Drawing)]
    assert sorted(part.key for part in parts) == sorted(part.key for part in sheet.parts)
    assert [block for block in placed if isinstance(block, Drawing)] == list(sheet.drawings)


def test_prices_stand_in_it_only_where_they_are_told(blind: HoleFacts) -> None:
    assert "price" not in words_of(hole_sheet(blind, LengthUnit.MM))
    priced = replace(blind, price=PriceFacts(Decimal("88.49"), Decimal("86.20"), "EUR"))
    words = words_of(hole_sheet(priced, LengthUnit.MM))
    assert "88.49 EUR" in words
    assert "86.20 EUR, by the arc time that it took" in words
    total = JobPriceFacts(Decimal("172.40"), "EUR")
    job = JobFacts("Harrowfield Pumps", "HP-2207", ("pump casing",), (priced, priced), total)
    assert "172.40 EUR, by the arc time that the holes took" in words_of(
        job_sheet(job, LengthUnit.MM)
    )


def test_a_job_has_a_line_for_each_hole(blind: HoleFacts, through: HoleFacts) -> None:
    job = JobFacts("Harrowfield Pumps", "HP-2207", ("pump casing",), (blind, through))
    sheet = job_sheet(job, LengthUnit.MM)
    (table,) = (part.table for part in sheet.parts if part.table)
    assert [row[1] for row in table.rows] == [blind.label, through.label]
    assert table.rows[1][-1].startswith("through at ")
    assert sheet.date_utc == max(blind.last_utc, through.last_utc)


@pytest.mark.parametrize("text", ATTACKS.values(), ids=ATTACKS)
def test_nothing_in_a_sheet_steers_anything(blind: HoleFacts, text: str) -> None:
    sheet = hole_sheet(with_words(blind, text), LengthUnit.MM)
    assert [word for word in words_of(sheet) if unseemly(word)] == []


@needs_zone
def test_each_clock_by_which_a_time_is_told_is_named(blind: HoleFacts) -> None:
    """Burnt in summer, and all else in winter."""
    noted = (NoteFacts("polished", "2026-12-01T09:00:00.000+00:00", "MT"),)
    burns = tuple(replace(one, at_utc="2026-07-01T09:00:00.000+00:00") for one in blind.burns)
    winter = replace(blind, taken_in_utc="2026-01-04T09:00:00.000+00:00", notes=noted)
    facts = replace(winter, burns=burns, checks=(), marks=(), outcomes=())
    with clock_of("CET-1CEST,M3.5.0,M10.5.0/3"):
        assert hole_sheet(facts, LengthUnit.MM).times == "times are UTC+01:00, then UTC+02:00"
