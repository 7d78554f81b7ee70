"""``burn-cockpit backup`` and ``restore``: a copy of the log, and the way back from one."""

from __future__ import annotations

import argparse
from contextlib import closing, suppress
from datetime import UTC, datetime

from cockpit import locations
from cockpit.commands import CommandError
from cockpit.commands.answer import data_folder, existing_log, say, sentences
from cockpit.log import LogError, backups
from cockpit.log.lock import LogLock
from cockpit.log.opening import open_to_read


def run(asked: argparse.Namespace) -> None:
    """Copy the log; a cockpit may be at work on it meanwhile."""
    path = existing_log(asked.data, asked.demo)
    if asked.file.exists():
        raise CommandError(f"{asked.file}: is there already; name a file that is not.")
    with sentences(LogError), closing(open_to_read(path)) as connection:
        backups.copy(path, connection, asked.file)
    say(f"{asked.file}: a checked copy of {path}")


def restore(asked: argparse.Namespace) -> None:
    """Put a copy in the place of the log; the log that was there is kept beside it."""
    path = data_folder(asked.data, asked.demo) / locations.LOG_NAME
    source = asked.file or backups.newest(path)
    if source is None:
        raise CommandError(f"{backups.folder(path)}: no sound copy is there; name one.")
    with sentences(LogError):
        if not source.is_file():
            raise CommandError(f"{source}: there is no such file.")
        with suppress(OSError):
            # On a new computer there is no folder yet; if it can't be made, the lock says so.
            path.parent.mkdir(parents=True, exist_ok=True)
        with LogLock(path):
            aside = backups.restore(path, source, datetime.now(UTC))
    say(f"{path}: is now the copy {source}; its last entry is of {backups.last_utc(path)}")
    if aside is not None:
        say(f"{aside}: is the log that was there; what came after that is in it alone, so keep it")
