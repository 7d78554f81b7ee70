"""Logs as earlier cockpits wrote them, made from one of now."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

from cockpit.log import schema
from cockpit.log.folding import unfold


def as_version(path: Path, version: int) -> None:
    """Make the closed log at ``path`` what a cockpit of schema ``version`` would have written.

    What that version had no place for is left out; readings that are folded lie open again.
    """
    old = path.with_name(f"version-{version}.sqlite3")
    with closing(sqlite3.connect(old, isolation_level=None)) as connection:
        connection.execute("PRAGMA journal_mode = WAL")
        for statement in "".join(schema.MIGRATIONS[:version]).split(";"):
            connection.execute(statement)
        connection.execute("ATTACH ? AS now", (str(path),))
        for table in schema.tables(connection):
            columns = ", ".join(
                row[1] for row in connection.execute(f"PRAGMA main.table_info({table})")
            )
            connection.execute(f"INSERT INTO {table} ({columns}) SELECT {columns} FROM now.{table}")
        if version < 6:
            for hole_id, body in connection.execute("SELECT hole_id, body FROM now.traces"):
                rows = [(hole_id, *row) for row in unfold(body)]
                connection.executemany("INSERT INTO readings VALUES (?, ?, ?, ?)", rows)
        connection.execute("DETACH now")
        schema.guard(connection)
        connection.execute(f"PRAGMA user_version = {version}")
        connection.execute(f"PRAGMA application_id = {schema.APPLICATION_ID}")
    old.replace(path)
