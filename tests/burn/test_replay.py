"""A replay says what the tracker said."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest

from cockpit.burn.aim import Aim
from cockpit.burn.reading import Mark, MarkKind, Reading
from cockpit.burn.replay import replay, run
from cockpit.burn.trace import Trace, read_trace, write_trace
from tests.burn.hand import Hand
from tests.contract import REPLAY_KEYS

AIM = Aim(recess_mm=3.0, target_mm=9.0, limit_mm=12.0)


def burnt() -> Hand:
    """A burn to the target with a touch-off, a stall and a silence."""
    hand = Hand(AIM)
    hand.start()
    hand.burn(60.0)
    hand.rest(15.0)
    hand.stop()
    hand.mark(MarkKind.TOUCH, 1.1)
    hand.start()
    hand.burn(100.0)
    hand.t_s += 2.0
    hand.burn(10.0)
    hand.stop()
    return hand


def test_a_trace_written_and_replayed_gives_what_the_tracker_gave(tmp_path: Path) -> None:
    hand, text = burnt(), io.StringIO()
    write_trace(text, hand.events)
    path = tmp_path / "trace.csv"
    path.write_text(text.getvalue())
    replayed = replay(read_trace(path), AIM)
    assert {call.kind.value for call in replayed.calls} >= {"stalled", "silent", "near", "target"}
    assert list(replayed.calls) == hand.tracker.calls
    assert replayed.state == hand.state


def test_the_json_has_the_agreed_keys_and_figures() -> None:
    hand = burnt()
    answer = replay(Trace(tuple(hand.events)), AIM).as_json()
    assert list(answer) == list(REPLAY_KEYS)
    state = hand.state
    assert answer["readings"] == state.readings == 1850
    assert answer["arc_s"] == pytest.approx(187.0)
    assert answer["depth_mm"] == pytest.approx(hand.depth.mid, abs=0.001)
    assert answer["wear_ratio"] == pytest.approx(state.wear.ratio, abs=1e-4)
    calls = answer["calls"]
    assert isinstance(calls, list)
    assert [list(call) for call in calls] == [["t_s", "call", "depth_mm", "text"]] * len(calls)
    assert [call["call"] for call in calls] == hand.calls
    assert json.loads(json.dumps(answer)) == answer


def test_without_a_start_the_arc_time_is_the_whole_trace() -> None:
    readings = tuple(Reading.at(0.1 * n, 3.0 + 0.005 * n) for n in range(301))
    replayed = replay(Trace(readings), AIM)
    assert replayed.state.arc_s == pytest.approx(30.0)
    assert replayed.state.depth_mm is not None
    marked = replay(Trace((Mark(0.0, MarkKind.START), *readings, Mark(30.0, MarkKind.STOP))), AIM)
    assert marked == replayed


def test_skipped_rows_and_rejected_readings_are_counted_together() -> None:
    readings = (Reading(0.0, 3.0), Reading(0.1, 99.0), Reading(0.2, 3.0))
    assert replay(Trace(readings, skipped=2), AIM).rejected == 3


def test_marks_alone_come_to_no_depth() -> None:
    answer = replay(Trace((Mark(0.0, MarkKind.START), Mark(0.5, MarkKind.STOP))), AIM).as_json()
    assert answer["depth_mm"] is answer["travel_mm"] is answer["feed_mm_min"] is None
    assert answer["calls"] == []


def test_run_gives_a_tracker_that_can_go_on() -> None:
    hand = burnt()
    half = len(hand.events) // 2
    tracker = run(tuple(hand.events[:half]), AIM)
    for event in hand.events[half:]:
        tracker.take(event)
    assert tracker.state() == hand.state
