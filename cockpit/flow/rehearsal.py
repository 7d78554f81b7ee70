"""One invented hole from take-in to record, with nobody at the keys.

The same shop floor, hole, tracker and log as under the screens; only the operator is a script and
the time is moved on by hand.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from random import Random

from cockpit.burn.calls import CallKind
from cockpit.burn.reading import MarkKind
from cockpit.burn.state import BurnState
from cockpit.flow import demo
from cockpit.flow.clock import HandClock
from cockpit.flow.floor import ShopFloor
from cockpit.flow.hole import HoleInHand
from cockpit.flow.steps import BEFORE_THE_ARC
from cockpit.log import questions
from cockpit.log.questions import HolePage
from cockpit.log.rows import CheckResult, Outcome, Result

LOOK_EVERY_S = 0.5
#: How long the operator's hands need: for a check, and from arc off to the tip on the face, s.
CHECK_S = 6.0
TOUCH_S = 8.0
#: A rehearsal that burns longer than this has gone wrong, s.
LONGEST_ARC_S = 3600.0

#: A rehearsal that takes more electrodes than this has gone wrong.
MOST_ELECTRODES = 20

STOPPING = frozenset(
    {
        CallKind.LIMIT,
        CallKind.THROUGH,
        CallKind.TARGET,
        CallKind.AT_STOP,
        CallKind.STALLED,
        CallKind.SHORT,
    }
)


class RehearsalError(Exception):
    """The rehearsal did not come to its end."""


@dataclass(frozen=True, slots=True)
class Rehearsed:
    """A rehearsed hole: what the log holds of it, and where its burn ended."""

    page: HolePage
    state: BurnState


class Rehearsal:
    """A scripted operator at one hole. ``speed``: times real time; None as fast as it goes."""

    def __init__(self, folder: Path, seed: int, speed: float | None = None) -> None:
        self._clock = HandClock(datetime.now(UTC))
        self._floor = ShopFloor(folder, gauge=demo.GAUGE, clock=self._clock, seed=seed)
        self._chance = Random(seed)
        self._pace: Callable[[float], None] = (
            (lambda dt_s: time.sleep(dt_s / speed)) if speed else (lambda dt_s: None)
        )

    def run(self) -> Rehearsed:
        """Take in a hole, burn it, close it. Raises RehearsalError."""
        with self._floor as floor:
            hole = floor.take_up(self._take_in())
            hole.accept_plan()
            self._answer_checks(hole)
            self._pilot(hole)
            self._burn_to_target(hole)
            self._clean_and_close(hole)
            page = questions.page(floor.store.connection, hole.id)
            if page is None:
                raise RehearsalError("The rehearsed hole is not in the log.")
            return Rehearsed(page, hole.live.state())

    def _take_in(self) -> int:
        floor = self._floor
        if floor.shift is None:
            floor.open_shift(demo.OPERATOR)
        for item in floor.daily_left():
            self._wait(CHECK_S)
            floor.answer_daily(item, CheckResult.CONFIRMED)
        job, ticket = self._chance.choice(demo.HOLES)
        return floor.take_in_hole(floor.take_in_job(*demo.JOBS[job]), ticket)

    def _answer_checks(self, hole: HoleInHand) -> None:
        while hole.step in BEFORE_THE_ARC:
            for item in hole.checks_left():
                self._wait(CHECK_S)
                hole.answer_check(item, CheckResult.CONFIRMED)
            hole.checks_done()

    def _pilot(self, hole: HoleInHand) -> None:
        depth_mm = hole.plan.depth.recess_mm + hole.plan.pilot_mm
        self._burn(
            hole, lambda state: state.depth_mm is not None and state.depth_mm.mid >= depth_mm
        )
        hole.pilot_done()
        self._wait(CHECK_S)
        room_mm = hole.plan.electrode.allowed_offset_mm / 2
        verdict = hole.centre_checked(
            round(self._chance.uniform(-room_mm, room_mm), 2),
            round(self._chance.uniform(-room_mm, room_mm), 2),
        )
        if verdict.verdict != "go on":
            raise RehearsalError(f"The pilot burn was judged {verdict.verdict!r}.")

    def _burn_to_target(self, hole: HoleInHand) -> None:
        changed = 0
        while not hole.finished():
            self._answer_checks(hole)
            self._burn(hole, _enough_for(hole))
            if _calls(hole, CallKind.SHORT):
                changed += 1
                if changed > MOST_ELECTRODES:
                    raise RehearsalError(f"{changed} electrodes were not enough for the hole.")
                hole.change_electrode()
                continue
            hole.touch_off()
            self._wait(TOUCH_S)
            travel_mm = hole.live.pump().travel_mm
            if travel_mm is None:
                raise RehearsalError("The simulated gauge sent nothing at the reference face.")
            hole.measured(MarkKind.TOUCH, travel_mm)
            hole.burn_on()

    def _burn(self, hole: HoleInHand, enough: Callable[[BurnState], bool]) -> None:
        state = hole.arc_starts()
        began_s = state.arc_s
        while not enough(state):
            self._wait(LOOK_EVERY_S)
            state = hole.live.pump()
            if state.arc_s - began_s > LONGEST_ARC_S:
                raise RehearsalError("The burn came to no end within an hour of arc.")
        hole.arc_stops()

    def _clean_and_close(self, hole: HoleInHand) -> None:
        hole.clean_out()
        for key, text in hole.cleanout_left():
            self._wait(CHECK_S)
            hole.cleaned(key, text)
        hole.prove()
        self._wait(CHECK_S)
        hole.close(
            Outcome(
                Result.DONE,
                chased="by hand to the old depth",
                gauged="go passes, no-go stops",
                bottom="clean",
                marked="yes",
            )
        )

    def _wait(self, dt_s: float) -> None:
        self._clock.advance(dt_s)
        self._pace(dt_s)


def _calls(hole: HoleInHand, kind: CallKind) -> bool:
    return any(call.kind is kind for call in hole.live.state().standing)


def _enough_for(hole: HoleInHand) -> Callable[[BurnState], bool]:
    """What this operator stops at: a through hole is burnt until it falls through."""
    stopping = STOPPING - {CallKind.TARGET} if hole.ticket.through else STOPPING

    def enough(_: BurnState) -> bool:
        return any(call.kind in stopping for call in hole.live.standing)

    return enough


def rehearse(folder: Path, seed: int = 0, speed: float | None = None) -> Rehearsed:
    """Run one invented hole in ``folder``. Raises RehearsalError and whatever the floor raises."""
    return Rehearsal(folder, seed, speed).run()
