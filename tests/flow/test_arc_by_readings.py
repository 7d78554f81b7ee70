"""The arc clock follows the head where the gauge's profile says so, and the key wins."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from itertools import pairwise
from pathlib import Path

import pytest

from cockpit.burn.calls import CallKind
from cockpit.burn.reading import Mark
from cockpit.burn.replay import run
from cockpit.flow.floor import ShopFloor
from cockpit.flow.live import TRY_AGAIN_S
from cockpit.flow.past import past_events
from cockpit.flow.steps import Step
from cockpit.gauges import ArcHint, TouchHint
from cockpit.log import questions
from cockpit.log.rows import BurnKind, BurnRow
from tests.flow.walk import Walk, open_floor
from tests.log.conftest import TICKET


class Machine(Walk):
    """Somebody who switches the arc at the machine, and leaves the key alone."""

    def arc(self, on: bool, lasts_s: float) -> None:
        self.floor.gauge.hint(ArcHint(on))
        self.wait(lasts_s)

    def burns(self) -> list[BurnRow]:
        return questions.burns(self.floor.store.connection, self.hole.id)


@contextmanager
def machine_at(step: Step, folder: Path, gauge: str) -> Iterator[Machine]:
    with open_floor(folder, gauge=gauge) as floor:
        walk = Walk.of(floor, TICKET).to(step)
        yield Machine(floor, walk.hole)


def refuse(floor: ShopFloor, on: bool) -> None:
    """Let the log take nothing, as on a full disk, or all again."""
    floor.store.connection.execute(f"PRAGMA query_only = {'ON' if on else 'OFF'}")


def test_the_arc_at_the_machine_starts_and_stops_the_clock(
    tmp_path: Path, by_readings: str
) -> None:
    with machine_at(Step.PILOT, tmp_path, by_readings) as at:
        live = at.hole.live
        at.arc(False, 30.0)
        assert at.burns() == []
        at.arc(True, 40.0)
        assert live.arc_on
        assert live.state().arc_on
        assert live.arc_by == "readings"
        (open_burn,) = at.burns()
        assert (open_burn.kind, open_burn.end_s) == (BurnKind.PILOT, None)
        at.arc(False, 20.0)
        assert not live.arc_on
        (burn,) = at.burns()
        assert burn.how == "operator"
        # 2.5 s down to the work, some more until it is seen; lifted out, it is off 2 s later.
        assert 32.0 <= burn.arc_s <= 40.0
        at.hole.pilot_done()


def test_a_whole_way_without_the_key_replays_as_it_was_seen(
    tmp_path: Path, by_readings: str
) -> None:
    with machine_at(Step.BURN, tmp_path, by_readings) as at:
        for _ in range(2):
            at.arc(True, 60.0)
            at.arc(False, 15.0)
        assert [burn.kind for burn in at.burns()] == [BurnKind.PILOT, BurnKind.BURN, BurnKind.BURN]
        events = past_events(at.floor.store.connection, at.hole.id)
        assert all(one.t_s <= next_one.t_s for one, next_one in pairwise(events))
        live = at.hole.live
        again = run(events, live.tracker.aim)
        assert again.calls == live.tracker.calls
        # What burnt before it was seen is no fall.
        assert CallKind.THROUGH not in {call.kind for call in again.calls}
        assert again.state().arc_s == live.state().arc_s
        assert again.state().high_mm == live.state().high_mm


@pytest.mark.parametrize("look_s", [0.7, 3.0])
def test_how_often_the_gauge_is_looked_at_is_no_matter(
    tmp_path: Path, by_readings: str, look_s: float
) -> None:
    traces = []
    for n, every_s in enumerate((0.1, look_s)):
        with machine_at(Step.PILOT, tmp_path / str(n), by_readings) as at:
            at.clock.advance(0.05)  # so that no reading falls due with a look
            for on in (True, False):
                at.floor.gauge.hint(ArcHint(on))
                for _ in range(round(21.0 / every_s)):
                    at.clock.advance(every_s)
                    at.hole.live.pump()
            traces.append(past_events(at.floor.store.connection, at.hole.id))
    assert sum(isinstance(event, Mark) for event in traces[0]) == 2
    assert traces[0] == traces[1]


def test_unless_the_profile_says_so_the_key_alone_counts(tmp_path: Path) -> None:
    with machine_at(Step.PILOT, tmp_path, "simulated") as at:
        at.arc(True, 60.0)
        assert at.burns() == []
        assert at.hole.live.arc_by == ""


def test_a_new_electrode_is_seen_to_burn_where_it_lands(tmp_path: Path, by_readings: str) -> None:
    with machine_at(Step.BURN, tmp_path, by_readings) as at:
        at.arc(True, 120.0)
        at.arc(False, 15.0)
        worn_mm = at.hole.live.state().high_mm
        at.hole.change_electrode()
        at.step()
        at.step()
        assert at.hole.step is Step.BURN
        at.wait(20.0)
        before = len(at.burns())
        at.arc(True, 20.0)
        assert len(at.burns()) == before + 1
        travel_mm = at.hole.live.state().travel_mm
        assert worn_mm is not None
        assert travel_mm is not None
        # A new one is longer: it stands on the work higher than the worn one did.
        assert travel_mm < worn_mm - 0.5


# Where it may not -------------------------------------------------------------------------------


@pytest.mark.parametrize("step", [Step.CHECKS, Step.CENTRE, Step.GUARD, Step.TOUCH, Step.CLEANOUT])
def test_away_from_the_arc_readings_start_nothing(
    tmp_path: Path, by_readings: str, step: Step
) -> None:
    with machine_at(step, tmp_path, by_readings) as at:
        before = len(at.burns())
        at.floor.gauge.hint(TouchHint(False))
        at.arc(True, 60.0)
        assert not at.hole.live.arc_on
        assert len(at.burns()) == before


def test_what_was_read_before_the_guard_was_confirmed_does_not_count(
    tmp_path: Path, by_readings: str
) -> None:
    with machine_at(Step.GUARD, tmp_path, by_readings) as at:
        at.floor.gauge.hint(ArcHint(True))
        at.clock.advance(60.0)
        at.floor.gauge.hint(ArcHint(False))
        at.step()
        at.wait(20.0)
        assert at.hole.step is Step.BURN
        assert len(at.burns()) == 1


def test_powder_of_a_burn_by_itself_is_to_be_cleaned_out_too(
    tmp_path: Path, by_readings: str
) -> None:
    with machine_at(Step.BURN, tmp_path, by_readings) as at:
        hole = at.hole
        hole.clean_out()
        steps = hole.cleanout_left()
        at.wait(1.0)
        for key, text in steps:
            hole.cleaned(key, text)
        assert hole.cleanout_left() == []
        hole.back_to(Step.GUARD)
        at.step()
        assert hole.step is Step.BURN
        before = len(at.burns())
        at.arc(True, 30.0)
        at.arc(False, 10.0)
        assert len(at.burns()) == before + 1
        hole.clean_out()
        assert hole.cleanout_left() == steps


# The key wins -----------------------------------------------------------------------------------


def test_off_by_key_stays_off_until_the_head_was_lifted_clear(
    tmp_path: Path, by_readings: str
) -> None:
    with machine_at(Step.BURN, tmp_path, by_readings) as at:
        at.arc(True, 20.0)
        before = len(at.burns())
        at.hole.arc_stops()
        at.arc(True, 60.0)
        assert not at.hole.live.arc_on
        assert at.hole.live.arc_by == "key"
        assert len(at.burns()) == before
        at.arc(False, 15.0)
        at.arc(True, 20.0)
        assert at.hole.live.arc_on
        assert at.hole.live.arc_by == "readings"
        assert len(at.burns()) == before + 1


def test_on_by_key_stays_on_until_an_advance_was_seen(tmp_path: Path, by_readings: str) -> None:
    with machine_at(Step.BURN, tmp_path, by_readings) as at:
        at.hole.arc_starts()
        at.arc(False, 60.0)
        assert at.hole.live.arc_on
        assert at.hole.live.arc_by == "key"
        at.arc(True, 20.0)
        assert at.hole.live.arc_on
        at.arc(False, 15.0)
        assert not at.hole.live.arc_on
        assert at.burns()[-1].arc_s >= 75.0


def test_the_key_in_between_starts_and_stops_nothing_twice(
    tmp_path: Path, by_readings: str
) -> None:
    with machine_at(Step.BURN, tmp_path, by_readings) as at:
        before = len(at.burns())
        at.arc(True, 20.0)
        at.hole.arc_starts()
        assert len(at.burns()) == before + 1
        at.hole.arc_stops()
        at.hole.arc_stops()
        assert [burn.end_s is None for burn in at.burns()].count(True) == 0
        at.hole.arc_starts()
        assert len(at.burns()) == before + 2


# A log that fails -------------------------------------------------------------------------------


def test_a_start_that_the_log_does_not_take_is_said_and_kept_later(
    tmp_path: Path, by_readings: str
) -> None:
    with machine_at(Step.PILOT, tmp_path, by_readings) as at:
        refuse(at.floor, True)
        at.arc(True, 20.0)
        live = at.hole.live
        assert "can't be written" in live.trouble
        assert live.arc_on
        assert live.state().arc_on
        assert at.burns() == []
        refuse(at.floor, False)
        at.wait(TRY_AGAIN_S + 0.2)
        assert live.trouble == ""
        assert live.arc_on
        assert live.state().arc_on
        assert len(at.burns()) == 1


def test_a_stop_that_the_log_does_not_take_is_said_and_kept_later(
    tmp_path: Path, by_readings: str
) -> None:
    with machine_at(Step.PILOT, tmp_path, by_readings) as at:
        at.arc(True, 20.0)
        refuse(at.floor, True)
        at.arc(False, 20.0)
        live = at.hole.live
        assert "can't be written" in live.trouble
        assert not live.arc_on
        assert not live.state().arc_on
        assert [burn.end_s for burn in at.burns()] == [None]
        refuse(at.floor, False)
        at.wait(TRY_AGAIN_S + 0.2)
        (burn,) = at.burns()
        assert burn.end_s is not None
        events = past_events(at.floor.store.connection, at.hole.id)
        assert run(events, live.tracker.aim).state().arc_s == burn.arc_s == live.state().arc_s
