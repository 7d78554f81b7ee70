"""``burn-cockpit verify``: profiles valid, log sound, gauge reachable; else what to mend."""

from __future__ import annotations

import argparse
import sqlite3
import time
from collections.abc import Iterator

from cockpit import locations, profiles
from cockpit.commands import CommandError
from cockpit.commands.answer import data_folder, say
from cockpit.flow.gauge_choice import ChoiceError, remembered
from cockpit.flow.past import past_burn
from cockpit.gauges import GaugeError, make_gauge
from cockpit.gauges.protocol import GaugeStatus
from cockpit.log import questions
from cockpit.log.store import LogError, Store
from cockpit.profiles import ProfileError

#: How long a gauge may take to be found, s.
PATIENCE_S = 2.0

_RESTORE = "{}; keep the file, and restore the last backup beside it"


def run(asked: argparse.Namespace) -> None:
    """Say what is sound and what is not; CommandError when anything is not."""
    wrong = 0
    for name, trouble in (*_profiles(), *_log(asked), *_picked(asked), *_gauge(asked)):
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
        with Store(path) as store:
            for pragma in ("integrity_check", "foreign_key_check"):
                yield f"log {path} {pragma.replace('_', ' ')}", _pragma(store.connection, pragma)
            yield f"log {path} traces", _traces(store.connection)
    except LogError as error:
        yield "log", str(error)


def _traces(connection: sqlite3.Connection) -> str | None:
    """Whether every hole can be read and its trace played back."""
    broken: list[str] = []
    try:
        for row in questions.shift_log(connection):
            try:
                questions.page(connection, row.id)
                past_burn(connection, row.id)
            except ValueError:
                broken.append(str(row.id))
    except sqlite3.Error as error:
        return _RESTORE.format(error)
    return _RESTORE.format(f"can't be read: hole {', '.join(broken[:5])}") if broken else None


def _pragma(connection: sqlite3.Connection, pragma: str) -> str | None:
    try:
        rows = connection.execute(f"PRAGMA {pragma}").fetchall()
    except sqlite3.DatabaseError as error:
        return _RESTORE.format(error)
    found = [" ".join(" ".join(map(str, row)).split()) for row in rows if row[0] != "ok"]
    return _RESTORE.format("; ".join(found[:3])) if found else None


def _picked(asked: argparse.Namespace) -> Iterator[tuple[str, str | None]]:
    """Whether the gauge that was picked is known, and still has its profile."""
    try:
        choice = remembered(data_folder(asked.data, asked.demo))
        if choice is not None:
            profiles.load_gauge(choice.profile)
            yield f"gauge picked: {choice.profile} on {choice.port or 'no port'}", None
    except (ChoiceError, ProfileError) as error:
        yield "gauge picked", str(error)


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
