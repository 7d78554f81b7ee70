"""The moments of which there are pictures: for each scene, how an operator gets there.

A scene begins with the first hole at some step and gives the name of each moment while it is on
the screen. A new screen is one more `yield` in a scene, or one more scene in `SCENES`.
"""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from pathlib import Path

from cockpit.burn.calls import Call, CallKind
from cockpit.flow.hole_parts import PARTS
from cockpit.flow.steps import Step
from cockpit.gauges.protocol import Sample
from cockpit.log import questions
from cockpit.screens.gauge import GaugeScreen
from tests.flow.eventful import burn_with_events
from tests.flow.school import TAUGHT, teach
from tests.flow.walk import Walk
from tests.screens.hands import Hands, cockpit_on

Size = tuple[int, int]
SIZES: tuple[Size, ...] = ((80, 24), (120, 40), (160, 45))

#: Readings a second.
READINGS_HZ = 10
#: The looks after which everything on the burn screen is as new as the figures: a second of them.
A_SECOND_OF_LOOKS = 10

Moments = AsyncIterator[str]
"""The name of each moment, while it is on the screen."""


@dataclass(frozen=True)
class Scene:
    """A stretch of work, from the step on at which the first hole stands."""

    moves: Callable[[Hands], Moments]
    at: Step | None = None
    options: dict[str, bool | str] = field(default_factory=dict)
    sizes: tuple[Size, ...] = SIZES

    @asynccontextmanager
    async def opened(self, folder: Path) -> AsyncIterator[Hands]:
        """The cockpit where the scene begins, its log in ``folder``."""
        async with cockpit_on(folder, at=self.at, **self.options) as hands:  # type: ignore[arg-type]
            yield hands


# The head, where an invented burn would not do what is wanted -------------------------------------


class Head:
    """The gauge of these hands, from now on with the readings that it is given."""

    def __init__(self, hands: Hands) -> None:
        self._hands = hands
        self._waiting: list[Sample] = []
        before = hands.in_hand().live.state().travel_mm
        self.travel_mm = hands.in_hand().plan.depth.recess_mm if before is None else before
        setattr(hands.floor.gauge, "drain", self._drain)  # noqa: B010  # of this one alone

    def _drain(self) -> list[Sample]:
        drained, self._waiting = self._waiting, []
        return drained

    async def goes(self, by_mm: float, seconds: float) -> None:
        """Reads its way, ten times a second."""
        readings = round(seconds * READINGS_HZ)
        for _ in range(readings):
            self._hands.clock.advance(1 / READINGS_HZ)
            self.travel_mm += by_mm / readings
            self.shows(self.travel_mm)
        await looks_a_while(self._hands)

    def shows(self, travel_mm: float) -> None:
        """One reading, now."""
        travel_mm = round(travel_mm, 2)
        self._waiting.append(Sample(self._hands.clock.s(), travel_mm, f"{travel_mm:+.2f} mm"))

    async def goes_until(self, kind: CallKind, by_mm: float, seconds: float) -> None:
        """Goes on like that until this is called."""
        for _ in range(200):
            await self.goes(by_mm, seconds)
            if any(call.kind is kind for call in self._hands.in_hand().live.standing):
                return
        raise AssertionError(f"{kind} was never called:\n{self._hands.shown()}")


async def looks_a_while(hands: Hands) -> None:
    for _ in range(A_SECOND_OF_LOOKS):
        await hands.looks()


# The shift and the bench -------------------------------------------------------------------------


async def shift(hands: Hands) -> Moments:
    yield "whose-shift"
    await hands.type("mt")
    yield "initials-typed"
    await hands.big(key="enter")
    yield "daily-check"
    for _ in range(4):
        await hands.big()
    yield "the-gauge"
    await hands.press("k")
    await hands.type("not plugged in yet")
    await hands.press("enter")
    yield "empty-bench"


async def gauge(hands: Hands) -> Moments:
    hands.app.go(GaugeScreen())
    await hands.press("down")
    await hands.looks()
    yield "which"
    await hands.press("p")
    await hands.type("x")
    yield "port-typed"


