"""An older log becomes a newer one, whole or not at all."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest

from cockpit.burn.reading import Mark, MarkKind
from cockpit.log import backups, questions, schema
from cockpit.log.rows import BurnEnd, BurnKind, CheckResult
from cockpit.log.store import LogError, Store
from cockpit.trade.centring import judge_centre
from cockpit.trade.plan import Plan
from tests.log.conftest import Bench
from tests.log.older import as_version
from tests.log.test_store import fill

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
            assert statement.split()[0] in ("CREATE", "ALTER", "INSERT", "UPDATE", "DROP")


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


def rows(path: Path) -> dict[str, list[dict[str, object]]]:
    """Every row of every table, by name of column."""
    with closing(sqlite3.connect(path)) as connection:
        connection.row_factory = sqlite3.Row
        return {
            table: [dict(row) for row in connection.execute(f"SELECT * FROM {table}")]
            for table in schema.tables(connection)
        }


@pytest.mark.parametrize("version", range(1, schema.VERSION))
def test_a_log_of_every_earlier_version_comes_up_with_every_row_it_had(
    bench: Bench, plan: Plan, version: int
) -> None:
    hole = fill(bench, plan)
    bench.store.close()
    as_version(bench.path, version)
    before = rows(bench.path)
    with Store(bench.path) as store:
        assert schema.version_of(store.connection) == schema.VERSION
        assert len(questions.events(store.connection, hole)) == 5 + (version >= 5)
        store.add_override(1, hole, "remnant.web_mm", 3.8, "measured again")
        assert questions.overrides(store.connection, hole)[0].value == 3.8
    after = rows(bench.path)
    for table, held in before.items():
        pairs = zip(held, after[table][: len(held)], strict=True)
        assert [{name: row[name] for name in old} for old, row in pairs] == held
    (copy,) = backups.kept(bench.path)
    assert rows(copy) == before
    with closing(sqlite3.connect(copy)) as connection:
        assert schema.version_of(connection) == version


def test_what_came_before_what_is_known_of_an_older_log_by_its_dates(
    bench: Bench, plan: Plan
) -> None:
    store, shift, hole = bench.store, bench.shift, bench.take_in()
    store.add_plan(shift, hole, plan, "{}")
    for minutes, item in ((1, "ground"), (2, "clean-out 1")):
        bench.now += timedelta(minutes=minutes)
        store.add_check(shift, hole, item, item, CheckResult.CONFIRMED)
    bench.now += timedelta(minutes=1)
    store.add_step(shift, hole, "electrode")
    for seq, minutes in ((0, 1), (2, 10)):
        bench.now += timedelta(minutes=minutes)
        start, stop = Mark(float(minutes), MarkKind.START), Mark(minutes + 0.5, MarkKind.STOP)
        burn = store.open_burn(shift, hole, BurnKind.PILOT, seq, start)
        store.close_burn(shift, hole, burn, BurnEnd.OPERATOR, seq + 1, stop)
        bench.now += timedelta(minutes=1)
        if seq == 0:
            store.add_centre(shift, hole, judge_centre(plan.electrode.window, 0.1, -0.1))
    store.close()
    as_version(bench.path, 5)
    with Store(bench.path) as later:
        assert questions.has_new_spot(later.connection, hole)
        assert questions.answered_at_step(later.connection, hole) == set()
        holds = {row.item: row.holds for row in questions.hole_checks(later.connection, hole)}
        assert holds == {"ground": True, "clean-out 1": False}
        later.add_centre(shift, hole, judge_centre(plan.electrode.window, 0.1, -0.1))
        assert not questions.has_new_spot(later.connection, hole)


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
