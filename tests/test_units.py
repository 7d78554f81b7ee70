"""Reading and writing quantities: what a person types, what a person reads."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import BaseModel, ValidationError

from cockpit.text import printable
from cockpit.units import (
    Amperes,
    Kilopascals,
    LengthUnit,
    Millimetres,
    Seconds,
    UnitsError,
    in_unit,
    read_current_a,
    read_length_mm,
    read_pressure_kpa,
    read_time_s,
    write_both,
    write_clock,
    write_length,
)

LENGTHS = st.floats(min_value=-5000, max_value=5000, allow_nan=False)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("5/32 in", 3.96875),
        ('.156"', 3.9624),
        ('1 3/8"', 34.925),
        ("1-3/8 in", 34.925),
        ("1 3/8 inches", 34.925),
        ("4mm", 4.0),
        (" 4 MM ", 4.0),
        ("-0.2", -0.2),
        ("\N{MINUS SIGN}1 3/8\N{DOUBLE PRIME}", -34.925),
        ("2.5 cm", 25.0),
        ("150 \N{MICRO SIGN}m", 0.15),
        ("5 thou", 0.127),
        (12, 12.0),
    ],
)
def test_lengths_are_read_as_people_write_them(text: str | int, mm: float) -> None:
    assert read_length_mm(text) == pytest.approx(mm, abs=1e-12)


@pytest.mark.parametrize(("text", "mm"), [("3/8", 9.525), ("1 1/2", 38.1), ("-1/16", -1.5875)])
def test_a_fraction_without_a_unit_is_in_inches_whatever_the_unit_is(text: str, mm: float) -> None:
    assert read_length_mm(text) == pytest.approx(mm)
    assert read_length_mm(text, LengthUnit.INCH) == pytest.approx(mm)
    assert read_length_mm(f"{text} mm") == pytest.approx(mm / 25.4)


@pytest.mark.parametrize("text", ["0.15625", ".15625"])
def test_a_bare_number_is_taken_in_the_chosen_unit(text: str) -> None:
    assert read_length_mm(text, LengthUnit.INCH) == pytest.approx(3.96875, abs=1e-12)
    assert read_length_mm(text, LengthUnit.MM) == pytest.approx(0.15625, abs=1e-12)


def test_a_unit_that_is_written_beats_the_chosen_one() -> None:
    assert read_length_mm("4 mm", LengthUnit.INCH) == 4.0


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("0,5", "with a point"),
        ("", "is not a length"),
        ("abc", "is not a length"),
        ("1.5.2", "is not a length"),
        ("4 mm**2", "is not a length"),
        ("nan", "is not a length"),
        ("1e3", "is not a length"),
        ("1 000", "is not a length"),
        ("9" * 5000, "is not a length"),
        ("5/0", "divides by zero"),
        ("4 furlong", "use mm or in"),
        ("4 psi", "use mm or in"),
        (math.nan, "is not a length"),
        (math.inf, "is not a length"),
        (10**400, "is not a length"),
        (True, "is not a length"),
        (None, "is not a length"),
        ([4], "is not a length"),
    ],
)
def test_what_is_no_length_is_refused_in_one_short_sentence(text: str, says: str) -> None:
    with pytest.raises(UnitsError, match=r"^[^\n]{1,120}\.$") as refusal:
        read_length_mm(text)
    assert says in str(refusal.value)


def test_a_refusal_never_repeats_control_characters() -> None:
    with pytest.raises(UnitsError) as refusal:
        read_length_mm("\x1b[31m4\n")
    assert str(refusal.value).isprintable()


@given(st.text(max_size=40))
def test_any_text_is_a_number_or_one_sentence(text: str) -> None:
    try:
        assert math.isfinite(read_length_mm(text))
    except UnitsError as refusal:
        sentence = str(refusal)
    else:
        return
    assert sentence == printable(sentence)


@given(LENGTHS, st.sampled_from(LengthUnit))
def test_what_is_written_reads_back_within_its_last_place(mm: float, unit: LengthUnit) -> None:
    half_a_step = {LengthUnit.MM: 0.005, LengthUnit.INCH: 0.00005 * 25.4}[unit]
    assert read_length_mm(write_length(mm, unit)) == pytest.approx(mm, abs=half_a_step * 1.0001)


@given(LENGTHS, st.sampled_from(LengthUnit))
def test_a_length_survives_the_way_through_the_other_unit(mm: float, unit: LengthUnit) -> None:
    assert read_length_mm(in_unit(mm, unit), unit) == pytest.approx(mm, rel=1e-14, abs=1e-300)


@pytest.mark.parametrize(
    ("mm", "written"),
    [
        (3.96875, "3.97 mm = 0.1563 in"),
        (18, "18.00 mm = 0.7087 in"),
        (-0.2, "-0.20 mm = -0.0079 in"),
        (-0.0001, "0.00 mm = 0.0000 in"),
    ],
)
def test_both_units_are_written_side_by_side(mm: float, written: str) -> None:
    assert write_both(mm) == written


def test_places_and_unit_can_be_chosen() -> None:
    assert write_length(12.345, LengthUnit.MM, places=1, with_unit=False) == "12.3"
    assert write_length(25.4, LengthUnit.INCH, places=0) == "1 in"


@pytest.mark.parametrize(
    ("read", "expected"),
    [
        (read_pressure_kpa("1 bar"), 100.0),
        (read_pressure_kpa(15, "psi"), 103.42136),
        (read_pressure_kpa("20"), 20.0),
        (read_current_a("125"), 125.0),
        (read_current_a("137.5 amps"), 137.5),
        (read_time_s("90"), 90.0),
        (read_time_s("1 1/2 min"), 90.0),
        (read_time_s(0.5, "h"), 1800.0),
    ],
)
def test_other_quantities_are_read_likewise(read: float, expected: float) -> None:
    assert read == pytest.approx(expected, rel=1e-7)


class Fields(BaseModel):
    """One field of each kind."""

    length: Millimetres
    pressure: Kilopascals
    current: Amperes
    time: Seconds


def test_fields_take_text_with_units_and_plain_numbers() -> None:
    texts = {"length": "5/32 in", "pressure": "15 psi", "current": "125 A", "time": "2 min"}
    held = Fields.model_validate(texts)
    assert held.length == 3.96875
    assert (held.current, held.time) == (125.0, 120.0)
    assert Fields.model_validate(held.model_dump()) == held


@pytest.mark.parametrize("value", ["4 furlong", "x", None, [1], True, math.inf])
def test_a_field_that_cannot_be_read_says_so_in_the_same_sentence(value: object) -> None:
    with pytest.raises(ValidationError, match="length"):
        Fields.model_validate({"length": value, "pressure": 1, "current": 1, "time": 1})


@pytest.mark.parametrize(
    ("seconds", "words"), [(0.0, "0:00"), (59.4, "0:59"), (59.6, "1:00"), (3725.0, "62:05")]
)
def test_times_are_minutes_and_seconds(seconds: float, words: str) -> None:
    assert write_clock(seconds) == words
