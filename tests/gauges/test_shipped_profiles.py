"""The gauge profiles that come with the program."""

from __future__ import annotations

import time

import pytest

from cockpit.gauges import Sample, make_gauge
from cockpit.gauges.line import LineReader
from cockpit.gauges.ports import list_ports
from cockpit.profiles import load_gauge, profile_paths

SHIPPED = [
    "modbus-rtu",
    "modbus-tcp",
    "recorded",
    "serial-decimal",
    "serial-polled",
    "simulated",
    "typed",
]
PORTS = {"serial": "loop://", "modbus": "tcp://indicator"}


@pytest.mark.parametrize("name", SHIPPED)
def test_each_makes_a_gauge(name: str) -> None:
    assert name in profile_paths("gauge")
    profile = load_gauge(name)
    assert make_gauge(profile, time.monotonic, PORTS.get(profile.source)).profile is profile
    assert profile.note


@pytest.mark.parametrize("name", ["serial-decimal", "serial-polled"])
@pytest.mark.parametrize(
    ("line", "travel_mm"),
    [(b"+012.34 mm", 12.34), (b"-  0.5", -0.5), (b"1.0000in", 25.4), (b"7", 7.0)],
)
def test_the_serial_ones_read_a_signed_decimal(name: str, line: bytes, travel_mm: float) -> None:
    (sample,) = LineReader(load_gauge(name)).feed(line + b"\r\n", 0.0)
    assert isinstance(sample, Sample)
    assert sample.travel_mm == pytest.approx(travel_mm)


def test_the_modbus_ones_differ_in_their_line_alone() -> None:
    rtu, tcp = load_gauge("modbus-rtu"), load_gauge("modbus-tcp")
    assert rtu.modbus == tcp.modbus
    assert (rtu.scale, rtu.unit, rtu.rate_hz) == (tcp.scale, tcp.unit, tcp.rate_hz)


def test_the_ports_of_this_computer_are_listed_by_name() -> None:
    ports = list_ports()
    assert ports == sorted(ports)
    assert all(port.device for port in ports)
