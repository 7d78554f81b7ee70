"""The demo at two sizes, and what an operator is told when a port or the log is not right."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
import time
from contextlib import closing, suppress
from pathlib import Path

import pytest

from cockpit.flow.floor import ShopFloor
from cockpit.log.rows import CheckResult
from cockpit.log.schema import VERSION
from cockpit.screens.shared.leaving import GONE_AFTER_S
from cockpit.trade.remnants import Kind
from cockpit.trade.ticket import Ticket
from tests.pseudo_terminal import needs_pty
from tests.terminal.kept import kept_readings
from tests.terminal.shop import AFTER_CHECKS_S, AFTER_LIVE_S, ROOT, Indicator, Operator, cockpit

pytestmark = needs_pty

#: So long a terminal takes nothing, s: several times what the library would hold back.
STUCK_S = 10

SIZES = pytest.mark.parametrize(("columns", "rows"), [(80, 24), (120, 40)])


def asks_for_keys(operator: Operator) -> None:
    """`?` shows the keys over the screen, and any key closes that again."""
    operator.terminal.press("?")
    operator.sees("The keys of this screen")
    operator.terminal.press("x")
    operator.gone("The keys of this screen")


def switches_unit(operator: Operator, there: str, back: str) -> None:
    """`u` turns millimetres into inches, and back."""
    operator.sees(back)
    operator.terminal.press("u")
    operator.sees(there)
    operator.terminal.press("u")
    operator.sees(back)


@SIZES
def test_the_demo_shows_keys_units_and_the_bench_from_every_screen(
    tmp_path: Path, columns: int, rows: int
) -> None:
    with cockpit(tmp_path, "--demo", columns=columns, rows=rows) as terminal:
        operator = Operator(terminal)
        operator.sees("daily check 1 of 5")
        asks_for_keys(operator)
        terminal.press("escape")
        operator.sees("daily check 1 of 5")
        operator.daily_checks()

        operator.sees("4 to do")
        asks_for_keys(operator)
        terminal.press("n")
        operator.sees("take in a hole")
        terminal.press("escape")

        operator.space("flange 3: plan it", after_s=AFTER_LIVE_S)
        switches_unit(operator, there=r"target +0\.\d{4} in", back=r"target +18\.00 mm")
        asks_for_keys(operator)
        terminal.press("escape")

        operator.space("flange 3: plan it")
        operator.space("accept the plan")
        operator.sees("set-up 1 of 14")
        asks_for_keys(operator)
        operator.space("confirm")
        operator.sees("set-up 2 of 14")
        terminal.press("escape")
        operator.space("flange 3: set it up")
        operator.sees("set-up 2 of 14")
        assert operator.sees("Ground")


def test_another_size_keeps_what_was_typed_and_where_the_hole_stands(tmp_path: Path) -> None:
    with cockpit(tmp_path, "--demo") as terminal:
        operator = Operator(terminal)
        operator.daily_checks()
        operator.sees("4 to do")
        terminal.press("n")
        operator.sees("► customer")
        terminal.type("Alder & Nephew")
        operator.offers("take it as customer")
        for columns, rows in ((120, 40), (80, 24)):
            terminal.resize(columns, rows)
            operator.sees(rf"take in a hole(.*\n){{{rows - 1}}}.*\? keys")
            operator.sees("Alder & Nephew")
            operator.offers("take it as customer")
        terminal.press("enter")
        operator.sees(r"customer +Alder & Nephew")
        assert operator.sees("► their reference")


def hole_at_the_pilot(data: Path, gauge: str = "typed", port: str | None = None) -> None:
    """A log with one hole that has everything behind it but the guard and the arc."""
    ticket = Ticket(
        hole="foot 2", thread="M10x1.5", broken=Kind.TAP, flutes=3, depth_mm=22.0, recess_mm=3.0
    )
    with ShopFloor(data, gauge=gauge, port=port) as floor:
        floor.open_shift("MT")
        for item in floor.daily_left():
            floor.answer_daily(item, CheckResult.CONFIRMED)
        job = floor.take_in_job("Elderbeck Forge", "EF-31", "bearing block")
        hole = floor.take_up(floor.take_in_hole(job, ticket))
        hole.accept_plan()
        for item in hole.checks_left():
            hole.answer_check(item, CheckResult.CONFIRMED)
        hole.checks_done()
        hole.leave()


def test_without_its_port_the_cockpit_opens_and_says_so_at_the_arc(tmp_path: Path) -> None:
    gauge, port = "serial-decimal", str(tmp_path / "no-such-port")
    hole_at_the_pilot(tmp_path, gauge, port)
    with cockpit(tmp_path, "--gauge", gauge, "--port", port) as terminal:
        operator = Operator(terminal)
        operator.space("foot 2: guard on, pilot burn")
        operator.guard()
        operator.sees("no-such-port")
        operator.space("arc on: a short pilot burn", after_s=AFTER_CHECKS_S)
        operator.sees("ARC ON")
        operator.sees("▲▲ SILENT")
        assert "Traceback" not in terminal.screen()
        terminal.press("ctrl+q")
        operator.sees("The arc clock runs: put the arc off")
        terminal.press("ctrl+q")
        assert terminal.wait_exit() == 0


@pytest.mark.parametrize("told", [signal.SIGTERM, signal.SIGHUP])
def test_told_to_go_in_mid_burn_it_goes_and_has_kept_what_was_read(
    tmp_path: Path, told: signal.Signals
) -> None:
    hole_at_the_pilot(tmp_path, "typed")
    with cockpit(tmp_path, "--gauge", "typed") as terminal:
        operator = Operator(terminal)
        operator.space("foot 2: guard on, pilot burn")
        operator.guard()
        operator.space("arc on: a short pilot burn", after_s=AFTER_CHECKS_S)
        operator.sees("ARC ON")
        terminal.type("3.25\r")
        operator.sees("1 taken")
        os.kill(terminal.process.pid, told)
        terminal.wait_exit()
    assert [one.travel_um for one in kept_readings(tmp_path / "shop.sqlite3")] == [3250]
    with closing(sqlite3.connect(tmp_path / "shop.sqlite3")) as connection:
        assert connection.execute("SELECT count(*) FROM burns").fetchone() == (1,)
        assert connection.execute("SELECT count(*) FROM burn_ends").fetchone() == (0,)


def test_a_terminal_that_takes_nothing_holds_neither_readings_nor_the_way_out(
    tmp_path: Path,
) -> None:
    """As a remote one whose network is gone; the library queues 30 writes and then waits."""
    gauge, log = "serial-decimal", tmp_path / "shop.sqlite3"
    with Indicator(tmp_path / "truth.csv", "--rate-hz", "50") as indicator:
        hole_at_the_pilot(tmp_path, gauge, indicator.port)
        with cockpit(tmp_path, "--gauge", gauge, "--port", indicator.port) as terminal:
            operator = Operator(terminal, indicator)
            operator.space("foot 2: guard on, pilot burn")
            operator.guard()
            operator.space("arc on: a short pilot burn", after_s=AFTER_CHECKS_S)
            operator.sees("ARC ON")
            indicator.say("burn")
            operator.sees("gauge live")
            with terminal.stuck():
                # What was sent before somebody looked is in no log, however long that took.
                before = len(kept_readings(log))
                unseen = len(indicator.sent()) - before
                soon = before + 50 * STUCK_S
                until_s = time.monotonic() + 3 * STUCK_S
                while len(kept_readings(log)) < soon and time.monotonic() < until_s:
                    time.sleep(0.5)
                sent = len(indicator.sent())
                os.kill(terminal.process.pid, signal.SIGTERM)
                assert terminal.wait_exit(2 * GONE_AFTER_S) in (0, 1)
    assert len(kept_readings(log)) >= max(soon, sent - unseen - 50)


def test_what_a_gauge_types_in_one_go_is_read_in_its_own_unit(tmp_path: Path) -> None:
    gauge = "typed-by-gauge"
    hole_at_the_pilot(tmp_path, gauge)
    with cockpit(tmp_path, "--gauge", gauge) as terminal:
        operator = Operator(terminal)
        operator.space("foot 2: guard on, pilot burn")
        operator.guard()
        operator.offers("arc on: a short pilot burn")
        terminal.press("u")
        operator.sees(r"pilot to(?s:.)*0\.\d{3} to go")
        operator.space("arc on: a short pilot burn", after_s=AFTER_CHECKS_S)
        operator.sees("ARC ON")
        for number, reading in enumerate(("-0.25", "+0.50", "0.75 mm"), start=1):
            terminal.type(f"{reading}\r")
            operator.sees(rf"\b{number} taken")
        terminal.press("ctrl+q")
        operator.sees("The arc clock runs: put the arc off")
        terminal.press("ctrl+q")
        assert terminal.wait_exit() == 0
    kept = kept_readings(tmp_path / "shop.sqlite3")
    assert [one.travel_um for one in kept] == [-250, 500, 750]


def opened_on(data: Path) -> subprocess.CompletedProcess[str]:
    """The cockpit asked to open on this log, as a script would."""
    command = [sys.executable, "-m", "cockpit", "--data", str(data)]
    return subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=30.0)


def assert_one_sentence(answer: subprocess.CompletedProcess[str], path: Path) -> None:
    assert answer.returncode == 1
    assert answer.stdout == ""
    assert answer.stderr.count("\n") == 1
    assert str(path) in answer.stderr
    assert "Traceback" not in answer.stderr


def test_a_log_of_a_newer_cockpit_is_left_as_it_is(tmp_path: Path) -> None:
    hole_at_the_pilot(tmp_path)
    path = tmp_path / "shop.sqlite3"
    with closing(sqlite3.connect(path)) as connection:
        connection.execute(f"PRAGMA user_version = {VERSION + 1}")
        before = connection.execute("SELECT name, sql FROM sqlite_schema").fetchall()
    answer = opened_on(tmp_path)
    assert_one_sentence(answer, path)
    assert "newer" in answer.stderr
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("SELECT name, sql FROM sqlite_schema").fetchall() == before
        assert connection.execute("PRAGMA user_version").fetchone() == (VERSION + 1,)


def test_a_file_that_is_no_log_is_left_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "shop.sqlite3"
    path.write_bytes(b"not a database at all, but somebody's notes " * 50)
    before = path.read_bytes()
    assert_one_sentence(opened_on(tmp_path), path)
    assert path.read_bytes() == before


def leaves_for_the_bench(operator: Operator) -> None:
    """Escape, and once more if it came while a screen was still being put up."""
    for _ in range(10):
        operator.terminal.press("escape")
        with suppress(AssertionError):
            operator.sees("4 to do", 2.0)
            return
    raise AssertionError(f"no way back to the bench:\n{operator.terminal.screen()}")


def test_keys_that_come_in_a_burst_break_nothing(tmp_path: Path) -> None:
    """Each one may come while the screen that the one before it asked for is still being put up."""
    with cockpit(tmp_path, "--demo") as terminal:
        operator = Operator(terminal)
        operator.daily_checks()
        operator.sees("4 to do")
        for _ in range(4):
            terminal.type("spiral point tap sosoe s")
            operator.gone("4 to do")
            leaves_for_the_bench(operator)
        assert not list(tmp_path.rglob("trouble.txt"))
