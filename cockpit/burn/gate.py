"""Which readings count: in the order of time, and where a head can be; and when none come."""

from __future__ import annotations

import math
from collections import deque
from statistics import median
from typing import Final

from cockpit.burn.reading import Reading, believable

#: A reading may be off by this, mm, over and above what the head can have moved (assumed).
JUMP_SLACK_MM: Final = 0.5
#: So many jumped readings that agree with each other are a gauge set anew (assumed).
JUMPS_THAT_AGREE: Final = 3
#: A gauge that says nothing for so long, or for so many of its periods, is silent (assumed).
SILENT_S: Final = 1.0
SILENT_PERIODS: Final = 5
# So many periods tell how often a gauge speaks, and no fewer than a few.
_PERIODS: Final = 5
_PERIODS_TO_TELL: Final = 3


class Gate:
    """Fed with everything that came in, in the order in which it came; times s, travels mm."""

    def __init__(self, head_speed_mm_s: float) -> None:
        self.last: Reading | None = None
        self.t_s = 0.0
        self._head_speed_mm_s = head_speed_mm_s
        self._jumped: list[Reading] = []
        self._periods_s: deque[float] = deque(maxlen=_PERIODS)
        self._patience_s = SILENT_S

    def admits(self, t_s: float, value_mm: float | None) -> bool:
        """Whether an event can be at all: a finite time that doesn't go back, a possible length.

        One that can moves the time on.
        """
        if not (math.isfinite(t_s) and t_s >= self.t_s):
            return False
        if value_mm is not None and not believable(value_mm):
            return False
        self.t_s = t_s
        return True

    def jumps(self, reading: Reading) -> bool:
        """Whether a reading is farther from the last than the head can have moved."""
        if self.last is None or self._reachable(self.last, reading):
            return False
        if self._jumped and not self._reachable(self._jumped[-1], reading):
            self._jumped.clear()
        self._jumped.append(reading)
        return len(self._jumped) < JUMPS_THAT_AGREE

    def _reachable(self, before: Reading, after: Reading) -> bool:
        room_mm = self._head_speed_mm_s * (after.t_s - before.t_s) + JUMP_SLACK_MM
        return abs(after.travel_mm - before.travel_mm) <= room_mm

    def keep(self, reading: Reading) -> None:
        """This reading counts."""
        if self.last is not None:
            self._periods_s.append(reading.t_s - self.last.t_s)
            if len(self._periods_s) >= _PERIODS_TO_TELL:
                self._patience_s = max(SILENT_S, SILENT_PERIODS * median(self._periods_s))
        self.last = reading
        self._jumped.clear()

    def silent_from_s(self, since_s: float) -> float:
        """The time from which the gauge is silent, if nothing comes; it spoke or began then, s."""
        if self.last is not None:
            since_s = max(since_s, self.last.t_s)
        return since_s + self._patience_s
