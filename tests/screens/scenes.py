"""The moments that every screen is held to colours and letters in: those of the pictures, and more.

What is more has no picture of its own, since it says the same in other words, or takes its time.
"""

from __future__ import annotations

from rich.segment import Segment
from rich.style import Style
from textual._compositor import LayoutUpdate

from cockpit.flow.steps import Step
from tests.screens import moments
from tests.screens.hands import Hands
from tests.screens.moments import Moments, Scene


async def palette(hands: Hands) -> Moments:
    await hands.press("ctrl+p")
    await hands.pilot.pause(0.5)
    yield "palette"


async def searched(hands: Hands) -> Moments:
    await hands.press("ctrl+p")
    await hands.type("mu")
    await hands.pilot.pause(0.5)
    yield "palette, searched"


async def muted(hands: Hands) -> Moments:
    await hands.press("down")
    yield "another row chosen"
    await hands.press("m")
    yield "muted"


async def wrong(hands: Hands) -> Moments:
    await hands.type("0..2")
    yield "an offset typed, wrong"


async def not_passed_over(hands: Hands) -> Moments:
    await hands.press("k")
    yield "safety is not passed over"


async def given_up(hands: Hands) -> Moments:
    await hands.press("3")
    yield "a word why"


SCENES = {
    **moments.SCENES,
    "palette": Scene(palette),
    "searched": Scene(searched),
    "muted": Scene(muted),
    "wrong": Scene(wrong, at=Step.CENTRE),
    "not passed over": Scene(not_passed_over, at=Step.CHECKS),
    "given up": Scene(given_up, at=Step.OUTCOME),
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
