"""``burn-cockpit gauge`` and ``gauge watch`` over real lines."""

from __future__ import annotations

import json
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from tests.commands.shell import Said, answer, burn_cockpit, refusal
from tests.gauges.lines import PtyCable
from tests.pseudo_terminal import needs_pty
from tests.terminal.shop import Indicator

pytestmark = needs_pty


@pytest.fixture
def cable(tmp_path: Path) -> Iterator[PtyCable]:
    cable = PtyCable(tmp_path / "gauge-port")
    cable.plug()
    yield cable
    cable.unplug()


@contextmanager
def sending(cable: PtyCable, data: bytes, every_s: float = 0.1) -> Iterator[None]:
    """Something at the other end that sends this by itself, ten times a second."""
    over = threading.Event()

    def send() -> None:
        while not over.wait(every_s):
            cable.send(data)

    thread = threading.Thread(target=send)
    thread.start()
    try:
        yield
    finally:
        over.set()
        thread.join()


def line_of(said: Said, start: str) -> str:
    (line,) = [line for line in said.lines if line.strip().startswith(start)]
    return line


def test_a_port_is_named_with_what_it_sends_and_who_understands_it(tmp_path: Path) -> None:
    with Indicator(tmp_path / "truth.csv") as indicator:
        said = answer("gauge", "--port", indicator.port)
    assert said.lines[0] == "ports"
    assert line_of(said, indicator.port).endswith(": serial-units and serial-decimal understand it")
    assert "sends -2.00 mm " in said.lines[1]
    assert "a second" in said.lines[1]
    assert "--ask" not in said.out


def test_a_polled_gauge_answers_only_when_it_is_to_be_asked(tmp_path: Path) -> None:
    with Indicator(tmp_path / "truth.csv", "--format", "polled") as indicator:
        said = answer("gauge", "--port", indicator.port)
        assert "says nothing" in line_of(said, indicator.port)
        assert "found with --ask" in said.out
        said = answer("gauge", "--port", indicator.port, "--ask")
        assert line_of(said, indicator.port).endswith(": serial-polled understands it")


def test_the_same_as_one_json_object(tmp_path: Path) -> None:
    with Indicator(tmp_path / "truth.csv", "--inch") as indicator:
        (line,) = answer("gauge", "--port", indicator.port, "--json").lines
    told: dict[str, Any] = json.loads(line)
    (port,) = told["ports"]
    assert port["port"] == indicator.port
    assert port["understood_by"] == ["serial-units", "serial-decimal"]
    assert port["trouble"] is None
    assert port["line"] == "9600 8N1"
    assert " in" in port["raw"]
    heard, _, *_ = port["profiles"]
    assert heard["readings"] >= 3
    assert heard["rejects"] == 0
    assert heard["travel_mm"] == pytest.approx(-2.0, abs=0.02)
    assert heard["rate_hz"] > 1
    by_name = {profile["profile"]: profile for profile in told["profiles"]}
    assert by_name["serial-polled"]["heard_when_asked"]
    assert not by_name["typed"]["heard_by_listening"]


def test_a_named_port_that_can_not_be_opened_is_refused_in_one_line(tmp_path: Path) -> None:
    for form in ((), ("--json",)):
        said = refusal(1, "gauge", "--port", tmp_path / "none", *form)
        assert said.out == ""
        assert f"{tmp_path / 'none'}: can't be listened to: there is no such port" in said.err


def test_what_nobody_understands_is_shown_all_the_same(cable: PtyCable) -> None:
    with sending(cable, b"\xf3\x00\x9c\xe1\x1b[2J"):
        said = answer("gauge", "--port", cable.path)
    assert r"\xf3\x00\x9c\xe1\x1b[2J" in said.out
    assert "no text at 9600 8N1" in said.out


def test_a_gauge_that_sends_but_now_and_then_is_waited_for(cable: PtyCable) -> None:
    with sending(cable, b"+1.00 mm\r\n", every_s=3.0):
        said = answer("gauge", "--port", cable.path)
    assert line_of(said, str(cable.path)).endswith(
        ": serial-units and serial-decimal understand it"
    )


