"""The travel that can be relied on: readings shake, and a single one may be far off.

A fast gauge is smoothed by the median of its last quarter of a second. A slow one has no readings
to spare: what the burn explains counts at once, and what it does not waits for a second reading
that bears it out, a long leap for a third.
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
#: A burn that runs faster, as in a soft layer, is believed a reading later, mm/s (assumed).
FASTEST_FEED_MM_S: Final = 0.2
#: A reading this far beyond the mark is explained by vibration and backlash, mm (assumed) ...
SHAKEN_MM: Final = 0.05
#: ... and one that comes later than SLOW_S by a coarser hand: nobody waits for two more to hear
#: that a typed figure counts (both assumed).
SLOW_S: Final = 1.0
LEAP_MM: Final = 0.5
#: A leap of more than this is believed only when three readings in a row show it, mm (assumed).
LONG_LEAP_MM: Final = 0.8

# Of the noise: the least and the most that is believed, mm, and how far one reading moves it.
_QUIETEST_MM: Final = 0.004
_LOUDEST_MM: Final = 0.2
_STEP: Final = 1.05
# The median size of a second difference of normal figures, in terms of their sd: that of the normal
# distribution, 0.6745, times the root of 1 + 4 + 1.
_BEND: Final = 0.6745 * math.sqrt(6)
# The variance of a median of normal figures, in terms of that of their mean.
_MEDIAN: Final = math.pi / 2


class Steady:
    """Fed with travels in the order of time, while the arc is on; all mm and s."""

    def __init__(self) -> None:
        #: Whether the last travel lies beyond what is returned, and has yet to be borne out.
        self.is_waiting = False
        self._t_s = 0.0
        self._times_s: deque[float] = deque(maxlen=MOST)
        self._travels_mm: deque[float] = deque(maxlen=MOST)
        self._last_mm: deque[float] = deque(maxlen=ENOUGH)
        self._sd_mm = _QUIETEST_MM

    def forget(self) -> None:
        """Old travels say nothing about those to come: a new burn."""
        for kept in (self._times_s, self._travels_mm, self._last_mm):
            kept.clear()

    def take(self, travel_mm: float, dt_s: float, high_mm: float) -> float:
        """Take a travel read ``dt_s`` after the one before; return what can be relied on, mm.

        ``high_mm``: the high-water mark so far.
        """
        self._t_s += dt_s
        self._times_s.append(self._t_s)
        self._travels_mm.append(travel_mm)
        self._last_mm.append(travel_mm)
        self._learn_noise()
        while self._t_s - self._times_s[0] > WINDOW_S and len(self._times_s) > 2:
            self._times_s.popleft()
            self._travels_mm.popleft()
        said_mm = self._borne_out(travel_mm, dt_s, high_mm)
        self.is_waiting = travel_mm - SHAKEN_MM > max(said_mm, high_mm)
        return said_mm

    def _borne_out(self, travel_mm: float, dt_s: float, high_mm: float) -> float:
        count = len(self._travels_mm)
        burnt_mm = high_mm + FASTEST_FEED_MM_S * dt_s
        if count >= ENOUGH:
            said_mm = median(self._travels_mm)
        elif travel_mm <= burnt_mm + (LEAP_MM if dt_s > SLOW_S else SHAKEN_MM):
            return travel_mm
        else:
            said_mm = min(self._travels_mm) if count > 1 else min(travel_mm, high_mm)
        if said_mm > burnt_mm + LONG_LEAP_MM and dt_s <= SLOW_S:
            return min(said_mm, *self._last_mm) if len(self._last_mm) == ENOUGH else high_mm
        return said_mm

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
