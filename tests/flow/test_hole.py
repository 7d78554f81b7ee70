"""A hole from its plan to its outcome, and taken up again wherever it was put down."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from pathlib import Path

import pytest

from cockpit.burn.reading import MarkKind
from cockpit.burn.replay import run
from cockpit.flow.hole import HoleInHand, UnlikelyError
from cockpit.flow.past import over_arc_time, past_aim, past_burn, past_events, past_look
from cockpit.flow.steps import AT_THE_ARC, MID_HOLE_SET_UP, Step
from cockpit.log import questions
from cockpit.log.rows import CheckResult, Outcome, Result
from cockpit.log.store import LogError
from cockpit.trade.wear import Wear
from tests.flow.walk import SHALLOW, Walk, open_floor
from tests.log.conftest import TICKET


def stands(hole: HoleInHand) -> Step:
    """Where it stands now; asked through a function, since it changes behind mypy's back."""
    return hole.step


#: Every step on the way from plan to end; what is set up in mid hole is so only where it has to be.
STEPS = [step for step in Step if step not in (Step.TICKET, *MID_HOLE_SET_UP)]


def test_a_hole_goes_from_plan_to_outcome_and_all_of_it_is_in_the_log(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor, TICKET).to(Step.ENDED)
        connection = floor.store.connection
        page = questions.page(connection, walk.hole.id)
        assert page is not None
        assert {row.item for row in page.checks} >= {item.key for item in floor.checklist.setup}
        assert all(row.result is CheckResult.CONFIRMED for row in page.checks)
        assert [burn.kind.value for burn in page.burns[:2]] == ["pilot", "burn"]
        assert all(burn.how == "operator" for burn in page.burns)
        assert page.row.arc_s == pytest.approx(walk.hole.live.state().arc_s, abs=0.002)
        assert "target" in {row.call for row in page.calls}
        assert page.outcome is not None
        assert page.outcome.outcome.result is Result.DONE
        assert floor.waiting() == []
        assert [row.id for row in floor.done_this_shift()] == [walk.hole.id]
        assert walk.hole.at_target()
        # 95 % of what was sent; here it is all: 10 a second since the plan was accepted.
        readings = [event for event in past_events(connection, walk.hole.id) if not is_mark(event)]
        assert len(readings) == walk.hole.live.state().readings


def is_mark(event: object) -> bool:
    return hasattr(event, "kind")


def test_the_log_replayed_gives_the_calls_and_the_depth_that_the_screen_gave(
    tmp_path: Path,
) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor, TICKET).to(Step.CLEANOUT)
        hole, connection = walk.hole, floor.store.connection
        aim = past_aim(connection, hole.id)
        assert aim is not None
        replayed = run(past_events(connection, hole.id), aim)
        live = hole.live.tracker
        assert replayed.calls == live.calls
        assert replace(replayed.state(), t_s=0.0) == replace(live.state(), t_s=0.0)
        page = questions.page(connection, hole.id)
        assert page is not None
        assert [(row.t_s, row.call) for row in page.calls] == [
            (call.t_s, call.kind.value) for call in live.calls
        ]


def test_the_depth_over_a_past_burn_only_grows_and_ends_where_it_stands(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor).to(Step.TOUCH)
        connection, hole = floor.store.connection, walk.hole.id
        look, past = past_look(connection, hole, 100), past_burn(connection, hole)
        assert look is not None
        assert past is not None
        assert look.tracker.state() == past.state()
        depths = over_arc_time(look.moments(), 50)
        assert len(depths) == 50
        known = [depth for depth in depths if depth is not None]
        assert len(known) == 50
        assert known == sorted(known)
        assert len(set(known)) > 40
        last = past.state().depth_mm
        assert last is not None
        assert known[0] < look.tracker.aim.recess_mm + 0.5
        assert depths[-1] == last.mid
        assert past_look(connection, 77, 50) is None
        assert past_burn(connection, 77) is None


