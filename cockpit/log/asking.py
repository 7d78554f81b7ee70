"""How the log is asked: rows by name, and a sentence where it can't be read."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator

from cockpit.log import LogError


def ask(connection: sqlite3.Connection, sql: str, *values: object) -> list[sqlite3.Row]:
    """The rows of a question. Raises LogError."""
    return list(each(connection, sql, *values))


def each(connection: sqlite3.Connection, sql: str, *values: object) -> Iterator[sqlite3.Row]:
    """The rows of a question one after the other, so that they are never all there. LogError."""
    cursor = connection.cursor()
    cursor.row_factory = sqlite3.Row
    try:
        cursor.execute(sql, values)
        # Not from the cursor: whoever goes away half through would close it after its log.
        yield from iter(cursor.fetchone, None)
    except sqlite3.DatabaseError as error:
        raise unreadable(f"the log can't be read ({error})") from error


def unreadable(what: str) -> LogError:
    """The error that says what of the log can't be read, and how to mend it."""
    return LogError(f"{what[0].upper()}{what[1:]}: burn-cockpit verify says how to mend it.")
