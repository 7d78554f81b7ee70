"""Trace files: what is written reads back, and what is wrong is refused by line."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cockpit.burn.reading import Mark, MarkKind, Reading
from cockpit.burn.trace import Trace, TraceError, read_trace, write_trace

HEADER = "t_s,travel_mm,mark,value_mm\n"
lengths = st.floats(-1999.0, 1999.0)
measured = [MarkKind.TOUCH, MarkKind.WEAR, MarkKind.DEPTH]
happenings = st.one_of(
    st.tuples(st.none(), lengths),
    st.tuples(st.sampled_from([MarkKind.START, MarkKind.STOP]), st.none()),
    st.tuples(st.sampled_from(measured), lengths),
)


@st.composite
def histories(draw: st.DrawFn) -> list[Reading | Mark]:
    """Readings and marks in the order of time, as a tracker keeps them."""
    t_s, events = 0.0, list[Reading | Mark]()
    for kind, value_mm in draw(st.lists(happenings, min_size=1, max_size=30)):
        t_s += draw(st.floats(0.0, 60.0))
        if kind is None:
            assert value_mm is not None
            events.append(Reading.at(t_s, value_mm))
        else:
            events.append(Mark.at(t_s, kind, value_mm))
    return events


def wrote(tmp_path: Path, text: str | bytes) -> Path:
    path = tmp_path / "trace.csv"
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return path


def refusal(path: Path, *, lenient: bool = False) -> str:
    with pytest.raises(TraceError) as refused:
        read_trace(path, lenient=lenient)
    said = str(refused.value)
    assert said.startswith(str(path))
    assert said.endswith(".")
    assert "\n" not in said
    return said.removeprefix(str(path))


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(events=histories())
def test_what_is_written_reads_back_the_same(events: list[Reading | Mark], tmp_path: Path) -> None:
    text = io.StringIO()
    write_trace(text, events)
    assert read_trace(wrote(tmp_path, text.getvalue())) == Trace(tuple(events))


def test_a_row_may_hold_a_reading_and_a_mark(tmp_path: Path) -> None:
    rows = "0,3,start,\n1,3.1,,\n2,3.2,stop,\n3,0.4,touch,\n4,0.4,touch,0.5\n5,,DEPTH,3.2\n"
    assert read_trace(wrote(tmp_path, HEADER + rows)).events == (
        Mark(0.0, MarkKind.START),
        Reading(0.0, 3.0),
        Reading(1.0, 3.1),
        Reading(2.0, 3.2),
        Mark(2.0, MarkKind.STOP),
        Reading(3.0, 0.4),
        Mark(3.0, MarkKind.TOUCH, 0.4),
        Reading(4.0, 0.4),
        Mark(4.0, MarkKind.TOUCH, 0.5),
        Mark(5.0, MarkKind.DEPTH, 3.2),
    )


@pytest.mark.parametrize(
    "text",
    [
        "t_s,travel_mm\n0,3\n1,3.5\n",
        "t_s,travel_mm,mark\n0,3,\n1,3.5,\n",
        "\ufefft_s,travel_mm\r\n0,3\r\n1,3.5\r\n",
        "t_s,travel_mm\r0,3\r1,3.5\r",
        ' t_s , travel_mm \n\n0, 3\n , \n1,"3.5"\n\n',
        "t_s,travel_mm\n0.0000,3,,\n1e0,+35E-1",
    ],
    ids=["bare", "three columns", "BOM and CRLF", "CR", "blanks and quotes", "loose numbers"],
)
def test_the_forms_that_spreadsheets_write_are_all_read(tmp_path: Path, text: str) -> None:
    assert read_trace(wrote(tmp_path, text)).events == (Reading(0.0, 3.0), Reading(1.0, 3.5))


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ("x,3,,", "t_s is 'x'"),
        (",3,,", "t_s is ''"),
        ("nan,3,,", "t_s is 'nan'"),
        ("inf,3,,", "t_s is 'inf'"),
        ("1e999,3,,", "finite"),
        ("1_0,3,,", "t_s is '1_0'"),
        ("-1,3,,", "begins at 0"),
        ("4,3,,", "goes back from 5 to 4"),
        ("6,deep,,", "travel_mm is 'deep'"),
        ("6,nan,,", "travel_mm is 'nan'"),
        ("6,2001,,", "no head travels that far"),
        ("6,,,", "neither travel_mm nor mark"),
        ("6", "neither travel_mm nor mark"),
        ("6,3,begin,", "mark 'begin' is not known"),
        ("6,3,wear,", "needs a length"),
        ("6,,touch,", "needs a length"),
        ("6,3,depth,deep", "value_mm is 'deep'"),
        ("6,3,wear,1e6", "no head travels that far"),
        ("6,3,,4", "value_mm without a mark"),
        ("6,3,,,7", "more than 4 cells"),
        ('6,"3', "not a row"),
        ("6;3;;", "t_s is '6;3;;'"),
        ("6," + "3" * 100_000, "travel_mm is"),
        ("6," + "3" * 200_000, "not a row"),
        ("\0,\0", "t_s is"),
    ],
)
def test_a_bad_row_is_refused_by_its_line_and_skipped_when_lenient(
    tmp_path: Path, row: str, words: str
) -> None:
    path = wrote(tmp_path, f"{HEADER}5,3,,\n\n{row}\n7,4,,\n")
    said = refusal(path)
    assert said.startswith(", line 4: ")
    assert words in said
    assert len(said) < 200
    assert read_trace(path, lenient=True) == Trace((Reading(5.0, 3.0), Reading(7.0, 4.0)), 1)


def test_a_decimal_comma_is_not_misread_as_another_column(tmp_path: Path) -> None:
    assert "decimal point" in refusal(wrote(tmp_path, "t_s,travel_mm\n0,1,3,02\n"))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "header"),
        ("\n", "header"),
        ("0,3\n1,4\n", "header"),
        ("travel_mm,t_s\n0,3\n", "header"),
        ("t_s,travel_mm,mark,mark\n0,3,,\n", "header"),
        ("t_s,travel_mm,speed\n0,3,1\n", "header"),
        ("x" * 200_000, "header"),
        (HEADER, "holds no reading"),
        (b"\x89PNG\r\n\x1a\n" + bytes(range(256)), "not text"),
        (HEADER.encode() + b"0,3,,\n1,\xff\xfe,,\n2,4,,\n", "not text"),
    ],
)
@pytest.mark.parametrize("lenient", [False, True])
def test_what_is_no_trace_at_all_is_refused_in_a_sentence(
    tmp_path: Path, text: str | bytes, words: str, lenient: bool
) -> None:
    assert words in refusal(wrote(tmp_path, text), lenient=lenient)


def test_a_folder_and_a_missing_file_are_refused_in_a_sentence(tmp_path: Path) -> None:
    assert "directory" in refusal(tmp_path)
    assert "No such file" in refusal(tmp_path / "nothing.csv")


def test_without_a_start_the_arc_is_on_from_first_to_last() -> None:
    readings = (Reading(1.0, 3.0), Reading(2.0, 4.0))
    assert Trace(readings).with_arc().events == (
        Mark(1.0, MarkKind.START),
        *readings,
        Mark(2.0, MarkKind.STOP),
    )
    marked = Trace((readings[0], Mark(1.5, MarkKind.START), readings[1]))
    assert marked.with_arc() is marked
    assert Trace(()).with_arc() == Trace(())


@pytest.mark.parametrize(
    ("travels_mm", "break_mm"),
    [
        ((3.0, 3.1, 3.2), 3.0),
        ((9.0, 3.0, 3.1), 3.0),
        ((-2.0, 3.0), 0.0),
        ((4.0,), 4.0),
        ((), 0.0),
    ],
)
def test_the_break_is_where_the_readings_under_the_arc_begin(
    travels_mm: tuple[float, ...], break_mm: float
) -> None:
    under_arc = tuple(Reading(2.0 + n, travel_mm) for n, travel_mm in enumerate(travels_mm))
    start, before = Mark(1.0, MarkKind.START), Reading(0.5, 1.0)
    assert Trace((before, start, *under_arc)).break_mm == break_mm
    assert Trace(under_arc).break_mm == break_mm


@pytest.mark.parametrize("mark", ["electrode", "spot"])
def test_another_electrode_or_spot_needs_to_know_when_the_arc_was_off(
    tmp_path: Path, mark: str
) -> None:
    path = tmp_path / "trace.csv"
    path.write_text(f"t_s,travel_mm,mark,value_mm\n0,3.0,,\n1,3.1,,\n2,,{mark},\n")
    with pytest.raises(TraceError, match="mark start and stop as well"):
        read_trace(path)


def test_a_mark_without_a_length_takes_none(tmp_path: Path) -> None:
    path = tmp_path / "trace.csv"
    path.write_text("t_s,travel_mm,mark,value_mm\n0,3.0,start,\n1,3.1,stop,4\n")
    with pytest.raises(TraceError, match="line 3: mark stop has no length"):
        read_trace(path)
