from pathlib import Path

import pytest

from cockpit.log import listing
from tests.screens.hands import Hands, cockpit_on
from tests.screens.test_refused import log_refuses

#: The last hole of the demo: its answers are carried over.
CARRIED = ("Quillstone Gears", "QG-41", "forged rocker arm")


#: A hole of a new job of a customer who was here before: what is typed, and the keys after it.
FRESH = {
    "customer": ("har", "tab", "enter"),
    "their reference": ("HP-9", "enter"),
    "part": ("bracket", "enter"),
    "hole": ("lug 2", "enter"),
    "thread or bore": ("m10", "enter"),
    "what is broken": ("1", "enter"),
    "flutes": ("3", "enter"),
    "web of the tool": ("", "enter"),
    "through or blind": ("1", "enter"),
    "depth of the hole": ("22", "enter"),
    "depth of sister hole": ("", "enter"),
    "break below surface": ("3", "enter"),
    "tool ends at": ("18", "enter"),
    "part material": ("3", "enter"),
}


async def answer(hands: Hands, asks: str) -> int:
    """Answer a question of a fresh hole; gives the number of keys."""
    text, *then = FRESH[asks]
    if text:
        await hands.type(text, *then)
    else:
        await hands.big(key="enter")
    return len(text) + len(then)


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
        assert (
            hands.big_key_line() == "ENTER  once it is typed"
        )  # the hole's own name is not carried
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
    ("asks", "answer", "said"),
    [
        ("depth of the hole", "0", "The depth of the hole cannot be 0.00 mm"),
        ("break below surface", "400", "is not above the bottom of the hole"),
        ("break below surface", "-3", "grind off what stands proud"),
    ],
)
async def test_depths_that_cannot_be_are_refused_in_their_field(
    tmp_path: Path, asks: str, answer: str, said: str
) -> None:
    async with cockpit_on(tmp_path) as hands:
        await to_question(hands, asks)
        await hands.type(answer)
        assert said in " ".join(hands.part("understood").split())
        assert "mend it first" in hands.big_key_line()
        await hands.press("enter")
        assert f"► {asks}" in hands.shown()
        assert hands.field("answer").value == answer


