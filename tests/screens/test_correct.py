"""What was wrong about a hole is said again from its page."""

from __future__ import annotations

from pathlib import Path

from cockpit.flow.steps import Step
from cockpit.log import questions
from tests.flow.walk import Walk
from tests.screens.hands import Hands, cockpit_on


async def open_correct(hands: Hands) -> None:
    """The page of a hole that is done, and the key on it."""
    walk = Walk(hands.floor, hands.floor.take_up(1)).to(Step.OUTCOME)
    walk.hole.note("tight")
    walk.step()
    hands.app.to_bench()
    hands.app.show_hole(1)
    await hands.press("c")
    assert hands.screen_name == "CorrectScreen"


async def answer(hands: Hands, text: str) -> None:
    await hands.type(text)
    await hands.press("enter")


async def test_a_reference_is_corrected_and_the_page_says_both(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await open_correct(hands)
        for text in ("2", "HP-2270", "figures swapped"):
            await answer(hands, text)
        assert hands.screen_name == "HolePageScreen"
        assert "the log keeps both" in hands.shown()
        await hands.press("7")
        told = " ".join(hands.part("told").split())
        assert "reference: HP-2270, was HP-2207; MT, figures swapped" in told


async def test_what_can_not_be_is_said_and_what_was_typed_is_there_to_be_mended(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path) as hands:
        await open_correct(hands)
        await hands.type("99")
        assert "not one of the numbers above" in hands.part("understood")
        await hands.press("enter")
        assert "Which is wrong?" in hands.part("asks")
        await hands.press("backspace", "backspace")
        number = next(
            line.split()[0] for line in hands.part("choices").splitlines() if "result" in line
        )
        await answer(hands, number)
        await answer(hands, "perfect")
        assert "is no end of a hole" in hands.shown()
        assert hands.field().value == "perfect"
        assert "What should it say?" in hands.part("asks")


async def pick(hands: Hands, words: str) -> None:
    """Choose what is wrong."""
    lines = hands.part("choices").splitlines()
    await answer(hands, next(line.split()[0] for line in lines if words in line))


async def test_a_number_stands_for_a_usual_answer_and_none_is_kept_as_one(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await open_correct(hands)
        await pick(hands, "gauged")
        assert " 3  no-go passes" in hands.part("choices")
        await answer(hands, "7")
        assert '"7" is not one of the numbers above.' in hands.shown()
        await hands.press("backspace")
        await hands.type("3")
        assert hands.part("understood") == "= no-go passes"
        await hands.press("enter")
        await answer(hands, "it was held the wrong way")
        outcome = hands.page().outcome
        assert outcome is not None
        assert outcome.outcome.gauged == "no-go passes"


async def test_another_material_is_told_with_what_it_was_burnt_without(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await open_correct(hands)
        await pick(hands, "material")
        await answer(hands, "unobtainium")
        assert "What should it say?" in hands.part("asks")
        await hands.press(*["backspace"] * len("unobtainium"))
        await answer(hands, "TITANIUM")
        choices = hands.part("choices")
        assert "  now   titanium\n" in choices
        assert "Burnt as cast iron, without these cautions of titanium:" in choices
        assert "hydrogen" in choices
        await answer(hands, "the drawing says so")
        assert hands.page().ticket.material == "titanium"


async def test_a_name_of_the_job_is_said_to_be_that_of_all_its_holes(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await open_correct(hands)
        await answer(hands, "2")
        await answer(hands, "HP-2270")
        holes = len(questions.of_job(hands.floor.store.connection, 1))
        assert holes > 1
        assert f"This is said of all {holes} holes of the part." in hands.part("choices")


async def test_a_width_is_typed_in_either_unit_and_needs_no_reason(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await open_correct(hands)
        lines = hands.part("choices").splitlines()
        number = next(line.split()[0] for line in lines if "width" in line)
        await answer(hands, number)
        await hands.type("0.2310 in")
        assert "5.87 mm" in hands.part("understood")
        await hands.press("enter")
        assert hands.screen_name == "HolePageScreen"
        assert hands.page().width_mm is not None
        await hands.press("2")
        assert "burnt hole" in hands.part("told")


async def test_backspace_steps_back_and_leaves_everything_as_it_was(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await open_correct(hands)
        await answer(hands, "1")
        await answer(hands, "Somebody else")
        hands.rests()
        await hands.press("backspace")
        assert hands.field().value == "Somebody else"
        await hands.press("escape")
        assert hands.screen_name == "BenchScreen"
        assert hands.page().corrections == ()
