"""The shift log as a table opens right in a spreadsheet, and is read a hole at a time."""

from __future__ import annotations

import csv
import io
import json
import os
import subprocess
import sys
from decimal import Decimal
from pathlib import Path

import pytest

from cockpit.log.rows import Result
from tests.commands.shell import ROOT, answer
from tests.log.conftest import TICKET, Bench
from tests.log.test_listing import end, tally


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A log of a closed hole, which has words that are up to something, and an open one."""
    bench = Bench(tmp_path / "shop.sqlite3")
    closed = bench.take_in(customer='=cmd|"x",Gears', reference="-12", part="arm; +1")
    outcome = end(bench, closed, Result.DONE, "@go passes")
    said = tally(closed, outcome, price=Decimal("1088.50"), wear_ratio=-0.001234567)
    bench.store.add_tally(said)
    bench.take_in(TICKET.model_copy(update={"hole": "Söderström №4"}))
    bench.store.close()
    return tmp_path


def test_a_table_has_the_form_of_the_standard(shop: Path) -> None:
    """RFC 4180, section 2: CR LF after each record, quotes doubled, as many fields in each.

    RFC 3629, section 6: EF BB BF before it all says UTF-8, whatever else the computer writes in.
    """
    command = [sys.executable, "-m", "cockpit", "log", "--csv", "--data", str(shop)]
    latin = dict(os.environ) | {"PYTHONIOENCODING": "latin-1"}
    out = subprocess.run(command, capture_output=True, check=True, cwd=ROOT, env=latin).stdout
    assert out.count(b"\r\n") == out.count(b"\n") == out.count(b"\r") == 3
    assert b'"\'=cmd|""x"",Gears"' in out
    assert out.startswith(b"\xef\xbb\xbfhole,")
    assert "Söderström №4".encode() in out
    assert len({len(row) for row in csv.reader(io.StringIO(out.decode()))}) == 1


def test_numbers_are_numbers_and_words_no_formulas(shop: Path) -> None:
    out = answer("log", "--csv", "--data", shop).as_file().out
    opened, closed = csv.DictReader(io.StringIO(out))
    told = {name: closed[name] for name in list(closed)[14:]}
    assert told == {
        "electrode": "7/32 in",
        "electrodes": "1",
        "target_mm": "",
        "depth_mm": "18.0",
        "worn_mm": "4.2",
        "wear_ratio": "-0.00123",
        "price": "1088.50",
        "currency": "EUR",
        "gauged": "'@go passes",
    }
    assert (closed["reference"], closed["part"]) == ("'-12", "arm; '+1")
    assert {opened[name] for name in told} == {""}


def test_json_has_the_same_and_money_as_text(shop: Path) -> None:
    opened, closed = map(json.loads, answer("log", "--json", "--data", shop).lines)
    assert (closed["price"], closed["currency"], closed["depth_mm"]) == ("1088.50", "EUR", 18.0)
    assert (closed["customer"], opened["price"]) == ('=cmd|"x",Gears', None)


def test_whoever_has_seen_enough_may_stop_reading(shop: Path) -> None:
    command = [sys.executable, "-m", "cockpit", "log", "--csv", "--data", str(shop)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, cwd=ROOT) as it:
        assert it.stdout is not None
        assert it.stderr is not None
        it.stdout.close()
        assert it.stderr.read() == b""
