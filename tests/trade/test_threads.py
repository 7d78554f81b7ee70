"""Reading designations, and what holds for every standard thread."""

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cockpit.trade.threads import Thread, ThreadError, read_thread, standard_threads

STANDARD = st.sampled_from(standard_threads())


@pytest.mark.parametrize(
    ("text", "designation", "nominal_mm", "pitch_mm"),
    [
        ("1/4-20", "1/4-20 UNC", 6.35, 1.27),
        ("1/4-20 UNC-2B", "1/4-20 UNC", 6.35, 1.27),
        ("1/4 - 20 unc", "1/4-20 UNC", 6.35, 1.27),
        ("0.250-20", "1/4-20 UNC", 6.35, 1.27),
        ("#10-32", "#10-32 UNF", 4.826, 0.79375),
        ("10-32 UNF", "#10-32 UNF", 4.826, 0.79375),
        ("1 1/4-7", "1 1/4-7 UNC", 31.75, 25.4 / 7),
        ("1-1/4-7", "1 1/4-7 UNC", 31.75, 25.4 / 7),
        ("1-8", "1-8 UNC", 25.4, 3.175),
        ("1-64", "#1-64 UNC", 1.8542, 25.4 / 64),
        ("2-4.5", "2-4.5 UNC", 50.8, 25.4 / 4.5),
        ("M8", "M8x1.25", 8.0, 1.25),
        ("m8X1", "M8x1", 8.0, 1.0),
        ("M10x1.5-6H", "M10x1.5", 10.0, 1.5),
        ("M10\N{MULTIPLICATION SIGN}1.50", "M10x1.5", 10.0, 1.5),
        (" M 10  x 1.5 ", "M10x1.5", 10.0, 1.5),
    ],
)
def test_designations_are_read_as_people_write_them(
    text: str, designation: str, nominal_mm: float, pitch_mm: float
) -> None:
    thread = read_thread(text)
    assert thread.designation == designation
    assert thread.nominal_mm == pytest.approx(nominal_mm, abs=1e-9)
    assert thread.pitch_mm == pytest.approx(pitch_mm, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "bore_mm"),
    [("pin 8 mm", 8.0), ("Dowel 8mm", 8.0), ("drill 1/4", 6.35), ('drill 1 1/4"', 31.75)],
)
def test_a_plain_bore_is_its_own_wall(text: str, bore_mm: float) -> None:
    bore = read_thread(text)
    assert bore.nominal_mm == bore.minor_min_mm == pytest.approx(bore_mm)
    assert bore.pitch_mm is None
    assert bore.minor_max_mm is None
    assert read_thread(bore.designation) == bore


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("M10x1.4", "M10x1.5, M10x1.25"),
        ("M13", "M14x2, M12x1.75"),
        ("1/4-24", "1/4-28 UNF, 1/4-20 UNC"),
        ("1/4-28 UNC", "1/4-28 UNF"),
        ("#9-32", "#10-32 UNF"),
        ("8-40", "#8-36 UNF"),
        ("M0", "M1x0.25"),
        ("1/4-0", "1/4-20 UNC"),
        ("1/0-20", "divides by zero"),
        ("pin 8", "pin 8 mm or pin 8 in"),
        ("pin 0 mm", "no bore"),
        ("pin -8 mm", "no bore"),
        ("pin big", "is not a length"),
        ("M10x1.5-6g", "write it like"),
        ("M10x", "write it like"),
        ("", "write it like"),
        ("\x1b[1mM8", "write it like"),
        ("x" * 10_000, "write it like"),
    ],
)
def test_what_does_not_exist_is_refused_with_what_does(text: str, says: str) -> None:
    with pytest.raises(ThreadError) as refusal:
        read_thread(text)
    assert says in str(refusal.value)
    assert str(refusal.value).isprintable()
    assert len(str(refusal.value)) < 160
    assert refusal.value.field == "thread"


@given(
    st.text(max_size=30)
    | st.text('M#1248x-/. 0UNCF"', max_size=12)
    | st.text('1248/. "-inm\x1b\u200b', max_size=12).map("pin {}".format),
    st.booleans(),
)
def test_any_text_is_a_thread_or_one_sentence(text: str, special: bool) -> None:
    try:
        assert read_thread(text, special=special).minor_min_mm > 0
    except ThreadError as refusal:
        sentence = str(refusal)
    else:
        return
    assert sentence.isprintable()
    assert len(sentence) < 160


@pytest.mark.parametrize(
    ("text", "nominal_mm", "pitch_mm"),
    [("M10x1.4", 10.0, 1.4), ("1/4-24", 6.35, 25.4 / 24), ("8-40", 4.1656, 0.635)],
)
def test_a_special_thread_is_taken_by_its_formula(
    text: str, nominal_mm: float, pitch_mm: float
) -> None:
    thread = read_thread(text, special=True)
    assert thread.series == "special"
    assert thread.nominal_mm == pytest.approx(nominal_mm)
    assert thread.minor_min_mm == pytest.approx(nominal_mm - 1.0825318 * pitch_mm, abs=1e-6)
    assert read_thread(thread.designation, special=True) == thread


@pytest.mark.parametrize("text", ["M10x6", "1/4-4", "M0x0", "M0x1", "99-0"])
def test_not_even_special_makes_a_thread_without_a_core(text: str) -> None:
    with pytest.raises(ThreadError):
        read_thread(text, special=True)


@given(STANDARD, st.sampled_from([str.upper, str.lower]))
def test_every_standard_designation_reads_back_as_itself(
    thread: Thread, change_case: Callable[[str], str]
) -> None:
    assert read_thread(change_case(thread.designation)) == thread


def test_standard_designations_are_unique() -> None:
    names = [thread.designation for thread in standard_threads()]
    assert len(set(names)) == len(names)


@given(STANDARD)
def test_the_minor_diameter_lies_between_core_and_major(thread: Thread) -> None:
    assert thread.nominal_mm / 2 < thread.minor_min_mm < thread.nominal_mm
    if thread.minor_max_mm is not None:
        assert thread.minor_min_mm < thread.minor_max_mm < thread.nominal_mm


def test_unconfirmed_pitches_have_no_greatest_minor_diameter() -> None:
    unknown = {t.pitch_mm for t in standard_threads() if t.minor_max_mm is None}
    assert unknown == {0.2, 0.25, 0.3}


def test_a_closer_class_narrows_the_greatest_minor_diameter() -> None:
    closer, usual = read_thread("3/8-16-3B"), read_thread("3/8-16")
    assert closer.minor_min_mm == usual.minor_min_mm
    assert closer.minor_max_mm is not None
    assert usual.minor_max_mm is not None
    assert closer.minor_max_mm < usual.minor_max_mm


def test_a_metric_class_without_a_confirmed_table_keeps_its_least_diameter_only() -> None:
    assert read_thread("M10-5H").minor_min_mm == read_thread("M10").minor_min_mm
    assert read_thread("M10-5H").minor_max_mm is None
