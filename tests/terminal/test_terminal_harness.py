"""The harness itself, against a small program of the same kind as ours."""

from __future__ import annotations

import os
import re
import signal
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.terminal.terminal import KEYS, Output, Terminal

ECHO = """
from textual.app import App
from textual.widgets import Static

class Echo(App):
    def compose(self):
        yield Static("ready", id="said")
        yield Static("", id="size")

    def on_key(self, event):
        if event.key == "q":
            self.exit(return_code=3)
        self.query_one("#said", Static).update(f"key={event.key}; é ✓")

    def on_resize(self, event):
        self.title = "the title is not text"
        size = f"size {event.size.width}x{event.size.height}"
        self.query_one("#size", Static).update(size)

app = Echo()
app.run()
raise SystemExit(app.return_code)
"""


@pytest.fixture
def echo(tmp_path: Path) -> Iterator[Terminal]:
    program = tmp_path / "echo.py"
    program.write_text(ECHO, encoding="utf-8")
    with Terminal([sys.executable, program]) as terminal:
        terminal.wait_for("ready")
        yield terminal


def test_keys_reach_the_program_and_its_screen_comes_back(echo: Terminal) -> None:
    for key, name in {"space": "space", "5": "5", "/": "slash", "f2": "f2"}.items():
        echo.press(key)
        echo.wait_for(f"key={name}; é ✓")
    for key in ("enter", "backspace", "escape", "shift+tab", "left", "pagedown", "ctrl+t"):
        echo.press(key)
        assert echo.wait_for(f"key={key};") == f"key={key};"


def test_only_text_is_on_the_screen(echo: Terminal) -> None:
    echo.press("space")
    echo.wait_for("key=space")
    assert echo.screen().split() == ["key=space;", "é", "✓", "size", "80x24"]


def test_typing_sends_every_character(echo: Terminal) -> None:
    echo.type("5/3")
    assert echo.wait_for("key=3;") == "key=3;"


def test_the_program_is_told_of_another_size(echo: Terminal) -> None:
    echo.wait_for("size 80x24")
    echo.resize(120, 40)
    echo.wait_for("size 120x40")
    assert len(echo.screen().split("\n")) == 40


def test_a_pattern_returns_what_it_found(echo: Terminal) -> None:
    assert echo.wait_for(re.compile(r"size \d+x\d+")) == "size 80x24"


def test_waiting_in_vain_shows_the_screen(echo: Terminal) -> None:
    with pytest.raises(AssertionError, match=r"(?s)0\.2 s passed without 'absent'.*ready"):
        echo.wait_for("absent", 0.2)
    with pytest.raises(AssertionError, match=r"(?s)still running after 0\.2 s.*ready"):
        echo.wait_exit(0.2)


def test_the_exit_code_is_the_program_s_own(echo: Terminal) -> None:
    echo.press("q")
    assert echo.wait_exit() == 3
    with pytest.raises(AssertionError, match="the command ended without 'absent'"):
        echo.wait_for("absent", 30)


def test_an_unknown_key_is_refused(echo: Terminal) -> None:
    with pytest.raises(ValueError, match="There is no key 'spcae'"):
        echo.press("spcae")


def test_kill_takes_the_children_too(tmp_path: Path) -> None:
    family = "sleep 600 & echo child $!; sleep 600"
    with Terminal(["sh", "-c", family], folder=tmp_path) as terminal:
        child = int(terminal.wait_for(re.compile(r"child \d+")).split()[1])
        terminal.kill()
        assert terminal.wait_exit() == -signal.SIGKILL
        deadline = time.monotonic() + 5
        while _alive(child) and time.monotonic() < deadline:
            time.sleep(0.02)
        assert not _alive(child)


def test_folder_and_environment_are_the_ones_asked_for(tmp_path: Path) -> None:
    show = "pwd; echo term $TERM, fed $FED, home ${HOME:-none}."
    with Terminal(
        ["sh", "-c", show],
        columns=200,
        folder=tmp_path,
        environment={"FED": "5/32", "HOME": None},
    ) as terminal:
        terminal.wait_for(str(tmp_path.resolve()))
        terminal.wait_for("term xterm-256color, fed 5/32, home none.")
        assert terminal.wait_exit() == 0


def test_closing_again_does_nothing(tmp_path: Path) -> None:
    terminal = Terminal(["sleep", "600"], folder=tmp_path)
    terminal.close()
    terminal.close()
    assert terminal.process.returncode == -signal.SIGKILL


def test_what_the_emulator_does_not_know_is_left_out_however_it_is_cut() -> None:
    said = (
        "a\x1b[?2026$pb\x1b[>1uc\x1b]0;title\x07d\x1b]8;;x\x1b\\e\x1bP+q\x1b\\f\x1b[?ug\x1b[2 qh"
        "\x1b[4:3mi\x1b[22;0;0tj\x1b[1;31mé✓\x1b[?25l"
    ).encode()
    expected = "abcdefghij\x1b[1;31mé✓\x1b[?25l"
    assert Output().understood(said) == expected
    for cut in range(len(said)):
        output = Output()
        assert output.understood(said[:cut]) + output.understood(said[cut:]) == expected
    output = Output()
    assert "".join(output.understood(bytes([byte])) for byte in said) == expected


def test_every_key_name_stands_for_something_different() -> None:
    # Two pairs are one key to any terminal: ctrl+i is Tab, ctrl+m is Enter.
    assert len(set(KEYS.values())) == len(KEYS) - 2


def _alive(pid: int) -> bool:
    """Whether a process runs; one that has ended and waits for its parent to notice does not."""
    try:
        os.kill(pid, 0)
        state = Path(f"/proc/{pid}/stat").read_text(encoding="utf-8").rsplit(")", 1)[1].split()[0]
    except ProcessLookupError:
        return False
    except FileNotFoundError:  # no such folder on this system, or gone in between
        return Path("/proc/self").exists() is False
    return state != "Z"
