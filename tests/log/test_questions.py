"""What can be asked of the log."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import timedelta

import pytest

from cockpit.burn.calls import Call, CallKind
from cockpit.burn.reading import Mark, MarkKind, Reading
from cockpit.log import LogError, lessons, listing, questions
from cockpit.log.opening import open_to_read
from cockpit.log.rows import BurnEnd, BurnKind, CheckResult, Outcome, Result
from cockpit.trade.centring import judge_centre
from cockpit.trade.plan import Plan
from tests.log.conftest import TICKET, Bench
from tests.log.test_soundness import change
from tests.log.test_store import fill


def end(bench: Bench, hole: int, result: Result) -> None:
    bench.store.add_outcome(bench.shift, hole, Outcome(result, why="so"))


# Shifts ------------------------------------------------------------------------------------------


def test_the_open_shift_is_the_last_that_was_not_closed(bench: Bench) -> None:
    connection = bench.store.connection
    bench.store.close_shift(bench.shift, "one hole half done")
    assert questions.open_shift(connection) is None
    last = questions.last_shift(connection)
    assert last is not None
    assert (last.operator, last.machine, last.gauge) == ("MT", "standard", "simulated")
    second = bench.store.open_shift("RB", "standard", "typed")
    shift = questions.open_shift(connection)
    assert shift is not None
    assert (shift.id, shift.operator) == (second, "RB")


def test_daily_checks_belong_to_their_shift_and_to_no_hole(bench: Bench) -> None:
    hole, connection = bench.take_in(), bench.store.connection
    bench.store.add_check(bench.shift, None, "water", "Water", CheckResult.SKIPPED, "no pump")
    bench.store.add_check(bench.shift, hole, "ground", "Ground", CheckResult.CONFIRMED)
    (daily,) = questions.daily_checks(connection, bench.shift)
    assert (daily.item, daily.result, daily.word) == ("water", CheckResult.SKIPPED, "no pump")
    assert [row.item for row in questions.hole_checks(connection, hole)] == ["ground"]
    assert questions.daily_checks(connection, bench.store.open_shift("RB", "m", "g")) == []


# Lists -------------------------------------------------------------------------------------------


def test_a_hole_is_unfinished_until_it_comes_to_an_end(bench: Bench) -> None:
    connection = bench.store.connection
    untouched, left, done, gone = (bench.take_in() for _ in range(4))
    end(bench, left, Result.LATER)
    end(bench, done, Result.DONE)
    end(bench, gone, Result.DAMAGED)
    assert [row.id for row in questions.unfinished(connection)] == [untouched, left]
    end(bench, left, Result.DONE)
    assert [row.id for row in questions.unfinished(connection)] == [untouched]


def test_what_a_shift_finished_is_its_own_whatever_the_clock_on_the_wall_says(
    bench: Bench,
) -> None:
    connection, early = bench.store.connection, bench.shift
    first, second, third, left = (bench.take_in() for _ in range(4))
    end(bench, third, Result.DONE)
    end(bench, left, Result.LATER)
    bench.store.close_shift(early)
    bench.now -= timedelta(days=400)
    late = bench.shift = bench.store.open_shift("MT", "standard", "simulated")
    end(bench, first, Result.DONE)
    bench.now -= timedelta(hours=3)
    end(bench, second, Result.DONE)

    def finished(shift: int) -> list[int]:
        return [row.id for row in questions.finished_in(connection, shift)]

    assert finished(early) == [third]
    assert finished(late) == [second, first]
    end(bench, third, Result.DAMAGED)
    assert finished(early) == []
    assert finished(late) == [third, second, first]


def test_a_row_of_the_shift_log_adds_up_arc_burns_and_calls(bench: Bench) -> None:
    hole, store = bench.take_in(), bench.store
    for n, kind in enumerate((BurnKind.PILOT, BurnKind.BURN)):
        start, stop = Mark(10.0 * n, MarkKind.START), Mark(10.0 * n + 4.5, MarkKind.STOP)
        burn = store.open_burn(bench.shift, hole, kind, 2 * n, start)
        store.close_burn(bench.shift, hole, burn, BurnEnd.OPERATOR, 2 * n + 1, stop)
    store.open_burn(bench.shift, hole, BurnKind.BURN, 8, Mark(30.0, MarkKind.START))
    store.add_calls(bench.shift, hole, [Call(1.0, CallKind.NEAR, 3.0)] * 2)
    row = questions.hole(store.connection, hole)
    assert row is not None
    assert (row.arc_s, row.burns, row.calls) == (9.0, 3, 2)
    assert (row.step, row.outcome, row.label) == ("plan", None, "flange 3")


def test_the_hole_taken_in_last_is_what_the_next_begins_with(bench: Bench) -> None:
    assert questions.last_taken_in(bench.store.connection) is None
    bench.take_in()
    bench.take_in(TICKET.model_copy(update={"hole": "flange 4"}), customer="Quillstone Gears")
    last = questions.last_taken_in(bench.store.connection)
    assert last is not None
    job, ticket = last
    assert (job.customer, ticket.hole) == ("Quillstone Gears", "flange 4")


def test_holes_of_a_part_are_numbered(bench: Bench) -> None:
    store, connection = bench.store, bench.store.connection
    job = store.add_job(bench.shift, "Quillstone Gears", "QG-41", "rocker arm")
    holes = [store.add_hole(bench.shift, job, TICKET, "plan") for _ in range(2)]
    rows = [questions.hole(connection, hole) for hole in (*holes, bench.take_in())]
    assert [row and row.number for row in rows] == [1, 2, 1]


# One hole ----------------------------------------------------------------------------------------


def test_there_is_no_page_of_a_hole_that_is_not_there(bench: Bench) -> None:
    assert questions.page(bench.store.connection, 77) is None
    assert questions.hole(bench.store.connection, 77) is None


def test_readings_and_marks_come_back_in_the_order_the_tracker_saw_them(bench: Bench) -> None:
    hole, store = bench.take_in(), bench.store
    store.open_burn(bench.shift, hole, BurnKind.BURN, 0, Mark(0.0, MarkKind.START))
    store.add_mark(bench.shift, hole, 3, Mark(0.3, MarkKind.TOUCH, -0.012))
    store.add_readings(hole, [(2, Reading(0.2, 3.005)), (1, Reading(0.1, -2.5))])
    assert questions.events(store.connection, hole) == [
        (0, Mark(0.0, MarkKind.START)),
        (1, Reading(0.1, -2.5)),
        (2, Reading(0.2, 3.005)),
        (3, Mark(0.3, MarkKind.TOUCH, -0.012)),
    ]


def test_a_page_holds_everything_known_of_a_hole(bench: Bench, plan: Plan) -> None:
    hole, store = bench.take_in(), bench.store
    store.add_plan(bench.shift, hole, plan, '{"recess_mm": 3.0}')
    store.add_centre(bench.shift, hole, judge_centre(plan.electrode.window, 0.1, -0.2))
    store.add_note(bench.shift, hole, "tight")
    store.add_calls(bench.shift, hole, [Call(1.5, CallKind.SILENT, None)])
    store.add_step(bench.shift, hole, "clean-out")
    page = questions.page(store.connection, hole)
    assert page is not None
    assert page.ticket == TICKET
    assert page.plan == plan
    assert questions.plan(store.connection, hole) == (plan, '{"recess_mm": 3.0}')
    assert [(row.across_mm, row.along_mm) for row in page.centres] == [(0.1, -0.2)]
    assert [(row.text, row.operator) for row in page.notes] == [("tight", "MT")]
    assert [(row.t_s, row.call, row.depth_mm) for row in page.calls] == [(1.5, "silent", None)]
    assert page.row.step == "clean-out"
    assert page.outcome is None


# What can't be read ------------------------------------------------------------------------------


def read_all(connection: sqlite3.Connection, hole: int) -> None:
    questions.page(connection, hole)
    questions.overrides(connection, hole)
    for _ in (*lessons.taught(connection), *listing.shift_log(connection)):
        pass


@pytest.mark.parametrize(
    ("harm", "said"),
    [
        ("UPDATE tickets SET body = '{' WHERE id = 2", "An earlier ticket of hole 1"),
        ("UPDATE tallies SET price = '1.2.33'", "The price of hole 1"),
        ("UPDATE overrides SET value = '{\"a\": 1}'", "An overruled figure of hole 1"),
        ("UPDATE tallies SET amps = -5.0", "What hole 1 came to"),
        ("UPDATE tallies SET area_mm2 = 9e999", "What hole 1 came to"),
        ("UPDATE tallies SET electrode_um = 0, amps_said = 1", "What hole 1 came to"),
        ("UPDATE tallies SET wear_ratio_sd = NULL", "What hole 1 came to"),
    ],
)
def test_what_another_program_wrote_is_a_sentence(
    bench: Bench, plan: Plan, harm: str, said: str
) -> None:
    hole = fill(bench, plan)
    bench.store.correct_ticket(bench.shift, hole, TICKET, correction="misread")
    bench.store.close()
    change(bench.path, harm)
    with (
        closing(open_to_read(bench.path)) as connection,
        pytest.raises(LogError) as refusal,
    ):
        read_all(connection, hole)
    assert str(refusal.value).startswith(said)
    assert str(refusal.value).endswith(": burn-cockpit verify says how to mend it.")
