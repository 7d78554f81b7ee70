"""Another electrode, another spot: depth, wear and travel stay what they are."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from cockpit.burn.aim import Aim
from cockpit.burn.calls import CallKind
from cockpit.burn.reading import Mark, MarkKind, Reading
from cockpit.burn.simulate import Scene, SimulatedBurn
from cockpit.burn.tracker import Tracker
from tests.burn.hand import FEED_MM_S, Hand

PLAIN = Scene(recess_mm=3.0, end_mm=40.0)


class Bench:
    """A simulated burn and a tracker that watches it, with an operator who changes things."""

    def __init__(self, seed: int, rate_hz: float = 10.0, scene: Scene = PLAIN) -> None:
        self.burn = SimulatedBurn(scene, seed)
        self.tracker = Tracker(Aim(recess_mm=3.0, measures_anew=True))
        self.chance = Random(seed)
        self._period_s = 1 / rate_hz
        self._count = 0

    @property
    def t_s(self) -> float:
        return self._count * self._period_s

    def mark(self, kind: MarkKind, value_mm: float | None = None) -> None:
        self.tracker.take(Mark.at(self.t_s, kind, value_mm))

    def watch(self, lasts_s: float, arc_on: bool = True) -> None:
        for _ in range(round(lasts_s / self._period_s)):
            self._count += 1
            self.burn.advance(self._period_s, arc_on)
            self.tracker.take(Reading.at(self.t_s, self.burn.reading_mm()))

    def arc(self, lasts_s: float) -> None:
        self.mark(MarkKind.START)
        self.watch(lasts_s)
        self.mark(MarkKind.STOP)
        self.watch(2.0, arc_on=False)

    def touch_off(self) -> None:
        self.mark(MarkKind.TOUCH, self.burn.wear_mm + self.chance.gauss(0.0, 0.03))

    def change_electrode(self) -> None:
        self.burn.change_electrode()
        self.watch(3.0, arc_on=False)
        self.mark(MarkKind.ELECTRODE)

    def next_spot(self) -> None:
        self.burn.next_spot()
        self.watch(3.0, arc_on=False)
        self.mark(MarkKind.SPOT)

    @property
    def off_mm(self) -> float:
        depth = self.tracker.state().depth_mm
        assert depth is not None
        return depth.mid - self.burn.depth_mm

    @property
    def half_mm(self) -> float:
        depth = self.tracker.state().depth_mm
        assert depth is not None
        return (depth.high - depth.low) / 2


@pytest.mark.parametrize("rate_hz", [2.0, 10.0, 50.0])
@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("touched", [False, True])
def test_another_electrode_tells_the_depth_where_it_lands(
    seed: int, rate_hz: float, touched: bool
) -> None:
    bench = Bench(seed, rate_hz)
    bench.arc(150.0)
    if touched:
        bench.touch_off()
    before = bench.tracker.state().depth_mm
    assert before is not None
    bench.change_electrode()
    # The hole is as deep as it was, and as surely.
    after = bench.tracker.state().depth_mm
    assert after is not None
    assert (after.low, after.mid, after.high) == pytest.approx(
        (before.low, before.mid, before.high), abs=1e-6
    )
    bench.arc(8.0)
    # A new electrode that stands on the bottom shows its depth.
    assert abs(bench.off_mm) < 0.25
    assert bench.half_mm < 0.25
    bench.arc(120.0)
    assert abs(bench.off_mm) < max(2.0 * bench.half_mm, 0.25)
    assert [call.kind for call in bench.tracker.calls] == []


@pytest.mark.parametrize("rate_hz", [2.0, 10.0])
@pytest.mark.parametrize("seed", range(4))
def test_a_second_spot_begins_at_the_break_with_a_worn_electrode(seed: int, rate_hz: float) -> None:
    bench = Bench(seed, rate_hz)
    bench.arc(60.0)
    worn_mm = bench.burn.wear_mm
    bench.next_spot()
    depth = bench.tracker.state().depth_mm
    assert depth is not None
    assert depth.mid == 3.0
    bench.arc(5.0)
    assert abs(bench.off_mm) < 0.35
    # Standing on the break, a worn electrode shows how much it has lost.
    assert bench.tracker.state().wear.wear_mm == pytest.approx(bench.burn.wear_mm, abs=0.35)
    assert bench.burn.wear_mm >= worn_mm
    bench.arc(90.0)
    assert abs(bench.off_mm) < max(1.5 * bench.half_mm, 0.35)
    assert [call.kind for call in bench.tracker.calls] == []


@pytest.mark.parametrize("every_s", [1.0, 3.0, 5.0, 20.0])
@pytest.mark.parametrize("feed_mm_s", [0.02, 0.06, 0.15])
def test_a_typed_gauge_sees_another_electrode_land(every_s: float, feed_mm_s: float) -> None:
    aim = Aim(recess_mm=3.0, limit_mm=14.0, streaming=False, measures_anew=True)
    hand = Hand(aim, rate_hz=1 / every_s)
    hand.start()
    hand.burn(160.0, 0.05)
    hand.stop()
    hand.mark(MarkKind.TOUCH, 2.0)
    depth_mm = hand.depth.mid
    hand.mark(MarkKind.ELECTRODE)
    hand.start()
    hand.travel_mm = depth_mm
    hand.read()
    began_mm = hand.travel_mm
    while hand.travel_mm < began_mm + 9.0:
        hand.burn(every_s, feed_mm_s)
    assert hand.state.has_landed
    # It may be two readings until that is seen.
    unseen_mm = 2 * every_s * feed_mm_s
    true_mm = depth_mm + 0.75 * 9.0
    assert hand.depth.mid == pytest.approx(true_mm, abs=0.3 + unseen_mm)
    assert "limit" in hand.calls


@pytest.mark.parametrize("rate_hz", [2.0, 5.0, 10.0, 50.0])
@pytest.mark.parametrize("hops_hz", [1.0, 2.0, 3.0])
def test_a_tip_that_chatters_lands_all_the_same(rate_hz: float, hops_hz: float) -> None:
    hand = Hand(Aim(recess_mm=3.0, measures_anew=True), rate_hz)
    hand.start()
    hand.burn(160.0, 0.05)
    hand.stop()
    hand.mark(MarkKind.TOUCH, 2.0)
    depth_mm = hand.depth.mid
    hand.mark(MarkKind.ELECTRODE)
    hand.start()
    for n in range(round(100.0 * rate_hz)):
        at_s = n / rate_hz
        hop_mm = 0.3 if (at_s * hops_hz) % 1.0 < 0.5 else 0.0
        hand.read(depth_mm + 0.05 * at_s - hop_mm)
    assert hand.state.has_landed
    assert hand.depth.mid == pytest.approx(depth_mm + 0.75 * 5.0, abs=0.35)


def test_a_first_landing_below_the_break_is_no_fall_and_wears_nothing() -> None:
    hand = Hand(Aim(recess_mm=3.0, wear_mean=0.25, wear_sd=1e-6))
    hand.travel_mm = 0.0
    hand.start()
    hand.move(2.0, 3.0)
    hand.burn(60.0)
    assert hand.calls == []
    assert hand.depth.mid == pytest.approx(6.0 + 60.0 * FEED_MM_S * 0.75, abs=0.05)


def test_what_a_first_way_down_passed_may_have_been_air_or_material() -> None:
    """A pilot burn faster than can be thought must not make a ratio up at the next touch-off."""
    hand = Hand(Aim(recess_mm=3.0, measures_anew=True))
    hand.start()
    hand.burn(7.0, 0.8)
    assert not hand.tracker.estimate.progress.has_landed
    worn_mm = 0.25 * 5.6
    assert hand.depth.low < hand.travel_mm - worn_mm < hand.depth.high
    assert hand.depth.high == pytest.approx(hand.travel_mm, abs=0.1)
    hand.rest(3.0)
    assert hand.tracker.estimate.progress.has_landed
    hand.burn(10.0)
    worn_mm += 10.0 * FEED_MM_S * 0.25
    hand.stop()
    hand.mark(MarkKind.TOUCH, worn_mm)
    assert hand.depth.mid == pytest.approx(hand.travel_mm - worn_mm, abs=0.01)
    assert hand.state.wear.ratio == pytest.approx(0.25, abs=0.02)


def test_what_contradicts_what_was_believed_takes_its_place() -> None:
    """A wrong figure that was taken all the same must not outlive the right one after it."""
    hand = Hand(Aim(recess_mm=3.0, measures_anew=True))
    hand.start()
    hand.burn(130.0, 0.06)
    hand.stop()
    hand.mark(MarkKind.TOUCH, 5.0)
    hand.start()
    hand.burn(70.0, 0.06)
    hand.stop()
    hand.mark(MarkKind.TOUCH, 0.25 * (hand.travel_mm - 3.0))
    assert hand.depth.mid == pytest.approx(3.0 + 0.75 * (hand.travel_mm - 3.0), abs=0.1)
    assert hand.state.wear.ratio == pytest.approx(0.25, abs=0.01)


def test_a_length_lost_counts_from_where_the_electrode_was_zeroed() -> None:
    hand = Hand(Aim(recess_mm=3.0, measures_anew=True))
    hand.mark(MarkKind.ELECTRODE, 0.5)
    hand.travel_mm = 3.5
    hand.start()
    hand.burn(120.0, 0.05)
    hand.stop()
    hand.mark(MarkKind.WEAR, 1.5)
    assert hand.depth.mid == pytest.approx(9.5 - 0.5 - 1.5, abs=0.05)


def test_another_electrode_may_be_zeroed_anywhere() -> None:
    """Its tip touches the face at 0.40: what the indicator shows from then on is 0.40 more."""
    hand = Hand(Aim(recess_mm=3.0, wear_mean=0.25, wear_sd=1e-6))
    hand.start()
    hand.burn(120.0)
    hand.stop()
    depth_mm = hand.depth.mid
    hand.mark(MarkKind.ELECTRODE, 0.40)
    assert hand.depth.mid == pytest.approx(depth_mm)
    hand.travel_mm = depth_mm - 4.6
    hand.start()
    hand.move(2.0, 2.5)
    hand.burn(60.0)
    assert hand.depth.mid == pytest.approx(depth_mm + 60.0 * FEED_MM_S * 0.75, abs=0.03)


def test_a_change_under_the_arc_is_counted_and_changes_nothing() -> None:
    for kind in (MarkKind.ELECTRODE, MarkKind.SPOT):
        hand = Hand()
        hand.start()
        hand.burn(60.0)
        before = hand.state
        hand.mark(kind)
        assert hand.state.rejected == before.rejected + 1
        assert hand.state.depth_mm == before.depth_mm


def test_the_first_electrode_of_a_hole_is_no_change() -> None:
    first, plain = Hand(), Hand()
    first.mark(MarkKind.ELECTRODE)
    first.mark(MarkKind.SPOT)
    for hand in (first, plain):
        hand.start()
        hand.burn(60.0)
    assert first.depth.mid == pytest.approx(plain.depth.mid, abs=1e-9)


def test_a_hole_gauged_while_the_electrode_is_out_sharpens_its_depth() -> None:
    bench = Bench(5)
    bench.arc(150.0)
    bench.change_electrode()
    vague_mm = bench.half_mm
    bench.mark(MarkKind.DEPTH, bench.burn.depth_mm + 0.05)
    assert bench.half_mm < min(vague_mm, 0.3)
    assert abs(bench.off_mm) < 0.3


def test_a_fall_wears_nothing() -> None:
    hand = Hand(Aim(recess_mm=3.0, wear_mean=0.25, wear_sd=1e-6))
    hand.start()
    hand.burn(120.0)
    worn_mm = hand.state.wear.wear_mm
    hand.move(6.0, 0.3)
    hand.rest(3.0)
    assert hand.calls == ["through"]
    assert hand.state.wear.wear_mm == pytest.approx(worn_mm, abs=0.02)
    assert hand.depth.mid == pytest.approx(hand.travel_mm - worn_mm, abs=0.03)


def test_an_electrode_too_short_for_the_rest_is_called_before_it_is_used_up() -> None:
    aim = Aim(recess_mm=3.0, target_mm=18.0, reach_mm=24.0, wear_sd=0.02)
    hand = Hand(aim)
    hand.start()
    hand.burn(60.0)
    assert hand.calls == []
    hand.stop()
    # Worn twice as fast as it was thought: 24 mm of travel end well above the target.
    hand.mark(MarkKind.TOUCH, 0.55 * (hand.travel_mm - 3.0))
    hand.start()
    hand.burn(1.0)
    assert hand.calls == ["short"]
    hand.stop()
    assert hand.standing("short")
    hand.mark(MarkKind.ELECTRODE)
    assert not hand.standing("short")


def test_of_several_electrodes_each_is_called_when_it_is_used_up() -> None:
    hand = Hand(Aim(recess_mm=3.0, target_mm=40.0, reach_mm=12.0, electrodes=4))
    hand.start()
    while not hand.calls:
        hand.burn(1.0)
    assert hand.calls == ["short"]
    assert hand.travel_mm == pytest.approx(11.0, abs=0.2)


def test_too_long_an_arc_is_called_once_at_the_moment_it_was() -> None:
    hand = Hand(Aim(recess_mm=3.0, longest_s=40.0))
    hand.start()
    hand.burn(30.0)
    hand.stop()
    hand.rest(20.0)
    hand.start()
    hand.burn(15.0)
    (call,) = hand.tracker.calls
    assert (call.kind, call.t_s) == (CallKind.LONG, 60.0)
    hand.stop()
    assert not hand.standing("long")
    hand.start()
    hand.burn(5.0)
    assert hand.calls == ["long"]


def test_a_pilot_burn_is_called_at_its_own_depth_and_ends_with_the_arc() -> None:
    hand = Hand(Aim(recess_mm=3.0, target_mm=18.0))
    hand.mark(MarkKind.START, 5.0)
    while not hand.calls:
        hand.burn(0.1)
    assert hand.calls == ["pilot"]
    assert hand.depth.mid == pytest.approx(5.0, abs=0.01)
    hand.stop()
    assert not hand.standing("pilot")
    hand.start()
    hand.burn(20.0)
    assert hand.calls == ["pilot"]


def test_where_the_target_is_the_limit_it_is_called_first() -> None:
    for wear_sd in (0.1, 1e-3):
        hand = Hand(Aim(recess_mm=3.0, target_mm=18.0, limit_mm=18.0, wear_sd=wear_sd))
        hand.start()
        while "limit" not in hand.calls:
            hand.burn(0.1)
        assert hand.calls == ["near", "target", "limit"]
        target, limit = hand.tracker.calls[1:]
        assert limit.t_s > target.t_s


@pytest.mark.parametrize("seed", [25, 41])
def test_a_tip_that_is_lifted_as_soon_as_it_lands_has_not_landed(seed: int) -> None:
    bench = Bench(seed, 2.0)
    bench.arc(60.0 + seed)
    bench.change_electrode()
    bench.arc(12.0)
    assert bench.tracker.calls == []
    assert abs(bench.off_mm) < 0.1


def test_an_electrode_that_touches_the_face_below_zero_is_deeper_than_its_travel() -> None:
    hand = Hand(Aim(recess_mm=3.0))
    hand.start()
    hand.burn(120.0)
    hand.stop()
    depth_mm = hand.depth.mid
    hand.mark(MarkKind.ELECTRODE, -0.50)
    hand.travel_mm = depth_mm - 5.5
    hand.start()
    hand.move(2.0, 2.5)
    hand.burn(1.0)
    high_mm = hand.state.high_mm
    assert high_mm is not None
    assert hand.depth.mid == pytest.approx(high_mm + 0.50, abs=0.05)


UNSEEN_AIM = Aim(
    recess_mm=3.0, target_mm=18.0, limit_mm=21.5, measures_anew=True, doubts_unseen=True
)


def unseen(aim: Aim = UNSEEN_AIM) -> Hand:
    """A burn of 60 s, which goes on after the last that anybody saw of it."""
    hand = Hand(aim)
    hand.start()
    hand.burn(60.0)
    hand.mark(MarkKind.UNSEEN)
    return hand


def lands(hand: Hand, travel_mm: float) -> None:
    """Lifted, and lowered under the arc to where the tip stands."""
    hand.travel_mm = 0.0
    hand.rest(2.0)
    hand.start()
    hand.move(4.0, travel_mm / 4.0)
    hand.rest(2.0)


def test_what_nobody_saw_is_a_floor_until_the_tip_lands() -> None:
    hand = unseen()
    seen = hand.state
    assert seen.is_unseen
    assert not seen.has_landed
    assert seen.high_mm is not None
    hand.mark(MarkKind.TOUCH, 2.0)
    touched = hand.state
    assert touched.depth_mm is not None
    assert touched.depth_mm.mid == pytest.approx(seen.high_mm - 2.0, abs=0.01)
    # What it came unseen is in no travel: nothing follows for the ratio.
    assert touched.wear.ratio == seen.wear.ratio
    lands(hand, seen.high_mm + 6.0)
    landed = hand.state
    assert landed.depth_mm is not None
    assert landed.depth_mm.mid == pytest.approx(seen.high_mm + 6.0 - 2.0, abs=0.15)
    assert landed.has_landed
    assert not landed.is_unseen


def test_without_a_touch_off_it_wore_on_the_way_that_nobody_saw() -> None:
    hand = unseen()
    seen = hand.state
    assert seen.high_mm is not None
    lands(hand, seen.high_mm + 6.0)
    landed = hand.state
    assert landed.wear.wear_mm == pytest.approx(seen.wear.wear_mm + 0.25 * 6.0, abs=0.1)
    assert landed.wear.sd_mm > seen.wear.sd_mm
    assert not landed.is_unseen


def test_a_gauge_in_the_hole_is_believed_over_a_floor_and_the_second_over_the_first() -> None:
    hand = unseen()
    hand.mark(MarkKind.TOUCH, 4.0)
    for gauged_mm in (12.0, 15.0):
        hand.mark(MarkKind.DEPTH, gauged_mm)
        depth = hand.state.depth_mm
        assert depth is not None
        assert depth.mid == pytest.approx(gauged_mm, abs=0.02)
        assert not hand.state.is_unseen


def test_another_electrode_leaves_the_depth_a_floor_and_a_spot_begins_at_the_break() -> None:
    hand = unseen()
    seen = hand.state
    hand.mark(MarkKind.ELECTRODE)
    assert hand.state.is_unseen
    assert hand.state.depth_mm is not None
    assert seen.depth_mm is not None
    assert hand.state.depth_mm.mid == pytest.approx(seen.depth_mm.mid)
    assert not hand.tracker.estimate.wear_is_lost
    lands(hand, 14.0)
    assert hand.state.depth_mm is not None
    assert hand.state.depth_mm.mid == pytest.approx(14.0, abs=0.15)
    spot = unseen()
    spot.mark(MarkKind.SPOT)
    assert not spot.state.is_unseen
    assert spot.tracker.estimate.wear_is_lost


def test_an_earlier_cockpit_took_it_for_a_stop() -> None:
    early = unseen(replace(UNSEEN_AIM, doubts_unseen=False))
    stopped = Hand(UNSEEN_AIM)
    stopped.start()
    stopped.burn(60.0)
    stopped.stop()
    assert early.state == stopped.state


def test_an_arc_that_was_off_is_not_lost_sight_of() -> None:
    hand = Hand(UNSEEN_AIM)
    hand.start()
    hand.burn(10.0)
    hand.stop()
    hand.mark(MarkKind.UNSEEN)
    assert not hand.state.is_unseen


def test_nothing_seen_of_a_burn_is_a_floor_at_the_break() -> None:
    hand = Hand(UNSEEN_AIM)
    hand.start()
    hand.mark(MarkKind.UNSEEN)
    hand.mark(MarkKind.TOUCH, 1.0)
    hand.mark(MarkKind.DEPTH, 6.0)
    depth = hand.state.depth_mm
    assert depth is not None
    assert depth.mid == pytest.approx(6.0, abs=0.02)
