from pathlib import Path

from textual.widgets import DataTable

from cockpit.flow.steps import Step
from tests.screens.hands import cockpit_on


async def test_the_bench_says_what_each_hole_needs_next(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.GUARD) as hands:
        await hands.press("escape")
        assert hands.screen_name == "BenchScreen"
        assert "flange 3: guard on, then burn" in hands.big_key_line()
        assert "Harrowfield Pumps" in hands.shown()
        assert "4 waiting   0 closed this shift   arc 0:00" in hands.part("totals").replace(
            "00:00", "0:00"
        )
        assert "DEMO" in hands.part("title")
        await hands.press("down")
        assert "cover 1: plan it" in hands.big_key_line()
        await hands.big()
        assert hands.screen_name == "PlanScreen"
        assert "cover 1" in hands.part("title")


async def test_the_choice_stays_while_a_hole_is_in_hand(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.press("down", "down")
        await hands.press("u", "u")
        assert hands.screen.query_one(DataTable).cursor_row == 2


async def test_enter_is_the_big_key_too(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.big(key="enter")
        assert hands.screen_name == "PlanScreen"


async def test_a_closed_hole_can_be_looked_at(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.OUTCOME) as hands:
        await hands.press("1", "1", "1", "1", "1")
        await hands.big()
        await hands.press("down", "down", "down")
        assert "look at flange 3" in hands.big_key_line()
        await hands.big()
        assert hands.screen_name == "HolePageScreen"
        await hands.big()
        assert hands.screen_name == "BenchScreen"


async def test_quitting_leaves_everything_on_disk(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.press("q")
        assert hands.app.return_code == 0
        assert not hands.app.is_running
    async with cockpit_on(tmp_path, stocked=False) as hands:
        assert hands.screen_name == "BenchScreen"
        assert "4 waiting" in hands.part("totals")
