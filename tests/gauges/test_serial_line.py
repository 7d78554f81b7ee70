"""A serial gauge on real lines: pseudo-terminals, network ports, a loop."""

from __future__ import annotations

import json
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from random import Random

import pytest
import serial

from cockpit.gauges import GaugeError, GaugeStatus, SerialGauge, make_gauge
from cockpit.gauges.line import PAUSE_S
from cockpit.gauges.serial_line import NETWORK_SILENCE_S, why_not_open
from tests.gauges.lines import (
    PtyCable,
    Rfc2217Loop,
    TcpGauge,
    listening,
    serial_profile,
    status_of,
    until,
)
from tests.pseudo_terminal import needs_pty


@pytest.fixture
def cable(tmp_path: Path) -> Iterator[PtyCable]:
    cable = PtyCable(tmp_path / "gauge-port")
    yield cable
    cable.unplug()


@pytest.fixture
def network() -> Iterator[TcpGauge]:
    gauge = TcpGauge()
    yield gauge
    gauge.hang_up()


def send_until_live(cable: PtyCable | TcpGauge, gauge: SerialGauge) -> None:
    """Send like a gauge that has been switched on, until it is heard."""
    for _ in range(500):
        cable.send(b"+0.00 mm\r\n")
        if status_of(gauge) is GaugeStatus.LIVE:
            return
        time.sleep(0.01)
    pytest.fail("the gauge was never heard")


@needs_pty
def test_readings_arrive_from_a_serial_port_with_their_times(cable: PtyCable) -> None:
    cable.plug()
    with listening(serial_profile(), str(cable.path)) as (gauge, got):
        assert status_of(gauge) is GaugeStatus.WAITING
        send_until_live(cable, gauge)
        sent_s = time.monotonic()
        sent_mm = [number / 100 for number in range(1, 51)]
        for travel_mm in sent_mm:
            cable.send(b"%+.2f mm\r\n" % travel_mm)
        until(lambda: got.travels_mm[-1:] == [0.5])
        samples = [sample for sample in got.samples if sample.travel_mm]
        assert [sample.travel_mm for sample in samples] == sent_mm
        times_s = [sample.t_s for sample in samples]
        assert times_s == sorted(times_s)
        assert sent_s <= times_s[0]
        assert times_s[-1] - sent_s < 0.5
        assert gauge.detail == ""
    assert status_of(gauge) is GaugeStatus.CLOSED


@needs_pty
def test_a_gauge_that_is_unplugged_is_lost_and_comes_back_within_two_seconds(
    cable: PtyCable,
) -> None:
    cable.plug()
    with listening(serial_profile(), str(cable.path)) as (gauge, got):
        send_until_live(cable, gauge)
        for _ in range(2):
            cable.unplug()
            until(lambda: status_of(gauge) is GaugeStatus.LOST, 1.0)
            assert str(cable.path) in gauge.detail
            assert "check plug and power" in gauge.detail
            time.sleep(1.2)  # long enough for a try that finds no port
            assert "no such port" in gauge.detail
            cable.plug()
            plugged_s = time.monotonic()
            send_until_live(cable, gauge)
            assert time.monotonic() - plugged_s < 2.0
        assert got.rejects == []


@needs_pty
def test_a_port_that_is_not_there_is_waited_for(cable: PtyCable) -> None:
    with listening(serial_profile(), str(cable.path)) as (gauge, got):
        until(lambda: status_of(gauge) is GaugeStatus.LOST)
        assert gauge.detail == (
            f"Gauge bench on {cable.path}: there is no such port: plug the gauge in, or choose "
            f"another port; it is tried again every second."
        )
        cable.plug()
        send_until_live(cable, gauge)
        assert got.samples


@needs_pty
def test_two_programs_do_not_share_one_gauge(cable: PtyCable) -> None:
    cable.plug()
    with (
        serial.Serial(str(cable.path), exclusive=True),
        listening(serial_profile(), str(cable.path)) as (gauge, _),
    ):
        until(lambda: status_of(gauge) is GaugeStatus.LOST)
        assert "another program holds it" in gauge.detail


