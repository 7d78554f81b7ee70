"""A hole that an earlier cockpit left half burnt is taken up by this one."""

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path

import pytest

from cockpit import profiles
from cockpit.burn.aim import Aim
from cockpit.burn.reading import Mark, MarkKind, Reading
from cockpit.flow.steps import Step
from cockpit.log import schema
from cockpit.log.rows import BurnEnd, BurnKind
from cockpit.log.store import Store
from cockpit.trade.plan import make_plan
from tests.flow.walk import Walk, open_floor
from tests.log.conftest import TICKET
from tests.log.older import as_version

#: What an aim held before it knew of a plan's expectations.
OLD_KEYS = (
    "recess_mm",
    "target_mm",
    "limit_mm",
    "wear_mean",
    "wear_sd",
    "noise",
    "streaming",
)


def half_burnt(path: Path, version: int) -> None:
    """A log of an earlier schema: two minutes of burning and a touch-off."""
    old = asdict(Aim(recess_mm=3.0, target_mm=18.0, limit_mm=21.5))
    with Store(path) as store:
        shift = store.open_shift("MT", "standard", "simulated")
        job = store.add_job(shift, "Harrowfield Pumps", "HP-2207", "pump casing")
        hole = store.add_hole(shift, job, TICKET, "plan")
        plan = make_plan(TICKET, profiles.load_shop())
        store.add_plan(shift, hole, plan, json.dumps({key: old[key] for key in OLD_KEYS}))
        store.add_step(shift, hole, Step.BURN)
        store.add_sitting(shift, hole, 0.0)
        burn = store.open_burn(shift, hole, BurnKind.BURN, 0, Mark(0.0, MarkKind.START))
        readings = [(n, Reading.at(n / 10, 3.0 + 0.06 * n / 10)) for n in range(1, 1200)]
        store.add_readings(hole, readings)
        stop = Mark(120.0, MarkKind.STOP)
        store.close_burn(shift, hole, burn, BurnEnd.OPERATOR, 1200, stop)
        store.add_mark(shift, hole, 1201, Mark(130.0, MarkKind.TOUCH, 1.8))
    as_version(path, version)


@pytest.mark.parametrize("version", range(1, schema.VERSION))
def test_it_goes_on_with_all_that_was_burnt_and_measured(tmp_path: Path, version: int) -> None:
    half_burnt(tmp_path / "shop.sqlite3", version)
    with open_floor(tmp_path) as floor:
        hole = floor.take_up(1)
        assert hole.step is Step.GUARD
        state = hole.live.state()
        assert state.depth_mm is not None
        assert state.depth_mm.mid == pytest.approx(3.0 + 7.2 - 1.8, abs=0.1)
        assert hole.live.tracker.aim.reach_mm is None
        walk = Walk(floor, hole).to(Step.BURN)
        hole.change_electrode()
        walk.to(Step.BURN)
        walk.burn_until(lambda: walk.depth_mm() >= 12.0)
        assert hole.live.state().electrodes == 2
