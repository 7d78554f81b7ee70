"""The scene of an invented burn: the hole, the broken tool in it, and the burn's manners.

All figures here are assumed: they look like a burn, and they are nobody's machine.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

#: How many times as fast the least soft of the soft layers burns (assumed).
LEAST_SOFT_TIMES: Final = 1.5
#: The depth from one soft layer to the next is its mean times something between these (assumed).
SOFT_JITTER: Final = (0.7, 1.3)


_MORE_THAN_0: Final = (
    "feed_mm_min",
    "fall_mm_s",
    "lift_every_s",
    "lift_s",
    "soft_every_mm",
    "spike_every_s",
    "dropout_every_s",
)
_FINITE: Final = ("soft_mm", "soft_times", "fall_noise", "spike_mm", "dropout_s")


@dataclass(frozen=True, slots=True)
class Scene:
    """The hole, the tool in it and the burn's manners. Lengths mm from the surface, times s.

    - ``recess_mm``: depth of the break. ``end_mm``: where the broken tool ends. ``bottom_mm``:
      bottom of the hole, None for a through hole.
    - ``feed_mm_min``: mean feed of depth; ``feed_noise``: standard deviation of its logarithm.
    - ``wear_ratio``: electrode lost per millimetre of travel into material; ``wear_drift``: its
      random walk, per root millimetre.
    - ``vibration_mm``: standard deviation of a reading; ``resolution_mm``: its step (0: none).
    - After ``lift_every_s`` or so of burning the head lifts by ``lift_mm`` to clear, for ``lift_s``
      (every infinity: never).
    - ``fall_mm``: how far the electrode falls, at ``fall_mm_s``, if nothing stops it.
    - At ``stall_at_mm``, if given, nothing advances for ``stall_s`` of arc, or until the arc goes
      off: the operator lifts and flushes.

    All that follows is off unless it is asked for; its figures are assumed too.

    - Every ``soft_every_mm`` of depth or so, from the top of one to the top of the next, lies a
      soft layer ``soft_mm`` thick. From its top to its bottom the feed is 1.5 to ``soft_times`` as
      fast, drawn for each layer (every infinity: none).
    - ``fall_noise``: standard deviation of the logarithm of the speed of the fall, which wanders
      about ``fall_mm_s``, its median, as when a hand feeds the head (0: it is even).
    - Every ``spike_every_s`` by pure chance a single reading is off, up or down, by half of
      ``spike_mm`` to all of it (every infinity: none).
    - Every ``dropout_every_s`` by pure chance the gauge is not heard, for ``dropout_s`` (every
      infinity: never).

    Raises ValueError for a scene that can't be.
    """

    recess_mm: float
    end_mm: float
    bottom_mm: float | None = None
    feed_mm_min: float = 2.8
    wear_ratio: float = 0.25
    vibration_mm: float = 0.01
    resolution_mm: float = 0.01
    lift_every_s: float = 45.0
    lift_mm: float = 3.0
    lift_s: float = 2.0
    fall_mm: float = 0.8
    fall_mm_s: float = 6.0
    feed_noise: float = 0.25
    wear_drift: float = 0.005
    stall_at_mm: float | None = None
    stall_s: float = 30.0
    soft_every_mm: float = math.inf
    soft_mm: float = 1.0
    soft_times: float = 3.0
    fall_noise: float = 0.0
    spike_every_s: float = math.inf
    spike_mm: float = 2.0
    dropout_every_s: float = math.inf
    dropout_s: float = 3.0

    def __post_init__(self) -> None:
        if not 0 <= self.recess_mm < self.end_mm:
            raise ValueError("The broken tool must end below its break, and both in the part.")
        if self.bottom_mm is not None and self.bottom_mm < self.end_mm:
            raise ValueError("The bottom of the hole can't lie above the end of the broken tool.")
        if not 0 <= self.wear_ratio < 1:
            raise ValueError("The wear ratio must be at least 0 and less than 1.")
        for name in _MORE_THAN_0:
            if not getattr(self, name) > 0:
                raise ValueError(f"{name} must be more than 0.")
        for name in _FINITE:
            if not 0 <= getattr(self, name) < math.inf:
                raise ValueError(f"{name} must be a finite number, and at least 0.")
        if self.soft_times < LEAST_SOFT_TIMES:
            raise ValueError(f"soft_times must be at least {LEAST_SOFT_TIMES}.")
        if self.soft_mm > SOFT_JITTER[0] * self.soft_every_mm:
            raise ValueError("Soft layers so thick would overlap: soft_every_mm must be more.")

    @property
    def floor_mm(self) -> float:
        """How deep the electrode falls once it is through the tool."""
        landing_mm = self.end_mm + self.fall_mm
        return landing_mm if self.bottom_mm is None else min(landing_mm, self.bottom_mm)

    @property
    def solid_under_floor(self) -> bool:
        """Whether the fall ends on the part itself, which then burns like the tool did."""
        return self.bottom_mm is not None and self.floor_mm >= self.bottom_mm