@needs_pty
def test_a_gauge_that_falls_silent_waits_and_says_where_to_look(cable: PtyCable) -> None:
    cable.plug()
    with listening(serial_profile(), str(cable.path)) as (gauge, _):
        send_until_live(cable, gauge)
        assert until(lambda: status_of(gauge) is GaugeStatus.WAITING, 2.0) > 0.8
        assert "says nothing" in gauge.detail
        send_until_live(cable, gauge)


@needs_pty
def test_a_gauge_that_is_not_understood_says_why(cable: PtyCable) -> None:
    cable.plug()
    with listening(serial_profile(), str(cable.path)) as (gauge, got):
        while not got.rejects:
            cable.send(b"D\xe9pth?\r\n")
            time.sleep(0.01)
        assert got.rejects[0].raw == r"D\xe9pth?"
        assert status_of(gauge) is GaugeStatus.WAITING
        assert "Not what gauge profile bench expects" in gauge.detail


@needs_pty
def test_what_was_refused_long_ago_is_not_why_a_gauge_is_silent_now(cable: PtyCable) -> None:
    cable.plug()
    with listening(serial_profile(), str(cable.path)) as (gauge, got):
        while not got.rejects:
            cable.send(b"D\xe9pth?\r\n")
            time.sleep(0.01)
        send_until_live(cable, gauge)
        until(lambda: status_of(gauge) is GaugeStatus.WAITING, 2.0)
        assert "says nothing" in gauge.detail


@needs_pty
@pytest.mark.parametrize("sent", [b"\n", b"\r"])
def test_a_gauge_with_another_line_end_says_what_to_write(cable: PtyCable, sent: bytes) -> None:
    cable.plug()
    with listening(serial_profile(), str(cable.path)) as (gauge, got):
        while len(got.rejects) < 2:
            cable.send(b"+12.34 mm" + sent)
            time.sleep(0.01)
        assert got.samples == []
        assert status_of(gauge) is GaugeStatus.WAITING
        assert f"alone, so try line_end = {json.dumps(sent.decode())}" in gauge.detail
    line_end = sent.decode()
    with listening(serial_profile(line_end=line_end), str(cable.path)) as (gauge, got):
        while not got.samples:
            cable.send(b"+12.34 mm" + sent)
            time.sleep(0.01)
        assert set(got.travels_mm) == {12.34}


@needs_pty
def test_the_halves_of_two_lines_with_a_pulled_cable_between_make_no_reading(
    cable: PtyCable,
) -> None:
    cable.plug()
    with listening(serial_profile(), str(cable.path)) as (gauge, got):
        send_until_live(cable, gauge)
        cable.send(b"+1")
        time.sleep(PAUSE_S + 0.2)
        cable.send(b"2.34 mm\r\n+1.00 mm\r\n")
        until(lambda: got.travels_mm[-1:] == [1.0])
        assert set(got.travels_mm) == {0.0, 1.0}
        (broken,) = got.rejects
        assert "broke off" in broken.why


@needs_pty
def test_a_polled_answer_that_broke_off_does_not_run_into_the_next(cable: PtyCable) -> None:
    cable.plug()
    with listening(serial_profile(request="?"), str(cable.path)) as (_, got):
        for answer in (b"1", b"2.34\r\n", b"3.00\r\n"):
            assert cable.heard() == b"?"
            cable.send(answer)
        until(lambda: bool(got.travels_mm))
        assert got.travels_mm == [3.0]
        assert [reject.raw for reject in got.rejects] == ["1"]