@pytest.mark.parametrize(
    ("at_fault", "answers"),
    [
        ("tool ends at", {"tool ends at": "0"}),
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
        assert hands.part("understood").startswith("✗ "), "what is wrong stands beside the field"
        assert hands.part("complaint") == ""
        await hands.press("tab")
        assert f"► {at_fault}" in hands.shown(), "what is refused is not passed by"
        assert listing.how_many(hands.floor.store.connection) == 4
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


async def test_a_second_hole_of_the_same_job_needs_its_name_its_break_and_space(
    tmp_path: Path,
) -> None:
    """The keystrokes are counted, and all that was not typed is what the hole before said."""
    async with cockpit_on(tmp_path) as hands:
        before = hands.page(4).ticket
        await hands.press("n")
        keys, typed = 1, {"hole": "boss 7", "break below surface": "1"}
        while hands.screen_name == "TicketScreen":
            now = next((asks for asks in typed if f"► {asks}" in hands.shown()), None)
            if now and "keep" not in hands.big_key_line():
                await hands.say(typed.pop(now))
                keys += {"hole": 7, "break below surface": 2}[now]
            else:
                await hands.big()
                keys += 1
        assert hands.screen_name == "PlanScreen"
        assert typed == {}
        assert hands.page(5).ticket == before.model_copy(update={"hole": "boss 7"})
        assert hands.page(5).row.job.id == hands.page(4).row.job.id
        assert keys == 20


async def test_tab_keeps_all_that_is_carried_as_far_as_what_only_the_hole_can_tell(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.press("n")
        assert "TAB keep the rest" in hands.keys_line()
        await hands.press("tab")
        assert "► hole" in hands.shown()
        assert "TAB" not in hands.keys_line()
        await hands.say("boss 7")
        await hands.press("tab")
        assert "► break below surface" in hands.shown()
        await hands.say("1")
        assert "► tool ends at" in hands.shown()
        assert "leave it: not known" in hands.big_key_line()
        await hands.press("tab")
        assert "plan it" in hands.big_key_line()
        await hands.big()
        assert hands.page(5).ticket == hands.page(4).ticket.model_copy(update={"hole": "boss 7"})


async def test_a_thread_is_completed_when_it_is_asked_for(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await to_question(hands, "thread or bore")
        await hands.type("1/4")
        assert "TAB offers     1/4-20 UNC     1/4-28 UNF" in hands.part("offers")
        await hands.press("enter")
        assert hands.field("answer").value == "1/4", "nothing else is taken than what was typed"
        assert "► thread or bore" in hands.shown()
        await hands.press("tab")
        assert hands.field("answer").value == "1/4-20 UNC"
        assert "= 1/4-20 UNC, 6.35 mm = 0.2500 in across" in hands.part("understood")
        await hands.press("down")
        assert hands.field("answer").value == "1/4-28 UNF"
        assert "► 1/4-28 UNF" in hands.part("offers")
        await hands.press("up", "up")
        assert hands.field("answer").value == "1/4", "what was typed comes round again"
        await hands.press("tab", "tab", "enter")
        assert "1/4-28 UNF, 6.35 mm = 0.2500 in across" in hands.part("ticket")
        assert "► what is broken" in hands.shown()


async def test_a_thread_without_its_pitch_is_the_coarse_one_and_says_so(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await to_question(hands, "thread or bore")
        await hands.type("m10")
        assert "= M10x1.5, 10.00 mm = 0.3937 in across" in hands.part("understood")
        assert "M10x1.5     M10x1.25     M10x1 " in hands.part("offers")
        await hands.press("tab", "tab", "enter")
        assert "M10x1.25" in hands.part("ticket")


async def test_a_material_that_is_refused_stays_and_the_nearest_are_offered(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await to_question(hands, "part material")
        await hands.say("titaniun")
        assert hands.field("answer").value == "titaniun"
        assert 'Say titanium: "titaniun" is not known here.' in hands.part("understood")
        await hands.press("tab", "enter")
        assert "plan it" in hands.big_key_line()
        assert "titanium" in hands.part("ticket")


async def test_what_may_be_left_empty_is_and_the_rest_is_not(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await to_question(hands, "hole")
        assert "(needed)" in hands.part("asks")
        await hands.big()
        assert "► hole" in hands.shown()
        assert hands.part("understood") == "✗ Hole: this has to be said."
        await hands.type("b")
        assert hands.part("understood") == "= b"
        await hands.press("backspace")
        await keep_on(hands, "► what is broken")
        await hands.say("1")
        assert "empty when they can't be counted" in hands.part("asks")
        assert "leave it: not counted" in hands.big_key_line()
        await hands.big(key="enter")
        assert "► web of the tool" in hands.shown()
        assert "not counted" in hands.part("ticket")


async def test_a_customer_who_was_here_before_is_offered(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.press("n")
        await hands.type("har")
        assert "Harrowfield Pumps" in hands.part("offers")
        await hands.press("tab", "enter")
        assert "customer             Harrowfield Pumps" in hands.part("ticket")


async def test_what_was_being_typed_is_there_again_after_escape(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await to_question(hands, "hole")
        await hands.type("boss 1")
        await hands.press("escape", "n")
        assert "► hole" in hands.shown()
        assert hands.field("answer").value == "boss 1"
        await hands.type("7", "enter")
        assert "boss 17" in hands.part("ticket")


@pytest.mark.parametrize("unit", ["mm", "inch"])
async def test_all_of_a_ticket_fits_with_its_question_and_its_choices(
    tmp_path: Path, unit: str
) -> None:
    """Of the longest kind, a tap in a blind hole, with the longest list of choices under it."""
    async with cockpit_on(tmp_path) as hands:
        if unit == "inch":
            await hands.press("u")
        await hands.press("n")
        for asks in FRESH:
            assert hands.part("asks").startswith(asks)
            for part in ("ticket", "asks", "choices"):
                for line in hands.part(part).splitlines():
                    assert line.rstrip() in hands.shown()
            await answer(hands, asks)
        assert len(hands.part("ticket").splitlines()) == len(FRESH)
        assert "plan it" in hands.big_key_line()


async def test_a_fresh_hole_of_a_new_job_takes_so_many_keystrokes(tmp_path: Path) -> None:
    """Counted, so that no later change makes them more without being seen."""
    async with cockpit_on(tmp_path) as hands:
        await hands.press("n")
        keys = 1
        for asks in FRESH:
            assert f"► {asks}" in hands.shown()
            keys += await answer(hands, asks)
        await hands.big()
        keys += 1
        assert hands.screen_name == "PlanScreen"
        said = hands.page(5)
        assert (said.row.job.customer, said.ticket.thread) == ("Harrowfield Pumps", "M10x1.5")
        assert (said.ticket.flutes, said.ticket.material) == (3, "cast iron")
        assert keys == 48


async def test_the_unit_can_be_switched_beside_a_length(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await to_question(hands, "depth of the hole")
        assert "U inch/mm" in hands.keys_line()
        await hands.press("u")
        assert "keep 0.7874 in" in hands.big_key_line()
        await hands.type(".5")
        assert hands.part("understood") == "= 0.5000 in = 12.70 mm"


async def test_a_length_being_typed_keeps_its_unit_when_another_is_chosen(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await to_question(hands, "depth of the hole")
        await hands.type("24")
        hands.app.switch_unit()
        await hands.pilot.pause()
        assert hands.field().value == "24 mm"
        assert "0.9449 in = 24.00 mm" in hands.part("understood")
        await hands.press("enter")
        assert "24.00 mm" in hands.shown()
