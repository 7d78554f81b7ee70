"""The gauge profiles that come with the program."""

from __future__ import annotations

import time

import pytest
from gauge_forms import FORMS

from cockpit.gauges import Reject, Sample, make_gauge
from cockpit.gauges.line import LineReader
from cockpit.gauges.ports import list_ports
from cockpit.profiles import load_gauge, profile_paths

SERIAL = ["decimal", "polled", "units", "status", "axes", "counts"]
SHIPPED = [
    "modbus-rtu",
    "modbus-tcp",
    *(f"serial-{form}" for form in SERIAL),
    "recorded",
    "simulated",
    "typed",
    "typed-by-gauge",
]
PORTS = {"serial": "loop://", "modbus": "tcp://indicator"}


@pytest.mark.parametrize("name", SHIPPED)
def test_each_makes_a_gauge(name: str) -> None:
    assert name in profile_paths("gauge")
    profile = load_gauge(name)
    assert make_gauge(profile, time.monotonic, PORTS.get(profile.source)).profile is profile
    assert profile.note


def read(form: str, line: bytes) -> Sample | Reject:
    (found,) = LineReader(load_gauge(f"serial-{form}")).feed(line + b"\r\n", 0.0)
    return found


DECIMAL_LINES = [
    (b"+012.34 mm", 12.34),
    (b"-  0.50", -0.5),
    (b"1.0000in", 25.4),
    (b"+0.4858 IN", 12.33932),
    (b"7.00", 7.0),
]


@pytest.mark.parametrize(
    ("form", "line", "travel_mm"),
    [
        *(("decimal", *line) for line in DECIMAL_LINES),
        *(("polled", *line) for line in DECIMAL_LINES),
        ("units", b"+12.34 mm", 12.34),
        ("units", b"- 0.4858 in", -12.33932),
        ("units", b"+12.345mm", 12.345),
        ("status", b"A+0012.34", 12.34),
        ("status", b"A-0000.50", -0.5),
        ("axes", b"+1.25,-0.50,+12.34", 12.34),
        ("axes", b"what,ever,- 12.34", -12.34),
        ("counts", b"+0012340", 12.34),
        ("counts", b"-0000500", -0.5),
    ],
)
def test_each_serial_one_reads_its_form(form: str, line: bytes, travel_mm: float) -> None:
    sample = read(form, line)
    assert isinstance(sample, Sample), sample
    assert sample.travel_mm == pytest.approx(travel_mm, abs=1e-9)


@pytest.mark.parametrize(
    ("form", "line", "why"),
    [
        ("status", b"E+0012.34", 'status "E", not "A": it does not vouch for this reading'),
        ("status", b"A+9999.99", '"9999.99" is an overflow mark'),
        ("status", b"+0012.34", "Not what gauge profile serial-status expects."),
        ("axes", b"+1.25,-0.50", "2 fields, and gauge profile serial-axes says 3"),
        ("axes", b"+1.25,-0.50,------", '"------" is an overflow mark'),
        ("axes", b"+1.25,-0.50,+999.99", '"999.99" is an overflow mark'),
        ("counts", b"+9999999", '"9999999" is an overflow mark'),
        ("counts", b"-------", '"-------" is an overflow mark'),
        ("counts", b"OL", '"OL" is an overflow mark: the gauge is out of its range.'),
        ("units", b"+12.34", "Not what gauge profile serial-units expects."),
        ("units", b"+12.34 in", "Not what gauge profile serial-units expects."),
        ("units", b"12.34 mm", "Not what gauge profile serial-units expects."),
        ("units", b"+999.999 mm", '"999.999" is an overflow mark'),
        ("decimal", b"------", '"------" is an overflow mark'),
        ("polled", b"-999.99", '"999.99" is an overflow mark'),
        ("polled", b"E-02", "Not what gauge profile serial-polled expects."),
    ],
)
def test_what_is_no_reading_in_a_form_is_refused_by_what_it_is(
    form: str, line: bytes, why: str
) -> None:
    reject = read(form, line)
    assert isinstance(reject, Reject), reject
    assert why in reject.why


def test_no_profile_reads_a_number_whose_point_or_decimals_were_lost() -> None:
    for form in ("decimal", "polled", "units"):
        for damaged in (b"+1234 mm", b"+12.3 mm", b"+12. mm", b"+.34 mm", b"+12,34 mm"):
            assert isinstance(read(form, damaged), Reject), (form, damaged)


# Of the bytes of -12.34 in each form, those whose loss nothing in the line can tell: the two digits
# before the point and, where no sign need be sent, the sign.
UNSEEN = {"decimal": 3, "polled": 3, "units": 2, "axes": 2, "status": 0, "counts": 0}


@pytest.mark.parametrize("form", SERIAL)
def test_a_lost_byte_is_seen_but_where_the_profile_says_that_it_can_not_be(form: str) -> None:
    line = FORMS[form].line(-12.34).removesuffix(b"\r\n")
    damaged = [read(form, line[:at] + line[at + 1 :]) for at in range(len(line))]
    samples = [one for one in damaged if isinstance(one, Sample)]
    wrong = [one.raw for one in samples if one.travel_mm != pytest.approx(-12.34)]
    assert len(wrong) == UNSEEN[form], wrong


def test_the_modbus_ones_differ_in_their_line_alone() -> None:
    rtu, tcp = load_gauge("modbus-rtu"), load_gauge("modbus-tcp")
    assert rtu.modbus == tcp.modbus
    assert (rtu.scale, rtu.unit, rtu.rate_hz) == (tcp.scale, tcp.unit, tcp.rate_hz)


def test_the_ports_of_this_computer_are_listed_by_name() -> None:
    ports = list_ports()
    assert ports == sorted(ports)
    assert all(port.device for port in ports)
