"""Bytes into readings: whatever comes, in whatever pieces."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cockpit.gauges import GaugeError, Reject, Sample
from cockpit.gauges.line import LineReader
from tests.gauges.lines import serial_profile


def read(data: bytes, **profile: object) -> list[Sample | Reject]:
    return LineReader(serial_profile(**profile)).feed(data, 1.0)


def one_mm(data: bytes, **profile: object) -> float:
    (sample,) = read(data + b"\r\n", **profile)
    assert isinstance(sample, Sample), sample
    return sample.travel_mm


def one_why(data: bytes, **profile: object) -> str:
    (reject,) = read(data + b"\r\n", **profile)
    assert isinstance(reject, Reject), reject
    return reject.why


@pytest.mark.parametrize(
    ("data", "travel_mm"),
    [
        (b"12.34", 12.34),
        (b"+012.34 mm", 12.34),
        (b"- 0.05", -0.05),
        (b"  7 mm  ", 7.0),
        (b"+0.5000 in", 12.7),
    ],
)
def test_a_line_is_a_reading(data: bytes, travel_mm: float) -> None:
    assert one_mm(data) == pytest.approx(travel_mm, abs=1e-12)


def test_the_unit_in_the_line_wins_over_the_profile() -> None:
    assert one_mm(b"1.0", unit="in") == pytest.approx(25.4)
    assert one_mm(b"1.0 mm", unit="in") == pytest.approx(1.0)


def test_sense_and_scale_come_from_the_profile() -> None:
    assert one_mm(b"-12.5", reverse=True) == pytest.approx(12.5)
    assert one_mm(b"1250", scale=0.01) == pytest.approx(12.5)


@pytest.mark.parametrize(
    "marker", [b"nan", b"NaN", b"inf", b"-inf", b"1e999", b"1_0", b"OL", b"----", b"\xb2", b"0x10"]
)
def test_what_is_no_number_is_refused_even_by_a_pattern_that_takes_all(marker: bytes) -> None:
    assert "number" in one_why(marker, pattern="(?P<value>.*)")


def test_a_travel_that_no_head_has_is_refused() -> None:
    assert "No head travels that far" in one_why(b"99999.9")
    assert "No head travels that far" in one_why(b"9" * 12)


def test_a_reject_says_why() -> None:
    assert one_why(b"E-02") == "Not what gauge profile bench expects."
    assert "parsec" in one_why(b"1.0 parsec")


def test_raw_text_is_printable_whatever_was_sent() -> None:
    (reject,) = read(b"\x1b[2J\x00\xff[red]\t\r\n")
    assert reject.raw == r"\x1b[2J\x00\xff[red]\t"


def test_empty_lines_are_nothing() -> None:
    assert read(b"\r\n\r\n  \r\n") == []


def test_joined_midway_the_tail_of_a_number_is_no_reading() -> None:
    reader = LineReader(serial_profile(), joined_midway=True)
    assert reader.feed(b"2.34\r\n12.34\r\n", 1.0) == [Sample(1.0, 12.34, "12.34")]


def test_a_line_without_end_is_refused_piece_by_piece_and_its_tail_is_no_reading() -> None:
    found = read(b"x" * 40 + b"5.00\r\n6.00\r\n", max_line=16)
    assert [item.raw for item in found] == ["x" * 16, "x" * 16, "6.00"]
    assert isinstance(found[0], Reject)
    assert "No line end in 16 bytes" in found[0].why


def test_a_line_of_the_greatest_length_is_still_a_reading() -> None:
    assert one_mm(b"1." + b"0" * 14, max_line=16) == 1.0


def test_times_never_go_back_and_lines_of_one_chunk_keep_their_order() -> None:
    reader = LineReader(serial_profile())
    found = reader.feed(b"1.00\r\n2.00\r\n", 5.0) + reader.feed(b"3.00\r\n", 4.0)
    assert [(item.t_s, item.raw) for item in found] == [(5.0, "1.00"), (5.0, "2.00"), (5.0, "3.00")]


def test_a_reading_carries_the_time_of_its_last_byte() -> None:
    reader = LineReader(serial_profile())
    assert reader.feed(b"12.3", 1.0) == []
    assert reader.feed(b"4\r", 1.1) == []
    assert reader.feed(b"\n", 1.2) == [Sample(1.2, 12.34, "12.34")]


def test_a_line_end_that_no_line_can_carry_is_refused() -> None:
    with pytest.raises(GaugeError, match="line_end"):
        LineReader(serial_profile(line_end="\N{SNOWMAN}"))


# Bytes that look like a gauge's, cut and spoilt, besides wholly random ones.
ALPHABET = [b"\r\n", b"\r", b"\n", b"12.34", b"-0.5 mm", b" in", b"nan", b"\x00", b"\xff", b"7"]
STREAMS = st.one_of(
    st.binary(max_size=400),
    st.lists(st.sampled_from(ALPHABET), max_size=120).map(b"".join),
)


def unescaped(raw: str) -> bytes:
    return raw.encode("ascii").decode("unicode_escape").encode("latin-1")


def chunks_of(data: bytes, cuts: list[int]) -> list[bytes]:
    places = [0, *sorted(cut % (len(data) + 1) for cut in cuts), len(data)]
    return [data[a:b] for a, b in pairwise(places)]


@settings(max_examples=400)
@given(
    data=STREAMS,
    cuts=st.lists(st.integers(0, 10_000), max_size=30),
    joined_midway=st.booleans(),
    line_end=st.sampled_from(["\r\n", "\n", "\r", "\x03", "\r\r\n"]),
    pattern=st.sampled_from([serial_profile().pattern, "(?P<value>.*)", "(?P<value>[^m]+)?.*"]),
)
def test_any_bytes_in_any_chunks_read_the_same_and_hold_little_memory(
    data: bytes, cuts: list[int], joined_midway: bool, line_end: str, pattern: str
) -> None:
    profile = serial_profile(line_end=line_end, max_line=16, pattern=pattern)
    whole = LineReader(profile, joined_midway=joined_midway).feed(data, 0.0)
    reader = LineReader(profile, joined_midway=joined_midway)
    pieces = []
    for chunk in chunks_of(data, cuts):
        pieces += reader.feed(chunk, 0.0)
    assert pieces == whole
    # What was still held back is one line at the most.
    held = reader.feed(line_end.encode(), 0.0)
    assert len(held) <= 1
    assert all(len(unescaped(item.raw)) <= profile.max_line for item in held)
    assert all(item.raw.isascii() and item.raw.isprintable() for item in whole)


@settings(max_examples=200)
@given(
    travels_um=st.lists(st.integers(-100_000, 100_000), max_size=40),
    cuts=st.lists(st.integers(0, 10_000), max_size=30),
)
def test_every_reading_sent_is_read_in_order(travels_um: list[int], cuts: list[int]) -> None:
    sent_mm = [um / 1000 for um in travels_um]
    data = b"".join(f"{mm:+.3f} mm\r\n".encode() for mm in sent_mm)
    reader = LineReader(serial_profile())
    found = [item for chunk in chunks_of(data, cuts) for item in reader.feed(chunk, 0.0)]
    assert [item.travel_mm for item in found if isinstance(item, Sample)] == sent_mm
    assert len(found) == len(sent_mm)


def test_a_flood_without_line_end_keeps_memory_small() -> None:
    reader = LineReader(serial_profile())
    fed = given_back = 0
    for _ in range(100):
        fed += 10_000
        given_back += sum(len(unescaped(item.raw)) for item in reader.feed(b"\xaa" * 10_000, 0.0))
        assert fed - given_back < 128 + 2
