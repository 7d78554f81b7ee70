"""One cockpit at a time writes to a log; whoever only reads is never in the way."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from cockpit.log import LogError, listing, questions
from cockpit.log.lock import LogLock, lock_path
from cockpit.log.opening import open_to_read
from cockpit.log.store import Store
from tests.log.conftest import Bench
from tests.log.older import as_version

HOLD = (
    "import sys, time; from pathlib import Path; from cockpit.log.store import Store\n"
    "with Store(Path(sys.argv[1])) as store:\n"
    "    store.open_shift('MT', 'standard', 'typed'); print('open', flush=True); time.sleep(600)"
)


def test_a_second_cockpit_is_told_who_has_the_log_until_that_one_dies(tmp_path: Path) -> None:
    path = tmp_path / "shop.sqlite3"
    command = [sys.executable, "-c", HOLD, str(path)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as other:
        assert other.stdout is not None
        assert other.stdout.readline() == "open\n"
        with pytest.raises(LogError) as refused:
            Store(path)
        said = str(refused.value)
        assert said.startswith(f"{path}: another cockpit has this log open (process {other.pid} on")
        assert said.endswith(".")
        with closing(open_to_read(path)) as connection:
            shift = questions.open_shift(connection)
            assert shift is not None
            assert shift.operator == "MT"
        other.send_signal(signal.SIGKILL)
    with Store(path) as store:
        assert questions.open_shift(store.connection) == shift


def test_in_one_process_too_the_log_is_held_once(bench: Bench) -> None:
    with pytest.raises(LogError, match=f"process {os.getpid()} "):
        Store(bench.path)
    bench.store.close()
    Store(bench.path).close()


def test_a_log_that_is_refused_is_let_go(tmp_path: Path) -> None:
    path = tmp_path / "shop.sqlite3"
    path.write_bytes(b"not a database at all" * 99)
    for _ in range(2):
        with pytest.raises(LogError, match="is not a log"):
            Store(path)


def test_an_older_log_that_is_held_is_not_brought_up_behind_its_holder(bench: Bench) -> None:
    bench.store.close()
    as_version(bench.path, 5)
    with LogLock(bench.path), pytest.raises(LogError, match="another cockpit has this log open"):
        open_to_read(bench.path)
    with closing(open_to_read(bench.path)) as connection:
        assert listing.how_many(connection) == 0


def test_a_lock_that_is_none_is_said(tmp_path: Path) -> None:
    path = tmp_path / "shop.sqlite3"
    lock_path(path).write_bytes(b"not a lock" * 99)
    with pytest.raises(LogError, match="delete that file"):
        Store(path)


def test_whoever_reads_writes_nothing(bench: Bench) -> None:
    with (
        closing(open_to_read(bench.path)) as connection,
        pytest.raises(Exception, match="readonly"),
    ):
        connection.execute("INSERT INTO shifts VALUES (9, '', 'x', '', '')")
