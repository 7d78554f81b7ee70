"""A burn that nobody saw the end of: the machine may have burnt on by itself."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from cockpit.burn.reading import MarkKind
from cockpit.flow.after_arc import is_spot_burnt
from cockpit.flow.bench import CUT_SHORT
from cockpit.flow.floor import ShopFloor
from cockpit.flow.hole import UnlikelyError
from cockpit.flow.past import past_burn
from cockpit.flow.steps import Step
from cockpit.gauges.protocol import HoleHint
from cockpit.log.rows import BurnKind, CheckResult
from tests.flow.test_electrode import marks, true_depth_mm
from tests.flow.test_set_up_again import OF_THE_ZERO, keys, record, stands
from tests.flow.walk import Walk, open_floor
from tests.log.conftest import TICKET


def cut_short(folder: Path, step: Step = Step.BURN, burnt_s: float = 60.0) -> int:
    """A burn that the power failed in the middle of; the hole's id."""
    with open_floor(folder) as floor:
        walk = Walk.of(floor, TICKET).to(step)
        walk.hole.arc_starts()
        walk.wait(burnt_s)
        return walk.hole.id


@contextmanager
def taken_up(folder: Path, hole_id: int) -> Iterator[Walk]:
    with open_floor(folder) as floor:
        yield Walk(floor, floor.take_up(hole_id))


def burnt_on(walk: Walk, depth_mm: float, wear_mm: float) -> None:
    """The machine burnt on by itself while no cockpit looked."""
    depth = walk.hole.plan.depth
    walk.floor.gauge.hint(HoleHint(depth.recess_mm, 18.0, 22.0, depth_mm, wear_mm))
    walk.hole.live.touching(True)
    walk.wait(2.0)


def lying(floor: ShopFloor) -> tuple[str, str, str]:
    (one,) = floor.lying()
    return one.stands, one.needs, one.told


def test_the_touch_off_comes_first_and_keeps_what_the_electrode_has_lost(tmp_path: Path) -> None:
    with taken_up(tmp_path, cut_short(tmp_path)) as walk:
        assert stands(walk) is Step.TOUCH
        assert walk.hole.asks_first == (
            "The burn was cut short: arc off at the machine, then touch off."
        )
        before = walk.hole.live.state()
        walk.step()
        state = walk.hole.live.state()
        assert state.wear.wear_mm == pytest.approx(before.wear.wear_mm, abs=0.3)
        assert state.wear.wear_mm > 0.3
        assert not state.has_landed
        assert not walk.hole.wear_is_lost
        assert keys(walk) == ["stop", "guard"]
        walk.to(Step.BURN)
        walk.burn_until(lambda: walk.depth_mm() >= 9.0)
        assert walk.depth_mm() == pytest.approx(true_depth_mm(walk), abs=0.3)
        walk.to(Step.ENDED)
        # One electrode all the while, and no zero but the first.
        assert "electrodes" not in record(walk)
        assert "zeroed again" not in record(walk)
        assert walk.floor.totals().electrodes == 0


def test_how_far_it_burnt_on_by_itself_the_tip_tells_as_it_lands(tmp_path: Path) -> None:
    with taken_up(tmp_path, cut_short(tmp_path)) as walk:
        burnt_on(walk, depth_mm=14.0, wear_mm=5.0)
        with pytest.raises(UnlikelyError, match="did it burn on, or is the zero gone"):
            walk.hole.measured(MarkKind.TOUCH, 5.0)
        walk.hole.measured(MarkKind.TOUCH, 5.0, sure=True)
        assert walk.depth_mm() < 12.0, "what was seen of it"
        walk.hole.stop_is_set()
        walk.to(Step.BURN)
        walk.hole.arc_starts()
        walk.wait(20.0)
        assert walk.hole.live.state().has_landed
        assert walk.depth_mm() == pytest.approx(true_depth_mm(walk), abs=0.2)
        assert walk.depth_mm() > 13.9


