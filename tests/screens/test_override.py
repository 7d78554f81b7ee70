"""A figure of one's own in place of the plan's."""

from __future__ import annotations

from pathlib import Path

import pytest

from cockpit.log import questions
from tests.screens.hands import Hands, cockpit_on


async def to_override(hands: Hands) -> None:
    await hands.big()
    await hands.press("o")
    assert hands.screen_name == "OverrideScreen"


async def test_a_figure_is_overruled_by_number_value_and_word(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await to_override(hands)
        assert "21 target              18.00 mm" in hands.part("choices")
        await hands.say("21")
        assert "now   18.00 mm" in hands.part("choices")
        assert "from  end of the broken tool" in hands.part("choices")
        await hands.type("5/8 in")
        assert hands.part("understood") == "= 15.88 mm = 0.6250 in"
        await hands.big(key="enter")
        await hands.say("the tap is shorter")
        assert hands.screen_name == "PlanScreen"
        assert "target        15.88 mm*" in hands.part("plan")
        assert "* target 15.88 mm, not 18.00 mm; MT, 2031-05-06" in hands.part("plan")
        (kept,) = questions.overrides(hands.floor.store.connection, hands.in_hand().id)
        assert (kept.figure, kept.value, kept.who) == ("depth.target_mm", 15.875, "MT")
        await hands.press("s")
        assert "target 15.88 mm*: target 15.88 mm, not 18.00 mm; MT" in hands.part("plan")


async def test_it_is_shown_wherever_the_figure_is_shown(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.big()
        hole = hands.in_hand()
        hole.override("electrode.label", "3/16 in", "the only sharp one")
        hole.override("depth.stops_mm", 20.0, "stiff gauge")
        hole.override("depth.target_mm", 17.0, "seen on the print")
        hole.override("flush.rise_k", 9.0, "a chiller in the tank")
        await hands.press("u", "u")
        assert "flush warms   by 9 degrees C*" in hands.part("plan")
        await hands.big()
        seen = ""
        while hands.screen_name == "SetupScreen":
            seen += hands.shown()
            await hands.confirm()
        assert "3/16 in*, 4.76 mm across" in seen
        assert (
            "203.20 mm = 8.0000 in long when new; this hole needs 61.91 mm" in seen
        )  # 20 + 15 + 3 + 14 / (1 - 0.4145)
        assert "the indicator reads 20.00 mm = 0.7874 in*" in seen
        assert "* first stop 20.00 mm, not 21.79 mm; MT, 2031-05-06" in seen
        assert "stop 20.00* on the indicator" in hands.shown()
        drawn = [line.split()[-1] for line in hands.lines() if "target  " in line]
        assert drawn == ["17.00*"]


async def test_a_bare_number_is_in_the_operators_unit(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await to_override(hands)
        await hands.press("u")
        await hands.say("21")
        await hands.type("0.6")
        assert hands.part("understood") == "= 0.6000 in = 15.24 mm"


@pytest.mark.parametrize(
    ("chosen", "typed", "says"),
    [
        ("99", None, "is not one of the numbers above"),
        ("2", "4 x", 'web: "4 x" ends in "x"'),
        ("5", "1 ft", 'There is no electrode "1 ft" in the rack'),
        ("21", "2 mm", "leaves nothing to burn"),
    ],
)
async def test_what_can_not_be_is_said_and_asked_again(
    tmp_path: Path, chosen: str, typed: str | None, says: str
) -> None:
    async with cockpit_on(tmp_path) as hands:
        await to_override(hands)
        await hands.say(chosen)
        if typed is not None:
            await hands.say(typed)
            if hands.part("asks").startswith("Why"):
                await hands.say("a try")
        assert says in hands.part("complaint")
        assert hands.screen_name == "OverrideScreen"
        assert questions.overrides(hands.floor.store.connection, hands.in_hand().id) == []


async def test_the_rack_is_shown_where_an_electrode_is_to_be_named(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await to_override(hands)
        await hands.say("5")
        assert "rack  1/16 in (6), 3/32 in (6)" in hands.part("choices")
        await hands.say("3/16")
        await hands.say("the only sharp one")
        assert "electrode     3/16 in*" in hands.part("plan")


async def test_backspace_steps_back_and_nothing_is_kept(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await to_override(hands)
        await hands.say("2")
        await hands.say("3.9")
        assert hands.part("asks") == "Why? In a word."
        await hands.press("backspace")
        assert hands.part("asks") == "What instead?"
        await hands.press("backspace")
        assert hands.part("asks").startswith("Which figure?")
        await hands.press("backspace")
        assert hands.screen_name == "PlanScreen"
        assert "*" not in hands.part("plan")
        await hands.big()
        assert hands.screen_name == "SetupScreen"


async def test_an_override_is_taken_back_with_a_word(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await to_override(hands)
        await hands.say("2")
        await hands.say("3.9")
        await hands.say("measured")
        await hands.press("o")
        await hands.say("2")
        assert hands.part("asks") == "What instead; - takes it back?"
        await hands.say("-")
        await hands.say("it was another tap")
        assert "*" not in hands.part("plan")
        assert hands.in_hand().plan.remnant.web_mm == 4.0


async def test_a_figure_keeps_the_unit_it_was_typed_in(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.big()
        await hands.press("o")
        await hands.type("21", "enter")
        await hands.type("12", "enter")
        hands.app.switch_unit()
        await hands.type("shallow", "enter")
        assert hands.in_hand().plan.depth.target_mm == 12.0
