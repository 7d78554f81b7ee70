"""What the real program writes to a terminal that has no colours, sixteen, or only ASCII."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from coloraide import Color

from tests.pseudo_terminal import needs_pty
from tests.terminal.shop import AFTER_LIVE_S, BURN_S, ROOT, Operator
from tests.terminal.terminal import Terminal
from tests.terminal.test_the_screens import hole_at_the_pilot

pytestmark = needs_pty

#: Select Graphic Rendition (ECMA-48, 8.3.117), with its parameters.
SGR = re.compile(rb"\x1b\[([0-9;:]*)m")
#: Its parameters that make bold, and that turn ink and ground round.
BOLD, REVERSE = 1, 7
#: Its parameters that set a colour: the eight, the bright eight, any other; for ink and ground.
COLOURS = frozenset({*range(30, 39), *range(40, 49), *range(90, 98), *range(100, 108)})
#: A ground in a bright colour, which a text console shows dark (Linux, from memory).
BRIGHT_GROUNDS = frozenset(range(100, 108))
#: VGA's sixteen colours, with which the Linux console begins, as the emulator names them.
CONSOLE = {
    "black": "#000000",
    "red": "#aa0000",
    "green": "#00aa00",
    "brown": "#aa5500",
    "blue": "#0000aa",
    "magenta": "#aa00aa",
    "cyan": "#00aaaa",
    "white": "#aaaaaa",
    "brightblack": "#555555",
    "brightred": "#ff5555",
    "brightgreen": "#55ff55",
    "brightbrown": "#ffff55",
    "brightblue": "#5555ff",
    "brightmagenta": "#ff55ff",
    "brightcyan": "#55ffff",
    "brightwhite": "#ffffff",
}
#: Text on its ground: WCAG 2.2, success criterion 1.4.3.
LEAST_CONTRAST = 4.5
#: The invented burn goes so much faster than a real one.
SPEED = "30"


@contextmanager
def pilot_called(data: Path, environment: Mapping[str, str | None]) -> Iterator[Terminal]:
    """The real cockpit in such a terminal, from the bench to the call that ends the pilot burn."""
    hole_at_the_pilot(data, gauge="simulated")
    command: list[str | Path] = [sys.executable, "-m", "cockpit", "--demo", "--data", data]
    command += ["--speed", SPEED]
    with Terminal(command, environment=environment, folder=ROOT) as terminal:
        operator = Operator(terminal)
        operator.space("foot 2: ")
        operator.guard()
        operator.space("arc on", after_s=AFTER_LIVE_S)
        operator.sees("ARC ON")
        operator.sees("(■■■|!!!) PILOT (■■■|!!!)", BURN_S)
        yield terminal


def parameters(written: bytes) -> list[int]:
    """All that was asked of the terminal's rendition."""
    found = [one for sgr in SGR.findall(written) for one in re.split(rb"[;:]", sgr)]
    return [int(one or b"0") for one in found]


def cells_of(terminal: Terminal, text: str) -> list[Any]:
    """The cells of a text that stands on the screen once."""
    for row in terminal.cells():
        line = "".join(cell.data for cell in row)
        if text in line:
            at = line.index(text)
            return row[at : at + len(text)]
    raise AssertionError(f"{text!r} is not there:\n{terminal.screen()}")


def test_no_colour_is_written_where_none_is_wanted(tmp_path: Path) -> None:
    with pilot_called(tmp_path, {"NO_COLOR": "1"}) as terminal:
        asked = set(parameters(terminal.written()))
        assert not asked & COLOURS
        assert {BOLD, REVERSE} <= asked
        # The call stands out by shape, weight and reverse, and so does the big key.
        assert all(cell.reverse and cell.bold for cell in cells_of(terminal, "■■■ PILOT ■■■"))
        assert all(cell.reverse for cell in cells_of(terminal, "SPACE"))
        assert not any(cell.reverse for cell in cells_of(terminal, "? keys"))


def test_colour_is_written_where_it_is_wanted(tmp_path: Path) -> None:
    with pilot_called(tmp_path, {}) as terminal:
        assert set(parameters(terminal.written())) & COLOURS
        call, quiet = cells_of(terminal, "PILOT ■■■"), cells_of(terminal, "? keys")
        assert {cell.bg for cell in call}.isdisjoint(cell.bg for cell in quiet)


def test_a_text_console_gets_sixteen_colours_that_can_be_read(tmp_path: Path) -> None:
    with pilot_called(tmp_path, {"TERM": "linux", "LANG": "en_GB.UTF-8"}) as terminal:
        asked = parameters(terminal.written())
        assert set(asked) & COLOURS
        assert 38 not in asked, "none of the 256, nor of the 16 million"
        assert 48 not in asked
        # Reversed, that console would write bright colours dark; a bright ground it has not.
        assert REVERSE not in asked
        assert not set(asked) & BRIGHT_GROUNDS
        assert terminal.screen().isascii()
        shown = [cell for row in terminal.cells() for cell in row if cell.data.strip()]
        assert len(shown) > 200
        for cell in shown:
            # What is bold is written in the bright colour of its kind.
            bright = cell.bold and not cell.fg.startswith("bright")
            ink = CONSOLE[f"bright{cell.fg}" if bright else cell.fg]
            ratio = Color(ink).contrast(CONSOLE[cell.bg], method="wcag21")
            assert ratio >= LEAST_CONTRAST, cell
        call = cells_of(terminal, "!!! PILOT !!!")
        assert {cell.bg for cell in call} == {"red"}


def test_a_terminal_of_plain_letters_gets_ascii_in_its_colours(tmp_path: Path) -> None:
    with pilot_called(tmp_path, {"LANG": "C", "LC_ALL": None}) as terminal:
        assert terminal.screen().isascii()
        assert 38 in parameters(terminal.written())
        assert "+/-" in terminal.screen()
