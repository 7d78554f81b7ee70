"""What holds for every thread; the spellings themselves are in test_spellings.py."""

import random
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cockpit.text import printable
from cockpit.trade.threads import (
    METRIC,
    PLAIN,
    SPECIAL,
    UNIFIED,
    Thread,
    ThreadError,
    read_thread,
    standard_threads,
)

STANDARD = st.sampled_from(standard_threads())
CLASSES = {
    UNIFIED: ("", "1B", "2B", "3B"),
    METRIC: ("", "4H", "5H", "6H", "7H", "8H", "4H5H"),
}


@st.composite
def formatted(draw: st.DrawFn) -> str:
    """A standard thread with a class, a wire insert and a left hand, where it can have them."""
    thread = draw(STANDARD)
    grade = draw(st.sampled_from(CLASSES.get(thread.standard, ("",))))
    insert = thread.takes_insert and draw(st.booleans())
    left = draw(st.booleans())
    return "".join(
        (
            thread.designation,
            f"-{grade}" if grade else "",
            " STI" if insert else "",
            "-LH" if left else "",
        )
    )


def carelessly(text: str, seed: int) -> str:
    """Change the case of letters, and the blanks where blanks may be."""
    careless = random.Random(seed)
    typed = re.sub(r"(?<=[\d.])(?=[xX])|(?<=[xX])(?=\d)", " ", text)
    typed = re.sub(" ", lambda _: " " * careless.randint(1, 3), typed)
    typed = re.sub(
        "[-/]", lambda m: careless.choice(("{}", " {}", "{} ", " {} ")).format(m[0]), typed
    )
    return "".join(careless.choice((c.upper(), c.lower())) for c in f" {typed} ")


def thread_or_sentence(text: str, special: bool) -> Thread | str:
    try:
        return read_thread(text, special=special)
    except ThreadError as refusal:
        return str(refusal)


@given(formatted(), st.integers())
def test_a_formatted_thread_reads_back_however_carelessly_typed(text: str, seed: int) -> None:
    thread = read_thread(text)
    assert read_thread(thread.designation) == thread
    assert read_thread(carelessly(text, seed)) == thread


@given(
    st.sampled_from(["M{0:g}x{1:g}", "{0:g}/16-{2} UNS", "#{2}-{2}", "{0:g}-{2}", "{3:.3f}-{2}"]),
    st.integers(1, 60),
    st.floats(0.1, 6).map(lambda pitch: round(pitch, 2)),
    st.integers(1, 80),
    st.floats(0, 9),
    st.sampled_from(["", "-LH", " STI", " STI-LH"]),
)
def test_a_special_thread_reads_back_without_saying_so_again(
    form: str, size: int, pitch: float, tpi: int, inches: float, marks: str
) -> None:
    thread = thread_or_sentence(form.format(size, pitch, tpi, inches) + marks, special=True)
    if isinstance(thread, Thread):
        assert read_thread(thread.designation) == thread
    else:
        assert "say special" not in thread


@given(formatted(), st.integers(1, 99))
def test_a_count_before_a_thread_changes_nothing(text: str, count: int) -> None:
    assert read_thread(f"{count}X {text}") == read_thread(text)


@given(st.sampled_from([row for row in standard_threads() if row.standard == UNIFIED]))
def test_a_series_may_stand_anywhere_about_a_unified_thread(thread: Thread) -> None:
    size, tpi, series = re.split("-| (?=U)", thread.designation)
    for typed in (f"{series} {size}-{tpi}", f"{size} {series}-{tpi}", f"{size}-{tpi}-{series}"):
        assert read_thread(typed) == thread
    if thread.series in ("UNC", "UNF", "UNEF"):
        assert (
            read_thread(f"#{size[1:]} {series}" if "#" in size else f'{size}" {series}') == thread
        )


def test_a_slash_lost_to_a_blank_never_leaves_another_thread() -> None:
    for thread in standard_threads():
        for text in (thread.designation, re.sub(" UN[A-Z]*$", "", thread.designation)):
            if "/" in text:
                lost = text.replace("/", " ")
                assert isinstance(thread_or_sentence(lost, False), str), lost
                assert isinstance(thread_or_sentence(lost, True), str), lost


@given(st.integers(1, 99), st.integers(1, 99), st.sampled_from(["", " UN", " UNC", "UNF", " NPT"]))
def test_two_whole_numbers_with_a_blank_between_are_no_thread(
    one: int, other: int, series: str
) -> None:
    assert isinstance(thread_or_sentence(f"{one} {other}{series}", True), str)


