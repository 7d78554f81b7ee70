"""The line of calls: quiet while there is nothing to do, impossible to overlook when there is."""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum

from textual.content import Content
from textual.reactive import reactive
from textual.widget import Widget

from cockpit.burn.calls import Call, CallKind
from cockpit.widgets.terminal import ascii_only

QUIET = "nothing to call"


class Urgency(StrEnum):
    """How soon the operator has to act."""

    NOW = "now"
    SOON = "soon"
    LOOK = "look"


_URGENCY = {
    CallKind.LIMIT: Urgency.NOW,
    CallKind.THROUGH: Urgency.NOW,
    CallKind.PILOT: Urgency.NOW,
    CallKind.TARGET: Urgency.NOW,
    CallKind.SILENT: Urgency.SOON,
    CallKind.LOG: Urgency.SOON,
    CallKind.SHORT: Urgency.SOON,
    CallKind.STALLED: Urgency.SOON,
    CallKind.NEAR: Urgency.SOON,
}

# How often a shape is repeated tells the urgency as well as the shape itself does.
_SHAPES = {Urgency.NOW: "■■■", Urgency.SOON: "▲▲", Urgency.LOOK: "●"}
_ASCII_SHAPES = {Urgency.NOW: "!!!", Urgency.SOON: "!!", Urgency.LOOK: "!"}


def urgency_of(kind: CallKind) -> Urgency:
    """Tell how soon a kind of call wants its answer."""
    return _URGENCY.get(kind, Urgency.LOOK)


def call_words(calls: Sequence[Call], *, ascii_only: bool = False) -> str:
    """Put the standing calls, weightiest first, in a line: shape, word, what to do, what else."""
    if not calls:
        return QUIET
    first, *others = calls
    shape = (_ASCII_SHAPES if ascii_only else _SHAPES)[urgency_of(first.kind)]
    more = f"   also {', '.join(call.kind for call in others)}" if others else ""
    return f"{shape} {first.kind.upper()} {shape}   {first.text}{more}"


class CallLine(Widget):
    """One line that shows the weightiest call on a bar, from edge to edge.

    ``calls``: the calls that stand, weightiest first. The widget has the class ``-now``, ``-soon``
    or ``-look`` while one does.
    """

    DEFAULT_CSS = """
    CallLine {
        height: 1;
        width: 1fr;
        color: $text-muted;
        text-wrap: nowrap;
        text-overflow: ellipsis;
        &.-now, &.-soon, &.-look { color: $button-color-foreground; text-style: bold; }
        &.-now { background: $error; }
        &.-soon { background: $warning; }
        &.-look { background: $accent; }
    }
    """

    calls: reactive[tuple[Call, ...]] = reactive(())

    def watch_calls(self, calls: tuple[Call, ...]) -> None:
        wanted = urgency_of(calls[0].kind) if calls else None
        for urgency in Urgency:
            self.set_class(urgency is wanted, f"-{urgency}")

    def render(self) -> Content:
        words = f" {call_words(self.calls, ascii_only=ascii_only())}"
        # Blanks to the right edge, so that the bar is as wide as the screen.
        return Content(words.ljust(self.content_size.width))
