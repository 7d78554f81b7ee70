"""A hole that was burnt, seen again: its trace through the tracker that saw it the first time."""

from __future__ import annotations

import sqlite3
from bisect import bisect_right
from collections.abc import Callable, Sequence
from itertools import groupby

from pydantic import TypeAdapter

from cockpit.burn.aim import Aim
from cockpit.burn.gaps import arc_time_s, gaps
from cockpit.burn.hindsight import Hindsight, Moment
from cockpit.burn.reading import Mark, Reading
from cockpit.burn.replay import run
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


def past_look(connection: sqlite3.Connection, hole_id: int, points: int) -> Hindsight | None:
    """The tracker after the hole's last event and, with hindsight, up to ``points`` moments of it.

    None while no plan was accepted.
    """
    aim = past_aim(connection, hole_id)
    if aim is None:
        return None
    look = Hindsight(aim, points)
    for event in past_events(connection, hole_id):
        look.take(event)
    return look


def past_gaps(
    connection: sqlite3.Connection, hole_id: int, streams: Callable[[str], bool | None]
) -> list[tuple[float, float]]:
    """The spans of the hole's arc time (s) in which a gauge was silent that sends by itself.

    Each sitting by the gauge that it was watched with: a cable that is dead is when people begin to
    type. ``streams``: whether the gauge of a name sends by itself, None where nobody knows that any
    more; then what the hole's last aim says counts.
    """
    aim = past_aim(connection, hole_id)
    if aim is None:
        return []
    sittings = questions.sittings(connection, hole_id)
    return unread_spans(past_events(connection, hole_id), sittings, aim, streams)


def unread_spans(
    past: Sequence[Reading | Mark],
    sittings: Sequence[tuple[float, str | None]],
    aim: Aim,
    streams: Callable[[str], bool | None],
) -> list[tuple[float, float]]:
    """The same of events that are at hand: those of a long hole are not read twice."""
    begins_s = [begin_s for begin_s, _ in sittings]
    unread: list[tuple[float, float]] = []
    arc_s = 0.0
    for number, events in groupby(past, lambda event: bisect_right(begins_s, event.t_s)):
        in_sitting = list(events)
        gauge = sittings[number - 1][1] if number else None
        does = None if gauge is None else streams(gauge)
        if aim.streaming if does is None else does:
            unread += [(arc_s + from_s, arc_s + to_s) for from_s, to_s in gaps(in_sitting)]
        arc_s += arc_time_s(in_sitting)
    return unread


def over_arc_time(
    moments: Sequence[Moment], points: int, unread: Sequence[tuple[float, float]] = ()
) -> list[float | None]:
    """The depth at ``points`` even steps of arc time, mm, up to the last moment.

    Empty without moments. While nothing is known of the depth, as on the way down to the work with
    another electrode, it is what it was. None for a step that was ``unread`` for half of it.
    """
    if not moments:
        return []
    arcs_s = [moment.arc_s for moment in moments]
    begin_s, step_s = arcs_s[0], (arcs_s[-1] - arcs_s[0]) / max(points, 1)
    ends_s = [*(begin_s + step_s * n for n in range(1, points)), arcs_s[-1]]
    return [
        None
        if shared_s(unread, end_s - step_s, end_s) > step_s / 2
        else moments[bisect_right(arcs_s, end_s) - 1].depth.mid
        for end_s in ends_s
    ]


def shared_s(spans: Sequence[tuple[float, float]], from_s: float, to_s: float) -> float:
    """How much of the time from one moment to another lies in these spans, s."""
    return sum(max(0.0, min(end_s, to_s) - max(begin_s, from_s)) for begin_s, end_s in spans)
