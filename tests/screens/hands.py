"""An operator's hands at a real cockpit: a log on disk, an invented burn, time moved on by hand."""

from __future__ import annotations

import asyncio
import re
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from math import inf
from pathlib import Path
from unittest.mock import patch

from textual.pilot import Pilot
from textual.screen import Screen
from textual.widgets import Static

from cockpit.app import CockpitApp
from cockpit.flow import demo
from cockpit.flow.clock import HandClock
from cockpit.flow.floor import ShopFloor
from cockpit.flow.hole import HoleInHand
from cockpit.flow.steps import Step
from cockpit.log import questions
from cockpit.log.questions import HolePage
from cockpit.log.rows import CheckResult
from cockpit.screens.shared import step
from cockpit.screens.shared.keygate import KeyGate
from cockpit.widgets.answer_input import AnswerInput

#: A message is handed on from widget to widget in fewer turns of the loop than this.
HOPS = 30
#: A check that the cockpit sees for itself is seen within so many looks.
LOOKS_AT_LIVE = 60
#: The screens of which one check after the other is confirmed, by what the gauge shows or a key.
CHECKS = ("SetupScreen", "DailyScreen")
BEGAN = datetime(2031, 5, 6, 7, 8, 9, tzinfo=UTC)


@dataclass
class Hands:
    """What a person can do at the cockpit, and see on it."""

    app: CockpitApp
    pilot: Pilot[None]
    clock: HandClock

    @property
    def floor(self) -> ShopFloor:
        return self.app.floor

    @property
    def screen(self) -> Screen[object]:
        return self.app.screen

    @property
    def screen_name(self) -> str:
        return type(self.app.screen).__name__

    async def press(self, *keys: str) -> None:
        # What the key before has set going, such as a focus, is over by the time of the next.
        await self.pilot.pause()
        before = ""
        for key in keys:
            await self._screen_is_there()
            if {key, before} - {*self.app.big_keys}:
                # A person takes longer from one key to another; the big key again is a bounce.
                self.app.gate.saw(-inf, "")
            before = key
            await self.pilot.press(key)
        await self._screen_is_there()
        for _ in range(HOPS):
            await asyncio.sleep(0)
        await self.pilot.pause()

    def rests(self) -> None:
        """So long no key is pressed that the next Backspace is not one more of a run."""
        for field in self.app.screen.query(AnswerInput):
            field._emptied_s = -inf

    async def _screen_is_there(self) -> None:
        """A person presses a key when the screen is there; one that comes sooner is not taken."""
        for _ in range(500):
            if getattr(self.app.screen, "is_ready", True):
                return
            await asyncio.sleep(0.01)
        raise AssertionError(f"{self.screen_name} was never ready")

    async def big(self, times: int = 1, key: str = "space") -> None:
        """Press the big key as a person does: long after the press before."""
        for _ in range(times):
            # The gate goes by the wall clock and would take these quick presses for a held key, or
            # hold them up after a check; a fresh gate is what it is after seconds of quiet.
            self.app.gate = KeyGate()
            await self.press(key)

    async def confirm(self) -> None:
        """Confirm the check on the screen; one that the cockpit sees for itself is waited for."""
        title = self.part("item-title")
        item = next(
            item
            for item in (*self.floor.checklist.daily, *self.floor.checklist.setup)
            if item.title == title
        )
        if item.live is None or not self.floor.gauge.profile.streaming:
            await self.passes(0.2)
            await self.big()
            return
        for _ in range(LOOKS_AT_LIVE):
            await self.passes(0.2)
            if self.screen_name not in CHECKS or self.part("item-title") != title:
                return
        if "L all as it was left" in self.keys_line():
            # Where that can be said, nothing confirms itself before a person has had a word.
            await self.big()
            return
        raise AssertionError(f"{title} was never seen:\n{self.shown()}")

    async def set_up(self, until: str = "") -> None:
        """Confirm one check after the other until one has this title, or all are confirmed."""
        while self.screen_name in CHECKS and self.part("item-title") != until:
            await self.confirm()

    async def type(self, text: str, *then: str) -> None:
        names = {" ": "space", "/": "slash", ".": "full_stop", "-": "minus", '"': "quotation_mark"}
        await self.press(*(names.get(letter, letter) for letter in text), *then)

    async def say(self, text: str) -> None:
        """Type it and press Enter."""
        await self.type(text)
        await self.big(key="enter")

    async def passes(self, seconds: float) -> None:
        """Let time pass at the machine, and let the screen see it."""
        self.clock.advance(seconds)
        await self.looks()

    async def looks(self) -> None:
        """Let the screen look at the gauge as it would within a fifth of a second."""
        await self._screen_is_there()
        self.app.screen.call_later(getattr(self.app.screen, "look", lambda: None))
        await self.pilot.pause()

    async def cut_short(self, arc_s: float) -> int:
        """Burn a while; the cockpit is gone in mid burn, and back at the bench. Gives the hole."""
        await self.big()
        await self.passes(arc_s)
        hole = self.in_hand()
        hole.keep()
        self.app.hole = None
        self.app.to_bench()
        await self.press()
        return hole.id

    async def to_touch_off(self, arc_s: float = 120.0) -> None:
        """Burn a while, stop, and go to the reference face."""
        await self.big()
        await self.passes(arc_s)
        await self.big()
        await self.press("t")
        await self.passes(5.0)
        assert self.screen_name == "TouchScreen"

    def lines(self) -> list[str]:
        """What stands on the terminal, line by line."""
        strips = self.app.screen._compositor.render_strips()
        return [strip.text for strip in strips]

    def shown(self) -> str:
        return "\n".join(self.lines())

    def big_key_line(self) -> str:
        return self.lines()[-2].strip()

    def keys_line(self) -> str:
        return self.lines()[-1].strip()

    def named_keys(self) -> list[str]:
        """The keys of the bottom line, each with what it does."""
        return re.split(" {2,}", self.keys_line())

    def part(self, name: str) -> str:
        """The text of one part of the screen."""
        return str(self.app.screen.query_one(f"#{name}", Static).content)

    def field(self, name: str = "") -> AnswerInput:
        where = f"#{name}" if name else ""
        return self.app.screen.query_one(f"AnswerInput{where}", AnswerInput)

    def asks_word(self) -> bool:
        """Whether the field for a word is in sight."""
        return self.app.screen.query_one("#word-line").display

    def page(self, hole_id: int = 1) -> HolePage:
        page = questions.page(self.floor.store.connection, hole_id)
        assert page is not None
        return page

    def in_hand(self) -> HoleInHand:
        assert self.app.hole is not None
        return self.app.hole


