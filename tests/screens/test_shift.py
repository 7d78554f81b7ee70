import re
from pathlib import Path

from cockpit.flow.steps import Step
from cockpit.log import questions
from cockpit.log.rows import CheckResult
from tests.screens.hands import cockpit_on


async def test_a_shift_is_opened_by_initials_and_the_daily_check_comes_first(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path, stocked=False) as hands:
        assert hands.screen_name == "ShiftScreen"
        assert hands.big_key_line() == "ENTER  once it is typed"
        await hands.big()
        assert hands.floor.shift is None
        assert "initials" in hands.part("complaint")
        await hands.say("RK")
        shift = hands.floor.shift
        assert shift is not None
        assert shift.operator == "RK"
        assert hands.screen_name == "DailyScreen"
        keys = [item.key for item in hands.floor.daily_left()]
        await hands.set_up()
        rows = questions.daily_checks(hands.floor.store.connection, shift.id)
        assert [row.item for row in rows] == keys
        *by_hand, gauge = [row.result for row in rows]
        assert set(by_hand) == {CheckResult.CONFIRMED}
        assert gauge is CheckResult.SEEN
        assert hands.screen_name == "BenchScreen"


async def test_the_next_shift_reads_the_handover_note(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.press("e")
        await hands.say("filter")
        assert hands.screen_name == "ShiftScreen"
        said = hands.part("handover")
        assert hands.part("last") == "The last shift was MT's, 2031-05-06 07:08 to 07:08."
        assert said == "Its note: filter"
        await hands.big()
        assert hands.floor.shift is None
        assert "Type your initials" in hands.part("complaint")
        await hands.type("MT")
        assert "open the shift of MT" in hands.big_key_line()
        await hands.press("enter")
        shift = hands.floor.shift
        assert shift is not None
        assert (shift.id, shift.operator) == (2, "MT")


async def test_a_shift_may_end_without_a_note_and_escape_does_not_end_it(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.press("e", "escape")
        assert hands.screen_name == "BenchScreen"
        assert hands.floor.shift is not None
        await hands.press("e", "enter")
        assert hands.floor.shift is None
        assert "It left no note." in hands.part("handover")


async def test_no_bench_is_promised_before_the_daily_check(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, daily_done=False) as hands:
        assert hands.screen_name == "DailyScreen"
        assert "bench" not in hands.keys_line()
        await hands.big()
        title = hands.part("item-title")
        await hands.press("escape")
        assert hands.part("item-title") == title


async def test_the_first_shift_of_all_says_that_initials_are_needed(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, stocked=False) as hands:
        assert hands.big_key_line().strip() == "ENTER  once it is typed"
        assert hands.part("last") == "No shift was closed here yet."
        assert hands.part("half-done") == ""


async def test_the_screen_of_a_shift_has_its_keys(tmp_path: Path) -> None:
    """Letters are initials here, so its keys are others; none leads to a bench that is not."""
    async with cockpit_on(tmp_path, stocked=False) as hands:
        assert hands.keys_line().startswith("CTRL+L shift log   CTRL+O preferences   CTRL+Q quit")
        assert hands.keys_line().endswith("? keys")
        assert "bench" not in hands.keys_line()
        await hands.press("ctrl+l")
        assert hands.screen_name == "ShiftLogScreen"
        await hands.press("backspace")
        assert hands.screen_name == "ShiftScreen"
        await hands.press("ctrl+q")
        assert hands.app.return_code == 0


async def test_a_shift_that_ends_says_what_it_came_to_and_what_is_half_done(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path, at=Step.GUARD) as hands:
        await hands.press("escape", "e")
        shown = hands.shown()
        assert "The shift ends: 0 holes closed, arc 1:00, 1 call." in shown
        assert "Half done: flange 3: guard on, then burn." in shown
        await hands.type("stop at 21.79, flush is weak")
        await hands.press("escape")
        assert hands.floor.shift is not None
        await hands.press("e", "enter")
        assert hands.floor.shift is None
        assert "Its note: stop at 21.79, flush is weak" in hands.part("handover")
        left = hands.part("half-done").splitlines()
        assert left == [
            "Left half done:",
            "  flange 3: guard on, then burn; arc 1:00, had by MT",
        ]


async def test_many_holes_half_done_are_scrolled_to_and_it_says_so(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        job, ticket = hands.page(1).row.job, hands.page(1).ticket
        for number in range(5, 31):
            label = ticket.model_copy(update={"hole": f"flange {number}"})
            hands.floor.take_up(hands.floor.take_in_hole(job.id, label)).accept_plan()
        hands.floor.close_shift("")
        hands.app.to_bench()
        await hands.press()
        assert "flange 5: set it up" in hands.shown()
        assert "flange 30: set it up" not in hands.shown()
        assert re.search(r"DOWN for \d+ more lines", hands.shown())
        await hands.press(*["down"] * 8)
        assert "flange 30: set it up" in hands.shown()
        assert "UP for" in hands.shown()
        assert "DOWN for" not in hands.shown()
        await hands.type("RK", "enter")
        shift = hands.floor.shift
        assert shift is not None
        assert shift.operator == "RK"


async def test_the_note_of_the_shift_before_stays_on_the_bench(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        assert not hands.screen.query_one("#handover").display
        await hands.press("e")
        await hands.say("pump leaks")
        await hands.type("RK")
        await hands.press("enter")
        while hands.screen_name == "DailyScreen":
            await hands.confirm()
        assert hands.part("handover") == "MT left word: pump leaks"
