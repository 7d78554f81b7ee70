"""The benchmark of the burn screen, for some seconds: the figures are there, whatever they are."""

from __future__ import annotations

import os
import re
import subprocess
import sys

from bench_screen import SIZES, differ
from environment import ROOT
from process_time import clock_s, processor_s

from tests.pseudo_terminal import needs_pty


@needs_pty
def test_a_short_benchmark_gives_every_figure_at_every_size() -> None:
    command = [sys.executable, str(ROOT / "scripts/bench_screen.py"), "--here"]
    options = ["--seconds", "1", "--keys", "10"]
    done = subprocess.run([*command, *options], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    heading, sizes, *rows = done.stdout.splitlines()
    assert "1 s hands off and 14 keys" in heading
    assert re.findall(r"\d+x\d+", sizes) == [f"{columns}x{high}" for columns, high in SIZES]
    figures = [
        re.fullmatch(r"  (\S.*?|  \S.*?)((?: +(?:[\d.]+|--|inf)){3})(.*)", row) for row in rows
    ]
    told = [(found[1].strip(), found[2].split(), found[3]) for found in figures if found]
    assert len(told) == len(rows)
    first = {name: (cells, aim) for name, cells, aim in reversed(told)}
    assert all(float(cell) > 0 for cell in first["share of one core, %"][0])
    assert all(float(cell) > 0 for cell in first["readings a second"][0])
    assert all(float(cell) > 100 for cell in first["cells painted a second"][0])
    assert first["keys U: pressed"][0] == 3 * ["10.0"]
    assert first["keys ?: pressed"][0] == 3 * ["2.0"]
    assert [name for name, _, aim in told if aim] == ["share of one core, %", "99 % within, ms"]


def test_cells_that_differ_are_counted() -> None:
    assert differ("12.3\nfeed", "12.4\nfeed 1") == 3
    assert differ("same\n", "same\n") == 0


def test_processor_time_is_taken_from_the_system() -> None:
    before_s = processor_s(os.getpid())
    while processor_s(os.getpid()) == before_s:
        sum(range(10_000))
    assert (clock_s("0:03.25"), clock_s("01:02:03"), clock_s("1-02:03:04")) == (3.25, 3723, 93784)
