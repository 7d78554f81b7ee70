"""What a record says: the figures, before they are put in words."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cockpit.burn.calls import Call, CallKind
from cockpit.burn.reading import Mark, MarkKind
from cockpit.burn.state import BurnState, Span
from cockpit.log import questions
from cockpit.log.rows import ALL_THE_SAME, BurnEnd, BurnKind, CheckResult, Outcome, Result
from cockpit.profiles import load_shop
from cockpit.record.facts import HoleFacts, Look, hole_facts
from cockpit.record.sheet import Sheet, hole_sheet
from cockpit.trade.centring import judge_centre
from cockpit.trade.plan import Plan, make_plan
from cockpit.trade.remnants import Kind
from cockpit.trade.ticket import Ticket
from cockpit.units import LengthUnit
from tests.burn.hand import Hand
from tests.log.conftest import TICKET, Bench

THROUGH = Ticket(
    hole="cover 1",
    thread="M8",
    broken=Kind.TAP,
    flutes=3,
    depth_mm=12.0,
    recess_mm=2.0,
    through=True,
)
BORE = Ticket(hole="pivot", thread="pin 8 mm", broken=Kind.PIN, depth_mm=20.0)


def facts_of(bench: Bench, hole_id: int, state: BurnState | None = None) -> HoleFacts:
    page = questions.page(bench.store.connection, hole_id)
    assert page is not None
    return hole_facts(page, Look(state))


def said(facts: HoleFacts, unit: LengthUnit = LengthUnit.MM) -> dict[str, str]:
    """The last value under each name of a sheet."""
    return {fact.name: fact.value for part in hole_sheet(facts, unit).parts for fact in part.facts}


def rows(sheet: Sheet, key: str) -> tuple[tuple[str, ...], ...]:
    (table,) = (part.table for part in sheet.parts if part.key == key)
    return table.rows if table else ()


def planned(bench: Bench, ticket: Ticket) -> int:
    hole = bench.take_in(ticket)
    bench.store.add_plan(bench.shift, hole, make_plan(ticket, load_shop()), "{}")
    return hole


def burnt(bench: Bench, hole: int, *spans_s: tuple[float, float]) -> None:
    for number, (start_s, stop_s) in enumerate(spans_s):
        begin, end = Mark(start_s, MarkKind.START), Mark(stop_s, MarkKind.STOP)
        burn = bench.store.open_burn(bench.shift, hole, BurnKind.BURN, 10 * number, begin)
        bench.store.close_burn(bench.shift, hole, burn, BurnEnd.OPERATOR, 10 * number + 1, end)


def state(mid_mm: float) -> BurnState:
    hand = Hand()
    hand.start()
    hand.burn(60.0)
    return replace(hand.state, depth_mm=Span(mid_mm - 0.2, mid_mm, mid_mm + 0.2))


def test_calls_and_measurements_have_the_time_of_the_arc(bench: Bench) -> None:
    hole = planned(bench, TICKET)
    burnt(bench, hole, (100.0, 130.0), (500.0, 560.0))
    times_s = (50.0, 110.0, 300.0, 510.0, 900.0)
    bench.store.add_calls(bench.shift, hole, [Call(t_s, CallKind.SILENT, None) for t_s in times_s])
    bench.store.add_mark(bench.shift, hole, 99, Mark(600.0, MarkKind.TOUCH, 2.5))
    facts = facts_of(bench, hole)
    assert [call.arc_s for call in facts.calls] == [0.0, 10.0, 30.0, 40.0, 90.0]
    assert [(mark.arc_s, mark.value_mm, mark.who) for mark in facts.marks] == [(90.0, 2.5, "MT")]
    sheet = hole_sheet(facts, LengthUnit.MM)
    assert [row[1] for row in rows(sheet, "calls")] == ["0:00", "0:10", "0:30", "0:40", "1:30"]


def test_a_burn_that_nobody_ended_counts_as_far_as_it_is_known(bench: Bench) -> None:
    hole = planned(bench, TICKET)
    burnt(bench, hole, (0.0, 30.0))
    bench.store.open_burn(bench.shift, hole, BurnKind.BURN, 50, Mark(100.0, MarkKind.START))
    bench.store.add_mark(bench.shift, hole, 51, Mark(120.0, MarkKind.TOUCH, 1.0))
    facts = facts_of(bench, hole)
    assert [burn.ended for burn in facts.burns] == ["operator", None]
    assert sum(burn.arc_s for burn in facts.burns) == pytest.approx(facts.arc_s)
    assert rows(hole_sheet(facts, LengthUnit.MM), "burnt")[-1][-1] == "no end of it is known"


def test_a_hole_that_fell_through_is_no_deeper_than_its_part(bench: Bench) -> None:
    hole = planned(bench, THROUGH)
    burnt(bench, hole, (0.0, 60.0))
    assert said(facts_of(bench, hole, state(13.4)))["depth"] == "12.00 mm (12.00 to 12.00 mm, 95 %)"
    bench.store.add_calls(bench.shift, hole, [Call(59.0, CallKind.THROUGH, 11.9)])
    facts = facts_of(bench, hole, state(13.4))
    assert facts.reached is not None
    assert facts.reached.depth_high_mm == 12.0
    told = said(facts)
    assert told["depth"] == "through at 11.90 mm"
    assert told["bottom"] == "none: through a part 12.00 mm thick"
    bench.store.add_outcome(bench.shift, hole, Outcome(Result.DONE, bottom="clean"))
    assert said(facts_of(bench, hole, state(13.4)))["bottom"] == "none: it goes through"


def test_a_fall_at_another_spot_is_not_where_this_one_fell_through(bench: Bench) -> None:
    hole = planned(bench, THROUGH)
    burnt(bench, hole, (0.0, 60.0))
    bench.store.add_calls(bench.shift, hole, [Call(59.0, CallKind.THROUGH, 5.0)])
    bench.store.add_mark(bench.shift, hole, 90, Mark(70.0, MarkKind.SPOT))
    reached = facts_of(bench, hole, state(6.0)).reached
    assert reached is not None
    assert reached.through_mm is None


def test_a_bore_has_no_thread_to_be_chased(bench: Bench) -> None:
    hole = planned(bench, BORE)
    ending = Outcome(Result.DONE, "by hand to the old depth", "not gauged", "clean", "yes")
    bench.store.add_outcome(bench.shift, hole, ending)
    told = said(facts_of(bench, hole))
    assert told["thread"] == "none: a bore of 8.00 mm"
    assert told["thread chased"] == "not applicable: a bore has no thread"
    assert told["gauged"] == "not applicable: no thread"
    assert told["bottom"] == "clean"
    spoilt = replace(ending, gauged="no-go passes", bottom="touched by the burn")
    bench.store.add_outcome(bench.shift, hole, spoilt)
    told = said(facts_of(bench, hole))
    assert (told["gauged"], told["bottom"]) == ("no-go passes", "touched by the burn")


def test_a_spot_that_nobody_measured_is_not_said_to_be_at_0(bench: Bench, plan: Plan) -> None:
    hole = planned(bench, TICKET)
    burnt(bench, hole, (0.0, 30.0))
    bench.store.add_centre(bench.shift, hole, judge_centre(plan.electrode.window, 0.0, 0.0))
    assert said(facts_of(bench, hole))["centre"] == "found centred: go on"


def test_what_the_gauge_contradicted_stands_by_itself(bench: Bench) -> None:
    hole, word = planned(bench, TICKET), f"{ALL_THE_SAME}: the gauge showed 0.40 mm"
    bench.store.add_check(bench.shift, hole, "zero", "Zero", CheckResult.CONFIRMED, word)
    facts = facts_of(bench, hole)
    told = said(facts)
    assert told["answered"] == "1, 0 passed over, 1 against the gauge"
    assert told["AGAINST GAUGE"] == f"Zero: {word} (MT, 2026-05-04 09:30)"
    assert rows(hole_sheet(facts, LengthUnit.MM), "checks") == ()


def test_a_stop_that_is_to_be_set_anew_was_set_all_the_same(bench: Bench) -> None:
    hole = planned(bench, TICKET)
    for word in ("set at 21.79 mm", "set at 23.18 mm"):
        bench.store.add_check(bench.shift, hole, "stop", "Depth stop", CheckResult.CONFIRMED, word)
        bench.store.reopen_check(bench.shift, hole, "stop")
    sheet = hole_sheet(facts_of(bench, hole), LengthUnit.MM)
    assert [row[-1] for row in rows(sheet, "checks")] == [
        "Depth stop: set at 23.18 mm; asked again since"
    ]


def test_how_it_was_left_before_stays_in_the_record(bench: Bench) -> None:
    hole = planned(bench, TICKET)
    bench.store.add_outcome(bench.shift, hole, Outcome(Result.LATER, why="no taps left"))
    bench.store.add_outcome(bench.shift, hole, Outcome(Result.DONE, gauged="not gauged"))
    told = said(facts_of(bench, hole))
    assert told["before"] == "left for later, 2026-05-04 09:30 by MT: no taps left"
    assert told["result"] == "done, 2026-05-04 09:30 by MT"


def test_who_closed_a_hole_and_when_stays_when_something_of_it_is_corrected(bench: Bench) -> None:
    hole = bench.take_in()
    for result, at, why, correction in (
        (Result.LATER, 10, "no gauge", None),
        (Result.GIVEN_UP, 11, "too thin", None),
        (Result.DONE, 12, "", "wrong hole"),
        (Result.DONE, 13, "", "marked after all"),
    ):
        bench.now = bench.now.replace(hour=at)
        outcome = Outcome(result, marked="yes" if at == 13 else "no", why=why)
        bench.store.add_outcome(bench.shift, hole, outcome, correction=correction)
    page = questions.page(bench.store.connection, hole)
    assert page is not None
    told = [
        (one.result, one.marked, one.at_utc[11:13]) for one in hole_facts(page, Look()).outcomes
    ]
    assert told == [("left for later", "no", "10"), ("done", "yes", "11")]


def test_a_correction_says_what_was_and_who_said_why(bench: Bench) -> None:
    hole = planned(bench, TICKET)
    burnt(bench, hole, (0.0, 30.0))
    bench.store.add_outcome(bench.shift, hole, Outcome(Result.DONE, gauged="go passes"))
    ticket = TICKET.model_copy(update={"depth_mm": 23.0})
    bench.store.correct_ticket(bench.shift, hole, ticket, correction="read wrongly")
    right = Outcome(Result.DAMAGED, gauged="go passes", why="thread touched")
    bench.store.add_outcome(bench.shift, hole, right, "looked again")
    facts = facts_of(bench, hole)
    told = said(facts, LengthUnit.INCH)
    assert told["depth"] == "0.9055 in, was 0.8661 in; MT, 2026-05-04 09:30: read wrongly"
    assert told["why"] == "thread touched, was nothing; MT, 2026-05-04 09:30: looked again"
    assert [one.result for one in facts.outcomes] == ["damaged"]
    assert "before" not in told


def test_another_electrode_is_told_from_one_that_was_zeroed_again(bench: Bench) -> None:
    hole = planned(bench, TICKET)
    burnt(bench, hole, (0.0, 30.0))
    store, shift = bench.store, bench.shift
    for seq, step in ((50, "set up again"), (60, "another electrode")):
        store.add_step(shift, hole, step)
        store.add_check(shift, hole, "zero", "Zero", CheckResult.CONFIRMED)
        store.add_mark(shift, hole, seq, Mark(float(seq), MarkKind.ELECTRODE))
    assert [mark.what for mark in facts_of(bench, hole).marks] == ["zeroed again", "electrode"]


def test_the_trace_is_the_one_of_the_screen(blind: HoleFacts) -> None:
    assert blind.trace[0].arc_s < 1.0
    assert blind.trace[-1].arc_s == pytest.approx(blind.arc_s, abs=0.6)
    assert blind.reached is not None
    assert blind.trace[-1].depth_mm == blind.reached.depth_mm
    travel_mm = blind.trace[-1].travel_mm
    assert travel_mm is not None
    # Travel is depth and wear; while the tip was touched off the arc was off.
    assert travel_mm == pytest.approx(blind.reached.depth_mm + blind.reached.wear_mm, abs=0.2)
    assert all(one.depth_low_mm <= one.depth_mm <= one.depth_high_mm for one in blind.trace)