def test_every_thread_of_the_tables_is_read_as_itself() -> None:
    names = [thread.designation for thread in standard_threads()]
    assert len(set(names)) == len(names) == 610
    assert all(read_thread(thread.designation) == thread for thread in standard_threads())
    assert not any(thread.series in (SPECIAL, PLAIN) for thread in standard_threads())


@given(STANDARD)
def test_the_minor_diameter_lies_between_core_and_major(thread: Thread) -> None:
    assert thread.nominal_mm / 2 < thread.minor_min_mm < thread.nominal_mm
    if thread.minor_max_mm is not None:
        assert thread.minor_min_mm < thread.minor_max_mm < thread.nominal_mm


def test_only_unconfirmed_pitches_and_taper_threads_have_no_greatest_minor_diameter() -> None:
    unknown = [thread for thread in standard_threads() if thread.minor_max_mm is None]
    assert {thread.pitch_mm for thread in unknown if not thread.taper} == {0.2, 0.25, 0.3}
    assert {thread.standard for thread in unknown if thread.taper} == {"ASME B1.20.1"}


@pytest.mark.parametrize(
    ("text", "standard", "series", "nominal_mm", "pitch_mm", "minor_mm", "formula"),
    [
        # 1/4-20: 0.250 - 1.0825318/20 = 0.19587 in; the rest by the same formula
        ("1/4-20", "ASME B1.1", "UNC", 6.35, 1.27, 4.9752, "D - 1.0825318 P"),
        ("1 1/8-8", "ASME B1.1", "8-UN", 28.575, 3.175, 25.1380, "D - 1.0825318 P"),
        ("1-14 UNS", "ASME B1.1", "special", 25.4, 25.4 / 14, 23.4360, "D - 1.0825318 P"),
        ("M10", "ISO 261, ISO 965-1", "metric coarse", 10, 1.5, 8.3762, "D - 1.0825318 P"),
        ("M8x1", "ISO 261, ISO 965-1", "metric fine", 8, 1, 6.9175, "D - 1.0825318 P"),
        # 13.157 - 1.280654 x 25.4/19
        ("G1/4", "ISO 228-1", "G", 13.157, 25.4 / 19, 11.4450, "D - 1.280654 P"),
        # 0.37360 - 0.8/27 = 0.34397 in
        ("1/8 NPT", "ASME B1.20.1", "NPT", 10.287, 25.4 / 27, 8.7369, "E1 - 0.8 P"),
        # 10 + 1.299038 x 1.5; 10 + 0.2165064 x 1.5
        ("M10 STI", "ASME B18.29.2M", "metric coarse", 11.9486, 1.5, 10.3248, "D + 0.2165064 P"),
        ("1/4-20 STI", "ASME B18.29.1", "UNC", 7.9998, 1.27, 6.6250, "D + 0.2165064 P"),
        ("pin 8 mm", "plain bore", "plain bore", 8, None, 8, "the bore itself"),
    ],
)
def test_each_family_by_hand(
    text: str,
    standard: str,
    series: str,
    nominal_mm: float,
    pitch_mm: float | None,
    minor_mm: float,
    formula: str,
) -> None:
    thread = read_thread(text)
    assert (thread.standard, thread.series) == (standard, series)
    assert thread.nominal_mm == pytest.approx(nominal_mm, abs=1e-4)
    assert thread.pitch_mm == (None if pitch_mm is None else pytest.approx(pitch_mm))
    assert thread.minor_min_mm == pytest.approx(minor_mm, abs=1e-4)
    assert thread.minor_formula.startswith(formula)


@pytest.mark.parametrize(
    ("text", "sizes", "minor", "tolerance"),
    [
        (
            "1/4-20",
            "ASME B1.1, table of standard series",
            "D - 1.0825318 P, ASME B1.1",
            "the least and its tolerance of class 2B, ASME B1.1, formulas from memory",
        ),
        ("1 7/8-8", "ASME B1.1, table of standard series", None, None),
        ("2-4.5", "ASME B1.1, table of standard series, from memory", None, None),
        ("1/4-24 special", "the ticket, as it is in no standard series", None, None),
        (
            "M10",
            "ISO 261, from memory",
            "D - 1.0825318 P, ISO 724, ISO 68-1",
            "the least and its tolerance of class 6H, ISO 965-1, from memory",
        ),
        ("M10-5H", "ISO 261, from memory", None, "no confirmed tolerance"),
        (
            "G3",
            "ISO 228-1, table of dimensions",
            "D - 1.280654 P, ISO 228-1",
            "the least and its tolerance, ISO 228-1",
        ),
        ("G3 1/2", "ISO 228-1, table of dimensions, from memory", None, None),
        (
            "1/8 NPT",
            "ASME B1.20.1, basic dimensions of NPT",
            "E1 - 0.8 P at the surface, less 1/16 of the depth, ASME B1.20.1",
            "no confirmed tolerance",
        ),
        (
            "M10 STI",
            "D + 1.5 H and P of the thread that the insert carries, ASME B18.29.2M, from memory",
            "D + 0.2165064 P of the thread that the insert carries, ASME B18.29.2M, from memory",
            "no confirmed tolerance",
        ),
    ],
)
def test_each_figure_says_which_standard_it_is_from(
    text: str, sizes: str, minor: str | None, tolerance: str | None
) -> None:
    sources = read_thread(text).sources
    assert (sources["nominal_mm"], sources["pitch_mm"]) == (sizes, sizes)
    assert minor in (None, sources["minor_min_mm"])
    assert tolerance in (None, sources["minor_max_mm"])


