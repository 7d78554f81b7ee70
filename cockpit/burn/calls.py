"""When the operator has something to do, and what.

A call exists only where there is something to do (the definition of an alarm in ISA-18.2), says it
in its text, is not repeated while it stands, and clears with hysteresis.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum


class CallKind(StrEnum):
    """The calls, most important first.

    All are the tracker's but ``log``, ``too deep``, ``slipped`` and ``at stop``, which are the live
    burn's.
    """

    LIMIT = "limit"
    THROUGH = "through"
    TOO_DEEP = "too deep"
    PILOT = "pilot"
    TARGET = "target"
    SLIPPED = "slipped"
    AT_STOP = "at stop"
    SILENT = "silent"
    LOG = "log"
    SHORT = "short"
    STALLED = "stalled"
    NEAR = "near"
    JUMP = "jump"
    LONG = "long"


#: What to do. Short: it is read from two steps away.
ACTION = {
    CallKind.LIMIT: "may be too deep: arc off, touch off",
    CallKind.THROUGH: "fell through: arc off, note where, look",
    CallKind.TOO_DEEP: "the spot holds the electrode now: arc off, look at the spot",
    CallKind.PILOT: "deep enough for a pilot: arc off, look at the spot",
    CallKind.TARGET: "target may be reached: arc off, touch off",
    CallKind.SLIPPED: "head below its depth stop: arc off, set the stop again",
    CallKind.AT_STOP: "reached its depth stop, burns no deeper: arc off, touch off",
    CallKind.SILENT: "gauge silent: check the gauge; the clock runs on",
    CallKind.LOG: "log can't be written: free the disk; kept in memory",
    CallKind.SHORT: "electrode too short: arc off, change the electrode",
    CallKind.STALLED: "no advance: lift, flush, look at tip and ground",
    CallKind.NEAR: "near target: hand on the switch",
    CallKind.JUMP: "reading jumped and was ignored: check the cable",
    CallKind.LONG: "longer than it should take: look at tip, flush and ground",
}

PRIORITY = {kind: place for place, kind in enumerate(CallKind)}


@dataclass(frozen=True, slots=True)
class Call:
    """One call as raised. ``depth_mm``: where; for ``through`` the depth at which it began."""

    t_s: float
    kind: CallKind
    depth_mm: float | None

    @property
    def text(self) -> str:
        """What to do, in words."""
        return ACTION[self.kind]


class Board:
    """The calls that stand. Verdicts come in, new calls go out, once each."""

    def __init__(self) -> None:
        self._standing: dict[CallKind, Call] = {}
        self.history: list[Call] = []

    def judge(self, call: Call, verdict: bool | None) -> None:
        """True raises the call unless it stands, False clears it, None leaves it as it is."""
        if verdict and call.kind not in self._standing:
            self._standing[call.kind] = call
            self.history.append(call)
        elif verdict is False:
            self._standing.pop(call.kind, None)

    def clear(self, *kinds: CallKind) -> None:
        """Take calls down whose reason is gone."""
        for kind in kinds:
            self._standing.pop(kind, None)

    @property
    def standing(self) -> tuple[Call, ...]:
        """The calls that stand, most important first."""
        return in_order(self._standing.values())


def in_order(calls: Iterable[Call]) -> tuple[Call, ...]:
    """Calls, most important first."""
    return tuple(sorted(calls, key=lambda call: PRIORITY[call.kind]))


def below(value: float, raise_at: float, clear_at: float) -> bool | None:
    """Hysteresis: True at or under ``raise_at``, False over ``clear_at``, None between.

    >>> below(0.9, 1.0, 1.25), below(1.1, 1.0, 1.25), below(1.3, 1.0, 1.25)
    (True, None, False)
    """
    if value <= raise_at:
        return True
    return False if value > clear_at else None
