"""A Modbus gauge against the library's own server, on pseudo-terminals and network ports."""

from __future__ import annotations

import socket
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from random import Random

import pytest
from pymodbus.constants import ExcCodes
from pymodbus.framer import FramerRTU

from cockpit.gauges import GaugeError, GaugeStatus, ModbusGauge, make_gauge
from cockpit.gauges.modbus_conversation import refusal
from cockpit.profiles import GaugeProfile, Registers
from tests.gauges.lines import Collected, listening, peer_may_reset, status_of, until
from tests.gauges.modbus_device import HOLDING, INPUT, ModbusDevice, device_on
from tests.pseudo_terminal import needs_pty

pytestmark = peer_may_reset

ROOT = Path(__file__).parents[2]
LINES = [pytest.param("rtu", marks=needs_pty), "tcp"]

Reached = tuple[ModbusDevice, str]


@pytest.fixture(params=LINES)
def reached(request: pytest.FixtureRequest) -> Iterator[Reached]:
    """A device on either kind of line, and the port at which it is reached."""
    with device_on(str(request.param)) as reached:
        yield reached


def modbus_profile(rate_hz: float = 50.0, scale: float = 0.01, **registers: object) -> GaugeProfile:
    """A gauge of 16 bits in holding register 0 of device 1, in hundredths of a millimetre."""
    held: dict[str, object] = {"register": HOLDING, "number": "int16"}
    return GaugeProfile.model_validate(
        {
            "name": "bench",
            "source": "modbus",
            "rate_hz": rate_hz,
            "scale": scale,
            "modbus": held | registers,
        }
    )


def fresh(got: Collected, count: int = 3) -> list[float]:
    """The next few readings, mm."""
    before = len(got.samples)
    until(lambda: len(got.samples) >= before + count)
    return got.travels_mm[before:]


@pytest.mark.parametrize(
    ("number", "order", "words", "travel_mm", "raw"),
    [
        ("int16", "high first", [0x04D2], 12.34, "04D2 hex = 1234"),
        ("int16", "high first", [0xFB2E], -12.34, "FB2E hex = -1234"),
        ("uint16", "high first", [0xFB2E], 643.02, "FB2E hex = 64302"),
        ("int32", "high first", [0x0001, 0x86A0], 1000.0, "0001 86A0 hex = 100000"),
        ("int32", "low first", [0x86A0, 0x0001], 1000.0, "86A0 0001 hex = 100000"),
        ("int32", "high first", [0xFFFF, 0xFB2E], -12.34, "FFFF FB2E hex = -1234"),
        ("int32", "low first", [0xFB2E, 0xFFFF], -12.34, "FB2E FFFF hex = -1234"),
        ("uint32", "low first", [0x86A0, 0x0001], 1000.0, "86A0 0001 hex = 100000"),
        ("float32", "high first", [0xC144, 0x0000], -0.1225, "C144 0000 hex = -12.25"),
        ("float32", "low first", [0x0000, 0xC144], -0.1225, "0000 C144 hex = -12.25"),
    ],
)
def test_what_the_registers_hold_is_read(
    reached: Reached, number: str, order: str, words: list[int], travel_mm: float, raw: str
) -> None:
    device, port = reached
    device.words = words
    with listening(modbus_profile(number=number, word_order=order), port) as (gauge, got):
        until(lambda: len(got.samples) >= 3)
        assert got.travels_mm == pytest.approx([travel_mm] * len(got.samples))
        assert {sample.raw for sample in got.samples} == {raw}
        assert got.rejects == []
        assert status_of(gauge) is GaugeStatus.LIVE
        assert gauge.detail == ""


def test_either_kind_of_register_is_read_from_where_it_begins(reached: Reached) -> None:
    device, port = reached
    device.words = [250, 300]
    for register, travel_mm in ((INPUT, 2.5), (INPUT + 1, 3.0)):
        with listening(modbus_profile(function="input", register=register), port) as (_, got):
            assert set(fresh(got)) == {travel_mm}


def test_counts_become_travel_by_unit_scale_and_sense(reached: Reached) -> None:
    device, port = reached
    device.words = [1000]
    profile = modbus_profile(scale=0.0005).model_copy(update={"unit": "in", "reverse": True})
    with listening(profile, port) as (_, got):
        assert fresh(got) == pytest.approx([-12.7] * 3)


