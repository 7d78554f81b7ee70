"""The terminal gets another size in mid burn: the screen follows, and the burn does not notice."""

from __future__ import annotations

import time
from pathlib import Path

from torture_screen import Look, read_screen

from tests.pseudo_terminal import needs_pty
from tests.terminal.kept import kept_readings
from tests.terminal.shop import AFTER_CHECKS_S, PATIENCE_S, Indicator, Operator, cockpit
from tests.terminal.test_the_screens import hole_at_the_pilot

pytestmark = needs_pty

SIZES = ((200, 60), (120, 40), (80, 24))
#: In no text of the cockpit.
LITTER = "¤"
#: What is on the screen was sent not longer ago than this, s.
NEW_S = 5.0


def looks(operator: Operator, after: Look | None = None) -> Look:
    """The arc's screen; a second and a reading later than before."""
    deadline_s = time.monotonic() + PATIENCE_S
    while time.monotonic() < deadline_s:
        look = read_screen(operator.terminal.screen())
        if look.arc_on and look.readings is not None:
            before_s, before = (after.clock_s, after.readings) if after else (-1, -1)
            if look.clock_s > before_s and look.readings > (before or 0):
                return look
        time.sleep(0.02)
    raise AssertionError(operator.terminal.screen())


def assert_figure_is_new(look: Look, indicator: Indicator) -> None:
    """The travel on the screen is what the indicator sent just now."""
    shown = look.finds(r"travel +(-?\d+\.\d+)")
    half_a_step = 0.5001 * 10 ** -len(shown.partition(".")[2])
    sent = [one for one in indicator.sent() if one.wall_s > time.time() - NEW_S]
    assert any(abs(one.travel_um / 1000 - float(shown)) <= half_a_step for one in sent), look.text


def assert_drawn_to(operator: Operator, columns: int, rows: int) -> None:
    """Every cell is drawn anew, down to the last line, and nothing beyond."""
    operator.gone(LITTER)
    operator.sees(rf"\A(.*\n){{{rows - 1}}}.*\? keys\Z")
    lines = operator.terminal.screen().split("\n")
    assert len(lines) == rows
    assert max(map(len, lines)) <= columns


def test_in_mid_burn_every_size_is_drawn_whole_and_nothing_is_lost(tmp_path: Path) -> None:
    scene = ("--recess", "3", "--end", "12", "--feed", "3")
    with Indicator(tmp_path / "truth.csv", *scene) as indicator:
        hole_at_the_pilot(tmp_path, "serial-decimal", indicator.port)
        options = ("--gauge", "serial-decimal", "--port", indicator.port)
        with cockpit(tmp_path, *options) as terminal:
            operator = Operator(terminal, indicator)
            operator.space("foot 2: guard on, pilot burn")
            operator.guard()
            operator.space("arc on: a short pilot burn", after_s=AFTER_CHECKS_S)
            indicator.say("burn")
            look = looks(operator)
            for columns, rows in SIZES:
                terminal.resize(columns, rows, litter=LITTER)
                assert_drawn_to(operator, columns, rows)
                look = looks(operator, after=look)
                assert_figure_is_new(look, indicator)
            operator.arc_off()
            terminal.press("ctrl+q")
            assert terminal.wait_exit() == 0
    kept = [one.travel_um for one in kept_readings(tmp_path / "shop.sqlite3")]
    sent = [one.travel_um for one in indicator.sent()]
    assert look.readings is not None
    assert len(kept) >= look.readings
    assert any(sent[at : at + len(kept)] == kept for at in range(len(sent))), "a stretch, whole"
