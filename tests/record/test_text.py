"""The record of a hole, as a customer reads it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

from cockpit.burn.calls import Call, CallKind
from cockpit.burn.reading import Mark, MarkKind
from cockpit.burn.state import BurnState, Span
from cockpit.log import questions
from cockpit.log.rows import BurnEnd, BurnKind, CheckResult, Outcome, Result
from cockpit.profiles import load_shop
from cockpit.record.facts import HoleFacts, NoteFacts
from cockpit.record.sheet import hole_sheet
from cockpit.record.text import WIDTH, as_text, hole_record
from cockpit.trade.centring import judge_centre
from cockpit.trade.figures import Override
from cockpit.trade.plan import Plan, make_plan
from cockpit.units import LengthUnit
from tests.burn.hand import Hand
from tests.log.conftest import TICKET, Bench
from tests.wall_clock import clock_of, needs_zone

RECORD = """\
Hole record: flange 3                                      times are UTC
========================================================================
  customer        Harrowfield Pumps
  reference       HP-2207
  part            pump casing
  hole            flange 3, no. 1 of the job, 1 in the log
  taken in        2026-05-04 09:30 by MT
  broken          tap, 3 flutes in M10x1.5
  material        cast iron

Planned
  thread          M10x1.5 (ISO 261, ISO 965-1), minor diameter 8.38 to
                  8.68 mm
  electrode       {electrode}
  current         {current}
  break           3.00 mm below the surface
  target          18.00 mm
  bottom limit    21.50 mm
  bottom          22.00 mm

Burnt
  burn  begun             kind   arc time  ended
  1     2026-05-04 09:30  pilot  0:32
  2     2026-05-04 09:30  burn   1:30      cut short
  arc time        2:02
  centre          off 0.10 mm right, 0.20 mm towards: go on
  depth           5.80 mm (5.07 to 6.53 mm, 95 %)
  electrode wear  0.93 mm (0.25 per mm of travel)

Measured and changed
  mark  when              by  arc time  what
  a     2026-05-04 09:30  MT  2:02      touch-off 3.95 mm

Calls
  no.  arc time  depth     call    what it says
  1    0:05                silent  gauge silent
  2    0:32      17.05 mm  near    near target

Outcome
  result          given up, 2026-05-04 09:30 by MT
  thread chased   not said
  gauged          no-go goes in
  bottom          not said
  marked on part  not said
  why             thread was gone before

Notes
  when              by  note
  2026-05-04 09:30  MT  tight

Checks
  answered        2, 1 passed over
  passed over     Dam and drain: dry job (MT, 2026-05-04 09:30)
  when              by  check
  2026-05-04 09:30  MT  Ground
