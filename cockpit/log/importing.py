"""A log from a file that another one was exported to; ``carrying.py`` says in which form.

The log is made beside its place, in one transaction, looked at as ``burn-cockpit verify`` does, and
only then put there: all of it or nothing.
"""

from __future__ import annotations

import json
import os
import sqlite3
from base64 import b64decode
from binascii import Error as Base64Error
from collections.abc import Collection, Iterator
from contextlib import closing, suppress
from pathlib import Path
from typing import Any, BinaryIO, Final

from cockpit.log import LogError, backups, schema, soundness
from cockpit.log.carrying import (
    END,
    HELD,
    LOG,
    NAME,
    ROWS,
    VERSION,
    Table,
    build,
    tables_at,
)
from cockpit.log.lock import LogLock
from cockpit.log.opening import lost, open_to_write
from cockpit.units import quoted

#: No row is longer than this; a line that is, is none of an export, and would fill the memory.
LONGEST_LINE_BYTES: Final = 64 * 2**20
#: SQLite's whole numbers.
WHOLE_BITS: Final = 63
#: How a wrong kind of value is named, by the kind of the column.
_NAMED: Final = {
    "INTEGER": "a whole number",
    "REAL": "a number",
    "TEXT": "a text",
    "BLOB": "a text in Base64",
}


class _LineError(Exception):
    """What is wrong with a line: the rest of a sentence that begins with where it is."""


def import_log(path: Path, source: Path, steps: Collection[str]) -> int:
    """Make the log at ``path``, where none or an empty one is, from ``source``; how many rows.

    ``steps``: the names of the steps that there are. Raises LogError, and then all is as it was.
    """
    if said := lost(path):
        raise LogError(said)
    incoming = path.with_name(f".{path.name}.incoming")
    try:
        with source.open("rb") as file:
            path.parent.mkdir(parents=True, exist_ok=True)
            with LogLock(path):
                return _put_there(path, incoming, source, file, steps)
    except OSError as error:
        why = error.strerror or error
        raise LogError(
            f"{path}: can't be made of {source} ({why}); check the file and the disk."
        ) from error


def _put_there(
    path: Path, incoming: Path, source: Path, file: BinaryIO, steps: Collection[str]
) -> int:
    _refuse_rows(path)
    _unlink(incoming)  # of an import that was cut short
    try:
        rows = _fill(incoming, source, file, steps)
        for end in backups.BESIDE:
            path.with_name(path.name + end).unlink(missing_ok=True)
        incoming.replace(path)
    finally:
        _unlink(incoming)
    return rows


def _refuse_rows(path: Path) -> None:
    """Refuse a log that holds something. Raises LogError."""
    if not backups.holds(path):
        return
    with closing(open_to_write(path)) as connection:
        for table in schema.tables(connection):
            if connection.execute(f"SELECT 1 FROM {table} LIMIT 1").fetchone():
                raise LogError(
                    f"{path}: holds a log already ({table}); an export goes into a new log or an "
                    "empty one, so name another folder with --data."
                )


def _unlink(incoming: Path) -> None:
    with suppress(OSError):
        for end in ("", *backups.BESIDE, "-journal"):
            incoming.with_name(incoming.name + end).unlink(missing_ok=True)


def _fill(incoming: Path, source: Path, file: BinaryIO, steps: Collection[str]) -> int:
    """The log in a file of its own, on the disk; how many rows. Raises LogError."""
    at = [0]
    try:
        with closing(sqlite3.connect(incoming, isolation_level=None)) as connection:
            # As the cockpit makes a new one; what a power cut leaves is no log yet.
            for pragma in ("page_size = 2048", "journal_mode = MEMORY", "synchronous = OFF"):
                connection.execute(f"PRAGMA {pragma}")
            connection.execute("PRAGMA foreign_keys = ON")
            connection.execute("BEGIN IMMEDIATE")
            rows = _Filling(connection).take(_numbered(file, at))
            connection.execute("COMMIT")
            _refuse_unsound(source, connection, steps)
            connection.execute("PRAGMA journal_mode = WAL")
    except _LineError as wrong:
        raise LogError(f"{source}: line {at[0]} {wrong}; nothing was imported.") from wrong
    except sqlite3.Error as error:
        raise LogError(
            f"{incoming}: the log can't be made there ({error}); check the disk."
        ) from error
    with incoming.open("rb+") as made:
        os.fsync(made.fileno())
    return rows


def _refuse_unsound(source: Path, connection: sqlite3.Connection, steps: Collection[str]) -> None:
    for name, found in soundness.faults(connection, steps):
        if found:
            raise LogError(
                f"{source}: what it holds is not sound ({name}: {found[0].what}); nothing was "
                "imported. Mend the log that it comes from, or carry that over as it is: "
                "burn-cockpit backup and restore."
            )


def _numbered(file: BinaryIO, at: list[int]) -> Iterator[dict[str, Any]]:
    """The lines, each read as one JSON object; ``at`` holds the number of the one that is read."""
    while line := file.readline(LONGEST_LINE_BYTES + 1):
        at[0] += 1
        if len(line) > LONGEST_LINE_BYTES:
            raise _LineError("is longer than any row of a log")
        yield _object(line)


def _object(line: bytes) -> dict[str, Any]:
    try:
        told = json.loads(line.decode(), object_pairs_hook=_once, parse_constant=_no_number)
    except UnicodeDecodeError as error:
        raise _LineError("is not UTF-8") from error
    except (ValueError, RecursionError) as error:
        raise _LineError(f"is no JSON ({error})") from error
    if not isinstance(told, dict) or len(told) == 0:
        raise _LineError("is no JSON object with a name in it")
    return told


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    if len(told := dict(pairs)) < len(pairs):
        raise ValueError("a name is in it twice")
    return told


