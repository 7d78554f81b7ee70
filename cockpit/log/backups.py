"""Good copies of the log, and how one of them takes the place of a log that broke.

A copy is made while the log is in use, checked, and only then given its name: a copy that is there
is a good one, and a log that is damaged never takes its place.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing, suppress
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Final

from cockpit.log import LogError, schema

#: How many of the copies that the cockpit makes by itself are kept.
KEEP: Final = 10
#: What SQLite may keep beside a log that was not closed.
BESIDE: Final = ("-wal", "-shm")


def folder(path: Path) -> Path:
    """Where the cockpit keeps the copies that it makes by itself."""
    return path.parent / "backups"


def copy(path: Path, connection: sqlite3.Connection, target: Path) -> None:
    """A checked copy of the open log at ``path``, as ``target``, all of it or none.

    Raises LogError when it can't be written, or the log is damaged.
    """
    passing = target.with_name(f".{target.name}.{os.getpid()}")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with closing(sqlite3.connect(passing, isolation_level=None)) as made:
            connection.backup(made)
            # One file, complete in itself, and on the disk.
            made.execute("PRAGMA journal_mode = DELETE")
            fault = _fault(made)
        if fault:
            raise LogError(
                f"{path}: is damaged ({fault}), so no copy was made of it; those that are there "
                "were left as they are. burn-cockpit verify says more."
            )
        _to_disk(passing)
        passing.replace(target)
    except (OSError, sqlite3.Error) as error:
        raise LogError(f"{target}: the copy can't be made ({error}); check the disk.") from error
    finally:
        with suppress(OSError):
            passing.unlink(missing_ok=True)


def keep_daily(path: Path, connection: sqlite3.Connection, today: date) -> None:
    """Today's copy, instead of one made earlier today; the oldest of too many go. LogError."""
    copy(path, connection, folder(path) / f"{path.stem}-{today.isoformat()}{path.suffix}")
    for old in list(kept(path))[KEEP:]:
        with suppress(OSError):
            old.unlink()


def keep_before_migration(path: Path, connection: sqlite3.Connection) -> None:
    """A copy of an older log before it becomes a newer one. Raises LogError."""
    version = schema.version_of(connection)
    copy(path, connection, folder(path) / f"{path.stem}-version-{version}{path.suffix}")


def kept(path: Path) -> Iterator[Path]:
    """The copies of the log at ``path`` that the cockpit made, the newest first."""
    found = folder(path).glob(f"{path.stem}-*{path.suffix}")
    yield from sorted(found, key=lambda one: one.stat().st_mtime, reverse=True)


def newest(path: Path) -> Path | None:
    """The newest copy that is sound; None if there is none."""
    return next((one for one in kept(path) if not fault_of(one)), None)


def offer(path: Path) -> str:
    """What to do about a log that is damaged: one sentence."""
    copy_of = newest(path)
    if copy_of is None:
        return "No copy of it is there: move it aside, or name another folder with --data."
    made = datetime.fromtimestamp(copy_of.stat().st_mtime, UTC)
    return (
        f"burn-cockpit restore puts the copy of {made:%Y-%m-%d %H:%M} UTC in its place, "
        "and keeps the damaged file beside it."
    )


def fault_of(path: Path) -> str:
    """What is wrong with a copy, in a few words; empty if it is a sound log."""
    try:
        uri = f"{path.absolute().as_uri()}?mode=ro&immutable=1"
        with closing(sqlite3.connect(uri, uri=True)) as connection:
            owner = int(connection.execute("PRAGMA application_id").fetchone()[0])
            if owner != schema.APPLICATION_ID:
                return "it is no log of a cockpit"
            if schema.version_of(connection) > schema.VERSION:
                return "it was written by a newer cockpit"
            return _fault(connection)
    except sqlite3.Error as error:
        return str(error)


def restore(path: Path, source: Path, now: datetime) -> Path | None:
    """Put the copy ``source`` in the place of the log at ``path``; whoever calls holds its lock.

    Returns where the log went that was there, None if there was none. Raises LogError, and then
    all is as it was.
    """
    if fault := fault_of(source):
        raise LogError(f"{source}: can't take the place of the log, because {fault}.")
    passing = path.with_name(f".{path.name}.{os.getpid()}")
    aside = path.with_name(f"{path.name}.set-aside-{now:%Y%m%dT%H%M%SZ}")
    try:
        shutil.copyfile(source, passing)
        _to_disk(passing)
        was_there = _set_aside(path, aside)
        passing.replace(path)
    except OSError as error:
        raise LogError(
            f"{path}: the copy can't take its place ({error}); check the disk."
        ) from error
    finally:
        with suppress(OSError):
            passing.unlink(missing_ok=True)
    return aside if was_there else None


def _set_aside(path: Path, aside: Path) -> bool:
    """Rename the log and what SQLite keeps beside it, which belongs to it."""
    was_there = path.exists()
    for end in ("", *BESIDE):
        piece = path.with_name(path.name + end)
        if piece.exists():
            piece.rename(aside.with_name(aside.name + end))
    return was_there


def _fault(connection: sqlite3.Connection) -> str:
    """What SQLite finds wrong with a database, in a few words."""
    try:
        (said, *_) = connection.execute("PRAGMA quick_check(1)").fetchone()
    except sqlite3.DatabaseError as error:
        return str(error)
    return "" if said == "ok" else " ".join(str(said).split())


def _to_disk(path: Path) -> None:
    with path.open("rb+") as file:
        os.fsync(file.fileno())