async def bench(hands: Hands) -> Moments:
    yield "holes"
    await hands.press("question_mark")
    yield "help"
    await hands.press("escape", "e")
    await hands.type("all well")
    yield "end-of-shift"


async def preferences(hands: Hands) -> Moments:
    await hands.press("p")
    yield "preferences"
    await hands.big()
    yield "a-pedal-is-learnt"
    await hands.press("escape", *["down"] * 7)
    yield "a-bell"


async def log(hands: Hands) -> Moments:
    await hands.press("escape", "l")
    yield "shift-log"
    await hands.type("flange")
    yield "searched"
    await hands.big(key="enter")
    yield "hole-page"


async def hole_page(hands: Hands) -> Moments:
    """A hole of which there is something in every part, one part after the other."""
    burn_with_events(hands.floor, 1)
    hands.app.to_bench()
    hands.app.show_hole(1)
    await hands.press()
    for part in PARTS:
        yield part.name
        await hands.big()
    assert hands.screen_name == "BenchScreen"


async def correct(hands: Hands) -> Moments:
    """A name that was misread, and a hole whose width is measured."""
    Walk(hands.floor, hands.floor.take_up(1)).to(Step.OUTCOME).step()
    hands.app.to_bench()
    hands.app.show_hole(1)
    await hands.press("c")
    yield "what"
    await hands.type("2")
    await hands.press("enter")
    await hands.type("HP-2270")
    yield "another"
    await hands.press("enter")
    await hands.type("figures swapped")
    yield "why"
    await hands.press("enter", "7")
    yield "corrected"


async def hole_through(hands: Hands) -> Moments:
    """One that was burnt until it fell through, and one that nothing was done to yet."""
    walk = Walk(hands.floor, hands.floor.take_up(2))
    walk.to(Step.CLEANOUT)
    walk.hole.leave()
    hands.app.show_hole(2)
    await hands.press()
    yield "trace"
    await hands.press("backspace")
    hands.app.show_hole(1)
    await hands.press()
    yield "nothing-yet"


# The rack, and what the burns taught -------------------------------------------------------------


async def stock(hands: Hands) -> Moments:
    await hands.press("s")
    yield "sizes"
    await hands.press("down", "down", "down")
    await hands.big()
    yield "count"
    await hands.type("1.5")
    yield "count-wrong"
    await hands.press(*["backspace"] * 3)
    await hands.say("2")
    yield "counted"
    await hands.press("i")
    yield "came-in"
    await hands.say("10")
    yield "came-in-note"
    await hands.say("slip 7")
    yield "entered"


async def learnt(hands: Hands) -> Moments:
    await hands.press("w")
    yield "all-assumed"
    await hands.big()
    yield "no-burn"
    await hands.press("escape")
    teach(hands.floor.store, TAUGHT)
    await hands.press("w")
    yield "figures"
    await hands.big()
    yield "burns"
    await hands.press("a")
    await hands.type("the water was off")
    yield "why"
    await hands.big(key="enter")
    yield "set-aside"
    await hands.press("f")
    yield "one-figure"
    await hands.press("escape")
    hands.app.take_up(1)
    await hands.press()
    yield "the-next-plan"


# A hole before its arc ---------------------------------------------------------------------------


async def ticket(hands: Hands) -> Moments:
    await hands.press("n")
    yield "begun"
    await hands.big(3)
    await hands.say("flange 4")
    await hands.type("m10x1.5x")
    yield "an-error"
    await hands.press(*["backspace"] * 8)
    await hands.say("m12")
    await hands.say("tap")
    await hands.type("3")
    yield "half-filled"
    await hands.big(key="enter")
    await hands.big(2)
    await hands.say("20 mm")
    await hands.say("1 mm")
    await hands.big(2)
    assert "plan it" in hands.big_key_line()
    yield "whole"


