"""Bytes into readings: whatever comes, in whatever pieces."""

from __future__ import annotations

import tracemalloc
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cockpit.gauges import GaugeError, Reject, Sample
from cockpit.gauges.line import PAUSE_S, LineReader
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


@pytest.mark.parametrize(
    ("pattern", "data", "travel_mm"),
    [
        (r"(?P<sign>[-+] *)(?P<value>\d+\.\d\d)", b"- 12.34", -12.34),
        (r"(?P<sign>[-+] *)(?P<value>\d+\.\d\d)", b"+ 12.34", 12.34),
        (r"(?P<sign>[-+ ]+)(?P<value>\d+\.\d\d)", b" -12.34", -12.34),
        (r"X(?P<sign>\s*[-+]?)\s*(?P<value>\d+\.\d\d)", b"X\t-12.34", -12.34),
        (r"X(?P<sign>[-+ ])(?P<value>\d+\.\d\d)", b"X 12.34", 12.34),
    ],
)
def test_blanks_around_a_sign_do_not_hide_it(pattern: str, data: bytes, travel_mm: float) -> None:
    assert one_mm(data, pattern=pattern) == travel_mm


@pytest.mark.parametrize("sign", [b"--", b"+-", b"_", b"- -", b"\xad"])
def test_a_sign_that_is_neither_plus_nor_minus_is_refused(sign: bytes) -> None:
    why = one_why(sign + b"12.34", pattern=r"(?P<sign>\D*)(?P<value>\d+\.\d\d)")
    assert "neither + nor -" in why
    assert "gauge profile bench" in why


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


def test_more_digits_than_a_person_would_type_are_still_a_number() -> None:
    assert one_mm(b"+" + b"0" * 18 + b"999.99 mm") == 999.99
    assert one_mm(b"0.5000" + b"0" * 30 + b" in") == pytest.approx(12.7, abs=1e-12)
    assert "No head travels that far" in one_why(b"9" * 100)
    assert "no unit of length" in one_why(b"1 parsec")
    assert "1.0 3/4" in one_why(b"12 3/4", pattern=r"(?P<value>\d+) (?P<unit>.*)")


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
    assert reader.feed(b"4\r", 2.0) == []
    assert reader.feed(b"\n", 3.0) == [Sample(3.0, 12.34, "12.34")]


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


# What a line can carry beside its number ---------------------------------------------------------

STATUS = r"(?P<status>[A-Z]?)(?P<value>\d+\.\d\d)"


def test_only_a_good_status_makes_a_reading() -> None:
    profile = {"pattern": STATUS, "good_status": ["A", "B"]}
    assert one_mm(b"A12.34", **profile) == one_mm(b"B12.34", **profile) == 12.34
    assert one_why(b"E12.34", **profile) == (
        'The gauge sends status "E", not "A or B": it does not vouch for this reading.'
    )
    assert 'status ""' in one_why(b"12.34", **profile)
    optional = profile | {"pattern": r"(?P<status>[A-Z])?(?P<value>\d+\.\d\d)"}
    assert 'status ""' in one_why(b"12.34", **optional)


def test_a_status_that_can_not_be_printed_is_not_printed() -> None:
    why = one_why(b"\x1b12.34", pattern=r"(?P<status>.)(?P<value>\d+\.\d\d)", good_status=["A"])
    assert 'status "?"' in why


def test_an_overflow_mark_is_known_as_a_whole_line_or_as_the_value() -> None:
    marks = {"overflow": ["OL", "999.99"]}
    for line, mark in ((b" OL ", "OL"), (b"+999.99 mm", "999.99"), (b"-999.99", "999.99")):
        assert one_why(line, **marks) == (
            f'"{mark}" is an overflow mark: the gauge is out of its range.'
        )
    assert one_mm(b"+999.98", **marks) == pytest.approx(999.98)
    assert one_mm(b"+999.99") == pytest.approx(999.99)


