"""A real terminal for the real program: a pseudo-terminal with an emulator behind it.

The program under test gets a controlling terminal of its own, keys arrive as bytes, and the screen
is what an emulator makes of the bytes that come back.
"""

from __future__ import annotations

import codecs
import contextlib
import fcntl
import os
import re
import select
import signal
import struct
import subprocess
import sys
import termios
import threading
import time
from collections import deque
from collections.abc import Iterator, Mapping, Sequence
from itertools import product
from pathlib import Path
from types import TracebackType
from typing import Self

import pyte

KEYS = {
    "space": " ",
    "enter": "\r",
    "tab": "\t",
    "shift+tab": "\x1b[Z",
    "backspace": "\x7f",
    "escape": "\x1b",
    "up": "\x1b[A",
    "down": "\x1b[B",
    "right": "\x1b[C",
    "left": "\x1b[D",
    "home": "\x1b[H",
    "end": "\x1b[F",
    "insert": "\x1b[2~",
    "delete": "\x1b[3~",
    "pageup": "\x1b[5~",
    "pagedown": "\x1b[6~",
    "f1": "\x1bOP",
    "f2": "\x1bOQ",
    "f3": "\x1bOR",
    "f4": "\x1bOS",
    "f5": "\x1b[15~",
    **{f"ctrl+{letter}": chr(ord(letter) - 96) for letter in "abcdefghijklmnopqrstuvwxyz"},
}

# A program must wait a little to tell the Escape key from the start of a longer sequence.
_AFTER_ESCAPE_S = 0.2

# Runs the command as the owner of the terminal on its standard input, so that it gets SIGWINCH.
_TAKE_TERMINAL = (
    "import fcntl, os, sys, termios; "
    "fcntl.ioctl(0, termios.TIOCSCTTY, 0); "
    "os.execvp(sys.argv[1], sys.argv[1:])"
)

# What the emulator would print as text: strings for the terminal (title, clipboard, queries),
# control sequences with private marks or intermediates (keyboard protocol, mode queries), window
# operations, and colours with sub-parameters.
_UNKNOWN = re.compile(
    r"\x1b[\]P_^X][^\x07\x1b]*(?:\x07|\x1b\\)"
    r"|\x1b\[[<=>][0-9;:]*[ -/]*[@-~]"
    r"|\x1b\[\??[0-9;:]*[ -/]+[@-~]"
    r"|\x1b\[\?[0-9;]*u"
    r"|\x1b\[[0-9;]*t"
    r"|\x1b\[[0-9;]*:[0-9;:]*m"
)
# A sequence whose end has not arrived yet.
_UNFINISHED = re.compile(r"\x1b(?:[\]P_^X][^\x07\x1b]*\x1b?|\[[0-?]*[ -/]*)?\Z")


class Output:
    """Turns the bytes of a program into text that the emulator understands, across any split."""

    def __init__(self) -> None:
        self._decoder = codecs.getincrementaldecoder("utf-8")(errors="replace")
        self._rest = ""

    def understood(self, data: bytes) -> str:
        """What the emulator can be fed now; an unfinished sequence waits for its end."""
        text = self._rest + self._decoder.decode(data)
        unfinished = _UNFINISHED.search(text)
        cut = unfinished.start() if unfinished else len(text)
        self._rest = text[cut:]
        return _UNKNOWN.sub("", text[:cut])


