"""The soak, for some seconds: what is sent is kept. Nothing is judged by the clock here."""

from __future__ import annotations

import re
import subprocess
import sys

from environment import ROOT

from tests.pseudo_terminal import needs_pty


@needs_pty
def test_a_short_soak_loses_nothing_and_gives_every_figure() -> None:
    command = [sys.executable, str(ROOT / "scripts/soak.py"), "--here", "--untimed"]
    options = ["--minutes", "0.15", "--hz", "50"]
    done = subprocess.run([*command, *options], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    told = dict(re.findall(r"^ +(\S.*?) {2,}(.*)$", done.stdout, re.MULTILINE))
    assert int(told["readings sent"]) >= int(told["in the log"]) > 50
    assert told["lost in a burn"] == "0"
    for name in ("memory, resident", "growth since it was warm", "share of one processor"):
        assert told[name]
    assert re.search(r"\d+ keys answered +median \d+ ms", done.stdout)