def test_one_field_of_several_is_read_and_their_number_has_to_be_right() -> None:
    axes = {"field": 2, "fields": 3}
    assert one_mm(b"1.00, -2.50 ,3.00", **axes) == -2.5
    assert one_mm(b"1.00;0.5 in;3.00", separator=";", **axes) == pytest.approx(12.7)
    assert one_mm(b",2.00,", **axes) == 2.0
    for damaged, count in ((b"1.002.00,3.00", 2), (b"1.00,2,.00,3.00", 4), (b"2.00", 1)):
        why = f"The line has {count} fields, and gauge profile bench says 3."
        assert one_why(damaged, **axes) == why
    assert one_why(b"1.00,,3.00", **axes) == "Not what gauge profile bench expects."


def test_an_overflow_mark_in_the_chosen_field_is_one_and_in_another_is_not() -> None:
    axes = {"field": 2, "fields": 2, "overflow": ["OL"]}
    assert "overflow mark" in one_why(b"1.00,OL", **axes)
    assert one_mm(b"OL,1.00", **axes) == 1.0


def test_counts_are_whole_and_times_their_length() -> None:
    counts = {"per_count": "0.0005 in", "pattern": r"(?P<sign>[-+])?(?P<value>[\d.]+)"}
    assert one_mm(b"+1000", **counts) == pytest.approx(12.7)
    assert one_mm(b"-0001", **counts) == pytest.approx(-0.0127)
    assert one_mm(b"-0001", reverse=True, **counts) == pytest.approx(0.0127)
    assert one_why(b"10.5", **counts) == "The value is not a whole number of counts."
    assert "No head travels that far" in one_why(b"9" * 30, **counts)
    assert "No head travels that far" in one_why(b"9" * 4000, max_line=4096, **counts)


def test_unit_and_sign_may_change_from_line_to_line() -> None:
    found = read(b"+12.70 mm\r\n+0.5000 in\r\n-0.5000 in\r\n-12.70 mm\r\n+12.70 mm\r\n")
    travels_mm = [item.travel_mm for item in found if isinstance(item, Sample)]
    assert travels_mm == pytest.approx([12.7, 12.7, -12.7, -12.7, 12.7])


def test_the_same_line_twice_is_two_readings() -> None:
    assert [item.raw for item in read(b"1.00\r\n" * 3)] == ["1.00"] * 3


# What comes over a bad line ----------------------------------------------------------------------


@pytest.mark.parametrize(
    "line",
    [
        b"\x0012.34",
        b"12.34\x00",
        b"12\x00.34",
        b"\xb12.34",
        b"12.34\xa0",
        b"\xa012.34",
        b"\x1c1.00",
    ],
)
def test_bytes_that_are_no_text_are_never_looked_over(line: bytes) -> None:
    assert one_why(line) == (
        "Not what gauge profile bench expects: it holds bytes that are no text, so check baudrate, "
        "bytesize and parity."
    )


def test_a_line_between_stx_and_etx_is_read_and_its_faults_are_not_the_baud_rate() -> None:
    framed = {"line_end": "\x03", "pattern": r"\x02(?P<value>\d+\.\d\d)"}
    (sample, reject) = read(b"\x0212.34\x03\x02E-02\x03", **framed)
    assert isinstance(sample, Sample)
    assert sample.travel_mm == 12.34
    assert isinstance(reject, Reject)
    assert reject.why == "Not what gauge profile bench expects."


def test_a_line_end_that_lost_a_byte_costs_both_lines_and_no_other() -> None:
    for damaged in (b"1.00\r2.00\r\n", b"1.00\n2.00\r\n", b"1.002.00\r\n"):
        lost, kept = read(damaged + b"3.00\r\n")
        assert isinstance(lost, Reject)
        assert kept == Sample(1.0, 3.0, "3.00")


@pytest.mark.parametrize(
    ("line_end", "sent", "called"),
    [
        ("\r\n", b"\n", r'LF alone, so try line_end = "\n"'),
        ("\r\n", b"\r", r'CR alone, so try line_end = "\r"'),
        ("\n", b"\r", r'CR alone, so try line_end = "\r"'),
        ("\x03", b"\r\n", r'CR LF alone, so try line_end = "\r\n"'),
    ],
)
def test_another_line_end_is_no_reading_and_the_reject_says_what_to_write(
    line_end: str, sent: bytes, called: str
) -> None:
    found = read((b"12.34" + sent) * 40, line_end=line_end)
    assert found
    assert all(isinstance(item, Reject) and called in item.why for item in found)


