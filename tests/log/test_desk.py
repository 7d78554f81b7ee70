"""What the desk is told of shifts and holes as they were left."""

from __future__ import annotations

from datetime import timedelta

from cockpit.burn.calls import Call, CallKind
from cockpit.burn.reading import Mark, MarkKind, Reading
from cockpit.log import desk, questions
from cockpit.log.rows import BurnEnd, BurnKind, Outcome, Result
from tests.log.conftest import TICKET, Bench


def burn(bench: Bench, hole: int, begin_s: float, end_s: float, seq: int) -> int:
    """A burn with one reading at its end, where the program stopped: nobody ended it."""
    began = bench.store.open_burn(
        bench.shift, hole, BurnKind.BURN, seq, Mark(begin_s, MarkKind.START)
    )
    bench.store.add_readings(hole, [(seq + 1, Reading(end_s, 4.0))])
    return began


def end(bench: Bench, hole: int, began: int, end_s: float, seq: int, how: BurnEnd) -> None:
    bench.store.close_burn(bench.shift, hole, began, how, seq, Mark(end_s, MarkKind.STOP))


def next_shift(bench: Bench, operator: str, note: str = "") -> None:
    bench.now += timedelta(hours=8)
    bench.store.close_shift(bench.shift, note)
    bench.shift = bench.store.open_shift(operator, "standard", "simulated")


def test_the_arc_time_of_a_burn_that_nobody_ended_goes_to_the_last_reading(bench: Bench) -> None:
    hole, connection = bench.take_in(), bench.store.connection
    began = burn(bench, hole, 10.0, 161.0, 0)
    row = questions.hole(connection, hole)
    assert row is not None
    assert row.arc_s == 151.0
    assert desk.left(connection, [hole])[hole].cut_short
    assert desk.shift_totals(connection, bench.shift).arc_s == 151.0
    bench.store.fold_all()
    row = questions.hole(connection, hole)
    assert row is not None
    assert row.arc_s == 151.0, "folded, the readings tell the same"
    assert questions.unfinished(connection) == [row]
    # Taken up again it is closed as cut short, and stays so until the arc is on again.
    end(bench, hole, began, 161.0, 2, BurnEnd.CUT_SHORT)
    assert desk.left(connection, [hole])[hole].cut_short
    again = burn(bench, hole, 200.0, 230.0, 3)
    end(bench, hole, again, 230.0, 5, BurnEnd.OPERATOR)
    assert not desk.left(connection, [hole])[hole].cut_short
    row = questions.hole(connection, hole)
    assert row is not None
    assert row.arc_s == 181.0


def test_a_hole_that_was_never_burnt_is_not_cut_short(bench: Bench) -> None:
    hole = bench.take_in()
    found = desk.left(bench.store.connection, [hole])
    assert found == {hole: desk.HoleLeft(("MT",))}
    assert desk.left(bench.store.connection, []) == {}


def test_who_had_a_hole_is_told_by_the_order_of_the_shifts(bench: Bench) -> None:
    hole, other = bench.take_in(), bench.take_in()
    next_shift(bench, "RK")
    bench.store.add_sitting(bench.shift, hole, 0.0)
    next_shift(bench, "RK")
    bench.store.add_step(bench.shift, hole, "checks")
    bench.now -= timedelta(days=400)  # somebody put the clock right
    next_shift(bench, "MT")
    bench.store.add_step(bench.shift, hole, "burn")
    found = desk.left(bench.store.connection, [hole, other])
    assert found[hole].hands == ("MT", "RK", "MT")
    assert found[other].hands == ("MT",)


def test_why_a_hole_was_left_for_later_is_told_until_it_is_closed(bench: Bench) -> None:
    hole, store = bench.take_in(), bench.store
    store.add_outcome(bench.shift, hole, Outcome(Result.LATER, why="no taps left"))
    assert desk.left(store.connection, [hole])[hole].why == "no taps left"
    assert desk.shift_totals(store.connection, bench.shift).closed == 0
    store.add_outcome(bench.shift, hole, Outcome(Result.DONE, why="found one"))
    assert desk.left(store.connection, [hole])[hole].why == ""
    assert desk.shift_totals(store.connection, bench.shift).closed == 1


def test_a_shift_has_its_own_totals(bench: Bench) -> None:
    hole, store = bench.take_in(), bench.store
    began = burn(bench, hole, 10.0, 40.0, 0)
    end(bench, hole, began, 40.0, 2, BurnEnd.OPERATOR)
    store.add_calls(bench.shift, hole, [Call(20.0, CallKind.NEAR, 3.0)] * 2)
    first = bench.shift
    next_shift(bench, "RK")
    again = burn(bench, hole, 50.0, 110.0, 3)
    end(bench, hole, again, 110.0, 5, BurnEnd.OPERATOR)
    store.add_mark(bench.shift, hole, 6, Mark(111.0, MarkKind.ELECTRODE))
    assert desk.shift_totals(store.connection, first) == desk.ShiftTotals(0, 30.0, 2, 0)
    assert desk.shift_totals(store.connection, bench.shift) == desk.ShiftTotals(0, 60.0, 0, 1)


def test_the_handover_says_who_and_when(bench: Bench) -> None:
    connection = bench.store.connection
    assert desk.last_handover(connection) is None
    next_shift(bench, "RK", "filter changed")
    left = desk.last_handover(connection)
    assert left is not None
    assert (left.operator, left.note) == ("MT", "filter changed")
    assert (left.began_utc[11:16], left.ended_utc[11:16]) == ("09:30", "17:30")


def test_names_that_were_here_are_known_once_the_newest_first(bench: Bench) -> None:
    bench.take_in()
    bench.take_in(TICKET, customer="Quillstone Gears", reference="QG-41", part="rocker arm")
    bench.take_in(TICKET, reference="HP-2210")
    known = desk.known_names(bench.store.connection)
    assert known["customer"] == ("Harrowfield Pumps", "Quillstone Gears")
    assert known["reference"] == ("HP-2210", "QG-41", "HP-2207")
    assert known["part"] == ("pump casing", "rocker arm")
