from pathlib import Path

from cockpit.flow.steps import Step
from cockpit.log.rows import Result
from tests.screens.hands import cockpit_on


async def test_digits_answer_and_the_big_key_closes(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.OUTCOME) as hands:
        await hands.big()
        assert hands.page().outcome is None, "nothing is assumed"
        await hands.press("1", "9", "0", "1", "2", "3", "1")
        assert "close the hole" in hands.big_key_line()
        assert hands.page().outcome is None
        await hands.big()
        assert hands.screen_name == "BenchScreen"
        row = hands.page().outcome
        assert row is not None
        outcome = row.outcome
        assert outcome.result is Result.DONE
        assert (outcome.chased, outcome.gauged) == ("by hand to the old depth", "go does not pass")
        assert (outcome.bottom, outcome.marked) == ("marked by the burn", "yes")
        assert hands.page().row.step == Step.ENDED
        assert "1 closed this shift" in hands.part("totals")


async def test_anything_but_done_needs_a_word_why(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.OUTCOME) as hands:
        await hands.press("3", "2", "4", "2", "2")
        assert "why?" in hands.part("asks")
        await hands.big(2)
        await hands.big(key="enter")
        assert hands.screen_name == "OutcomeScreen"
        assert hands.page().outcome is None
        await hands.type("bolt 12")
        assert "ENTER" in hands.big_key_line()
        await hands.press("enter")
        await hands.big()
        row = hands.page().outcome
        assert row is not None
        assert (row.outcome.result, row.outcome.why) == (Result.GIVEN_UP, "bolt 12")


async def test_a_hole_left_for_later_is_proved_later_and_stays_on_the_bench(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.OUTCOME) as hands:
        await hands.press("2")
        await hands.say("no taps left")
        await hands.big()
        assert hands.screen_name == "BenchScreen"
        assert "4 waiting" in hands.part("totals")
        assert "► left " in hands.shown()
        await hands.big()
        assert hands.screen_name == "OutcomeScreen"


async def test_backspace_takes_an_answer_back(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.OUTCOME) as hands:
        await hands.press("4", "1", "backspace")
        assert "thread chased?" in hands.part("asks")
        await hands.press("backspace")
        assert "how did it end?" in hands.part("asks")
        await hands.press("2")
        assert hands.field("why").display
        await hands.press("backspace")
        assert not hands.field("why").display
        await hands.press("1")
        assert "thread chased?" in hands.part("asks")
