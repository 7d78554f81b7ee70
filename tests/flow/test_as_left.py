"""Whoever says that all is as it was left says nothing that nobody had seen before."""

from __future__ import annotations

from pathlib import Path

import pytest

from cockpit.flow.floor import ShopFloor
from cockpit.flow.hole import HoleInHand
from cockpit.flow.steps import Step
from cockpit.log import questions
from cockpit.log.rows import ALL_THE_SAME, CheckResult
from tests.flow.test_electrode import half_burnt
from tests.flow.test_set_up_again import keys, put_down_for_another
from tests.flow.walk import SHALLOW, Walk, open_floor
from tests.log.conftest import TICKET

SAYS_SO = "L if part, electrode, zero and stop are all as they were."


def another_hole_was_in_hand(floor: ShopFloor, hole: HoleInHand) -> HoleInHand:
    """The hole taken up again, after another one of the same part."""
    hole.leave()
    other = floor.take_up(floor.take_in_hole(hole.row.job.id, SHALLOW))
    other.accept_plan()
    other.leave()
    return floor.take_up(hole.id)


def test_why_it_is_set_up_again_is_said_as_long_as_it_is_to_be(tmp_path: Path) -> None:
    hole_id = put_down_for_another(tmp_path)
    for why in ("Another hole was in hand since: set this one up", "Not set up again yet"):
        with open_floor(tmp_path) as floor:
            hole = floor.take_up(hole_id)
            assert hole.asks_first.startswith(why)
            assert hole.asks_first.endswith(SAYS_SO)
            hole.leave()


def test_where_two_gauges_were_used_nobody_says_it(tmp_path: Path) -> None:
    hole_id = put_down_for_another(tmp_path)
    with open_floor(tmp_path, gauge="typed") as floor:
        hole = floor.take_up(hole_id)
        assert hole.step is Step.AGAIN
        assert "L if" not in hole.asks_first
        with pytest.raises(ValueError, match="finish these checks"):
            hole.as_left()
        # Nor by the way of another electrode.
        hole.change_electrode()
        hole.keep_electrode()
        assert hole.step is Step.AGAIN
        with pytest.raises(ValueError, match="finish these checks"):
            hole.as_left()
        again = another_hole_was_in_hand(floor, hole)
        assert "Another hole was in hand since" in again.asks_first
        assert "L if" not in again.asks_first


def test_both_are_said_after_another_hole_and_with_another_gauge(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        hole = half_burnt(Walk.of(floor, TICKET)).hole
        hole.leave()
        other = floor.take_up(floor.take_in_hole(hole.row.job.id, SHALLOW))
        other.accept_plan()
        other.leave()
    with open_floor(tmp_path, gauge="typed") as floor:
        asks = floor.take_up(hole.id).asks_first
        assert asks.startswith(
            "Another gauge reads now, and knows nothing of the zero. Another hole"
        )


def test_an_electrode_asked_for_and_not_begun_is_set_up_again_after_another_hole(
    tmp_path: Path,
) -> None:
    with open_floor(tmp_path) as floor:
        hole = half_burnt(Walk.of(floor, TICKET)).hole
        hole.change_electrode()
        again = another_hole_was_in_hand(floor, hole)
        assert again.step is Step.AGAIN
        assert again.asks_first.endswith(SAYS_SO)


def test_an_electrode_that_may_be_out_stays_to_be_set_up(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        hole = half_burnt(Walk.of(floor, TICKET)).hole
        hole.change_electrode()
        hole.answer_check(hole.checks_left()[0], CheckResult.CONFIRMED)
        again = another_hole_was_in_hand(floor, hole)
        assert again.step is Step.ELECTRODE
        assert "L if" not in again.asks_first
        with pytest.raises(ValueError, match="finish its checks"):
            again.keep_electrode()


def test_a_stop_that_was_to_be_set_anew_is_not_set_by_saying_it(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = half_burnt(Walk.of(floor, TICKET))
        walk.touches_off()
        stop_mm = walk.hole.stop_mm
        again = Walk(floor, another_hole_was_in_hand(floor, walk.hole))
        again.hole.as_left()
        assert again.hole.stop_mm == pytest.approx(stop_mm)
        assert keys(again) == ["stop", "guard"]


def test_what_was_taken_against_the_gauge_stays_so(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor).to(Step.CHECKS)
        for item in walk.hole.checks_left():
            word = f"{ALL_THE_SAME}: the gauge showed 0.40 mm" if item.live == "zero" else "MT"
            walk.hole.answer_check(item, CheckResult.CONFIRMED, word)
        walk.hole.checks_done()
        not_seen = walk.hole.passed_over()
        assert [word for _, word in not_seen] == ["all the same: the gauge showed 0.40 mm"]
        walk.hole.arc_starts()
        walk.wait(5.0)
        walk.hole.arc_stops()
        hole = another_hole_was_in_hand(floor, walk.hole)
        hole.as_left()
        assert hole.passed_over() == not_seen


def test_it_can_be_taken_back(tmp_path: Path) -> None:
    hole_id = put_down_for_another(tmp_path)
    with open_floor(tmp_path) as floor:
        walk = Walk(floor, floor.take_up(hole_id))
        asked = keys(walk)
        walk.hole.as_left()
        assert walk.hole.before_guard() is Step.AGAIN
        walk.hole.not_as_left()
        assert walk.hole.step is Step.AGAIN
        assert keys(walk) == asked
        walk.step()
        assert walk.hole.before_guard() is None, "what was zeroed again is no more as it was"


def test_a_check_of_the_set_up_that_was_answered_is_one_too_many(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        hole = half_burnt(Walk.of(floor, TICKET)).hole
        hole.leave()
        job = floor.take_in_job("Ostrel Boatworks", "OB-7", "cover")
        other = floor.take_up(floor.take_in_hole(job, SHALLOW))
        other.accept_plan()
        other.leave()
        again = floor.take_up(hole.id)
        assert again.may_be_as_left()
        first = again.checks_left()[0]
        assert not first.by_electrode, "another part is on the machine: all of the set-up is asked"
        again.answer_check(first, CheckResult.CONFIRMED, "MT")
        assert not again.may_be_as_left()
        assert again.checks_held() == 1


def test_the_log_says_which_checks_were_as_they_were(tmp_path: Path) -> None:
    hole_id = put_down_for_another(tmp_path)
    with open_floor(tmp_path) as floor:
        hole = floor.take_up(hole_id)
        asked = [item.key for item in hole.checks_left()]
        hole.as_left()
        rows = questions.hole_checks(floor.store.connection, hole_id)[-len(asked) :]
        assert [(row.item, row.word) for row in rows] == [(key, "as it was left") for key in asked]


def test_the_bench_says_that_it_is_set_up_again_after_another_hole(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        hole = half_burnt(Walk.of(floor, TICKET)).hole
        hole.leave()

        def needs() -> str:
            return next(one.needs for one in floor.lying() if one.row.id == hole.id)

        assert needs() == "guard on, then burn"
        other = floor.take_up(floor.take_in_hole(hole.row.job.id, SHALLOW))
        other.accept_plan()
        other.leave()
        assert needs() == "set it up again"
