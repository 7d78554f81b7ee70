"""How the burn gets on: high-water travel, the burn's own feed, and falls.

The high-water mark is the farthest travel reached with the arc on. Only travel beyond it can be
new depth; lifting to clear and coming back adds nothing. Feed is counted over *cutting time*: arc
on and the tip at the mark, so a lift does not look like a slow burn.
"""

from __future__ import annotations

import math
from collections import deque
from typing import Final

from cockpit.burn.falls import Fall, FallWatch
from cockpit.burn.landing import AT_MARK_MM, LANDED_MM, LANDING_S, Falling, Landing
from cockpit.burn.steady import FASTEST_FEED_MM_S, SHAKEN_MM, Steady

#: Feed is taken over this much cutting time, and not believed under MIN_FEED_S (assumed).
FEED_WINDOW_S: Final = 20.0
MIN_FEED_S: Final = 4.0
#: Without progress for so long the tip rests, on its stop or stalled: such time says nothing of how
#: fast this burn goes once it goes on, s (assumed).
RESTING_S: Final = 6.0
#: Until then the fastest feed that can be thought counts for so long, s (assumed).
THOUGHT_S: Final = 1.0
#: A fall is judged against no less than this part of the whole burn's feed (assumed).
LEAST_OWN_FEED: Final = 0.5
#: When the gauge was silent for so long, nobody saw how the tip left the mark, s (assumed).
UNSEEN_S: Final = 0.6
#: The high-water mark has to rise by this to count as progress; less is noise, mm (assumed).
PROGRESS_MM: Final = 0.05


class _Feed:
    """Time and travel of a burn, and its feed over the last ``FEED_WINDOW_S`` of them."""

    def __init__(self) -> None:
        self.cutting_s = self.burnt_mm = 0.0
        self._path: deque[tuple[float, float]] = deque([(0.0, 0.0)])

    def take(self, gain_mm: float, dt_s: float) -> None:
        """Take the new travel of so much time."""
        self.cutting_s += dt_s
        self.burnt_mm += gain_mm
        if self._path[-1][0] == self.cutting_s:
            self._path.pop()
        self._path.append((self.cutting_s, self.burnt_mm))
        while len(self._path) > 1 and self._path[1][0] <= self.cutting_s - FEED_WINDOW_S:
            self._path.popleft()

    @property
    def mm_s(self) -> float | None:
        """The feed, mm/s; None until it can be told."""
        begin_s, begin_mm = self._path[0]
        span_s = self.cutting_s - begin_s
        return (self.burnt_mm - begin_mm) / span_s if span_s >= MIN_FEED_S else None


