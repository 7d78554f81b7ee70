"""``burn-cockpit verify``: profiles valid, log sound, gauge reachable; else what to mend."""

from __future__ import annotations

import argparse
import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

from cockpit import locations, profiles
from cockpit.commands import CommandError
from cockpit.commands.answer import data_folder, say
from cockpit.flow.gauge_choice import remembered
from cockpit.flow.kept import KeptError
from cockpit.flow.steps import Step
from cockpit.gauges import GaugeError, make_gauge
from cockpit.gauges.protocol import GaugeStatus
from cockpit.log import LogError, backups, soundness
from cockpit.log.lock import LogLock
from cockpit.log.opening import lost, open_to_read, open_to_write
from cockpit.log.soundness import Fault
from cockpit.profiles import ProfileError

#: The names of the steps that there are.
STEPS = frozenset(Step)
#: How long a gauge may take to be found, s.
PATIENCE_S = 2.0


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
    own = locations.user_profiles()
    yield f"profiles of your own: {own}{'' if own.exists() else ': none yet'}", None
    for kind, model in profiles.KINDS.items():
        for name, path in profiles.profile_paths(kind).items():
            is_own = path.is_relative_to(own)
            what = f"profile {kind}/{name}{f', your own: {path}' if is_own else ''}"
            try:
                profiles.read_profile(path, model)
                yield what, None
            except ProfileError as error:
                yield what, str(error)


def _log(asked: argparse.Namespace) -> Iterator[tuple[str, str | None]]:
    path = data_folder(asked.data, asked.demo) / locations.LOG_NAME
    if not path.exists():
        yield (f"log {path}", lost(path)) if lost(path) else (f"log {path}: none yet", None)
        return
    try:
        if asked.mend:
            yield from _mend(path)
        with closing(open_to_read(path)) as connection:
            for name, found in soundness.faults(connection, STEPS):
                yield f"log {path} {name}", _what_to_do(path, name, found)
    except LogError as error:
        yield "log", str(error)
    for copied in backups.kept(path):
        fault = backups.fault_of(copied)
        yield f"copy {copied}", f"{fault}; delete it" if fault else None


def _what_to_do(path: Path, name: str, found: list[Fault]) -> str | None:
    """What was found, and how to mend it; None when nothing was."""
    if not found:
        return None
    what = "; ".join(fault.what for fault in found)
    if all(fault.can_mend for fault in found):
        return f"{what}. burn-cockpit verify --mend puts that right."
    if name in soundness.GROUND:
        return f"{what}. {backups.offer(path)}"
    good = "The rest of the log is good, and can be worked with"
    copied = backups.newest(path)
    if copied is not None and _is_free_of(copied, name):
        return (
            f"{what}. {good}. The copy {copied.name} does not have this: burn-cockpit restore goes "
            "back to it, without what came after."
        )
    return f"{what}. {good}; keep a copy for whoever mends it: burn-cockpit backup FILE."


def _is_free_of(copied: Path, name: str) -> bool:
    """Whether a copy has no fault of this kind."""
    with closing(backups.opened(copied)) as connection:
        return dict(soundness.faults(connection, STEPS)).get(name) == []


def _mend(path: Path) -> Iterator[tuple[str, str | None]]:
    """Put right what needs no copy, and say where the log as it was is kept. Raises LogError."""
    now = datetime.now(UTC)
    before = path.with_name(f"{path.name}.before-mending-{now:%Y%m%dT%H%M%SZ}")
    with LogLock(path), closing(open_to_write(path)) as connection:
        if not any(one.can_mend for _, some in soundness.faults(connection, STEPS) for one in some):
            yield f"log {path}: nothing to put right in place", None
            return
        try:
            with closing(sqlite3.connect(before)) as kept:
                connection.backup(kept)
            soundness.mend(connection)
        except (OSError, sqlite3.Error) as error:
            raise LogError(
                f"{path}: can't be put right ({error}). {backups.offer(path)}"
            ) from error
    yield f"log {path}: put right; as it was before, it is kept as {before}", None


def _picked(asked: argparse.Namespace) -> Iterator[tuple[str, str | None]]:
    """Whether the gauge that was picked is known, and still has its profile."""
    try:
        choice = remembered(data_folder(asked.data, asked.demo))
        if choice is not None:
            profiles.load_gauge(choice.profile)
            yield f"gauge picked: {choice.profile} on {choice.port or 'no port'}", None
    except (KeptError, ProfileError) as error:
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
    if not gauge.profile.streaming:
        gauge.close()
        yield f"gauge {asked.gauge}", None
        return
    until_s = time.monotonic() + PATIENCE_S
    while gauge.status is not GaugeStatus.LIVE and time.monotonic() < until_s:
        time.sleep(0.05)
    status, detail = gauge.status, gauge.detail
    gauge.close()
    yield f"gauge {asked.gauge}", None if status is GaugeStatus.LIVE else detail or f"is {status}"