def test_a_depth_that_is_gauged_then_is_believed(tmp_path: Path) -> None:
    with taken_up(tmp_path, cut_short(tmp_path)) as walk:
        burnt_on(walk, depth_mm=14.0, wear_mm=3.1)
        walk.hole.measured(MarkKind.TOUCH, 3.1, sure=True)
        for impossible_mm, why in ((2.0, "burn began at 3"), (300.0, "electrode was")):
            with pytest.raises(ValueError, match=f"can't be: the {why}"):
                walk.hole.measured(MarkKind.DEPTH, impossible_mm, sure=True)
        with pytest.raises(UnlikelyError, match="did it burn on"):
            walk.hole.measured(MarkKind.DEPTH, 14.0)
        walk.hole.measured(MarkKind.DEPTH, 14.0, sure=True)
        assert walk.depth_mm() == pytest.approx(14.0)
        assert not walk.hole.finished()
        walk.hole.measured(MarkKind.DEPTH, 18.2, sure=True)
        assert walk.hole.finished(), "there is nothing left to burn"


def test_a_zero_that_was_lost_is_no_wear(tmp_path: Path) -> None:
    with taken_up(tmp_path, cut_short(tmp_path)) as walk:
        with pytest.raises(ValueError, match=r"-4\.00 mm .* can't be wear: the zero is gone"):
            walk.hole.measured(MarkKind.TOUCH, -4.0, sure=True)
        with pytest.raises(ValueError, match="can't be: the electrode was"):
            walk.hole.measured(MarkKind.TOUCH, 400.0, sure=True)
        assert walk.hole.wear_is_lost
        walk.hole.zero_is_gone()
        assert stands(walk) is Step.AGAIN
        assert keys(walk) == OF_THE_ZERO
        walk.step()
        assert not walk.hole.wear_is_lost
        assert walk.hole.live.state().is_unseen, "a zero tells nothing of the depth"
        walk.to(Step.BURN)
        walk.burn_until(lambda: walk.depth_mm() >= 9.0)
        assert walk.depth_mm() == pytest.approx(true_depth_mm(walk), abs=0.3)
        assert "since it was zeroed again" in record(walk)


def test_a_length_that_was_lost_is_measured_from_when_it_was_new(tmp_path: Path) -> None:
    with taken_up(tmp_path, cut_short(tmp_path)) as walk:
        wear_mm = walk.hole.live.state().wear.wear_mm
        walk.hole.measured(MarkKind.WEAR, round(wear_mm, 1))
        assert walk.hole.live.state().wear.wear_mm == pytest.approx(wear_mm, abs=0.1)
        assert marks(walk)[-2:] == [MarkKind.UNSEEN, MarkKind.WEAR]


def test_it_is_cut_short_until_somebody_measures_burns_or_sets_up_anew(tmp_path: Path) -> None:
    hole_id = cut_short(tmp_path)
    with taken_up(tmp_path, hole_id) as walk:
        told = "CUT SHORT: look at the hole first."
        assert lying(walk.floor) == (CUT_SHORT, "arc off, touch off", told)
        # To the guard without a touch-off, and to another electrode that is not put in after all.
        walk.hole.burn_on()
        assert lying(walk.floor)[0] == CUT_SHORT
        walk.hole.change_electrode()
        assert lying(walk.floor)[:2] == (CUT_SHORT, "set up another electrode")
        walk.hole.keep_electrode()
        walk.hole.leave()
        again = Walk(walk.floor, walk.floor.take_up(hole_id))
        assert stands(again) is Step.TOUCH
        again.step()
        assert lying(again.floor)[0] == "in hand"
        again.hole.leave()
        assert walk.floor.take_up(hole_id).step is Step.GUARD


def test_another_electrode_ends_it_as_well(tmp_path: Path) -> None:
    with taken_up(tmp_path, cut_short(tmp_path)) as walk:
        walk.hole.change_electrode()
        walk.step()
        assert lying(walk.floor)[0] == "in hand"
        walk.to(Step.BURN)
        walk.burn_until(lambda: walk.depth_mm() >= 9.0)
        assert walk.depth_mm() == pytest.approx(true_depth_mm(walk), abs=0.3)


def test_what_was_called_is_told_beside_it(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor).to(Step.BURN)
        walk.hole.arc_starts()
        while not walk.called("target", "through"):
            walk.wait(0.5)
    with taken_up(tmp_path, walk.hole.id) as again:
        assert " called, nothing measured since." in lying(again.floor)[2]
        again.hole.clean_out()
        assert lying(again.floor)[0] == "in hand", "whoever cleans it out has looked"