class Progress:
    """The high-water mark and what its history says. Fed with travels while the arc is on."""

    def __init__(self, start_mm: float, fastest_mm_s: float | None = None) -> None:
        """``start_mm``: depth of the break; above it there is nothing to burn.

        ``fastest_mm_s``: the fastest that the plan thinks the travel may advance, mm/s: what a fall
        is judged against until the burn's own feed is known.
        """
        self.high_mm: float | None = None
        self.fall: Fall | None = None
        #: What the last travel passed below the mark on a way down that has yet to end, mm.
        self.passed_mm = 0.0
        #: Whether the tip has stood on the work since the hole was begun, or ``expect_landing``.
        self.has_landed = False
        self._start_mm = start_mm
        self._fastest_mm_s = fastest_mm_s or FASTEST_FEED_MM_S
        self._steady = Steady()
        self._falls = FallWatch()
        self._landing: Landing | None = None
        # Time that waits for the travel it brought to be borne out, and the last travel as read.
        self._waiting_s = 0.0
        self._before_mm = math.inf
        # Readings above the mark since the last one at it.
        self._away = 0
        self._falling: Falling | None = None
        # How long the tip has been seen at the mark since the gauge was last silent.
        self._seen_s = math.inf
        self._begin_feed()
        self._begin_idling()

    def _begin_idling(self) -> None:
        """The time without progress starts afresh."""
        self._arc_s = 0.0
        # When the tip came how far, and the feed then: the last PROGRESS_MM of it.
        self._rises: deque[tuple[float, float, float | None]] = deque(
            [(0.0, -math.inf, self.feed_mm_s())]
        )

    def _begin_feed(self) -> None:
        """The feed has yet to show: as it is, and as it is while the tip does not rest."""
        self._feed, self._own_feed = _Feed(), _Feed()

    def arc_starts(self) -> None:
        """A new burn: the time without progress starts afresh, and old travels no longer count."""
        self._begin_idling()
        self._steady.forget()
        self._falls.forget()
        self._waiting_s = 0.0
        self._away = 0
        self._falling = None
        self._landing = Landing() if self.has_landed else Landing(math.inf)

    def expect_landing(self, from_mm: float) -> None:
        """Another electrode or another spot: the tip lands anew, from this travel on."""
        self.high_mm = None
        self.has_landed = False
        self._start_mm = max(from_mm, 0.0)
        self._begin_idling()

    @property
    def is_quiet(self) -> bool:
        """Whether nothing speaks for a fall: what was gained is depth, and has worn the tip."""
        return self._falls.is_quiet

    def advance(self, travel_mm: float, dt_s: float) -> float:
        """Take one travel read ``dt_s`` after the one before.

        Return the new travel into material, mm, >= 0. ``fall`` is then the fall that this travel
        showed, or None; ``passed_mm`` what it passed that may have been air or material.
        """
        before_mm = self._start_mm if self.high_mm is None else self.high_mm
        steady_mm = self._steady.take(travel_mm, dt_s, before_mm)
        self.high_mm = max(before_mm, steady_mm)
        gain_mm = self.high_mm - before_mm
        self.fall, self.passed_mm = None, 0.0
        cut_s = self._time_of(gain_mm, dt_s)
        self._before_mm = travel_mm
        if self._landing is not None:
            is_behind = self._steady.is_waiting and gain_mm == 0
            if not self.has_landed:  # it comes down through the open
                self.passed_mm, gain_mm = gain_mm, 0.0
            # By the reading itself: what can be relied on comes a reading later.
            is_over = self._landing.is_over(travel_mm, before_mm, self.high_mm, dt_s)
            is_over &= self.has_landed or self._stands_at_mark(travel_mm, steady_mm, dt_s)
            if is_over and not is_behind:
                self._landing = None
                self.has_landed = True
        elif self._falling is not None:
            gain_mm = 0.0
            if self._falling.is_over(self.high_mm, dt_s):
                self._falling = None
        elif self._steady.is_waiting or steady_mm >= self.high_mm - AT_MARK_MM:
            self._cut(gain_mm, cut_s)
            self._seen_s = 0.0 if dt_s > UNSEEN_S else self._seen_s + dt_s
            self._away = 0
        elif dt_s > UNSEEN_S or self._seen_s < LANDING_S:
            # It burnt on unseen before it lifted: what it comes back to is no fall.
            self._landing, self._seen_s = Landing(), math.inf
        else:
            # One reading above the mark may be a spike, and it burns on: that time waits.
            self._away += 1
            self._waiting_s = self._waiting_s + cut_s if self._away == 1 else 0.0
        self._count_idle(steady_mm, dt_s)
        return gain_mm

    def _time_of(self, gain_mm: float, dt_s: float) -> float:
        """The time that a gain took, s: travel that is yet to be borne out lags, and so does it."""
        assert self.high_mm is not None
        # What the reading before showed already was gained by then; a spike showed more, or less.
        was_shown = self._waiting_s > 0 and abs(self._before_mm - self.high_mm) <= SHAKEN_MM
        if gain_mm > 0 and (self._steady.is_waiting or was_shown):
            taken_s, self._waiting_s = self._waiting_s, dt_s
        elif not self._steady.is_waiting:
            taken_s, self._waiting_s = self._waiting_s + dt_s, 0.0
        else:
            taken_s, self._waiting_s = 0.0, self._waiting_s + dt_s
        return taken_s

    def _stands_at_mark(self, travel_mm: float, steady_mm: float, dt_s: float) -> bool:
        """Whether the tip is where it was farthest: not on its way on, nor lifted again at once."""
        assert self.high_mm is not None
        farthest_mm = self.high_mm + LANDED_MM + FASTEST_FEED_MM_S * dt_s
        return steady_mm >= self.high_mm - AT_MARK_MM and travel_mm <= farthest_mm

    def _cut(self, gain_mm: float, dt_s: float) -> None:
        """The tip is at the mark: time and travel of the burn itself, unless it falls."""
        assert self.high_mm is not None
        own_mm_s, noise_mm = self._own_feed_mm_s(), self._steady.noise_mm
        self.fall = self._falls.take(gain_mm, dt_s, self.high_mm, own_mm_s, noise_mm)
        if self.fall is not None:
            # Below the fall the burn is a new one.
            self._falling = Falling(self.high_mm, self._falls.reference_mm_s)
            self._falls.forget()
            self._begin_feed()
            return
        self._feed.take(gain_mm, dt_s)
        if gain_mm > 0 or self.idle_s < RESTING_S:
            self._own_feed.take(gain_mm, dt_s)

    def _count_idle(self, steady_mm: float, dt_s: float) -> None:
        self._arc_s += dt_s
        # The way down to the work is progress as well.
        if steady_mm > self._rises[-1][1]:
            self._rises.append((self._arc_s, steady_mm, self.feed_mm_s()))
            while self._rises[0][1] <= steady_mm - PROGRESS_MM:
                self._rises.popleft()

    @property
    def idle_s(self) -> float:
        """How long the last ``PROGRESS_MM`` of travel took, up to now, in arc time, s.

        That is little while the tip advances, and grows while it does not; noise that creeps up by
        less does not hide that.
        """
        return self._arc_s - self._rises[0][0]

    @property
    def feed_before_mm_s(self) -> float | None:
        """Feed of the travel when that began, mm/s: what a stalled burn is held against."""
        return self._rises[0][2]

    def feed_mm_s(self) -> float | None:
        """Feed of the travel over the last 20 s of cutting, mm/s; None until it can be told."""
        return self._feed.mm_s

    def _own_feed_mm_s(self) -> float:
        """The feed that a fall is judged against."""
        own = self._own_feed
        if own.mm_s is None:
            # What there is of it, and for the rest the fastest that can be thought.
            thought_mm = self._fastest_mm_s * THOUGHT_S
            return (own.burnt_mm + thought_mm) / (own.cutting_s + THOUGHT_S)
        return max(own.mm_s, LEAST_OWN_FEED * own.burnt_mm / own.cutting_s)