@needs_pty
def test_a_megabyte_of_rubbish_is_survived_and_the_next_lines_are_read(cable: PtyCable) -> None:
    cable.plug()
    noise = Random(7)
    with listening(serial_profile(), str(cable.path)) as (gauge, got):
        send_until_live(cable, gauge)
        for _ in range(1_000):
            cable.send(noise.randbytes(1_000))
        cable.send(b"\r\n+1.00 mm\r\n")
        until(lambda: got.travels_mm[-1:] == [1.0])
        assert set(got.travels_mm) == {0.0, 1.0}
        assert sum(len(reject.raw) for reject in got.rejects) > 900_000


@needs_pty
def test_noise_in_the_line_costs_no_more_than_the_lines_it_hits(cable: PtyCable) -> None:
    cable.plug()
    with listening(serial_profile(), str(cable.path)) as (gauge, got):
        send_until_live(cable, gauge)
        cable.send(b"\x00\xfe" * 300 + b"9.99\r\n" + b"1.00\r\n" + b"inf\r\n" + b"2.00\r\n")
        until(lambda: got.travels_mm[-1:] == [2.0])
        assert [travel_mm for travel_mm in got.travels_mm if travel_mm] == [1.0, 2.0]
        assert len(got.rejects) >= 3


@needs_pty
def test_a_polled_gauge_is_asked_at_its_rate_and_not_before_it_has_answered(
    cable: PtyCable,
) -> None:
    cable.plug()
    profile = serial_profile(request="?", rate_hz=20.0)
    with listening(profile, str(cable.path)) as (gauge, got):
        # It leaves the first request unanswered: the next comes only after half a second.
        assert cable.heard() == b"?"
        assert cable.heard(0.3) == b""
        assert cable.heard() == b"?"
        began_s = time.monotonic()
        for number in range(20):
            cable.send(b"%d.5\r\n" % number)
            assert cable.heard() == b"?"
        took_s = time.monotonic() - began_s
        assert 0.9 < took_s < 3.0
        assert got.travels_mm == [number + 0.5 for number in range(20)]
        assert status_of(gauge) is GaugeStatus.LIVE


class CountingGauge:
    """A polled gauge on a network whose every answer is the number of the question, from 0.5.

    It answers each question in its turn, unless it is ``busy``: then as soon as it no longer is.
    """

    def __init__(self, *, sends_by_itself_s: float | None = None) -> None:
        self.answered = 0
        self.busy = threading.Event()
        self._by_itself_s = sends_by_itself_s
        self._server = socket.create_server(("127.0.0.1", 0))
        self.url = f"socket://127.0.0.1:{self._server.getsockname()[1]}"
        self._thread = threading.Thread(target=self._serve)
        self._thread.start()

    def _serve(self) -> None:
        connection, _ = self._server.accept()
        with connection, suppress(OSError):
            connection.settimeout(self._by_itself_s)
            while True:
                asked = self._asked(connection)
                while self.busy.is_set():
                    time.sleep(0.01)
                for _ in range(asked):
                    connection.sendall(b"%d.5 mm\r\n" % self.answered)
                    self.answered += 1

    @staticmethod
    def _asked(connection: socket.socket) -> int:
        try:
            heard = connection.recv(100)
        except TimeoutError:
            return 1
        if not heard:
            raise ConnectionError
        return len(heard)

    def hang_up(self) -> None:
        self._thread.join(10.0)
        self._server.close()


def test_after_a_hiccup_a_polled_gauge_is_heard_as_it_is_now() -> None:
    gauge_there = CountingGauge()
    with listening(serial_profile(request="?", rate_hz=20.0), gauge_there.url) as (gauge, got):
        until(lambda: len(got.samples) >= 3)
        gauge_there.busy.set()
        time.sleep(2.2)  # it is asked every half second, and owes four answers or more
        gauge_there.busy.clear()
        until(lambda: any("came unasked" in one.why for one in got.rejects))
        heard = len(got.samples)
        until(lambda: len(got.samples) >= heard + 5)
        # The newest answer is there, and none waits behind it.
        behind = gauge_there.answered - 0.5 - got.travels_mm[-1]
        assert behind <= 1.0
        assert status_of(gauge) is GaugeStatus.LIVE
    gauge_there.hang_up()