@pytest.mark.parametrize("words", [[0x7FC0, 0x0000], [0x7F80, 0x0000], [0xFF80, 0x0000]])
def test_a_float_that_is_no_number_is_no_reading(reached: Reached, words: list[int]) -> None:
    device, port = reached
    device.words = words
    with listening(modbus_profile(number="float32"), port) as (gauge, got):
        until(lambda: len(got.rejects) >= 2)
        said = {"7FC0": "nan", "7F80": "inf", "FF80": "-inf"}[f"{words[0]:04X}"]
        assert f"{words[0]:04X} 0000 hex = {said}" in {reject.raw for reject in got.rejects}
        assert f"The device sends {said}, which is no number: see whether the" in gauge.detail
        assert got.samples == []


@pytest.mark.parametrize(
    ("number", "words", "mark", "beside"),
    [
        ("int16", [0x7FFF], "32767", [0x7FFE]),
        ("int16", [0x8000], "-32768", [0x8001]),
        ("uint16", [0xFFFF], "65535", [0xFFFE]),
        ("int32", [0x0000, 0xFFFF], "65535", [0x0000, 0xFFFE]),
        ("float32", [0x461C, 0x3FF6], "9999.99", [0x461C, 0x3FEC]),
    ],
)
def test_a_count_that_is_an_overflow_mark_is_no_reading(
    reached: Reached, number: str, words: list[int], mark: str, beside: list[int]
) -> None:
    device, port = reached
    device.words = words
    profile = modbus_profile(number=number).model_copy(update={"overflow": ("0", mark)})
    with listening(profile, port) as (gauge, got):
        until(lambda: len(got.rejects) >= 2)
        assert got.samples == []
        assert f'"{mark}" is an overflow mark: the gauge is out of its range.' in gauge.detail
        device.words = beside
        fresh(got)


def test_a_number_that_no_head_travels_is_no_reading(reached: Reached) -> None:
    device, port = reached
    device.words = [0x7FFF, 0xFFFF]
    with listening(modbus_profile(number="int32"), port) as (_, got):
        until(lambda: len(got.rejects) >= 2)
        assert "No head travels that far" in got.rejects[0].why
        assert got.samples == []


# Asking ------------------------------------------------------------------------------------------


def test_readings_follow_the_device_and_are_asked_for_at_the_rate(reached: Reached) -> None:
    device, port = reached
    with listening(modbus_profile(rate_hz=20.0), port) as (_, got):
        until(lambda: len(got.samples) >= 3)
        for count in (-5, 0, 77, -32768, 32767):
            device.words = [count & 0xFFFF]
            assert fresh(got)[1:] == pytest.approx([count / 100] * 2)
        times_s = [sample.t_s for sample in got.samples]
        assert times_s == sorted(times_s)
        assert len(device.asked_s) - len(got.samples) in (0, 1)
        # A question every 0.05 s; the first may have been heard late, on a busy computer.
        assert device.asked_s[-1] - device.asked_s[0] > 0.03 * (len(device.asked_s) - 1)


def test_a_slow_answer_is_a_reading_and_nothing_is_asked_before_it(reached: Reached) -> None:
    device, port = reached
    device.late_s, device.words = 0.25, [4]
    with listening(modbus_profile(), port) as (gauge, got):
        assert set(fresh(got, 4)) == {0.04}
        assert device.most_at_once == 1
        assert got.rejects == []
        assert status_of(gauge) is GaugeStatus.LIVE


def test_an_answer_that_comes_too_late_is_none_and_is_not_taken_for_the_next(
    reached: Reached,
) -> None:
    device, port = reached
    device.late_s, device.words = 0.7, [1]
    with listening(modbus_profile(), port) as (gauge, got):
        until(lambda: len(got.rejects) >= 3)
        assert got.samples == []
        assert all("too long to say where the head is now" in one.why for one in got.rejects)
        assert device.most_at_once == 1
        assert status_of(gauge) is GaugeStatus.WAITING
        device.late_s, device.words = 0.0, [2]
        until(lambda: len(got.samples) >= 5)
        assert set(got.travels_mm) == {0.02}


def answer(question: bytes, word: int) -> bytes:
    """What device 1 on a network answers to a question for one holding register."""
    return question[:2] + b"\x00\x00\x00\x05\x01\x03\x02" + word.to_bytes(2, "big")


