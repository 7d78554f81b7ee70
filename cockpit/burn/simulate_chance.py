"""What chance brings to an invented burn: wandering figures, soft layers, a gauge's faults.

Each has a source of chance of its own, so that one turned on leaves the others as they were. None
of them depends on how often it is asked: each goes by depth, or by the burn's own time.
"""

from __future__ import annotations

import math
from random import Random

from cockpit.burn.scene import LEAST_SOFT_TIMES, SOFT_JITTER, Scene

#: A spike is at least this part of the largest.
LEAST_SPIKE = 0.5


def waiting_s(mean_s: float, chance: Random) -> float:
    """Draw how long to wait for what comes every ``mean_s`` by pure chance; infinity: for ever."""
    return mean_s * chance.expovariate(1.0)


class Wander:
    """A number that wanders about zero: normal, a first-order autoregression.

    ``sd``: its standard deviation. It is drawn anew each ``step_s`` and remembers what it was for
    ``memory_s``.
    """

    def __init__(self, sd: float, memory_s: float, step_s: float, chance: Random) -> None:
        self.value = chance.gauss(0.0, sd)
        self._kept = math.exp(-step_s / memory_s)
        self._spread = sd * math.sqrt(1 - self._kept * self._kept)
        self._chance = chance

    def step(self) -> None:
        """Let one step pass."""
        self.value = self._kept * self.value + self._chance.gauss(0.0, self._spread)


class SoftLayers:
    """The soft layers below a break, drawn one by one as the tip comes to them."""

    def __init__(self, scene: Scene, chance: Random) -> None:
        self._scene = scene
        self._chance = chance
        self._top_mm = scene.recess_mm
        self._draw()

    def at(self, depth_mm: float) -> tuple[float, float]:
        """How many times as fast it burns just below a depth, and down to which depth it does.

        Depths must not go back: what was passed is forgotten.
        """
        while depth_mm >= self._bottom_mm:
            self._draw()
        if depth_mm < self._top_mm:
            return 1.0, self._top_mm
        return self._times, self._bottom_mm

    def _draw(self) -> None:
        self._top_mm += self._scene.soft_every_mm * self._chance.uniform(*SOFT_JITTER)
        self._bottom_mm = self._top_mm + self._scene.soft_mm
        self._times = self._chance.uniform(LEAST_SOFT_TIMES, self._scene.soft_times)


class Spikes:
    """Single readings that are off, by chance or because somebody asked for one."""

    def __init__(self, scene: Scene, chance: Random) -> None:
        self._scene = scene
        self._chance = chance
        self._due_s = waiting_s(scene.spike_every_s, chance)
        self._asked_mm = 0.0

    def ask(self, off_mm: float) -> None:
        """Have the next reading off by so much. Raises ValueError for what is no length."""
        if not math.isfinite(off_mm):
            raise ValueError(f"A reading can't be off by {off_mm} mm.")
        self._asked_mm = off_mm

    def off_mm(self, t_s: float) -> float:
        """How far off the reading taken at this time is; the reading after it is right again."""
        off_mm, self._asked_mm = self._asked_mm, 0.0
        while self._due_s <= t_s:
            size_mm = self._scene.spike_mm * self._chance.uniform(LEAST_SPIKE, 1.0)
            off_mm = off_mm or size_mm * self._chance.choice((-1, 1))
            self._due_s += waiting_s(self._scene.spike_every_s, self._chance)
        return off_mm


class DropOuts:
    """Times at which nothing is heard of the gauge."""

    def __init__(self, scene: Scene, chance: Random) -> None:
        self._scene = scene
        self._chance = chance
        self._end_s = 0.0
        self._draw()

    def hears(self, t_s: float) -> bool:
        """Whether the gauge is heard at this time; times must not go back."""
        while t_s >= self._end_s:
            self._draw()
        return t_s < self._begin_s

    def _draw(self) -> None:
        self._begin_s = self._end_s + waiting_s(self._scene.dropout_every_s, self._chance)
        self._end_s = self._begin_s + self._scene.dropout_s
