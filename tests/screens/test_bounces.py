"""Two keys that come as one: what bounces is no second press, wherever the first one went."""

from __future__ import annotations

from math import inf
from pathlib import Path

from textual.events import Key

from cockpit.flow.steps import Step
from cockpit.log.rows import CheckResult
from cockpit.widgets.text_field import TextField
from tests.screens.hands import Hands, cockpit_on

CHARACTERS = {"enter": "\r", "space": " ", "f5": None, "escape": None, "backspace": None}


async def in_one_go(hands: Hands, *keys: str) -> None:
    """Keys as a slow line hands them over: all there before the first one has done anything."""
    # After a while of quiet.
    hands.app.gate.saw(-inf, "")
    for key in keys:
        hands.app.post_message(Key(key, CHARACTERS.get(key, key)))
    await hands.press()
    await hands.press()


async def test_the_bounce_that_keeps_a_note_starts_no_arc(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.press("n")
        await hands.type("sparks")
        await in_one_go(hands, "enter", "enter")
        assert hands.screen_name == "BurnScreen"
        assert [note.text for note in hands.page().notes] == ["sparks"]
        assert not hands.in_hand().live.arc_on


async def test_the_bounce_that_closes_the_keys_starts_no_arc(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.press("question_mark")
        await in_one_go(hands, "space", "space")
        assert hands.screen_name == "BurnScreen"
        assert not hands.in_hand().live.arc_on


async def test_the_bounce_that_passes_over_a_check_confirms_no_other(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        await hands.set_up("Dam and drain")
        await hands.press("k")
        await hands.type("plugged")
        before = len(hands.page().checks)
        await in_one_go(hands, "enter", "enter")
        assert len(hands.page().checks) == before + 1
        assert hands.page().checks[-1].result is CheckResult.SKIPPED


async def test_a_bounce_counts_once(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        before = len(hands.page().checks)
        await in_one_go(hands, "space", "space")
        assert len(hands.page().checks) == before + 1


async def test_the_big_key_right_behind_a_letter_does_nothing_of_its_own(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await in_one_go(hands, "t", "space")
        assert hands.screen_name == "TouchScreen"
        assert not hands.in_hand().live.arc_on


async def test_a_held_digit_answers_one_question(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.OUTCOME) as hands:
        await in_one_go(hands, "2", "2", "2")
        assert "left for later" in hands.shown()
        assert hands.page().outcomes == ()


async def test_a_held_backspace_steps_back_once(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        for _ in range(3):
            await hands.big()
        await in_one_go(hands, *["backspace"] * 6)
        assert "set-up 3 of 14" in hands.part("title")


async def test_a_pedal_puts_the_arc_off_over_a_note_which_is_there_again(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        hands.app.prefer(pedal="f5")
        await hands.big()
        await hands.press("n")
        await hands.type("spar")
        await in_one_go(hands, "f5")
        assert hands.screen_name == "BurnScreen"
        assert not hands.in_hand().live.arc_on
        await hands.press("n")
        assert hands.screen.query_one(TextField).value == "spar"


async def test_a_text_that_comes_in_one_go_is_a_text(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.press("n")
        await in_one_go(hands, *"Al", "space", *"Co", "enter")
        assert "Al Co" in hands.part("ticket")
        assert "► their reference" in hands.shown()


async def test_what_looks_like_a_digit_and_is_none_is_no_answer(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.OUTCOME) as hands:
        await in_one_go(hands, "²", "½", "٣")
        assert hands.in_hand().said == {}
        assert "is no key here" in hands.part("complaint")
