"""Gauge to tracker to log: what was seen is kept, and a log that fails loses nothing."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest

from cockpit.burn.calls import CallKind
from cockpit.burn.replay import run
from cockpit.flow.floor import ShopFloor
from cockpit.flow.live import TRY_AGAIN_S
from cockpit.flow.past import past_events, past_gaps
from cockpit.flow.steps import Step
from cockpit.gauges import TypedGauge
from cockpit.log import questions
from cockpit.log.rows import BurnKind
from cockpit.log.store import LogError
from tests.flow.walk import Walk, open_floor
from tests.log.conftest import TICKET


def kept(floor: ShopFloor, walk: Walk) -> int:
    return len(past_events(floor.store.connection, walk.hole.id))


def test_readings_wait_a_quarter_of_a_second_at_most(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor).to(Step.PILOT)
        walk.hole.arc_starts()
        for _ in range(100):
            walk.wait(0.1)
            seen = walk.hole.live.state().readings + 1
            assert seen - 3 <= kept(floor, walk) <= seen


def test_how_often_the_gauge_is_looked_at_changes_nothing(tmp_path: Path) -> None:
    traces = []
    for n, look_s in enumerate((0.1, 0.7)):
        with open_floor(tmp_path / str(n)) as floor:
            walk = Walk.of(floor, TICKET).to(Step.PILOT)
            walk.hole.arc_starts()
            for _ in range(round(42.0 / look_s)):
                walk.clock.advance(look_s)
                walk.hole.live.pump()
            walk.hole.arc_stops()
            traces.append(
                (past_events(floor.store.connection, walk.hole.id), walk.hole.live.tracker.calls)
            )
    assert len(traces[0][0]) > 400
    assert traces[0] == traces[1]


def test_what_the_log_can_not_take_waits_and_the_burn_goes_on(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor).to(Step.PILOT)
        live = walk.hole.live
        walk.hole.arc_starts()
        walk.wait(5.0)
        floor.store.connection.execute("PRAGMA query_only = ON")
        walk.wait(5.0)
        assert "can't be written" in live.trouble
        assert live.state().readings == pytest.approx(100, abs=2)
        assert live.state().arc_on
        before = kept(floor, walk)
        assert live.standing[0].kind is CallKind.LOG
        floor.store.connection.execute("PRAGMA query_only = OFF")
        walk.wait(TRY_AGAIN_S + 0.2)
        assert live.trouble == ""
        assert CallKind.LOG not in {call.kind for call in live.standing}
        page = questions.page(floor.store.connection, walk.hole.id)
        assert page is not None
        assert [call.call for call in page.calls].count("log") == 1
        walk.hole.arc_stops()
        assert kept(floor, walk) == live.state().readings + 2 > before + 50


def test_an_arc_that_the_log_does_not_take_runs_and_is_kept_when_it_does(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor).to(Step.PILOT)
        live, ask = walk.hole.live, floor.store.connection.execute
        ask("PRAGMA query_only = ON")
        assert walk.hole.arc_starts().arc_on
        assert "can't be written" in live.trouble
        walk.wait(8.0)
        assert not walk.hole.arc_stops().arc_on
        walk.wait(3.0)
        happened_s = live.now_s()
        with pytest.raises(LogError, match=r"\d+ readings, marks and calls .* not in the log yet"):
            walk.hole.leave()
        assert questions.burns(floor.store.connection, walk.hole.id) == []
        ask("PRAGMA query_only = OFF")
        walk.hole.leave()
        (burn,) = questions.burns(floor.store.connection, walk.hole.id)
        assert burn.arc_s == pytest.approx(8.0, abs=0.2)
        assert (burn.how, burn.started_by, burn.ended_by) == ("operator", "key", "key")
        began = datetime.fromisoformat(burn.at_utc)
        assert (floor.clock.utc() - began).total_seconds() == pytest.approx(
            happened_s - burn.start_s, abs=0.5
        )
        assert len(past_events(floor.store.connection, walk.hole.id)) > 2 + 100
        assert run(past_events(floor.store.connection, walk.hole.id), live.tracker.aim).calls == [
            call for call in live.calls if call.kind is not CallKind.LOG
        ]


def test_no_step_is_in_the_log_before_the_burn_that_led_to_it(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor).to(Step.BURN)
        hole, ask = walk.hole, floor.store.connection.execute
        ask("PRAGMA query_only = ON")
        hole.arc_starts()
        walk.wait(4.0)
        hole.arc_stops()
        with pytest.raises(LogError, match="not in the log yet"):
            hole.clean_out()
        assert hole.step is Step.BURN
        # Freed: the next step goes, and takes with it what waited, however soon it comes.
        ask("PRAGMA query_only = OFF")
        hole.clean_out()
        burn = questions.burns(floor.store.connection, hole.id)[-1]
        assert burn.arc_s == pytest.approx(4.0, abs=0.2)
        assert burn.end_s is not None
        key, text = hole.cleanout_left()[0]
        hole.cleaned(key, text)
        hole.leave()
        assert key not in {left for left, _ in floor.take_up(hole.id).cleanout_left()}


def test_a_reading_that_waited_while_nobody_looked_says_nothing_of_now(tmp_path: Path) -> None:
    """Else a gauge unplugged while a word was typed would confirm by itself that it is live."""
    with open_floor(tmp_path, gauge="typed") as floor:
        walk, gauge = Walk.of(floor, TICKET).to(Step.CHECKS), floor.gauge
        assert isinstance(gauge, TypedGauge)
        for look in (walk.hole.live.glance, floor.glance):
            gauge.type("3.1")
            walk.clock.advance(10.0)
            assert look() is None
            gauge.type("3.2")
            seen = look()
            assert seen is not None
            assert seen.travel_mm == 3.2


def test_typed_readings_reach_tracker_and_log_and_nonsense_is_counted(tmp_path: Path) -> None:
    with ShopFloor(tmp_path, gauge="typed") as floor:
        floor.open_shift("MT")
        job = floor.take_in_job("Harrowfield Pumps", "HP-2207", "pump casing")
        hole = floor.take_up(floor.take_in_hole(job, TICKET))
        hole.accept_plan()
        assert isinstance(floor.gauge, TypedGauge)
        hole.live.arc_starts(BurnKind.PILOT)
        for text in ("3.1", "nonsense", "3,2", "0.125 in"):
            floor.gauge.type(text)
        state = hole.live.pump()
        hole.arc_stops()
        assert (state.readings, hole.live.rejects) == (2, 2)
        assert len(past_events(floor.store.connection, hole.id)) == 4
        assert [call.kind.value for call in hole.live.tracker.calls] == []


def test_each_sitting_has_the_gaps_of_the_gauge_it_was_watched_with(tmp_path: Path) -> None:
    """A cable that is dead is when people begin to type: what it left out stays told."""
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor).to(Step.PILOT)
        walk.hole.arc_starts()
        walk.wait(6.0)
        for _ in range(80):
            walk.clock.advance(0.1)
            floor.gauge.drain()
        walk.hole.arc_stops()
        walk.hole.leave()
        ((begin_s, end_s),) = gaps_of(floor, walk)
        assert begin_s == pytest.approx(6.0, abs=0.3)
        assert end_s == pytest.approx(14.0, abs=0.3)
        floor.use_gauge("typed")
        hole = floor.take_up(walk.hole.id)
        # The zero of the gauge before says nothing of this one.
        assert hole.step is Step.AGAIN
        Walk(floor, hole).to(Step.PILOT)
        assert isinstance(floor.gauge, TypedGauge)
        hole.arc_starts()
        for depth_mm in (3.2, 3.3, 3.4):
            walk.clock.advance(10.0)
            floor.gauge.type(str(depth_mm))
            hole.live.pump()
        hole.arc_stops()
        assert len(past_events(floor.store.connection, hole.id)) > 60
        assert gaps_of(floor, walk) == [(begin_s, end_s)]


def gaps_of(floor: ShopFloor, walk: Walk) -> list[tuple[float, float]]:
    return past_gaps(floor.store.connection, walk.hole.id, floor.streams)
