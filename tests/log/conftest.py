"""A log in a file of its own, a clock that is set by hand, and holes to put in it."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from cockpit import profiles
from cockpit.log.rows import Tally
from cockpit.log.store import Store
from cockpit.trade.plan import Plan, make_plan
from cockpit.trade.remnants import Kind
from cockpit.trade.ticket import Ticket

TICKET = Ticket(
    hole="flange 3",
    thread="M10x1.5",
    broken=Kind.TAP,
    flutes=3,
    depth_mm=22.0,
    recess_mm=3.0,
    tool_end_mm=18.0,
    material="cast iron",
)


#: Where the SQLite file format (section 1.3.3) says what it takes to write a database: if that is
#: over 2, the file may only be read.
WRITE_VERSION_AT = 18


def make_read_only(path: Path) -> None:
    """Forbid SQLite to write this log, by its header: no permission would bind the superuser."""
    with path.open("r+b") as file:
        file.seek(WRITE_VERSION_AT)
        file.write(b"\3")


def break_table(path: Path, table: str) -> None:
    """Overwrite the first page of a table in the log's own file."""
    uri = f"{path.as_uri()}?mode=ro&immutable=1"
    with closing(sqlite3.connect(uri, uri=True)) as connection:
        sql = "SELECT rootpage FROM sqlite_schema WHERE name = ?"
        ((page,),) = connection.execute(sql, [table])
        ((size,),) = connection.execute("PRAGMA page_size")
    with path.open("r+b") as file:
        file.seek((page - 1) * size)
        file.write(b"\xa5" * size)


class Bench:
    """A log with a shift open, and the date as it was set."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.now = datetime(2026, 5, 4, 9, 30, tzinfo=UTC)
        self.store = Store(path, lambda: self.now)
        self.shift = self.store.open_shift("MT", "standard", "simulated")

    def take_in(
        self,
        ticket: Ticket = TICKET,
        customer: str = "Harrowfield Pumps",
        reference: str = "HP-2207",
        part: str = "pump casing",
    ) -> int:
        job = self.store.add_job(self.shift, customer, reference, part)
        return self.store.add_hole(self.shift, job, ticket, "plan")


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Bench]:
    made = Bench(tmp_path / "shop.sqlite3")
    yield made
    made.store.close()


def a_tally(hole_id: int, outcome_id: int, **changes: Any) -> Tally:
    """What an ordinary hole came to."""
    ordinary = Tally(
        hole_id=hole_id,
        outcome_id=outcome_id,
        plan_id=None,
        kind="tap",
        material="cast iron",
        hard_metal=False,
        electrode="7/32 in",
        electrode_mm=5.556,
        electrodes=1,
        arc_s=420.0,
        depth_mm=18.0,
        depth_sd_mm=0.03,
        burnt_mm=15.0,
        worn_mm=4.0,
        area_mm2=26.9,
        amps=192.5,
        amps_said=False,
        wear_ratio=0.22,
        wear_ratio_sd=0.01,
        price=Decimal("88.50"),
        currency="EUR",
    )
    return replace(ordinary, **changes)


@pytest.fixture(scope="session")
def plan() -> Plan:
    return make_plan(TICKET, profiles.load_shop())
