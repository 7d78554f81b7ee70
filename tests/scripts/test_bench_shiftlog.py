"""The benchmark of the shift log, at a short one: the figures are there, whatever they are."""

from __future__ import annotations

import re
import subprocess
import sys

from bench_shiftlog import counts, has_found
from environment import ROOT

from tests.pseudo_terminal import needs_pty

WORDS = ["harrow\nm8", "harrow\nm10", "quill\nm10"]
SCREEN = " shift log\n m10\n ► 2024\n 1 hole, 0 closed   still reading: 2 of 3\n arc 0:00"


@needs_pty
def test_a_short_benchmark_gives_every_figure() -> None:
    command = [sys.executable, str(ROOT / "scripts/bench_shiftlog.py"), "--here", "--quick"]
    done = subprocess.run([*command, "--holes", "40"], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "shift log of 40 holes" in done.stdout
    assert re.search(r"opens in +\d+ ms", done.stdout)
    answered = re.findall(r"\d+ keys .* 99 % within \d+ ms.*, (\d+) not answered", done.stdout)
    assert answered == ["0", "0"]
    assert re.search(r"log --csv +\d+\.\d s, 0\.\d MB, memory ", done.stdout)


def test_a_key_is_answered_once_its_count_stands_there() -> None:
    assert counts(WORDS, "M10 harrow") == 1
    assert has_found(SCREEN, "m10", WORDS)
    assert not has_found(SCREEN, "m1", ["m1", "m1", "m1"])
    assert not has_found(SCREEN.replace(" m10\n", " m1\n"), "m10", WORDS)
    assert not has_found(SCREEN.replace("   still reading: 2 of 3", ""), "m10", WORDS)
