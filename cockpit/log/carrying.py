"""The form in which a whole log is carried elsewhere: JSON, a line a row.

The first line says what it is and of which version of the log, the last one how many rows there
are. Each line between is one object with one key, the table, which holds the row: all its columns
by name, as the log keeps them; what is no text (the readings, folded) in Base64, RFC 4648. The
tables stand in an order in which a row comes after every row that it points at. All of it is in
ASCII, so that it goes through anything.

>>> first_line(7)
'{"log": "burn-cockpit", "version": 7}'
>>> last_line(3)
'{"end": {"rows": 3}}'
"""

from __future__ import annotations

import json
import sqlite3
from base64 import b64encode
from collections.abc import Sequence
from contextlib import closing
from dataclasses import dataclass
from math import isinf
from typing import Final

from cockpit.log import schema

#: What the first line says it is, and what the last one begins with.
LOG, NAME, VERSION, END, ROWS = "log", "burn-cockpit", "version", "end", "rows"
#: Each kind of column of a STRICT table that the log has, and what JSON has for it.
HELD: Final[dict[str, tuple[type, ...]]] = {
    "INTEGER": (int,),
    "REAL": (float, int),
    "TEXT": (str,),
    "BLOB": (str,),
}


@dataclass(frozen=True, slots=True)
class Table:
    """A table as one version of the log has it.

    ``columns``: their names and kinds. ``key``: the columns by which its rows are put in order.
    ``points``: the columns that point at a row of another table, or of this one, and at which.
    """

    name: str
    columns: dict[str, str]
    key: tuple[str, ...]
    points: dict[str, tuple[str, str]]


def build(connection: sqlite3.Connection, first: int, last: int) -> None:
    """Bring an open transaction's tables from version ``first`` to ``last``; 0 is no table yet."""
    for migration in schema.MIGRATIONS[first:last]:
        for statement in migration.split(";"):
            connection.execute(statement)


def tables_at(version: int) -> list[Table]:
    """The tables of a version of the log, each after those that it points at."""
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as made:
        build(made, 0, version)
        return _in_order(made)


def _in_order(connection: sqlite3.Connection) -> list[Table]:
    every = {name: _table(connection, name) for name in schema.tables(connection)}
    placed: dict[str, Table] = {}

    def place(table: Table) -> None:
        for parent, _ in table.points.values():
            if parent != table.name and parent not in placed:
                place(every[parent])
        placed.setdefault(table.name, table)

    for table in every.values():
        place(table)
    return list(placed.values())


def _table(connection: sqlite3.Connection, name: str) -> Table:
    columns = connection.execute(f"PRAGMA table_info({name})").fetchall()
    by_place = sorted((place, column) for _, column, *_, place in columns if place)
    key = tuple(column for _, column in by_place)
    points = {
        column: (parent, to or "id")
        for _, _, parent, column, to, *_ in connection.execute(f"PRAGMA foreign_key_list({name})")
    }
    return Table(name, {column: kind for _, column, kind, *_ in columns}, key, points)


def first_line(version: int) -> str:
    """What it is, and of which version of the log."""
    return json.dumps({LOG: NAME, VERSION: version})


def last_line(rows: int) -> str:
    """That it is all there."""
    return json.dumps({END: {ROWS: rows}})


def row_line(table: Table, row: Sequence[object]) -> str:
    """One row.

    >>> row_line(Table("a", {"id": "INTEGER", "b": "BLOB"}, ("id",), {}), (1, b"abc"))
    '{"a": {"id": 1, "b": "YWJj"}}'
    """
    held = [b64encode(one).decode("ascii") if isinstance(one, bytes) else one for one in row]
    if any(isinstance(one, float) and isinf(one) for one in held):
        # JSON has no word for it; a number too large for any float is read as it everywhere.
        pairs = ", ".join(map(_pair, table.columns, held))
        return f"{{{json.dumps(table.name)}: {{{pairs}}}}}"
    return json.dumps({table.name: dict(zip(table.columns, held, strict=True))})


def _pair(column: str, held: object) -> str:
    is_endless = isinstance(held, float) and isinf(held)
    said = ("1e999" if held == float("inf") else "-1e999") if is_endless else json.dumps(held)
    return f"{json.dumps(column)}: {said}"
