"""The benchmark of the log runs, and what it writes is sound and small."""

from __future__ import annotations

import re
import subprocess
import sys

from environment import ROOT


def test_a_year_of_traces_fits_where_it_should() -> None:
    command = [sys.executable, str(ROOT / "scripts/bench_log.py"), "--here", "--quick"]
    said = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    found = re.search(r"traces in a year +([\d.]+) MB", said)
    assert found is not None
    assert 1.0 < float(found[1]) < 50.0
    assert re.search(r"verify +[\d.]+ s, 0 faults", said)
