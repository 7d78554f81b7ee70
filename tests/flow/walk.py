"""A hole walked from take-in to outcome on a simulated gauge, the time moved on by hand."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

from cockpit.burn.reading import MarkKind
from cockpit.flow.clock import HandClock
from cockpit.flow.floor import ShopFloor
from cockpit.flow.hole import HoleInHand
from cockpit.flow.steps import Step
from cockpit.log.rows import CheckResult, Outcome, Result
from cockpit.trade.ticket import Ticket
from tests.log.conftest import TICKET

#: Short, so that a test need not burn for long.
SHALLOW = TICKET.model_copy(update={"depth_mm": 9.0, "tool_end_mm": 6.0})


@contextmanager
def open_floor(
    folder: Path, clock: HandClock | None = None, seed: int = 1, gauge: str = "simulated"
) -> Iterator[ShopFloor]:
    """A shop floor with a shift open."""
    clock = clock or HandClock(datetime(2026, 5, 4, 9, 30, tzinfo=UTC))
    with ShopFloor(folder, gauge=gauge, clock=clock, seed=seed) as floor:
        if floor.shift is None:
            floor.open_shift("MT")
        yield floor


class Walk:
    """Somebody who does to a hole what its step asks for."""

    def __init__(self, floor: ShopFloor, hole: HoleInHand) -> None:
        self.floor = floor
        self.hole = hole
        assert isinstance(floor.clock, HandClock)
        self.clock = floor.clock

    @classmethod
    def of(cls, floor: ShopFloor, ticket: Ticket = SHALLOW) -> Walk:
        """Take the hole in, and in hand."""
        job = floor.take_in_job("Harrowfield Pumps", "HP-2207", "pump casing")
        return cls(floor, floor.take_up(floor.take_in_hole(job, ticket)))

    def wait(self, lasts_s: float, pump: bool = True) -> None:
        """Let the time pass as a screen does: a look at the gauge every 0.1 s."""
        for _ in range(round(lasts_s / 0.1)):
            self.clock.advance(0.1)
            if pump:
                self.hole.live.pump()

    def burn_until(self, enough: Callable[[], bool]) -> None:
        self.hole.arc_starts()
        began_s = self.clock.s()
        while not enough():
            self.wait(0.5)
            assert self.clock.s() < began_s + 900.0
        self.hole.arc_stops()

    def called(self, *kinds: str) -> bool:
        return any(call.kind.value in kinds for call in self.hole.live.standing)

    def depth_mm(self) -> float:
        depth = self.hole.live.state().depth_mm
        return self.hole.plan.depth.recess_mm if depth is None else depth.mid

    def step(self) -> None:
        """Do what the hole's step asks for."""
        hole = self.hole
        match hole.step:
            case Step.PLAN:
                hole.accept_plan()
            case Step.CHECKS | Step.GUARD | Step.ELECTRODE | Step.AGAIN:
                for item in hole.checks_left():
                    hole.answer_check(item, CheckResult.CONFIRMED)
                hole.checks_done()
            case Step.PILOT:
                pilot_mm = hole.plan.depth.recess_mm + hole.plan.pilot_mm
                self.burn_until(lambda: self.depth_mm() >= pilot_mm)
                hole.pilot_done()
            case Step.CENTRE:
                hole.centre_checked(0.05, -0.05)
            case Step.BURN:
                self.burn_until(
                    lambda: self.called("target", "limit", "through", "at stop", "stalled")
                )
                hole.touch_off()
            case Step.TOUCH:
                self._touch()
            case _:
                self._finish()

    def _finish(self) -> None:
        if self.hole.step is Step.CLEANOUT:
            for key, text in self.hole.cleanout_left():
                self.hole.cleaned(key, text)
            self.hole.prove()
        else:
            assert self.hole.step is Step.OUTCOME
            self.hole.close(Outcome(Result.DONE, chased="by hand", gauged="go passes"))

    def touches_off(self) -> None:
        """To the reference face, and what the indicator shows there is taken."""
        self.hole.touch_off()
        self._measure()

    def _measure(self) -> None:
        self.wait(8.0)
        travel_mm = self.hole.live.state().travel_mm
        assert travel_mm is not None
        self.hole.measured(MarkKind.TOUCH, travel_mm)

    def _touch(self) -> None:
        self._measure()
        if self.hole.at_target() or self.hole.fell_through():
            self.hole.clean_out()
        else:
            self.hole.burn_on()

    def to(self, step: Step) -> Walk:
        """Walk on until the hole stands there."""
        for _ in range(40):
            if self.hole.step is step:
                return self
            self.step()
        raise AssertionError(f"the hole never came to {step}")