async def plan(hands: Hands) -> Moments:
    await hands.big()
    yield "plain"
    await hands.press("s")
    yield "sources"
    await hands.press("s", "o")
    yield "override"
    await hands.say("21")
    await hands.type("5/8 in")
    yield "override-typed"
    await hands.big(key="enter")
    await hands.say("the tap is shorter")
    yield "overruled"


async def doubted_plan(hands: Hands) -> Moments:
    ticket = questions.ticket(hands.floor.store.connection, 1)
    doubtful = ticket.model_copy(update={"tool_end_mm": None, "material": "titanium"})
    hands.floor.take_up(1).correct(doubtful)
    await hands.big()
    yield "with-doubts"


async def checks(hands: Hands) -> Moments:
    """Every item of the set-up, named after itself."""
    while hands.screen_name == "SetupScreen":
        name = hands.part("item-title")
        yield name.lower().replace(",", "").replace(" ", "-")
        if name == "Dam and drain":
            await hands.press("k")
            await hands.type("no water there")
            yield "passed-over"
            await hands.press(*["backspace"] * 14)
            hands.rests()
            await hands.press("backspace")
        await hands.big()
        if hands.screen_name == "SetupScreen" and hands.part("item-title") == name:
            # The head hangs where it hung: the gauge speaks against it.
            yield f"doubted-{name.lower().replace(' ', '-')}"
            await hands.press("a")
            assert hands.part("item-title") != name


# The arc -----------------------------------------------------------------------------------------


async def pilot(hands: Hands) -> Moments:
    yield "arc-off"
    await hands.big()
    await hands.passes(30.0)
    await looks_a_while(hands)
    yield "arc-on"


async def centre(hands: Hands) -> Moments:
    yield "asked"
    await hands.type("0.2", "enter")
    await hands.type("-.1")
    yield "typed"
    await hands.big(key="enter")
    assert "GO ON" in hands.part("verdict")
    yield "go-on"
    for offset, verdict in (("0.7", "move"), ("3", "stop")):
        # Back to the first field, where another figure takes the place of the first.
        await hands.press("backspace")
        await hands.type(offset, "enter")
        await hands.big(key="enter")
        assert verdict.upper() in hands.part("verdict")
        yield verdict


async def guard(hands: Hands) -> Moments:
    assert hands.part("item-title") == "Guard on"
    yield "before-the-arc"


async def cut_short(hands: Hands) -> Moments:
    hole_id = await hands.cut_short(20.0)
    yield "on-the-bench"
    hands.app.take_up(hole_id)
    await hands.press()
    await hands.passes(4.0)
    yield "touch-off"
    await hands.big()
    yield "taken"
    await hands.press("d")
    yield "gauged"


async def burn(hands: Hands) -> Moments:
    yield "before-the-arc"
    await hands.big()
    await hands.passes(60.0)
    await looks_a_while(hands)
    yield "arc-on"
    await hands.press("question_mark")
    yield "help"
    await hands.press("escape", "n")
    await hands.type("water grey")
    yield "note"
    await hands.press("escape", "m")
    yield "muted"
    for _ in range(60):
        if "AT THE STOP" in hands.shown():
            break
        await hands.passes(20.0)
    await looks_a_while(hands)
    yield "at-the-stop"
    await hands.big()
    yield "arc-off-at-the-stop"


async def typed_burn(hands: Hands) -> Moments:
    await hands.big()
    yield "arc-on"
    await hands.type("8..5")
    yield "a-wrong-reading"


async def touch(hands: Hands) -> Moments:
    await hands.to_touch_off()
    yield "asked"
    await hands.big()
    yield "taken"


async def electrode(hands: Hands) -> Moments:
    await hands.big()
    await hands.passes(60.0)
    await hands.big()
    await hands.press("e")
    yield "another"


# Calls -------------------------------------------------------------------------------------------


