from pathlib import Path

from cockpit.flow.steps import Step
from cockpit.log.rows import Outcome, Result
from tests.screens.hands import Hands, cockpit_on


async def test_digits_answer_and_the_big_key_closes(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.OUTCOME) as hands:
        await hands.big()
        assert "Press a number: the target was never reached." in hands.part("complaint")
        assert hands.big_key_line() == "SPACE  nothing: press a number"
        assert hands.page().outcome is None, "nothing is assumed"
        await hands.press("1", "9", "0", "1", "2", "3", "1")
        assert "close the hole" in hands.big_key_line()
        assert hands.page().outcome is None
        await hands.big()
        assert hands.screen_name == "BenchScreen"
        assert hands.part("complaint") == "flange 3: closed, and in the log."
        row = hands.page().outcome
        assert row is not None
        outcome = row.outcome
        assert outcome.result is Result.DONE
        assert (outcome.chased, outcome.gauged) == ("by hand to the old depth", "go does not pass")
        assert (outcome.bottom, outcome.marked) == ("touched by the burn", "yes")
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
        assert "4 to do" in hands.part("totals")
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


async def clean_out(hands: Hands) -> None:
    assert hands.screen_name == "CleanoutScreen"
    while hands.screen_name == "CleanoutScreen":
        await hands.big()
    assert hands.screen_name == "OutcomeScreen"


async def at_the_outcome_of_a_good_burn(hands: Hands) -> None:
    """From the arc to the questions, the burn at its target above the bottom."""
    while hands.screen_name != "CleanoutScreen":
        if hands.screen_name == "BurnScreen" and hands.in_hand().live.arc_on:
            while not any(call.kind == "target" for call in hands.in_hand().live.standing):
                await hands.passes(5.0)
        if hands.screen_name == "TouchScreen":
            await hands.passes(5.0)
        await hands.big()
    await clean_out(hands)


async def test_the_big_key_alone_closes_a_hole_that_went_as_it_should(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await at_the_outcome_of_a_good_burn(hands)
        for words in (
            "how did it end: done",
            "thread chased: by hand to the old depth",
            "gauged: not gauged",
            "bottom of the hole: not looked at",
            "marked on the part: yes",
        ):
            assert words in hands.big_key_line()
            await hands.big()
        assert "not gauged" in hands.part("said")
        assert "close the hole" in hands.big_key_line()
        assert hands.page().outcome is None
        await hands.big()
        assert hands.screen_name == "BenchScreen"
        row = hands.page().outcome
        assert row is not None
        assert row.outcome == Outcome(
            Result.DONE, "by hand to the old depth", "not gauged", "not looked at", "yes"
        )


async def test_what_the_hole_is_not_done_for_is_never_said_by_the_big_key(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await at_the_outcome_of_a_good_burn(hands)
        await hands.press("4")
        for _ in range(4):
            assert hands.big_key_line() == "SPACE  nothing: press a number"
            await hands.big()
            assert "Press a number: the hole is damaged." in hands.part("complaint")
            await hands.press("2")
        assert "why?" in hands.part("asks")


async def test_answers_stay_when_somebody_steps_back_to_the_clean_out(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.OUTCOME) as hands:
        await hands.press("backspace")
        await clean_out(hands)
        await hands.press("1", "2")
        assert "gauged?" in hands.part("asks")
        hole = hands.in_hand()
        hole.back_to(Step.CLEANOUT)
        hands.app.follow()
        await hands.press()
        await clean_out(hands)
        assert "gauged?" in hands.part("asks")


async def test_a_hole_that_was_stopped_off_centre_steps_back_to_its_spot(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CENTRE) as hands:
        await hands.type("4", "enter")
        await hands.big(key="enter")
        await hands.big()
        assert "The spot was too far off centre." in hands.part("asks")
        assert hands.big_key_line() == "SPACE  nothing: press a number"
        await hands.press("backspace")
        assert hands.screen_name == "CentreScreen"


async def test_a_letter_that_answers_nothing_is_said_to_and_the_next_press_closes_nothing(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path, at=Step.OUTCOME) as hands:
        hole = hands.in_hand()
        await hands.press("1")
        before = dict(hole.said)
        for key in ("z", "9"):
            await hands.press(key)
            assert f'"{key}" is no key here.' in hands.part("complaint")
            hands.rests()
            await hands.big()
            assert "something else was typed" in hands.part("complaint")
            assert hole.said == before
        await hands.press("2")
        assert len(hole.said) == len(before) + 1
        assert hands.part("complaint") == ""


async def test_the_width_of_the_burnt_hole_is_kept_for_the_next_plans(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.OUTCOME) as hands:
        await hands.press("w")
        await hands.type("2 mm")
        await hands.press("enter")
        # No arc burns less wide than its electrode: said, and what was typed is there.
        assert "an arc burns a little wider" in " ".join(hands.shown().split())
        await hands.press(*["backspace"] * 4)
        await hands.type("5.9")
        await hands.press("enter")
        assert "burnt hole" in hands.part("said")
        assert "5.90 mm" in hands.part("said")
        assert hands.page().width_mm == 5.9
