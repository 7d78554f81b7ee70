from pathlib import Path

import pytest
from textual.events import Key
from textual.widgets import Static

from cockpit.flow.steps import Step
from tests.screens.hands import cockpit_on


@pytest.mark.parametrize("at", [None, Step.CHECKS, Step.CENTRE, Step.BURN, Step.OUTCOME])
async def test_help_shows_the_keys_of_its_screen_and_any_key_closes_it(
    tmp_path: Path, at: Step | None
) -> None:
    async with cockpit_on(tmp_path, at=at) as hands:
        name, keys = hands.screen_name, hands.named_keys()
        does = hands.big_key_line().removeprefix("SPACE").strip()
        await hands.press("question_mark")
        assert hands.screen_name == "HelpScreen"
        said = "\n".join(str(one.content) for one in hands.screen.query(Static))
        assert f"SPACE or ENTER   {does or 'nothing just now'}" in said
        for key in keys:
            assert f"\n{key.split()[0]} " in said, key
        await hands.press("space")
        assert hands.screen_name == name
        assert hands.big_key_line().removeprefix("SPACE").strip() == does


async def test_two_keys_in_a_burst_close_help_and_not_the_screen_under_it(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.press("question_mark")
        assert hands.screen_name == "HelpScreen"
        for _ in range(2):
            hands.app.post_message(Key("x", "x"))
        await hands.press()
        assert hands.screen_name == "BenchScreen"


@pytest.mark.parametrize(
    "at", [None, Step.CHECKS, Step.PILOT, Step.CENTRE, Step.BURN, Step.CLEANOUT, Step.OUTCOME]
)
async def test_all_of_it_is_in_sight_at_the_smallest_size(tmp_path: Path, at: Step | None) -> None:
    async with cockpit_on(tmp_path, at=at) as hands:
        await hands.press("question_mark")
        assert "CTRL+P           Everything, by name" in hands.shown()


async def test_all_of_the_plans_is_in_sight_at_the_smallest_size(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.big()
        await hands.press("question_mark")
        assert "CTRL+P           Everything, by name" in hands.shown()
        assert "PAGE DOWN" in hands.shown()
