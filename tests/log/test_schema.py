"""An older log becomes a newer one, whole or not at all."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from cockpit.log import questions, schema
from cockpit.log.store import LogError, Store
from cockpit.trade.plan import Plan
from tests.log.conftest import TICKET, Bench

MORE = "ALTER TABLE notes ADD COLUMN tag TEXT; CREATE TABLE gaps (gap_um INTEGER) STRICT;"


def next_version(patch: pytest.MonkeyPatch, *migrations: str) -> None:
    """A later cockpit, which knows these steps more."""
    patch.setattr(schema, "MIGRATIONS", (*schema.MIGRATIONS, *migrations))
    patch.setattr(schema, "VERSION", len(schema.MIGRATIONS))


def test_a_semicolon_ends_every_statement_and_stands_nowhere_else() -> None:
    for migration in schema.MIGRATIONS:
        *statements, rest = migration.split(";")
        assert rest.strip() == ""
        for statement in statements:
            assert sqlite3.complete_statement(f"{statement};")
            assert statement.split()[0] in ("CREATE", "ALTER", "INSERT")


def test_a_later_cockpit_brings_the_log_up_and_keeps_every_row(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    hole = bench.take_in()
    bench.store.add_note(bench.shift, hole, "tight")
    bench.store.close()
    next_version(monkeypatch, MORE)
    with Store(bench.path) as later:
        connection = later.connection
        assert schema.version_of(connection) == schema.VERSION
        assert connection.execute("SELECT text, tag FROM notes").fetchall() == [("tight", None)]
        connection.execute("INSERT INTO gaps VALUES (150)")
        with pytest.raises(Exception, match="gaps is append-only"):
            connection.execute("DELETE FROM gaps")


def test_the_first_log_gets_a_place_for_overrides_and_keeps_every_row(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, plan: Plan
) -> None:
    path = tmp_path / "shop.sqlite3"
    with monkeypatch.context() as patch:
        patch.setattr(schema, "MIGRATIONS", schema.MIGRATIONS[:1])
        patch.setattr(schema, "VERSION", 1)
        with Store(path) as first:
            shift = first.open_shift("MT", "standard", "typed")
            job = first.add_job(shift, "Harrowfield Pumps", "HP-2207", "pump casing")
            hole = first.add_hole(shift, job, TICKET, "plan")
            first.add_plan(shift, hole, plan, "{}")
            before = list(first.connection.iterdump())
            assert "overrides" not in schema.tables(first.connection)
    with Store(path) as store:
        assert store.connection.execute("PRAGMA user_version").fetchone() == (schema.VERSION,)
        kept = list(store.connection.iterdump())
        assert [line for line in before if line.startswith("INSERT")] == [
            line for line in kept if line.startswith("INSERT")
        ]
        assert questions.overrides(store.connection, hole) == []
        store.add_override(shift, hole, "remnant.web_mm", 3.9, "measured a like tap")
        assert questions.overrides(store.connection, hole)[0].value == 3.9


@pytest.mark.parametrize(
    "broken", [f"{MORE} ALTER TABLE nowhere ADD COLUMN x TEXT;", f"{MORE} CREATE TABLE gaps (x);"]
)
def test_a_migration_that_fails_leaves_the_file_as_it_was(
    bench: Bench, monkeypatch: pytest.MonkeyPatch, broken: str
) -> None:
    bench.take_in()
    bench.store.close()
    before = bench.path.read_bytes()
    with monkeypatch.context() as patch:
        next_version(patch, MORE, broken)
        with pytest.raises(LogError, match="left as it is"):
            Store(bench.path)
    assert bench.path.read_bytes() == before
    with Store(bench.path) as store:
        assert schema.version_of(store.connection) == schema.VERSION
        store.open_shift("MT", "standard", "typed")


def test_an_empty_file_becomes_a_log(bench: Bench) -> None:
    path = bench.path.with_name("empty.sqlite3")
    path.touch()
    with Store(path) as store:
        assert schema.version_of(store.connection) == schema.VERSION
