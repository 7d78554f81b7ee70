"""A tip that rested, on its stop or stalled, goes on at its own feed: that is no fall."""

from __future__ import annotations

import pytest

from cockpit.burn.aim import Aim
from cockpit.burn.calls import CallKind
from cockpit.burn.reading import Mark, MarkKind, Reading
from cockpit.burn.scene import Scene
from cockpit.burn.simulate import SimulatedBurn
from cockpit.burn.tracker import Tracker

#: A short burn, so that a rest is a great part of it.
SCENE = Scene(recess_mm=1.5, end_mm=30.0, feed_noise=0.35)
AIM = Aim(recess_mm=1.5, target_mm=29.0)
LOOK_S = 0.1


class Watched:
    """An invented burn and the tracker that watches it, ten times a second."""

    def __init__(self, seed: int) -> None:
        self.burn = SimulatedBurn(SCENE, seed)
        self.tracker = Tracker(AIM)
        self._t_s = 0.0

    def marks(self, kind: MarkKind) -> None:
        self.tracker.take(Mark.at(self._t_s, kind))

    def goes_on(self, lasts_s: float, *, arc_on: bool) -> None:
        for _ in range(round(lasts_s / LOOK_S)):
            self._t_s += LOOK_S
            self.burn.advance(LOOK_S, arc_on)
            self.tracker.take(Reading.at(self._t_s, self.burn.reading_mm()))

    def called(self, kind: CallKind) -> bool:
        return any(call.kind is kind for call in self.tracker.calls)


@pytest.mark.parametrize("rests_s", [60.0, 600.0])
def test_a_burn_that_rested_on_its_stop_goes_on_without_a_fall(rests_s: float) -> None:
    fell = []
    for seed in range(40):
        watched = Watched(seed)
        watched.burn.set_stop(5.0)
        watched.marks(MarkKind.START)
        watched.goes_on(70.0 + rests_s, arc_on=True)
        assert watched.burn.travel_mm == pytest.approx(5.0)
        watched.marks(MarkKind.STOP)
        watched.goes_on(5.0, arc_on=False)
        watched.burn.set_stop(12.0)
        watched.marks(MarkKind.START)
        watched.goes_on(60.0, arc_on=True)
        assert watched.burn.travel_mm > 5.1
        if watched.called(CallKind.THROUGH):
            fell.append(seed)
    assert fell == []


def test_a_burn_that_was_stalled_and_goes_on_under_the_same_arc_has_not_fallen() -> None:
    fell = []
    for seed in range(40):
        watched = Watched(seed)
        watched.marks(MarkKind.START)
        watched.goes_on(20.0, arc_on=True)
        # As a stall that clears by itself: nothing advances, and then it burns as before.
        watched.burn.set_stop(watched.burn.travel_mm)
        watched.goes_on(600.0, arc_on=True)
        watched.burn.set_stop(20.0)
        watched.goes_on(60.0, arc_on=True)
        if watched.called(CallKind.THROUGH):
            fell.append(seed)
    assert fell == []


def test_a_fall_after_a_rest_is_called_all_the_same() -> None:
    for seed in range(20):
        watched = Watched(seed)
        watched.burn.set_stop(5.0)
        watched.marks(MarkKind.START)
        watched.goes_on(180.0, arc_on=True)
        watched.burn.set_stop(200.0)
        watched.goes_on(1500.0, arc_on=True)
        assert watched.burn.fallen
        assert watched.called(CallKind.THROUGH)
