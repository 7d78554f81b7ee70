"""The invented history is sound, is what it says, and is the same for the same seed."""

from __future__ import annotations

import re
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest
from environment import ROOT

from cockpit.flow.past import past_burn
from cockpit.log.importing import import_log
from cockpit.log.opening import open_to_read
from tests.commands.shell import answer
from tests.log.test_exporting import exported
from tests.log.test_importing import STEPS

HOLES, READINGS = 300, 120


def filled(folder: Path, *words: str) -> str:
    """Fill a log; what was said."""
    command = [sys.executable, str(ROOT / "scripts/fill_log.py"), "--here", "--data", str(folder)]
    done = subprocess.run([*command, *words], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A filled log's folder."""
    folder = tmp_path_factory.mktemp("filled")
    said = filled(folder, "--holes", f"{HOLES}", "--readings", f"{READINGS}", "--seed", "7")
    assert f"log: {HOLES} holes" in said
    assert re.search(r"bytes a reading +\d\.\d\d\n", said)
    return folder


def ask(folder: Path, sql: str) -> list[tuple[object, ...]]:
    """What the log answers."""
    with closing(sqlite3.connect(folder / "shop.sqlite3")) as connection:
        return connection.execute(sql).fetchall()


def test_it_is_sound(folder: Path) -> None:
    assert "BAD" not in answer("verify", "--data", folder).out


def test_it_has_what_a_shop_has(folder: Path) -> None:
    assert ask(folder, "SELECT count(*) FROM holes") == [(HOLES,)]
    ((each,),) = ask(folder, f"SELECT sum(readings) / {HOLES}.0 FROM traces")
    assert READINGS / 2 < float(str(each)) < READINGS * 2
    (years,) = ask(
        folder, "SELECT max(substr(at_utc, 1, 4)) - min(substr(at_utc, 1, 4)) FROM holes"
    )
    assert years == (4,)
    for table in ("shift_ends", "notes", "widths", "calls", "centres", "changes"):
        assert ask(folder, f"SELECT count(*) > 0 FROM {table}") == [(1,)], table
    outcomes = {row[0] for row in ask(folder, "SELECT outcome FROM outcomes")}
    assert outcomes == {"done", "left for later", "given up", "damaged"}
    assert ask(folder, "SELECT count(DISTINCT operator) FROM shifts") == [(5,)]
    assert ask(folder, "SELECT count(*) > 0 FROM tickets WHERE corrects IS NOT NULL") == [(1,)]
    assert ask(folder, "SELECT count(*) > 0 FROM outcomes WHERE corrects IS NOT NULL") == [(1,)]


def test_a_tally_is_what_the_trace_shows(folder: Path) -> None:
    """The tracker, shown the readings and marks again, ends where the tally says."""
    sql = "SELECT hole_id, depth_um, arc_ms FROM tallies GROUP BY hole_id LIMIT 60"
    with closing(open_to_read(folder / "shop.sqlite3")) as connection:
        for hole_id, depth_um, arc_ms in connection.execute(sql).fetchall():
            tracker = past_burn(connection, hole_id)
            assert tracker is not None
            state = tracker.state()
            assert state.arc_s == pytest.approx(arc_ms / 1000, abs=0.01)
            assert state.depth_mm is not None
            assert state.depth_mm.low - 0.1 <= depth_um / 1000 <= state.depth_mm.high + 0.1


def test_it_goes_out_and_comes_back_the_same(folder: Path, tmp_path: Path) -> None:
    made = exported(folder / "shop.sqlite3", tmp_path / "log.json")
    path = tmp_path / "new" / "shop.sqlite3"
    import_log(path, tmp_path / "log.json", STEPS)
    assert exported(path, tmp_path / "again.json") == made


def test_the_same_seed_makes_the_same_history(tmp_path: Path) -> None:
    for name, seed in (("a", "3"), ("b", "3"), ("c", "4")):
        filled(tmp_path / name, "--holes", "12", "--readings", "20", "--seed", seed)
        exported(tmp_path / name / "shop.sqlite3", tmp_path / f"{name}.json")
    first, same, other = ((tmp_path / f"{name}.json").read_bytes() for name in "abc")
    assert first == same
    assert first != other


def test_a_log_that_is_there_is_left_as_it_is(folder: Path) -> None:
    command = [sys.executable, str(ROOT / "scripts/fill_log.py"), "--here", "--holes", "3"]
    done = subprocess.run(
        [*command, "--data", str(folder)], capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stdout) == (1, "")
    assert "is there already" in done.stderr
