"""Traces made by hand: a head that is moved, an arc that is switched, a tracker that watches."""

from __future__ import annotations

from itertools import pairwise

from cockpit.burn.aim import Aim
from cockpit.burn.reading import Mark, MarkKind, Reading
from cockpit.burn.state import BurnState, Span
from cockpit.burn.tracker import Tracker

#: Feed of the travel of an ordinary burn, mm/s: 2.8 mm of depth a minute at a wear ratio of 0.25.
FEED_MM_S = 2.8 / 60 / 0.75


class Hand:
    """Moves a head over a hole and shows every reading to a tracker, which begins at time 0.

    ``events`` is all that the tracker was shown. The arc is off, the tip on the break.
    """

    def __init__(self, aim: Aim | None = None, rate_hz: float = 10.0) -> None:
        self.aim = aim or Aim(recess_mm=3.0)
        self.tracker = Tracker(self.aim)
        self.events: list[Reading | Mark] = []
        self.t_s = 0.0
        self.travel_mm = self.aim.recess_mm
        self._period_s = 1 / rate_hz

    def show(self, event: Reading | Mark) -> None:
        self.events.append(event)
        self.tracker.take(event)

    def mark(self, kind: MarkKind, value_mm: float | None = None) -> None:
        self.show(Mark.at(self.t_s, kind, value_mm))

    def start(self) -> None:
        self.mark(MarkKind.START)

    def stop(self) -> None:
        self.mark(MarkKind.STOP)

    def read(self, travel_mm: float | None = None) -> None:
        """One reading, a period after the last; by default of where the head is."""
        self.t_s += self._period_s
        self.show(Reading.at(self.t_s, self.travel_mm if travel_mm is None else travel_mm))

    def move(self, speed_mm_s: float, lasts_s: float) -> None:
        """Move the head at one speed, positive down, a reading each period."""
        began_s, began_mm = self.t_s, self.travel_mm
        for step in range(1, round(lasts_s / self._period_s) + 1):
            self.t_s = began_s + (step - 1) * self._period_s
            self.travel_mm = began_mm + speed_mm_s * step * self._period_s
            self.read()

    def burn(self, lasts_s: float, feed_mm_s: float = FEED_MM_S) -> None:
        self.move(feed_mm_s, lasts_s)

    def rest(self, lasts_s: float) -> None:
        self.move(0.0, lasts_s)

    def lift(self, height_mm: float = 3.0, speed_mm_s: float = 6.0) -> None:
        """Lift to clear and come back to where the tip was."""
        self.move(-speed_mm_s, height_mm / speed_mm_s)
        self.move(speed_mm_s, height_mm / speed_mm_s)

    @property
    def state(self) -> BurnState:
        return self.tracker.state()

    @property
    def depth(self) -> Span:
        depth = self.state.depth_mm
        assert depth is not None
        return depth

    @property
    def calls(self) -> list[str]:
        return [call.kind.value for call in self.tracker.calls]

    def standing(self, kind: str) -> bool:
        return kind in {call.kind.value for call in self.state.standing}


def in_time_order(calls_s: list[float]) -> bool:
    return all(before <= after for before, after in pairwise(calls_s))
