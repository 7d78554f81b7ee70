"""The line of calls: quiet while there is nothing to do, impossible to overlook when there is."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from enum import StrEnum
from itertools import zip_longest

from textual.content import Content
from textual.reactive import reactive
from textual.widget import Widget

from cockpit.burn.calls import Call, CallKind
from cockpit.widgets.block_figures import SMALLEST_ROWS, block_figures, tallest_rows
from cockpit.widgets.terminal import ascii_only

#: What a burn says while nothing is called.
QUIET = "no calls"


class Urgency(StrEnum):
    """How soon the operator has to act."""

    NOW = "now"
    SOON = "soon"
    LOOK = "look"


_URGENCY = {
    CallKind.LIMIT: Urgency.NOW,
    CallKind.THROUGH: Urgency.NOW,
    CallKind.TOO_DEEP: Urgency.NOW,
    CallKind.PILOT: Urgency.NOW,
    CallKind.TARGET: Urgency.NOW,
    CallKind.SLIPPED: Urgency.NOW,
    CallKind.AT_STOP: Urgency.SOON,
    CallKind.SILENT: Urgency.SOON,
    CallKind.LOG: Urgency.SOON,
    CallKind.SHORT: Urgency.SOON,
    CallKind.STALLED: Urgency.SOON,
    CallKind.NEAR: Urgency.SOON,
}

#: What of a call's text is done once the arc is off.
ARC_OFF_FIRST = "arc off, "
#: What says nothing more beside these: after a fall there is nothing to touch off.
OUTDONE = {
    CallKind.PILOT: frozenset({CallKind.TOO_DEEP}),
    CallKind.NEAR: frozenset({CallKind.TARGET, CallKind.LIMIT, CallKind.THROUGH}),
    CallKind.TARGET: frozenset({CallKind.THROUGH}),
}

# How often a shape is repeated tells the urgency as well as the shape itself does.
_SHAPES = {Urgency.NOW: "■■■", Urgency.SOON: "▲▲", Urgency.LOOK: "●"}
_ASCII_SHAPES = {Urgency.NOW: "!!!", Urgency.SOON: "!!", Urgency.LOOK: "!"}


def urgency_of(kind: CallKind) -> Urgency:
    """Tell how soon a kind of call wants its answer."""
    return _URGENCY.get(kind, Urgency.LOOK)


def call_words(calls: Sequence[Call], *, ascii_only: bool = False, arc_on: bool = True) -> str:
    """Put the standing calls, weightiest first, in a line: shape, word, what to do, what else."""
    if not calls:
        return QUIET
    also = _also(calls)
    told = _told(calls[0], ascii_only=ascii_only, arc_on=arc_on)
    return told + (f"   {also}" if also else "")


def _also(calls: Sequence[Call]) -> str:
    """What stands beside the first call, and says more than it."""
    first, *others = calls
    said = [one.kind for one in others if first.kind not in OUTDONE.get(one.kind, ())]
    return f"also {', '.join(said)}" if said else ""


def _told(call: Call, *, ascii_only: bool, arc_on: bool = True) -> str:
    """One call: shape, word, what to do."""
    shape = (_ASCII_SHAPES if ascii_only else _SHAPES)[urgency_of(call.kind)]
    return f"{shape} {call.kind.upper()} {shape}   {_to_do(call, arc_on=arc_on)}"


def _to_do(call: Call, *, arc_on: bool) -> str:
    """What to do; nobody is told to put an arc off that is off."""
    return call.text if arc_on else call.text.replace(ARC_OFF_FIRST, "")


def _others(calls: Sequence[Call], room: int, width: int, *, arc_on: bool) -> list[str]:
    """What stands beside the first call: each with what to do where there is room for all."""
    also = _also(calls)
    lines = [
        line
        for call in calls[1:]
        if f" {call.kind}" in also
        for line in textwrap.wrap(f"{call.kind.upper()}: {_to_do(call, arc_on=arc_on)}", width)
    ]
    return lines if len(lines) <= room else [also]


def call_block(
    calls: Sequence[Call],
    width: int,
    height: int,
    *,
    ascii_only: bool = False,
    arc_on: bool = True,
) -> list[str]:
    """The standing calls over several rows: the word of the first as large as it fits, what to do.

    Raises IndexError when there is none.
    """
    first = calls[0]
    word = first.kind.upper()
    rows = tallest_rows(word, width * 3 // 5, height, ascii_only=ascii_only)
    drawn = block_figures(word, rows, ascii_only=ascii_only)
    room = max(width - len(drawn[0]) - 3, 1)
    beside = textwrap.wrap(_told(first, ascii_only=ascii_only, arc_on=arc_on), room)
    beside += _others(calls, height - len(beside), room, arc_on=arc_on)
    lines = zip_longest(drawn, beside[:height], fillvalue=" " * len(drawn[0]))
    return [f" {large}  {words}" for large, words in lines]


class CallLine(Widget):
    """Shows the weightiest call on a bar, from edge to edge; large where it has three rows.

    ``calls``: the calls that stand, weightiest first. The widget has the class ``-now``, ``-soon``
    or ``-look`` while one does. ``quiet``: what stands there while none does. ``arc_on``: whether
    the arc has still to be put off.
    """

    DEFAULT_CSS = """
    CallLine {
        height: 1;
        width: 1fr;
        color: $text-muted;
        content-align: left bottom;
        text-wrap: nowrap;
        text-overflow: ellipsis;
        &.-now, &.-soon, &.-look { color: $button-color-foreground; text-style: bold; }
        &.-now { background: $error; }
        &.-soon { background: $warning; }
        &.-look { background: $accent; }
    }
    """

    calls: reactive[tuple[Call, ...]] = reactive(())
    quiet = reactive("")
    arc_on = reactive(True)

    def watch_calls(self, calls: tuple[Call, ...]) -> None:
        wanted = urgency_of(calls[0].kind) if calls else None
        for urgency in Urgency:
            self.set_class(urgency is wanted, f"-{urgency}")

    def _words(self) -> str:
        if not self.calls:
            return self.quiet
        return call_words(self.calls, ascii_only=ascii_only(), arc_on=self.arc_on)

    def render(self) -> Content:
        width, height = self.content_size
        if self.calls and height >= SMALLEST_ROWS:
            plain = ascii_only()
            lines = call_block(self.calls, width, height, ascii_only=plain, arc_on=self.arc_on)
        else:
            lines = [f" {self._words()}"]
        # Blanks to the right edge and the last row, so that all of it is the bar.
        blanks = [""] * (height - len(lines) if self.calls else 0)
        return Content("\n".join(line.ljust(width) for line in (*lines, *blanks)))
