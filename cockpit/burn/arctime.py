"""The arc's own clock: what happened on the hole's clock, told by how long the arc had burnt."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from itertools import pairwise

from cockpit.burn.reading import STOPPING, Mark, MarkKind, Reading


class ArcTime:
    """The arc time of every moment of a hole; it stands still while the arc is off."""

    def __init__(self, events: Iterable[Reading | Mark]) -> None:
        """``events``: the hole's, in order. An arc that nobody put off burns to the last of them.

        >>> on, off = MarkKind.START, MarkKind.STOP
        >>> arc = ArcTime([Mark(2.0, on), Mark(5.0, off), Mark(9.0, on)])
        >>> arc.arc_s(3.0), arc.arc_s(7.0), arc.arc_s(10.0)
        (1.0, 3.0, 3.0)
        """
        self._begins_s: list[float] = []
        self._ends_s: list[float] = []
        last_s = 0.0
        for event in events:
            last_s = event.t_s
            if not isinstance(event, Mark):
                continue
            is_on = len(self._begins_s) > len(self._ends_s)
            if event.kind is MarkKind.START and not is_on:
                self._begins_s.append(event.t_s)
            elif event.kind in STOPPING and is_on:
                self._ends_s.append(event.t_s)
        if len(self._begins_s) > len(self._ends_s):
            self._ends_s.append(last_s)
        self._before_s = [0.0]
        for begin_s, end_s in zip(self._begins_s, self._ends_s, strict=True):
            self._before_s.append(self._before_s[-1] + max(end_s - begin_s, 0.0))

    def arc_s(self, t_s: float) -> float:
        """The arc time up to a moment of the hole's clock, s."""
        burn = bisect_right(self._begins_s, t_s) - 1
        if burn < 0:
            return 0.0
        burnt_s = min(t_s, self._ends_s[burn]) - self._begins_s[burn]
        return self._before_s[burn] + max(burnt_s, 0.0)

    @property
    def burns(self) -> list[tuple[float, float]]:
        """From which arc time to which each burn lasted, s."""
        return list(pairwise(self._before_s))

    @property
    def total_s(self) -> float:
        """All of the arc time, s."""
        return self._before_s[-1]