def test_a_polled_gauge_that_also_sends_by_itself_grows_no_older() -> None:
    gauge_there = CountingGauge(sends_by_itself_s=0.01)
    with listening(serial_profile(request="?", rate_hz=5.0), gauge_there.url) as (_, got):
        until(lambda: len(got.samples) >= 6, 10.0)
        assert gauge_there.answered > 4 * len(got.samples)
        # It sends one in 10 ms: what was sent since is what a busy computer misses, and not all.
        assert gauge_there.answered - 0.5 - got.travels_mm[-1] <= 40.0
        assert any("take request out of gauge profile bench" in one.why for one in got.rejects)
    gauge_there.hang_up()


def test_a_polled_gauge_that_sends_without_end_gives_no_reading_and_holds_nothing_up(
    network: TcpGauge,
) -> None:
    over = threading.Event()

    def flood() -> None:
        with suppress(OSError):
            while not over.is_set():
                network.send(b"7.00 mm\r\n" * 100)

    profile = serial_profile(name="flood", request="?", rate_hz=20.0)
    with listening(profile, network.url) as (gauge, got):
        network.accept()
        assert network.heard() == b"?"
        flooding = threading.Thread(target=flood)
        flooding.start()
        until(lambda: len(got.rejects) >= 1, 10.0)
        heard = len(got.samples)
        until(lambda: len(got.rejects) >= 4, 10.0)
        assert all("came unasked" in one.why for one in got.rejects)
        assert len(got.samples) == heard
        gauge.close()
        until(lambda: "gauge flood" not in {one.name for one in threading.enumerate()})
    over.set()
    flooding.join()


@needs_pty
def test_the_tail_of_a_line_is_no_reading_of_a_polled_gauge(cable: PtyCable) -> None:
    cable.plug()
    with listening(serial_profile(request="?", rate_hz=2.0), str(cable.path)) as (_, got):
        assert cable.heard() == b"?"
        cable.send(b"1.00\r\n")
        until(lambda: got.travels_mm == [1.0])
        cable.send(b"55.00\r\n+1")  # by itself, the last line cut where the next question comes
        assert cable.heard() == b"?"
        cable.send(b"2.34\r\n")
        until(lambda: len(got.travels_mm) == 2)
        assert got.travels_mm == [1.0, 12.34]
        (unasked,) = got.rejects
        assert unasked.raw == r"55.00\r\n+1"


@needs_pty
def test_a_polled_gauge_that_talks_before_it_is_asked_may_be_in_the_middle_of_a_line(
    cable: PtyCable,
) -> None:
    cable.plug()
    asked = threading.Event()

    def begin() -> None:
        while not asked.is_set():
            cable.send(b"0")
            time.sleep(0.01)

    beginning = threading.Thread(target=begin)
    beginning.start()
    with listening(serial_profile(request="?"), str(cable.path)) as (_, got):
        # Before it is opened, a pseudo-terminal sends back what it is sent.
        until(lambda: b"?" in cable.heard())
        asked.set()
        beginning.join()
        cable.send(b"2.34\r\n")
        assert cable.heard() == b"?"
        cable.send(b"3.00\r\n")
        until(lambda: bool(got.travels_mm))
        assert got.travels_mm == [3.0]


def test_readings_arrive_over_the_network_and_after_a_restart_of_the_other_end(
    network: TcpGauge,
) -> None:
    with listening(serial_profile(), network.url) as (gauge, got):
        network.accept()
        time.sleep(0.3)  # pyserial drops what comes while it opens
        network.send(b"9.00 mm\r\n")  # the tail of 19.00, for all a listener can know
        send_until_live(network, gauge)
        assert 9.0 not in got.travels_mm
        network.send(b"1.00 mm\r\n2.00 mm\r\n")
        until(lambda: got.travels_mm[-2:] == [1.0, 2.0])
        network.hang_up()
        until(lambda: status_of(gauge) is GaugeStatus.LOST)
        time.sleep(1.2)  # long enough for a try that is refused
        assert "refused" in gauge.detail
        again = TcpGauge(network.port)
        began_s = time.monotonic()
        again.accept()
        assert time.monotonic() - began_s < 2.0
        send_until_live(again, gauge)
        again.send(b"3.00 mm\r\n")
        until(lambda: got.travels_mm[-1:] == [3.0])
        assert got.rejects == []
        again.hang_up()


