"""Good copies of the log, and how one of them takes the place of a log that broke.

A copy is made while the log is in use, checked, and only then given its name: a copy that is there
is a good one, and a log that is damaged never takes its place.
"""

from __future__ import annotations

import os
import re
import sqlite3
from contextlib import closing, suppress
from datetime import date, datetime
from pathlib import Path
from typing import Final

from cockpit import dates
from cockpit.log import LogError, schema

#: How many of the copies that the cockpit makes by itself are kept.
KEEP: Final = 10
_DATED: Final = re.compile(r"\d{4}-\d\d-\d\d")
_OWN: Final = re.compile(rf"{_DATED.pattern}|version-\d+")
#: What SQLite puts before what it finds.
_HEADING: Final = "*** in database main ***"
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
            fault = damage(made)
        if fault:
            raise LogError(
                f"{path}: is damaged ({fault}), so no copy was made of it; those that are there "
                f"were left as they are. {offer(path)}"
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
    made = daily(path, today)
    copy(path, connection, made)
    old = [one for one in kept(path) if _DATED.fullmatch(_mark(path, one)) and one != made]
    left_over = folder(path).glob(f".{path.stem}-*")  # of a copying that was cut short
    for one in (*old[KEEP - 1 :], *left_over):
        with suppress(OSError):
            one.unlink()


def daily(path: Path, today: date) -> Path:
    """What the copy of a day is called."""
    return folder(path) / f"{path.stem}-{today.isoformat()}{path.suffix}"


def keep_before_migration(path: Path, connection: sqlite3.Connection) -> None:
    """A copy of an older log before it becomes a newer one. Raises LogError."""
    version = schema.version_of(connection)
    copy(path, connection, folder(path) / f"{path.stem}-version-{version}{path.suffix}")


def kept(path: Path) -> list[Path]:
    """The copies of the log at ``path`` that the cockpit made, the one that holds most first.

    By what is in them: the date of a file is that of a clock which somebody may have put right.
    """
    found = folder(path).glob(f"{path.stem}-*{path.suffix}")
    return sorted((one for one in found if _OWN.fullmatch(_mark(path, one))), key=_held)[::-1]


def _mark(path: Path, copied: Path) -> str:
    """What tells the copies of a log apart."""
    return copied.stem.removeprefix(f"{path.stem}-")


def _held(path: Path) -> tuple[int, ...]:
    """How much a copy holds; nothing if it can't be read."""
    held = "coalesce(max(id), 0)"
    try:
        with closing(opened(path)) as connection:
            row = connection.execute(
                f"SELECT (SELECT {held} FROM shifts), (SELECT {held} FROM steps), "
                f"(SELECT {held} FROM checks)"
            ).fetchone()
            return tuple(map(int, row))
    except sqlite3.Error:
        return (-1,)


def newest(path: Path) -> Path | None:
    """The sound copy that holds most; None if there is none."""
    return next((one for one in kept(path) if not fault_of(one)), None)


def last_utc(path: Path) -> str:
    """The date of the last step in a log; "no date" where there is none."""
    with closing(opened(path)) as connection:
        row = connection.execute("SELECT at_utc FROM steps ORDER BY id DESC LIMIT 1").fetchone()
    return dates.moment(row[0]) if row else "no date"


def offer(path: Path) -> str:
    """What to do about a log that is damaged: one sentence."""
    copied = newest(path)
    if copied is None:
        return (
            "No copy of it is there: move it aside with its -wal and -shm, or name another folder "
            "with --data."
        )
    return (
        f"burn-cockpit restore puts the copy {copied.name} in its place, without what came after "
        "it, and keeps the damaged file beside it."
    )


def wal(path: Path) -> Path:
    """Where SQLite keeps what it has yet to put into the log at ``path``."""
    return path.with_name(f"{path.name}-wal")


def holds(path: Path) -> bool:
    """Whether there is a file, and something in it."""
    return path.exists() and path.stat().st_size > 0


def opened(path: Path) -> sqlite3.Connection:
    """Open a copy to read it, with what SQLite may have kept beside it."""
    return sqlite3.connect(untouched(path), uri=True)


def untouched(path: Path) -> str:
    """How SQLite is to open a log at rest, and leave it and its -wal to the byte as they are."""
    # A file that is complete in itself may lie where nothing can be written beside it; and beside
    # an empty one SQLite would delete what it finds, even if it is only to read.
    how = "ro" if holds(path) and holds(wal(path)) else "ro&immutable=1"
    return f"{path.absolute().as_uri()}?mode={how}"


def fault_of(path: Path) -> str:
    """What is wrong with a copy, in a few words; empty if it is a sound log."""
    try:
        with closing(opened(path)) as connection:
            owner = int(connection.execute("PRAGMA application_id").fetchone()[0])
            if owner != schema.APPLICATION_ID:
                return "it is no log of a cockpit"
            if schema.version_of(connection) > schema.VERSION:
                return "it was written by a newer cockpit"
            return damage(connection)
    except sqlite3.Error as error:
        return str(error)


def restore(path: Path, source: Path, now: datetime) -> Path | None:
    """Put the copy ``source`` in the place of the log at ``path``; whoever calls holds its lock.

    Returns where the log went that was there, None if there was none. Raises LogError, and then
    all is as it was.
    """
    if path.exists() and source.samefile(path):
        raise LogError(f"{source}: is the log itself; name a copy of it.")
    if fault := fault_of(source):
        raise LogError(f"{source}: can't take the place of the log, because {fault}.")
    incoming = path.with_name(f".{path.name}.incoming")
    aside = path.with_name(f"{path.name}.set-aside-{now:%Y%m%dT%H%M%SZ}")
    moves = [
        (path.with_name(path.name + end), aside.with_name(aside.name + end))
        for end in ("", *BESIDE)
    ]
    moved: list[tuple[Path, Path]] = []
    try:
        with closing(opened(source)) as connection:
            copy(source, connection, incoming)
        for piece, to in moves:
            if piece.exists():
                piece.rename(to)
                moved.append((piece, to))
        incoming.replace(path)
    except OSError as error:
        for piece, to in reversed(moved):
            to.rename(piece)
        raise LogError(
            f"{path}: the copy can't take its place ({error}); check the disk."
        ) from error
    finally:
        with suppress(OSError):
            incoming.unlink(missing_ok=True)
    return aside if (path, aside) in moved else None


def damage(connection: sqlite3.Connection) -> str:
    """What SQLite finds wrong with a database, in a few words; empty if it is whole."""
    try:
        (said, *_) = connection.execute("PRAGMA quick_check(1)").fetchone()
    except sqlite3.OperationalError:
        # The disk's fault, or another program's.
        raise
    except sqlite3.DatabaseError as error:
        return str(error)
    return "" if said == "ok" else " ".join(str(said).removeprefix(_HEADING).split())


def _to_disk(path: Path) -> None:
    with path.open("rb+") as file:
        os.fsync(file.fileno())
