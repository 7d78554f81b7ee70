from pathlib import Path

import pytest

from cockpit.log import questions
from tests.screens.hands import Hands, cockpit_on
from tests.screens.test_refused import log_refuses

#: The last hole of the demo: its answers are carried over.
CARRIED = ("Quillstone Gears", "QG-41", "forged rocker arm")


async def keep_on(hands: Hands, until: str) -> None:
    """Keep what is carried until this is shown; say on the way what only the hole can tell."""
    for _ in range(40):
        if until in hands.shown():
            return
        if "► hole" in hands.shown():
            await hands.say("boss 7")
        elif "► break" in hands.shown() and "keep" not in hands.big_key_line():
            await hands.say("1")
        else:
            await hands.big()
    raise AssertionError(f"{until} never came:\n{hands.shown()}")


async def to_question(hands: Hands, asks: str) -> None:
    """Open a ticket and keep what is carried up to this question."""
    await hands.press("n")
    await keep_on(hands, f"► {asks}")


async def test_carried_values_are_kept_with_the_big_key(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.press("n")
        assert "keep Quillstone Gears" in hands.big_key_line()
        assert "(as before)" in hands.shown()
        await hands.big(3)
        assert hands.big_key_line() == ""  # the hole's own name is not carried
        await hands.big()
        assert "► hole" in hands.shown()
        await hands.say("boss 7")
        await keep_on(hands, "plan it")
        await hands.big()
        assert hands.screen_name == "PlanScreen"
        page = hands.page(5)
        assert (page.row.job.customer, page.row.job.reference, page.row.job.part) == CARRIED
        assert page.row.job.id == hands.page(4).row.job.id
        assert page.ticket == hands.page(4).ticket.model_copy(update={"hole": "boss 7"})


async def test_a_length_is_understood_in_both_units_as_it_is_typed(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await to_question(hands, "depth of the hole")
        await hands.type("1 3/4")
        # A fraction is in inches, with its mark or without.
        assert "44.45 mm = 1.7500 in" in hands.part("understood")
        await hands.type('"')
        assert "44.45 mm = 1.7500 in" in hands.part("understood")
        await hands.press("enter")
        assert "44.45 mm = 1.7500 in" in hands.part("ticket")


async def test_what_is_wrong_is_said_beside_the_field_and_kept_for_mending(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await to_question(hands, "thread or bore")
        await hands.type("M10x1.4")
        assert "M10x1.5" in hands.part("understood")
        assert hands.screen.query_one("#understood").has_class("-wrong")
        await hands.press("enter")
        assert hands.field("answer").value == "M10x1.4"
        assert "► thread or bore" in hands.shown()
        assert "M10x1.5" in hands.part("understood")
        await hands.press("backspace", "5", "enter")
        assert "► what is broken" in hands.shown()
        assert "M10x1.5" in hands.part("ticket")
        assert hands.part("complaint") == ""


async def test_digits_stand_for_choices_and_a_pin_is_asked_no_flutes(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await to_question(hands, "what is broken")
        assert "flutes" not in hands.part("ticket")
        await hands.say("1")
        assert "► flutes" in hands.shown()
        await hands.say("lots")
        assert "whole number" in hands.shown()


@pytest.mark.parametrize(
    ("at_fault", "answers"),
    [
        ("break below surface", {"depth of the hole": "20", "break below surface": "25"}),
        ("depth of the hole", {"depth of the hole": "0"}),
    ],
)
async def test_what_the_plan_refuses_is_asked_again(
    tmp_path: Path, at_fault: str, answers: dict[str, str]
) -> None:
    async with cockpit_on(tmp_path) as hands:
        for asks, answer in answers.items():
            if hands.screen_name == "BenchScreen":
                await to_question(hands, asks)
            await keep_on(hands, f"► {asks}")
            await hands.say(answer)
        await keep_on(hands, "plan it")
        await hands.big()
        assert hands.screen_name == "TicketScreen"
        assert f"► {at_fault}" in hands.shown()
        assert hands.part("complaint")
        assert len(questions.shift_log(hands.floor.store.connection)) == 4
        await hands.type("15")
        assert hands.field("answer").value == "15", "the field at fault can be typed in at once"
        await hands.press("enter")
        await keep_on(hands, "plan it")
        await hands.big()
        assert hands.screen_name == "PlanScreen"


async def test_backspace_steps_back_and_the_field_is_ready(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await to_question(hands, "part material")
        await hands.big()
        assert "plan it" in hands.big_key_line()
        await hands.press("backspace")
        assert "► part material" in hands.shown()
        await hands.say("cast")
        assert "cast iron" in hands.part("ticket")


async def test_the_first_hole_of_a_log_has_nothing_carried(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, stocked=False) as hands:
        await hands.say("MT")
        await hands.set_up()
        assert "take in a hole" in hands.big_key_line()
        await hands.big()
        await hands.big()
        assert "► customer" in hands.shown()
        assert hands.screen_name == "TicketScreen"


async def test_a_ticket_can_be_corrected_until_its_plan_is_accepted(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.big()
        await hands.press("e")
        assert "correct flange 3" in hands.shown()
        await hands.big()
        await hands.say("M10x1.5 STI")
        await hands.say("insert")
        await keep_on(hands, "plan it")
        await hands.big()
        assert hands.screen_name == "PlanScreen"
        plan = hands.in_hand().plan
        assert plan.thread.designation == "M10x1.5 STI"
        assert plan.remnant.kind == "insert"
        assert "M10x1.5 STI insert" in hands.shown()
        assert hands.page().ticket.tool_end_mm == 18.0
        await hands.big()
        with pytest.raises(ValueError, match="step back"):
            hands.in_hand().correct(hands.in_hand().ticket)


async def test_a_ticket_that_is_left_is_gone_on_with(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await to_question(hands, "depth of the hole")
        await hands.say("31")
        await hands.press("escape", "n")
        await keep_on(hands, "► depth of the hole")
        assert "keep 31.00 mm" in hands.big_key_line()
        assert "boss 7" in hands.shown()


async def test_backspace_held_down_never_leaves_a_ticket(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await to_question(hands, "depth of the hole")
        await hands.press(*["backspace"] * 30)
        assert "► customer" in hands.shown()
        assert "ESC leaves" in hands.part("complaint")


async def test_many_choices_leave_the_answer_in_sight(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await to_question(hands, "part material")
        assert "14 held fuel, solvent or pressure" in hands.shown()
        await hands.type("18")
        assert "Say one of" in hands.shown()
        await hands.press("backspace", "backspace", "9")
        assert "= titanium" in hands.shown()


async def test_no_letter_is_offered_as_a_key_where_it_would_be_typed(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.press("n")
        assert hands.screen_name == "TicketScreen"
        assert "U inch/mm" not in hands.keys_line()
        assert "ESC bench" in hands.keys_line()
        await hands.press("u")
        assert hands.field().value == "u"


async def test_a_ticket_that_the_log_refuses_is_kept_and_taken_in_once(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.press("n")
        await keep_on(hands, "plan it")
        with log_refuses(hands):
            await hands.big()
            assert "can't be written" in hands.part("complaint")
            await hands.press("escape", "n")
        assert hands.screen_name == "TicketScreen"
        await keep_on(hands, "plan it")
        await hands.big()
        assert hands.screen_name == "PlanScreen"
        assert hands.page(5).ticket.hole == "boss 7"