"""


def written(bench: Bench, plan: Plan) -> int:
    hole, store, shift = bench.take_in(), bench.store, bench.shift
    store.add_plan(shift, hole, plan, "{}")
    store.add_check(shift, hole, "ground", "Ground", CheckResult.CONFIRMED)
    store.add_check(shift, hole, "dam", "Dam and drain", CheckResult.SKIPPED, "dry job")
    for n, (kind, how, arc_s) in enumerate(
        ((BurnKind.PILOT, BurnEnd.OPERATOR, 32.0), (BurnKind.BURN, BurnEnd.CUT_SHORT, 90.0))
    ):
        start, stop = Mark(100.0 * n, MarkKind.START), Mark(100.0 * n + arc_s, MarkKind.STOP)
        burn = store.open_burn(shift, hole, kind, 2 * n, start)
        store.close_burn(shift, hole, burn, how, 2 * n + 1, stop)
    store.add_centre(shift, hole, judge_centre(plan.electrode.window, 0.1, -0.2))
    store.add_calls(
        shift, hole, [Call(5.0, CallKind.SILENT, None), Call(91.0, CallKind.NEAR, 17.05)]
    )
    store.add_mark(shift, hole, 9, Mark(250.0, MarkKind.TOUCH, 3.95))
    store.add_note(shift, hole, "tight")
    why = Outcome(Result.GIVEN_UP, gauged="no-go goes in", why="thread was gone before")
    store.add_outcome(shift, hole, why)
    return hole


def state() -> BurnState:
    hand = Hand()
    hand.start()
    hand.burn(60.0)
    return hand.state


def test_the_record_tells_the_hole_from_plan_to_outcome(bench: Bench, plan: Plan) -> None:
    page = questions.page(bench.store.connection, written(bench, plan))
    assert page is not None
    electrode, arc = plan.electrode, plan.arc
    assert hole_record(page, state(), LengthUnit.MM) == RECORD.format(
        electrode=f"{electrode.label}, burns {electrode.hole_mm:.2f} mm",
        current=f"{arc.amps_low:.0f} to {arc.amps_high:.0f} A",
    )


def test_the_record_in_inches_has_no_millimetre_in_it(bench: Bench, plan: Plan) -> None:
    page = questions.page(bench.store.connection, written(bench, plan))
    assert page is not None
    record = hole_record(page, state(), LengthUnit.INCH)
    assert "0.7087 in" in record
    assert " mm" not in record


def test_a_burn_past_the_bottom_limit_is_not_passed_over(bench: Bench, plan: Plan) -> None:
    page = questions.page(bench.store.connection, written(bench, plan))
    assert page is not None
    burnt = state()
    too_deep = replace(burnt, depth_mm=Span(21.6, 21.8, 22.0))
    assert "BOTTOM LIMIT    passed by 0.30 mm" in hole_record(page, too_deep, LengthUnit.MM)
    assert "BOTTOM LIMIT" not in hole_record(page, burnt, LengthUnit.MM)


def test_what_no_indicator_shows_is_not_past_the_limit(bench: Bench, plan: Plan) -> None:
    page = questions.page(bench.store.connection, written(bench, plan))
    assert page is not None
    assert plan.depth.limit_mm == 21.5
    at_limit = replace(state(), depth_mm=Span(21.44, 21.504, 21.56))
    assert "BOTTOM LIMIT" not in hole_record(page, at_limit, LengthUnit.MM)


@needs_zone
def test_times_are_by_the_clock_of_the_shop(bench: Bench, plan: Plan) -> None:
    page = questions.page(bench.store.connection, written(bench, plan))
    assert page is not None
    with clock_of("IST-5:30"):
        record = hole_record(page, state(), LengthUnit.MM)
    assert record.splitlines()[0].endswith("  times are UTC+05:30")
    assert "taken in        2026-05-04 15:00 by MT" in record


@needs_zone
def test_a_record_over_the_beginning_of_summer_time_names_both_clocks(bench: Bench) -> None:
    bench.now = datetime(2026, 3, 28, 12, tzinfo=UTC)
    hole = bench.take_in()
    bench.now = datetime(2026, 3, 30, 12, tzinfo=UTC)
    bench.store.add_note(1, hole, "tight")
    page = questions.page(bench.store.connection, hole)
    assert page is not None
    with clock_of("CET-1CEST,M3.5.0,M10.5.0/3"):
        record = hole_record(page, None, LengthUnit.MM)
    assert "  times are UTC+01:00, then UTC+02:00" in record
    assert "2026-03-28 13:00 by MT" in record
    assert "2026-03-30 14:00" in record


def test_a_hole_just_taken_in_has_a_short_record(bench: Bench) -> None:
    page = questions.page(bench.store.connection, bench.take_in())
    assert page is not None
    record = hole_record(page, None, LengthUnit.MM)
    assert "Planned" not in record
    assert "Burnt" not in record
    assert record.endswith("Calls\n  none\n\nOutcome\n  not closed yet\n")


def test_what_was_overruled_is_marked_and_told(bench: Bench) -> None:
    hole = bench.take_in()
    overrides = [
        Override(
            figure="depth.target_mm",
            value=17.0,
            who="MT",
            at_utc="2026-05-04T09:30:00.000+00:00",
            why="the tap is shorter",
        )
    ]
    bench.store.add_plan(bench.shift, hole, make_plan(TICKET, load_shop(), overrides), "{}")
    page = questions.page(bench.store.connection, hole)
    assert page is not None
    record = hole_record(page, None, LengthUnit.MM)
    assert "  target          17.00 mm*\n" in record
    told = "  * target 17.00 mm, not 18.00 mm; MT, 2026-05-04 09:30: the tap is\n    shorter\n"
    assert told in record


def test_no_line_is_longer_than_the_page_is_wide(blind: HoleFacts, through: HoleFacts) -> None:
    long = "a part with a name as long as a part of somebody who describes it in full, twice over"
    for facts in (blind, replace(through, part=long, label=long, customer="x" * 200)):
        for unit in LengthUnit:
            lines = as_text(hole_sheet(facts, unit)).splitlines()
            assert max(map(len, lines)) <= WIDTH
    assert "\n                  describes it in full, twice over\n" in as_text(
        hole_sheet(replace(blind, part=long), LengthUnit.MM)
    )


def test_a_table_with_no_room_tells_its_rows_one_after_another(blind: HoleFacts) -> None:
    notes = (NoteFacts("tight", "2026-05-04T09:30", "somebody of a very long name, " * 2),)
    record = as_text(hole_sheet(replace(blind, notes=notes), LengthUnit.MM))
    assert "\nNotes\n  when  by  note\n  2026-05-04 09:30  somebody" in record