def test_a_special_thread_is_taken_by_its_formula() -> None:
    for text, nominal_mm, pitch_mm in (
        ("M10x1.4", 10.0, 1.4),
        ("1/4-24", 6.35, 25.4 / 24),
        ("8-40", 4.1656, 0.635),
    ):
        thread = read_thread(text, special=True)
        assert thread.series == SPECIAL
        assert thread.nominal_mm == pytest.approx(nominal_mm)
        assert thread.minor_min_mm == pytest.approx(nominal_mm - 1.0825318 * pitch_mm, abs=1e-6)
        assert read_thread(f"{text} special") == read_thread(f"special {text}") == thread


def test_special_changes_nothing_about_a_standard_thread() -> None:
    assert read_thread("M10", special=True) == read_thread("M10 special") == read_thread("M10")


@pytest.mark.parametrize(
    "text",
    ["M10x6", "1/4-4", "M0x0", "M0x1", "M13", "99-0", "0/4-20", ".0-20", "1/4-28 UNC", "G5/16"],
)
def test_where_special_helps_nothing_it_is_not_offered(text: str) -> None:
    with pytest.raises(ThreadError, match=r"\.$") as refusal:
        read_thread(text)
    assert "say special" not in str(refusal.value)
    with pytest.raises(ThreadError):
        read_thread(text, special=True)


def test_a_closer_class_narrows_the_greatest_minor_diameter_alone() -> None:
    closer, usual = read_thread("3/8-16-3B"), read_thread("3/8-16")
    assert closer.minor_min_mm == usual.minor_min_mm
    assert closer.minor_max_mm is not None
    assert usual.minor_max_mm is not None
    assert closer.minor_max_mm < usual.minor_max_mm
    # ASME B1.1 gives 1B and 2B the same tolerance on this diameter.
    assert read_thread("3/8-16-1B").minor_max_mm == usual.minor_max_mm


def test_a_metric_class_without_a_confirmed_table_keeps_its_least_diameter_only() -> None:
    assert read_thread("M10-5H").minor_min_mm == read_thread("M10").minor_min_mm
    assert read_thread("M10-5H").minor_max_mm is None


def test_a_left_hand_changes_the_designation_alone() -> None:
    for text in ("M10", "1/4-20", "G1/4", "1/8 NPT", "M10 STI"):
        left, right = read_thread(f"{text} LH"), read_thread(text)
        assert left.designation == f"{right.designation}-LH"
        assert left.model_copy(update={"designation": right.designation}) == right


@pytest.mark.parametrize("text", ["x" * 10_000, "1/4-20 " * 2_000, "-" * 79, " " * 9_000 + "M8"])
def test_a_page_that_was_pasted_is_refused_in_one_sentence(text: str) -> None:
    with pytest.raises(ThreadError, match="is not a thread the cockpit can read") as refusal:
        read_thread(text)
    assert refusal.value.field == "thread"
    assert len(str(refusal.value)) < 160


LETTERS = 'M#1248x-/. 0UNCFJSB"GNPTRLHIKEOADW,\N{VULGAR FRACTION ONE QUARTER}\N{DIAMETER SIGN}'


@given(
    st.text(max_size=30)
    | st.text(LETTERS, max_size=14)
    | st.text('1248/. "-inm\x1b\N{ZERO WIDTH SPACE}', max_size=12).map("pin {}".format)
    | st.tuples(
        st.text("1248/ .-", max_size=8), st.sampled_from(["UNC", "UNJ", "NPT", "NPTF", "BSP", "R"])
    ).map(" ".join),
    st.booleans(),
)
def test_any_text_is_a_thread_or_one_sentence(text: str, special: bool) -> None:
    thread = thread_or_sentence(text, special)
    if isinstance(thread, Thread):
        assert thread.minor_min_mm > 0
        assert read_thread(thread.designation) == thread
    else:
        assert thread == printable(thread)
        assert thread.endswith(".")
        assert len(thread) < 160
