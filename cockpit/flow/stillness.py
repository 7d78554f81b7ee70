"""Whether the indicator stands still: a figure read off a head on its way is no measurement."""

from __future__ import annotations

from collections import deque

#: Still is: no farther than this ...
STILL_WITHIN_MM = 0.05
#: ... for this long (both assumed).
STILL_FOR_S = 0.5
#: A reading older than this says nothing about now, s (assumed).
FRESH_S = 1.5


class Stillness:
    """Fed with readings in the order of time; times s, travels mm.

    >>> head = Stillness()
    >>> for t_s, travel_mm in ((0.0, 5.0), (0.4, 1.0), (0.8, 0.98)):
    ...     head.saw(t_s, travel_mm)
    >>> head.is_still(0.8)
    False
    >>> head.saw(0.9, 0.99)
    >>> head.is_still(0.9), head.is_still(60.0)
    (True, False)
    """

    def __init__(self) -> None:
        self._seen: deque[tuple[float, float]] = deque()

    def saw(self, t_s: float, travel_mm: float) -> None:
        """Take the next reading."""
        self._seen.append((t_s, travel_mm))
        # One reading from before the span stays: it tells how the head came into it.
        while len(self._seen) > 1 and t_s - self._seen[1][0] >= STILL_FOR_S:
            self._seen.popleft()

    def is_still(self, now_s: float) -> bool:
        """Whether all of the last half second lies close together.

        False with less than that to go by, or when nothing has come for a while.
        """
        if not self._seen or self._seen[-1][0] - self._seen[0][0] < STILL_FOR_S:
            return False
        if now_s - self._seen[-1][0] > FRESH_S:
            return False
        travels = [travel_mm for _, travel_mm in self._seen]
        return max(travels) - min(travels) <= STILL_WITHIN_MM
