"""The rhythm in which the bell sounds for each call, written as a short text.

A letter x is the bell, a dash is a rest, and each takes one beat: ``x-x`` sounds twice.
"""

from __future__ import annotations

from collections.abc import Mapping

from cockpit.burn.calls import CallKind

#: One beat, s: the shortest at which two bells are heard as two (assumed).
BEAT_S = 0.15
#: A rhythm is over before the next thing is called, in beats (assumed).
MOST_BEATS = 16

#: What each call sounds like unless somebody sets it. Distinct in number and timing (assumed).
DEFAULTS: Mapping[CallKind, str] = {
    CallKind.LIMIT: "xxxxxx",
    CallKind.THROUGH: "xx--xx",
    CallKind.TOO_DEEP: "xxx-xxx-xxx",
    CallKind.PILOT: "x-x",
    CallKind.TARGET: "x-x-x",
    CallKind.SLIPPED: "xxx-xxx",
    CallKind.AT_STOP: "x-x-x-x",
    CallKind.SILENT: "x---x---x",
    CallKind.LOG: "x---x---x---x",
    CallKind.SHORT: "x---xx",
    CallKind.STALLED: "x---x",
    CallKind.NEAR: "x",
    CallKind.JUMP: "xx",
    CallKind.LONG: "x------x",
}
#: Rhythms that no call has unless somebody gives it one.
SPARE = ("xxx", "x-xx-x", "xx---x", "xxx---xxx", "x--x--x--x", "xx--xx--xx")
#: What one can choose from.
STOCK = (*DEFAULTS.values(), *SPARE)


class RhythmError(ValueError):
    """A rhythm that can't be played: one sentence."""


def read_rhythm(text: str) -> str:
    """The rhythm that a text writes. Raises RhythmError.

    >>> read_rhythm(" X-xx ")
    'x-xx'
    """
    rhythm = text.strip().lower()
    if not rhythm or set(rhythm) - set("x-") or not (rhythm[0] == rhythm[-1] == "x"):
        raise RhythmError(
            f'"{text[:MOST_BEATS]}" is no rhythm: write x for a bell and - for a rest, '
            "beginning and ending with x"
        )
    if len(rhythm) > MOST_BEATS:
        raise RhythmError(f'"{rhythm[:MOST_BEATS]}..." is longer than {MOST_BEATS} beats')
    return rhythm


def bells_s(rhythm: str) -> tuple[float, ...]:
    """When the bell sounds, s after the call.

    >>> bells_s("x-x")
    (0.0, 0.3)
    """
    return tuple(place * BEAT_S for place, beat in enumerate(rhythm) if beat == "x")


def all_apart(bells: Mapping[CallKind, str]) -> dict[CallKind, str]:
    """A rhythm for every call, and no two alike; calls without one get their usual one, or a spare.

    Raises RhythmError if two of ``bells`` are alike.
    """
    first: dict[str, CallKind] = {}
    for kind, rhythm in bells.items():
        if rhythm in first:
            raise RhythmError(f"{first[rhythm]} and {kind} would sound alike ({rhythm})")
        first[rhythm] = kind
    whole = dict(bells)
    for kind, usual in DEFAULTS.items():
        if kind not in whole:
            free = (one for one in (usual, *SPARE, *STOCK) if one not in whole.values())
            whole[kind] = next(free)
    return {kind: whole[kind] for kind in CallKind}
