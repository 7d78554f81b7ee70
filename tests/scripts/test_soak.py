"""The soak, for some seconds: what is sent is kept. Nothing is judged by the clock here."""

from __future__ import annotations

import re
import subprocess
import sys
from argparse import Namespace
from collections.abc import Iterator
from pathlib import Path
from typing import cast

import pytest
from environment import ROOT
from soak import BREAKS, LIFTS_S, Soak, tell
from torture_record import Kept, Truth

from tests.pseudo_terminal import needs_pty
from tests.scripts.planted import Planted
from tests.terminal.shop import Operator


@needs_pty
def test_a_short_soak_loses_nothing_and_gives_every_figure() -> None:
    command = [sys.executable, str(ROOT / "scripts/soak.py"), "--here", "--untimed"]
    options = ["--minutes", "0.15", "--hz", "50"]
    done = subprocess.run([*command, *options], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    told = dict(re.findall(r"^ +(\S.*?) {2,}(.*)$", done.stdout, re.MULTILINE))
    assert int(told["readings sent"]) >= int(told["in the log"]) > 50
    assert told["lost in a burn"] == "0"
    assert int(told["sent with the arc on"]) > 25
    assert int(told["in a burn in the log"].split()[0]) > 25
    for name in ("memory, resident", "growth since it was warm", "share of one processor"):
        assert told[name]
    assert re.search(r"\d+ keys answered +median \d+ ms", done.stdout)


# What is planted is found ------------------------------------------------------------------------

#: A minute of burning, ten readings a second.
MINUTE = [(n, 1000 + 7 * n) for n in range(600)]


@pytest.fixture
def planted(tmp_path: Path) -> Iterator[Planted]:
    planted = Planted(tmp_path)
    planted.sent([um for _, um in MINUTE])
    yield planted
    planted.store.close()


def found(kept: Kept, truth: Truth) -> list[str]:
    """What is found where nothing but the readings can be at fault."""
    soak = Soak(cast(Operator, None), pid=0, lasts_s=60.0)
    soak.sizes, soak.keys_ms = [(0.0, 70.0, 60.0)], [20.0]
    return tell(Namespace(minutes=1.0, hz=10.0, untimed=False), soak, kept, truth)


def test_a_burn_that_is_kept_is_no_finding(planted: Planted) -> None:
    planted.kept(MINUTE, stop_s=60.05)
    assert found(planted.record.compare(planted.hole, []), planted.truth) == []


def test_a_reader_that_is_dead_is_found(planted: Planted) -> None:
    planted.kept(MINUTE[:100], stop_s=60.05)
    assert found(planted.record.compare(planted.hole, []), planted.truth) == [
        "496 readings were left out at the end of a burn, 49.50 s",
        "500 readings sent with the arc on are in no burn",
    ]


def test_a_burn_that_the_log_does_not_know_of_is_found(planted: Planted) -> None:
    # By the log the arc went off after 10 s, and so nothing is left out.
    planted.kept(MINUTE[:100], stop_s=10.0)
    assert found(planted.record.compare(planted.hole, []), planted.truth) == [
        "500 readings sent with the arc on are in no burn"
    ]


@pytest.mark.parametrize(("over", "are_found"), [(0, 0), (1, 1)])
def test_at_each_break_the_head_may_lift_late(planted: Planted, over: int, are_found: int) -> None:
    lack = round((BREAKS + 1) * LIFTS_S * 10.0) + over
    assert len(found(Kept(in_burns=len(MINUTE) - lack), planted.truth)) == are_found
