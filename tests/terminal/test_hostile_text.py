"""The bytes that reach a real terminal, where the log and what is pasted are up to something."""

from __future__ import annotations

import re
import time
from pathlib import Path

import pytest

from cockpit import locations
from cockpit.flow import demo
from cockpit.flow.floor import ShopFloor
from cockpit.log.rows import CheckResult
from tests.hostile import ATTACKS, rewrite, unseemly
from tests.pseudo_terminal import needs_pty
from tests.terminal.shop import Operator, cockpit

pytestmark = needs_pty

STEERING = ATTACKS["escape"] + ATTACKS["c1"] + ATTACKS["layout"] + ATTACKS["unseen"]
# What the screen library writes to draw: control sequences, and the shape of the pointer.
_DRAWN = re.compile(r"\x1b\[[<=>?]?[0-9;:]*\$?[a-zA-Z]|\x1b\]22;[a-z]*(?:\x1b\\|\x07)")


def assert_it_is_only_drawn(written: bytes) -> None:
    """No sequence in what was written begins in a text, and nothing else in it steers either."""
    text = written.decode("utf-8")
    for begun in ("\x1b[2J\x1b", "\x1b]0;", "\x1bP", "\x1b[31mred"):
        assert begun not in text
    assert "pwned" in text
    assert unseemly(_DRAWN.sub("", text).replace("\r\n", "")) == []


@pytest.mark.parametrize("leave", ["q", "ctrl+q"])
def test_no_escape_that_reaches_the_terminal_came_from_a_text(tmp_path: Path, leave: str) -> None:
    with ShopFloor(tmp_path, gauge="simulated") as floor:
        demo.stock(floor)
        for item in floor.daily_left():
            floor.answer_daily(item, CheckResult.CONFIRMED)
    rewrite(tmp_path / locations.LOG_NAME, STEERING)
    with cockpit(tmp_path, "--gauge", "simulated") as terminal:
        operator = Operator(terminal)
        operator.sees("4 to do")
        assert "pwned" in terminal.screen()
        terminal.press("l")
        operator.space("look at")
        operator.sees("save the trace")
        terminal.press("backspace", "escape")
        operator.sees("4 to do")
        terminal.press("n")
        operator.sees("► customer")
        terminal.type(f"\x1b[200~{ATTACKS['c1']}\n{ATTACKS['unseen']}\x07\x1b[201~")
        operator.offers("take it as customer")
        operator.sees("31mred0;pwned righttoleftA?")
        terminal.press("escape")
        operator.sees("4 to do")
        terminal.press("?")
        operator.sees("The keys of this screen")
        terminal.press("x")
        operator.gone("The keys of this screen")
        operator.space("")
        operator.sees("accept the plan|set-up")
        terminal.press("escape")
        operator.sees("4 to do")
        terminal.press(leave)
        operator.sees("half filled in would be gone")
        time.sleep(0.5)
        terminal.press(leave)
        assert terminal.wait_exit() == 0
        assert_it_is_only_drawn(terminal.written())
