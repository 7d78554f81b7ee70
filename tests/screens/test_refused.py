"""What the log refuses is said on the screen that asked for it, and nothing else has changed."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from cockpit.burn.reading import Mark, MarkKind
from cockpit.flow.past import past_events
from cockpit.flow.steps import Step
from cockpit.screens.shared.leaving import LEAVE_AGAIN_S
from tests.screens.hands import Hands, cockpit_on


@contextmanager
def log_refuses(hands: Hands) -> Iterator[None]:
    """As on a full disk: whatever is written meanwhile fails, whatever is read does not."""
    connection = hands.floor.store.connection
    connection.execute("PRAGMA query_only = ON")
    yield
    connection.execute("PRAGMA query_only = OFF")


async def assert_refused_then_done(hands: Hands, key: str, leads_to: str) -> None:
    """The key does nothing but say why, until the log takes what it does."""
    screen, offered, step = hands.screen, hands.big_key_line(), hands.in_hand().step
    with log_refuses(hands):
        await hands.big(key=key)
        assert hands.screen is screen
        assert "can't be written" in hands.part("complaint")
        assert (hands.big_key_line(), hands.in_hand().step) == (offered, step)
    await hands.big(key=key)
    assert hands.screen_name == leads_to


async def test_a_plan_that_can_not_be_kept_is_not_accepted(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.big()
        await assert_refused_then_done(hands, "space", "SetupScreen")


@pytest.mark.parametrize(
    ("at", "key", "leads_to"),
    [
        (Step.CHECKS, "backspace", "PlanScreen"),
        (Step.PILOT, "backspace", "SetupScreen"),
        (Step.CENTRE, "p", "SetupScreen"),
        (Step.CENTRE, "space", "SetupScreen"),
        (Step.CLEANOUT, "backspace", "SetupScreen"),
    ],
)
async def test_a_step_that_can_not_be_kept_is_not_taken(
    tmp_path: Path, at: Step, key: str, leads_to: str
) -> None:
    async with cockpit_on(tmp_path, at=at) as hands:
        await assert_refused_then_done(hands, key, leads_to)


@pytest.mark.parametrize(
    ("key", "leads_to"),
    [("space", "TouchScreen"), ("t", "TouchScreen"), ("c", "CleanoutScreen")],
)
async def test_a_burn_that_can_not_be_left_still_knows_that_it_burnt(
    tmp_path: Path, key: str, leads_to: str
) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.big()
        for _ in range(60):
            if "AT THE STOP" in hands.shown():
                break
            await hands.passes(20.0)
        await hands.big()
        assert "touch off" in hands.big_key_line(), "the arc of this screen came to the stop"
        await assert_refused_then_done(hands, key, leads_to)


@pytest.mark.parametrize(
    ("key", "leads_to"),
    [("space", "SetupScreen"), ("c", "CleanoutScreen"), ("backspace", "SetupScreen")],
)
async def test_a_touch_off_that_can_not_be_left_is_still_there(
    tmp_path: Path, key: str, leads_to: str
) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.to_touch_off()
        if key == "space":
            await hands.big()
            assert "the stop is set" in hands.big_key_line()
        await assert_refused_then_done(hands, key, leads_to)


async def test_a_note_that_can_not_be_kept_stays_in_its_field(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.press("n")
        with log_refuses(hands):
            await hands.type("water grey", "enter")
            assert "can't be written" in hands.shown()
            assert "water grey" in hands.shown()
        await hands.press("enter")
        assert [note.text for note in hands.page().notes] == ["water grey"]
        assert hands.screen_name == "BurnScreen"


async def test_a_word_why_that_can_not_be_kept_stays_in_its_field(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        await hands.set_up("Dam and drain")
        await hands.press("k")
        with log_refuses(hands):
            await hands.type("plugged with clay", "enter")
            assert "can't be written" in hands.shown()
            assert hands.field("word").value == "plugged with clay"
        await hands.big(key="enter")
        assert "Passed over: Dam and drain (plugged with clay)" in hands.shown()
        assert not hands.asks_word()


async def test_a_shift_that_can_not_be_closed_stays_open_with_its_note(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.press("e")
        with log_refuses(hands):
            await hands.type("filter", "enter")
            assert "can't be written" in hands.shown()
            assert hands.floor.shift is not None
        await hands.press("enter")
        assert hands.floor.shift is None
        assert "filter" in hands.part("handover")


async def test_a_list_with_nothing_left_to_answer_goes_on_as_soon_as_the_log_lets_it(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path, at=Step.CLEANOUT) as hands:
        hole = hands.in_hand()
        for key, text in hole.cleanout_left():
            hole.cleaned(key, text)
        with log_refuses(hands):
            hands.app.follow()
            await hands.looks()
            assert hands.screen_name == "CleanoutScreen"
            assert "can't be written" in hands.part("complaint")
            assert "go on" in hands.big_key_line()
        await hands.big()
        assert hands.screen_name == "OutcomeScreen"


# What happens whether or not it can be kept -------------------------------------------------------


async def test_a_burn_goes_on_while_the_log_takes_nothing_and_says_so_until_it_does(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.big()
        await hands.passes(5.0)
        assert "LOG" not in hands.shown()
        with log_refuses(hands):
            before = hands.in_hand().live.state().readings
            await hands.passes(5.0)
            assert "▲▲ LOG ▲▲   log can't be written: free the disk" in hands.shown()
            assert "can't be written" in hands.part("complaint")
            assert hands.in_hand().live.state().readings > before
            await hands.big()
            assert "ARC OFF" in hands.shown()
            assert hands.big_key_line() == "SPACE  arc on: start the clock"
            await hands.passes(5.0)
        await hands.passes(2.0)
        assert "LOG ▲▲" not in hands.shown()
        assert hands.part("complaint") == ""
        page = hands.page()
        assert page.burns[-1].how == "operator"
        assert [call.call for call in page.calls].count("log") == 1


async def test_leaving_with_the_arc_on_takes_a_second_word(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.big()
        await hands.passes(5.0)
        await hands.press("ctrl+q")
        assert hands.part("complaint").startswith("The arc clock runs: put the arc off")
        assert hands.in_hand().live.arc_on
        await hands.press("ctrl+q")
        assert not hands.app.is_running
        assert hands.app.trouble == ""
        # Nobody put the arc off.
        assert hands.page().burns[-1].how == "cut short"


async def test_leaving_with_the_arc_on_names_what_would_be_lost_as_well(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.big()
        with log_refuses(hands):
            await hands.passes(5.0)
            await hands.press("ctrl+q")
            said = hands.part("complaint")
            assert said.startswith("The arc clock runs: put the arc off")
            assert "are in no log, and lost then. CTRL+Q again" in said


async def test_leaving_a_ticket_that_is_half_filled_in_takes_a_second_word(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.press("n")
        await hands.press("ctrl+q")
        assert not hands.app.is_running, "what is carried over is in the log"
    async with cockpit_on(tmp_path, stocked=False) as hands:
        await hands.press("n")
        await hands.type("Gimbal", "enter")
        await hands.press("ctrl+q")
        assert hands.part("complaint").startswith("The ticket that is half filled in would be gone")
        assert hands.app.is_running
        await hands.press("ctrl+q")
        assert not hands.app.is_running
        assert hands.app.trouble == ""


async def test_leaving_with_something_unkept_takes_a_second_word(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.big()
        with log_refuses(hands):
            await hands.passes(5.0)
            await hands.big()
            await hands.press("ctrl+q")
            await hands.looks()
            assert "are in no log, and lost then. CTRL+Q again" in hands.part("complaint")
            await hands.press("escape")
            assert hands.screen_name == "BurnScreen"
            assert "are not in the log yet" in hands.part("complaint")
            hands.app._asked_to_leave_s -= LEAVE_AGAIN_S
            await hands.press("ctrl+q")
            assert hands.app.is_running, "the word was given too long ago"
            await hands.press("ctrl+q")
            assert not hands.app.is_running
            assert hands.app.trouble.endswith("are in no log, and lost then.")


async def test_a_touch_off_that_can_not_be_kept_counts_and_says_so(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.to_touch_off()
        with log_refuses(hands):
            await hands.big()
            assert hands.part("asks").startswith("Taken, and not in the log yet.\n")
            assert "the stop is set" in hands.big_key_line()
        await hands.passes(2.0)
        assert hands.part("asks").startswith("Taken.\n")
        events = past_events(hands.floor.store.connection, 1)
        assert [mark.kind for mark in events if isinstance(mark, Mark)][-1] is MarkKind.TOUCH


# A log that can't be read -------------------------------------------------------------------------


async def test_a_damaged_trace_is_said_on_the_page_of_its_hole(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.big()
        await hands.passes(60.0)
        await hands.big()
        await hands.passes(2.0)
        hole_id = hands.in_hand().id
        saved = tmp_path / f"trace-{hole_id}.csv"
        await hands.press("escape", "l")
        hands.app.show_hole(hole_id)
        await hands.looks()
        await hands.press("x")
        assert str(saved) in hands.part("complaint")
        held = saved.read_bytes()
        await hands.press("backspace")
        connection = hands.floor.store.connection
        connection.execute("DROP TRIGGER traces_no_update")
        connection.execute("UPDATE traces SET body = x'00'")
        hands.app.show_hole(hole_id)
        await hands.looks()
        assert hands.screen_name == "HolePageScreen"
        assert f"trace of hole {hole_id} in the log can't be read" in hands.part("complaint")
        await hands.press("x")
        assert saved.read_bytes() == held
