from pathlib import Path

from textual.widgets import DataTable

from tests.flow.school import TAUGHT, teach
from tests.screens.hands import Hands, cockpit_on


def line_of(hands: Hands, figure: str) -> str:
    return next(line for line in hands.lines() if line.strip().startswith(figure))


async def test_without_a_burn_it_says_that_all_is_assumed(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.press("w")
        assert "all of this is assumed" in hands.shown()
        assert "0.30 (0.13 to 0.68)" in line_of(hands, "burn rate")
        await hands.big()
        assert "No burn has taught anything yet" in hands.shown()
        assert "set aside" not in hands.keys_line()
        await hands.press("a", "backspace")
        assert hands.screen_name == "LearntScreen"


async def test_a_burn_is_set_aside_with_a_word_and_the_figures_move_at_once(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path) as hands:
        odd = teach(hands.floor.store, TAUGHT)[-1]
        await hands.press("w")
        before = line_of(hands, "burn rate")
        assert "10 burns" in before
        await hands.big()
        (chosen,) = (line for line in hands.lines() if "►" in line)
        assert f"UNLIKE  {odd} flange 10" in chosen
        await hands.press("a")
        await hands.press("enter")
        assert "Say it in a word; ESC leaves it." in hands.shown()
        await hands.type("the water was off")
        await hands.big(key="enter")
        assert "0 unlike the others   1 set aside" in hands.part("totals")
        assert "Set aside by MT" in hands.part("chosen")
        assert "the water was off" in hands.part("chosen")
        assert "A take in again" in hands.named_keys()
        (chosen,) = (line for line in hands.lines() if "►" in line)
        assert f"set aside  {odd} flange 10" in chosen, "it is still the one that is chosen"
        await hands.press("backspace")
        assert "9 burns" in line_of(hands, "burn rate")
        assert line_of(hands, "burn rate") != before
        await hands.big()
        await hands.press("a")
        await hands.type("it was the filter")
        await hands.big(key="enter")
        await hands.press("backspace")
        assert line_of(hands, "burn rate") == before


async def test_one_figure_after_the_other_is_listed_and_a_hole_looked_at(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        teach(hands.floor.store, TAUGHT)
        await hands.press("w")
        await hands.big()
        counts = []
        for _ in range(5):
            await hands.press("f")
            counts.append(hands.screen.query_one(DataTable).row_count)
        assert counts == [10, 10, 9, 1, 30]
        await hands.big()
        assert hands.screen_name == "HolePageScreen"
        await hands.press("backspace")
        assert hands.screen_name == "TaughtScreen"


async def test_lengths_are_in_the_unit_that_is_shown(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        teach(hands.floor.store, TAUGHT)
        await hands.press("w")
        assert "0.15 (0.07 to 0.23)" in line_of(hands, "arc gap")
        await hands.press("u")
        assert "0.0059 (0.0027 to 0.0091)" in line_of(hands, "arc gap")
        assert "880 (800 to 960)" in line_of(hands, "current")
        assert "in3 an hour for 100 A" in hands.shown()
