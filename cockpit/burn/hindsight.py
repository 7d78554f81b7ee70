"""How deep the hole was all along, as it looks once it was measured.

While the arc is on, the depth rests on what is believed of the wear. A touch-off later on says how
much was lost before it as well, and so does the next electrode, which shows where the first one
left the bottom. The tracker sees the events as it saw them live; beside it a history of each
electrode's wear (``trade/smoothing.py``) is kept, and told at the end.

A tip that has yet to land deepens nothing: until then there is no moment, and the depth before it
goes on. What may yet be a fall is left out for the second that it takes to tell.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import groupby
from typing import Final

from cockpit.burn.aim import Aim
from cockpit.burn.reading import Mark, MarkKind, Reading
from cockpit.burn.state import Span
from cockpit.burn.tracker import Tracker
from cockpit.trade.smoothing import History
from cockpit.trade.wear import Z95, Wear

#: The log keeps no shorter time, s.
LEAST_STEP_S: Final = 0.001
#: How far the high-water mark may stand from where the tip was, as a sd, mm (assumed). Beside a
#: wear that is known afterwards, that is no longer nothing.
MARK_SD_MM: Final = 0.01
#: What a tip burns until it is known to have landed, and how far the readings shake, as a sd, mm
#: (assumed).
LANDED_SD_MM: Final = 0.03


@dataclass(frozen=True, slots=True)
class Moment:
    """The depth at one moment, mm, with its 95 % interval.

    ``t_s``: on the hole's own clock; ``arc_s``: arc time up to then. ``travel_mm``: where the
    indicator stands with the tip on the work, as far as it got by then; what it is beyond the depth
    was lost of the electrode.
    """

    t_s: float
    arc_s: float
    depth: Span
    travel_mm: float


@dataclass(frozen=True, slots=True)
class _Sample:
    """What the tracker saw at one moment; its depth follows once the wear is known.

    ``worn_mm``: travel into material with this electrode. ``spot`` and ``electrode`` count from 0.
    """

    t_s: float
    arc_s: float
    spot: int
    electrode: int
    worn_mm: float
    high_mm: float
    on_face_mm: float


class _Samples:
    """A few samples at even steps of arc time, however long it gets.

    When they have become too many, the step is widened so that half of them stay.
    """

    def __init__(self, most: int) -> None:
        self._most = most
        self._step_s = LEAST_STEP_S
        self._next_s = 0.0
        self.kept: list[_Sample] = []

    def wants(self, arc_s: float) -> bool:
        """Whether a sample at this arc time is due."""
        return arc_s >= self._next_s

    def keep(self, sample: _Sample) -> None:
        """Take a sample that is due."""
        self._append(sample)
        if len(self.kept) > self._most:
            kept, self.kept = self.kept, []
            self._step_s, self._next_s = 2 * sample.arc_s / self._most, 0.0
            for one in kept:
                if self.wants(one.arc_s):
                    self._append(one)

    def _append(self, sample: _Sample) -> None:
        self.kept.append(sample)
        self._next_s = sample.arc_s + self._step_s


class Hindsight:
    """A tracker with a memory: fed like one, and looked back from at the end."""

    def __init__(self, aim: Aim, points: int) -> None:
        """``points``: the most moments to give. Raises ValueError for fewer than 2."""
        if points < 2:
            raise ValueError(f"A look back takes 2 moments or more, not {points}.")
        self.tracker = Tracker(aim)
        self._estimate = self.tracker.estimate
        self._samples = _Samples(points - 1)
        self._histories = [History(self._estimate.wear)]
        self._told = self._readings = self._spot = 0
        # The electrode before, and the travel it left the bottom at, until the next one is there.
        self._left: tuple[History, float] | None = None

    # What comes in -----------------------------------------------------------------------------

    def take(self, event: Reading | Mark) -> None:
        """Take the next reading or mark, as the tracker does."""
        if isinstance(event, Mark):
            self._take_mark(event)
        else:
            self.tracker.take(event)
        if self._estimate.told != self._told:
            self._told = self._estimate.told
            self._learn()
        if self.tracker.readings != self._readings:
            self._readings = self.tracker.readings
            arc_s = self.tracker.arc_s(event.t_s)
            if self._samples.wants(arc_s):
                self._sample(event.t_s, arc_s)

    def _take_mark(self, mark: Mark) -> None:
        estimate, rejected = self._estimate, self.tracker.rejected
        high_mm = estimate.progress.high_mm if estimate.is_landed else None
        self._catch_up()
        self.tracker.take(mark)
        if self.tracker.rejected != rejected:
            return
        match mark.kind:
            case MarkKind.ELECTRODE:
                if high_mm is not None:
                    self._left = self._histories[-1], high_mm
                self._histories.append(History(estimate.wear))
            case MarkKind.SPOT:
                self._left = None
                self._spot += 1
            case MarkKind.DEPTH if mark.value_mm is not None and not estimate.is_landed:
                self._hole_was(mark.value_mm, self.tracker.aim.noise.gauged_sd_mm)

    def _learn(self) -> None:
        """Something was told of the wear: a measurement, or where a tip has landed."""
        estimate, history = self._estimate, self._histories[-1]
        if self._left is not None and estimate.is_landed and estimate.progress.high_mm is not None:
            # By what was known of this electrode alone: what is believed of it from now on has the
            # depth in it that the one before was believed to have come to.
            alone = history.now.wear
            sd_mm = math.hypot(alone.sd_mm, LANDED_SD_MM)
            self._hole_was(alone.depth_mm(estimate.progress.high_mm), sd_mm)
            self._left = None
        self._catch_up()
        history.believed(estimate.wear)

    def _hole_was(self, depth_mm: float, sd_mm: float) -> None:
        """The hole that the electrode before left was found to be so deep."""
        if self._left is not None:
            history, high_mm = self._left
            history.measured(high_mm - depth_mm, sd_mm)

    def _catch_up(self) -> None:
        """Bring the history to where the electrode is. It needs that only where it is told."""
        history = self._histories[-1]
        history.travelled(max(0.0, self._estimate.worn_travel_mm - history.now.travel_mm))

    def _sample(self, t_s: float, arc_s: float) -> None:
        estimate = self._estimate
        high_mm = estimate.progress.high_mm
        if high_mm is None or not (estimate.is_landed and estimate.progress.is_quiet):
            return
        electrode = len(self._histories) - 1
        worn_mm = estimate.worn_travel_mm
        face_mm = estimate.on_face_mm
        self._samples.keep(_Sample(t_s, arc_s, self._spot, electrode, worn_mm, high_mm, face_mm))

    # Looking back ------------------------------------------------------------------------------

    def moments(self) -> list[Moment]:
        """The depth over time, in even steps of arc time; the last is the tracker's state now.

        Within one spot the depth never goes back: where a later moment says less, an earlier one is
        not deeper, because more was known of the later one. Empty before anything was burnt.
        """
        state = self.tracker.state()
        if state.depth_mm is None or state.high_mm is None:
            return []
        self._catch_up()
        moments = [Moment(state.t_s, state.arc_s, state.depth_mm, state.high_mm)]
        spot = self._spot
        for sample, depth in reversed(list(self._depths())):
            if sample.spot == spot:
                depth = _not_deeper(depth, moments[-1].depth)
            moments.append(Moment(sample.t_s, sample.arc_s, depth, sample.high_mm))
            spot = sample.spot
        return moments[::-1]

    def _depths(self) -> Iterator[tuple[_Sample, Span]]:
        """Each sample with its depth, by the wear with hindsight."""
        for electrode, group in groupby(self._samples.kept, lambda sample: sample.electrode):
            samples = list(group)
            wears = self._histories[electrode].smoothed_at(sample.worn_mm for sample in samples)
            for sample, wear in zip(samples, wears, strict=True):
                yield sample, self._depth(sample.high_mm, sample.high_mm - sample.on_face_mm, wear)

    def _depth(self, high_mm: float, deepest_mm: float, wear: Wear) -> Span:
        """The depth and its interval, not above the break nor below what has lost nothing."""
        recess_mm = self.tracker.aim.recess_mm
        mid_mm, half_mm = wear.depth_mm(high_mm), Z95 * math.hypot(wear.sd_mm, MARK_SD_MM)
        ends_mm = (mid_mm - half_mm, mid_mm, mid_mm + half_mm)
        return Span(*(min(max(mm, recess_mm), deepest_mm) for mm in ends_mm))


def hindsight(events: Iterable[Reading | Mark], aim: Aim, points: int) -> list[Moment]:
    """The depth of a hole over time with all that its events tell, at ``points`` moments or fewer.

    Raises ValueError for fewer than 2.
    """
    seen = Hindsight(aim, points)
    for event in events:
        seen.take(event)
    return seen.moments()


def _not_deeper(depth: Span, later: Span) -> Span:
    """A depth that came before a later one at the same spot."""
    mid_mm = min(depth.mid, later.mid)
    return Span(min(depth.low, mid_mm), mid_mm, min(depth.high, later.high))
