"""The benchmark of what is learnt runs, and finds the burns that it put far off."""

from __future__ import annotations

import re
import subprocess
import sys

from environment import ROOT


def test_a_long_log_is_learnt_from_and_the_odd_ones_are_found() -> None:
    command = [sys.executable, str(ROOT / "scripts/bench_learnt.py"), "--here", "--quick"]
    said = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    found = re.search(r"([\d,]+) figures, (\d+) unlike, (\d+) listed", said)
    assert found is not None
    assert (found[1], found[3]) == ("4,000", "200")
    assert 1 <= int(found[2]) <= 40