@pytest.mark.parametrize(("burnt_s", "is_spot"), [(60.0, True), (2.0, False)])
def test_a_pilot_that_was_cut_short_deep_enough_is_looked_at_and_not_burnt_on(
    tmp_path: Path, burnt_s: float, is_spot: bool
) -> None:
    with taken_up(tmp_path, cut_short(tmp_path, Step.PILOT, burnt_s)) as walk:
        hole = walk.to(Step.PILOT).hole
        state = hole.live.state()
        deep_mm = hole.plan.depth.recess_mm + hole.plan.pilot_mm / 2
        assert is_spot_burnt(state, deep_mm, is_burnt=False, had_spot=hole.has_spot()) is is_spot


def test_a_pilot_that_had_burnt_nothing_is_touched_off_too(tmp_path: Path) -> None:
    with taken_up(tmp_path, cut_short(tmp_path, Step.PILOT, 0.0)) as walk:
        assert stands(walk) is Step.TOUCH
        walk.hole.measured(MarkKind.TOUCH, 0.0)
        walk.hole.stop_is_set()
        walk.to(Step.ENDED)


def test_with_another_gauge_the_zero_comes_first(tmp_path: Path) -> None:
    hole_id = cut_short(tmp_path)
    with open_floor(tmp_path, gauge="typed") as floor:
        walk = Walk(floor, floor.take_up(hole_id))
        assert stands(walk) is Step.AGAIN
        assert "Another gauge" in walk.hole.asks_first
        zero = walk.hole.checks_left()[0]
        assert zero.live == "zero"
        with pytest.raises(ValueError, match="depth rests on it"):
            walk.hole.answer_check(zero, CheckResult.SKIPPED, "in a hurry")
        walk.step()
        assert stands(walk) is Step.GUARD
        assert lying(floor)[0] == "in hand"
        assert "since it was zeroed again" in record(walk)


def test_a_length_lost_later_is_not_counted_twice(tmp_path: Path) -> None:
    with taken_up(tmp_path, cut_short(tmp_path)) as walk:
        burnt_on(walk, 13.0, 3.0)
        walk.hole.measured(MarkKind.TOUCH, 3.0, sure=True)
        walk.hole.stop_is_set()
        walk.to(Step.BURN)
        walk.burn_until(lambda: walk.depth_mm() >= 14.0)
        high_mm = walk.hole.live.state().high_mm
        assert high_mm is not None
        walk.hole.touch_off()
        walk.hole.measured(MarkKind.WEAR, round(high_mm - true_depth_mm(walk), 2))
        assert walk.depth_mm() == pytest.approx(true_depth_mm(walk), abs=0.2)


def test_a_second_touch_off_takes_the_place_of_the_first(tmp_path: Path) -> None:
    with taken_up(tmp_path, cut_short(tmp_path)) as walk:
        burnt_on(walk, 13.0, 3.0)
        walk.hole.measured(MarkKind.TOUCH, 6.0, sure=True)
        walk.hole.measured(MarkKind.TOUCH, 3.0, sure=True)
        assert walk.hole.live.state().wear.wear_mm == pytest.approx(3.0, abs=0.01)
        walk.hole.stop_is_set()
        walk.to(Step.BURN)
        walk.hole.arc_starts()
        walk.wait(20.0)
        assert walk.depth_mm() == pytest.approx(true_depth_mm(walk), abs=0.2)


def test_the_stop_holds_however_far_it_burnt_on(tmp_path: Path) -> None:
    ticket = TICKET.model_copy(update={"tool_end_mm": None})
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor, ticket).to(Step.BURN)
        walk.hole.arc_starts()
        walk.wait(60.0)
    with taken_up(tmp_path, walk.hole.id) as again:
        burnt_on(again, 17.0, 4.8)
        again.hole.measured(MarkKind.TOUCH, 4.8, sure=True)
        limit_mm = again.hole.plan.depth.limit_mm
        assert limit_mm is not None
        # With no more wear than there is now the tip would stand there at the limit.
        assert again.hole.stop_mm <= limit_mm + 4.8
        again.hole.measured(MarkKind.DEPTH, 17.0, sure=True)
        assert again.hole.stop_mm > limit_mm + 4.8, "from there on it wears, and that is known"