def test_a_gauge_that_has_hardly_sent_anything_is_not_called_a_port_that_does_not_open(
    cable: PtyCable,
) -> None:
    def send() -> None:
        for wait_s in (4.0, 6.0):
            time.sleep(wait_s)
            cable.send(b"+1.00 mm\r\n")

    thread = threading.Thread(target=send)
    thread.start()
    said = answer("gauge", "--port", cable.path)
    thread.join()
    assert "as far as so little tells; let it send more" in line_of(said, str(cable.path))


def test_a_profile_that_can_not_be_sent_to_is_told_as_well(tmp_path: Path) -> None:
    own = tmp_path / ".config" / "burn-cockpit" / "profiles" / "gauge"
    own.mkdir(parents=True)
    own.joinpath("snow.toml").write_text('source = "serial"\nrequest = "\\u2603"\n', "utf-8")
    with Indicator(tmp_path / "truth.csv") as indicator:
        said = answer("gauge", "--port", indicator.port, home=tmp_path)
    assert "snow: request holds a character that is not one byte" in line_of(said, "can't be used")


def test_a_profile_that_can_not_be_used_does_not_hide_the_others(tmp_path: Path) -> None:
    own = tmp_path / ".config" / "burn-cockpit" / "profiles" / "gauge"
    own.mkdir(parents=True)
    own.joinpath("broken.toml").write_text("source = ", "utf-8")
    with Indicator(tmp_path / "truth.csv") as indicator:
        said = answer("gauge", "--port", indicator.port, home=tmp_path)
    assert "serial-units and serial-decimal understand it" in said.out
    assert "  can't be used: " in said.out
    assert "broken.toml" in said.out


# Watch -------------------------------------------------------------------------------------------


def watched(port: Path | str, *words: str, run: Callable[..., Said] = burn_cockpit) -> Said:
    return run("gauge", "watch", "serial-decimal", "--port", port, *words)


def test_watch_shows_raw_beside_the_reading_and_ends_with_a_sum(tmp_path: Path) -> None:
    with Indicator(tmp_path / "truth.csv") as indicator:
        said = watched(indicator.port, "--seconds", "1.5", run=answer)
    readings = [line for line in said.lines if line.endswith("-2.00 mm")]
    assert len(readings) >= 5
    assert all("-2.000 mm" in line and " /s " in line for line in readings)
    assert said.lines[-1].startswith(f"{len(readings)} readings in 1.")
    assert said.lines[-1].endswith("; 0 rejected")


def test_watch_counts_rejects_by_their_reasons(cable: PtyCable) -> None:
    with sending(cable, b"+1.00 mm\r\nD\xe9pth\r\n8888888.00 mm\r\n"):
        said = watched(cable.path, "--seconds", "1.5", run=answer)
    assert r"D\xe9pth  (Not what gauge profile serial-decimal expects: it holds" in said.out
    total, *reasons = said.lines[-3:]
    assert total.endswith(" rejected:")
    assert {reason.partition(" times  ")[2] for reason in reasons} == {
        (
            "Not what gauge profile serial-decimal expects: it holds bytes that are no text, so "
            "check baudrate, bytesize and parity."
        ),
        "No head travels that far: an overflow mark, or the wrong unit?",
    }


def test_watch_shows_the_bytes_of_a_line_that_never_ends(cable: PtyCable) -> None:
    with sending(cable, b"+1\xb5"):
        said = watched(cable.path, "--seconds", "2.5")
    assert said.code == 1
    shown = [line for line in said.lines if "unfinished" in line]
    assert len(shown) >= 2
    assert all(r"+1\xb5+1\xb5" in line for line in shown)
    assert any(line.startswith("0 readings in ") for line in said.lines)
    assert said.err.count("\n") == 1


def test_watch_takes_the_bytes_of_a_reading_for_no_unfinished_line(cable: PtyCable) -> None:
    with sending(cable, b"+1.00 mm\r\n"):
        said = watched(cable.path, "--seconds", "2.5", run=answer)
    assert "unfinished" not in said.out
