"""Listening to real lines, before it is known what is on them."""

from __future__ import annotations

import os
import socket
import termios
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
import serial

from cockpit.gauges import listening, ports
from cockpit.gauges.listening import Listening, PortListener
from cockpit.gauges.ports import PortInfo
from cockpit.gauges.recognise import Finding, serial_profiles, told
from cockpit.profiles import GaugeProfile
from tests.gauges.lines import PtyCable, serial_profile, until
from tests.pseudo_terminal import needs_pty
from tests.terminal.shop import Indicator

pytestmark = needs_pty

SHIPPED = serial_profiles()[0]
PATIENCE_S = 20.0


@pytest.fixture
def cable(tmp_path: Path) -> Iterator[PtyCable]:
    cable = PtyCable(tmp_path / "gauge-port")
    yield cable
    cable.unplug()


@contextmanager
def listener(port: str, *profiles: GaugeProfile) -> Iterator[PortListener]:
    one = PortListener(port, profiles or SHIPPED)
    one.open()
    try:
        yield one
    finally:
        one.close()


@contextmanager
def sending(cable: PtyCable, line: Callable[[], bytes]) -> Iterator[None]:
    """A gauge that sends by itself, 20 times a second."""
    over = threading.Event()

    def send() -> None:
        while not over.wait(0.05):
            cable.send(line())

    thread = threading.Thread(target=send)
    thread.start()
    try:
        yield
    finally:
        over.set()
        thread.join()


def wait(one: PortListener, done: Callable[[Finding], bool]) -> Finding:
    until(lambda: done(one.finding), PATIENCE_S)
    return one.finding


def test_a_simulated_gauge_is_recognised_and_seen_to_move(tmp_path: Path) -> None:
    with Indicator(tmp_path / "truth.csv") as indicator, listener(indicator.port) as one:
        found = wait(one, lambda finding: bool(finding.sure))
        # The strict one first: it takes fewer damaged lines for readings.
        assert [it.profile.name for it in found.sure] == ["serial-units", "serial-decimal"]
        assert not found.sure[0].moves
        assert told(found).startswith("sends -2.00 mm ")
        assert told(found).endswith("a second: serial-units and serial-decimal understand it")
        indicator.say("touch")
        wait(one, lambda finding: any(it.moves for it in finding.sure))


def test_a_polled_gauge_is_recognised_only_when_it_is_asked(tmp_path: Path) -> None:
    with (
        Indicator(tmp_path / "truth.csv", "--format", "polled", "--inch") as indicator,
        listener(indicator.port) as one,
    ):
        found = wait(one, lambda finding: finding.tried)
        assert found.silent_s is None
        assert told(found).startswith("says nothing")
        one.ask()
        found = wait(one, lambda finding: bool(finding.sure))
        assert [it.profile.name for it in found.sure] == ["serial-polled"]
        assert found.asks
        assert " in " in told(found)


def test_nothing_is_sent_to_a_port_that_nobody_asked_to_ask(cable: PtyCable) -> None:
    cable.plug()
    only_polled = serial_profile(name="asks", request="?")
    with listener(str(cable.path), only_polled) as one:
        wait(one, lambda finding: finding.tried)
        assert cable.heard(0.5) == b""
        one.ask()
        assert cable.heard(PATIENCE_S) == b"?"


def test_a_port_that_sends_by_itself_is_not_asked(cable: PtyCable) -> None:
    cable.plug()
    with sending(cable, lambda: b"no gauge at all\r\n"), listener(str(cable.path)) as one:
        one.ask()
        wait(one, lambda finding: b"gauge" in finding.raw)
        time.sleep(3.0)  # long enough for every one of its settings, and for a request
        assert cable.heard(0.0) == b""
        assert "no profile understands it" in told(one.finding)


def test_requests_are_tried_in_turn_until_one_is_answered(cable: PtyCable) -> None:
    cable.plug()
    first = serial_profile(name="first", request="R\r")
    second = serial_profile(name="second", request="?")
    over = threading.Event()

    def answer() -> None:
        while not over.is_set():
            if b"?" in cable.heard(0.05):
                cable.send(b"+3.00 mm\r\n")

    thread = threading.Thread(target=answer)
    thread.start()
    try:
        with listener(str(cable.path), first, second) as one:
            one.ask()
            found = wait(one, lambda finding: bool(finding.sure))
            assert [it.profile.name for it in found.sure] == ["second"]
    finally:
        over.set()
        thread.join()


