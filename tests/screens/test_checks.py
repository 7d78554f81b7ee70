from pathlib import Path

import pytest

from cockpit.flow.steps import Step
from cockpit.log import questions
from cockpit.log.rows import CheckResult
from cockpit.screens import checks
from cockpit.screens.keygate import REPEAT_DELAY_S
from tests.screens.hands import Hands, cockpit_on


def answered(hands: Hands) -> dict[str, CheckResult]:
    return {row.item: row.result for row in hands.page().checks}


async def test_a_safety_item_cant_be_passed_over(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        assert hands.part("item-title") == "Ground"
        await hands.press("k")
        assert "can't be passed over" in hands.part("complaint")
        assert not hands.field("word").display
        assert answered(hands) == {}


async def test_another_item_needs_a_word(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        await hands.big()
        assert hands.part("item-title") == "Clamped and square"
        await hands.press("k")
        await hands.big()
        await hands.big(key="enter")
        assert "clamp" not in answered(hands), "the word is asked for; nothing is confirmed"
        await hands.type("welded down")
        assert "ENTER" in hands.big_key_line()
        await hands.press("enter")
        row = hands.page().checks[-1]
        assert (row.item, row.result, row.word) == ("clamp", CheckResult.SKIPPED, "welded down")
        assert hands.part("item-title") == "Dam and drain"
        assert not hands.field("word").display


async def test_backspace_leaves_the_word_and_the_item_stays(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        await hands.big()
        await hands.press("k", "backspace")
        assert not hands.field("word").display
        assert hands.part("item-title") == "Clamped and square"
        assert "confirm" in hands.big_key_line()


async def test_every_row_is_in_the_log_before_the_screen_moves_on(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        keys = [item.key for item in hands.in_hand().checks_left()]
        for place, key in enumerate(keys):
            assert list(answered(hands)) == keys[:place]
            await hands.big()
            assert answered(hands)[key] is CheckResult.CONFIRMED
        assert hands.screen_name == "PilotScreen"


async def test_live_items_confirm_themselves_when_the_gauge_is_seen(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        while hands.part("item-title") != "Zero on the reference face":
            await hands.big()
        await hands.looks()
        assert hands.part("item-title") == "Zero on the reference face", "no reading, no answer"
        await hands.passes(5.0)
        assert answered(hands)["zero"] is CheckResult.SEEN
        assert "gauge" not in answered(hands)
        await hands.passes(1.0)
        assert answered(hands)["gauge"] is CheckResult.SEEN
        assert hands.part("item-title") == "Depth stop"
        words = {row.item: row.word for row in hands.page().checks}
        assert words["zero"].startswith("the gauge reads ")


async def test_backspace_steps_back_to_a_live_item_which_then_waits(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        while hands.part("item-title") != "Depth stop":
            await hands.big()
        await hands.press("backspace")
        await hands.passes(2.0)
        assert hands.part("item-title") == "Gauge live"
        await hands.press("backspace", "backspace")
        assert hands.part("item-title") == "Centred"


async def test_backspace_from_the_first_item_leads_to_the_plan(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        await hands.press("backspace")
        assert hands.screen_name == "PlanScreen"
        await hands.big()
        assert hands.part("item-title") == "Ground"


async def test_what_was_stepped_back_to_is_asked_again(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        await hands.big(3)
        assert hands.part("item-title") == "Cautions of the material"
        await hands.press("backspace", "backspace", "backspace", "backspace")
        assert hands.screen_name == "PlanScreen"
        await hands.big()
        assert hands.part("item-title") == "Ground"
        assert not any(row.holds for row in hands.page().checks)
        await hands.big(2)
        await hands.press("backspace")
        assert [item.key for item in hands.in_hand().checks_left()][:2] == ["clamp", "dam"]


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


async def test_figures_of_the_plan_are_shown_where_they_are_set(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        plan, notes = hands.in_hand().plan, {}
        while hands.screen_name == "SetupScreen":
            notes[hands.part("item-title")] = hands.part("item-note")
            await hands.big()
        assert f"{plan.depth.stops_mm[0]:.2f} mm" in notes["Depth stop"]
        assert plan.electrode.label in notes["Electrode"]
        assert plan.arc.range in notes["Current"]
        assert f"{plan.flush.catch_ml_10s:.0f} ml" in notes["Flush"]
        assert plan.cautions[0] in notes["Cautions of the material"]


async def test_the_key_that_ended_the_checklist_does_not_start_the_arc(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert checks.ARC_GUARD_S >= 0.5
    # Longer than it is, so that a slow computer does not sit out the guard between two keys.
    monkeypatch.setattr(checks, "ARC_GUARD_S", 30.0)
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        while hands.part("item-title") != "Guard on":
            await hands.big()
        await hands.big()
        assert hands.screen_name == "PilotScreen"
        await hands.pilot.pause(REPEAT_DELAY_S + 0.1)
        await hands.press("space")  # through the gate as the checks left it
        assert not hands.in_hand().live.arc_on
        assert hands.page().burns == ()


async def test_the_clean_out_is_kept_step_by_step(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CLEANOUT) as hands:
        left = hands.in_hand().cleanout_left()
        assert hands.part("item-look") == f"Look: {left[0][1]}"
        assert "pass over" not in hands.keys_line()
        await hands.press("k")
        assert not hands.field("word").display
        for key, text in left:
            await hands.big()
            assert (hands.page().checks[-1].item, hands.page().checks[-1].title) == (key, text)
        assert hands.screen_name == "OutcomeScreen"


async def test_a_caution_that_asks_for_it_is_taken_on_by_initials_and_not_by_a_key(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path) as hands:
        ticket = questions.ticket(hands.floor.store.connection, 1)
        titanium = ticket.model_copy(update={"material": "titanium"})
        hands.floor.take_up(1).correct(titanium)
        await hands.big()
        assert "! Fine particles and hot metal" in hands.part("plan")
        await hands.big()
        while hands.part("item-title") != "Cautions of the material":
            await hands.big()
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
        while hands.part("item-title") != "Cautions of the material":
            await hands.big()
        await hands.big()
        await hands.press("backspace")
        assert "take it on: your initials" in hands.big_key_line()
        assert not [row for row in hands.page().checks if row.item == "cautions"]
