"""Every screen as it looks at one moment or another, for tests of what all of them have to be."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from dataclasses import dataclass
from pathlib import Path

from rich.segment import Segment
from rich.style import Style
from textual._compositor import LayoutUpdate

from cockpit.burn.calls import Call, CallKind
from cockpit.flow.steps import Step
from cockpit.screens.gauge import GaugeScreen
from cockpit.widgets.call_line import CallLine
from tests.screens.hands import Hands, cockpit_on

Moments = AsyncIterator[str]
"""The name of each moment, while it is on the screen."""


@dataclass(frozen=True)
class Scene:
    """A stretch of work, from the step on at which the first hole stands."""

    moves: Callable[[Hands], Moments]
    at: Step | None = None
    stocked: bool = True
    daily_done: bool = True
    gauge: str = "simulated"

    @asynccontextmanager
    async def opened(self, folder: Path) -> AsyncIterator[Hands]:
        async with cockpit_on(
            folder,
            at=self.at,
            stocked=self.stocked,
            daily_done=self.daily_done,
            gauge=self.gauge,
        ) as hands:
            yield hands


async def new_shift(hands: Hands) -> Moments:
    yield "whose shift"
    await hands.type("mt")
    yield "initials typed"
    await hands.big(key="enter")
    yield "the day's first check"


async def which_gauge(hands: Hands) -> Moments:
    hands.app.go(GaugeScreen())
    await hands.press("down")
    yield "which gauge"
    await hands.press("p")
    await hands.type("x")
    yield "a port is typed"


async def bench(hands: Hands) -> Moments:
    yield "bench"
    await hands.press("down")
    yield "another row chosen"
    await hands.press("question_mark")
    yield "keys of the bench"
    await hands.press("escape", "e")
    await hands.type("all well")
    yield "a word to be said"
    await hands.press("escape", "ctrl+p")
    await hands.pilot.pause(0.5)
    yield "palette"
    await hands.type("mu")
    await hands.pilot.pause(0.5)
    yield "palette, searched"


async def calls(hands: Hands) -> Moments:
    """On the bench, which does not look at the gauge and so leaves them standing."""
    for kind in CallKind:
        hands.screen.query_one(CallLine).calls = (Call(1.0, kind, None),)
        await hands.pilot.pause()
        yield f"call {kind}"


async def ticket(hands: Hands) -> Moments:
    await hands.press("n")
    yield "ticket"
    await hands.big(3)
    await hands.say("stud 9")
    await hands.type("m10x1.5x")
    yield "ticket, wrong"
    await hands.press(*["backspace"] * 8)
    await hands.type("m12")
    yield "ticket, understood"
    await hands.press("enter")
    await hands.big(6)
    yield "ticket, further down"


async def log(hands: Hands) -> Moments:
    await hands.press("l")
    yield "shift log"
    await hands.type("flange")
    yield "shift log, searched"
    await hands.big(key="enter")
    yield "a hole of the log"


async def checks(hands: Hands) -> Moments:
    yield "first check"
    await hands.press("k")
    yield "safety is not passed over"
    for number in range(2, 15):
        await hands.big()
        yield f"check {number}"


async def plan(hands: Hands) -> Moments:
    await hands.big()
    yield "plan"
    await hands.press("u")
    yield "plan in inches"
    await hands.press("o")
    yield "overruling"


async def pilot(hands: Hands) -> Moments:
    yield "before the pilot"
    await hands.big()
    await hands.passes(60.0)
    yield "pilot burn"


async def centre(hands: Hands) -> Moments:
    yield "centre"
    await hands.type("0..2")
    yield "centre, wrong"
    await hands.press(*["backspace"] * 4)
    await hands.type("0.2", "enter")
    await hands.type("-.1")
    yield "go on"
    await hands.press(*["backspace"] * 3)
    await hands.type("0.7")
    yield "move"
    await hands.press(*["backspace"] * 3)
    await hands.type("3")
    await hands.big(key="enter")
    yield "stop"


async def burn(hands: Hands) -> Moments:
    yield "arc off"
    await hands.big()
    await hands.passes(60.0)
    yield "arc on"
    await hands.press("question_mark")
    yield "keys over the burn"
    await hands.press("escape", "n")
    yield "a note over the burn"
    await hands.press("escape", "m")
    await hands.passes(600.0)
    yield "too deep, muted"
    await hands.big()
    await hands.press("t")
    await hands.passes(5.0)
    yield "touch off"
    await hands.big()
    yield "touched off"


async def typed_burn(hands: Hands) -> Moments:
    await hands.big()
    await hands.type("8..5")
    yield "a reading typed, wrong"
    await hands.press("enter")
    await hands.press(*["backspace"] * 4)
    await hands.type("8.5")
    yield "a reading typed"


async def cleanout(hands: Hands) -> Moments:
    yield "clean-out"
    await hands.press("k")
    await hands.type("none")
    yield "passed over, with a word"


async def outcome(hands: Hands) -> Moments:
    yield "outcome"
    await hands.press("2")
    yield "outcome, said"
    await hands.press("backspace", "3")
    yield "outcome, given up"


SCENES = {
    "shift": Scene(new_shift, stocked=False),
    "gauge": Scene(which_gauge),
    "bench": Scene(bench),
    "calls": Scene(calls),
    "ticket": Scene(ticket),
    "log": Scene(log),
    "plan": Scene(plan),
    "checks": Scene(checks, at=Step.CHECKS),
    "pilot": Scene(pilot, at=Step.PILOT),
    "centre": Scene(centre, at=Step.CENTRE),
    "burn": Scene(burn, at=Step.BURN),
    "typed burn": Scene(typed_burn, at=Step.BURN, gauge="typed"),
    "clean-out": Scene(cleanout, at=Step.CLEANOUT),
    "outcome": Scene(outcome, at=Step.OUTCOME),
}


def segments(hands: Hands) -> list[Segment]:
    """All that is on the terminal now, what lies under a box too."""
    app = hands.app
    update = app.screen._compositor.render_update(full=True, screen_stack=app._background_screens)
    assert isinstance(update, LayoutUpdate)
    return [segment for line in update.strips for strip in line for segment in strip]


def written(hands: Hands) -> list[tuple[str, Style]]:
    """The texts on the terminal that are more than blanks, each with its style."""
    return [(one.text, one.style or Style()) for one in segments(hands) if one.text.strip()]


def text_alone(hands: Hands) -> str:
    """The terminal as it would be without any colour, weight or reverse."""
    return "".join(one.text for one in segments(hands))
