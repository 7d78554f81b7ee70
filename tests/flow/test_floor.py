"""The shop floor: shift, daily checks, the bench."""

from __future__ import annotations

from pathlib import Path

import pytest

from cockpit.flow import demo
from cockpit.flow.floor import ShopFloor
from cockpit.flow.steps import NEXT, Step
from cockpit.gauges import GaugeError
from cockpit.log.rows import CheckResult
from cockpit.log.store import LogError
from cockpit.profiles import ProfileError
from cockpit.trade.errors import TradeError
from tests.flow.walk import Walk, open_floor
from tests.log.conftest import TICKET, break_table


@pytest.mark.parametrize("operator", ["", "   ", "\t"])
def test_a_shift_needs_initials(tmp_path: Path, operator: str) -> None:
    with ShopFloor(tmp_path, gauge="typed") as floor:
        assert floor.shift is None
        with pytest.raises(ValueError, match="initials"):
            floor.open_shift(operator)
        assert floor.shift is None
        assert floor.open_shift(" RB ").operator == "RB"


def test_without_a_shift_nothing_is_taken_in(tmp_path: Path) -> None:
    with ShopFloor(tmp_path, gauge="typed") as floor:
        for ask in (floor.daily_left, floor.done_this_shift, floor.close_shift):
            with pytest.raises(LogError, match="No shift is open"):
                ask()
        with pytest.raises(LogError, match="No shift is open"):
            floor.take_in_job("Harrowfield Pumps", "HP-2207", "pump casing")


def test_daily_checks_are_asked_once_a_shift(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        asked = floor.daily_left()
        assert asked == list(floor.checklist.daily)
        floor.answer_daily(asked[0], CheckResult.CONFIRMED)
        assert floor.daily_left() == asked[1:]
    with open_floor(tmp_path) as floor:
        assert floor.daily_left() == asked[1:]
        floor.close_shift()
        floor.open_shift("RB")
        assert floor.daily_left() == asked


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"thread": "M10x1.6"}, "thread"),
        ({"depth_mm": 0.0}, "depth_mm"),
        ({"depth_mm": -4.0}, "depth_mm"),
        ({"recess_mm": 22.0}, "recess_mm"),
        ({"recess_mm": 30.0}, "recess_mm"),
        ({"material": "cheese"}, "material"),
        ({"flutes": 40}, "flutes"),
    ],
)
def test_a_hole_that_can_not_be_planned_is_not_taken_in(
    tmp_path: Path, change: dict[str, object], field: str
) -> None:
    with open_floor(tmp_path) as floor:
        job = floor.take_in_job("Harrowfield Pumps", "HP-2207", "pump casing")
        with pytest.raises(TradeError) as refused:
            floor.take_in_hole(job, TICKET.model_copy(update=change))
        assert refused.value.field == field
        assert str(refused.value).endswith(".")
        assert floor.waiting() == []


def test_the_bench_lists_what_waits_and_what_was_done_in_this_shift(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        done = Walk.of(floor).to(Step.ENDED).hole.id
        waits = Walk.of(floor).to(Step.CHECKS).hole.id
        (row,) = floor.waiting()
        assert (row.id, NEXT[Step(row.step)]) == (waits, "set it up")
        assert [row.id for row in floor.done_this_shift()] == [done]
        floor.close_shift("flange 3 half done")
    with open_floor(tmp_path) as floor:
        assert [row.id for row in floor.waiting()] == [waits]


def test_the_demo_shop_is_stocked_once(tmp_path: Path) -> None:
    with ShopFloor(tmp_path, gauge=demo.GAUGE) as floor:
        demo.stock(floor)
        demo.stock(floor)
        assert [row.label for row in floor.waiting()] == [ticket.hole for _, ticket in demo.HOLES]
        assert {row.job.customer for row in floor.waiting()} == {job[0] for job in demo.JOBS}
        last = floor.last_taken_in()
        assert last is not None
        assert last[1].hole == demo.HOLES[-1][1].hole


def test_what_the_floor_can_not_open_is_said_in_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(ProfileError, match="no gauge profile 'dial'"):
        ShopFloor(tmp_path, gauge="dial")
    with pytest.raises(ProfileError, match="no machine profile 'mine'"):
        ShopFloor(tmp_path, machine="mine")
    with pytest.raises(GaugeError):
        ShopFloor(tmp_path, gauge="recorded", port=str(tmp_path / "nothing.csv"))
    (tmp_path / "shop.sqlite3").write_text("a note")
    with pytest.raises(LogError, match="left as it is"):
        ShopFloor(tmp_path, gauge="typed")


def test_a_log_that_turns_out_to_be_damaged_is_not_folded(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor).to(Step.BURN)
        walk.hole.arc_starts()
        walk.wait(5.0)
        ask = floor.store.connection.execute
        (waiting,) = ask("SELECT count(*) FROM readings").fetchone()
        assert waiting
        ask("PRAGMA wal_checkpoint(TRUNCATE)")
        ask("PRAGMA shrink_memory")
        break_table(tmp_path / "shop.sqlite3", "outcomes")
        floor.close_shift()
        assert "is damaged" in floor.notice
        assert ask("SELECT count(*) FROM readings").fetchone() == (waiting,)


def test_every_step_says_what_comes_next() -> None:
    assert set(NEXT) == set(Step)


def test_a_part_that_lies_on_the_bench_is_the_same_part_whoever_names_it(tmp_path: Path) -> None:
    names = ("Quillstone Gears", "QG-41", "casing")
    with open_floor(tmp_path) as floor:

        def part_of(hole: int) -> int:
            return floor.take_up(hole).row.job.id

        first = floor.take_in(names, TICKET)
        cover = floor.take_in((*names[:2], "cover"), TICKET)
        again = floor.take_in((" Quillstone  Gears", *names[1:]), TICKET)
        assert part_of(first) == part_of(again) != part_of(cover)
        for hole in (first, again):
            Walk(floor, floor.take_up(hole)).to(Step.ENDED)
        # All of its holes are closed, but it was here in this shift.
        assert part_of(floor.take_in(names, TICKET)) == part_of(first)
        Walk(floor, floor.take_up(floor.waiting()[-1].id)).to(Step.ENDED)
        floor.close_shift()
        floor.open_shift("RB")
        # Another day, another part of that name.
        assert part_of(floor.take_in(names, TICKET)) not in (part_of(first), part_of(cover))
