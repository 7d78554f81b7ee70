"""The log of the tests of the log, and holes that were rehearsed from take-in to record."""

from __future__ import annotations

from contextlib import closing
from pathlib import Path

import pytest

from cockpit.flow.past import past_events, past_look
from cockpit.flow.rehearsal import rehearse
from cockpit.log import questions
from cockpit.log.opening import open_to_read
from cockpit.record.facts import POINTS, HoleFacts, Look, hole_facts
from tests.log.conftest import bench, plan

__all__ = ["bench", "plan"]

#: Rehearsals: a tap in a blind hole, and a tap in one that goes through.
BLIND, THROUGH = 2, 1


def rehearsed(folder: Path, seed: int) -> HoleFacts:
    rehearse(folder, seed)
    with closing(open_to_read(folder / "shop.sqlite3")) as connection:
        page = questions.page(connection, 1)
        seen = past_look(connection, 1, POINTS)
        events = past_events(connection, 1)
    assert page is not None
    assert seen is not None
    return hole_facts(page, Look(seen.tracker.state(), seen.moments(), events))


@pytest.fixture(scope="session")
def blind(tmp_path_factory: pytest.TempPathFactory) -> HoleFacts:
    """The facts of a blind hole, burnt to its target."""
    return rehearsed(tmp_path_factory.mktemp("blind"), BLIND)


@pytest.fixture(scope="session")
def through(tmp_path_factory: pytest.TempPathFactory) -> HoleFacts:
    """The facts of a hole that fell through."""
    return rehearsed(tmp_path_factory.mktemp("through"), THROUGH)
