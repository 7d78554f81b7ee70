"""The demo as the README starts it, in a real terminal."""

from __future__ import annotations

import os
import signal
import sys
import time
from contextlib import suppress
from pathlib import Path

from tests.terminal.shop import PATIENCE_S, ROOT, Operator
from tests.terminal.terminal import Terminal


def child_of(pid: int) -> int:
    """The process that this one has started; waited for."""
    until_s = time.monotonic() + PATIENCE_S
    while time.monotonic() < until_s:
        for stat in Path("/proc").glob("[0-9]*/stat"):
            with suppress(OSError):  # it may have ended meanwhile
                parent = stat.read_text(encoding="utf-8").rpartition(")")[2].split()[1]
                if int(parent) == pid:
                    return int(stat.parent.name)
        time.sleep(0.1)
    raise AssertionError(f"{pid} has no child")


def test_a_cockpit_that_is_killed_leaves_a_terminal_to_go_on_with(tmp_path: Path) -> None:
    command: list[str | Path] = [sys.executable, ROOT / "scripts/run.py", "--data", tmp_path]
    with Terminal(command, columns=80, rows=24, folder=tmp_path) as terminal:
        Operator(terminal).sees("daily check 1 of 5")
        os.kill(child_of(terminal.process.pid), signal.SIGKILL)
        terminal.wait_for("Put the arc off at the machine first", PATIENCE_S)
        assert terminal.wait_exit() != 0
        left = terminal.written().rpartition(b"The cockpit was killed")[0][-120:]
        assert b"\x1b[?25h" in left
        assert b"\x1b[?7h" in left
        assert b"\x1b[?1049l" in left