def test_what_is_known_of_the_depth_follows_from_the_wear(tmp_path: Path) -> None:
    """Much more worn than was believed, it is less deep than it seemed; nothing is done yet."""
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor, TICKET).to(Step.BURN)
        walk.hole.arc_starts()
        while not walk.called("target", "limit"):
            walk.wait(0.5)
    with taken_up(tmp_path, walk.hole.id) as again:
        high_mm = again.hole.live.state().high_mm
        assert high_mm is not None
        again.hole.measured(MarkKind.TOUCH, 9.0, sure=True)
        assert again.depth_mm() == pytest.approx(high_mm - 9.0, abs=0.01)
        assert not again.hole.finished()
        assert not again.called("limit", "target")
        assert again.hole.ending().against_done == "the target was never reached"
        again.hole.clean_out()
        again.to(Step.OUTCOME)
        assert " at least: nobody saw how the last burn ended" in record(again)


def test_after_another_hole_it_is_touched_off_as_well(tmp_path: Path) -> None:
    hole_id = cut_short(tmp_path)
    with open_floor(tmp_path) as floor:
        hole = floor.take_up(hole_id)
        hole.leave()
        other = floor.take_up(floor.take_in_hole(hole.row.job.id, TICKET))
        other.accept_plan()
        other.leave()
        again = floor.take_up(hole_id)
        assert again.step is Step.AGAIN
        assert again.asks_first.startswith("The burn was cut short. Another hole was in hand")
        again.leave()
        again = floor.take_up(hole_id)
        assert again.asks_first.startswith("The burn was cut short. Not set up again yet. L if")
        again.as_left()
        assert again.step is Step.TOUCH
        assert again.wear_is_lost


def test_an_electrode_of_one_is_called_short_as_ever(tmp_path: Path) -> None:
    with taken_up(tmp_path, cut_short(tmp_path)) as walk:
        walk.step()
        assert walk.hole.live.state().electrodes == 1


def test_a_burn_that_readings_switched_on_ends_it(tmp_path: Path) -> None:
    with taken_up(tmp_path, cut_short(tmp_path)) as walk:
        walk.hole.burn_on()
        walk.to(Step.BURN)
        walk.hole.live.arc_starts(BurnKind.BURN)  # not by way of the key
        walk.wait(30.0)
        walk.hole.arc_stops()
        state = walk.hole.live.state()
        assert (state.is_unseen, state.has_landed, walk.hole.wear_is_lost) == (False, True, False)
        assert walk.depth_mm() == pytest.approx(true_depth_mm(walk), abs=0.5)


def test_a_spot_that_was_moved_tells_nothing_of_the_wear(tmp_path: Path) -> None:
    with taken_up(tmp_path, cut_short(tmp_path, Step.PILOT)) as walk:
        walk.hole.burn_on()
        walk.step()
        walk.hole.pilot_done()
        walk.hole.centre_checked(0.8, 0.0)
        assert walk.hole.step is Step.GUARD
        walk.hole.leave()
        again = walk.floor.take_up(walk.hole.id)
        assert again.step is Step.TOUCH
        assert again.wear_is_lost


def test_the_bench_says_what_it_asks_with_another_gauge(tmp_path: Path) -> None:
    hole_id = cut_short(tmp_path)
    with open_floor(tmp_path, gauge="typed") as floor:
        assert lying(floor)[:2] == (CUT_SHORT, "set it up again")
        assert floor.take_up(hole_id).step is Step.AGAIN


def test_a_replay_sees_what_the_screen_saw(tmp_path: Path) -> None:
    with taken_up(tmp_path, cut_short(tmp_path)) as walk:
        burnt_on(walk, 13.0, 3.0)
        walk.hole.measured(MarkKind.TOUCH, 3.0, sure=True)
        walk.to(Step.ENDED)
        state, calls = walk.hole.live.state(), walk.hole.live.tracker.calls
    with open_floor(tmp_path) as floor:
        again = past_burn(floor.store.connection, walk.hole.id)
        assert again is not None
        assert again.calls == calls
        assert again.state().depth_mm == state.depth_mm
