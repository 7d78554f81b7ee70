"""The computer's speech program: nobody waits for it, and nothing that goes wrong with it matters.

One program speaks at a time. What comes meanwhile waits, one sentence at most: a weightier one
takes its place, and one that is no longer true is not said. A thread of its own starts the program
and ends one that hangs.
"""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import threading
import time
from contextlib import suppress
from dataclasses import dataclass
from functools import cached_property

from cockpit.sound.words import Saying
from cockpit.text import one_line

#: A program that speaks for longer hangs, s: nothing that is said takes half of it (assumed).
HUNG_S = 6.0
#: How often it is looked whether a program is done, s.
LOOK_EVERY_S = 0.05
#: The longest that leaving waits for a program to be ended, s.
LEAVE_S = 1.0
#: Where the words are handed to a program that would take an argument for a command.
_WORDS = "BURN_COCKPIT_WORDS"
_WINDOWS = "System.Speech.Synthesis.SpeechSynthesizer"

NONE_FOUND = "No speech program is on this computer: install espeak-ng, and open the cockpit again."


if sys.platform == "win32":
    _FLAGS = subprocess.CREATE_NO_WINDOW
else:
    _FLAGS = 0


@dataclass(frozen=True, slots=True)
class Program:
    """A speech program: its name, and what stands before the words; no shell ever sees them."""

    name: str
    options: tuple[str, ...] = ()
    takes_argument: bool = True

    def command(self, path: str, words: str) -> list[str]:
        """What is run. The words are never taken for an option: none begins with a dash."""
        return [path, *self.options, *([words] if self.takes_argument else [])]


#: In the order of preference. Their options are from memory of their manual pages.
PROGRAMS = (
    Program("espeak-ng", ("-v", "en", "--")),
    Program("espeak", ("-v", "en", "--")),
    Program("spd-say", ("--wait", "--language", "en", "--")),
    Program("say"),
    Program(
        "powershell",
        (
            *("-NoProfile", "-NonInteractive", "-Command"),
            f"Add-Type -AssemblyName System.Speech; (New-Object {_WINDOWS}).Speak($env:{_WORDS})",
        ),
        takes_argument=False,
    ),
)


class Speaker:
    """Says one thing at a time; to be closed at the end."""

    def __init__(self, hung_s: float = HUNG_S) -> None:
        """``hung_s``: how long a program may speak."""
        #: What is wrong with the speech program, in a sentence; empty when nothing is known.
        self.trouble = ""
        self._hung_s = hung_s
        self._changed = threading.Condition()
        self._waiting: Saying | None = None
        self._good_until_s = 0.0
        self._thread: threading.Thread | None = None
        self._closed = False

    @cached_property
    def program(self) -> tuple[Program, str] | None:
        """The speech program of this computer and where it is, looked for once."""
        for program in PROGRAMS:
            path = shutil.which(program.name)
            if path is not None:
                return program, path
        self.trouble = NONE_FOUND
        return None

    def say(self, saying: Saying) -> None:
        """Say it now, or when what is being said is over."""
        if self.program is None:
            return
        now_s = time.monotonic()
        with self._changed:
            waiting = self._waiting if now_s <= self._good_until_s else None
            if self._closed or (waiting is not None and waiting.weight < saying.weight):
                return
            self._waiting, self._good_until_s = saying, now_s + saying.good_s
            if self._thread is None:
                self._thread = threading.Thread(target=self._work, name="speech", daemon=True)
                self._thread.start()
            self._changed.notify_all()

    def close(self) -> None:
        """Say nothing more; what is being said ends."""
        with self._changed:
            self._closed = True
            self._changed.notify_all()
        if self._thread is not None:
            self._thread.join(LEAVE_S)

    # In the thread ------------------------------------------------------------------------------

    def _work(self) -> None:
        while (words := self._next_words()) is not None:
            self.trouble = self._speak(words)

    def _next_words(self) -> str | None:
        """Wait for something to say; None at the end."""
        with self._changed:
            while True:
                self._changed.wait_for(lambda: self._closed or self._waiting is not None)
                if self._closed or self._waiting is None:
                    return None
                saying, self._waiting = self._waiting, None
                if time.monotonic() <= self._good_until_s:
                    return one_line(saying.words).lstrip("- ")

    def _speak(self, words: str) -> str:
        """Run the program until it is done. Say what was wrong, if anything was."""
        if self.program is None:
            return NONE_FOUND
        program, path = self.program
        try:
            # The screen is the cockpit's: nothing that a program writes may reach it.
            process = subprocess.Popen(
                program.command(path, words),
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
                env=os.environ | ({} if program.takes_argument else {_WORDS: words}),
                start_new_session=True,
                creationflags=_FLAGS,
            )
        except OSError as error:
            return f"{path} can't be started ({error.strerror}): nothing is spoken."
        return self._outcome(process, path)

    def _outcome(self, process: subprocess.Popen[bytes], path: str) -> str:
        hangs_at_s = time.monotonic() + self._hung_s
        while process.poll() is None:
            if self._closed or time.monotonic() > hangs_at_s:
                _end(process)
                return f"{path} did not come to an end, and was ended: what it said may be lost."
            with self._changed:
                self._changed.wait(LOOK_EVERY_S)
        if process.returncode:
            return f"{path} failed ({process.returncode}): nothing is spoken. Try it by itself."
        return ""


def _end(process: subprocess.Popen[bytes]) -> None:
    """End a program, and whatever it has started."""
    if sys.platform == "win32":
        process.kill()
    else:
        with suppress(OSError):
            os.killpg(process.pid, signal.SIGKILL)
    process.wait()