async def calls(hands: Hands) -> Moments:
    """Raised by readings, in the order in which one burn can raise them."""
    head = Head(hands)
    await hands.big()
    await head.goes(1.0, 30.0)
    head.shows(head.travel_mm + 40.0)
    await head.goes(0.1, 3.0)
    yield "jump"
    await head.goes(1.0, 30.0)
    await head.goes_until(CallKind.STALLED, 0.0, 10.0)
    yield "stalled"
    await head.goes(1.0, 30.0)
    await hands.passes(10.0)
    await looks_a_while(hands)
    yield "silent"
    for kind in (CallKind.NEAR, CallKind.TARGET, CallKind.LIMIT):
        await head.goes_until(kind, 0.2, 4.0)
        yield str(kind)


async def through(hands: Hands) -> Moments:
    head = Head(hands)
    await hands.big()
    await head.goes(3.0, 60.0)
    await head.goes_until(CallKind.THROUGH, 1.0, 0.4)
    yield "through"


async def at_the_stop(hands: Hands) -> Moments:
    head = Head(hands)
    await hands.big()
    await head.goes(hands.in_hand().stop_mm - head.travel_mm, 300.0)
    await head.goes(0.0, 20.0)
    yield "at-stop"
    await head.goes(0.3, 10.0)
    yield str(CallKind.SLIPPED)


async def pilot_call(hands: Hands) -> Moments:
    head = Head(hands)
    await hands.big()
    await head.goes_until(CallKind.PILOT, 0.2, 4.0)
    yield "pilot"
    await head.goes_until(CallKind.TOO_DEEP, 0.2, 4.0)
    yield "too-deep"


async def other_calls(hands: Hands) -> Moments:
    """Those that take an hour, a worn electrode or a full disk: put up as they are."""
    head = Head(hands)
    await hands.big()
    await head.goes(1.0, 30.0)
    live = hands.in_hand().live
    board = live.tracker._board
    for kind in (CallKind.SHORT, CallKind.LONG):
        board.judge(Call(hands.clock.s(), kind, None), True)
        await looks_a_while(hands)
        yield str(kind)
        board.clear(kind)
    live._log_call = Call(hands.clock.s(), CallKind.LOG, None)
    await looks_a_while(hands)
    yield str(CallKind.LOG)


# After the arc -----------------------------------------------------------------------------------


async def cleanout(hands: Hands) -> Moments:
    yield "first-step"
    await hands.big()
    yield "second-step"


async def outcome(hands: Hands) -> Moments:
    yield "asked"
    await hands.press("1", "1", "1", "1")
    yield "half-said"
    await hands.press("2")
    yield "summary"


SCENES: dict[str, Scene] = {
    "shift": Scene(shift, options={"stocked": False}),
    "gauge": Scene(gauge, options={"gauge": "typed"}),
    "bench": Scene(bench),
    "preferences": Scene(preferences),
    "stock": Scene(stock),
    "learnt": Scene(learnt),
    "log": Scene(log, at=Step.OUTCOME),
    "hole-page": Scene(hole_page),
    "correct": Scene(correct),
    "hole-through": Scene(hole_through),
    "ticket": Scene(ticket),
    "plan": Scene(plan),
    "doubted-plan": Scene(doubted_plan),
    "checks": Scene(checks, at=Step.CHECKS),
    "pilot": Scene(pilot, at=Step.PILOT),
    "centre": Scene(centre, at=Step.CENTRE),
    "guard": Scene(guard, at=Step.GUARD),
    "cut-short": Scene(cut_short, at=Step.BURN),
    "burn": Scene(burn, at=Step.BURN),
    "typed-burn": Scene(typed_burn, at=Step.BURN, options={"gauge": "typed"}),
    "touch-off": Scene(touch, at=Step.BURN),
    "electrode": Scene(electrode, at=Step.BURN),
    "calls": Scene(calls, at=Step.BURN),
    "calls-through": Scene(through, at=Step.BURN),
    "calls-stop": Scene(at_the_stop, at=Step.BURN),
    "calls-pilot": Scene(pilot_call, at=Step.PILOT),
    "calls-others": Scene(other_calls, at=Step.BURN),
    "clean-out": Scene(cleanout, at=Step.CLEANOUT),
    "outcome": Scene(outcome, at=Step.OUTCOME),
}
