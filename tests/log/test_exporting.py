"""The whole log as lines: of one moment, in an order that can be taken in, nothing left out."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from cockpit.log import LogError, schema
from cockpit.log.carrying import Table, row_line, tables_at
from cockpit.log.exporting import export_log, lines
from cockpit.log.opening import open_to_read
from cockpit.trade.plan import Plan
from tests.log.conftest import Bench, break_table
from tests.log.test_store import fill


def exported(path: Path, target: Path) -> list[str]:
    """The lines of a log's export."""
    with closing(open_to_read(path)) as connection:
        rows = export_log(path, connection, target)
    made = target.read_text(encoding="ascii").splitlines()
    assert len(made) == rows + 2
    return made


def test_every_row_of_every_table_is_a_line(bench: Bench, plan: Plan, tmp_path: Path) -> None:
    fill(bench, plan)
    ask = bench.store.connection.execute
    tables = schema.tables(bench.store.connection)
    there = {table: ask(f"SELECT count(*) FROM {table}").fetchone()[0] for table in tables}
    first, *rows, last = map(json.loads, exported(bench.path, tmp_path / "log.json"))
    assert first == {"log": "burn-cockpit", "version": schema.VERSION}
    assert last == {"end": {"rows": len(rows)}}
    told = [next(iter(row)) for row in rows]
    assert {table: told.count(table) for table in tables} == there
    (ticket, correction) = (row["tickets"] for row in rows if "tickets" in row)
    assert ticket["corrects"] is None
    assert correction["corrects"] == ticket["id"]
    assert correction["recess_um"] == 3000


@pytest.mark.parametrize("version", range(1, schema.VERSION + 1))
def test_each_table_comes_after_those_it_points_at(version: int) -> None:
    names = [table.name for table in tables_at(version)]
    assert len(set(names)) == len(names)
    for place, table in enumerate(tables_at(version)):
        assert table.key
        for parent, _ in table.points.values():
            assert parent == table.name or parent in names[:place]


def test_a_number_without_end_is_written_as_json_has_it() -> None:
    table = Table("a", {"x": "REAL", "y": "REAL", "z": "TEXT"}, ("x",), {})
    line = row_line(table, (float("inf"), float("-inf"), "Infinity"))
    assert line == '{"a": {"x": 1e999, "y": -1e999, "z": "Infinity"}}'
    assert json.loads(line)["a"] == {"x": float("inf"), "y": float("-inf"), "z": "Infinity"}


def test_it_is_the_log_at_one_moment(bench: Bench, plan: Plan) -> None:
    hole = fill(bench, plan)
    with closing(open_to_read(bench.path)) as connection:
        coming = lines(bench.path, connection)
        made = [next(coming) for _ in range(3)]
        # Whoever works on writes into a table that is not told yet, and into one that is.
        bench.store.add_note(bench.shift, hole, "written meanwhile")
        bench.store.open_shift("RK", "standard", "simulated")
        made += coming
    assert not any("written meanwhile" in line or "RK" in line for line in made)
    assert json.loads(made[-1])["end"]["rows"] == len(made) - 2


def test_what_is_there_already_stays(bench: Bench, tmp_path: Path) -> None:
    target = tmp_path / "log.json"
    target.write_text("mine", encoding="ascii")
    for there in (target, Path(), Path("/")):
        with pytest.raises(LogError, match="is there already"):
            exported(bench.path, there)
    assert target.read_text(encoding="ascii") == "mine"


def test_bytes_that_are_no_text_are_refused_and_nothing_is_left(
    bench: Bench, plan: Plan, tmp_path: Path
) -> None:
    fill(bench, plan)
    bench.store.connection.execute(
        "INSERT INTO notes (hole_id, shift_id, at_utc, text) "
        "VALUES (1, 1, '2026-05-04T09:30:00+00:00', CAST(x'61ff62' AS TEXT))"
    )
    with pytest.raises(LogError, match=r"rows of notes .* burn-cockpit verify"):
        exported(bench.path, tmp_path / "out" / "log.json")
    assert list((tmp_path / "out").iterdir()) == []


@pytest.mark.parametrize("harm", ["broken", "gone"])
def test_a_table_that_cant_be_read_is_named(
    bench: Bench, plan: Plan, tmp_path: Path, harm: str
) -> None:
    fill(bench, plan)
    bench.store.close()
    if harm == "broken":
        break_table(bench.path, "notes")
    else:
        with closing(sqlite3.connect(bench.path)) as log:
            log.execute("DROP TABLE notes")
    with pytest.raises(LogError, match="rows of notes can't all be read"):
        exported(bench.path, tmp_path / "log.json")
    assert not (tmp_path / "log.json").exists()
