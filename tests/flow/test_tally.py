"""What a hole came to, and what the next plan makes of it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from cockpit.burn.calls import CallKind
from cockpit.burn.reading import Mark, MarkKind, Reading
from cockpit.burn.replay import run
from cockpit.flow.past import past_aim, past_events
from cockpit.flow.rehearsal import rehearse
from cockpit.flow.steps import Step
from cockpit.flow.tally import measured_ratio, tally_up
from cockpit.log import lessons, questions
from cockpit.log.rows import BurnEnd, BurnKind, Outcome, Result
from cockpit.log.store import Store
from cockpit.trade.errors import TradeError
from cockpit.trade.learning import Lesson
from cockpit.trade.stock import StockEntry
from tests.flow.walk import SHALLOW, Walk, open_floor
from tests.log.conftest import TICKET


@pytest.mark.parametrize("seed", [0, 1, 2, 6])
def test_a_closed_hole_has_its_tally(tmp_path: Path, seed: int) -> None:
    page = rehearse(tmp_path, seed).page
    tally, plan = page.tally, page.plan
    assert tally is not None
    assert plan is not None
    assert tally.arc_s == pytest.approx(page.row.arc_s)
    assert tally.electrode == plan.electrode.label
    assert tally.electrodes == 1
    assert not tally.amps_said
    assert tally.depth_mm is not None
    assert tally.burnt_mm == pytest.approx(tally.depth_mm - plan.depth.recess_mm, abs=1e-9)
    assert tally.wear_ratio == pytest.approx(0.25, abs=0.08)
    assert tally.wear_ratio_sd is not None
    assert tally.wear_ratio_sd < 0.03
    assert tally.price is not None
    falls = [call for call in page.calls if call.call == CallKind.THROUGH]
    if falls:
        # Past the far side nothing was burnt, however far the head went on.
        assert tally.depth_mm == falls[-1].depth_mm


@pytest.mark.parametrize("seed", [0, 2, 3])
def test_what_was_measured_does_not_hang_on_what_was_believed(tmp_path: Path, seed: int) -> None:
    """The ratio with the plan's belief taken out is that of a tracker that believed nothing."""
    page = rehearse(tmp_path, seed).page
    with Store(tmp_path / "shop.sqlite3") as store:
        aim, events = past_aim(store.connection, 1), past_events(store.connection, 1)
    assert aim is not None
    told = []
    for mean, sd in ((0.25, 0.10), (0.25, 0.5), (0.40, 0.3)):
        believing = replace(aim, wear_mean=mean, wear_sd=sd)
        told.append(measured_ratio(run(events, believing), believing))
    ratios, sds = zip(*told, strict=True)
    assert ratios == pytest.approx([ratios[1]] * 3, abs=0.3 * sds[1])
    assert sds == pytest.approx([sds[1]] * 3, rel=0.05)
    assert page.tally is not None
    assert page.tally.wear_ratio == pytest.approx(ratios[0], abs=1e-6)


def test_without_a_measurement_nothing_is_learnt_of_the_wear(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor)
        walk.to(Step.BURN)
        walk.burn_until(lambda: walk.depth_mm() >= 5.0)
        walk.hole.arc_stops()
        tracker = walk.hole.live.tracker
        assert measured_ratio(tracker, tracker.aim) == (None, None)


def test_a_hole_that_is_left_for_later_has_no_tally(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor)
        walk.to(Step.OUTCOME)
        walk.hole.close(Outcome(Result.LATER, why="lunch"))
        assert questions.tally(floor.store.connection, walk.hole.id) is None
        assert questions.without_tally(floor.store.connection, 10) == []


def test_holes_of_an_earlier_cockpit_are_made_out_the_same(tmp_path: Path) -> None:
    for seed in (1, 2):
        rehearse(tmp_path, seed)
    with open_floor(tmp_path) as floor:
        connection = floor.store.connection
        as_closed = [questions.tally(connection, hole) for hole in (1, 2)]
        assert None not in as_closed
        # An earlier cockpit had no such table.
        connection.execute("DROP TRIGGER tallies_no_delete")
        connection.execute("DELETE FROM tallies")
        assert questions.without_tally(connection, 10) == [1, 2]
        assert tally_up(floor.store, floor.shop) == 2
        # But for the price, which nobody knows any more.
        assert [questions.tally(connection, hole) for hole in (1, 2)] == [
            replace(one, price=None, currency=None) for one in as_closed if one is not None
        ]
        assert tally_up(floor.store, floor.shop) == 0