def _no_number(name: str) -> float:
    raise ValueError(f"{name} is no number")


class _Filling:
    """Takes an export line by line into the log, which is in a transaction."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        self._connection = connection
        self._tables: dict[str, Table] = {}
        self._inserts: dict[str, str] = {}
        self._rows = 0

    def take(self, lines: Iterator[dict[str, Any]]) -> int:
        """All lines; how many rows there were. Raises _LineError."""
        first = next(lines, None)
        if first is None:
            raise _LineError("is not there: the file is empty")
        version = self._begin(first)
        for told in lines:
            if END in told:
                self._check_end(told)
                break
            self._add_row(told)
        else:
            raise _LineError(
                "is the last one and does not say that it is the end: the file was cut off, so "
                "take it over once more"
            )
        if next(lines, None) is not None:
            raise _LineError("comes after the end")
        build(self._connection, version, schema.VERSION)
        schema.guard(self._connection)
        self._connection.execute(f"PRAGMA user_version = {schema.VERSION}")
        self._connection.execute(f"PRAGMA application_id = {schema.APPLICATION_ID}")
        return self._rows

    def _begin(self, first: dict[str, Any]) -> int:
        """The tables of the version that the first line names."""
        version = first.get(VERSION)
        if first.keys() != {LOG, VERSION} or first[LOG] != NAME or type(version) is not int:
            raise _LineError("does not begin an exported log")
        if version > schema.VERSION:
            raise _LineError(
                f"says that a newer cockpit wrote it (log version {version}, this one knows "
                f"{schema.VERSION}), so update the cockpit"
            )
        if version < 1:
            raise _LineError(f"names a version of the log that there never was, {version}")
        build(self._connection, 0, version)
        for table in tables_at(version):
            names, places = ", ".join(table.columns), ", ".join("?" * len(table.columns))
            self._tables[table.name] = table
            self._inserts[table.name] = f"INSERT INTO {table.name} ({names}) VALUES ({places})"
        return int(version)

    def _check_end(self, told: dict[str, Any]) -> None:
        end = told[END]
        if len(told) != 1 or not isinstance(end, dict) or end.keys() != {ROWS}:
            raise _LineError("does not end an exported log")
        if end[ROWS] != self._rows or type(end[ROWS]) is not int:
            raise _LineError(
                f"says that there are {quoted(end[ROWS])} rows, but {self._rows} are there: some "
                "were lost, so take it over once more"
            )

    def _add_row(self, told: dict[str, Any]) -> None:
        if len(told) != 1:
            raise _LineError("holds more than one row")
        ((name, row),) = told.items()
        table = self._tables.get(name)
        if table is None:
            raise _LineError(f"names no table of the log, but {quoted(name)}")
        if not isinstance(row, dict):
            raise _LineError(f"has no row of {name} in it")
        values = _values(table, row)
        try:
            self._connection.execute(self._inserts[name], values)
        except sqlite3.IntegrityError as error:
            raise _LineError(self._why_not(table, row, error)) from error
        self._rows += 1

    def _why_not(self, table: Table, row: dict[str, Any], error: sqlite3.IntegrityError) -> str:
        """Why the log does not take a row."""
        if error.sqlite_errorcode == sqlite3.SQLITE_CONSTRAINT_FOREIGNKEY:
            for column, (parent, to) in table.points.items():
                there = f"SELECT 1 FROM {parent} WHERE {to} = ?"
                if (
                    row[column] is not None
                    and not self._connection.execute(there, [row[column]]).fetchone()
                ):
                    return f"points at a row of {parent} that did not come before ({column})"
        return f"is no row that {table.name} can have ({error})"


def _values(table: Table, row: dict[str, Any]) -> list[object]:
    """What a row holds, in the order of the table's columns. Raises _LineError."""
    if row.keys() != table.columns.keys():
        unknown, missing = row.keys() - table.columns.keys(), table.columns.keys() - row.keys()
        if unknown:
            raise _LineError(f"has a column that {table.name} has not: {quoted(min(unknown))}")
        raise _LineError(f"lacks a column of {table.name}: {min(missing)}")
    for column in table.key:
        # SQLite would give a row without its number the next one that is free.
        if row[column] is None:
            raise _LineError(f"lacks what tells rows of {table.name} apart: {column}")
    return [_value(column, kind, row[column]) for column, kind in table.columns.items()]


def _value(column: str, kind: str, held: object) -> object:
    if held is None:
        return None
    if not isinstance(held, HELD[kind]) or isinstance(held, bool):
        raise _LineError(f"has in {column} what is not {_NAMED[kind]}")
    if kind == "BLOB" and isinstance(held, str):
        try:
            return b64decode(held, validate=True)
        except (Base64Error, ValueError) as error:
            raise _LineError(f"has in {column} what is not {_NAMED[kind]}") from error
    if isinstance(held, int) and not -(1 << WHOLE_BITS) <= held < 1 << WHOLE_BITS:
        raise _LineError(f"has in {column} a number that is too large")
    if isinstance(held, str) and not _is_text(held):
        raise _LineError(f"has in {column} half a character")
    return held


def _is_text(held: str) -> bool:
    try:
        held.encode()
    except UnicodeEncodeError:
        return False
    return True
