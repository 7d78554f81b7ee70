"""Every screen at every size: drawn, and at 80 x 24 with its bottom lines in sight."""

import re
from pathlib import Path

import pytest

from cockpit.flow.steps import Step
from cockpit.widgets.next_line import NextLine
from tests.screens.hands import Hands, cockpit_on

SIZES = ((120, 40), (200, 60), (60, 20), (80, 24))
STEPS = (Step.CHECKS, Step.PILOT, Step.CENTRE, Step.GUARD, Step.BURN, Step.CLEANOUT, Step.OUTCOME)


async def at_every_size(hands: Hands) -> None:
    """Ends at 80 x 24, where the bottom lines must be whole and say how to find the other keys."""
    for width, height in SIZES:
        await hands.pilot.resize_terminal(width, height)
        await hands.pilot.pause()
        lines = hands.lines()
        assert len(lines) == height
        assert "".join(lines).strip()
    line = hands.screen.query_one(NextLine)
    assert line.region.bottom == 24
    assert line.region.height == 2
    assert hands.keys_line().endswith("? keys")
    if line.does:
        assert line.does in hands.big_key_line()


@pytest.mark.parametrize("at", STEPS)
async def test_a_step_of_a_hole(tmp_path: Path, at: Step) -> None:
    async with cockpit_on(tmp_path, at=at) as hands:
        assert hands.in_hand().step is at
        await at_every_size(hands)
        if at in (Step.PILOT, Step.BURN):
            await hands.big()
            await hands.passes(60.0)
            await at_every_size(hands)


async def test_the_touch_off(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.to_touch_off()
        await at_every_size(hands)
        await hands.big()
        assert "Taken." in hands.shown()
        await at_every_size(hands)


async def test_a_typed_gauge(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN, gauge="typed") as hands:
        await hands.big()
        await hands.type("8..5")
        assert '"8..5"' in hands.shown()
        await at_every_size(hands)


async def test_the_screens_around_a_hole(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.OUTCOME) as hands:
        await hands.press("escape")
        await at_every_size(hands)
        await hands.press("l")
        await at_every_size(hands)
        await hands.big()
        await at_every_size(hands)
        await hands.press("escape", "n")
        await at_every_size(hands)
        await hands.press("escape", "down")
        await hands.big()
        assert hands.screen_name == "PlanScreen"
        await at_every_size(hands)
        await hands.press("s")
        await at_every_size(hands)


async def test_the_screens_of_a_shift(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, stocked=False) as hands:
        await at_every_size(hands)
        await hands.say("MT")
        assert hands.screen_name == "DailyScreen"
        await at_every_size(hands)


@pytest.mark.parametrize("size", SIZES)
async def test_help_and_a_note_over_a_screen(tmp_path: Path, size: tuple[int, int]) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.pilot.resize_terminal(*size)
        await hands.press("question_mark")
        assert "Any key closes this." in hands.shown()
        await hands.press("space", "n")
        assert "ENTER keeps it" in hands.shown()


async def test_a_terminal_too_small_says_so_and_still_shows_clock_and_depth(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.big()
        await hands.passes(60.0)
        for size in ((79, 24), (80, 23), (40, 8)):
            await hands.pilot.resize_terminal(*size)
            await hands.looks()
            shown = hands.shown()
            assert f"{size[0]} × {size[1]}" in shown
            assert "80 × 24" in " ".join(shown.split())
            depth = hands.in_hand().live.state().depth_mm
            assert depth is not None
            assert f"depth {depth.mid:.2f} mm" in shown
            assert re.search(r"ARC ON  [12]:\d\d", shown)
        # The arc clock is stopped, whatever can be seen.
        await hands.big()
        assert "ARC OFF" in hands.shown()
        assert not hands.in_hand().live.arc_on
        await hands.pilot.resize_terminal(80, 24)
        assert "This terminal has" not in hands.shown()


async def test_what_cannot_be_seen_is_not_confirmed(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        await hands.pilot.resize_terminal(60, 20)
        before = len(hands.page().checks)
        await hands.big()
        assert "can't be seen" in hands.shown()
        assert len(hands.page().checks) == before
        await hands.pilot.resize_terminal(80, 24)
        await hands.big()
        assert len(hands.page().checks) == before + 1
