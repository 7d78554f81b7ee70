"""The head on its depth stop: called, and not taken for a stall."""

from __future__ import annotations

from pathlib import Path

import pytest

from cockpit.burn.calls import CallKind
from cockpit.burn.reading import MarkKind
from cockpit.flow.depth_stop import RESTS_S, StopWatch, is_at_stop, to_stop_s
from cockpit.flow.steps import Step
from cockpit.log import questions
from tests.flow.walk import Walk, open_floor
from tests.log.conftest import TICKET

#: A blind hole whose first stop holds well above its target.
TICKET_BLIND = TICKET.model_copy(update={"depth_mm": 22.0, "tool_end_mm": None, "recess_mm": 3.0})


def test_it_is_called_once_and_stands_until_the_stop_is_set_anew() -> None:
    watch = StopWatch()
    watch.set_to(21.0)
    assert watch.saw(1.0, None, None, 9.0) is None
    assert watch.saw(2.0, 20.85, 15.0, 9.0) is None
    assert watch.saw(2.5, 20.95, 15.1, RESTS_S - 0.1) is None
    call = watch.saw(3.0, 20.95, 15.1, RESTS_S)
    assert call is not None
    assert (call.kind, call.t_s, call.depth_mm) == (CallKind.AT_STOP, 3.0, 15.1)
    assert watch.saw(4.0, 21.1, 15.1, 9.0) is None
    assert watch.standing is call
    watch.set_to(21.0)
    assert watch.standing is call
    watch.set_to(24.0)
    assert watch.standing is None
    assert watch.saw(5.0, 21.1, 15.1, 9.0) is None


def test_a_head_past_its_stop_is_called_once_more_and_then_no_more() -> None:
    watch = StopWatch()
    watch.set_to(21.0)
    watch.saw(1.0, 21.0, 15.0, 9.0)
    call = watch.saw(2.0, 21.25, 15.2, 0.0)
    assert call is not None
    assert call.kind is CallKind.SLIPPED
    assert watch.saw(3.0, 22.0, 15.7, 9.0) is None
    assert watch.standing is call


def test_without_a_stop_nothing_is_called() -> None:
    watch = StopWatch()
    assert watch.saw(1.0, 99.0, 80.0, 9.0) is None
    watch.set_to(21.0)
    watch.saw(2.0, 21.0, 15.0, 9.0)
    watch.unset()
    assert watch.standing is None
    assert watch.saw(3.0, 99.0, 80.0, 9.0) is None


def test_the_time_to_a_stop_that_comes_first_is_told_and_is_about_what_it_takes(
    tmp_path: Path,
) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor, TICKET_BLIND).to(Step.BURN)
        stop_mm = walk.hole.stop_mm
        walk.hole.arc_starts()
        walk.burn_until(lambda: (walk.hole.live.state().high_mm or 0.0) > 0.6 * stop_mm)
        state = walk.hole.live.state()
        told = to_stop_s(state, stop_mm)
        assert told is not None
        walk.burn_until(lambda: is_at_stop(walk.hole.live.state().high_mm, stop_mm))
        assert told.low < walk.hole.live.state().arc_s - state.arc_s < told.high
        assert to_stop_s(walk.hole.live.state(), stop_mm - 1.0) is None, "it is past that"
        assert to_stop_s(state, 3 * stop_mm) is None, "the target comes first"


def burnt_onto_its_stop(walk: Walk) -> None:
    """Whoever takes no notice of the target comes down on the stop, and stays there a while."""
    walk.to(Step.BURN)
    walk.hole.arc_starts()
    for _ in range(900):
        if walk.called("at stop"):
            break
        walk.wait(1.0)
    walk.wait(60.0)


def test_a_head_that_rests_on_its_stop_is_no_stall(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor, TICKET_BLIND)
        burnt_onto_its_stop(walk)
        live, stop_mm = walk.hole.live, walk.hole.stop_mm
        assert live.state().high_mm == pytest.approx(stop_mm, abs=0.1)
        # The tracker knows no stop, so that for it this is a stall.
        assert CallKind.STALLED in {call.kind for call in live.tracker.calls}
        page = questions.page(floor.store.connection, walk.hole.id)
        assert page is not None
        told = [call.call for call in page.calls]
        assert told == [str(call.kind) for call in live.calls]
        assert told.count("at stop") == 1
        assert "stalled" not in told
        assert CallKind.STALLED not in {call.kind for call in live.standing}
        walk.hole.arc_stops()
        assert walk.called("at stop")
        walk.hole.touch_off()
        walk.wait(8.0)
        walk.hole.measured(MarkKind.TOUCH, live.state().travel_mm or 0.0)
        walk.hole.burn_on()
        walk.to(Step.BURN)
        assert walk.hole.stop_mm > stop_mm + 1.0
        assert not walk.called("at stop")
        walk.hole.arc_starts()
        walk.wait(30.0)
        assert (live.state().high_mm or 0.0) > stop_mm + 0.2
        assert not walk.called("at stop", "slipped")


def test_the_next_sitting_calls_it_again_under_the_arc(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor, TICKET_BLIND)
        burnt_onto_its_stop(walk)
        walk.hole.arc_stops()
        walk.hole.leave()
        again = Walk(floor, floor.take_up(walk.hole.id)).to(Step.BURN)
        assert not again.called("at stop")
        again.hole.arc_starts()
        again.wait(15.0)
        assert again.called("at stop")


def test_the_gap_is_what_the_indicator_has_still_to_go_from_the_face(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor, TICKET_BLIND).to(Step.CHECKS)
        hole = walk.hole
        # A new electrode reads 0 on the face.
        assert hole.stop_gap_mm == hole.stop_mm
        first_mm = hole.stop_depth_mm
        walk.to(Step.TOUCH)
        walk.wait(8.0)
        on_face_mm = hole.live.state().travel_mm
        assert on_face_mm is not None
        assert on_face_mm > 1.0
        hole.measured(MarkKind.TOUCH, on_face_mm)
        hole.burn_on()
        # A worn one reads its wear there.
        assert hole.stop_gap_mm == pytest.approx(hole.stop_mm - on_face_mm, abs=0.05)
        assert first_mm < hole.stop_depth_mm < hole.plan.depth.deepest_mm
        deep_mm = hole.stop_depth_mm
        hole.change_electrode()
        assert hole.stop_gap_mm == hole.stop_mm
        assert hole.stop_depth_mm == pytest.approx(deep_mm, abs=0.5)
