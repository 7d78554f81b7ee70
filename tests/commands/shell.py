"""The real command in a process of its own."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

UTF8_MARK = "\ufeff"
ROOT = Path(__file__).resolve().parents[2]


class Said:
    """What a command answered."""

    def __init__(self, done: subprocess.CompletedProcess[str]) -> None:
        self.code = done.returncode
        self.out = done.stdout
        self.err = done.stderr

    def as_file(self) -> Said:
        """The same without the mark that a file begins with, which says that it is UTF-8."""
        assert self.out.startswith(UTF8_MARK)
        self.out = self.out.removeprefix(UTF8_MARK)
        return self

    @property
    def lines(self) -> list[str]:
        return self.out.splitlines()


def burn_cockpit(*words: str | Path, home: Path | None = None, **environment: str) -> Said:
    """Run ``burn-cockpit`` with these words; nobody is at the keyboard."""
    known = dict(os.environ) | {"PYTHONPATH": str(ROOT)} | environment
    if home is not None:
        known["HOME"] = str(home)
    command = [sys.executable, "-m", "cockpit", *map(str, words)]
    return Said(
        subprocess.run(
            command,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            env=known,
            timeout=60,
            check=False,
        )
    )


def answer(*words: str | Path, home: Path | None = None, **environment: str) -> Said:
    """The same, where it has to succeed and say nothing on stderr."""
    said = burn_cockpit(*words, home=home, **environment)
    assert (said.code, said.err) == (0, "")
    return said


def refusal(code: int, *words: str | Path, home: Path | None = None) -> Said:
    """The same, where it has to be refused in one sentence."""
    said = burn_cockpit(*words, home=home)
    assert said.code == code, said.err
    assert said.err.endswith(".\n")
    assert said.err.count("\n") == 1
    assert "Traceback" not in said.err
    return said
