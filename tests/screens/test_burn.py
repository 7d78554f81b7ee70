import time
from pathlib import Path

import pytest
from textual.widgets import Static

from cockpit.burn.calls import CallKind
from cockpit.burn.reading import MarkKind, Reading
from cockpit.flow.steps import Step
from cockpit.log import questions
from cockpit.log.rows import BurnKind
from cockpit.screens.burn import WARNED_S, BurnScreen
from cockpit.screens.shared.keygate import KeyGate
from cockpit.units import LengthUnit
from cockpit.widgets.block_figures import BlockFigures
from cockpit.widgets.quantity_input import QuantityInput
from tests.screens.hands import Hands, cockpit_on
from tests.screens.moments import Head


def figure(hands: Hands, which: str = "depth") -> str:
    return hands.screen.query_one(f"#{which}", BlockFigures).text


async def burn_to_the_stop(hands: Hands) -> None:
    await hands.big()
    for _ in range(60):
        if "AT THE STOP" in hands.shown():
            break
        await hands.passes(20.0)


async def test_the_arc_is_in_the_log_when_the_screen_says_so(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.PILOT) as hands:
        assert "arc on: a short pilot burn" in hands.big_key_line()
        await hands.big()
        assert "ARC ON" in hands.part("beside-arc")
        assert "arc off" in hands.big_key_line()
        (burn,) = hands.page().burns
        assert (burn.kind, burn.end_s) == (BurnKind.PILOT, None)
        await hands.passes(60.0)
        await hands.big()
        assert "ARC OFF" in hands.part("beside-arc")
        (burn,) = hands.page().burns
        assert burn.arc_s == 60.0
        assert "look at the spot" in hands.big_key_line()
        await hands.big()
        assert hands.screen_name == "CentreScreen"


async def test_an_arc_that_left_no_spot_is_followed_by_another(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.PILOT) as hands:
        await hands.big()
        await hands.passes(3.0)
        await hands.big()
        assert "arc on: a short pilot burn" in hands.big_key_line()


async def test_the_pilot_says_when_it_is_deep_enough(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.PILOT) as hands:
        await hands.big()
        await hands.passes(5.0)
        assert "PILOT" not in hands.shown()
        while not hands.in_hand().live.standing:
            await hands.passes(1.0)
        assert "■■■ PILOT ■■■" in hands.shown()


async def test_a_pilot_that_goes_on_is_called_once_more_and_louder(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.PILOT) as hands:
        await hands.big()
        while not hands.in_hand().is_spot_too_deep():
            assert "TOO DEEP" not in hands.shown()
            await hands.passes(1.0)
        await hands.passes(0.2)
        assert "■■■ TOO DEEP ■■■" in hands.shown()
        assert "also" not in hands.shown(), "that it is deep enough goes without saying"
        kinds = [call.call for call in hands.page().calls]
        assert kinds == [CallKind.PILOT, CallKind.TOO_DEEP]
        await hands.big()
        assert "TOO DEEP to be moved: look" in hands.shown()
        assert not hands.in_hand().live.standing
        assert hands.page().calls[-1].call == CallKind.TOO_DEEP


async def test_backspace_on_the_pilot_leads_back_to_the_checks(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.PILOT) as hands:
        await hands.press("backspace")
        assert hands.screen_name == "SetupScreen"
        assert "Guard on" in hands.shown()
        await hands.big()
        assert hands.screen_name == "PilotScreen"


