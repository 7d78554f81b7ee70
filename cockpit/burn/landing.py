"""A tip on its way down: to the work after the arc came on, or falling through it."""

from __future__ import annotations

import math
from typing import Final

from cockpit.burn.falls import ENDING_S
from cockpit.burn.steady import FASTEST_FEED_MM_S

#: The tip counts as at the mark within this distance of it (assumed: backlash and vibration).
AT_MARK_MM: Final = 0.10
#: A tip that comes down to the work has landed when it moves no farther than this for so long; at
#: the latest so long after it passed the mark (all assumed).
LANDED_MM: Final = 0.15
LANDED_S: Final = 0.3
LANDING_S: Final = 1.0
#: A tip that chatters has landed when its mark rises no faster than a burn for so long, s
#: (assumed).
CHATTERS_S: Final = 3.0


class Landing:
    """The tip on its way down to the work, after the arc came on.

    What it passes below the mark was burnt while nobody looked, as when the power went: new depth,
    but no fall. Times s since the arc came on, travels mm.
    """

    def __init__(self, longest_s: float = LANDING_S) -> None:
        self._longest_s = longest_s
        self._s = 0.0
        self._past_s: float | None = None
        self._slow_since_s = 0.0
        self._from_mm = -math.inf
        self._rising_since_s, self._rose_to_mm = 0.0, -math.inf

    def is_over(self, travel_mm: float, mark_mm: float, high_mm: float, dt_s: float) -> bool:
        """Take the next travel, and the mark before and after it; whether the tip now stands."""
        self._s += dt_s
        since_s = self._s - self._rising_since_s
        if high_mm - self._rose_to_mm > LANDED_MM + FASTEST_FEED_MM_S * since_s:
            self._rising_since_s, self._rose_to_mm = self._s, high_mm
        # A gauge that is seldom read may burn that far from one reading to the next.
        if abs(travel_mm - self._from_mm) > LANDED_MM + FASTEST_FEED_MM_S * dt_s:
            self._slow_since_s, self._from_mm = self._s, travel_mm
        if travel_mm < mark_mm - AT_MARK_MM:
            return False
        if self._past_s is None:
            self._past_s = self._rising_since_s = self._s
        if self._s - self._rising_since_s >= CHATTERS_S:
            return True
        return self._s - max(self._slow_since_s, self._past_s) >= LANDED_S or (
            self._s - self._past_s >= self._longest_s
        )


class Falling:
    """A fall that has been called, until the tip is slow again. Travels mm, times s."""

    def __init__(self, high_mm: float, reference_mm_s: float) -> None:
        self._reference_mm_s = reference_mm_s
        self._from_mm = high_mm
        self._s = 0.0

    def is_over(self, high_mm: float, dt_s: float) -> bool:
        """Take the next high-water mark; whether the fall has ended."""
        self._s += dt_s
        if self._s < ENDING_S:
            return False
        is_slow = high_mm - self._from_mm < self._reference_mm_s * self._s
        self._from_mm, self._s = high_mm, 0.0
        return is_slow
