"""The burn screens follow an arc clock that readings switch, and the big key wins."""

from __future__ import annotations

import time
from pathlib import Path

from cockpit.burn.calls import CallKind
from cockpit.flow.steps import Step
from cockpit.gauges import ArcHint
from cockpit.screens.shared.arc import TURNED_GUARD_S
from cockpit.screens.shared.keygate import KeyGate, Press
from tests.screens.hands import Hands, cockpit_on


class NotedGate(KeyGate):
    """A gate that remembers until when it was shut."""

    def __init__(self) -> None:
        super().__init__()
        self.shut_s: list[float] = []

    def shut_until(self, t_s: float) -> None:
        self.shut_s.append(t_s)
        super().shut_until(t_s)


async def at_the_machine(hands: Hands, on: bool, lasts_s: float) -> None:
    """Somebody switches the arc at the machine; the screen looks now and then."""
    hands.floor.gauge.hint(ArcHint(on))
    for _ in range(4):
        await hands.passes(lasts_s / 4)


async def test_the_pilot_screen_follows_from_arc_to_spot(tmp_path: Path, by_readings: str) -> None:
    async with cockpit_on(tmp_path, at=Step.PILOT, gauge=by_readings) as hands:
        assert hands.part("beside-arc").startswith("ARC OFF")
        assert hands.part("facts").endswith("arc by readings")
        await at_the_machine(hands, True, 20.0)
        assert hands.part("beside-arc").startswith("ARC ON")
        assert hands.part("facts").endswith("arc by readings")
        assert hands.big_key_line().endswith("arc off: stop the clock")
        assert "A arc on" not in hands.keys_line()
        await at_the_machine(hands, True, 120.0)
        standing = hands.in_hand().live.state().standing
        assert CallKind.PILOT in {call.kind for call in standing}
        await at_the_machine(hands, False, 12.0)
        assert hands.part("beside-arc").startswith("ARC OFF")
        assert "look at the spot" in hands.big_key_line()
        assert "A arc on" in hands.keys_line()
        await hands.big()
        assert hands.screen_name == "CentreScreen"


async def test_the_burn_screen_follows_to_the_stop_and_offers_the_touch_off(
    tmp_path: Path, by_readings: str
) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN, gauge=by_readings) as hands:
        hands.floor.gauge.hint(ArcHint(True))
        for _ in range(60):
            if "AT THE STOP" in hands.shown():
                break
            await hands.passes(20.0)
        assert "T touch off" not in hands.keys_line()
        await at_the_machine(hands, False, 12.0)
        assert "touch off" in hands.big_key_line()
        await hands.big()
        assert hands.screen_name == "TouchScreen"
        await at_the_machine(hands, True, 30.0)
        assert not hands.in_hand().live.arc_on


async def test_who_switched_the_clock_has_room_on_the_smallest_screen(
    tmp_path: Path, by_readings: str
) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN, gauge=by_readings) as hands:
        await hands.press("m")
        await at_the_machine(hands, True, 900.0)
        assert hands.part("beside-arc").startswith("ARC ON\n1")
        assert hands.part("facts").endswith("arc by readings")
        assert "arc by readings" in hands.shown()


async def test_space_wins_over_readings(tmp_path: Path, by_readings: str) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN, gauge=by_readings) as hands:
        await at_the_machine(hands, True, 20.0)
        await hands.big()
        assert hands.part("beside-arc").startswith("ARC OFF")
        assert hands.part("facts").endswith("arc by key")
        await at_the_machine(hands, True, 30.0)
        assert hands.part("beside-arc").startswith("ARC OFF")
        assert "arc on" in hands.big_key_line()
        await hands.big()
        assert hands.part("beside-arc").startswith("ARC ON")
        assert hands.part("facts").endswith("arc by key")


async def test_a_press_meant_for_what_stood_there_before_is_not_taken(
    tmp_path: Path, by_readings: str
) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN, gauge=by_readings) as hands:
        gate = hands.app.gate = NotedGate()
        await at_the_machine(hands, True, 2.0)
        assert gate.shut_s == []
        began_s = time.monotonic()
        await at_the_machine(hands, True, 20.0)
        assert hands.in_hand().live.arc_on
        (shut_s,) = gate.shut_s
        assert shut_s >= began_s + TURNED_GUARD_S
        assert gate.press(shut_s - 0.1) is Press.DROPPED
        assert gate.press(shut_s + 10.0) is Press.TAKEN


async def test_by_key_alone_no_word_is_said_of_it(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        assert "by" not in hands.part("facts")
        await at_the_machine(hands, True, 20.0)
        assert "by" not in hands.part("facts")
        assert not hands.in_hand().live.arc_on
