"""A zero that may be gone is asked for again, and a stop that moved is set, before the arc."""

from __future__ import annotations

from pathlib import Path

import pytest

from cockpit.burn.reading import MarkKind
from cockpit.flow.past import past_look
from cockpit.flow.steps import Step
from cockpit.log import questions
from cockpit.log.rows import CheckResult
from cockpit.record.text import hole_record
from cockpit.units import LengthUnit
from tests.flow.test_electrode import half_burnt, marks, true_depth_mm
from tests.flow.walk import SHALLOW, Walk, open_floor
from tests.log.conftest import TICKET

OF_THE_ZERO = ["zero", "gauge", "stop"]


def put_down_for_another(folder: Path) -> int:
    """A hole half burnt, after which another one of its part was in hand; its id."""
    with open_floor(folder) as floor:
        hole = half_burnt(Walk.of(floor, TICKET)).hole
        hole.leave()
        other = floor.take_up(floor.take_in_hole(hole.row.job.id, SHALLOW))
        other.accept_plan()
        other.leave()
        return hole.id


def keys(walk: Walk) -> list[str]:
    return [item.key for item in walk.hole.checks_left()]


def stands(walk: Walk) -> Step:
    return walk.hole.step


def record(walk: Walk) -> str:
    connection = walk.floor.store.connection
    page = questions.page(connection, walk.hole.id)
    look = past_look(connection, walk.hole.id, 80)
    assert page is not None
    assert look is not None
    # Where a line ends is no matter.
    return " ".join(hole_record(page, look.tracker.state(), LengthUnit.MM).split())


def test_whoever_says_that_nothing_has_moved_keeps_the_zero_and_its_answers(tmp_path: Path) -> None:
    hole_id = put_down_for_another(tmp_path)
    with open_floor(tmp_path) as floor:
        walk = Walk(floor, floor.take_up(hole_id))
        before, asked = walk.hole.live.state(), keys(walk)
        assert set(OF_THE_ZERO) <= set(asked)
        walk.hole.as_left()
        assert stands(walk) is Step.GUARD
        assert keys(walk) == ["guard"]
        assert marks(walk).count(MarkKind.ELECTRODE) == 0
        assert walk.hole.live.state().wear == before.wear
        kept = questions.hole_checks(floor.store.connection, hole_id)[-len(asked) :]
        assert [(row.item, row.word) for row in kept] == [(key, "as it was left") for key in asked]
        walk.to(Step.ENDED)


def test_a_burn_that_was_put_out_by_a_key_asks_for_no_zero(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor).to(Step.BURN)
        walk.hole.arc_starts()
        walk.wait(5.0)
        walk.hole.arc_stops()
        walk.hole.leave()
        assert floor.take_up(walk.hole.id).step is Step.GUARD


@pytest.mark.parametrize("step", [Step.CHECKS, Step.PILOT, Step.CENTRE, Step.GUARD, Step.BURN])
def test_another_gauge_knows_nothing_of_the_zero(tmp_path: Path, step: Step) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor).to(step)
        hole_id = walk.hole.id
        if step is Step.CHECKS:
            for item in walk.hole.checks_left()[:-2]:
                walk.hole.answer_check(item, CheckResult.CONFIRMED)
        walk.hole.leave()
    with open_floor(tmp_path, gauge="typed") as floor:
        again = Walk(floor, floor.take_up(hole_id))
        assert stands(again) is (Step.CHECKS if step is Step.CHECKS else Step.AGAIN)
        assert keys(again)[:3] == OF_THE_ZERO
        assert "Another gauge" in again.hole.asks_first
        again.hole.leave()
        # It is the same gauge the next time, and what was asked for is asked for still.
        once_more = floor.take_up(hole_id)
        assert once_more.asks_first == ("" if step is Step.CHECKS else "Not set up again yet.")
        assert [item.key for item in once_more.checks_left()][:3] == OF_THE_ZERO
        assert not once_more.may_be_as_left()
        with pytest.raises(ValueError, match="may be"):
            once_more.as_left()


