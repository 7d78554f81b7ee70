"""The benchmark of the tracker runs, and what follows from its seeds alone is as it should be."""

from __future__ import annotations

import re
import subprocess
import sys

import pytest
from environment import ROOT


@pytest.fixture(scope="module")
def said() -> str:
    """What the short form prints; it runs here, in the environment that is there already."""
    command = [sys.executable, str(ROOT / "scripts/bench_tracker.py"), "--here", "--quick"]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    return str(done.stdout)


def figure(said: str, name: str) -> str:
    found = re.search(rf"^ *{re.escape(name)}  +(.*)$", said, re.MULTILINE)
    assert found is not None, said
    return found[1]


def test_no_fall_is_missed_and_none_is_made_up(said: str) -> None:
    falls, quiet = said.partition("no fall and no stall")[::2]
    assert figure(falls, "missed").startswith("0 of ")
    assert figure(falls, "false calls before the fall") == "0"
    assert figure(quiet, "false falls").startswith("0: ")
    assert figure(quiet, "false stalls").startswith("0: ")
    stalls = said.partition("\nstalls: ")[2]
    assert figure(stalls, "missed").startswith("0 of ")


def test_every_figure_is_there(said: str) -> None:
    for name in (
        "within 2 readings or 0.3 s",
        "depth of the break off by",
        "plain threshold: missed",
        "best offline fit (ruptures)",
        "called when due, or 1 s later",
        "95 % interval holds the truth",
        "half the interval",
    ):
        assert figure(said, name)
    assert re.search(r"at 50 Hz +\d+\.\d µs a reading", said)


def test_what_it_does_not_know_it_refuses() -> None:
    command = [sys.executable, str(ROOT / "scripts/bench_tracker.py"), "--slow"]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 2
    assert "--quick" in done.stdout