def test_a_network_line_that_dies_without_a_word_is_opened_afresh(network: TcpGauge) -> None:
    with listening(serial_profile(), network.url) as (gauge, _):
        network.accept()
        began_s = time.monotonic()
        network.accept()
        assert NETWORK_SILENCE_S <= time.monotonic() - began_s < NETWORK_SILENCE_S + 3
        send_until_live(network, gauge)


def test_a_network_gauge_that_sends_seldom_is_heard(
    network: TcpGauge, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With a fifth of the patience, and a line that comes after more than that."""
    monkeypatch.setattr(SerialGauge, "network_silence_s", 1.0)
    with listening(serial_profile(rate_hz=100.0), network.url) as (gauge, got):
        network.accept()
        until(lambda: status_of(gauge) is GaugeStatus.LOST)
        assert gauge.detail == (
            f"Gauge bench on {network.url}: nothing came for 1 s, so the network line is made "
            f"anew: check that the gauge is on and sends; it is tried again every second."
        )
        network.accept()
        time.sleep(0.3)  # pyserial drops what comes while it opens
        for number in range(4):
            network.send(b"%d.00 mm\r\n" % number)
            time.sleep(1.3)
        # The first might have been the tail of a line.
        assert got.travels_mm == [1.0, 2.0, 3.0]
        network.accept()  # and when it falls silent, it is called anew


def test_a_profile_of_few_readings_allows_the_silence_between_them(
    network: TcpGauge, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(SerialGauge, "network_silence_s", 0.2)
    with listening(serial_profile(request="?", rate_hz=1.0), network.url) as (gauge, got):
        network.accept()
        for _ in range(3):
            got.all.clear()
            assert network.heard() == b"?"
            network.send(b"2.00 mm\r\n")
            until(lambda: bool(got.samples))
            assert status_of(gauge) is GaugeStatus.LIVE


def test_a_loop_url_hears_its_own_requests() -> None:
    profile = serial_profile(request="12.34 mm\r\n", rate_hz=50.0)
    with listening(profile, "loop://") as (gauge, got):
        until(lambda: len(got.samples) >= 5)
        assert set(got.travels_mm) == {12.34}
        assert status_of(gauge) is GaugeStatus.LIVE


# pyserial 3.5 still calls Thread.setDaemon and setName.
@pytest.mark.filterwarnings("ignore:set(Daemon|Name):DeprecationWarning")
def test_readings_arrive_through_a_network_port_server() -> None:
    server = Rfc2217Loop()
    profile = serial_profile(request="12.34 mm\r\n", rate_hz=20.0)
    with listening(profile, server.url) as (gauge, got):
        until(lambda: len(got.samples) >= 5)
        assert set(got.travels_mm) == {12.34}
        assert status_of(gauge) is GaugeStatus.LIVE
    server.hang_up()


# pyserial 3.5 still calls Thread.setDaemon and setName.
@pytest.mark.filterwarnings("ignore:set(Daemon|Name):DeprecationWarning")
@pytest.mark.parametrize(("dtr", "rts"), [(True, True), (False, True), (True, False)])
def test_the_control_lines_are_raised_as_the_profile_says(dtr: bool, rts: bool) -> None:
    server = Rfc2217Loop()
    held = {} if dtr and rts else {"dtr": dtr, "rts": rts}
    profile = serial_profile(request="12.34 mm\r\n", rate_hz=20.0, **held)
    with listening(profile, server.url) as (_, got):
        until(lambda: bool(got.samples))
    server.hang_up()
    assert server.raised == [("dtr", dtr), ("rts", rts)]


@pytest.mark.parametrize(
    ("error", "words"),
    [
        ("PermissionError(13, 'Access is denied.', None, 5)", "another program holds it: close"),
        ("FileNotFoundError(2, 'cannot find the file', None, 2)", "there is no such port: plug"),
        ("OSError(22, 'A device is not functioning', None, 31)", "check name, plug and power"),
    ],
)
def test_what_windows_says_in_words_alone_is_understood(error: str, words: str) -> None:
    assert words in why_not_open(serial.SerialException(f"could not open port 'COM3': {error}"))


@needs_pty
def test_a_fault_of_the_program_is_not_put_down_to_the_line(cable: PtyCable) -> None:
    cable.plug()
    with listening(serial_profile(), str(cable.path)) as (gauge, _):

        def fail(_: bytes) -> None:
            raise KeyError("a fault")

        gauge.close()
        gauge.overhear = fail
        gauge.open()
        until(lambda: status_of(gauge) is GaugeStatus.WAITING)
        while status_of(gauge) is not GaugeStatus.LOST:
            cable.send(b"1.00 mm\r\n")
            time.sleep(0.01)
        assert gauge.detail == (
            f"Gauge bench on {cable.path}: a fault of this program, not of the gauge "
            f"(KeyError: 'a fault'): report it with these words; it is tried again every second."
        )


def test_a_url_that_means_nothing_is_one_sentence() -> None:
    with listening(serial_profile(), "smoke://signals") as (gauge, _):
        until(lambda: status_of(gauge) is GaugeStatus.LOST)
        assert gauge.detail.startswith("Gauge bench on smoke://signals: it can't be opened (")
        assert gauge.detail.endswith("; it is tried again every second.")


def test_nothing_that_the_owner_calls_waits_for_a_host_that_does_not_answer() -> None:
    # A listener whose queue is full takes no more connections, and says nothing about it.
    with socket.create_server(("127.0.0.1", 0), backlog=0) as deaf:
        address = deaf.getsockname()
        crowd = [socket.socket() for _ in range(4)]
        for one in crowd:
            one.setblocking(False)
            one.connect_ex(address)
        gauge = SerialGauge(serial_profile(), time.monotonic, f"socket://127.0.0.1:{address[1]}")
        began_s = time.monotonic()
        gauge.open()
        gauge.drain()
        assert status_of(gauge) is GaugeStatus.WAITING
        assert time.monotonic() - began_s < 0.1
        gauge.close()
        assert time.monotonic() - began_s < 0.8
        assert status_of(gauge) is GaugeStatus.CLOSED
        for one in crowd:
            one.close()


def test_opening_twice_is_opening_once_and_it_opens_again_after_closing() -> None:
    def threads() -> list[str]:
        return [one.name for one in threading.enumerate() if one.name == "gauge twice"]

    profile = serial_profile(name="twice", request="1.0\r\n", rate_hz=50.0)
    with listening(profile, "loop://") as (gauge, got):
        gauge.open()
        assert len(threads()) == 1
        until(lambda: bool(got.samples))
        gauge.close()
        assert threads() == []
        heard = len(got.samples)
        gauge.open()
        until(lambda: len(got.samples) > heard)


def test_a_profile_without_a_port_needs_one() -> None:
    with pytest.raises(GaugeError, match="names no port"):
        make_gauge(serial_profile(), time.monotonic)
    assert make_gauge(serial_profile(port="loop://"), time.monotonic).profile.port == "loop://"


@pytest.mark.parametrize("key", ["request", "line_end"])
def test_what_no_line_can_carry_is_refused_before_it_is_opened(key: str) -> None:
    with pytest.raises(GaugeError, match=key):
        SerialGauge(serial_profile(**{key: "\N{SNOWMAN}"}), time.monotonic, "loop://")
