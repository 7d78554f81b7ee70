"""Taking in a hole: what is carried over, what a digit stands for, what is refused and how."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cockpit.flow.intake import Draft
from cockpit.flow.ticket_questions import Question, questions
from cockpit.log.rows import Job
from cockpit.trade.errors import TradeError
from cockpit.trade.remnants import MOST_FLUTES, FluteForm, Kind
from cockpit.trade.ticket import Ticket
from cockpit.units import LengthUnit
from tests.log.conftest import TICKET

MM, INCH = LengthUnit.MM, LengthUnit.INCH
ASKED = questions(("unalloyed steel", "alloy steel", "cast iron", "aluminium"))
JOB = Job(1, "Harrowfield Pumps", "HP-2207", "pump casing")


def question(key: str) -> Question:
    return next(item for item in ASKED if item.key == key)


def answered(key: str, text: str, unit: LengthUnit = MM) -> object:
    draft = Draft(ASKED)
    draft.answer(question(key), text, unit)
    return draft.answers[key]


def test_the_first_hole_of_a_shop_is_asked_everything_in_order() -> None:
    draft = Draft.after(ASKED, None, None)
    typed = {
        "customer": "  Harrowfield   Pumps ",
        "reference": "HP-2207",
        "part": "pump casing",
        "hole": "flange 3",
        "thread": "m10 x 1.5",
        "broken": "1",
        "flutes": "3",
        "through": "blind",
        "depth_mm": "22",
        "recess_mm": "0.125 in",
        "material": "cast",
    }
    order = []
    while (open_question := draft.missing()) is not None:
        order.append(open_question.key)
        draft.answer(open_question, typed[open_question.key], MM)
    assert order == list(typed)
    assert draft.answers["customer"] == "Harrowfield Pumps"
    assert draft.ticket() == Ticket(
        hole="flange 3",
        thread="M10x1.5",
        broken=Kind.TAP,
        flutes=3,
        depth_mm=22.0,
        recess_mm=3.175,
        material="cast iron",
    )


def test_the_next_hole_of_a_part_is_asked_for_its_name_and_its_break_alone() -> None:
    draft = Draft.after(ASKED, JOB, TICKET)
    missing = draft.missing()
    assert missing is not None
    assert missing.key == "hole"
    # What only the hole itself can tell is not carried over, nor what was never said.
    assert draft.carried == {item.key for item in ASKED} - {
        "hole",
        "recess_mm",
        "tool_end_mm",
        "web_mm",
        "sister_depth_mm",
    }
    draft.answer(missing, "flange 4", MM)
    missing = draft.missing()
    assert missing is not None
    assert missing.key == "recess_mm"
    draft.answer(missing, "2", MM)
    assert draft.ticket().model_dump(include={"hole", "thread", "depth_mm"}) == {
        "hole": "flange 4",
        "thread": "M10x1.5",
        "depth_mm": 22.0,
    }
    assert draft.same_job(JOB)


def test_an_answer_that_was_carried_over_can_be_said_anew() -> None:
    draft = Draft.after(ASKED, JOB, TICKET)
    draft.answer(question("customer"), "Ostrel Boatworks", MM)
    assert "customer" not in draft.carried
    assert not draft.same_job(JOB)
    assert not draft.same_job(None)


def test_what_may_stay_unknown_is_passed_by_and_can_be_said() -> None:
    draft = Draft.after(ASKED, None, None)
    for key in ("web_mm", "sister_depth_mm", "tool_end_mm"):
        assert draft.answers[key] is None
        assert draft.show(question(key), MM) == question(key).unknown
        draft.answer(question(key), "4.1", MM)
        assert draft.answers[key] == 4.1
        draft.answer(question(key), "?", MM)
        assert draft.answers[key] is None


def test_where_a_tool_ends_is_not_carried_to_the_next_hole() -> None:
    assert TICKET.tool_end_mm is not None
    draft = Draft.after(ASKED, JOB, TICKET)
    assert draft.answers["tool_end_mm"] is None


@pytest.mark.parametrize(("key", "text"), [("thread", "M6"), ("broken", "drill")])
def test_a_web_measured_on_one_tool_says_nothing_about_another(key: str, text: str) -> None:
    measured = TICKET.model_copy(update={"web_mm": 4.0, "sister_depth_mm": 21.0})
    draft = Draft.after(ASKED, JOB, measured)
    assert draft.answers["web_mm"] == 4.0
    draft.answer(question(key), text, MM)
    assert draft.answers["web_mm"] is None
    assert draft.answers["sister_depth_mm"] is None
    assert "flutes" not in draft.answers


def test_nobody_has_counted_the_flutes_after_a_pin() -> None:
    pin = TICKET.model_copy(update={"thread": "pin 8 mm", "broken": Kind.PIN, "flutes": None})
    draft = Draft.after(ASKED, JOB, pin)
    draft.answer(question("thread"), "M10x1.5", MM)
    draft.answer(question("broken"), "tap", MM)
    assert "flutes" not in draft.answers
    correcting = Draft.of(ASKED, JOB, pin)
    correcting.answer(question("broken"), "tap", MM)
    assert "flutes" not in correcting.answers


def test_another_part_of_the_same_customer_keeps_the_customer() -> None:
    draft = Draft.after(ASKED, JOB, TICKET)
    draft.answer(question("part"), "gear box", MM)
    assert draft.answers["customer"] == JOB.customer
    assert draft.answers["reference"] == JOB.reference
    assert "thread" not in draft.answers


def test_a_sister_hole_is_asked_for_a_blind_one_alone() -> None:
    draft = Draft.after(ASKED, JOB, TICKET)
    assert "sister_depth_mm" in {item.key for item in draft.asked()}
    draft.answer(question("through"), "through", MM)
    assert "sister_depth_mm" not in {item.key for item in draft.asked()}


def test_form_and_hard_metal_are_said_with_what_is_broken() -> None:
    draft = Draft.after(ASKED, JOB, TICKET)
    draft.answer(question("hole"), "flange 4", MM)
    draft.answer(question("broken"), "carbide spiral point tap", MM)
    draft.answer(question("flutes"), "2", MM)
    draft.answer(question("recess_mm"), "2", MM)
    ticket = draft.ticket()
    assert (ticket.broken, ticket.form, ticket.hard_metal) == (
        Kind.TAP,
        FluteForm.SPIRAL_POINT,
        True,
    )
    after = Draft.after(ASKED, JOB, ticket)
    assert after.answers["broken"] == "hard metal spiral-point tap"


def test_only_a_tap_or_a_drill_is_asked_for_flutes() -> None:
    draft = Draft.after(ASKED, JOB, TICKET)
    keys = {}
    for kind in Kind:
        draft.answer(question("broken"), kind, MM)
        keys[kind] = "flutes" in {item.key for item in draft.asked()}
    assert {kind for kind, asked in keys.items() if asked} == {Kind.TAP, Kind.DRILL}


def test_flutes_of_the_tap_before_do_not_stay_on_a_screw() -> None:
    draft = Draft.after(ASKED, JOB, TICKET)
    draft.answer(question("hole"), "stud 2", MM)
    draft.answer(question("broken"), "screw", MM)
    draft.answer(question("recess_mm"), "0", MM)
    assert draft.ticket().flutes is None


@pytest.mark.parametrize(
    ("key", "text", "value"),
    [
        ("broken", "1", Kind.TAP),
        ("broken", "4", Kind.PIN),
        ("broken", "stud", Kind.SCREW),
        ("through", "1", False),
        ("through", "2", True),
        ("through", "T", True),
        ("material", "3", "cast iron"),
        ("material", "ALUM", "aluminium"),
        ("material", "3 + alum", "cast iron + aluminium"),
        ("flutes", "?", None),
        ("flutes", "", None),
        ("depth_mm", "22", 22.0),
        ("depth_mm", "1 3/8 in", 34.925),
        ("recess_mm", "0", 0.0),
        ("thread", "1/4-20", "1/4-20 UNC"),
        ("thread", "pin 8 mm", "pin 8 mm"),
    ],
)
def test_an_answer_is_understood(key: str, text: str, value: object) -> None:
    understood = answered(key, text)
    assert understood == (pytest.approx(value) if isinstance(value, float) else value)


@pytest.mark.parametrize("typed", ["Cast Iron", "cast iron", "CAST  iron"])
def test_a_material_that_another_begins_with_is_understood_by_its_full_name(typed: str) -> None:
    material = next(
        item for item in questions(("Cast Iron", "Cast Iron GJS")) if item.key == "material"
    )
    draft = Draft((material,))
    draft.answer(material, typed, MM)
    # As the shop writes it, not as it was typed.
    assert draft.answers["material"] == "Cast Iron"
    with pytest.raises(TradeError, match="Cast Iron, Cast Iron GJS"):
        draft.answer(material, "cast", MM)


def test_as_many_flutes_are_asked_about_as_a_remnant_may_have() -> None:
    assert answered("flutes", str(MOST_FLUTES)) == MOST_FLUTES
    with pytest.raises(ValueError, match="Count the flutes"):
        answered("flutes", str(MOST_FLUTES + 1))


def test_a_bare_number_is_in_the_operators_unit() -> None:
    assert answered("depth_mm", ".5", INCH) == pytest.approx(12.7)
    assert answered("depth_mm", "7/8", INCH) == pytest.approx(22.225)


@pytest.mark.parametrize(
    ("key", "text", "words"),
    [
        ("customer", "  ", "in a word"),
        ("hole", "", "in a word"),
        ("thread", "M10x1.6", "M10"),
        ("thread", "", "thread"),
        ("broken", "6", "tap"),
        ("broken", "cheese", "tap"),
        ("broken", "²", "tap"),
        ("flutes", "0", "Count the flutes"),
        ("flutes", "3.5", "Count the flutes"),
        ("flutes", "²", "Count the flutes"),
        ("through", "3", "through or blind"),
        ("through", "²", "through or blind"),
        ("depth_mm", "deep", "not a length"),
        ("depth_mm", "0,5", "0,5"),
        ("depth_mm", "nan", "nan"),
        ("material", "wood", "cast iron"),
        ("material", "al", "alloy steel, aluminium"),
        ("material", "", "Say one of"),
        ("material", "9", "Say one of"),
    ],
)
def test_what_can_not_be_understood_is_refused_in_a_sentence(
    key: str, text: str, words: str
) -> None:
    draft = Draft(ASKED)
    with pytest.raises(ValueError, match=words) as refused:
        draft.answer(question(key), text, MM)
    said = str(refused.value)
    assert said.endswith((".", "?"))
    assert "\n" not in said
    assert "invalid literal" not in said
    assert draft.answers == {}


@given(key=st.sampled_from([item.key for item in ASKED]), text=st.text(max_size=20))
def test_whatever_is_typed_is_understood_or_refused_and_then_shown(key: str, text: str) -> None:
    draft = Draft(ASKED)
    try:
        draft.answer(question(key), text, MM)
    except ValueError:
        assert draft.answers == {}
    else:
        assert draft.show(question(key), MM) != ""


def test_answers_are_shown_as_they_were_understood() -> None:
    draft = Draft.after(ASKED, JOB, TICKET)
    shown = {item.key: draft.show(item, MM) for item in ASKED}
    assert shown["depth_mm"] == "22.00 mm"
    assert shown["through"] == "blind"
    assert shown["flutes"] == "3"
    assert shown["hole"] == ""
    assert draft.show(question("depth_mm"), INCH) == "0.8661 in"
    assert draft.show(question("depth_mm"), MM, both=True) == "22.00 mm = 0.8661 in"
    draft.answer(question("flutes"), "?", MM)
    assert draft.show(question("flutes"), MM) == "not counted"


def test_a_ticket_is_not_made_while_a_question_is_open() -> None:
    with pytest.raises(TradeError, match="not said yet") as refused:
        Draft.after(ASKED, JOB, None).ticket()
    assert refused.value.field == "hole"


def test_only_what_may_stay_unknown_can_be_left_empty() -> None:
    draft = Draft(ASKED)
    for item in ASKED:
        if item.unknown:
            draft.leave(item)
            assert draft.show(item, MM) == item.unknown
            assert "empty" in item.told
        else:
            with pytest.raises(ValueError, match="has to be said"):
                draft.leave(item)
            assert item.told.endswith("(needed)")
    draft.answer(question("flutes"), "3", MM)
    draft.leave(question("flutes"))
    assert draft.answers["flutes"] == 3


def test_what_was_carried_over_is_passed_by_up_to_what_only_the_hole_can_tell() -> None:
    draft = Draft.after(ASKED, JOB, TICKET)
    keys = [item.key for item in draft.asked()]
    stops = [draft.next_open(0)]
    while stops[-1] < len(keys):
        stops.append(draft.next_open(stops[-1]))
    assert [keys[place] for place in stops[:-1]] == ["hole", "recess_mm", "tool_end_mm"]


def test_what_goes_on_from_what_is_typed_is_offered() -> None:
    known = {"customer": ("Harrowfield Pumps", "Ostrel Boatworks")}
    asked = {item.key: item for item in questions(("cast iron", "magnesium"), known)}
    assert asked["customer"].offers("har") == ("Harrowfield Pumps",)
    assert asked["part"].offers("har") == ()
    assert asked["thread"].offers("M8") == ("M8x1.25", "M8x1", "M8x0.75")
    assert asked["material"].offers("cst iron") == ("cast iron",)
    assert asked["material"].offers("aluminium+ cast") == ("aluminium + cast iron",)
    assert asked["broken"].offers("ta") == ("tap",)
    assert asked["through"].offers("thr") == ("through",)
    assert asked["depth_mm"].offers("1") == ()


def test_a_thread_is_shown_in_both_units() -> None:
    draft = Draft.after(ASKED, JOB, TICKET)
    shown = draft.show(question("thread"), MM, both=True)
    assert shown == "M10x1.5, 10.00 mm = 0.3937 in across"
