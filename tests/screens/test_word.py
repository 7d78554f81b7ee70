"""The box for a few words: nothing under it is lost from sight, nothing typed into it is lost."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from cockpit.flow.steps import Step
from cockpit.screens.shared import leaving
from cockpit.screens.shared.arc import COVERED_EVERY
from cockpit.widgets.call_line import CallLine
from cockpit.widgets.text_field import TextField
from tests.screens.hands import Hands, cockpit_on
from tests.screens.test_refused import log_refuses


def box(hands: Hands) -> TextField:
    return hands.screen.query_one(TextField)


def calls_bottom(hands: Hands) -> int:
    """Where the line of calls ends, on the screen under the box."""
    return hands.app.screen_stack[-2].query_one(CallLine).region.bottom


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (160, 45)])
async def test_a_note_with_the_arc_on_leaves_depth_clock_and_calls_in_sight_and_live(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN, size=size) as hands:
        await hands.big()
        await hands.passes(20.0)
        await hands.press("n")
        assert hands.screen_name == "WordScreen"
        await hands.type("sparks look blue")
        burn = hands.app.screen_stack[-2]
        before = hands.lines()
        hands.clock.advance(61.0)
        for _ in range(COVERED_EVERY):
            burn.call_later(getattr(burn, "look"))  # noqa: B009  # as its own timer would
        await hands.press()
        after = hands.lines()
        assert " to go" in "".join(after)
        clocks = [re.findall(r" \d+:\d\d\b", "".join(lines)) for lines in (before, after)]
        assert all(clocks)
        assert clocks[0] != clocks[1], "the clock runs on"
        figure = burn.query_one("#depth").region
        assert figure.height >= 5
        # The box is the last few lines, and nothing else is.
        top = hands.screen.query_one("#box").region.y
        assert size[1] - top <= 4
        assert "no calls" in after[top - 1]
        assert "A note on this hole" in after[top]
        assert "sparks look blue" in after[top + 1]
        await hands.press("enter")
        assert hands.screen_name == "BurnScreen"
        assert "SPACE" in hands.big_key_line()
        assert hands.page().notes[0].text == "sparks look blue"


async def test_escape_keeps_what_was_typed_for_the_next_time(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.press("n")
        await hands.type("flush we")
        await hands.press("escape")
        assert hands.screen_name == "BurnScreen"
        assert hands.page().notes == ()
        await hands.press("n")
        assert box(hands).value == "flush we"
        await hands.type("ak", "enter")
        assert hands.page().notes[0].text == "flush weak"
        await hands.press("n")
        assert box(hands).value == "", "what was kept is not asked again"


async def test_a_note_waits_for_its_own_hole(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        kept: list[str] = []
        hands.app.ask_word("A note on this hole", kept.append)
        await hands.type("flush weak")
        await hands.press("escape", "escape", "down")
        await hands.big()
        hands.app.ask_word("A note on this hole", kept.append)
        await hands.press()
        assert box(hands).value == ""


async def test_what_the_log_refuses_is_said_and_stays(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.press("n")
        await hands.type("flush weak")
        with log_refuses(hands):
            await hands.press("enter")
            assert "can't be written" in hands.part("refused")
            assert calls_bottom(hands) == hands.screen.query_one("#box").region.y
            assert box(hands).value == "flush weak"
        await hands.big(key="enter")
        assert hands.page().notes[0].text == "flush weak"


async def test_a_box_over_a_smaller_terminal_still_leaves_the_call_line(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN, size=(120, 40)) as hands:
        await hands.press("n")
        await hands.pilot.resize_terminal(80, 24)
        await hands.press()
        assert "no calls" in hands.shown()
        assert "ENTER keeps it" in hands.lines()[-1]
        await hands.press("escape")
        assert "? keys" in hands.keys_line()


async def test_what_was_kept_is_said(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.press("n")
        await hands.type("water grey")
        await hands.press("escape")
        assert hands.part("complaint") == ""
        await hands.press("n", "enter")
        assert hands.part("complaint") == "Kept in the log."


async def test_what_was_kept_is_said_for_a_while_only(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(leaving, "TOLD_S", 0.05)
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.press("n")
        await hands.type("water grey")
        await hands.press("enter")
        for _ in range(100):
            if hands.part("complaint") == "":
                break
            await hands.pilot.pause(0.05)
        assert hands.part("complaint") == ""
        # What came instead is not taken away.
        await hands.press("n")
        await hands.type("water clear")
        await hands.press("enter")
        hands.app.complain("Something else.")
        await hands.pilot.pause(0.3)
        assert hands.part("complaint") == "Something else."
