"""What a burn aims at, and what the plan expects of it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

from cockpit.trade.wear import MeasurementNoise

#: A head moves no faster than this, mm/s, unless the machine's profile says so (assumed).
HEAD_SPEED_MM_S: Final = 25.0
#: How far before the target the operator is warned, mm, or as a part of a long burn (assumed).
NEAR_MM: Final = 1.0
NEAR_PART: Final = 0.05


@dataclass(frozen=True, slots=True)
class Aim:
    """What a burn aims at; depths from the part's surface, mm. None: not known or no such limit.

    ``wear_mean`` and ``wear_sd``: the plan's belief about the wear ratio. ``streaming``: the gauge
    sends by itself, so that saying nothing is a fault; a typed one is as silent as its operator.
    ``measures_anew``: a second measurement of a kind at the same travel takes the first one's place
    instead of being averaged with it, as logs of an earlier cockpit have it. ``head_speed_mm_s``: a
    head moves no faster than this (assumed; the machine's profile says). ``doubts_unseen``: after
    an arc that nobody put off the tip may stand deeper than it was seen, which an earlier cockpit
    did not think of.

    What the plan expects, each None where nobody planned: ``fastest_mm_s``, the fastest that travel
    may advance; ``longest_s``, the arc time that 95 of 100 such burns stay under; ``reach_mm``, the
    farthest travel of an electrode; ``electrodes``, how many of them the hole takes.
    """

    recess_mm: float = 0.0
    target_mm: float | None = None
    limit_mm: float | None = None
    wear_mean: float = 0.25
    wear_sd: float = 0.10
    noise: MeasurementNoise = field(default_factory=MeasurementNoise)
    streaming: bool = True
    measures_anew: bool = False
    doubts_unseen: bool = False
    head_speed_mm_s: float = HEAD_SPEED_MM_S
    fastest_mm_s: float | None = None
    longest_s: float | None = None
    reach_mm: float | None = None
    electrodes: int = 1

    @property
    def near_mm(self) -> float:
        """How far before the target the operator is warned: 1 mm, or 5 % of a long burn."""
        burn_mm = 0.0 if self.target_mm is None else self.target_mm - self.recess_mm
        return max(NEAR_MM, NEAR_PART * burn_mm)