def test_the_line_is_set_as_each_profile_would_have_it_until_one_understands(
    cable: PtyCable,
) -> None:
    """At any speed but its own this gauge is heard as rubbish, as on a real wire."""
    cable.plug()
    speeds: set[int] = set()

    def line() -> bytes:
        speed = termios.tcgetattr(cable._ends[0])[5]
        speeds.add(speed)
        return b"+7.25 mm\r\n" if speed == termios.B4800 else b"\xf3\x00\x9c\xe1"

    slow, slower = (
        serial_profile(name="slow", baudrate=4800),
        serial_profile(name="slower", baudrate=2400),
    )
    with (
        sending(cable, line),
        listener(str(cable.path), serial_profile(), slower, slow) as one,
    ):
        found = wait(one, lambda finding: bool(finding.sure))
        assert [it.profile.name for it in found.sure] == ["slow"]
        assert found.line == "4800 8N1"
        assert {termios.B9600, termios.B2400, termios.B4800} <= speeds


def test_a_gauge_that_sends_but_now_and_then_is_recognised_all_the_same(
    cable: PtyCable,
) -> None:
    """One line while a setting is tried, or when a button is pressed; here it is the second."""
    cable.plug()
    knows = serial_profile(name="knows", baudrate=4800)
    over = threading.Event()

    def send() -> None:
        while not over.wait(1.7 * listening.DWELL_S):
            right = termios.tcgetattr(cable._ends[0])[5] == termios.B4800
            cable.send(b"+2.00 mm\r\n" if right else b"\xf3\x00\x9c\xe1")

    thread = threading.Thread(target=send)
    thread.start()
    try:
        with listener(str(cable.path), serial_profile(), knows) as one:
            found = wait(one, lambda finding: any(it.is_hopeful for it in finding.understood))
            assert "let it send more" in told(found)
            found = wait(one, lambda finding: bool(finding.sure))
            assert [it.profile.name for it in found.sure] == ["knows"]
            assert found.sure[0].rejects == 0
    finally:
        over.set()
        thread.join()


def test_that_the_computer_was_busy_is_no_pause_of_the_gauge(cable: PtyCable) -> None:
    """Else what piled up meanwhile, and begins in the middle of a line, would count as whole."""
    cable.plug()
    line, over = b"+000000012.34 mm\r\n", threading.Event()

    def send() -> None:
        at = 4  # whoever joins in here hears the tail of a line
        while not over.wait(0.01):
            cable.send(line[at : at + 1])
            at = (at + 1) % len(line)

    def busy_clock() -> float:
        time.sleep(0.4)
        return time.monotonic()

    one = PortListener(str(cable.path), [serial_profile()], busy_clock)
    thread = threading.Thread(target=send)
    thread.start()
    try:
        one.open()
        found = wait(one, lambda finding: bool(finding.sure))
        assert found.sure[0].first is not None
        assert found.sure[0].first.raw == "+000000012.34 mm"
    finally:
        one.close()
        over.set()
        thread.join()


def test_a_line_that_is_known_is_stayed_with_though_nothing_on_it_is_a_reading(
    cable: PtyCable,
) -> None:
    """Else the gauge out of its range would be heard at the wrong speed half of the time."""
    cable.plug()
    speeds: list[int] = []

    def line() -> bytes:
        speeds.append(termios.tcgetattr(cable._ends[0])[5])
        return b"------\r\n" if speeds[-1] == termios.B4800 else b"\xf3\x00\x9c\xe1"

    knows = serial_profile(name="knows", baudrate=4800, overflow=["------"])
    with sending(cable, line), listener(str(cable.path), serial_profile(), knows) as one:
        found = wait(one, lambda finding: bool(finding.refused))
        assert found.is_settled
        assert "knows knows it but does not read it" in told(found)
        speeds.clear()
        until(lambda: len(speeds) > 60, PATIENCE_S)  # 3 s: long enough for every setting
        assert set(speeds) == {termios.B4800}


def test_a_port_that_is_not_there_is_a_sentence_and_is_found_when_it_is_plugged_in(
    cable: PtyCable,
) -> None:
    with listener(str(cable.path)) as one:
        found = wait(one, lambda finding: bool(finding.trouble))
        assert told(found) == (
            "can't be listened to: there is no such port: plug the gauge in, or choose another port"
        )
        cable.plug()
        with sending(cable, lambda: b"+1.00 mm\r\n"):
            wait(one, lambda finding: bool(finding.sure))
            assert not one.finding.trouble
        cable.unplug()
        wait(one, lambda finding: bool(finding.trouble))
        assert not one.finding.sure


