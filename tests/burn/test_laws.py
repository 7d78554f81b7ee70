"""What holds for every burn, whatever comes in."""

from __future__ import annotations

import math
from dataclasses import replace

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from cockpit.burn.aim import Aim
from cockpit.burn.reading import FARTHEST_MM, Mark, MarkKind, Reading
from cockpit.burn.tracker import Tracker
from tests.burn.hand import Hand

AIM = Aim(recess_mm=3.0, target_mm=12.0, limit_mm=14.0, measures_anew=True, doubts_unseen=True)

#: What a hand at the machine does, each for a while: how fast the head moves, mm/s.
moves = st.sampled_from([0.06, 0.06, 0.15, 0.0, -4.0, 4.0])
#: An act of the operator: a move, a measurement as a part of the travel, the arc, a change.
acts = st.one_of(
    st.tuples(st.just("move"), moves),
    st.tuples(st.sampled_from([MarkKind.TOUCH, MarkKind.WEAR]), st.floats(-0.05, 0.7)),
    st.tuples(st.just(MarkKind.DEPTH), st.floats(0.3, 1.05)),
    st.tuples(st.sampled_from([MarkKind.START, MarkKind.STOP, MarkKind.UNSEEN]), st.just(0.0)),
    st.tuples(st.sampled_from([MarkKind.ELECTRODE, MarkKind.SPOT]), st.just(0.0)),
)
whole_burns = st.lists(acts, max_size=25)
rates_hz = st.sampled_from([2.0, 10.0])


def do(hand: Hand, kind: str, how: float) -> None:
    if kind == "move":
        hand.move(how, 4.0)
    elif MarkKind(kind) in (MarkKind.TOUCH, MarkKind.WEAR):
        hand.mark(MarkKind(kind), how * (hand.travel_mm - 3.0))
    elif kind is MarkKind.DEPTH:
        hand.mark(MarkKind.DEPTH, max(3.0, how * hand.travel_mm))
    else:
        hand.mark(MarkKind(kind))


def burnt(acts_done: list[tuple[str, float]], rate_hz: float) -> Hand:
    hand = Hand(AIM, rate_hz)
    hand.start()
    hand.burn(8.0)
    for kind, how in acts_done:
        do(hand, kind, how)
    return hand


@settings(max_examples=60, deadline=None)
@given(
    whole_burns,
    rates_hz,
    st.lists(st.floats(0.0, 30.0), min_size=1, max_size=30),
    st.booleans(),
)
def test_depth_stays_while_the_head_is_above_the_mark(
    acts_done: list[tuple[str, float]], rate_hz: float, above_mm: list[float], arc_on: bool
) -> None:
    hand = burnt(acts_done, rate_hz)
    high_mm = hand.state.high_mm
    assert high_mm is not None
    # Off the mark, and long enough for what was on its way to be told.
    hand.travel_mm = high_mm - 1.0
    hand.start() if arc_on else hand.stop()
    hand.rest(3.0)
    before = hand.state
    for lift_mm in above_mm:
        assert before.high_mm is not None
        hand.read(before.high_mm - 0.2 - lift_mm)
    after = hand.state
    # A new electrode lands where it stands still, above where it was looked for at first or not.
    if before.depth_mm is not None and after.high_mm == before.high_mm:
        assert after.depth_mm == before.depth_mm
        assert after.wear == before.wear
    assert after.depth_mm is not None
    assert before.depth_mm is not None
    assert after.depth_mm.mid <= before.depth_mm.mid + 1e-9


@settings(max_examples=80, deadline=None)
@given(
    whole_burns,
    st.sampled_from([MarkKind.TOUCH, MarkKind.WEAR, MarkKind.DEPTH]),
    st.floats(-1.0, 30.0),
)
def test_the_interval_never_widens_at_a_measurement(
    acts_done: list[tuple[str, float]], kind: MarkKind, value_mm: float
) -> None:
    hand = burnt(acts_done, 10.0)
    before = hand.state
    # What nobody saw has a floor, and no interval.
    assume(not before.is_unseen and not hand.tracker.estimate.wear_is_lost)
    hand.mark(kind, value_mm)
    after = hand.state
    assert after.wear.sd_mm <= before.wear.sd_mm + 1e-12
    # Where the two contradict each other, nothing is known of the ratio but what was planned.
    assert after.wear.ratio_sd <= max(before.wear.ratio_sd, AIM.wear_sd) + 1e-12
    # As shown, it is cut off where no depth can be; what is cut off may come back.
    if before.depth_mm is not None and after.depth_mm is not None:
        width_mm = after.depth_mm.high - after.depth_mm.low
        assert width_mm <= 2 * 1.96 * before.wear.sd_mm + 1e-6


@settings(max_examples=60, deadline=None)
@given(whole_burns, rates_hz, st.lists(st.floats(0.0, 120.0), max_size=60), st.data())
def test_readings_in_any_chunks_give_the_same_state(
    acts_done: list[tuple[str, float]], rate_hz: float, looks: list[float], data: st.DataObject
) -> None:
    """However many come at once, and however often the screen looks in between."""
    hand = burnt(acts_done, rate_hz)
    other, due = Tracker(AIM), sorted(looks)
    for event in hand.events:
        while due and due[0] <= event.t_s:
            other.tick(due.pop(0))
        if data.draw(st.integers(0, 9)) == 0:
            other.state(event.t_s)
        other.take(event)
    assert other.state() == hand.state
    assert other.calls == hand.tracker.calls


absurd = st.one_of(
    st.sampled_from([math.nan, math.inf, -math.inf, 1e300]),
    st.floats(FARTHEST_MM + 1.0, 1e9),
    st.floats(-1e9, -FARTHEST_MM - 1.0),
)


@st.composite
def nonsense(draw: st.DrawFn, now_s: float) -> Reading | Mark:
    """A reading or a mark that can't be, at a moment when ``now_s`` is past."""
    kind = draw(st.sampled_from(["reading", "mark", "time", "back"]))
    if kind == "reading":
        return Reading(now_s, draw(absurd))
    if kind == "mark":
        return Mark(now_s, draw(st.sampled_from(list(MarkKind))), draw(absurd))
    bad_s = now_s - draw(st.floats(0.01, 1e6)) if kind == "back" else math.nan
    if draw(st.booleans()):
        return Reading(bad_s, 5.0)
    return Mark(bad_s, draw(st.sampled_from(list(MarkKind))), 5.0)


@settings(max_examples=60, deadline=None)
@given(whole_burns, st.data())
def test_nonsense_anywhere_is_counted_and_changes_nothing_else(
    acts_done: list[tuple[str, float]], data: st.DataObject
) -> None:
    hand = burnt(acts_done, 10.0)
    places = data.draw(st.lists(st.integers(1, len(hand.events)), max_size=20))
    spoilt = Tracker(AIM)
    for place, event in enumerate(hand.events, 1):
        spoilt.take(event)
        for _ in range(places.count(place)):
            spoilt.take(data.draw(nonsense(event.t_s)))
    state = spoilt.state()
    assert state.rejected == hand.state.rejected + len(places)
    assert replace(state, rejected=hand.state.rejected) == hand.state
    assert spoilt.calls == hand.tracker.calls
