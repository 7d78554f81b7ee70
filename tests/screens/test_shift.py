from pathlib import Path

from cockpit.log import questions
from cockpit.log.rows import CheckResult
from tests.screens.hands import cockpit_on


async def test_a_shift_is_opened_by_initials_and_the_daily_check_comes_first(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path, stocked=False) as hands:
        assert hands.screen_name == "ShiftScreen"
        assert hands.big_key_line() == ""
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
        assert "filter" in hands.part("handover")
        assert "open the shift of MT" in hands.big_key_line()
        await hands.big()
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
        assert hands.part("handover") == ""


async def test_no_bench_is_promised_before_the_daily_check(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, daily_done=False) as hands:
        assert hands.screen_name == "DailyScreen"
        assert "bench" not in hands.keys_line()
        await hands.big()
        title = hands.part("item-title")
        await hands.press("escape")
        assert hands.part("item-title") == title
