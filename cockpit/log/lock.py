"""One cockpit at a time writes to a log.

The lock is a SQLite file of its own beside the log, written to as long as it is held: SQLite knows
how to lock a file on every system, and a process that dies lets go by dying. In it stands who holds
it, for the one who is refused.
"""

from __future__ import annotations

import os
import platform
import sqlite3
from contextlib import AbstractContextManager, suppress
from datetime import datetime
from pathlib import Path
from types import TracebackType

from cockpit.log import LogError

#: Of two that come at the same moment, one waits so long for the other to make up its mind, s.
PATIENCE_S = 0.2
_HOLDER = "CREATE TABLE IF NOT EXISTS holder (who TEXT NOT NULL)"


class LogLock(AbstractContextManager["LogLock"]):
    """Holds the log at ``path`` from when it is made to ``release``; else raises LogError."""

    def __init__(self, path: Path) -> None:
        file = lock_path(path)
        try:
            self._connection = sqlite3.connect(file, timeout=PATIENCE_S, isolation_level=None)
        except sqlite3.Error as error:
            raise LogError(f"{path}: can't be locked ({error}); check the folder.") from error
        try:
            self._hold()
        except sqlite3.OperationalError as error:
            self._connection.close()
            if _is_busy(error):
                raise LogError(_refused(path)) from error
            raise LogError(
                f"{path}: the log can't be used, because it can't be locked ({error}); it was left "
                "as it is. Check the disk and the folder."
            ) from error
        except sqlite3.DatabaseError as error:
            self._connection.close()
            raise LogError(f"{file}: is no lock ({error}); delete that file.") from error

    def _hold(self) -> None:
        ask = self._connection.execute
        # A lock lost in a power cut is no loss: nothing here has to reach the disk.
        ask("PRAGMA synchronous = OFF")
        ask("BEGIN IMMEDIATE")
        ask(_HOLDER)
        ask("DELETE FROM holder")
        ask("INSERT INTO holder VALUES (?)", [_who()])
        ask("COMMIT")
        ask("BEGIN IMMEDIATE")

    def release(self) -> None:
        """Let go; the next one may have the log."""
        self._connection.close()

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        at: TracebackType | None,
    ) -> None:
        """Let go at the end of a with-block."""
        self.release()


def lock_path(path: Path) -> Path:
    """The lock of the log at ``path``."""
    return path.with_name(path.name + ".lock")


def holder(path: Path) -> str:
    """Who held the log at ``path`` last; empty if nobody knows."""
    with suppress(sqlite3.Error):
        connection = sqlite3.connect(f"{lock_path(path).absolute().as_uri()}?mode=ro", uri=True)
        try:
            return str(connection.execute("SELECT who FROM holder").fetchone()[0])
        finally:
            connection.close()
    return ""


def _who() -> str:
    now = datetime.now().astimezone().isoformat(sep=" ", timespec="minutes")
    return f"process {os.getpid()} on {platform.node() or 'this computer'}, since {now}"


def _is_busy(error: sqlite3.OperationalError) -> bool:
    return error.sqlite_errorcode & 0xFF in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)


def _refused(path: Path) -> str:
    by = holder(path)
    return (
        f"{path}: another cockpit has this log open{f' ({by})' if by else ''}; go on there, or "
        "close it first. What is in it can be read meanwhile: burn-cockpit log."
    )