@pytest.mark.parametrize("sent", [b"\n", b"\r"])
def test_another_line_end_is_named_by_the_second_line_of_a_slow_gauge(sent: bytes) -> None:
    reader = LineReader(serial_profile())
    found = []
    for t_s in (1.0, 2.0, 3.0):
        found += reader.feed(b"12.34" + sent, t_s) + reader.feed(b"", t_s + 0.9)
    assert len(found) == 3
    assert all(isinstance(item, Reject) for item in found)
    assert isinstance(found[1], Reject)
    assert "alone, so try line_end" in found[1].why


def test_a_gauge_that_sends_more_than_the_line_end_is_read() -> None:
    for line_end, sent in (("\n", b"\r\n"), ("\r", b"\r\n"), ("\r\n", b"\r\r\n")):
        reader = LineReader(serial_profile(line_end=line_end))
        # The byte too many is held over the pause between two lines, and breaks neither.
        found = reader.feed(b"1.00" + sent, 1.0) + reader.feed(b"", 8.0)
        found += reader.feed(b"2.00" + sent, 9.0)
        assert [item.travel_mm for item in found if isinstance(item, Sample)] == [1.0, 2.0]
        assert len(found) == 2


def test_noise_as_of_a_wrong_baud_rate_points_to_the_settings() -> None:
    found = read(bytes(range(0x80, 0x100)) * 4)
    assert len(found) == 3
    for item in found:
        assert isinstance(item, Reject)
        assert "No line end in 128 bytes: it holds bytes that are no text, so check" in item.why


def test_the_halves_of_two_lines_make_no_reading() -> None:
    reader = LineReader(serial_profile())
    assert reader.feed(b"1", 1.0) == []
    assert reader.feed(b"", 1.0 + PAUSE_S) == []
    assert reader.feed(b"", 1.01 + PAUSE_S) == [
        Reject(
            1.0,
            "1",
            "The line broke off before its end: check the cable, or line_end in gauge profile "
            "bench.",
        )
    ]
    assert reader.feed(b"", 9.0) == [], "it is said once"
    assert reader.feed(b"2.34\r\n12.35\r\n", 9.1) == [Sample(9.1, 12.35, "12.35")]


def test_chunks_that_come_late_break_nothing_since_the_computer_may_have_been_busy() -> None:
    reader = LineReader(serial_profile())
    found = reader.feed(b"12", 1.0) + reader.feed(b".34\r\n", 9.0)
    found += reader.feed(b"", 50.0) + reader.feed(b"12.35\r\n", 99.0)
    assert [item.raw for item in found] == ["12.34", "12.35"]


def test_a_clock_that_steps_back_breaks_no_line_and_its_times_do_not_go_back() -> None:
    reader = LineReader(serial_profile())
    found = reader.feed(b"1.00\r\n2.", 1000.0) + reader.feed(b"", 4.9)
    found += reader.feed(b"00\r\n3.", 5.0) + reader.feed(b"", 5.1) + reader.feed(b"00\r\n", 5.2)
    assert [(item.t_s, item.raw) for item in found] == [
        (1000.0, "1.00"),
        (1000.0, "2.00"),
        (1000.0, "3.00"),
    ]
    (broken,) = reader.feed(b"4.", 5.3) + reader.feed(b"", 5.6) + reader.feed(b"00\r\n", 5.7)
    assert isinstance(broken, Reject)


@pytest.mark.parametrize("chunk", [7, 4096, 1_000_000])
@pytest.mark.parametrize("byte", [b"\xaa", b"1", b" ", b"\n", b"\x00"])
def test_a_megabyte_without_a_line_end_is_not_held(byte: bytes, chunk: int) -> None:
    reader = LineReader(serial_profile())
    some = byte * chunk
    tracemalloc.start()
    try:
        for _ in range(1_000_000 // chunk + 1):
            reader.feed(some, 0.0)
        held_bytes, _ = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert held_bytes < 2_000
    found = reader.feed(b"\r\n1.00\r\n", 0.0)
    assert found[-1] == Sample(0.0, 1.0, "1.00")