def test_the_next_plan_says_what_the_burns_before_it_taught(tmp_path: Path) -> None:
    with open_floor(tmp_path / "none") as floor:
        first = Walk.of(floor, TICKET).hole.plan
    assert first.time.burns_known == 0
    assert "(assumed)" in first.sources["time.median_s"]
    for seed in range(4):
        rehearse(tmp_path, seed)
    with open_floor(tmp_path) as floor:
        plan = Walk.of(floor, TICKET).hole.plan
        assert plan.time.burns_known == 4
        assert "learnt from 4 burns" in plan.sources["time.median_s"]
        assert plan.time.high_s / plan.time.low_s < first.time.high_s / first.time.low_s
        assert plan.wear is not None
        assert plan.wear.burns_known == 4
        assert plan.wear.ratio_sd < 0.10
        # Whoever wears less surely may set the stop deeper by less than that chance.
        assert plan.depth.stops_mm[0] > first.depth.stops_mm[0]
        # Set aside, a burn teaches nothing any more.
        floor.store.set_aside(1, 1, Lesson.RATE, "the pump stood still")
        assert Walk.of(floor, TICKET).hole.plan.time.burns_known == 3
        floor.store.set_aside(1, 1, Lesson.RATE, "it ran after all", is_aside=False)
        assert Walk.of(floor, TICKET).hole.plan.time.burns_known == 4


def test_a_hole_like_the_last_one_is_told_so_by_its_electrode_too(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor, TICKET).to(Step.OUTCOME)
        walk.hole.close(Outcome(Result.DONE))
        electrode = walk.hole.plan.electrode
        # A size in inches, of which the log keeps the micrometres.
        assert electrode.label == "7/32 in"
        assert floor.shop.experience.knows_electrode(electrode.diameter_mm)
        plan = Walk.of(floor, TICKET).hole.plan
        for figure in ("time.median_s", "wear.ratio"):
            assert plan.sources[figure].endswith("learnt from 1 burn, one just like it")
        # Of another size it says less.
        other = floor.shop.experience.belief(Lesson.WEAR, TICKET.like._replace(electrode_mm=3.175))
        assert other.alike == 0


def test_a_plan_that_was_accepted_stays_as_it_was(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor, TICKET)
        walk.to(Step.BURN)
        aim, hole = walk.hole.live.tracker.aim, walk.hole.id
        walk.hole.leave()
    for seed in range(3):
        rehearse(tmp_path, seed)
    with open_floor(tmp_path) as floor:
        again = floor.take_up(hole)
        assert floor.shop.experience.knows(Lesson.WEAR)
        assert again.live.tracker.aim == aim
        assert again.plan.time.burns_known == 0