async def test_what_needs_the_arc_off_is_not_offered_while_it_is_on(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        off = hands.keys_line()
        assert "T touch off" in off
        assert "C clean out" in off
        await hands.big()
        on = hands.keys_line()
        for words in ("touch off", "clean out", "A arc on", "BACKSPACE", "ESC"):
            assert words not in on
        assert "N note" in on
        assert "? keys" in on
        for key in ("t", "c", "a", "e", "escape", "backspace"):
            hands.screen.query_one("#complaint", Static).update("")
            await hands.press(key)
            assert hands.screen_name == "BurnScreen"
            assert (
                "The arc clock runs: put the arc off at the machine, then here with SPACE."
                in hands.shown()
            )
        assert hands.in_hand().live.arc_on
        assert len(hands.page().burns) == 2


async def test_escape_with_the_arc_off_keeps_the_hole_where_it_stands(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.press("escape")
        assert hands.screen_name == "BenchScreen"
        assert hands.page().row.step == Step.BURN
        assert "burn" in hands.big_key_line()


async def test_backspace_leads_to_the_guard_and_from_there_to_the_bench(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.press("backspace")
        assert hands.in_hand().step is Step.GUARD
        await hands.big()
        assert hands.screen_name == "BurnScreen"
        await hands.press("backspace", "backspace")
        assert hands.screen_name == "BenchScreen"
        assert hands.page().row.step == Step.GUARD


async def test_calls_are_shown_and_kept_and_the_stop_leads_to_the_touch_off(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        assert "no calls" in hands.shown()
        await burn_to_the_stop(hands)
        standing = hands.in_hand().live.state().standing
        assert standing
        assert standing[0].text[:30] in hands.shown()
        assert {call.kind for call in standing} <= {call.call for call in hands.page().calls}
        await hands.big()
        assert "touch off" in hands.big_key_line()
        await hands.big()
        assert hands.screen_name == "TouchScreen"


async def test_a_stalled_burn_is_called(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN, gauge="typed") as hands:
        await hands.big()
        await hands.say("5")
        for _ in range(40):
            hands.clock.advance(5.0)
            await hands.say("5")
        assert "STALLED" in hands.shown()
        assert [call.call for call in hands.page().calls] == ["stalled"]


async def test_readings_of_the_arc_are_in_the_log(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        before = len(questions.events(hands.floor.store.connection, 1))
        await hands.big()
        await hands.passes(60.0)
        await hands.big()
        events = questions.events(hands.floor.store.connection, 1)[before:]
        assert sum(isinstance(event, Reading) for _, event in events) >= 0.95 * 600


async def test_the_unit_changes_every_figure(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.big()
        await hands.passes(60.0)
        depth = hands.in_hand().live.state().depth_mm
        assert depth is not None
        assert figure(hands) == f"{depth.mid:.2f}"
        assert hands.part("beside-depth").startswith("depth\nmm\n±")
        assert figure(hands, "target") == "18.00"
        await hands.press("u")
        assert figure(hands) == f"{depth.mid / 25.4:.3f}"
        assert hands.part("beside-depth").startswith("depth\nin\n±")
        assert figure(hands, "target") == "0.709"
        assert "in/min" in hands.part("facts")
        for part in ("facts", "beside-depth", "beside-target"):
            assert "mm" not in hands.part(part)
        await hands.press("u")
        assert hands.part("beside-depth").startswith("depth\nmm\n±")
        assert figure(hands, "target") == "18.00"


async def test_a_typed_reading_reaches_the_tracker(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN, gauge="typed") as hands:
        await hands.big()
        hands.clock.advance(30.0)
        await hands.say("8.5")
        await hands.passes(1.0)
        assert hands.in_hand().live.state().travel_mm == 8.5
        assert hands.field().value == ""
        readings = [
            event
            for _, event in questions.events(hands.floor.store.connection, 1)
            if isinstance(event, Reading)
        ]
        assert readings[-1].travel_mm == 8.5


async def test_a_typed_reading_is_taken_as_it_was_shown(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN, gauge="typed") as hands:
        await hands.press("u")
        await hands.big()
        await hands.type(".25")
        assert hands.app.unit is LengthUnit.INCH
        shown = hands.screen.query_one(QuantityInput).understood.mm
        assert "ENTER" in hands.big_key_line()
        await hands.press("enter")
        await hands.looks()
        assert hands.in_hand().live.state().travel_mm == shown == 6.35


async def test_what_a_gauge_types_is_in_its_own_unit_whatever_the_screen_shows(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN, gauge="typed-by-gauge") as hands:
        await hands.press("u")
        await hands.big()
        await hands.type("+6.35")
        assert hands.app.unit is LengthUnit.INCH
        assert "6.35 mm = 0.2500 in" in hands.shown()
        await hands.press("enter")
        await hands.looks()
        assert hands.in_hand().live.state().travel_mm == 6.35


async def test_a_wrong_reading_is_said_beside_the_field_and_kept(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN, gauge="typed") as hands:
        await hands.big()
        await hands.say("8..5")
        assert hands.screen.query_one(QuantityInput).has_class("-wrong")
        assert hands.field().value == "8..5"
        assert hands.in_hand().live.state().readings == 0


async def test_letters_stay_commands_beside_the_field(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN, gauge="typed") as hands:
        await hands.press("m")
        assert hands.app.muted
        assert hands.lines()[0].rstrip().endswith("MUTED")
        await hands.press("u")
        assert hands.app.unit is LengthUnit.INCH
        assert hands.field().value == ""


async def test_a_note_is_kept_and_escape_keeps_none(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.big()
        await hands.press("n")
        await hands.type("water grey", "enter")
        assert hands.screen_name == "BurnScreen"
        await hands.press("n")
        await hands.type("no", "escape")
        assert [note.text for note in hands.page().notes] == ["water grey"]
        assert hands.in_hand().live.arc_on


async def test_leaving_ends_the_burn_in_the_log(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.big()
        await hands.passes(10.0)
        await hands.press("ctrl+q", "ctrl+q")
        assert hands.page().burns[-1].arc_s == 10.0


async def test_whoever_steps_back_from_the_spot_is_not_sent_to_burn_another(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CENTRE) as hands:
        await hands.press("backspace")
        assert hands.part("item-title") == "Guard on"
        await hands.big()
        assert hands.screen_name == "PilotScreen"
        assert "look at the spot" in hands.big_key_line()
        await hands.big()
        assert hands.screen_name == "CentreScreen"
        assert not hands.in_hand().live.arc_on
        far_mm = hands.in_hand().plan.electrode.allowed_offset_mm + 0.2
        await hands.type(f"{far_mm:.2f}", "enter")
        await hands.big(key="enter")
        await hands.big(2)
        assert hands.screen_name == "PilotScreen"
        assert "arc on" in hands.big_key_line(), "a spot that was moved is burnt anew"


async def test_what_is_no_key_starts_no_clock_and_holds_up_no_arc_that_is_put_off(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.type("5")
        assert '"5" is no key here' in hands.part("complaint")
        await hands.big()
        assert not hands.in_hand().live.arc_on
        await hands.big()
        assert hands.in_hand().live.arc_on
        await hands.type("5")
        await hands.big()
        assert not hands.in_hand().live.arc_on


async def test_what_may_be_reached_is_not_told_to_go_on(tmp_path: Path) -> None:
    """The chance that it is deep enough counts, beside a figure that says how far it is."""
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.big()
        await hands.passes(60.0)
        assert "to go" in hands.part("beside-target")
        await hands.passes(150.0)
        assert "TARGET" in hands.shown()
        assert hands.part("beside-target").endswith("may be there")


@pytest.mark.parametrize(
    ("kind", "named", "first", "on_the_bench"),
    [
        (CallKind.THROUGH, "THROUGH", "clean out", "clean it out"),
        (CallKind.LIMIT, "LIMIT", "touch off", "guard on, touch off"),
    ],
)
async def test_an_arc_against_a_call_has_to_be_asked_for_twice(
    tmp_path: Path, kind: CallKind, named: str, first: str, on_the_bench: str
) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        head = Head(hands)
        await hands.big()
        await head.goes(3.0, 60.0)
        await head.goes_until(kind, 1.0, 0.4 if kind is CallKind.THROUGH else 20.0)
        await hands.big()
        await hands.press("a")
        assert not hands.in_hand().live.arc_on
        offered = "E electrode" in hands.keys_line()
        assert offered is (kind is not CallKind.THROUGH), "nothing is left to burn after a fall"
        said = hands.part("complaint")
        assert said.startswith(named)
        assert said.endswith(f"stands: {first} first; A again burns on.")
        await hands.press("escape")
        assert f"flange 3: {on_the_bench}" in hands.big_key_line()
        await hands.big()
        while hands.screen_name == "SetupScreen":
            await hands.big()
        hands.app.gate.shut_until(time.monotonic() + 60.0)
        await hands.press("a")
        assert hands.part("complaint") == "", "a key that comes with the last check is not taken"
        hands.app.gate = KeyGate()
        await hands.press("a")
        assert not hands.in_hand().live.arc_on
        screen = hands.screen
        assert isinstance(screen, BurnScreen)
        told, told_s = screen._warned
        screen._warned = told, told_s - WARNED_S
        await hands.press("a")
        assert not hands.in_hand().live.arc_on, "what was said long ago is said again"
        await hands.press("a")
        assert hands.in_hand().live.arc_on


async def test_a_measurement_does_away_with_what_the_bench_asks_for(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        head = Head(hands)
        await hands.big()
        await head.goes_until(CallKind.TARGET, 1.0, 20.0)
        await hands.big()
        hole = hands.in_hand()
        hole.touch_off()
        hole.measured(MarkKind.TOUCH, 0.25 * (head.travel_mm - 3.0))
        await hands.press("escape")
        assert "flange 3: guard on, then burn" in hands.big_key_line()
