"""How the burn gets on: high-water travel, the burn's own feed, and falls.

The high-water mark is the farthest travel reached with the arc on. Only travel beyond it can be
new depth; lifting to clear and coming back adds nothing. Feed is counted over *cutting time*: arc
on and the tip at the mark, so a lift does not look like a slow burn.
"""

from __future__ import annotations

import math
from collections import deque
from dataclasses import dataclass
from statistics import median

#: The tip counts as at the mark within this distance of it (assumed: backlash and vibration).
AT_MARK_MM = 0.10
#: A reading that comes later than this after the one before stands for itself: nobody waits for two
#: more to hear that a typed figure counts, s (assumed) ...
SLOW_S = 1.0
#: ... if it lies no farther beyond the mark than this, and no burn runs faster (assumed).
SLOW_LEAP_MM = 0.5
FASTEST_FEED_MM_S = 0.2
#: Feed is taken over this much cutting time, and not believed under MIN_FEED_S (assumed).
FEED_WINDOW_S = 20.0
MIN_FEED_S = 4.0
#: A fall shows itself by this much new travel ...
FALL_MM = 0.15
#: ... at this many times the burn's own feed ...
FALL_TIMES = 6.0
#: ... and never slower than this, mm/s: six times a crawl is still a burn (assumed).
FALL_FLOOR_MM_S = 0.12
#: A tip that comes down to the work has landed when it gains no more than this for so long; at the
#: latest so long after it passed the mark (all assumed).
LANDED_MM = 0.15
LANDED_S = 0.3
LANDING_S = 1.0
#: The high-water mark has to rise by this to count as progress; less is noise (assumed).
PROGRESS_MM = 0.05


class Landing:
    """The tip on its way down to the work, after the arc came on.

    What it passes below the mark was burnt while nobody looked, as when the power went: new depth,
    but no fall. Times s since the arc came on, travels mm.
    """

    def __init__(self) -> None:
        self._s = 0.0
        self._past_s: float | None = None
        self._slow_since_s = 0.0
        self._from_mm = -math.inf

    def is_over(self, travel_mm: float, mark_mm: float, dt_s: float) -> bool:
        """Take the next travel; whether the tip now stands on the work."""
        self._s += dt_s
        if travel_mm > self._from_mm + LANDED_MM:
            self._slow_since_s, self._from_mm = self._s, travel_mm
        if travel_mm < mark_mm - AT_MARK_MM:
            return False
        if self._past_s is None:
            self._past_s = self._s
        return self._s - max(self._slow_since_s, self._past_s) >= LANDED_S or (
            self._s - self._past_s >= LANDING_S
        )


@dataclass(frozen=True, slots=True)
class Fall:
    """A fall-through: ``from_high_mm`` is the high-water travel where it began."""

    from_high_mm: float
    rate_mm_s: float