def test_only_what_is_done_teaches(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        for result, why in ((Result.DONE, ""), (Result.DAMAGED, "slipped")):
            walk = Walk.of(floor)
            walk.to(Step.OUTCOME)
            walk.hole.close(Outcome(result, why=why))
        taught = {one.hole_id for one in lessons.taught(floor.store.connection)}
        assert taught == {1}
        assert questions.tally(floor.store.connection, 2) is not None


def test_the_gap_is_learnt_from_a_width_that_was_measured(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor)
        walk.to(Step.OUTCOME)
        width_mm = walk.hole.plan.electrode.diameter_mm + 2 * 0.21
        floor.store.add_width(1, walk.hole.id, width_mm)
        walk.hole.close(Outcome(Result.DONE))
        plan = Walk.of(floor).hole.plan
        assert 0.15 < plan.electrode.gap_mm < 0.21
        assert plan.sources["electrode.gap_mm"] == "learnt from 1 hole, one just like it"


def test_a_current_that_a_person_said_is_learnt(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor)
        usual = walk.hole.plan.arc.amps
        walk.hole.override("arc.amps_low", 120.0, "this casting likes less")
        walk.hole.override("arc.amps_high", 130.0, "this casting likes less")
        walk.to(Step.OUTCOME)
        walk.hole.close(Outcome(Result.DONE))
        arc = Walk.of(floor).hole.plan
        assert 125.0 < arc.arc.amps < usual
        assert "learnt from 1 burn" in arc.sources["arc.amps_low"]


def test_wear_and_changes_go_off_the_stock(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor, TICKET)
        label = walk.hole.plan.electrode.label
        before = floor.rack[label]
        walk.to(Step.BURN)
        walk.burn_until(lambda: walk.depth_mm() >= 9.0)
        walk.hole.change_electrode()
        walk.step()
        assert floor.rack[label].count == before.count - 1
        walk.to(Step.OUTCOME)
        walk.hole.close(Outcome(Result.DONE))
        assert floor.rack[label].count == before.count - 1
        tally = questions.tally(floor.store.connection, walk.hole.id)
        assert tally is not None
        assert tally.electrodes == 2
        assert floor.rack[label].worn_mm == pytest.approx(tally.worn_mm)
        # Somebody counts: that is how many there are.
        floor.store.add_stock(1, label, StockEntry.COUNTED, 17)
        assert floor.rack[label].count == 17
        assert next(one for one in floor.shop.stock if one.label == label).on_hand == 17


def test_a_hole_that_was_given_up_before_the_arc_used_no_electrode(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor).to(Step.PILOT)
        walk.hole.close(Outcome(Result.GIVEN_UP, why="the part is cracked"))
        tally = questions.tally(floor.store.connection, walk.hole.id)
        assert tally is not None
        assert (tally.electrodes, tally.arc_s, tally.depth_mm, tally.wear_ratio) == (
            0,
            0,
            None,
            None,
        )
        # 40.00 + 25.00, and up to the minimum of 75.00
        assert str(tally.price) == "75.00"


def test_the_price_is_that_of_the_arc_time_that_is_kept_to_the_cent(tmp_path: Path) -> None:
    """From 10.000 to 22.900 s is 12.9 s, which is charged as 0.22 min; in floats a hair less."""
    with open_floor(tmp_path) as floor:
        first = Walk.of(floor)
        hole_id = floor.take_in_hole(first.hole.row.job.id, SHALLOW)
        Walk(floor, floor.take_up(hole_id)).to(Step.CHECKS).hole.leave()
        store, shift = floor.store, floor.shift
        assert shift is not None
        started, stopped = Mark(10.0, MarkKind.START), Mark(22.9, MarkKind.STOP)
        burn_id = store.open_burn(shift.id, hole_id, BurnKind.PILOT, 1, started)
        store.close_burn(shift.id, hole_id, burn_id, BurnEnd.OPERATOR, 2, stopped)
        floor.take_up(hole_id).close(Outcome(Result.GIVEN_UP, why="the part is cracked"))
        tally = questions.tally(store.connection, hole_id)
        assert tally is not None
        assert tally.arc_s == 12.9
        # 25.00, 0.22 min at 2.50, and one electrode at 6.00
        assert str(tally.price) == "31.55"


def test_an_aim_that_can_not_be_read_holds_up_no_shift(tmp_path: Path) -> None:
    rehearse(tmp_path, 1)
    with Store(tmp_path / "shop.sqlite3") as store:
        for table in ("tallies", "plans"):
            for verb in ("update", "delete"):
                store.connection.execute(f"DROP TRIGGER {table}_no_{verb}")
        store.connection.execute("DELETE FROM tallies")
        store.connection.execute("UPDATE plans SET aim = '{}x'")
    with open_floor(tmp_path) as floor:
        floor.close_shift()
        floor.open_shift("RB")
        assert "the aim of hole 1" in floor.notice.lower()
        assert floor.shift is not None


def test_an_electrode_that_burnt_nothing_is_not_used_up(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor, TICKET).to(Step.BURN)
        label = walk.hole.plan.electrode.label
        before = floor.rack[label].count
        walk.burn_until(lambda: walk.depth_mm() >= 9.0)
        for _ in range(2):
            walk.hole.change_electrode()
            walk.step()
        walk.hole.close(Outcome(Result.GIVEN_UP, why="the last one is bent"))
        tally = questions.tally(floor.store.connection, walk.hole.id)
        assert tally is not None
        assert tally.electrodes == 1
        assert floor.rack[label].count == before - 1


def test_the_last_electrode_of_the_rack_keeps_nobody_from_the_hole_it_is_in(
    tmp_path: Path,
) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor, TICKET)
        label = walk.hole.plan.electrode.label
        for one in floor.shop.stock:
            many = 1 if one.label == label else 0
            floor.store.add_stock(1, one.label, StockEntry.COUNTED, many)
        walk.to(Step.BURN)
        walk.burn_until(lambda: walk.depth_mm() >= 9.0)
        walk.hole.change_electrode()
        walk.step()
        assert floor.rack[label].count == 0
        walk.hole.leave()
        again = floor.take_up(walk.hole.id)
        assert again.plan.electrode.label == label
        with pytest.raises(TradeError, match="count the rack"):
            floor.check(TICKET)


def test_a_fall_in_a_blind_hole_is_not_its_end(tmp_path: Path) -> None:
    """A void that was burnt on through: the depth is where the burn ended."""
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor, TICKET).to(Step.BURN)
        hole, store = walk.hole, floor.store
        hole.leave()
        high_mm = hole.live.state().high_mm
        assert high_mm is not None
        seq, t_s = hole.live._seq + 1, hole.live.now_s() + 30.0
        burn = store.open_burn(1, hole.id, BurnKind.BURN, seq, Mark(t_s, MarkKind.START))
        rows = []
        for new_mm, mm_s in ((1.0, 0.03), (0.8, 2.0), (1.5, 0.03)):
            end_mm = high_mm + new_mm
            while high_mm < end_mm - 1e-9:
                seq, t_s = seq + 1, t_s + 0.1
                high_mm = min(end_mm, high_mm + mm_s * 0.1)
                rows.append((seq, Reading(round(t_s, 3), round(high_mm, 3))))
        store.add_readings(hole.id, rows)
        stop = Mark(t_s + 0.1, MarkKind.STOP)
        store.close_burn(1, hole.id, burn, BurnEnd.OPERATOR, seq + 1, stop)
        hole = floor.take_up(hole.id)
        depth = hole.live.state().depth_mm
        assert hole.fell_through()
        assert depth is not None
        hole.close(Outcome(Result.DONE))
        tally = questions.tally(store.connection, hole.id)
        assert tally is not None
        assert tally.depth_mm == pytest.approx(depth.mid, abs=0.001)