def test_a_port_that_another_program_holds_says_so(cable: PtyCable) -> None:
    cable.plug()
    with serial.Serial(str(cable.path), exclusive=True), listener(str(cable.path)) as one:
        found = wait(one, lambda finding: bool(finding.trouble))
        assert "another program holds it" in told(found)


def test_a_gauge_that_falls_silent_says_for_how_long_and_is_forgotten(
    cable: PtyCable, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(listening, "FORGET_S", 3.5)
    cable.plug()
    with listener(str(cable.path)) as one:
        with sending(cable, lambda: b"+1.00 mm\r\n"):
            wait(one, lambda finding: bool(finding.sure))
        wait(one, lambda finding: "is silent for " in told(finding))
        wait(one, lambda finding: finding.silent_s is None)
        assert not one.finding.sure


def test_closing_leaves_the_port_to_the_gauge(tmp_path: Path) -> None:
    with Indicator(tmp_path / "truth.csv") as indicator:
        with listener(indicator.port) as one:
            wait(one, lambda finding: bool(finding.sure))
        with serial.Serial(indicator.port, exclusive=True) as port:
            assert port.is_open


def test_an_owner_is_answered_while_a_port_is_still_being_opened() -> None:
    # A listener whose queue is full takes no more connections, and says nothing about it.
    with socket.create_server(("127.0.0.1", 0), backlog=0) as deaf:
        address = deaf.getsockname()
        crowd = [socket.socket() for _ in range(4)]
        for one in crowd:
            one.setblocking(False)
            one.connect_ex(address)
        ears = Listening(SHIPPED, [f"socket://127.0.0.1:{address[1]}"], look_for_ports=False)
        ears.open()
        (found,) = ears.findings()
        assert not found.is_settled
        assert told(found) == "is listened to"
        ears.close()
        for one in crowd:
            one.close()


def test_ports_are_found_and_lost_as_they_are_plugged_in_and_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The system lists no pseudo-terminal, so here a folder of them is what it lists."""
    folder = tmp_path / "dev"
    folder.mkdir()
    monkeypatch.setattr(
        ports, "list_ports", lambda: [PortInfo(str(p), "") for p in sorted(folder.iterdir())]
    )
    early, late = PtyCable(folder / "early"), PtyCable(folder / "late")
    early.plug()
    named = str(tmp_path / "named")
    ears = Listening(SHIPPED, [named])
    ears.open()

    def there() -> list[str]:
        return [Path(finding.port).name for finding in ears.findings()]

    try:
        until(lambda: ears.has_looked and there() == ["named", "early"], PATIENCE_S)
        late.plug()
        until(lambda: there() == ["named", "early", "late"], PATIENCE_S)
        early.unplug()
        until(lambda: there() == ["named", "late"], PATIENCE_S)
        ears.listen_to(os.ttyname(late._ends[1]))
        assert there() == ["named", "late"], "two names of one port are one port"
    finally:
        ears.close()
        late.unplug()


def test_a_look_that_fails_loses_no_port_and_is_not_the_last(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As on Linux, where pyserial reads None for a number when a plug goes at the wrong moment."""
    folder = tmp_path / "dev"
    folder.mkdir()
    looks = 0

    def listed() -> list[PortInfo]:
        nonlocal looks
        looks += 1
        if looks in (1, 3):
            raise TypeError("int() can't convert non-string with explicit base")
        if looks == 4:
            raise OSError("gone")
        return [PortInfo(str(path), "") for path in sorted(folder.iterdir())]

    monkeypatch.setattr(ports, "list_ports", listed)
    monkeypatch.setattr(listening, "LOOK_S", 0.3)
    early, late = PtyCable(folder / "early"), PtyCable(folder / "late")
    early.plug()
    ears = Listening(SHIPPED)
    ears.open()

    def there() -> list[str]:
        return [Path(finding.port).name for finding in ears.findings()]

    try:
        until(lambda: looks == 1, PATIENCE_S)
        assert not ears.has_looked, "what failed says nothing about the ports"
        until(lambda: ears.has_looked, PATIENCE_S)
        assert there() == ["early"]
        until(lambda: looks == 4, PATIENCE_S)
        assert there() == ["early"]
        late.plug()
        until(lambda: there() == ["early", "late"], PATIENCE_S)
    finally:
        ears.close()
        early.unplug()
        late.unplug()
