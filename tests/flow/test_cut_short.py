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
from cockpit.flow.steps import Step
from cockpit.gauges.protocol import HoleHint
from cockpit.log.rows import CheckResult
from tests.flow.test_electrode import marks, true_depth_mm
from tests.flow.test_set_up_again import keys, record, stands
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
        assert not walk.hole.burnt_unseen
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
        with pytest.raises(UnlikelyError, match="did it burn on, or was the indicator zeroed"):
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
        with pytest.raises(UnlikelyError, match="far from"):
            walk.hole.measured(MarkKind.DEPTH, 14.0)
        walk.hole.measured(MarkKind.DEPTH, 14.0, sure=True)
        assert walk.depth_mm() == pytest.approx(14.0)
        assert not walk.hole.finished()
        walk.hole.measured(MarkKind.DEPTH, 18.2, sure=True)
        assert walk.hole.finished(), "there is nothing left to burn"
        for impossible_mm in (2.0, 300.0):
            with pytest.raises(ValueError, match=r"can't be: the burn began at 3\.00 mm"):
                walk.hole.measured(MarkKind.DEPTH, impossible_mm, sure=True)


def test_a_zero_that_was_lost_is_no_wear(tmp_path: Path) -> None:
    with taken_up(tmp_path, cut_short(tmp_path)) as walk:
        with pytest.raises(ValueError, match=r"-4\.00 mm .* can't be wear: the zero is gone"):
            walk.hole.measured(MarkKind.TOUCH, -4.0, sure=True)
        with pytest.raises(ValueError, match="can't be: the electrode would have lost"):
            walk.hole.measured(MarkKind.TOUCH, 400.0, sure=True)
        assert walk.hole.burnt_unseen
        # Zeroed on the face with what is in the holder it is taken: the depth comes out right.
        walk.hole.measured(MarkKind.TOUCH, 0.0, sure=True)
        assert walk.hole.live.state().wear.wear_mm == 0.0


def test_a_length_that_was_lost_is_measured_from_when_it_was_new(tmp_path: Path) -> None:
    with taken_up(tmp_path, cut_short(tmp_path)) as walk:
        wear_mm = walk.hole.live.state().wear.wear_mm
        walk.hole.measured(MarkKind.WEAR, round(wear_mm, 1))
        assert walk.hole.live.state().wear.wear_mm == pytest.approx(wear_mm, abs=0.1)
        assert marks(walk)[-1] is MarkKind.ELECTRODE


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
        assert walk.hole.live.state().high_mm is None
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
