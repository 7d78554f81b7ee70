"""What came and was not collected yet: where a gauge's thread and its owner meet."""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Iterable

from cockpit.gauges.protocol import Reject, Sample

#: An hour of readings at 50 Hz. Whoever has not looked for that long has stopped looking.
HOUR_AT_50_HZ = 180_000


class Inbox:
    """A bounded queue between two threads.

    When it is full the oldest go, since the newest reading is the one that matters at the machine.
    They do not go in silence: the next ``drain`` begins with a reject that says how many were lost.
    """

    def __init__(self, room: int = HOUR_AT_50_HZ) -> None:
        self._lock = threading.Lock()
        self._waiting: deque[Sample | Reject] = deque()
        self._room = room
        self._lost = 0
        self._lost_until_s = 0.0

    def put(self, arrived: Iterable[Sample | Reject]) -> None:
        """Add what arrived, in order."""
        with self._lock:
            self._waiting.extend(arrived)
            while len(self._waiting) > self._room:
                self._lost_until_s = self._waiting.popleft().t_s
                self._lost += 1

    def drain(self) -> list[Sample | Reject]:
        """Take everything out."""
        with self._lock:
            drained = list(self._waiting)
            self._waiting.clear()
            lost, self._lost = self._lost, 0
        if lost:
            why = f"{lost} readings were lost, because nobody collected them in time."
            drained.insert(0, Reject(self._lost_until_s, "", why))
        return drained
