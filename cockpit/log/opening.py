"""Opens the log: to write, under its lock, or only to read.

What is not ours, newer than us or damaged is refused, and left as it is.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from pathlib import Path

from cockpit.log import LogError, backups, schema
from cockpit.log.lock import LogLock

#: How long one program waits for another to end its transaction, s.
BUSY_S = 0.5


def open_to_write(path: Path) -> sqlite3.Connection:
    """Open the log at ``path``, make it if there is none, bring it up to date. Raises LogError.

    Whoever calls this holds its lock.
    """
    if said := lost(path):
        raise LogError(said)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise _not_opened(path, error) from error
    if backups.holds(path):
        # To look at it first: closing what may write puts the -wal into the log, refused or not.
        look = _connected(path, backups.untouched(path))
        _accepted(path, look, _refuse_foreign, _refuse_damaged).close()
    connection = _connected(path, f"{path.absolute().as_uri()}?mode=rwc")
    return _accepted(path, connection, _prepare_to_write)


def open_to_read(path: Path) -> sqlite3.Connection:
    """Open the log at ``path`` to read it; a cockpit may be at work on it meanwhile.

    Whatever is asked, the answer is of one moment: else what is folded between two questions would
    be seen twice. Nothing is written, unless it is of an older version and has to be brought up
    first. Raises LogError.
    """
    if said := lost(path):
        raise LogError(said)
    connection = _connected(path, f"{path.absolute().as_uri()}?mode=ro")
    _accepted(path, connection, _refuse_foreign)
    if schema.version_of(connection) == schema.VERSION:
        connection.execute("BEGIN")
        return connection
    connection.close()
    with LogLock(path):
        open_to_write(path).close()
    return open_to_read(path)


def lost(path: Path) -> str:
    """What to do where no log is, or nothing in it, but something is left of one; else empty.

    A new log in its place would hide the loss, and SQLite would delete the -wal that is left.
    """
    if backups.holds(path):
        return ""
    missed = f"{path}: is {'empty' if path.exists() else 'not there'}, but"
    copied, wal = backups.newest(path), backups.wal(path)
    if backups.holds(wal):
        other = (
            f"burn-cockpit restore puts the copy {copied.name} in its place and moves that aside"
            if copied
            else "to begin anew, move that away"
        )
        return (
            f"{missed} {wal.name}, which holds what was written to it last, is there; put the log "
            f"back beside that, or {other}."
        )
    if copied:
        return (
            f"{missed} a copy of it is there, {copied}. burn-cockpit restore puts that in its "
            f"place; to begin anew, move the folder {copied.parent} away."
        )
    return ""


def _connected(path: Path, uri: str) -> sqlite3.Connection:
    try:
        connection = sqlite3.connect(uri, timeout=BUSY_S, isolation_level=None, uri=True)
    except sqlite3.Error as error:
        raise _not_opened(path, error) from error
    # Another program may have written bytes that are no text; one row must not close the log.
    connection.text_factory = lambda written: written.decode(errors="replace")
    return connection


def _not_opened(path: Path, error: Exception) -> LogError:
    return LogError(f"{path}: the log can't be opened ({error}); check the folder.")


def _accepted(
    path: Path,
    connection: sqlite3.Connection,
    *steps: Callable[[Path, sqlite3.Connection], None],
) -> sqlite3.Connection:
    """The connection, once every step is taken; else it is closed, and LogError raised."""
    try:
        for step in steps:
            step(path, connection)
    except sqlite3.OperationalError as error:
        connection.close()
        raise LogError(
            f"{path}: the log can't be used ({error}); it was left as it is. "
            "Check the disk, the folder, and whether another program holds it."
        ) from error
    except sqlite3.Error as error:
        connection.close()
        raise LogError(
            f"{path}: is not a log that can be read ({error}); it was left as it is. "
            f"{backups.offer(path)}"
        ) from error
    except LogError:
        connection.close()
        raise
    return connection


def _refuse_foreign(path: Path, connection: sqlite3.Connection) -> None:
    """Refuse what is not ours or newer than us."""
    version = schema.version_of(connection)
    owner = int(connection.execute("PRAGMA application_id").fetchone()[0])
    if owner != schema.APPLICATION_ID and (version or schema.tables(connection)):
        raise LogError(
            f"{path}: is a database of another program; it was left as it is. "
            "Name another folder with --data."
        )
    if version > schema.VERSION:
        raise LogError(
            f"{path}: was written by a newer cockpit (log version {version}, this one knows "
            f"{schema.VERSION}); it was left as it is. Update the cockpit."
        )


def _refuse_damaged(path: Path, connection: sqlite3.Connection) -> None:
    """Refuse what is damaged: whatever is written there may be lost with the rest."""
    if fault := backups.damage(connection):
        raise LogError(f"{path}: is damaged ({fault}); it was left as it is. {backups.offer(path)}")


def _prepare_to_write(path: Path, connection: sqlite3.Connection) -> None:
    # Without recursive triggers an INSERT OR REPLACE would delete behind the triggers' back.
    for pragma in ("synchronous = FULL", "foreign_keys = ON", "recursive_triggers = ON"):
        connection.execute(f"PRAGMA {pragma}")
    if 0 < schema.version_of(connection) < schema.VERSION:
        backups.keep_before_migration(path, connection)
    # Counts for a new log alone. A folded burn is a few kB: larger pages would be half empty.
    connection.execute("PRAGMA page_size = 2048")
    connection.execute("PRAGMA journal_mode = WAL")
    schema.migrate(connection)
