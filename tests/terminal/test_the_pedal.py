"""A whole hole with a foot pedal and nothing else, in a real terminal."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

from tests.pseudo_terminal import needs_pty
from tests.terminal.shop import OUTCOME, Indicator, Operator, cockpit
from tests.terminal.test_a_hole import SCENE

pytestmark = needs_pty

PEDAL = "f5"


class PedalOnly(Operator):
    """An operator whose hands are at the machine: any other key is a mistake of the walk."""

    def take_up(self) -> None:
        """From the bench on, whatever is pressed has to be the pedal."""
        press = self.terminal.press

        def only_the_pedal(*keys: str) -> None:
            assert set(keys) == {PEDAL}, keys
            press(*keys)

        self.terminal.press = only_the_pedal  # type: ignore[method-assign]
        self.space("foot 2: plan it")
        self.sees("foot 2 .*plan")


def test_from_bench_to_bench_with_the_pedal_alone(tmp_path: Path) -> None:
    data = tmp_path / "data"
    data.mkdir()
    (data / "preferences.json").write_text(f'{{"pedal": "{PEDAL}"}}', "utf-8")
    with (
        Indicator(tmp_path / "truth.csv", *SCENE) as indicator,
        cockpit(data, "--gauge", "serial-decimal", "--port", indicator.port) as terminal,
    ):
        operator = PedalOnly(terminal, indicator, big_key=PEDAL)
        operator.open_shift()
        operator.take_in()
        terminal.press("escape")
        operator.sees("1 to do")
        operator.take_up()
        operator.set_up()
        operator.pilot()
        operator.burn_to_depth()
        operator.finish(tuple((asks, "") for asks, _ in OUTCOME))
    with closing(sqlite3.connect(data / "shop.sqlite3")) as log:
        (result,) = log.execute("SELECT outcome FROM outcomes").fetchone()
        (step,) = log.execute("SELECT step FROM steps ORDER BY id DESC LIMIT 1").fetchone()
    assert (result, step) == ("done", "ended")
