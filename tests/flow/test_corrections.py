"""What was said wrongly is said again; both stay in the log, with who and why."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from cockpit.flow.corrections import Entry
from cockpit.flow.floor import ShopFloor
from cockpit.flow.steps import Step
from cockpit.log import lessons, listing, questions
from cockpit.log.rows import Outcome, Result
from cockpit.trade.learning import Lesson
from cockpit.units import LengthUnit
from tests.flow.walk import Walk, open_floor


@pytest.fixture
def floor(tmp_path: Path) -> Iterator[ShopFloor]:
    """A shop with one hole that is done, and a note on it."""
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor).to(Step.OUTCOME)
        walk.hole.note("chip in the last thraed")
        walk.hole.close(Outcome(Result.DONE, chased="by hand", gauged="go passes", marked="yes"))
        yield floor


def entry(floor: ShopFloor, words: str, unit: LengthUnit = LengthUnit.MM) -> Entry:
    return next(one for one in floor.corrections(1, unit).entries() if one.words == words)


def correct(floor: ShopFloor, words: str, text: str, why: str = "misread") -> None:
    entry(floor, words).keep(text, why)


def told(floor: ShopFloor) -> list[tuple[str, str, str, str]]:
    page = questions.page(floor.store.connection, 1)
    assert page is not None
    return [(one.what, one.was, one.now, one.why) for one in page.corrections]


def test_what_is_corrected_is_what_the_log_says_and_both_stay(floor: ShopFloor) -> None:
    correct(floor, "reference", "HP-2270", "figures swapped")
    correct(floor, "hole", "flange 4", "counted from the wrong side")
    correct(floor, "gauged", "go passes, no-go stops", "half of it forgotten")
    correct(floor, "note", "chip in the last thread", "typing")
    page = questions.page(floor.store.connection, 1)
    assert page is not None
    assert page.outcome is not None
    assert (page.row.job.reference, page.row.label) == ("HP-2270", "flange 4")
    assert page.outcome.outcome.gauged == "go passes, no-go stops"
    assert page.outcome.outcome.chased == "by hand"
    assert [note.text for note in page.notes] == ["chip in the last thread"]
    assert told(floor) == [
        ("reference", "HP-2207", "HP-2270", "figures swapped"),
        ("hole", "flange 3", "flange 4", "counted from the wrong side"),
        ("gauged", "go passes", "go passes, no-go stops", "half of it forgotten"),
        ("note", "chip in the last thraed", "chip in the last thread", "typing"),
    ]
    assert page.corrections[0].operator == "MT"
    assert page.corrections[0].told(LengthUnit.MM) == (
        "reference: HP-2270, was HP-2207; MT, figures swapped"
    )


def test_what_is_corrected_twice_is_told_twice(floor: ShopFloor) -> None:
    correct(floor, "part", "casing")
    correct(floor, "part", "pump casing, rear", "there are two")
    assert [(was, now) for _, was, now, _ in told(floor)] == [
        ("pump casing", "casing"),
        ("casing", "pump casing, rear"),
    ]


def test_every_list_shows_the_names_as_they_are_now(floor: ShopFloor) -> None:
    correct(floor, "customer", "Harrowfield Pump Works")
    assert floor.done_this_shift()[0].job.customer == "Harrowfield Pump Works"
    (hole,) = listing.shift_log(floor.store.connection, text="pump works")
    assert hole.row.id == 1


@pytest.mark.parametrize(
    ("words", "text", "why", "said"),
    [
        ("part", "  ", "x", "nothing is no correction"),
        ("part", "cover", " ", "why it is corrected"),
        ("result", "left for later", "x", "say done, given up, damaged"),
        ("result", "perfect", "x", "is no end of a hole"),
        ("material", "cheese", "x", "cheese"),
        ("width of burnt hole", "2 mm", "", "an arc burns a little wider"),
        ("width of burnt hole", "60 mm", "", "an arc burns a little wider"),
        ("width of burnt hole", "wide", "", "wide"),
    ],
)
def test_what_can_not_be_is_refused_in_a_sentence(
    floor: ShopFloor, words: str, text: str, why: str, said: str
) -> None:
    before = list(floor.store.connection.iterdump())
    with pytest.raises(ValueError, match=said) as refused:
        correct(floor, words, text, why)
    assert str(refused.value).endswith(".")
    assert list(floor.store.connection.iterdump()) == before


def test_a_hole_that_was_not_done_after_all_teaches_nothing(floor: ShopFloor) -> None:
    connection = floor.store.connection
    assert list(lessons.taught(connection))
    correct(floor, "result", "damaged", "the thread was cut")
    assert list(lessons.taught(connection)) == []
    row = questions.hole(connection, 1)
    assert row is not None
    assert row.outcome == Result.DAMAGED
    # Damaged needs a word why: the reason of the correction is one.
    assert told(floor) == [
        ("result", "done", "damaged", "the thread was cut"),
        ("why", "", "the thread was cut", "the thread was cut"),
    ]
    with pytest.raises(ValueError, match="say in a word why"):
        correct(floor, "why it ended so", "-")


def test_a_hole_that_was_done_after_all_is_not_told_why_it_was_not(floor: ShopFloor) -> None:
    correct(floor, "result", "damaged", "the wrong hole")
    correct(floor, "result", "done", "it was the next one")
    page = questions.page(floor.store.connection, 1)
    assert page is not None
    assert page.outcome is not None
    assert (page.outcome.outcome.result, page.outcome.outcome.why) == (Result.DONE, "")
    # What was said of a hole that was done stays.
    correct(floor, "why it ended so", "deep enough for the stud")
    correct(floor, "result", "done", "asked again")
    page = questions.page(floor.store.connection, 1)
    assert page is not None
    assert page.outcome is not None
    assert page.outcome.outcome.why == "deep enough for the stud"


def test_an_answer_can_be_taken_back(floor: ShopFloor) -> None:
    correct(floor, "marked", "-", "nobody did")
    assert told(floor) == [("marked", "yes", "", "nobody did")]


def test_another_material_is_what_the_burn_taught(floor: ShopFloor) -> None:
    def materials() -> set[str | None]:
        taught = lessons.taught(floor.store.connection)
        return {one.like.material for one in taught if one.lesson is Lesson.RATE}

    assert materials() == {"cast iron"}
    correct(floor, "material", "alloy steel", "looked at the print")
    assert materials() == {"alloy steel"}
    assert told(floor) == [("material", "cast iron", "alloy steel", "looked at the print")]


def test_a_width_is_measured_and_measured_again(floor: ShopFloor) -> None:
    assert entry(floor, "width of burnt hole").now == "not measured"
    entry(floor, "width of burnt hole").keep("5.9", "")
    assert told(floor) == []
    entry(floor, "width of burnt hole", LengthUnit.INCH).keep("0.2330", "")
    page = questions.page(floor.store.connection, 1)
    assert page is not None
    assert page.width_mm == pytest.approx(5.918)
    (one,) = page.corrections
    assert one.told(LengthUnit.MM).startswith("width of the burnt hole: 5.92 mm, was 5.90 mm")


def test_a_hole_that_is_open_has_no_outcome_to_correct(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        Walk.of(floor)
        words = [one.words for one in floor.corrections(1, LengthUnit.MM).entries()]
        assert words == ["customer", "reference", "part", "hole"]
