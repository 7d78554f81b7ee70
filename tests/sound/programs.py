"""Speech programs for tests: real ones, on the PATH, that write down what they are given."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

#: The most that anything takes on a slow computer, s.
PATIENCE_S = 20.0
#: A line a call: whatever follows the name of the program, parted by bars; then what is in the
#: environment for a program that takes no words.
_RECORDS = """#!{python} -I
import os, sys, time
with open({heard!r}, "a", encoding="utf-8") as file:
    print(*sys.argv[1:], os.environ.get("BURN_COCKPIT_WORDS", ""), sep="|", file=file)
{then}
"""
#: What a program does once it has written that down.
DONE = ""
FAILS = "sys.exit(3)"
HANGS = "time.sleep(600)"
CHATTERS = "print('noise'); print('noise', file=sys.stderr)"


class SpeechProgram:
    """A program of this name, alone on the PATH."""

    def __init__(
        self, folder: Path, patch: pytest.MonkeyPatch, name: str = "espeak-ng", then: str = DONE
    ) -> None:
        self.path = folder / "bin" / name
        self._heard = folder / f"{name}-heard.txt"
        self.path.parent.mkdir(exist_ok=True)
        script = _RECORDS.format(python=sys.executable, heard=str(self._heard), then=then)
        self.path.write_text(script, encoding="utf-8")
        self.path.chmod(0o755)
        patch.setenv("PATH", str(self.path.parent))

    def heard(self) -> list[str]:
        """What it was given so far, a line a call."""
        if not self._heard.exists():
            return []
        return self._heard.read_text(encoding="utf-8").splitlines()

    def spoken(self) -> list[str]:
        """The words alone, where they are the last argument."""
        return [line.removesuffix("|").rpartition("|")[2] for line in self.heard()]


def until(holds: Callable[[], object], what: Callable[[], object] = lambda: "") -> None:
    """Wait until something holds."""
    deadline_s = time.monotonic() + PATIENCE_S
    while not holds():
        assert time.monotonic() < deadline_s, what()
        time.sleep(0.02)
