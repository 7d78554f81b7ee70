"""What is called, seen at the real screen: real cockpit, real terminal, real serial line."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

from tests.pseudo_terminal import needs_pty
from tests.terminal.shop import BURN_S, Indicator, Operator, cockpit

pytestmark = needs_pty

#: The tool ends half-way down the hole of the ticket, and then there is nothing for a while.
FALLING = (
    *("--recess", "1", "--end", "4.5", "--bottom", "7", "--fall", "0.9"),
    *("--feed", "6", "--speed", "2", "--wear", "0.33"),
)
#: A stall is called after 12 s of arc and a little.
STALL_S = 30.0


def interval_mm(screen: str) -> float:
    """Half the interval that the screen shows."""
    found = re.search(r"± +(\d+\.\d+)", screen)
    assert found is not None, screen
    return float(found[1])


def call(kind: str, says: str) -> str:
    """A call whose words may go over several lines, beside its own word large."""
    words = "(?s:.)*?".join(map(re.escape, says.split()))
    return rf"{kind} (■■■|▲▲|●)(?s:.)*?{words}"


def walk_the_calls(
    operator: Operator, indicator: Indicator, look: Callable[[str], None] = lambda name: None
) -> None:
    """A silent gauge that comes back, a stall, a touch-off, and a fall."""
    operator.open_shift()
    operator.take_in()
    operator.set_up()
    operator.pilot()
    operator.arc_on()
    operator.sees("no calls")
    look("burning")
    indicator.say("silent 4")
    operator.sees(call("SILENT", "check the gauge; the clock runs on"))
    operator.sees("depth, last")
    assert "to target" not in operator.terminal.screen()
    look("silent")
    operator.gone("SILENT")
    operator.gone("depth, last")
    indicator.say("stall")
    operator.sees(call("STALLED", "lift, flush, look at tip and ground"), STALL_S)
    look("stalled")
    operator.arc_off()
    operator.sees("±")
    vague = operator.terminal.screen()
    operator.terminal.press("t")
    operator.touch_off()
    sharp = operator.whole(r"\d\.\d\d mm (lower|higher) than it was: (as deep|at most 1 %)")
    look("touched off")
    # The touch-off more than halves what is not known of the depth.
    assert interval_mm(sharp) < interval_mm(vague) / 2
    operator.space("the stop is set")
    operator.guard()
    indicator.say("hole")
    operator.arc_on()
    operator.sees(call("THROUGH", "fell through: arc off, note where, look"), BURN_S)
    look("fallen")
    operator.arc_off()
    operator.offers("clean out")


def test_each_call_is_seen_where_it_is_due_and_says_what_to_do(tmp_path: Path) -> None:
    truth, data = tmp_path / "truth.csv", tmp_path / "data"
    with Indicator(truth, *FALLING) as indicator:
        words = ("--gauge", "serial-decimal", "--port", indicator.port)
        with cockpit(data, *words) as terminal:
            walk_the_calls(Operator(terminal, indicator), indicator)
    with closing(sqlite3.connect(data / "shop.sqlite3")) as log:
        calls = log.execute("SELECT call, depth_um / 1000.0 FROM calls ORDER BY id").fetchall()
    kinds = [call for call, _ in calls]
    assert kinds.count("silent") == kinds.count("stalled") == kinds.count("through") == 1
    (broke_mm,) = [depth_mm for call, depth_mm in calls if call == "through"]
    assert abs(broke_mm - 4.5) < 0.25
