"""Whether the arc seems to be on, told from the depth indicator alone.

What an indicator can tell: below the high-water mark there is solid metal, and only an arc gets
into it. So a head that advances there, as slowly and as steadily as a burn, has the arc on; one
that a hand moves is faster and then stands, and one that rests, shakes or touches off gains
nothing. A head that is lifted clear of the work has no arc under it.

What it can't tell: a burn that gains nothing from no burn. That is never taken for off, since a
stall is a call of its own whose clock has to run. Nor a head that is crept down by hand as slowly
as a burn, through air below the mark, where the break lies deeper than told.

The arc seems on once 0.1 mm of new depth is sure: in an ordinary burn within 3 s at 50 readings a
second, within 4 at 10 and about 6 at 2; later when the burn is slow, or lifts to clear meanwhile.
It seems off 6 s after the head was lifted, 2 s when that was far out of the hole. It counts from
when it was seen, because marks in a log do not go back in time.

All figures here are assumed.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections import deque
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import pairwise

#: Speeds that a burn has, mm/s of travel, a soft layer included: a hand is faster, a column that
#: warms up is slower.
SLOWEST_MM_S, FASTEST_MM_S = 0.005, 0.5
#: So much new depth is an advance ...
NEW_MM = 0.1
#: ... in the shortest of these stretches of time that shows one, s.
SPANS_S = (
    2.0,
    2.5,
    3.0,
    3.5,
    4.0,
    5.0,
    6.0,
    7.0,
    8.0,
    10.0,
    12.0,
    14.0,
    16.0,
    20.0,
    24.0,
    28.0,
    32.0,
)
#: Standard deviation of a reading on a head that vibrates, mm.
SHAKE_MM = 0.03
#: Each quarter of a stretch gains so many standard deviations on the one before ...
SURE_SDS = 2.5
#: ... at this part of the speed of the whole or more: a head that was put down stands.
EVEN = 0.4
#: Nothing in a stretch lies farther from the straight way than so many of its own sds.
STRAIGHT_SDS = 4.0
#: Readings that come within this are looked at as one, s.
CELL_S = 0.25
#: After so long without a reading nobody knows what the head did, s.
GAP_S = 2.0
#: Lifted clear is this far above the mark, for longer than a lift to clear takes ...
LIFTED_MM, LIFTED_S = 1.0, 6.0
#: ... or this far above the break and above the mark, higher than such a lift goes, for a moment.
OUT_MM, HIGH_MM, OUT_S = 1.0, 4.0, 2.0


class Seems(Enum):
    """What the readings say against the arc clock as it stands."""

    ON = "on"
    OFF = "off"


@dataclass(slots=True)
class Cell:
    """Readings as one: how many, and the sums of their times (s) and travels (mm)."""

    readings: int = 0
    sum_s: float = 0.0
    sum_mm: float = 0.0

    @classmethod
    def of(cls, cells: Iterable[Cell]) -> Cell:
        """Several as one."""
        whole = cls()
        for cell in cells:
            whole.add(cell.sum_s, cell.sum_mm, cell.readings)
        return whole

    def add(self, sum_s: float, sum_mm: float, readings: int = 1) -> None:
        """Take one more reading, or the sums of several."""
        self.readings += readings
        self.sum_s += sum_s
        self.sum_mm += sum_mm

    @property
    def t_s(self) -> float:
        """Mean time, s."""
        return self.sum_s / self.readings

    @property
    def travel_mm(self) -> float:
        """Mean travel, mm."""
        return self.sum_mm / self.readings

    def gain_mm(self, later: Cell) -> float:
        """How far the head came from here to a later cell, mm."""
        return later.travel_mm - self.travel_mm

    def speed_mm_s(self, later: Cell) -> float:
        """How fast it did so, mm/s."""
        return self.gain_mm(later) / (later.t_s - self.t_s)


class Advance:
    """Looks for new depth, gained as a burn gains it, at the end of what was read.

    A stretch is cut into quarters. In each the head has to come on, surely and at nearly the same
    speed: noise can't do that three times over, and a head that is nudged or put down does not.
    """

    def __init__(self, sd_mm: float) -> None:
        """``sd_mm``: standard deviation of a reading at rest."""
        self._sd_mm = sd_mm
        self.forget()

    def forget(self) -> None:
        """Go by nothing that was read so far."""
        self._cells: deque[Cell] = deque()
        self._full_s = -math.inf
        self.is_seen = False

    def saw(self, t_s: float, travel_mm: float, mark_mm: float) -> bool:
        """Take the next reading; whether there is an advance beyond the mark just now."""
        if t_s < self._full_s:
            self._cells[-1].add(t_s, travel_mm)
            return self.is_seen
        is_beyond = bool(self._cells) and self._cells[-1].travel_mm > mark_mm
        self.is_seen = is_beyond and any(
            self._gains(stretch, mark_mm) for stretch in self._stretches()
        )
        self._cells.append(Cell(1, t_s, travel_mm))
        self._full_s = (math.floor(t_s / CELL_S) + 1) * CELL_S
        while t_s - self._cells[0].t_s > SPANS_S[-1] + GAP_S:
            self._cells.popleft()
        return self.is_seen

    def _stretches(self) -> Iterator[list[Cell]]:
        """The last of the cells, for each span that they are enough for."""
        cells = list(self._cells)
        times_s = [cell.t_s for cell in cells]
        for span_s in SPANS_S:
            first = bisect_right(times_s, times_s[-1] - span_s) - 1
            if first < 0:
                return
            yield cells[first:]

    def _gains(self, stretch: Sequence[Cell], mark_mm: float) -> bool:
        quarters = _quarters(stretch)
        if not all(quarter.readings for quarter in quarters):
            return False
        first, last = quarters[0], quarters[-1]
        return (
            last.travel_mm - max(first.travel_mm, mark_mm) >= NEW_MM
            and self._is_straight(stretch, first, last)
            and self._is_steady(quarters)
        )

    def _is_straight(self, stretch: Sequence[Cell], first: Cell, last: Cell) -> bool:
        speed_mm_s = first.speed_mm_s(last)
        return all(
            abs(first.gain_mm(cell) - speed_mm_s * (cell.t_s - first.t_s))
            <= STRAIGHT_SDS * self._sd_mm / math.sqrt(cell.readings)
            for cell in stretch
        )

    def _is_steady(self, quarters: Sequence[Cell]) -> bool:
        even_mm_s = EVEN * quarters[0].speed_mm_s(quarters[-1])
        for one, next_one in pairwise(quarters):
            sd_mm = self._sd_mm * math.sqrt(1 / one.readings + 1 / next_one.readings)
            speed_mm_s = one.speed_mm_s(next_one)
            if one.gain_mm(next_one) < SURE_SDS * sd_mm:
                return False
            if not max(SLOWEST_MM_S, even_mm_s) <= speed_mm_s <= FASTEST_MM_S:
                return False
        return True


def _quarters(stretch: Sequence[Cell]) -> list[Cell]:
    """Cut a stretch into four of the same time, each as one cell; one may be empty."""
    times_s = [cell.t_s for cell in stretch]
    begin_s, quarter_s = times_s[0], (times_s[-1] - times_s[0]) / 4
    cuts = [bisect_left(times_s, begin_s + n * quarter_s) for n in range(4)]
    return [Cell.of(stretch[cut:end]) for cut, end in pairwise([*cuts, len(stretch)])]


class Lift:
    """For how long, without a break, the head has been up."""

    def __init__(self) -> None:
        self._since_s = math.inf

    def lasts_s(self, is_up: bool, t_s: float) -> float:
        """Take whether it is up at a time; return since when, s; 0 when it is not."""
        self._since_s = min(self._since_s, t_s) if is_up else math.inf
        return t_s - self._since_s if is_up else 0.0


class ArcWatch:
    """Watches the head while the arc clock runs and while it stands still.

    The key wins. Off by key, the arc does not seem on again before the head was lifted clear; on by
    key, it does not seem off before an advance was seen. Times s, in order; travels mm, down.

    >>> watch = ArcWatch(break_mm=3.0)
    >>> burn = ((n / 10, 3.0 + 0.06 * n / 10) for n in range(60))
    >>> next(t_s for t_s, travel_mm in burn if watch.saw(t_s, travel_mm, None) is Seems.ON)
    3.0
    """

    def __init__(self, break_mm: float, resolution_mm: float = 0.01) -> None:
        """``break_mm``: depth of the break. ``resolution_mm``: the step of the indicator."""
        self._break_mm = self._mark_mm = self._switched_mm = break_mm
        # A reading that wavers between two steps is half a step off either way.
        self._advance = Advance(math.hypot(SHAKE_MM, resolution_mm / 2))
        self._lifted, self._out = Lift(), Lift()
        self._last_s = -math.inf
        self._is_on = False
        self._may_turn = True

    def switched(self, on: bool, *, by_key: bool) -> None:
        """The arc clock was started or stopped, by the operator's key or by what was seen."""
        self._is_on = on
        self._may_turn = not by_key
        self._switched_mm = self._mark_mm
        self._advance.forget()

    def saw(self, t_s: float, travel_mm: float, high_mm: float | None) -> Seems | None:
        """Take a reading; return what the arc seems to be, if that is not what its clock says.

        ``high_mm``: high-water travel, None before the first burn. The answer is the same from
        reading to reading until ``switched``, or until the head says otherwise.
        """
        if t_s - self._last_s > GAP_S:
            self._lifted, self._out = Lift(), Lift()
            self._advance.forget()
        self._last_s = t_s
        self._mark_mm = self._break_mm if high_mm is None else high_mm
        is_clear = self._is_clear(t_s, travel_mm)
        # With the arc on the mark goes along with the head: what counts is where it was before.
        from_mm = self._switched_mm if self._is_on else self._mark_mm
        advances = self._advance.saw(t_s, travel_mm, from_mm)
        self._may_turn |= advances if self._is_on else is_clear
        if self._is_on:
            return Seems.OFF if is_clear and self._may_turn else None
        return Seems.ON if advances and self._may_turn else None

    def _is_clear(self, t_s: float, travel_mm: float) -> bool:
        """Whether the head is lifted clear of the work, not just to clear it of powder."""
        above_mm = self._mark_mm - travel_mm
        is_out = above_mm >= HIGH_MM and self._break_mm - travel_mm >= OUT_MM
        lifted_s = self._lifted.lasts_s(above_mm >= LIFTED_MM, t_s)
        return self._out.lasts_s(is_out, t_s) >= OUT_S or lifted_s >= LIFTED_S