def test_the_depth_before_a_touch_off_is_seen_by_what_it_told(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor).to(Step.TOUCH)
        connection, hole = floor.store.connection, walk.hole
        high_mm = hole.live.state().high_mm
        assert high_mm is not None

        def halfway_mm() -> float:
            look = past_look(connection, hole.id, 100)
            assert look is not None
            (depth_mm,) = over_arc_time(look.moments(), 40)[19:20]
            assert depth_mm is not None
            return depth_mm

        before_mm = halfway_mm()
        worn_mm = hole.live.state().wear.wear_mm + 0.2
        hole.measured(MarkKind.TOUCH, worn_mm, sure=True)
        assert halfway_mm() == pytest.approx(before_mm - 0.1, abs=0.05)


def test_without_moments_there_is_no_depth_over_the_arc_time() -> None:
    assert over_arc_time([], 40) == []


# Checks ------------------------------------------------------------------------------------------


def test_a_safety_check_can_not_be_passed_over_and_others_only_with_a_word(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        hole = Walk.of(floor).to(Step.CHECKS).hole
        for item in hole.checks_left():
            never = item.safety or item.live == "zero"
            words = "can't be passed over" if never else "in a word why"
            with pytest.raises(ValueError, match=words):
                hole.answer_check(item, CheckResult.SKIPPED, "dry job" if never else "  ")
        assert questions.hole_checks(floor.store.connection, hole.id) == []
        item = next(item for item in hole.checks_left() if not item.safety)
        hole.answer_check(item, CheckResult.SKIPPED, "dry job")
        (row,) = questions.hole_checks(floor.store.connection, hole.id)
        assert (row.item, row.result, row.word) == (item.key, CheckResult.SKIPPED, "dry job")
        assert item not in hole.checks_left()


def test_the_arc_is_not_reached_while_a_check_is_open(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        hole = Walk.of(floor).to(Step.CHECKS).hole
        *answered, last = hole.checks_left()
        for item in answered:
            hole.answer_check(item, CheckResult.CONFIRMED)
        with pytest.raises(ValueError, match=last.title):
            hole.checks_done()
        assert stands(hole) is Step.CHECKS
        hole.answer_check(last, CheckResult.CONFIRMED)
        hole.checks_done()
        assert stands(hole) is Step.PILOT


def test_the_guard_is_asked_for_again_before_every_arc(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor).to(Step.GUARD)
        guard = [item.key for item in walk.hole.checks_left()]
        assert guard == [item.key for item in floor.checklist.setup if item.again_after_pilot]
        assert guard
        walk.step()
        assert walk.hole.step is Step.BURN


# Centre ------------------------------------------------------------------------------------------


def test_an_off_centre_spot_leads_to_another_pilot_and_a_bad_one_to_nothing(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor, TICKET).to(Step.CENTRE)
        hole = walk.hole
        electrode = hole.plan.electrode
        assert hole.centre_checked(electrode.thread_clearance_mm + 0.1, 0.0).verdict == "stop"
        assert stands(hole) is Step.CENTRE
        assert hole.centre_checked(electrode.allowed_offset_mm + 0.05, 0.0).verdict == "move"
        assert stands(hole) is Step.GUARD
        walk.step()
        assert stands(hole) is Step.PILOT
        assert len(questions.centres(floor.store.connection, hole.id)) == 2


# Measurements ------------------------------------------------------------------------------------


def test_a_measurement_that_can_not_be_is_refused_and_changes_nothing(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor).to(Step.TOUCH)
        hole, state = walk.hole, walk.hole.live.state()
        assert state.high_mm is not None
        before = past_events(floor.store.connection, hole.id)
        most_mm = state.high_mm - 3.0
        for kind, value_mm in (
            (MarkKind.TOUCH, most_mm + 0.5),
            (MarkKind.TOUCH, -0.5),
            (MarkKind.WEAR, most_mm + 0.5),
            (MarkKind.DEPTH, 2.5),
            (MarkKind.DEPTH, state.high_mm + 0.5),
        ):
            with pytest.raises(ValueError, match=r"can't be: .* Measure again\.$"):
                hole.measured(kind, value_mm, sure=True)
        assert hole.live.state().wear == state.wear
        assert past_events(floor.store.connection, hole.id) == before


def test_an_unlikely_measurement_is_taken_only_when_the_operator_is_sure(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        hole = Walk.of(floor, TICKET).to(Step.TOUCH).hole
        before = hole.live.state()
        assert before.high_mm is not None
        depth_mm = before.high_mm - before.wear.wear_mm
        off_mm = 1.0 + 6 * before.wear.sd_mm
        for kind, value_mm, doubt in (
            (MarkKind.TOUCH, before.wear.wear_mm + off_mm, "is the tip on the reference face?"),
            (MarkKind.WEAR, before.wear.wear_mm + off_mm, "its length when new?"),
            (MarkKind.DEPTH, depth_mm - off_mm, f"far from the {depth_mm:.2f} mm"),
        ):
            with pytest.raises(UnlikelyError, match=f"{re.escape(doubt)}.*Measure again"):
                hole.measured(kind, value_mm)
            assert hole.live.state().wear == before.wear
        hole.measured(MarkKind.TOUCH, before.wear.wear_mm + off_mm, sure=True)
        assert hole.live.state().wear.wear_mm > before.wear.wear_mm + 0.5


def test_every_doubt_about_a_figure_is_said_before_a_takes_it(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        hole = Walk.of(floor, TICKET).to(Step.TOUCH).hole
        before = hole.live.state().wear
        far_mm = before.wear_mm + 1.0 + 6 * before.sd_mm
        with pytest.raises(UnlikelyError, match=r"not the .* shows and far from the .* expected"):
            hole.measured(MarkKind.TOUCH, far_mm, shown_mm=before.wear_mm)
        with pytest.raises(UnlikelyError, match=r"that the indicator shows\. Measure again"):
            hole.measured(MarkKind.TOUCH, before.wear_mm, shown_mm=before.wear_mm + 0.4)


def test_measurements_that_contradict_each_other_are_asked_about(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        hole = Walk.of(floor, TICKET).to(Step.TOUCH).hole
        state = hole.live.state()
        assert state.high_mm is not None
        wear_mm = state.wear.wear_mm
        hole.measured(MarkKind.TOUCH, wear_mm)
        with pytest.raises(UnlikelyError, match="length when new"):
            hole.measured(MarkKind.WEAR, wear_mm - 0.8)
        with pytest.raises(UnlikelyError, match="bottom of the burn"):
            hole.measured(MarkKind.DEPTH, state.high_mm - wear_mm + 0.8)
        hole.measured(MarkKind.WEAR, wear_mm - 0.1)


def test_measuring_again_takes_the_place_of_a_mistyped_touch_off(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        hole = Walk.of(floor, TICKET).to(Step.TOUCH).hole
        before = hole.live.state().wear
        wear_mm = before.wear_mm
        hole.measured(MarkKind.TOUCH, wear_mm + 0.9)
        hole.measured(MarkKind.TOUCH, wear_mm)
        assert hole.live.state().wear.wear_mm == pytest.approx(wear_mm, abs=0.01)
        with pytest.raises(UnlikelyError, match=f"far from the {wear_mm:.2f} mm"):
            hole.measured(MarkKind.TOUCH, wear_mm + 1.0 + 6 * before.sd_mm)
        assert floor.take_up(hole.id).stop_mm == hole.stop_mm


def test_a_through_hole_with_a_limit_somebody_set_is_done_at_its_target(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor, TICKET.model_copy(update={"through": True}))
        walk.hole.override("depth.limit_mm", 8.0, "a pocket on the far side")
        walk.hole.override("depth.target_mm", 8.0, "a pocket on the far side")
        hole = walk.to(Step.TOUCH).hole
        high_mm = hole.live.state().high_mm
        assert high_mm is not None
        hole.measured(MarkKind.TOUCH, high_mm - 8.0, sure=True)
        assert hole.at_target()
        assert hole.finished()


def test_once_the_plan_is_accepted_nothing_of_it_is_overruled(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        hole = Walk.of(floor, TICKET).to(Step.CHECKS).hole
        target_mm = hole.plan.depth.target_mm
        with pytest.raises(ValueError, match="step back"):
            hole.override("depth.target_mm", target_mm - 2, "late")
        assert hole.plan.depth.target_mm == target_mm
        assert not hole.has_override("depth.target_mm")


def test_a_correction_that_the_log_refuses_half_way_leaves_ticket_and_overrides(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with open_floor(tmp_path) as floor:
        hole = Walk.of(floor, TICKET).hole
        hole.override("remnant.web_mm", 3.0, "measured")

        def full(*_: object) -> None:
            raise LogError("the disk is full")

        monkeypatch.setattr(floor.store, "add_override", full)
        with pytest.raises(LogError, match="full"):
            hole.correct(TICKET.model_copy(update={"depth_mm": 30.0}))
        assert hole.ticket == TICKET
        assert questions.ticket(floor.store.connection, hole.id) == TICKET
        assert hole.has_override("remnant.web_mm")


def test_what_was_taken_back_is_said_until_the_next_correction(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        hole = Walk.of(floor, TICKET).hole
        hole.override("remnant.web_mm", 3.0, "measured")
        hole.correct(TICKET.model_copy(update={"depth_mm": 30.0}))
        assert "3.00 mm" in hole.taken_back
        hole.correct(hole.ticket.model_copy(update={"hole": "flange 4"}))
        assert hole.taken_back == ""


def test_another_electrode_is_centred_and_zeroed_anew(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        hole = Walk.of(floor, TICKET).to(Step.PILOT).hole
        by_electrode = {"electrode", "centre", "zero", "gauge", "stop"}
        hole.back_to(Step.PLAN)
        hole.override("electrode.label", "1/8 in", "the other one is bent")
        with pytest.raises(ValueError, match="This plan: somebody has to take it on"):
            hole.accept_plan()
        hole.accept_plan("MT")
        left = {item.key for item in hole.checks_left()}
        assert by_electrode <= left
        assert "ground" not in left
        for item in hole.checks_left():
            hole.answer_check(item, CheckResult.CONFIRMED)
        # Back to the first one: it was centred and zeroed once, but that is undone by now.
        hole.back_to(Step.PLAN)
        hole.override("electrode.label", None, "straightened")
        hole.accept_plan()
        assert by_electrode <= {item.key for item in hole.checks_left()}


def test_a_clean_out_is_begun_anew_after_more_burning(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        hole = Walk.of(floor, TICKET).to(Step.OUTCOME).hole
        assert hole.cleanout_left() == []
        hole.back_to(Step.CLEANOUT)
        assert len(hole.cleanout_left()) == 1, "the last step, to step back to"
        hole.back_to(Step.BURN)
        hole.arc_starts()
        hole.arc_stops()
        assert len(hole.cleanout_left()) == len(hole.plan.remnant.way.cleanout)


def test_measurements_of_an_earlier_cockpit_are_averaged_as_they_were(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        hole = Walk.of(floor, TICKET).to(Step.TOUCH).hole
        wear_mm = hole.live.state().wear.wear_mm
        hole.measured(MarkKind.TOUCH, wear_mm + 0.4)
        hole.measured(MarkKind.TOUCH, wear_mm)
        events = past_events(floor.store.connection, hole.id)
        aim = past_aim(floor.store.connection, hole.id)
        assert aim is not None
        assert run(events, aim).state().wear.wear_mm == pytest.approx(wear_mm, abs=0.01)
        earlier = run(events, replace(aim, measures_anew=False))
        assert earlier.state().wear.wear_mm == pytest.approx(wear_mm + 0.2, abs=0.01)


def test_before_a_plan_is_accepted_the_stop_is_the_plans(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        hole = Walk.of(floor, TICKET).hole
        assert hole.stop_mm == hole.plan.depth.stops_mm[0]


def test_before_the_first_burn_there_is_nothing_to_measure(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        hole = Walk.of(floor).to(Step.PILOT).hole
        with pytest.raises(ValueError, match="Nothing has been burnt"):
            hole.measured(MarkKind.TOUCH, 0.0)


@pytest.mark.parametrize("touched", [-0.25, 0.0, 1.0])
def test_a_touch_off_at_the_edge_of_the_possible_still_leaves_a_stop_to_set(
    tmp_path: Path, touched: float
) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor).to(Step.BURN)
        high_mm = walk.hole.live.state().high_mm
        assert high_mm is not None
        value_mm = touched if touched < 1 else high_mm - 3.0 + 0.25
        walk.hole.measured(MarkKind.TOUCH, value_mm, sure=True)
        assert walk.hole.stop_mm >= high_mm
        hole_id = walk.hole.id
        assert floor.take_up(hole_id).stop_mm == walk.hole.stop_mm


def test_the_stop_moves_with_each_touch_off_and_never_reaches_the_limit_by_chance(
    tmp_path: Path,
) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor, TICKET).to(Step.TOUCH)
        first_mm = walk.hole.stop_mm
        assert first_mm == walk.hole.plan.depth.stops_mm[0]
        walk.step()
        assert walk.hole.stop_mm != first_mm
        assert walk.hole.stop_mm > (walk.hole.live.state().high_mm or math.inf)


def test_a_strange_ratio_is_planned_with_as_one_that_can_be(tmp_path: Path) -> None:
    """What the filter believes may leave the range of a plan's prior; the stop must not fail."""
    with open_floor(tmp_path) as floor:
        hole = Walk.of(floor).to(Step.BURN).hole
        for ratio, sd in ((-0.4, 0.1), (1.3, 0.1), (0.25, 0.8), (0.25, 0.0)):
            hole.live.tracker.estimate._wear = Wear(0.5, ratio, 0.01, 0.0, sd * sd)
            assert hole.next_stop().travel_mm >= 3.0


# Overrides ---------------------------------------------------------------------------------------


def test_an_override_is_kept_and_the_plan_follows_it(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor)
        hole = walk.hole
        hole.override("depth.target_mm", 5.5, " the tap is shorter ")
        assert hole.plan.depth.target_mm == 5.5
        assert hole.plan.depth.burn_mm == 2.5
        again = floor.take_up(hole.id)
        assert again.plan == hole.plan
        one = again.plan.overridden("depth.target_mm")
        assert one is not None
        assert (one.who, one.why, one.instead_of) == ("MT", "the tap is shorter", 6.0)
        assert one.at_utc.startswith("2026-05-04T09:30")
        walk.to(Step.BURN)
        assert hole.live.tracker.aim.target_mm == 5.5
        page = questions.page(floor.store.connection, hole.id)
        assert page is not None
        assert page.plan is not None
        assert page.plan.mark("depth.target_mm") == "*"


def test_an_override_taken_back_leaves_the_plan_as_it_was(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        hole = Walk.of(floor).hole
        before = hole.plan
        hole.override("electrode.label", "3/16 in", "the only sharp one")
        assert hole.plan.electrode.label == "3/16 in"
        hole.override("electrode.label", None, "a new one came")
        assert hole.plan == before


@pytest.mark.parametrize(
    ("figure", "value", "why", "says"),
    [
        ("electrode.label", "1 ft", "why not", "There is no electrode"),
        ("depth.target_mm", 1.0, "why not", "leaves nothing to burn"),
        ("electrode.label", "3/16 in", "  ", "Say in a word why"),
    ],
)
def test_an_override_that_can_not_be_is_refused_and_not_kept(
    tmp_path: Path, figure: str, value: float | str, why: str, says: str
) -> None:
    with open_floor(tmp_path) as floor:
        hole = Walk.of(floor).hole
        before = hole.plan
        with pytest.raises(ValueError, match=says):
            hole.override(figure, value, why)
        assert hole.plan == before
        assert questions.overrides(floor.store.connection, hole.id) == []


def test_an_override_that_has_lapsed_is_left_out_and_said(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        hole = Walk.of(floor).hole
        hole.override("electrode.label", "3/16 in", "the only sharp one")
        hole.override("depth.target_mm", 5.5, "the tap is shorter")
        rack = tuple(one for one in floor.shop.stock if one.label != "3/16 in")
        floor.shop = replace(floor.shop, stock=rack)
        again = floor.take_up(hole.id)
        assert again.plan.electrode.label != "3/16 in"
        assert again.plan.depth.target_mm == 5.5
        assert (
            "electrode 3/16 in; MT, 2026-05-04 09:30: the only sharp one" in again.plan.warnings[0]
        )


def test_only_the_override_that_stands_in_the_way_is_left_out(tmp_path: Path) -> None:
    """The refusal names another figure: the least current is over an overridden most."""
    with open_floor(tmp_path) as floor:
        hole = Walk.of(floor).hole
        hole.override("arc.amps_high", 180.0, "an old cable")
        hole.override("remnant.web_mm", 4.2, "measured")
        thick = tuple(one for one in floor.shop.stock if one.diameter_mm > 6)
        floor.shop = replace(floor.shop, stock=thick)
        again = floor.take_up(hole.id)
        assert again.plan.remnant.web_mm == 4.2
        assert again.plan.overridden("arc.amps_high") is None
        assert "most current 180 A" in again.plan.warnings[0]


def test_what_was_checked_for_another_plan_is_asked_again(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor)
        hole = walk.hole
        hole.accept_plan()
        for item in hole.checks_left():
            hole.answer_check(item, CheckResult.CONFIRMED)
        assert hole.checks_left() == []
        hole.back_to(Step.PLAN)
        hole.accept_plan()
        assert hole.checks_left() == []
        hole.back_to(Step.PLAN)
        hole.override("depth.stops_mm", 7.0, "a stiff gauge")
        hole.correct(hole.ticket.model_copy(update={"material": "titanium"}))
        hole.accept_plan()
        assert {item.shows for item in hole.checks_left()} == {"stop", "cautions"}
        caution = next(item for item in hole.checks_left() if item.shows == "cautions")
        with pytest.raises(ValueError, match="initials"):
            hole.answer_check(caution, CheckResult.CONFIRMED)
        hole.answer_check(caution, CheckResult.CONFIRMED, "MT")
        again = floor.take_up(hole.id)
        assert [item.shows for item in again.checks_left()] == ["stop"]


def test_overrides_are_taken_back_with_the_ticket_that_they_were_for(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        hole = Walk.of(floor).hole
        hole.override("thread.minor_min_mm", 8.2, "measured")
        hole.correct(hole.ticket.model_copy(update={"hole": "flange 4"}))
        assert hole.plan.thread.minor_min_mm == 8.2
        hole.correct(hole.ticket.model_copy(update={"thread": "M20"}))
        assert hole.plan.overrides == ()
        assert "minor diameter 8.20 mm" in hole.taken_back
        assert hole.row.thread == "M20"


def test_lapsed_overrides_are_left_out_alone_and_block_no_other(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        hole = Walk.of(floor).hole
        hole.override("electrode.label", "3/16 in", "the only sharp one")
        hole.override("arc.range", "4", "an old cable")
        hole.override("depth.limit_mm", 8.0, "careful")
        rack = tuple(one for one in floor.shop.stock if one.label != "3/16 in")
        ranges = tuple(heat for heat in floor.shop.machine.ranges if heat.position != "4")
        machine = floor.shop.machine.model_copy(update={"ranges": ranges})
        floor.shop = replace(floor.shop, stock=rack, machine=machine)
        again = floor.take_up(hole.id)
        assert again.plan.depth.limit_mm == 8.0
        assert [one.figure for one in again.plan.overrides] == ["depth.limit_mm"]
        again.override("remnant.web_mm", 3.9, "measured")
        assert again.plan.remnant.web_mm == 3.9
        assert again.has_override("electrode.label")
        again.override("electrode.label", None, "a new rack")
        assert not again.has_override("electrode.label")


def test_a_plan_that_is_opened_again_is_made_anew(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        hole = Walk.of(floor).hole
        hole.accept_plan()
        thick = tuple(one for one in floor.shop.stock if one.diameter_mm > 6)
        floor.shop = replace(floor.shop, stock=thick)
        again = floor.take_up(hole.id)
        assert again.plan.electrode.diameter_mm < 6
        again.back_to(Step.PLAN)
        assert again.plan.electrode.diameter_mm > 6


def test_the_second_hole_of_a_part_does_not_carry_its_set_up(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        job = floor.take_in_job("Harrowfield Pumps", "HP-2207", "pump casing")
        first, second = (floor.take_up(floor.take_in_hole(job, SHALLOW)) for _ in range(2))
        rates = floor.shop.rates
        assert first.plan.price == max(second.plan.price + rates.setup_per_part, rates.minimum)


# Putting down and taking up ----------------------------------------------------------------------


@pytest.mark.parametrize("step", STEPS)
def test_a_hole_put_down_at_any_step_is_taken_up_where_it_stood(tmp_path: Path, step: Step) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor)
        walk.to(step)
        hole_id, before = walk.hole.id, walk.hole
        left = [item.key for item in before.checks_left()] if step is Step.CHECKS else None
        state = before.live.state() if step is not Step.PLAN else None
        before.leave()
    with open_floor(tmp_path) as floor:
        taken_up = floor.take_up(hole_id)
        # Where the arc may have been on, the guard comes first.
        assert taken_up.step is (Step.GUARD if step in AT_THE_ARC else step)
        assert taken_up.ticket == before.ticket
        assert taken_up.plan == before.plan
        if left is not None:
            assert [item.key for item in taken_up.checks_left()] == left
        if state is not None:
            again = taken_up.live.state()
            assert replace(again, t_s=0.0) == replace(state, t_s=0.0)
            assert taken_up.stop_mm == before.stop_mm
        if step is not Step.ENDED:
            Walk(floor, taken_up).to(Step.ENDED)


@pytest.mark.parametrize("step", [Step.PILOT, Step.CENTRE, Step.GUARD, Step.BURN, Step.TOUCH])
def test_a_hole_taken_up_after_another_is_set_up_again(tmp_path: Path, step: Step) -> None:
    """On the machine may be the electrode, the zero and the stop of the other one."""
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor).to(step)
        mine, before = walk.hole, walk.hole.live.state()
        mine.leave()
        job = floor.take_in_job("Harrowfield Pumps", "HP-2208", "cover")
        same = floor.take_up(floor.take_in_hole(mine.row.job.id, SHALLOW))
        same.accept_plan()
        same.leave()
        again = floor.take_up(mine.id)
        of_the_electrode = ["electrode", "centre", "zero", "gauge", "stop", "current", "flush"]
        assert [item.key for item in again.checks_left()] == of_the_electrode
        assert again.step is Step.AGAIN
        assert "set this one up again" in again.asks_first
        # As it was left, if the operator says that it still is.
        again.as_left()
        assert (again.step, again.stop_mm) == (Step.GUARD, mine.stop_mm)
        assert replace(again.live.state(), t_s=before.t_s) == before
        again.leave()
        # Another part was clamped since: all of the set-up, but the guard comes before the arc.
        other = floor.take_up(floor.take_in_hole(job, SHALLOW))
        other.accept_plan()
        other.leave()
        walk = Walk(floor, floor.take_up(mine.id))
        setup = [item.key for item in floor.checklist.setup if not item.again_after_pilot]
        assert [item.key for item in walk.hole.checks_left()] == setup
        walk.hole.leave()
        # Also after the cockpit was closed in between.
        walk = Walk(floor, floor.take_up(mine.id))
        assert [item.key for item in walk.hole.checks_left()] == setup
        walk.step()
        assert walk.hole.step is Step.GUARD


def test_a_burn_that_nobody_ended_is_cut_short_at_its_last_reading(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor).to(Step.BURN)
        hole_id = walk.hole.id
        walk.hole.arc_starts()
        walk.wait(20.05)
        # Nobody leaves the hole: the power fails.
    with open_floor(tmp_path) as floor:
        connection = floor.store.connection
        kept = past_events(connection, hole_id)
        hole = floor.take_up(hole_id)
        *_, burn = questions.burns(connection, hole_id)
        assert burn.how == "cut short"
        assert burn.end_s == kept[-1].t_s
        # Not more than the last quarter of a second of readings is gone.
        assert burn.arc_s == pytest.approx(20.0, abs=0.36)
        assert not hole.live.arc_on
        assert not hole.live.state().arc_on
        assert past_events(connection, hole_id)[: len(kept)] == kept
        again = questions.burns(connection, hole_id)
        floor.take_up(hole_id)
        assert questions.burns(connection, hole_id) == again
        Walk(floor, hole).to(Step.ENDED)
        live, past = hole.live.tracker, past_burn(connection, hole_id)
        assert past is not None
        assert past.calls == live.calls


def test_times_on_the_holes_clock_never_go_back_over_a_break(tmp_path: Path) -> None:
    hole_id = 0
    for _ in range(3):
        with open_floor(tmp_path) as floor:
            walk = Walk(floor, floor.take_up(hole_id)) if hole_id else Walk.of(floor)
            hole_id = walk.hole.id
            if walk.hole.step is Step.GUARD:
                walk.step()
            walk.to(Step.PILOT)
            walk.hole.arc_starts()
            walk.wait(3.0)
    with open_floor(tmp_path) as floor:
        times = [event.t_s for event in past_events(floor.store.connection, hole_id)]
        assert times == sorted(times)
        assert len(questions.burns(floor.store.connection, hole_id)) == 3


def test_what_is_not_there_is_said_in_a_sentence(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        with pytest.raises(LogError, match="no hole 77"):
            floor.take_up(77)
        with pytest.raises(LogError, match="no accepted plan"):
            Walk.of(floor).hole.arc_starts()


# The end -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("result", [Result.LATER, Result.GIVEN_UP, Result.DAMAGED])
def test_a_hole_that_is_not_done_needs_a_word_why(tmp_path: Path, result: Result) -> None:
    with open_floor(tmp_path) as floor:
        hole = Walk.of(floor).to(Step.CHECKS).hole
        with pytest.raises(ValueError, match="in a word why"):
            hole.close(Outcome(result, why=" "))
        assert hole.step is Step.CHECKS
        hole.close(Outcome(result, why="the customer came"))
        waits = result is Result.LATER
        assert [row.id for row in floor.waiting()] == ([hole.id] if waits else [])
        assert hole.step is (Step.CHECKS if waits else Step.ENDED)


def test_a_hole_left_for_later_can_be_finished(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor).to(Step.BURN)
        walk.hole.close(Outcome(Result.LATER, why="lunch"))
        Walk(floor, floor.take_up(walk.hole.id)).to(Step.ENDED)
        page = questions.page(floor.store.connection, walk.hole.id)
        assert page is not None
        assert [row.outcome.result for row in page.outcomes] == [Result.LATER, Result.DONE]
        assert floor.waiting() == []


def test_closing_stops_the_arc_clock_and_keeps_what_waits(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor, SHALLOW).to(Step.PILOT)
        walk.hole.arc_starts()
        walk.wait(5.1)
        walk.hole.close(Outcome(Result.GIVEN_UP, why="the tap turned"))
        (burn,) = questions.burns(floor.store.connection, walk.hole.id)
        assert burn.how == "cut short"
        readings = walk.hole.live.state().readings
        assert len(past_events(floor.store.connection, walk.hole.id)) == readings + 2


def test_a_note_is_kept_with_who_wrote_it(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        hole = Walk.of(floor).hole
        hole.note("old weld beside it")
        page = questions.page(floor.store.connection, hole.id)
        assert page is not None
        assert [(row.text, row.operator) for row in page.notes] == [("old weld beside it", "MT")]