class Terminal:
    """A command running in a terminal of `columns` by `rows`.

    `environment` is added to this process's own; a value of None takes a name away. Use it as a
    context manager: leaving it ends the command, whatever state that is in.
    """

    def __init__(
        self,
        command: Sequence[str | Path],
        *,
        columns: int = 80,
        rows: int = 24,
        environment: Mapping[str, str | None] | None = None,
        folder: Path | None = None,
    ) -> None:
        self._emulator = pyte.Screen(columns, rows)
        self._stream = pyte.Stream(self._emulator)
        self._output = Output()
        self._written = bytearray()
        self._changed = threading.Condition()
        self._closing = False
        self._ended = False
        self._takes = True
        self._held: deque[tuple[float, bytes]] | None = None
        self._ours, theirs = os.openpty()
        try:
            self._set_size(columns, rows)
            self.process = subprocess.Popen(
                [sys.executable, "-I", "-c", _TAKE_TERMINAL, *map(str, command)],
                stdin=theirs,
                stdout=theirs,
                stderr=theirs,
                cwd=folder,
                env=_environment(environment or {}),
                start_new_session=True,
            )
        except BaseException:
            os.close(self._ours)
            raise
        finally:
            os.close(theirs)
        self._reader = threading.Thread(target=self._read, name="terminal", daemon=True)
        self._reader.start()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def press(self, *keys: str) -> None:
        """Presses keys one after the other, by name (`space`, `ctrl+p`) or as the character."""
        for key in keys:
            if key not in KEYS and len(key) != 1:
                raise ValueError(f"There is no key {key!r}; the names are {', '.join(KEYS)}.")
            self.type(KEYS.get(key, key))
            if key == "escape":
                time.sleep(_AFTER_ESCAPE_S)

    def type(self, text: str) -> None:
        """Types text as it stands."""
        data = text.encode()
        while data:
            data = data[os.write(self._ours, data) :]

    def screen(self) -> str:
        """What the screen shows now, a line a row, without the blanks at the end of each."""
        with self._changed:
            return self._text()

    def cells(self) -> list[list[pyte.screens.Char]]:
        """The cells of the screen now, row by row, each with its character, colours and style."""
        with self._changed:
            columns, rows = self._emulator.columns, self._emulator.lines
            buffer = self._emulator.buffer
            return [[buffer[row][column] for column in range(columns)] for row in range(rows)]

    def written(self) -> bytes:
        """Every byte that the command has written to the terminal so far."""
        with self._changed:
            return bytes(self._written)

    def wait_for(self, what: str | re.Pattern[str], timeout_s: float = 10.0) -> str:
        """Waits until the screen shows a text or a pattern, and returns what matched.

        A pattern sees the whole screen, rows parted by line ends. Raises AssertionError with the
        screen in it when the time is up or the command has ended without it.
        """
        pattern = re.compile(re.escape(what)) if isinstance(what, str) else what
        deadline = time.monotonic() + timeout_s
        with self._changed:
            while not (found := pattern.search(self._text())):
                left_s = deadline - time.monotonic()
                if self._ended or left_s <= 0:
                    why = "the command ended" if self._ended else f"{timeout_s:g} s passed"
                    raise AssertionError(f"{why} without {pattern.pattern!r}:\n{self._framed()}")
                self._changed.wait(left_s)
            return found.group()

    def resize(self, columns: int, rows: int, *, litter: str = "") -> None:
        """Gives the terminal another size; the command is told as by a real one.

        `litter` is put into every cell before: what a terminal may leave there of its old size.
        """
        with self._changed:
            self._emulator.resize(rows, columns)
            for row, column in product(range(rows), range(columns)) if litter else ():
                self._emulator.buffer[row][column] = pyte.screens.Char(litter)
            self._set_size(columns, rows)

    @contextlib.contextmanager
    def stuck(self) -> Iterator[None]:
        """Takes nothing that is written, as a remote terminal whose network is gone."""
        self._takes = False
        try:
            yield
        finally:
            self._takes = True

    def hold(self) -> None:
        """From now on only notes what is written and when; the screen waits for `replay`.

        The emulator costs more than many a program it shows: meanwhile it is in nobody's way.
        """
        with self._changed:
            self._held = deque() if self._held is None else self._held

    def replay(self) -> Iterator[tuple[float, bytes]]:
        """Shows what was noted, one piece after the other, each once it is on the screen.

        Gives when it came (s of `time.perf_counter`) and what it was. Once nothing is left, the
        screen shows again what comes as it comes.
        """
        while True:
            with self._changed:
                if not self._held:
                    self._held = None
                    return
                at_s, data = self._held.popleft()
                self._show(data)
            yield at_s, data

    def kill(self) -> None:
        """Ends the command and all it started, with SIGKILL: nothing gets to tidy up."""
        with contextlib.suppress(ProcessLookupError):
            os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait(10)

    def wait_exit(self, timeout_s: float = 10.0) -> int:
        """Waits until the command ends by itself; its exit code, negative for a signal."""
        try:
            code = self.process.wait(timeout_s)
        except subprocess.TimeoutExpired:
            with self._changed:
                message = f"still running after {timeout_s:g} s:\n{self._framed()}"
            raise AssertionError(message) from None
        self._reader.join(2)
        return code

    def close(self) -> None:
        """Ends the command if it still runs and gives the terminal back; may be called again."""
        if self._closing:
            return
        self.kill()
        self._closing = True
        self._reader.join(5)
        os.close(self._ours)

    def _read(self) -> None:
        """Feeds the emulator until the command is gone; runs in a thread of its own."""
        while not self._closing:
            if not self._takes:
                time.sleep(0.05)
                continue
            if not select.select([self._ours], [], [], 0.05)[0]:
                continue
            try:
                data = os.read(self._ours, 65536)
            except OSError:  # Linux reports the other side's end so
                data = b""
            read_s = time.perf_counter()
            with self._changed:
                self._ended = not data
                if self._held is None or not data:
                    self._show(data)
                else:
                    self._held.append((read_s, data))
            if not data:
                return

    def _show(self, data: bytes) -> None:
        self._written += data
        self._stream.feed(self._output.understood(data))
        self._changed.notify_all()

    def _text(self) -> str:
        return "\n".join(row.rstrip() for row in self._emulator.display)

    def _framed(self) -> str:
        """The screen between two rules, for a message."""
        rule = "─" * self._emulator.columns
        return f"{rule}\n{self._text()}\n{rule}"

    def _set_size(self, columns: int, rows: int) -> None:
        fcntl.ioctl(self._ours, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))


def _environment(changes: Mapping[str, str | None]) -> dict[str, str]:
    """This process's environment as a plain terminal of 256 colours would have it, then changed."""
    plain = {
        "TERM": "xterm-256color",
        "LANG": "C.UTF-8",
        "COLUMNS": None,
        "LINES": None,
        "NO_COLOR": None,
        "COLORTERM": None,
        "TERM_PROGRAM": None,
    }
    wanted: dict[str, str | None] = {**os.environ, **plain, **changes}
    return {name: value for name, value in wanted.items() if value is not None}
