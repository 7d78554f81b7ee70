"""Another electrode in the middle of a hole, and another spot after the first."""

from __future__ import annotations

from pathlib import Path

import pytest

from cockpit.burn.reading import Mark, MarkKind
from cockpit.flow.past import past_events
from cockpit.flow.steps import Step
from cockpit.gauges.simulated import SimulatedGauge
from cockpit.log.rows import CheckResult
from cockpit.log.store import LogError
from tests.flow.walk import Walk, open_floor
from tests.log.conftest import TICKET


def half_burnt(walk: Walk, depth_mm: float = 9.0) -> Walk:
    walk.to(Step.BURN)
    walk.burn_until(lambda: walk.depth_mm() >= depth_mm)
    return walk


def true_depth_mm(walk: Walk) -> float:
    gauge = walk.floor.gauge
    assert isinstance(gauge, SimulatedGauge)
    return gauge.burn.depth_mm


def marks(walk: Walk) -> list[MarkKind]:
    events = past_events(walk.floor.store.connection, walk.hole.id)
    return [event.kind for event in events if isinstance(event, Mark)]


def test_another_electrode_is_set_up_like_the_first_and_the_burn_goes_on(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = half_burnt(Walk.of(floor, TICKET))
        hole, first_stop_mm = walk.hole, walk.hole.stop_mm
        before = hole.live.state()
        hole.change_electrode()
        asked = [item.key for item in hole.checks_left()]
        assert {"electrode", "centre", "zero", "stop"} <= set(asked)
        assert "ground" not in asked
        # A new electrode at the same travel is deeper: the stop comes up, but not above the limit.
        assert hole.plan.depth.limit_mm is not None
        assert hole.plan.depth.limit_mm <= hole.stop_mm < first_stop_mm + 1.0
        assert marks(walk).count(MarkKind.ELECTRODE) == 0
        walk.step()
        assert hole.step is Step.GUARD
        assert marks(walk).count(MarkKind.ELECTRODE) == 1
        after = hole.live.state()
        assert after.wear.wear_mm == 0.0
        assert after.depth_mm is not None
        assert before.depth_mm is not None
        assert after.depth_mm.mid == pytest.approx(before.depth_mm.mid, abs=1e-9)
        walk.step()
        walk.burn_until(lambda: walk.depth_mm() >= 12.0)
        assert walk.depth_mm() == pytest.approx(true_depth_mm(walk), abs=0.4)
        walk.step()  # to the call
        walk.to(Step.ENDED)


def test_who_steps_back_from_it_has_the_old_electrode_and_its_stop(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = half_burnt(Walk.of(floor, TICKET))
        hole, stop_mm, state = walk.hole, walk.hole.stop_mm, walk.hole.live.state()
        hole.change_electrode()
        hole.keep_electrode()
        assert hole.step is Step.GUARD
        assert hole.stop_mm == stop_mm
        assert hole.live.state().depth_mm == state.depth_mm
        assert MarkKind.ELECTRODE not in marks(walk)
        walk.step()
        walk.burn_until(lambda: walk.depth_mm() >= 11.0)
        # Nobody touched off: the old belief about its wear is all there is, and it is about right.
        assert walk.depth_mm() == pytest.approx(true_depth_mm(walk), abs=0.5)


def test_who_has_begun_with_another_electrode_has_to_finish(tmp_path: Path) -> None:
    """The indicator may be zeroed on another tip by then."""
    with open_floor(tmp_path) as floor:
        walk = half_burnt(Walk.of(floor, TICKET))
        hole = walk.hole
        hole.change_electrode()
        first = hole.checks_left()[0]
        hole.answer_check(first, CheckResult.CONFIRMED)
        hole.reopen_check(first.key)
        with pytest.raises(ValueError, match="finish its checks"):
            hole.keep_electrode()
        assert hole.step is Step.ELECTRODE
        walk.to(Step.BURN)
        walk.burn_until(lambda: walk.depth_mm() >= 11.0)
        assert walk.depth_mm() == pytest.approx(true_depth_mm(walk), abs=0.4)


def test_a_second_electrode_that_wears_as_fast_is_not_called_short_at_once(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = half_burnt(Walk.of(floor, TICKET))
        hole, state = walk.hole, walk.hole.live.state()
        assert state.high_mm is not None
        hole.touch_off()
        hole.measured(MarkKind.TOUCH, 0.93 * (state.high_mm - 3.0), sure=True)
        # Seen with the arc off, while there is time to change it.
        assert walk.called("short")
        hole.burn_on()
        walk.to(Step.BURN)
        hole.change_electrode()
        walk.to(Step.BURN)
        hole.arc_starts()
        walk.wait(10.0)
        assert not walk.called("short")
        assert hole.live.state().electrodes == 2


def test_a_new_electrode_that_is_not_zeroed_is_refused(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        hole = half_burnt(Walk.of(floor, TICKET)).hole
        hole.change_electrode()
        zero = next(item for item in hole.checks_left() if item.live == "zero")
        with pytest.raises(ValueError, match="depth rests on it"):
            hole.answer_check(zero, CheckResult.SKIPPED, "in a hurry")
        with pytest.raises(ValueError, match="not answered yet"):
            hole.checks_done()
        assert hole.step is Step.ELECTRODE


def test_a_change_that_was_put_down_is_taken_up_where_it_stood(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = half_burnt(Walk.of(floor, TICKET))
        walk.hole.change_electrode()
        first = walk.hole.checks_left()[0]
        walk.hole.answer_check(first, CheckResult.CONFIRMED)
        left = [item.key for item in walk.hole.checks_left()]
        hole_id, stop_mm = walk.hole.id, walk.hole.stop_mm
        walk.hole.leave()
    with open_floor(tmp_path) as floor:
        hole = floor.take_up(hole_id)
        assert hole.step is Step.ELECTRODE
        assert [item.key for item in hole.checks_left()] == left
        assert hole.stop_mm == pytest.approx(stop_mm)
        again = Walk(floor, hole).to(Step.BURN)
        again.burn_until(lambda: again.depth_mm() >= 11.0)
        assert again.depth_mm() == pytest.approx(true_depth_mm(again), abs=0.4)
        hole.leave()


def test_a_change_that_the_log_refuses_at_first_is_one_change(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = half_burnt(Walk.of(floor, TICKET))
        hole, ask = walk.hole, floor.store.connection.execute
        hole.change_electrode()
        for item in hole.checks_left():
            hole.answer_check(item, CheckResult.CONFIRMED)
        ask("PRAGMA query_only = ON")
        for _ in range(3):
            with pytest.raises(LogError):
                hole.checks_done()
        ask("PRAGMA query_only = OFF")
        hole.checks_done()
        assert hole.step is Step.GUARD
        assert marks(walk).count(MarkKind.ELECTRODE) == 1
        hole.change_electrode()
        walk.step()
        assert marks(walk).count(MarkKind.ELECTRODE) == 2


def test_a_change_is_marked_once_though_the_hole_was_put_down_before_the_step_after_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with open_floor(tmp_path) as floor:
        walk = half_burnt(Walk.of(floor, TICKET))
        walk.hole.change_electrode()
        for item in walk.hole.checks_left():
            walk.hole.answer_check(item, CheckResult.CONFIRMED)

        def refused(*_: object) -> None:
            raise LogError("the disk is full")

        with monkeypatch.context() as patch:
            patch.setattr(floor.store, "add_step", refused)
            with pytest.raises(LogError):
                walk.hole.checks_done()
        walk.hole.leave()
        hole = floor.take_up(walk.hole.id)
        assert hole.step is Step.ELECTRODE
        hole.checks_done()
        assert marks(walk).count(MarkKind.ELECTRODE) == 1
        assert hole.live.state().electrodes == 2


def test_the_stop_for_another_electrode_stays_after_the_hole_was_put_down(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = half_burnt(Walk.of(floor, TICKET))
        walk.hole.change_electrode()
        walk.to(Step.GUARD)
        hole_id, stop_mm = walk.hole.id, walk.hole.stop_mm
        walk.hole.leave()
    with open_floor(tmp_path) as floor:
        hole = floor.take_up(hole_id)
        assert hole.stop_mm == pytest.approx(stop_mm)
        hole.leave()


def test_another_spot_is_burnt_from_the_break_again(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor, TICKET).to(Step.CENTRE)
        electrode = walk.hole.plan.electrode
        walk.hole.centre_checked(electrode.allowed_offset_mm + 0.05, 0.0)
        assert marks(walk)[-1] is MarkKind.SPOT
        assert walk.depth_mm() == walk.hole.plan.depth.recess_mm
        assert true_depth_mm(walk) == walk.hole.plan.depth.recess_mm
        walk.step()
        assert walk.hole.step is Step.PILOT
        walk.hole.arc_starts()
        walk.wait(10.0)
        assert not walk.called("pilot")
        while not walk.called("pilot"):
            walk.wait(1.0)
        walk.hole.arc_stops()
        assert walk.depth_mm() == pytest.approx(true_depth_mm(walk), abs=0.5)


def test_an_electrode_too_short_for_the_hole_is_called(tmp_path: Path) -> None:
    """Worn far faster than it was planned, it won't last."""
    with open_floor(tmp_path) as floor:
        walk = half_burnt(Walk.of(floor, TICKET))
        aim = walk.hole.live.tracker.aim
        assert aim.reach_mm is not None
        assert aim.longest_s == walk.hole.plan.time.high_s
        assert aim.fastest_mm_s is not None
        state = walk.hole.live.state()
        assert state.high_mm is not None
        # So worn that what is left of the electrode ends above the target.
        ratio = 1 - (15.0 - 3.0) / (aim.reach_mm - 3.0)
        walk.hole.touch_off()
        worn_mm = (0.02 + ratio) * (state.high_mm - 3.0)
        walk.hole.measured(MarkKind.TOUCH, worn_mm, sure=True)
        walk.hole.burn_on()
        walk.to(Step.BURN)
        walk.hole.arc_starts()
        walk.wait(5.0)
        assert walk.called("short")


def test_another_electrode_has_not_lost_what_the_first_one_travelled(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = half_burnt(Walk.of(floor, TICKET), 12.0)
        walk.hole.change_electrode()
        walk.step()
        walk.to(Step.BURN)
        walk.burn_until(lambda: walk.depth_mm() >= 12.6)
        depth_mm = walk.depth_mm()
        walk.hole.touch_off()
        with pytest.raises(ValueError, match="can't be: the electrode would have lost"):
            walk.hole.measured(MarkKind.TOUCH, 4.0, sure=True)
        assert walk.depth_mm() == depth_mm
        walk.touches_off()
        assert walk.depth_mm() == pytest.approx(true_depth_mm(walk), abs=0.2)