@asynccontextmanager
async def cockpit_on(
    tmp_path: Path,
    *,
    clock: HandClock | None = None,
    gauge: str = demo.GAUGE,
    size: tuple[int, int] = (80, 24),
    stocked: bool = True,
    daily_done: bool = True,
    at: Step | None = None,
) -> AsyncIterator[Hands]:
    """Open the cockpit on a log in ``tmp_path``.

    ``stocked``: with the demo's holes and an open shift. ``at``: the first hole was brought to this
    step, and is taken up again there.
    """
    clock = clock or HandClock(BEGAN)
    # Python's own tidying up would look through all that the tests hold, at every screen.
    untidy = patch.object(step, "tidy_up", lambda: None)
    with untidy, ShopFloor(tmp_path, gauge=gauge, clock=clock, seed=1) as floor:
        if stocked:
            demo.stock(floor)
        if floor.shift is not None and daily_done:
            for item in floor.daily_left():
                floor.answer_daily(item, CheckResult.CONFIRMED)
        if at is not None:
            bring_to(floor, clock, at)
        app = CockpitApp(floor)
        async with app.run_test(size=size) as pilot:
            hands = Hands(app, pilot, clock)
            await pilot.pause()
            if at is not None:
                await hands.big()
                if at in (Step.PILOT, Step.BURN):  # the guard comes before every arc
                    await hands.big()
                assert hands.in_hand().step is at
            yield hands


def bring_to(floor: ShopFloor, clock: HandClock, step: Step) -> None:
    """Bring the first hole to a step without a screen, as an earlier sitting would have."""
    hole = floor.take_up(1)
    moves = {
        Step.CHECKS: lambda: hole.accept_plan("MT"),
        Step.PILOT: lambda: _check(hole),
        Step.CENTRE: lambda: _burn_pilot(hole, clock),
        Step.GUARD: lambda: hole.centre_checked(0.0, 0.0),
        Step.BURN: lambda: _check(hole),
        Step.CLEANOUT: hole.clean_out,
        Step.OUTCOME: hole.prove,
    }
    for name, move in moves.items():
        if hole.step is step:
            break
        move()
        assert hole.step is name
    hole.leave()


def _check(hole: HoleInHand) -> None:
    for item in hole.checks_left():
        hole.answer_check(item, CheckResult.CONFIRMED)
    hole.checks_done()


def _burn_pilot(hole: HoleInHand, clock: HandClock) -> None:
    hole.arc_starts()
    clock.advance(60.0)
    hole.live.pump()
    hole.arc_stops()
    hole.pilot_done()
