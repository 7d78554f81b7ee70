"""The travel that can be relied on: readings shake, and a single one may be far off.

A fast gauge is smoothed by the median of its last quarter of a second. A slow one has no readings
to spare: what the burn explains counts at once, and what it does not waits for a second reading
that bears it out.
"""

from __future__ import annotations

import math
from collections import deque
from statistics import median
from typing import Final

#: Readings this close in time are taken together, s (assumed) ...
WINDOW_S: Final = 0.25
#: ... if there are enough of them for one that is off to be outvoted, and no more than this.
ENOUGH: Final = 3
MOST: Final = 15
#: No burn runs faster, mm/s (assumed).
FASTEST_FEED_MM_S: Final = 0.2
#: A reading this far beyond the mark is explained by vibration and backlash, mm (assumed) ...
SHAKEN_MM: Final = 0.05
#: ... and one that comes later than SLOW_S by a coarser hand: nobody waits for two more to hear
#: that a typed figure counts (both assumed).
SLOW_S: Final = 1.0
SLOW_LEAP_MM: Final = 0.5

# Of the noise: the least and the most that is believed, mm, and how far one reading moves it.
_QUIETEST_MM: Final = 0.004
_LOUDEST_MM: Final = 0.05
_STEP: Final = 1.05
# The median size of a second difference of normal figures, in terms of their sd: that of the normal
# distribution, 0.6745, times the root of 1 + 4 + 1.
_BEND: Final = 0.6745 * math.sqrt(6)
# The variance of a median of normal figures, in terms of that of their mean.
_MEDIAN: Final = math.pi / 2


class Steady:
    """Fed with travels in the order of time, while the arc is on; all mm and s."""

    def __init__(self) -> None:
        self._t_s = 0.0
        self._times_s: deque[float] = deque(maxlen=MOST)
        self._travels_mm: deque[float] = deque(maxlen=MOST)
        self._sd_mm = _QUIETEST_MM

    def forget(self) -> None:
        """Old travels say nothing about those to come: a new burn."""
        self._times_s.clear()
        self._travels_mm.clear()

    def take(self, travel_mm: float, dt_s: float, high_mm: float) -> float:
        """Take a travel read ``dt_s`` after the one before; return what can be relied on, mm.

        ``high_mm``: the high-water mark so far.
        """
        self._t_s += dt_s
        self._times_s.append(self._t_s)
        self._travels_mm.append(travel_mm)
        self._learn_noise()
        while self._t_s - self._times_s[0] > WINDOW_S and len(self._times_s) > 2:
            self._times_s.popleft()
            self._travels_mm.popleft()
        if len(self._travels_mm) >= ENOUGH:
            return median(self._travels_mm)
        slack_mm = SLOW_LEAP_MM if dt_s > SLOW_S else SHAKEN_MM
        if travel_mm <= high_mm + slack_mm + FASTEST_FEED_MM_S * dt_s:
            return travel_mm
        return min(self._travels_mm) if len(self._travels_mm) > 1 else min(travel_mm, high_mm)

    def _learn_noise(self) -> None:
        """From the second difference, which no even movement enters.

        It is followed by its median, a small step up or down with each reading, so that a spike
        or the turn of a lift counts no more than any other.
        """
        if len(self._travels_mm) < ENOUGH:
            return
        bend_mm = self._travels_mm[-1] - 2 * self._travels_mm[-2] + self._travels_mm[-3]
        step = _STEP if abs(bend_mm) > _BEND * self._sd_mm else 1 / _STEP
        self._sd_mm = min(max(self._sd_mm * step, _QUIETEST_MM), _LOUDEST_MM)

    @property
    def noise_mm(self) -> float:
        """Standard deviation of what ``take`` returns, mm."""
        count = len(self._travels_mm)
        return self._sd_mm * (math.sqrt(_MEDIAN / count) if count >= ENOUGH else 1.0)
