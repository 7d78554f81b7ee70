from __future__ import annotations

from pathlib import Path

import pytest

from cockpit.burn.reading import MarkKind
from cockpit.flow import demo
from cockpit.flow.floor import ShopFloor
from cockpit.flow.hole_parts import PARTS, TRACE, Told, facts, has_more, next_part
from cockpit.flow.past import past_gaps
from cockpit.flow.past_trace import PastTrace, SignKind, past_trace
from cockpit.flow.steps import Step
from cockpit.log import questions
from cockpit.log.questions import HolePage
from cockpit.units import LengthUnit
from tests.flow.eventful import SILENT_S, burn_with_events
from tests.flow.walk import Walk, open_floor


def seen(floor: ShopFloor, hole_id: int) -> tuple[HolePage, PastTrace]:
    connection = floor.store.connection
    page = questions.page(connection, hole_id)
    assert page is not None
    trace = past_trace(connection, page, floor.streams)
    assert trace is not None
    return page, trace


def taken_in(floor: ShopFloor, number: int = 0) -> int:
    job, ticket = demo.HOLES[number]
    return floor.take_in_hole(floor.take_in_job(*demo.JOBS[job]), ticket)


def test_what_happened_stands_at_its_arc_time(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        hole_id = taken_in(floor)
        burn_with_events(floor, hole_id)
        page, trace = seen(floor, hole_id)
        assert trace.end_s == pytest.approx(page.row.arc_s, abs=0.01)
        pilot, first, second = trace.burns
        assert (pilot.name, first.name, second.name) == ("pilot 1", "burn 2", "burn 3")
        assert first.begin_s == pilot.end_s
        at = {one.letter: one for one in trace.signs}
        assert at["E"].kind is SignKind.CHANGED
        assert at["E"].arc_s == first.end_s
        touched = [one.arc_s for one in trace.signs if one.letter == "T"]
        assert touched == [first.end_s, second.end_s]
        assert pilot.begin_s < at["P"].arc_s <= pilot.end_s
        assert at["N"].arc_s < at["G"].arc_s <= second.end_s
        assert list(trace.unread) == past_gaps(floor.store.connection, hole_id, floor.streams)
        ((begin_s, end_s),) = trace.unread
        assert end_s - begin_s == pytest.approx(SILENT_S, abs=0.5)
        assert begin_s <= at["Q"].arc_s <= end_s


def test_travel_is_the_depth_and_what_was_lost(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        hole_id = taken_in(floor)
        burn_with_events(floor, hole_id)
        _, trace = seen(floor, hole_id)
        assert all(one.travel_mm >= one.depth.mid - 0.1 for one in trace.moments)
        last, state = trace.moments[-1], trace.state
        assert last.travel_mm - last.depth.mid == pytest.approx(state.wear.wear_mm, abs=0.01)
        # Another electrode has lost nothing yet.
        changed = trace.marks_of(MarkKind.ELECTRODE)[-1].t_s
        before = [one for one in trace.moments if one.t_s < changed][-1]
        after = next(one for one in trace.moments if one.t_s > changed)
        assert after.travel_mm < before.travel_mm - 1.0


def test_a_hole_without_a_plan_has_no_trace(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        hole_id = taken_in(floor)
        page = questions.page(floor.store.connection, hole_id)
        assert page is not None
        assert past_trace(floor.store.connection, page, floor.streams) is None
        told = Told(page, None, LengthUnit.MM, 76)
        assert facts(told) == ""
        assert [part.name for part in PARTS if has_more(part, told)] == ["record"]


@pytest.mark.parametrize("unit", LengthUnit)
@pytest.mark.parametrize("width", [40, 76, 196])
def test_no_line_is_wider_than_there_is_room(tmp_path: Path, unit: LengthUnit, width: int) -> None:
    with open_floor(tmp_path) as floor:
        hole_id = taken_in(floor)
        burn_with_events(floor, hole_id)
        page, trace = seen(floor, hole_id)
        told = Told(page, trace, unit, width)
        for part in PARTS:
            if part.name in ("trace", "record") or width < 76:
                continue
            assert max(map(len, part.lines(told))) <= width
        words = " ".join(" ".join(part.lines(told)) for part in PARTS)
        assert f" {unit}" in words


def test_a_burn_that_was_cut_short_says_so(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk(floor, floor.take_up(taken_in(floor))).to(Step.BURN)
        walk.hole.arc_starts()
        walk.wait(30.0)
        walk.hole.keep()
        floor.take_up(walk.hole.id)
        page, trace = seen(floor, walk.hole.id)
        assert trace.end_s == pytest.approx(page.row.arc_s, abs=0.01)
        told = Told(page, trace, LengthUnit.MM, 76)
        burns = next(part for part in PARTS if part.name == "burns")
        assert "cut short" in " ".join(burns.lines(told))
        assert "at least" in facts(told)


def test_a_through_hole_has_no_limit_to_pass(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk(floor, floor.take_up(taken_in(floor, 1))).to(Step.CLEANOUT)
        page, trace = seen(floor, walk.hole.id)
        assert trace.aim.limit_mm is None
        lines = list(PARTS[1].lines(Told(page, trace, LengthUnit.MM, 76)))
        assert any("none: it falls through" in line for line in lines)


def test_the_parts_follow_each_other() -> None:
    assert PARTS[0] is TRACE
    assert next_part(0, [0, 2]) == 2
    assert next_part(2, [0, 2]) is None