def test_whoever_puts_another_electrode_in_after_all_says_so(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = half_burnt(Walk.of(floor, TICKET))
        walk.hole.leave()
        other = floor.take_up(floor.take_in_hole(walk.hole.row.job.id, SHALLOW))
        other.accept_plan()
        other.leave()
        again = Walk(floor, floor.take_up(walk.hole.id))
        assert stands(again) is Step.AGAIN
        again.hole.change_electrode()
        assert stands(again) is Step.ELECTRODE
        again.to(Step.BURN)
        again.burn_until(lambda: again.depth_mm() >= 11.0)
        assert again.depth_mm() == pytest.approx(true_depth_mm(again), abs=0.4)
        assert "the last of 2 electrodes" in record(again)


def test_an_electrode_that_is_put_back_is_no_other(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = half_burnt(Walk.of(floor, TICKET))
        walk.hole.leave()
        other = floor.take_up(floor.take_in_hole(walk.hole.row.job.id, SHALLOW))
        other.accept_plan()
        other.leave()
        again = Walk(floor, floor.take_up(walk.hole.id)).to(Step.BURN)
        again.burn_until(lambda: again.depth_mm() >= 11.0)
        assert again.depth_mm() == pytest.approx(true_depth_mm(again), abs=0.4)
        assert "electrodes" not in record(again)


def test_once_a_check_is_answered_the_set_up_is_finished_first(tmp_path: Path) -> None:
    hole_id = put_down_for_another(tmp_path)
    with open_floor(tmp_path) as floor:
        hole = floor.take_up(hole_id)
        hole.answer_check(hole.checks_left()[0], CheckResult.CONFIRMED)
        with pytest.raises(ValueError, match="finish these checks"):
            hole.as_left()
        with pytest.raises(ValueError, match="Finish these checks"):
            hole.change_electrode()
        assert hole.step is Step.AGAIN


def test_the_stop_is_set_after_a_touch_off_before_the_arc(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = half_burnt(Walk.of(floor, TICKET))
        hole = walk.hole
        walk.touches_off()
        stop_mm = hole.stop_mm
        hole.burn_on()  # back over the hole, the stop as it was
        assert keys(walk) == ["stop", "guard"]
        with pytest.raises(ValueError, match="Depth stop: not answered yet"):
            hole.checks_done()
        hole.leave()
        # Nor is it forgotten when the hole is put down.
        again = Walk(floor, floor.take_up(hole.id))
        assert again.hole.stop_mm == pytest.approx(stop_mm)
        assert keys(again) == ["stop", "guard"]
        again.step()
        assert stands(again) is Step.BURN
        row = next(
            row
            for row in reversed(questions.hole_checks(floor.store.connection, hole.id))
            if row.item == "stop"
        )
        assert row.word.startswith(f"set at {stop_mm:.2f} mm")


def test_a_stop_that_was_confirmed_is_not_asked_for_again(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = half_burnt(Walk.of(floor, TICKET))
        walk.touches_off()
        walk.hole.stop_is_set()
        assert stands(walk) is Step.GUARD
        assert keys(walk) == ["guard"]


def test_a_target_does_not_stand_over_an_electrode_that_has_burnt_nothing(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor).to(Step.BURN)
        walk.burn_until(lambda: walk.called("target"))
        assert walk.called("target")
        walk.hole.change_electrode()
        walk.step()
        assert not walk.called("target")
        walk.step()
        walk.hole.arc_starts()
        # With the arc on it is called again, since the hole is as deep as it was.
        assert walk.called("target")


def test_what_says_where_the_burn_goes_is_remembered_as_passed_over(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor).to(Step.CHECKS)
        for item in walk.hole.checks_left():
            if walk.hole.may_skip(item):
                walk.hole.answer_check(item, CheckResult.SKIPPED, f"no {item.key}")
            else:
                walk.hole.answer_check(item, CheckResult.CONFIRMED)
        titles = ("Electrode", "Centred")
        words = ("no electrode", "no centre")
        assert walk.hole.passed_over() == tuple(zip(titles, words, strict=True))
        assert len(walk.hole.skipped()) > len(titles)
        hole_id = walk.hole.id
        walk.hole.checks_done()
        walk.hole.leave()
        again = Walk(floor, floor.take_up(hole_id))
        assert again.hole.passed_over() == walk.hole.passed_over()
        # What the spot has shown nobody has to have seen before.
        again.to(Step.BURN)
        assert again.hole.passed_over() == (("Electrode", "no electrode"),)


def test_how_a_hole_ended_is_read_from_its_log(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = half_burnt(Walk.of(floor, TICKET))
        assert walk.hole.ending().against_done == "the target was never reached"
        walk.to(Step.OUTCOME)
        assert walk.hole.ending().against_done == ""
        # A stop that did not hold: the electrode turns out to have lost next to nothing.
        for _ in range(3):
            walk.hole.live.measured(MarkKind.WEAR, 0.0)
        limit_mm, depth = walk.hole.plan.depth.limit_mm, walk.hole.live.state().depth_mm
        assert limit_mm is not None
        assert depth is not None
        assert depth.mid > limit_mm
        assert walk.hole.ending().against_done == "the bottom limit was passed"
