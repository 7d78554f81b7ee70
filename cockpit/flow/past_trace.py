"""What happened in a hole, on the arc's own clock: its depth, its burns, and what fell due when.

Gone through once: a long trace takes its time. What is drawn of it is laid out in ``plot.py``.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from cockpit.burn.aim import Aim
from cockpit.burn.arctime import ArcTime
from cockpit.burn.calls import CallKind
from cockpit.burn.hindsight import Hindsight, Moment
from cockpit.burn.reading import Mark, MarkKind
from cockpit.burn.state import BurnState
from cockpit.flow.past import past_aim, past_events, unread_spans
from cockpit.log import questions
from cockpit.log.questions import HolePage
from cockpit.log.rows import BurnRow

#: More moments than any terminal has dots across.
POINTS: Final = 1000


class SignKind(StrEnum):
    """What kind of thing happened: measured, something about the hole changed, or called."""

    MEASURED = "measured"
    CHANGED = "changed"
    CALLED = "called"


@dataclass(frozen=True, slots=True)
class Sign:
    """Something that happened at an arc time. ``letter``: what it is drawn as, ``words``: why."""

    arc_s: float
    kind: SignKind
    letter: str
    words: str
    is_harm: bool = False


@dataclass(frozen=True, slots=True)
class Stretch:
    """One burn on the arc's clock. ``row`` is None where the log knows no more of it."""

    number: int
    begin_s: float
    end_s: float
    row: BurnRow | None = None

    @property
    def name(self) -> str:
        """What it is called, such as "burn 2"."""
        is_pilot = self.row is not None and self.row.kind == "pilot"
        return f"{'pilot' if is_pilot else 'burn'} {self.number}"


@dataclass(frozen=True, slots=True)
class PastTrace:
    """A hole that was burnt. ``unread``: spans of arc time (s) in which the gauge was silent."""

    aim: Aim
    state: BurnState
    arc: ArcTime
    moments: tuple[Moment, ...]
    burns: tuple[Stretch, ...]
    marks: tuple[tuple[float, Mark], ...]
    signs: tuple[Sign, ...]
    unread: tuple[tuple[float, float], ...]

    @property
    def end_s(self) -> float:
        """All of the arc time, s."""
        return self.arc.total_s

    def marks_of(self, kind: MarkKind) -> list[Mark]:
        """The marks of one kind, in order."""
        return [mark for _, mark in self.marks if mark.kind is kind]


#: The letter of each thing that is marked or called, no two of them alike, and its words.
_MEASURED: Final = {
    MarkKind.TOUCH: ("T", "touch-off"),
    MarkKind.WEAR: ("W", "length lost"),
    MarkKind.DEPTH: ("D", "depth gauged"),
}
_CHANGED: Final = {
    MarkKind.ELECTRODE: ("E", "electrode put in"),
    MarkKind.SPOT: ("S", "another spot"),
}
_CALLED: Final[dict[str, str]] = {
    CallKind.LIMIT: "L",
    CallKind.THROUGH: "F",
    CallKind.TOO_DEEP: "O",
    CallKind.PILOT: "P",
    CallKind.TARGET: "G",
    CallKind.SLIPPED: "V",
    CallKind.AT_STOP: "A",
    CallKind.SILENT: "Q",
    CallKind.LOG: "K",
    CallKind.SHORT: "H",
    CallKind.STALLED: "I",
    CallKind.NEAR: "N",
    CallKind.JUMP: "J",
    CallKind.LONG: "M",
}
_HARM: Final[frozenset[str]] = frozenset({CallKind.LIMIT, CallKind.THROUGH, CallKind.TOO_DEEP})
#: Of a call that an earlier or a later cockpit knows.
_OTHER_CALL: Final = "C"


def past_trace(
    connection: sqlite3.Connection, page: HolePage, streams: Callable[[str], bool | None]
) -> PastTrace | None:
    """What happened in a hole; None while no plan was accepted.

    ``streams``: whether the gauge of a name sends by itself, None where nobody knows any more.
    """
    aim = past_aim(connection, page.row.id)
    if aim is None:
        return None
    events = past_events(connection, page.row.id)
    look = Hindsight(aim, POINTS)
    for event in events:
        look.take(event)
    arc = ArcTime(events)
    marks = tuple((arc.arc_s(one.t_s), one) for one in events if isinstance(one, Mark))
    sittings = questions.sittings(connection, page.row.id)
    return PastTrace(
        aim=aim,
        state=look.tracker.state(),
        arc=arc,
        moments=tuple(look.moments()),
        burns=tuple(_stretches(page, arc)),
        marks=marks,
        signs=tuple(_signs(page, marks, arc)),
        unread=tuple(unread_spans(events, sittings, aim, streams)),
    )


def _stretches(page: HolePage, arc: ArcTime) -> Iterator[Stretch]:
    for number, (begin_s, end_s) in enumerate(arc.burns, 1):
        row = page.burns[number - 1] if number <= len(page.burns) else None
        yield Stretch(number, begin_s, end_s, row)


def _signs(page: HolePage, marks: Sequence[tuple[float, Mark]], arc: ArcTime) -> Iterator[Sign]:
    """Calls, then what was changed and measured: of two at one moment the later lies on top."""
    for call in page.calls:
        letter, is_harm = _CALLED.get(call.call, _OTHER_CALL), call.call in _HARM
        yield Sign(arc.arc_s(call.t_s), SignKind.CALLED, letter, call.call, is_harm)
    for arc_s, mark in marks:
        if mark.kind in _CHANGED and arc_s > 0:
            letter, words = _CHANGED[mark.kind]
            if mark.kind is MarkKind.ELECTRODE and page.zeroed_again:
                words += " or zeroed again"
            yield Sign(arc_s, SignKind.CHANGED, letter, words)
    for arc_s, mark in marks:
        if mark.kind in _MEASURED:
            yield Sign(arc_s, SignKind.MEASURED, *_MEASURED[mark.kind])


def mark_words(kind: MarkKind) -> str:
    """What a mark is called where there is room for words."""
    return {**_MEASURED, **_CHANGED}.get(kind, ("", str(kind)))[1]
