"""A hole that was burnt, seen again: its trace through the tracker that saw it the first time."""

from __future__ import annotations

import sqlite3

from pydantic import TypeAdapter

from cockpit.burn.aim import Aim
from cockpit.burn.reading import Mark, Reading
from cockpit.burn.replay import run
from cockpit.burn.state import BurnState
from cockpit.burn.tracker import Tracker
from cockpit.log import questions

AIM = TypeAdapter(Aim)


def past_aim(connection: sqlite3.Connection, hole_id: int) -> Aim | None:
    """What the hole's tracker aimed at; None while no plan was accepted."""
    planned = questions.plan(connection, hole_id)
    return None if planned is None else AIM.validate_json(planned[1])


def past_events(connection: sqlite3.Connection, hole_id: int) -> tuple[Reading | Mark, ...]:
    """The hole's trace: readings and marks in order."""
    return tuple(event for _, event in questions.events(connection, hole_id))


def past_burn(connection: sqlite3.Connection, hole_id: int) -> Tracker | None:
    """The tracker after the hole's last event; None while no plan was accepted."""
    aim = past_aim(connection, hole_id)
    return None if aim is None else run(past_events(connection, hole_id), aim)


def past_depths(connection: sqlite3.Connection, hole_id: int, points: int) -> list[float]:
    """The depth over the arc time, mm, at about so many equal steps of readings."""
    aim = past_aim(connection, hole_id)
    if aim is None:
        return []
    tracker, depths = Tracker(aim), []
    events = past_events(connection, hole_id)
    step = max(1, len(events) // max(points, 1))
    for place, event in enumerate(events):
        tracker.take(event)
        if place % step == 0:
            depths.append(_depth(tracker.state()))
    return depths


def _depth(state: BurnState) -> float:
    return 0.0 if state.depth_mm is None else state.depth_mm.mid
