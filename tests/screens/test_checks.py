from pathlib import Path

import pytest

from cockpit.flow.steps import Step
from cockpit.log import questions
from cockpit.log.rows import CheckResult
from cockpit.screens import setup
from cockpit.screens.shared.keygate import REPEAT_DELAY_S
from cockpit.units import write_both
from cockpit.widgets.block_figures import BlockFigures, BlockWords, block_words
from tests.screens.hands import Hands, cockpit_on


def answered(hands: Hands) -> dict[str, CheckResult]:
    return {row.item: row.result for row in hands.page().checks}


async def test_a_safety_item_cant_be_passed_over(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        assert hands.part("item-title") == "Cautions of the material"
        await hands.press("k")
        assert "can't be passed over" in hands.part("complaint")
        assert not hands.asks_word()
        assert answered(hands) == {}


async def test_another_item_needs_a_word(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        await hands.set_up("Dam and drain")
        await hands.press("k")
        await hands.big()
        await hands.big(key="enter")
        assert "dam" not in answered(hands), "the word is asked for; nothing is confirmed"
        await hands.type("no water there")
        assert "ENTER" in hands.big_key_line()
        await hands.press("enter")
        row = hands.page().checks[-1]
        assert (row.item, row.result, row.word) == ("dam", CheckResult.SKIPPED, "no water there")
        assert hands.part("item-title") == "Electrode"
        assert not hands.asks_word()


async def test_backspace_leaves_the_word_and_the_item_stays(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        await hands.set_up("Dam and drain")
        await hands.press("k", "backspace")
        assert not hands.asks_word()
        assert hands.part("item-title") == "Dam and drain"
        assert "confirm" in hands.big_key_line()


async def test_every_row_is_in_the_log_before_the_screen_moves_on(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        keys = [item.key for item in hands.in_hand().checks_left()]
        for place, key in enumerate(keys):
            assert list(answered(hands)) == keys[:place]
            assert f"{place + 1} of 14" in hands.part("progress")
            await hands.confirm()
            assert key in answered(hands)
        assert hands.screen_name == "PilotScreen"
        stop = next(row for row in hands.page().checks if row.item == "stop")
        assert stop.word == f"set at {write_both(hands.in_hand().stop_mm)}"


async def test_live_items_confirm_themselves_when_the_gauge_is_seen(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        await hands.set_up("Zero")
        await hands.looks()
        assert hands.part("item-title") == "Zero", "no reading, no answer"
        await hands.passes(0.2)
        await hands.passes(5.0)
        await hands.passes(0.2)
        assert answered(hands)["zero"] is CheckResult.SEEN
        assert "gauge" not in answered(hands)
        await hands.passes(1.0)
        await hands.passes(1.0)
        assert answered(hands)["gauge"] is CheckResult.SEEN
        assert hands.part("item-title") == "Depth stop"
        words = {row.item: row.word for row in hands.page().checks}
        assert words["zero"].startswith("the gauge reads ")


async def test_a_figure_that_stands_still_is_no_gauge_that_follows(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        await hands.set_up("Gauge follows")
        hands.in_hand().live.touching(True)  # nobody lifts the head
        for _ in range(10):
            await hands.passes(1.0)
        assert hands.part("item-title") == "Gauge follows"
        assert "confirms itself once the reading moves" in hands.big_key_line()
        await hands.big()
        assert "lift the head a little" in hands.part("complaint")
        assert "gauge" not in answered(hands)
        hands.in_hand().live.touching(False)
        await hands.passes(1.0)
        await hands.passes(1.0)
        assert answered(hands)["gauge"] is CheckResult.SEEN


async def to_a_zero_that_is_off(hands: Hands) -> None:
    """The tip hangs over the hole, 2 mm and more from what the indicator calls zero."""
    await hands.set_up("Zero")
    hands.in_hand().live.touching(False)
    await hands.passes(1.0)


async def test_a_zero_that_is_off_is_not_simply_taken(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        await to_a_zero_that_is_off(hands)
        assert "confirms itself once it shows zero" in hands.big_key_line()
        await hands.press("a")
        assert "zero" not in answered(hands), "nothing was doubted yet"
        await hands.big(3)
        shown = hands.part("complaint")
        assert "The indicator shows" in shown
        assert "A takes it all the same" in shown
        assert "zero" not in answered(hands)
        await hands.press("a")
        row = next(row for row in hands.page().checks if row.item == "zero")
        assert row.result is CheckResult.CONFIRMED
        assert row.word.startswith("all the same: the gauge showed ")
        assert hands.in_hand().passed_over() == ((row.title, row.word),)


async def test_a_silent_gauge_has_not_seen_the_zero(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        await hands.set_up("Zero")
        hands.floor.gauge.close()
        await hands.passes(30.0)
        assert "confirms itself once the gauge is heard" in hands.big_key_line()
        await hands.big()
        assert "Nothing is heard from the gauge" in hands.part("complaint")
        assert "zero" not in answered(hands)
        hands.floor.gauge.open()
        await hands.passes(10.0)
        await hands.passes(0.2)
        assert answered(hands)["zero"] is CheckResult.SEEN


async def test_an_indicator_that_stood_at_zero_all_the_while_is_confirmed_by_hand(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        await hands.set_up("Centred")
        hands.in_hand().live.touching(True)
        await hands.passes(10.0)
        await hands.big()
        for _ in range(50):
            await hands.passes(0.5)
        assert hands.part("item-title") == "Zero", "it may be the zero of the hole before"
        assert hands.big_key_line().endswith("confirm")
        await hands.big()
        assert answered(hands)["zero"] is CheckResult.CONFIRMED


async def test_a_typed_gauge_is_seen_by_the_operator_alone(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS, gauge="typed") as hands:
        keys = len(hands.in_hand().checks_left())
        await hands.big(keys)
        assert hands.screen_name == "PilotScreen"
        assert set(answered(hands).values()) == {CheckResult.CONFIRMED}


async def test_the_reading_stands_large_on_a_live_item(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        await to_a_zero_that_is_off(hands)
        figure = hands.screen.query_one("#item-figure", BlockFigures)
        before = figure.text
        assert float(before) < 0
        assert figure.size.height >= 3
        assert hands.part("item-note").splitlines()[0] == "mm on the indicator now"
        await hands.press("u")
        assert float(figure.text) == pytest.approx(float(before) / 25.4, abs=0.01)
        assert hands.part("item-note").splitlines()[0] == "in on the indicator now"


async def test_what_was_passed_over_stays_in_sight_with_the_word_why(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        await hands.set_up("Dam and drain")
        await hands.press("k")
        await hands.say("no water there")
        await hands.set_up("Centred")
        assert "Passed over: Dam and drain (no water there)" in hands.shown()
        assert hands.in_hand().passed_over() == (), "the burn goes where it goes all the same"
        await hands.press("k")
        await hands.say("no light")
        assert "Dam and drain (no water there); Centred (no light)" in hands.part("seen")
        assert hands.in_hand().passed_over() == (("Centred", "no light"),)
        await hands.press("backspace")
        assert hands.part("seen").splitlines() == [
            "Passed over: Dam and drain (no water there)",
            "It was passed over: no light. K passes it over again.",
        ]
        assert hands.in_hand().passed_over() == ()


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (160, 45)])
async def test_the_title_is_large_and_the_words_are_whole(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS, size=size) as hands:
        while hands.screen_name == "SetupScreen":
            item = next(
                item
                for item in hands.floor.checklist.setup
                if item.title == hands.part("item-title")
            )
            shown = " ".join(hands.shown().split())
            assert item.title in shown
            assert item.look in shown
            assert item.right in shown
            large = hands.screen.query_one(BlockWords)
            drawn = block_words(item.title, *large.content_size)
            assert drawn != [item.title], f"{item.title} is not drawn large"
            await hands.confirm()


async def test_backspace_steps_back_to_a_live_item_which_then_waits(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        await hands.set_up("Depth stop")
        await hands.press("backspace")
        await hands.passes(2.0)
        assert hands.part("item-title") == "Gauge follows"
        await hands.press("backspace", "backspace")
        assert hands.part("item-title") == "Centred"


async def test_backspace_from_the_first_item_leads_to_the_plan(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        await hands.press("backspace")
        assert hands.screen_name == "PlanScreen"
        await hands.big()
        assert hands.part("item-title") == "Cautions of the material"


async def test_what_was_stepped_back_to_is_asked_again(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        await hands.big(3)
        assert hands.part("item-title") == "Dam and drain"
        await hands.press("backspace", "backspace", "backspace", "backspace")
        assert hands.screen_name == "PlanScreen"
        await hands.big()
        assert hands.part("item-title") == "Cautions of the material"
        assert not any(row.holds for row in hands.page().checks)
        await hands.big(2)
        await hands.press("backspace")
        assert [item.key for item in hands.in_hand().checks_left()][:2] == ["ground", "clamp"]


async def test_a_step_of_the_clean_out_stepped_back_to_is_asked_again(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CLEANOUT) as hands:
        first = hands.part("item-look")
        await hands.big()
        await hands.press("backspace")
        assert hands.in_hand().cleanout_left()[0][1] in first


async def test_a_daily_check_stepped_back_to_is_asked_again(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, daily_done=False) as hands:
        await hands.big()
        assert "stop-switch" not in [item.key for item in hands.floor.daily_left()]
        await hands.press("backspace")
        assert hands.floor.daily_left()[0].key == "stop-switch"


async def test_a_daily_check_is_gone_on_with_where_it_was_left(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, daily_done=False) as hands:
        await hands.big()
        assert hands.lines()[0].strip().startswith("daily check 2 of 5")
        hands.app.to_bench()
        await hands.press()
        assert hands.lines()[0].strip().startswith("daily check 2 of 5")


async def test_figures_of_the_plan_are_shown_where_they_are_set(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        plan, notes = hands.in_hand().plan, {}
        while hands.screen_name == "SetupScreen":
            notes[hands.part("item-title")] = hands.part("item-note")
            await hands.confirm()
        assert f"{plan.depth.stops_mm[0]:.2f} mm" in notes["Depth stop"]
        assert plan.electrode.label in notes["Electrode"]
        assert plan.arc.range in notes["Current"]
        assert f"{plan.flush.catch_ml_10s:.0f} ml" in notes["Flush"]
        assert plan.cautions[0] in notes["Cautions of the material"]


async def test_the_key_that_ended_the_checklist_does_not_start_the_arc(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert setup.ARC_GUARD_S >= 0.5
    # Longer than it is, so that a slow computer does not sit out the guard between two keys.
    monkeypatch.setattr(setup, "ARC_GUARD_S", 30.0)
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        await hands.set_up("Guard on")
        await hands.big()
        assert hands.screen_name == "PilotScreen"
        await hands.pilot.pause(REPEAT_DELAY_S + 0.1)
        await hands.press("space")  # through the gate as the checks left it
        assert not hands.in_hand().live.arc_on
        assert hands.page().burns == ()


async def test_a_reason_typed_where_none_is_asked_for_confirms_nothing(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        first = hands.part("item-title")
        await hands.press("k")
        assert "can't be passed over" in hands.part("complaint")
        await hands.type("no", "enter")
        assert hands.part("item-title") == first
        assert "Not taken: something else was typed" in hands.part("complaint")
        await hands.big()
        assert hands.part("item-title") != first


async def test_what_a_window_covers_confirms_nothing(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        await hands.set_up("Zero")
        await hands.press("question_mark")
        for _ in range(40):
            await hands.passes(0.5)
        await hands.press("x")
        assert hands.part("item-title") == "Zero"


async def test_the_clean_out_is_kept_step_by_step(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CLEANOUT) as hands:
        left = hands.in_hand().cleanout_left()
        assert hands.part("item-look") == f"Look: {left[0][1]}"
        assert "pass over" not in hands.keys_line()
        await hands.press("k")
        assert not hands.asks_word()
        await hands.big()
        assert "something else was typed" in hands.part("complaint")
        for key, text in left:
            await hands.big()
            assert (hands.page().checks[-1].item, hands.page().checks[-1].title) == (key, text)
        assert hands.screen_name == "OutcomeScreen"


async def test_a_clean_out_goes_on_where_it_was_left(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CLEANOUT) as hands:
        await hands.big()
        await hands.press("escape")
        await hands.big()
        assert "clean-out 2 of 4" in hands.part("title")
        assert "The burn is not done yet" in hands.part("complaint")


async def test_a_caution_that_asks_for_it_is_taken_on_by_initials_and_not_by_a_key(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path) as hands:
        ticket = questions.ticket(hands.floor.store.connection, 1)
        titanium = ticket.model_copy(update={"material": "titanium"})
        hands.floor.take_up(1).correct(titanium)
        await hands.big()
        assert "! Fine particles and hot metal" in hands.part("doubts")
        await hands.big()
        await hands.set_up("Cautions of the material")
        assert "take it on: your initials" in hands.big_key_line()
        await hands.big(3)
        assert hands.part("item-title") == "Cautions of the material"
        await hands.say("MT")
        assert hands.part("item-title") != "Cautions of the material"
        row = next(row for row in hands.page().checks if row.item == "cautions")
        assert (row.result, row.word) == (CheckResult.CONFIRMED, "MT")


async def test_backspace_leaves_the_initials_and_the_caution_stands(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        hole = hands.floor.take_up(1)
        hole.correct(hole.ticket.model_copy(update={"hard_metal": True}))
        await hands.big(2)
        await hands.set_up("Cautions of the material")
        await hands.big()
        await hands.press("backspace")
        assert "take it on: your initials" in hands.big_key_line()
        assert not [row for row in hands.page().checks if row.item == "cautions"]


async def test_backspace_at_the_guard_leads_to_what_came_before_it(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CENTRE) as hands:
        await hands.big()
        assert hands.in_hand().step is Step.GUARD
        await hands.press("backspace")
        assert hands.screen_name == "CentreScreen"
        await hands.big(2)
        assert hands.screen_name == "BurnScreen"
        await hands.to_touch_off(60.0)
        await hands.big(2)
        assert hands.in_hand().step is Step.GUARD
        await hands.press("backspace")
        assert hands.screen_name == "TouchScreen"
        await hands.press("backspace")
        assert hands.in_hand().step is Step.GUARD


async def test_backspace_at_the_guard_does_not_lead_back_to_a_spot_that_was_left(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path, at=Step.CENTRE) as hands:
        await hands.type("0.8")
        await hands.big(2, key="enter")
        await hands.big()
        assert hands.page().centres[-1].verdict == "move"
        await hands.press("backspace")
        assert hands.screen_name == "BenchScreen"
        await hands.big()
        assert hands.in_hand().step is Step.GUARD


async def test_escape_keeps_what_was_answered(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        await hands.set_up("Electrode")
        await hands.press("escape")
        assert hands.screen_name == "BenchScreen"
        await hands.big()
        assert hands.part("item-title") == "Electrode"
        # Back is to what was answered before, and only from the first of all to the plan.
        at = hands.lines()[0]
        await hands.press("backspace")
        assert hands.part("item-title") == "Dam and drain"
        assert not [row for row in hands.page().checks if row.item == "dam"][-1].holds
        await hands.big()
        assert hands.lines()[0] == at
        for _ in range(4):
            hands.rests()
            await hands.press("backspace")
        assert hands.screen_name == "SetupScreen"
        hands.rests()
        await hands.press("backspace")
        assert hands.screen_name == "PlanScreen"


async def test_what_was_passed_over_is_said_to_whoever_steps_back_to_it(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        await hands.set_up("Dam and drain")
        await hands.press("k")
        await hands.type("no drain here", "enter")
        await hands.press("backspace")
        assert hands.part("item-title") == "Dam and drain"
        assert "It was passed over: no drain here." in hands.part("seen")


async def test_the_zero_says_how_far_the_break_lies_below_its_face(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        await hands.set_up("Zero")
        assert "not on the broken tool" in hands.part("item-look")
        await hands.passes(0.2)
        assert "the break lies 3.00 mm below that face" in hands.part("item-note")


async def test_a_gap_is_not_set_with_the_head_anywhere(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        await hands.set_up("Depth stop")
        for _ in range(3):
            await hands.passes(5.0)
        assert "NOT ON THE FACE" not in hands.part("item-note")
        hands.in_hand().live.touching(False)
        for _ in range(3):
            await hands.passes(5.0)
        note = hands.part("item-note")
        assert "NOT ON THE FACE: the indicator reads -" in note
        assert "there it read 0.00 mm" in note
        await hands.big()
        assert hands.part("item-title") == "Current", "it is said, and the operator's to say"


async def test_a_live_check_is_read_in_the_time_of_who_reads_it(tmp_path: Path) -> None:
    """However fast the demo's time goes, a person has a while to see what confirms itself."""
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        hands.clock.speed = 6.0
        await hands.set_up("Zero")
        for _ in range(4):
            await hands.passes(2.0)
        assert hands.part("item-title") == "Zero"
        await hands.passes(2.0)
        assert hands.part("item-title") == "Gauge follows"


async def test_back_in_the_clean_out_is_to_what_was_done_before_and_never_to_the_arc(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path, at=Step.CLEANOUT) as hands:
        first = hands.lines()[0]
        await hands.big(2)
        third = hands.lines()[0]
        await hands.press("escape")
        await hands.big()
        assert hands.lines()[0] == third
        for _ in range(2):
            hands.rests()
            await hands.press("backspace")
        assert hands.lines()[0] == first
