"""The real program at the desk: words over a burn, a burn cut short by a kill, a ticket."""

from __future__ import annotations

import re
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from tests.pseudo_terminal import needs_pty
from tests.terminal.shop import AFTER_CHECKS_S, PATIENCE_S, Operator, cockpit
from tests.terminal.test_the_screens import hole_at_the_pilot

pytestmark = needs_pty

#: What a large log is said to take its time for.
DOES = ("looking through it", "keeping a copy of it")
#: What a program writes that fills the screen, and gives it back as it was.
AWAY = "\x1b[?1049"


@pytest.mark.parametrize(("columns", "rows"), [(80, 24), (160, 45)])
def test_a_burn_goes_on_above_a_note_and_a_kill_leaves_it_cut_short_on_the_bench(
    tmp_path: Path, columns: int, rows: int
) -> None:
    hole_at_the_pilot(tmp_path, "simulated")
    with cockpit(tmp_path, "--demo", columns=columns, rows=rows) as terminal:
        operator = Operator(terminal)
        operator.space("foot 2: guard on, pilot burn")
        operator.guard()
        operator.space("arc on: a short pilot burn", after_s=AFTER_CHECKS_S)
        operator.sees("ARC ON")
        terminal.press("n")
        operator.sees(r"ARC ON(?s:.)* to go(?s:.)*no calls *\n +A note on this hole")
        terminal.type("sparks look blue")
        before = operator.sees(r" 0:\d\d\b")
        operator.sees(rf"ARC ON(?s:.)* (?!{before[1:]})0:\d\d\b(?s:.)*sparks look blue")
        terminal.kill()
    with cockpit(tmp_path, "--demo", columns=columns, rows=rows) as terminal:
        operator = Operator(terminal)
        operator.sees(r"► CUT SHORT +foot 2 .* 0:\d\d\b")
        operator.sees("CUT SHORT: look at the hole first")
        assert not terminal.screen().count("arc 0:00")


def test_a_large_log_says_what_takes_a_moment(tmp_path: Path) -> None:
    hole_at_the_pilot(tmp_path, "simulated")
    log = tmp_path / "shop.sqlite3"
    with closing(sqlite3.connect(log, isolation_level=None)) as connection:
        connection.execute("CREATE TABLE filling AS SELECT zeroblob(210000000) AS held")
        # Its room stays with the file.
        connection.execute("DROP TABLE filling")
    with cockpit(tmp_path, "--demo") as terminal:
        operator = Operator(terminal)
        operator.sees(r"\d to do ")
        terminal.press("ctrl+q")
        assert terminal.wait_exit(PATIENCE_S) == 0
        written = " ".join(terminal.written().decode().split())
    opened, left = (written.index(f"; {does} takes") for does in DOES)
    assert opened < written.index(f"{AWAY}h") < written.index(f"{AWAY}l") < left
    assert len(re.findall(r"shop\.sqlite3: 21\d MB; ", written)) == 2
    assert [copied.stat().st_size > 210e6 for copied in (tmp_path / "backups").iterdir()] == [True]


def test_a_thread_is_completed_by_tab_and_taken_by_enter(tmp_path: Path) -> None:
    hole_at_the_pilot(tmp_path, "simulated")
    with cockpit(tmp_path, "--demo") as terminal:
        operator = Operator(terminal)
        operator.sees(r"\d to do ")
        terminal.press("n", "tab")
        operator.sees("► hole")
        terminal.type("foot 3")
        operator.offers("take it as hole")
        terminal.press("enter")
        operator.sees("► thread or bore")
        terminal.type("1/4")
        operator.sees(r"TAB offers +1/4-20 UNC +1/4-28 UNF")
        terminal.press("tab")
        operator.sees("► 1/4-20 UNC")
        terminal.press("enter")
        operator.sees("► what is broken")
        assert "1/4-20 UNC, 6.35 mm = 0.2500 in across" in terminal.screen()
