"""What the burns taught, as people see it; and what one of them is not to teach."""

from __future__ import annotations

from pathlib import Path

import pytest

from cockpit.flow import learnt
from cockpit.flow.floor import ShopFloor
from cockpit.flow.learnt import Figure, LessonError
from cockpit.flow.rehearsal import rehearse
from cockpit.log.store import LogError
from cockpit.trade.learning import Lesson, Like
from cockpit.trade.plan import make_plan
from tests.flow.school import TAUGHT, teach
from tests.flow.walk import open_floor
from tests.log.conftest import TICKET


def figure(floor: ShopFloor, lesson: Lesson) -> Figure:
    (found,) = (one for one in learnt.figures(floor.shop.experience) if one.lesson is lesson)
    return found


def test_without_a_burn_all_is_as_assumed(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        for one in learnt.figures(floor.shop.experience):
            assert one.now == one.assumed
            assert (one.burns, one.levels) == (0, ())
        rate = figure(floor, Lesson.RATE).assumed
        assert (rate.low, rate.median, rate.high) == pytest.approx((0.132, 0.30, 0.683), abs=1e-3)
        current = figure(floor, Lesson.CURRENT).assumed
        assert (current.low, current.high) == pytest.approx((31.5, 37.8), abs=0.1)


def test_each_figure_is_told_for_each_level_that_burns_had(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        teach(floor.store, TAUGHT)
        teach(floor.store, ({"kind": "drill", "hard_metal": True, "material": "Aluminium"},))
        rate = figure(floor, Lesson.RATE)
        assert rate.burns == 11
        assert [(one.like, one.burns) for one in rate.levels] == [
            (Like(electrode_mm=5.556), 11),
            (Like(kind="hard metal drill"), 1),
            (Like(kind="tap"), 10),
            (Like(material="aluminium"), 1),
            (Like(material="cast iron"), 10),
        ]
        # Of hard metal the next burn is as slow as it is, not as if it were another tool.
        drill, tap = (one.now.median for one in rate.levels[1:3])
        assert drill < 0.7 * tap
        assert figure(floor, Lesson.GAP).burns == 9
        assert figure(floor, Lesson.CURRENT).burns == 1


def test_the_burn_that_took_four_times_as_long_is_unlike_the_others(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        holes = teach(floor.store, TAUGHT)
        found = learnt.listed(floor.store.connection, floor.shop.experience)
        first, *rest = found.burns
        assert (first.hole_id, first.lesson) == (holes[-1], Lesson.RATE)
        assert first.value < first.others.low
        assert not any(one.is_unlike for one in rest)
        assert (found.of, found.unlike, found.aside) == (30, 1, 0)
        of_wear = learnt.listed(floor.store.connection, floor.shop.experience, Lesson.WEAR, most=4)
        assert [one.hole_id for one in of_wear.burns] == holes[-1:-5:-1]
        assert of_wear.of == 10


def test_what_is_set_aside_moves_the_figures_at_once_and_back_again(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        odd = teach(floor.store, TAUGHT)[-1]
        before = figure(floor, Lesson.RATE)
        floor.set_aside(odd, Lesson.RATE, " the water\nwas off ", is_aside=True)
        after = figure(floor, Lesson.RATE)
        assert (before.burns, after.burns) == (10, 9)
        assert after.now.low > before.now.low
        assert after.now.high - after.now.low < before.now.high - before.now.low
        assert figure(floor, Lesson.WEAR).burns == 10
        found = learnt.listed(floor.store.connection, floor.shop.experience)
        (aside,) = (one for one in found.burns if one.aside is not None)
        assert aside.hole_id == odd
        assert aside.is_unlike
        assert aside.aside is not None
        assert (aside.aside.operator, aside.aside.why) == ("MT", "the water was off")
        with pytest.raises(LessonError, match="set aside already"):
            floor.set_aside(odd, Lesson.RATE, "why not", is_aside=True)
        floor.set_aside(odd, Lesson.RATE, "it was the filter", is_aside=False)
        assert figure(floor, Lesson.RATE) == before
        with pytest.raises(LessonError, match="counts as it is"):
            floor.set_aside(odd, Lesson.RATE, "why not", is_aside=False)


@pytest.mark.parametrize("why", ["", "  ", "\n"])
def test_a_word_why_is_needed(tmp_path: Path, why: str) -> None:
    with open_floor(tmp_path) as floor:
        odd = teach(floor.store, TAUGHT)[-1]
        with pytest.raises(LessonError, match="in a word why"):
            floor.set_aside(odd, Lesson.RATE, why, is_aside=True)
        assert figure(floor, Lesson.RATE).burns == 10


def test_only_what_a_hole_teaches_is_set_aside_and_only_in_a_shift(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        odd = teach(floor.store, TAUGHT)[-1]
        with pytest.raises(LessonError, match="teaches no arc gap"):
            floor.set_aside(odd, Lesson.GAP, "not measured", is_aside=True)
        with pytest.raises(LessonError, match="Hole 999 teaches no burn rate"):
            floor.set_aside(999, Lesson.RATE, "not there", is_aside=True)
        floor.close_shift()
        with pytest.raises(LogError, match="No shift is open"):
            floor.set_aside(odd, Lesson.RATE, "why", is_aside=True)


@pytest.mark.parametrize("words", ["", "speed", "rate rate", "burn"])
def test_a_figure_that_nobody_learns_is_named_with_those_that_are(words: str) -> None:
    with pytest.raises(LessonError, match="say one of rate, wear, gap, current"):
        learnt.lesson_named(words)


def test_rehearsed_holes_teach_and_the_next_plan_says_so(tmp_path: Path) -> None:
    for seed in range(3):
        rehearse(tmp_path, seed)
    with open_floor(tmp_path) as floor:
        assert figure(floor, Lesson.RATE).burns == 3
        like = sum(one.row.what == "M10x1.5 tap" for one in floor.lying())
        plan = make_plan(TICKET, floor.shop)
        assert plan.wear is not None
        assert (plan.time.burns_known, plan.time.alike) == (3, like)
        assert (plan.wear.burns_known, plan.wear.alike) == (3, like)
        assert like, "another seed: no rehearsed hole is like this one"
