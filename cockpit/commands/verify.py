"""``burn-cockpit verify``: profiles valid, log sound, gauge reachable; else what to mend."""

from __future__ import annotations

import argparse
import shutil
import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

from cockpit import locations, profiles
from cockpit.commands import CommandError
from cockpit.commands.answer import data_folder, say
from cockpit.flow.steps import Step
from cockpit.gauges import GaugeError, make_gauge
from cockpit.gauges.protocol import GaugeStatus
from cockpit.log import LogError, backups, soundness
from cockpit.log.lock import LogLock
from cockpit.log.opening import open_to_read, open_to_write
from cockpit.log.soundness import Fault
from cockpit.profiles import ProfileError

#: How long a gauge may take to be found, s.
PATIENCE_S = 2.0


def run(asked: argparse.Namespace) -> None:
    """Say what is sound and what is not; CommandError when anything is not."""
    wrong = 0
    for name, trouble in (*_profiles(), *_log(asked), *_gauge(asked)):
        wrong += trouble is not None
        say(f"{'ok ' if trouble is None else 'BAD'} {name}" + (f": {trouble}" if trouble else ""))
    if wrong:
        things = "1 thing" if wrong == 1 else f"{wrong} things"
        raise CommandError(f"{things} to be mended; look for BAD above.")


def _profiles() -> Iterator[tuple[str, str | None]]:
    for kind, model in profiles.KINDS.items():
        for name, path in profiles.profile_paths(kind).items():
            try:
                profiles.read_profile(path, model)
                yield f"profile {kind}/{name}", None
            except ProfileError as error:
                yield f"profile {kind}/{name}", str(error)


def _log(asked: argparse.Namespace) -> Iterator[tuple[str, str | None]]:
    path = data_folder(asked.data, asked.demo) / locations.LOG_NAME
    if not path.exists():
        yield f"log {path}: none yet", None
        return
    try:
        if asked.mend:
            yield f"log {path} put right; a copy of it as it was: {_mend(path)}", None
        with closing(open_to_read(path)) as connection:
            for name, found in soundness.faults(connection):
                yield f"log {path} {name}", _what_to_do(path, found)
            yield f"log {path} steps", _what_to_do(path, _unknown_steps(connection))
    except LogError as error:
        yield "log", str(error)
    for copy in backups.kept(path):
        fault = backups.fault_of(copy)
        yield f"copy {copy}", f"{fault}; delete it" if fault else None


def _what_to_do(path: Path, found: list[Fault]) -> str | None:
    """What was found, and how to mend it; None when nothing was."""
    if not found:
        return None
    what = "; ".join(fault.what for fault in found)
    if all(fault.can_mend for fault in found):
        return f"{what}. burn-cockpit verify --mend puts that right."
    return f"{what}. {backups.offer(path)}"


def _mend(path: Path) -> Path:
    """Put right what needs no copy; returns where the log as it was is kept. Raises LogError."""
    now = datetime.now(UTC)
    before = path.with_name(f"{path.name}.before-mending-{now:%Y%m%dT%H%M%SZ}")
    with LogLock(path), closing(open_to_write(path)) as connection:
        try:
            connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
            shutil.copyfile(path, before)
            soundness.mend(connection)
        except (OSError, sqlite3.Error) as error:
            raise LogError(
                f"{path}: can't be put right ({error}). {backups.offer(path)}"
            ) from error
    return before


def _unknown_steps(connection: sqlite3.Connection) -> list[Fault]:
    try:
        steps = connection.execute("SELECT DISTINCT hole_id, step FROM steps").fetchall()
    except sqlite3.DatabaseError as error:
        return [Fault(f"can't be read ({error})")]
    known = set(Step)
    return [
        Fault(f"hole {hole_id} stands at {step!r}, which is no step")
        for hole_id, step in steps
        if step not in known
    ][: soundness.TOLD]


def _gauge(asked: argparse.Namespace) -> Iterator[tuple[str, str | None]]:
    if asked.gauge is None:
        return
    try:
        gauge = make_gauge(profiles.load_gauge(asked.gauge), time.monotonic, asked.port)
        gauge.open()
    except (GaugeError, ProfileError) as error:
        yield f"gauge {asked.gauge}", str(error)
        return
    until_s = time.monotonic() + PATIENCE_S
    while gauge.status is not GaugeStatus.LIVE and time.monotonic() < until_s:
        time.sleep(0.05)
    status, detail = gauge.status, gauge.detail
    gauge.close()
    yield f"gauge {asked.gauge}", None if status is GaugeStatus.LIVE else detail or f"is {status}"