def test_on_a_network_an_answer_is_told_by_its_number_however_late() -> None:
    """By hand: the library's server puts the newest question's number on a late answer."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        port = f"tcp://127.0.0.1:{server.getsockname()[1]}"
        with listening(modbus_profile(), port) as (_, got):
            device, _ = server.accept()
            with device:
                first, second = device.recv(12), device.recv(12)
                device.sendall(answer(first, 1))
                device.sendall(answer(second, 2))
                until(lambda: got.travels_mm == [0.02])
                assert ["silent" in one.why for one in got.rejects] == [True]


# What goes wrong ---------------------------------------------------------------------------------


def test_a_register_that_is_not_there_is_named_with_what_to_mend(reached: Reached) -> None:
    _, port = reached
    with listening(modbus_profile(register=40001, number="int32"), port) as (gauge, got):
        until(lambda: len(got.rejects) >= 3)
        assert got.samples == []
        assert status_of(gauge) is GaugeStatus.WAITING
        assert gauge.detail == (
            f"Gauge bench on {port}: Illegal data address: holding registers 40001 and 40002 not "
            f"there: check register in gauge profile bench (40001 may be a number that stands "
            f"for 0)."
        )


@pytest.mark.parametrize(
    ("code", "words"),
    [
        (ExcCodes.ILLEGAL_FUNCTION, ["Illegal function", "check function"]),
        (ExcCodes.ILLEGAL_VALUE, ["Illegal data value", "check number"]),
        (ExcCodes.DEVICE_FAILURE, ["Server device failure", "leaflet"]),
        (ExcCodes.DEVICE_BUSY, ["Server device busy", "rate_hz"]),
        (ExcCodes.GATEWAY_NO_RESPONSE, ["failed to respond", "device_id (1)"]),
    ],
)
def test_a_refusal_is_said_by_name_until_it_is_over(
    reached: Reached, code: ExcCodes, words: list[str]
) -> None:
    device, port = reached
    device.refuse = code
    with listening(modbus_profile(), port) as (gauge, got):
        until(lambda: len(got.rejects) >= 3)
        assert got.samples == []
        for word in words:
            assert word in gauge.detail
        device.refuse = None
        fresh(got)
        assert status_of(gauge) is GaugeStatus.LIVE


def test_every_code_has_a_sentence() -> None:
    asked = Registers.model_validate({"register": 0, "number": "int16"})
    said = {refusal("bench", asked, code) for code in range(256)}
    assert all(one.endswith(".") and one[0].isupper() for one in said)
    assert "register 0 not there" in refusal("bench", asked, 2)
    assert "stands for" not in refusal("bench", asked, 2)


def test_a_wrong_device_number_is_silence_that_is_explained(reached: Reached) -> None:
    device, port = reached
    at = 6 if port.startswith("tcp:") else 0
    # The library's server answers for a device that it does not have; a device on a bus is silent.
    device.spoil = lambda frame: frame if frame[at] == 1 else b""
    with listening(modbus_profile(device_id=9), port) as (gauge, got):
        until(lambda: len(got.rejects) >= 2)
        assert got.samples == []
        assert got.rejects[0].raw == ""
        assert gauge.detail.startswith(f"Gauge bench on {port}: Device 9 is silent: check power")
        assert "device_id" in gauge.detail
        assert ("baudrate" in gauge.detail) == (at == 0)
    with listening(modbus_profile(), port) as (gauge, got):
        fresh(got)


def test_a_network_device_that_stays_silent_is_called_anew_and_the_reason_kept() -> None:
    with device_on("tcp") as (device, port):
        device.spoil = lambda _: b""
        with listening(modbus_profile(), port) as (gauge, got):
            until(lambda: status_of(gauge) is GaugeStatus.LOST, 15.0)
            assert "Device 1 is silent" in gauge.detail
            device.spoil = lambda frame: frame
            fresh(got)
            assert status_of(gauge) is GaugeStatus.LIVE


SPOILT: dict[str, Callable[[bytes], bytes]] = {
    "check sum": lambda frame: frame[:-1] + bytes([frame[-1] ^ 0xFF]),
    "cut short": lambda frame: frame[:-3],
    "one byte": lambda frame: frame[:1],
    "another device": lambda frame: bytes([frame[0] + 1]) + frame[1:],
    "noise before": lambda frame: b"\xfe\x03\x00" + frame,
    "endless": lambda frame: b"\x01\x03\xfa" + b"\x00" * 500,
}


@needs_pty
@pytest.mark.parametrize("how", SPOILT)
def test_a_spoilt_answer_on_a_serial_line_costs_that_reading_alone(how: str) -> None:
    with device_on("rtu") as (device, port):
        device.words = [7]
        with listening(modbus_profile(), port) as (gauge, got):
            fresh(got)
            device.spoil = SPOILT[how]
            until(lambda: len(got.rejects) >= 2)
            assert "No whole answer from device 1" in got.rejects[-1].why
            assert got.rejects[-1].raw
            device.spoil = lambda frame: frame
            fresh(got)
            assert status_of(gauge) is GaugeStatus.LIVE
            assert set(got.travels_mm) == {0.07}


def test_noise_is_never_a_reading_and_never_the_end(reached: Reached) -> None:
    device, port = reached
    device.words = [7]
    chance = Random("noise")
    with listening(modbus_profile(), port) as (gauge, got):
        fresh(got)
        device.spoil = lambda _: chance.randbytes(chance.randint(1, 40))
        asked = len(device.asked_s)
        until(lambda: len(device.asked_s) > asked + 4, 20.0)
        device.spoil = lambda frame: frame
        fresh(got)
        until(lambda: status_of(gauge) is GaugeStatus.LIVE)
        assert set(got.travels_mm) == {0.07}
        assert got.rejects


def test_an_answer_given_twice_counts_once(reached: Reached) -> None:
    device, port = reached
    device.words = [7]
    device.spoil = lambda frame: frame + frame
    with listening(modbus_profile(rate_hz=10.0), port) as (_, got):
        assert set(fresh(got)) == {0.07}
        assert len(device.asked_s) - len(got.samples) in (0, 1)


def test_what_nobody_asked_for_is_told_and_dropped() -> None:
    with socket.create_server(("127.0.0.1", 0)) as server:
        port = f"tcp://127.0.0.1:{server.getsockname()[1]}"
        with listening(modbus_profile(rate_hz=5.0), port) as (_, got):
            device, _ = server.accept()
            with device:
                device.sendall(answer(device.recv(12), 1))
                until(lambda: got.travels_mm == [0.01])
                device.sendall(b"hello")
                until(lambda: bool(got.rejects))
                assert (got.rejects[0].raw, got.rejects[0].why[:17]) == (
                    "68 65 6C 6C 6F",
                    "This came unasked",
                )
                device.sendall(answer(device.recv(12), 2))
                until(lambda: got.travels_mm == [0.01, 0.02])


# The line ----------------------------------------------------------------------------------------


class Simulator:
    """The gauge simulator as a Modbus device, a process that can be killed."""

    def __init__(self, *options: str) -> None:
        self.process = subprocess.Popen(
            [sys.executable, ROOT / "scripts/gauge_simulator.py", "--modbus", *options],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
        )
        assert self.process.stdout is not None
        word, _, self.port = self.process.stdout.readline().strip().partition(" ")
        assert word == "port:"

    def kill(self) -> None:
        self.process.kill()
        self.process.communicate(timeout=20.0)


@pytest.mark.parametrize("line", LINES)
def test_a_device_that_is_killed_is_lost_and_is_heard_again_when_it_is_back(
    line: str, tmp_path: Path
) -> None:
    link = tmp_path / "gauge"
    first = Simulator("--link", str(link)) if line == "rtu" else Simulator("--tcp", "0")
    port = str(link) if line == "rtu" else first.port
    profile = modbus_profile(number="int32", scale=0.001)
    with listening(profile, port) as (gauge, got):
        until(lambda: status_of(gauge) is GaugeStatus.LIVE, 20.0)
        first.kill()
        until(lambda: status_of(gauge) is GaugeStatus.LOST)
        assert port in gauge.detail
        number = port.rpartition(":")[2]
        options = ("--link", str(link)) if line == "rtu" else ("--tcp", number)
        second = Simulator(*options)
        until(lambda: status_of(gauge) is GaugeStatus.LIVE, 20.0)
        assert set(fresh(got)) <= {-2.01, -2.0, -1.99}
        second.kill()


@needs_pty
def test_a_device_that_goes_dead_on_a_live_line_is_heard_again() -> None:
    with device_on("rtu") as (device, port), listening(modbus_profile(), port) as (gauge, got):
        fresh(got)
        device.spoil = lambda _: b""
        until(lambda: status_of(gauge) is GaugeStatus.WAITING)
        until(lambda: "Device 1 is silent" in gauge.detail)
        device.spoil = lambda frame: frame
        fresh(got)
        assert status_of(gauge) is GaugeStatus.LIVE


def test_opening_twice_is_opening_once_and_it_opens_again_after_closing(reached: Reached) -> None:
    def threads() -> int:
        return [one.name for one in threading.enumerate()].count("gauge bench")

    device, port = reached
    with listening(modbus_profile(), port) as (gauge, got):
        gauge.open()
        assert threads() == 1
        fresh(got)
        gauge.close()
        until(lambda: threads() == 0)
        assert status_of(gauge) is GaugeStatus.CLOSED
        asked = len(device.asked_s)
        time.sleep(0.1)
        assert len(device.asked_s) == asked
        gauge.open()
        fresh(got)


def test_nothing_that_the_owner_calls_waits_for_a_device_that_is_deaf() -> None:
    """The thread is still at it when all that the owner asked for is done."""
    with socket.create_server(("127.0.0.1", 0), backlog=0) as deaf:
        address = deaf.getsockname()
        crowd = [socket.socket() for _ in range(4)]
        for one in crowd:
            one.setblocking(False)
            one.connect_ex(address)
        gauge = ModbusGauge(modbus_profile(), time.monotonic, f"tcp://127.0.0.1:{address[1]}")
        gauge.open()
        assert gauge.drain() == []
        assert status_of(gauge) is GaugeStatus.WAITING
        gauge.close()
        assert status_of(gauge) is GaugeStatus.CLOSED
        assert "gauge bench" in {one.name for one in threading.enumerate()}
        for one in crowd:
            one.close()


# What can't be set up ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    "port",
    [
        "socket://127.0.0.1:502",
        "rfc2217://127.0.0.1:502",
        "http://indicator",
        "loop://",
        "tcp://",
        "tcp://:502",
        "tcp://indicator:many",
        "tcp://indicator:70000",
        "tcp://[indicator:502",
        "tcp://indicator/register",
        "tcp://indicator?unit=1",
    ],
)
def test_a_url_that_is_no_modbus_port_is_refused_in_a_sentence(port: str) -> None:
    with pytest.raises(GaugeError) as refused:
        make_gauge(modbus_profile(), time.monotonic, port)
    said = str(refused.value)
    assert said.startswith(f"Port {port} is none")
    assert "tcp://host:port" in said
    assert said.endswith(".")


@pytest.mark.parametrize("device_id", [0, 248, 255])
def test_a_device_number_that_no_serial_line_has_is_refused(device_id: int) -> None:
    profile = modbus_profile(device_id=device_id)
    with pytest.raises(GaugeError, match=rf"device_id {device_id} .* 1 to 247"):
        make_gauge(profile, time.monotonic, "/dev/ttyS0")
    assert make_gauge(profile, time.monotonic, "tcp://indicator").profile is profile


def test_a_profile_without_a_port_needs_one() -> None:
    with pytest.raises(GaugeError, match="names no port"):
        make_gauge(modbus_profile(), time.monotonic)


def test_without_the_library_one_sentence_says_what_to_install(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setitem(sys.modules, "pymodbus", None)
    with pytest.raises(GaugeError, match=r"library pymodbus: .*pip install '\.\[modbus\]'.*\.$"):
        make_gauge(modbus_profile(), time.monotonic, "tcp://indicator")


def test_only_an_open_modbus_gauge_pays_for_the_library() -> None:
    look = "import sys, cockpit.cli, cockpit.gauges; print('pymodbus' in sys.modules)"
    done = subprocess.run(
        [sys.executable, "-c", look], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert (done.stdout, done.stderr) == ("False\n", "")


# Watching ----------------------------------------------------------------------------------------


def watch(name: str, port: str) -> subprocess.CompletedProcess[str]:
    """What the command prints of two seconds."""
    command = [sys.executable, "-m", "cockpit", "gauge", "watch", name, "--port", port]
    return subprocess.run(
        [*command, "--seconds", "2"], cwd=ROOT, capture_output=True, text=True, check=False
    )


@pytest.mark.parametrize("line", LINES)
def test_watching_shows_the_registers_beside_the_reading(line: str) -> None:
    with device_on(line) as (device, port):
        device.words = [0xFFFF, 0xFB2E]
        done = watch(f"modbus-{line}", port)
    assert (done.returncode, done.stderr) == (0, "")
    *readings, last = done.stdout.splitlines()
    assert readings
    assert all(" -1.234 mm " in one for one in readings)
    assert all(one.endswith("  FFFF FB2E hex = -1234") for one in readings)
    assert f"{len(readings)} readings" in last


@pytest.mark.parametrize("line", LINES)
def test_the_librarys_own_complaints_are_not_printed(line: str) -> None:
    with device_on(line) as (device, port):
        at = 6 if line == "tcp" else 0
        # An answer of another device: the library would call that an error on the screen.
        device.spoil = lambda frame: _readdressed(frame, at)
        done = watch(f"modbus-{line}", port)
    assert done.returncode == 1
    (said,) = done.stderr.splitlines()
    assert said.startswith(f"Gauge modbus-{line} on {port}: No whole answer from device 1: ")


def _readdressed(frame: bytes, at: int) -> bytes:
    """The same frame of device 2; on a serial line with the check sum that it then has."""
    other = frame[:at] + b"\x02" + frame[at + 1 :]
    if at:
        return other
    return other[:-2] + FramerRTU.compute_CRC(other[:-2]).to_bytes(2, "big")
