"""What comes in during a burn: readings of the gauge and marks of the operator."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

#: Farther than any head travels; a gauge that says more is broken (assumed).
FARTHEST_MM = 2_000.0


@dataclass(frozen=True, slots=True)
class Reading:
    """One valid indicator reading.

    ``t_s``: seconds on the hole's own clock. ``travel_mm``: indicator reading, positive down,
    zero with the tip of a new electrode on the reference face.
    """

    t_s: float
    travel_mm: float

    @classmethod
    def at(cls, t_s: float, travel_mm: float) -> Reading:
        """A reading rounded to what the log keeps, so that a replay sees what the screen saw.

        >>> Reading.at(1.23456, 12.3456789)
        Reading(t_s=1.235, travel_mm=12.346)
        """
        return cls(round(t_s, 3), round(travel_mm, 3))


class MarkKind(StrEnum):
    """What an operator marks in a trace; the names are those of the trace file."""

    START = "start"
    STOP = "stop"
    UNSEEN = "unseen"
    TOUCH = "touch"
    WEAR = "wear"
    DEPTH = "depth"
    ELECTRODE = "electrode"
    SPOT = "spot"


#: What carries a measurement, and can't be marked without one.
MEASURING = frozenset({MarkKind.TOUCH, MarkKind.WEAR, MarkKind.DEPTH})
#: What puts the tip elsewhere, with the arc off.
CHANGING = frozenset({MarkKind.ELECTRODE, MarkKind.SPOT})
#: What carries no length at all.
BARE = frozenset({MarkKind.STOP, MarkKind.UNSEEN, MarkKind.SPOT})
#: What puts the arc off: a person or the readings, or nobody.
STOPPING = frozenset({MarkKind.STOP, MarkKind.UNSEEN})


@dataclass(frozen=True, slots=True)
class Mark:
    """One mark of the operator.

    ``value_mm``: for ``touch`` the indicator reading with the tip on the reference face, for
    ``wear`` the electrode length lost so far, for ``depth`` the depth gauged in the hole. For
    ``start`` of the arc the depth of a pilot burn, else None. ``electrode``: another one is in the
    holder; its ``value_mm`` is the indicator reading with its tip on the reference face, None for
    0. ``spot``: the head stands over another spot of the break. ``stop`` of the arc has none, nor
    has ``unseen``: nobody looks any more, and nobody put the arc off.
    """

    t_s: float
    kind: MarkKind
    value_mm: float | None = None

    @classmethod
    def at(cls, t_s: float, kind: MarkKind, value_mm: float | None = None) -> Mark:
        """A mark rounded to what the log keeps."""
        return cls(round(t_s, 3), kind, None if value_mm is None else round(value_mm, 3))

    @property
    def measures(self) -> bool:
        """Whether the mark carries a measurement."""
        return self.kind in MEASURING

    @property
    def changes(self) -> bool:
        """Whether it is another electrode, or another spot."""
        return self.kind in CHANGING


def believable(travel_mm: float) -> bool:
    """Whether a number can be a head's travel at all: finite, and not off any column."""
    return math.isfinite(travel_mm) and abs(travel_mm) <= FARTHEST_MM
