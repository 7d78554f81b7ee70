"""The reader under spoilt streams, held to an oracle of its own; and the fuzzer finds faults."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import fuzz_reader
import fuzz_streams
import pytest
from environment import ROOT
from fuzz_oracle import ORACLES, due
from fuzz_streams import Figures, FindingError, hold, run_stream, run_streams, serial_profiles
from gauge_forms import FORMS
from hypothesis import given, settings
from hypothesis import strategies as st

from cockpit.gauges import Reject, Sample
from cockpit.gauges.line import LineReader

STREAMS = 2_000
SCRIPT = ROOT / "scripts/fuzz_reader.py"


def test_every_shipped_serial_profile_has_an_oracle_and_a_form_that_ends_as_it_says() -> None:
    assert set(serial_profiles()) == set(ORACLES) == {form.profile for form in FORMS.values()}
    assert {fuzz_streams.shipped(name).line_end for name in serial_profiles()} == {"\r\n"}


def test_nothing_is_read_that_was_not_sent_and_nothing_sent_is_missing() -> None:
    figures = run_streams(1, range(STREAMS))
    assert figures.finding == ""
    assert figures.streams == STREAMS
    assert figures.readings > STREAMS
    assert figures.rejects > STREAMS


PIECES = [
    *(form.line(12.34) for form in FORMS.values()),
    *(form.line(-0.5)[:-1] for form in FORMS.values()),
    *(b"+12.34", b" mm\r\n", b"A", b",", b"\r", b"\n", b"\x00", b"\xff", b"9" * 100),
]


@settings(max_examples=300)
@given(
    data=st.one_of(st.binary(max_size=500), st.lists(st.sampled_from(PIECES)).map(b"".join)),
    places=st.lists(st.integers(0, 10_000), max_size=12),
    name=st.sampled_from(serial_profiles()),
    midway=st.booleans(),
)
def test_whatever_comes_the_reader_gives_what_the_oracle_gives(
    data: bytes, places: list[int], name: str, midway: bool
) -> None:
    cut_at = sorted(place % (len(data) + 1) for place in places)
    figures = Figures()
    hold(name, data, cut_at, figures, midway=midway)
    assert figures.fed_bytes == 3 * len(data)


class TakesAnyLineEnd(LineReader):
    def feed(self, data: bytes, t_s: float) -> list[Sample | Reject]:
        return super().feed(re.sub(rb"\r(?!\n)|(?<!\r)\n", b"\r\n", data), t_s)


class LooksOverNul(LineReader):
    def feed(self, data: bytes, t_s: float) -> list[Sample | Reject]:
        return super().feed(data.replace(b"\x00", b""), t_s)


class ForgetsThePause(LineReader):
    def feed(self, data: bytes, t_s: float) -> list[Sample | Reject]:
        return super().feed(data, 0.0)


class BreaksOffWhatIsLate(LineReader):
    def feed(self, data: bytes, t_s: float) -> list[Sample | Reject]:
        return super().feed(b"", t_s) + super().feed(data, t_s)


class TakesTheTail(LineReader):
    def feed(self, data: bytes, t_s: float) -> list[Sample | Reject]:
        self._dropping = False
        return super().feed(data, t_s)


class LosesTheSecond(LineReader):
    def feed(self, data: bytes, t_s: float) -> list[Sample | Reject]:
        return super().feed(data, t_s)[:1]


class HoldsAll(LineReader):
    def feed(self, data: bytes, t_s: float) -> list[Sample | Reject]:
        self.all = getattr(self, "all", b"") + data
        return super().feed(data, t_s)


class Raises(LineReader):
    def feed(self, data: bytes, t_s: float) -> list[Sample | Reject]:
        if b"\xff" in data:
            raise OverflowError("too much")
        return super().feed(data, t_s)


@pytest.mark.parametrize(
    ("faulty", "found"),
    [
        (TakesAnyLineEnd, "where"),
        (LooksOverNul, "where"),
        (ForgetsThePause, "where"),
        (BreaksOffWhatIsLate, "in chunks it is read otherwise"),
        (TakesTheTail, "where"),
        (LosesTheSecond, "where"),
        (HoldsAll, "held back"),
        (Raises, "OverflowError is raised"),
    ],
)
def test_a_reader_with_a_fault_is_found_out(
    monkeypatch: pytest.MonkeyPatch, faulty: type[LineReader], found: str
) -> None:
    monkeypatch.setattr(fuzz_streams, "LineReader", faulty)
    figures = run_streams(2, range(STREAMS))
    assert re.search(found, figures.finding)
    number = int(figures.finding.rpartition("--seed 2 --only ")[2])
    with pytest.raises(FindingError, match=found):
        run_stream(2, number, Figures())


def test_the_oracle_knows_lines_by_itself() -> None:
    stream = b"2.34\r\n+12.34 mm\r\n\r\nrubbish\r\n" + b"9" * 300 + b"\r\n-0.5000 in\r\n+1.00"
    read = due("serial-units", stream, 128, midway=True)
    assert read.readings == [(b"+12.34 mm", 12.34), (b"-0.5000 in", -12.7)]
    assert read.rejects == 1 + 2


def run(*options: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, str(SCRIPT), "--here", *options]
    return subprocess.run(command, capture_output=True, text=True, check=False)


def test_the_script_prints_its_figures() -> None:
    done = run("--streams", "50", "--seed", "3")
    assert done.returncode == 0, done.stdout + done.stderr
    for figure in (
        r"streams +50$",
        r"bytes fed +[\d,]+$",
        r"readings +[\d,]+, each",
        r"rejects +[\d,]+$",
        r"most held back +\d+ bytes",
        r"time +\d+ s, \d+ streams a second$",
        r"status +lost 0\.0 %, a bit turned [\d.]+ %$",
    ):
        assert re.search(figure, done.stdout, re.MULTILINE), (figure, done.stdout)


def test_one_stream_or_input_can_be_seen_again(tmp_path: Path) -> None:
    assert "streams                           1\n" in run("--only", "17").stdout
    found = tmp_path / "crash"
    found.write_bytes(b"\x00\x01+12.34 mm\r\n")
    done = run("--input", str(found))
    assert (done.returncode, done.stdout) == (0, "Nothing is wrong with it any more.\n")
    done = run("--input", str(tmp_path / "none"))
    assert done.returncode == 1
    assert "name a file that a guided run has left" in done.stdout


def test_without_its_library_a_guided_run_says_what_to_install(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setitem(sys.modules, "atheris", None)
    assert fuzz_reader.guided(1) == 1
    assert "install the extra fuzz" in capsys.readouterr().out