class Progress:
    """The high-water mark and what its history says. Fed with travels while the arc is on."""

    def __init__(self, start_mm: float) -> None:
        """``start_mm``: depth of the break; above it there is nothing to burn."""
        self.high_mm: float | None = None
        self.since_progress_s = 0.0
        self.cutting_s = 0.0
        self._start_mm = start_mm
        self._anchor_mm = start_mm
        self._feed_at_progress_mm_s: float | None = None
        self._last3: deque[float] = deque(maxlen=3)
        self._path: deque[tuple[float, float]] = deque([(0.0, start_mm)])
        self._landing: Landing | None = None

    def arc_starts(self) -> None:
        """A new burn: the time without progress starts afresh, and old travels no longer count."""
        self.since_progress_s = 0.0
        self._last3.clear()
        self._landing = Landing()

    def advance(self, travel_mm: float, dt_s: float) -> float:
        """Take one travel read ``dt_s`` after the one before; return the new travel (mm, >= 0)."""
        before_mm = self._start_mm if self.high_mm is None else self.high_mm
        steady_mm = self._steady(travel_mm, before_mm, dt_s)
        self.high_mm = max(before_mm, steady_mm)
        if self._landing is not None:
            unseen_mm = self.high_mm - before_mm
            self._path = deque((then_s, mm + unseen_mm) for then_s, mm in self._path)
            if self._landing.is_over(steady_mm, before_mm, dt_s):
                self._landing = None
        self._count_time(steady_mm, self.high_mm, dt_s)
        return self.high_mm - before_mm

    def _steady(self, travel_mm: float, high_mm: float, dt_s: float) -> float:
        """The travel that can be relied on: a single spike must not move the mark."""
        self._last3.append(travel_mm)
        farthest_mm = high_mm + SLOW_LEAP_MM + FASTEST_FEED_MM_S * dt_s
        if dt_s > SLOW_S and travel_mm <= farthest_mm:
            return travel_mm
        if len(self._last3) == 3:
            return median(self._last3)
        return min(self._last3) if len(self._last3) == 2 else min(travel_mm, high_mm)

    def _count_time(self, steady_mm: float, high_mm: float, dt_s: float) -> None:
        self.since_progress_s += dt_s
        if steady_mm >= high_mm - AT_MARK_MM:
            self.cutting_s += dt_s
            self._remember(high_mm)
        if high_mm >= self._anchor_mm + PROGRESS_MM:
            self._anchor_mm = high_mm
            self.since_progress_s = 0.0
            self._feed_at_progress_mm_s = self.feed_mm_s()

    def _remember(self, high_mm: float) -> None:
        if self._path[-1][0] == self.cutting_s:
            # Readings that a stuck computer handed over at once are one moment, not a fall.
            self._path.pop()
        self._path.append((self.cutting_s, high_mm))
        while len(self._path) > 1 and self._path[1][0] < self.cutting_s - 2 * FEED_WINDOW_S:
            self._path.popleft()

    def feed_mm_s(self) -> float | None:
        """Feed of the travel over the last 20 s of cutting, mm/s; None until it can be told."""
        return self._slope_before(len(self._path) - 1)

    @property
    def feed_at_progress_mm_s(self) -> float | None:
        """Feed of the travel when the mark last rose, mm/s: what a stalled burn is held against."""
        return self._feed_at_progress_mm_s

    def fall(self) -> Fall | None:
        """The fall that the last readings show, if they show one; each is told once.

        Looks at the shortest stretch of cutting time that holds ``FALL_MM`` of new travel, and
        compares its rate with the feed of the burn before that stretch. Below the fall the burn
        is a new one, whose feed has yet to show.
        """
        found = self._fall()
        if found is not None:
            self._path = deque([self._path[-1]])
        return found

    def _fall(self) -> Fall | None:
        if len(self._path) < 3:
            return None
        now_s, now_mm = self._path[-1]
        start = next(
            (i for i in range(len(self._path) - 2, -1, -1) if now_mm - self._path[i][1] >= FALL_MM),
            None,
        )
        if start is None:
            return None
        then_s, then_mm = self._path[start]
        rate_mm_s = (now_mm - then_mm) / max(now_s - then_s, 1e-3)
        own_mm_s = self._own_feed(start)
        if own_mm_s is None or rate_mm_s < max(FALL_TIMES * own_mm_s, FALL_FLOOR_MM_S):
            return None
        return Fall(then_mm, rate_mm_s)

    def _own_feed(self, index: int) -> float | None:
        """The feed that a fall is judged against: never less than half the whole burn's feed."""
        recent = self._slope_before(index)
        if recent is None:
            return None
        then_s, then_mm = self._path[index]
        return max(recent, 0.5 * (then_mm - self._start_mm) / then_s)

    def _slope_before(self, index: int) -> float | None:
        if index < 0:
            return None
        end_s, end_mm = self._path[index]
        begin_s, begin_mm = self._path[0]
        for then_s, then_mm in self._path:
            if then_s > end_s - FEED_WINDOW_S:
                break
            begin_s, begin_mm = then_s, then_mm
        span_s = end_s - begin_s
        return (end_mm - begin_mm) / span_s if span_s >= MIN_FEED_S else None
