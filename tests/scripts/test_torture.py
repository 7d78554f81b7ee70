"""The torture itself, in its short form; and that it would find what it looks for."""

from __future__ import annotations

import re
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from environment import ROOT
from torture_record import Record, Truth
from torture_screen import read_screen
from torture_witness import Witness

from cockpit.burn.reading import Mark, MarkKind, Reading
from cockpit.log.rows import BurnKind, CheckResult
from cockpit.log.store import Store
from cockpit.trade.remnants import Kind
from cockpit.trade.ticket import Ticket
from tests.pseudo_terminal import needs_pty

#: Travel of an invented burn, µm, ten readings a second.
TRAVELS_UM = [1000 + 7 * n for n in range(40)]
ROWS = list(enumerate(TRAVELS_UM))
FAULTS = ("clock set", "disk full", "garbage", "killed", "left", "unplugged")


@needs_pty
def test_a_round_of_each_fault_finds_nothing() -> None:
    command = [
        sys.executable,
        str(ROOT / "scripts/torture.py"),
        "--here",
        "--untimed",
        "--no-mount",
    ]
    options = ["--rounds", str(len(FAULTS)), "--workers", "1", "--seed", "3"]
    done = subprocess.run([*command, *options], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    told = dict(re.findall(r"^  (\S.*?) {2,}(.*)$", done.stdout, re.MULTILINE))
    assert {fault: told[fault] for fault in FAULTS} == dict.fromkeys(FAULTS, "1 rounds")
    assert int(told["confirmations seen, and looked for"]) > 20
    assert int(told["readings sent"]) > 50
    assert int(re.findall(r"kept, each one sent +(\d+)", done.stdout)[0]) > 10
    assert told["findings"] == "0"


# What is planted is found ------------------------------------------------------------------------


class Planted:
    """A log and what was sent, made to measure."""

    def __init__(self, folder: Path) -> None:
        self.truth = Truth(folder)
        self._file = self.truth.new_file()
        self.record = Record(folder, self.truth)
        self.store = Store(self.record.path)
        self.shift = self.store.open_shift("MT", "standard", "serial-decimal")
        job = self.store.add_job(self.shift, "Elderbeck", "EF-31", "block")
        ticket = Ticket(hole="foot 2", thread="M10x1.5", broken=Kind.TAP, depth_mm=7.0)
        self.hole = self.store.add_hole(self.shift, job, ticket, "plan")
        self.began_s = time.time()
        self.store.add_sitting(self.shift, self.hole, 0.0)

    def sent(self, travels_um: list[int]) -> None:
        rows = [
            f"{self.began_s + 0.1 * n:.3f},{0.1 * n:.3f},{um / 1000:.4f},1,0.0\n"
            for n, um in enumerate(travels_um)
        ]
        self._file.write_text("".join(rows), encoding="ascii")
        self.truth.catch_up()

    def kept(self, rows: list[tuple[int, int]], every_s: float = 0.1) -> None:
        """Readings, each with its place among those sent."""
        start, stop = Mark.at(0.0, MarkKind.START), Mark.at(60.0, MarkKind.STOP)
        self.store.open_burn(self.shift, self.hole, BurnKind.BURN, 0, start)
        readings = [
            (seq, Reading.at(every_s * place + 0.02, um / 1000))
            for seq, (place, um) in enumerate(rows, 1)
        ]
        self.store.add_readings(self.hole, readings)
        self.store.add_mark(self.shift, self.hole, len(readings) + 1, stop)

    def wrong(self, *faults: tuple[float, float]) -> list[str]:
        return self.record.compare(self.hole, list(faults)).wrong


@pytest.fixture
def planted(tmp_path: Path) -> Iterator[Planted]:
    planted = Planted(tmp_path)
    yield planted
    planted.store.close()


def test_what_was_sent_and_kept_is_no_finding(planted: Planted) -> None:
    planted.sent(TRAVELS_UM)
    planted.kept(ROWS[3:30])
    kept = planted.record.compare(planted.hole, [])
    assert (kept.readings, kept.wrong, kept.lost) == (27, [], 0)


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ([*ROWS[:9], (9, 999), *ROWS[9:]], "a reading of 999 µm"),
        ([*ROWS[:9], ROWS[8], *ROWS[9:]], "was not sent then"),
        ([*ROWS[:9], (10, ROWS[10][1]), (10, ROWS[9][1]), *ROWS[11:]], "was not sent then"),
        ([*ROWS[:9], *ROWS[12:]], "3 readings were left out in the middle"),
    ],
    ids=["made up", "twice", "out of order", "left out"],
)
def test_a_reading_that_is_wrong_is_found(
    planted: Planted, rows: list[tuple[int, int]], words: str
) -> None:
    planted.sent(TRAVELS_UM)
    planted.kept(rows)
    (wrong, *_) = planted.wrong()
    assert words in wrong


def test_a_reading_of_another_time_is_found(planted: Planted) -> None:
    planted.sent(TRAVELS_UM)
    planted.kept(ROWS, every_s=1.0)
    assert "was not sent then" in planted.wrong()[0]


def test_what_the_line_lost_is_no_finding(planted: Planted) -> None:
    planted.sent(TRAVELS_UM)
    planted.kept([*ROWS[:9], *ROWS[12:]])
    assert not planted.wrong((planted.began_s + 0.9, planted.began_s + 1.1))


def test_a_date_that_was_put_off_is_reckoned_with(tmp_path: Path) -> None:
    planted = Planted(tmp_path)
    planted.sent(TRAVELS_UM)
    planted.kept(ROWS)
    # As if the date had been right only for an hour, long ago, and the burn then were this one.
    planted.record.steps = [(planted.began_s - 9000.0, 0.0), (planted.began_s - 5400.0, 4000.0)]
    assert "was not sent then" in planted.wrong()[0]
    planted.store.close()


def screen(title: str, item: str, offer: str = "confirm") -> str:
    rows = [f" Elderbeck   foot 2   M10 tap   {title}", "", f"     {item}", *[""] * 19]
    return "\n".join([*rows, f"  SPACE  {offer}", " ? keys"])


def test_what_is_confirmed_and_missing_is_found(planted: Planted) -> None:
    witness = Witness()
    witness.saw(read_screen(screen("set-up 1 of 14", "Ground")), [])
    witness.saw(read_screen(screen("set-up 2 of 14", "Clamped and square")), ["space"])
    assert planted.record.missing(witness.claims) == [(("check", "foot 2", "Ground"), 1, 0)]
    planted.store.add_check(planted.shift, planted.hole, "ground", "Ground", CheckResult.CONFIRMED)
    assert planted.record.missing(witness.claims) == []


def test_what_waits_for_the_disk_is_claimed_once_it_can_be_written() -> None:
    witness = Witness()
    witness.is_writable = False
    arc = "\n".join([" E   foot 2   M10 tap   burn", " {}  0:0{}   burn 1", *[""] * 20])
    witness.saw(read_screen(arc.format("arc off", 0)), [])
    witness.saw(read_screen(arc.format("ARC ON ", 1)), ["space"])
    assert ("arc on", "foot 2", "") not in witness.claims
    witness.written()
    assert witness.claims["arc on", "foot 2", ""] == 1
