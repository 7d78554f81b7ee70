"""The whole log into a file that is carried elsewhere; ``carrying.py`` says in which form.

One row after the other, so that a log of any size takes little memory. What is written is the log
at one moment, whatever a cockpit writes to it meanwhile.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

from cockpit.log import LogError, schema
from cockpit.log.carrying import Table, first_line, last_line, row_line, tables_at


def export_log(path: Path, connection: sqlite3.Connection, target: Path) -> int:
    """Write the log at ``path``, open to be read, to ``target``, all of it or none; how many rows.

    Raises LogError when it can't be read or written, or there is something at ``target`` already.
    """
    # Not with_name(): a folder such as "." has none, and is to be refused as what is there already.
    passing = target.parent / f".{target.name}.{os.getpid()}"
    rows = -2  # the first line and the last are none
    try:
        if target.exists():
            raise LogError(f"{target}: is there already; name a file that is not.")
        target.parent.mkdir(parents=True, exist_ok=True)
        with passing.open("x", encoding="ascii", newline="\n") as file:
            for line in lines(path, connection):
                file.write(f"{line}\n")
                rows += 1
            file.flush()
            os.fsync(file.fileno())
        passing.rename(target)
    except OSError as error:
        raise LogError(
            f"{target}: can't be written ({error.strerror or error}); check the disk."
        ) from error
    finally:
        with suppress(OSError):
            passing.unlink(missing_ok=True)
    return rows


def lines(path: Path, connection: sqlite3.Connection) -> Iterator[str]:
    """The lines of the log at ``path``, open to be read. Raises LogError."""
    version, rows = schema.version_of(connection), 0
    yield first_line(version)
    cursor = connection.cursor()
    # What is no text would come back as something else, and the copy would hide it.
    factory, connection.text_factory = connection.text_factory, str
    try:
        for table in tables_at(version):
            names, key = ", ".join(table.columns), ", ".join(table.key)
            for row in cursor.execute(f"SELECT {names} FROM {table.name} ORDER BY {key}"):
                yield row_line(table, row)
                rows += 1
    except (sqlite3.Error, UnicodeDecodeError) as error:
        raise _unreadable(path, table, error) from error
    finally:
        connection.text_factory = factory
    yield last_line(rows)


def _unreadable(path: Path, table: Table, error: Exception) -> LogError:
    reason = " ".join(str(error).split())
    return LogError(
        f"{path}: the rows of {table.name} can't all be read ({reason}); burn-cockpit verify says "
        "how to mend that, and burn-cockpit backup copies the log as it is."
    )
