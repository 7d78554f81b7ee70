"""Quantities at the edges: what a person or a profile writes, read in; what is shown, written out.

Inside the program a length is a plain float in millimetres, a pressure in kilopascals, a current
in amperes, a time in seconds, and the name of the variable ends in that unit. Every conversion
goes through the one pint registry of this file, both ways. An inch is exactly 25.4 mm
(NIST SP 811, appendix B).
"""

import math
import re
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum
from fractions import Fraction
from functools import cache
from typing import Annotated, Final, NamedTuple

import pint
from pydantic import BeforeValidator

from cockpit.text import printable

# The units that people write here, as pint's own list defines them; a test holds each to that list.
# The whole list takes a quarter of a second to read, which every command would have to wait for.
_DEFINITIONS: Final = (
    "millimetre = [length]",
    "micrometre = 1e-3 * millimetre",
    "centimetre = 10 * millimetre",
    "metre = 1000 * millimetre",
    "inch = 25.4 * millimetre",
    "thou = 1e-3 * inch",
    "second = [time]",
    "minute = 60 * second",
    "hour = 60 * minute",
    "ampere = [current]",
    "kilogram = [mass]",
    "pound = 0.45359237 * kilogram",
    "standard_gravity = 9.80665 * metre / second ** 2",
    "pascal = kilogram / metre / second ** 2",
    "kilopascal = 1000 * pascal",
    "bar = 100 * kilopascal",
    "psi = pound * standard_gravity / inch ** 2",
)


def _registry() -> pint.UnitRegistry[float]:
    registry: pint.UnitRegistry[float] = pint.UnitRegistry(None)
    for definition in _DEFINITIONS:
        registry.define(definition)
    return registry


_REGISTRY: Final = _registry()


class _Kind(NamedTuple):
    """A kind of quantity: its name, its unit inside the program, what people write for a unit.

    The spellings are a closed list, so that no typed text is ever handed to pint's own parser,
    which would take "4 mm**2" or "3 light_year" without a word.
    """

    name: str
    inside: str
    usual: str
    spellings: dict[str, str]


_LENGTH: Final = _Kind(
    "length",
    "millimetre",
    "mm or in",
    {
        **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter"), "millimetre"),
        **dict.fromkeys(("in", "in.", "inch", "inches", '"', "''"), "inch"),
        "cm": "centimetre",
        "um": "micrometre",
        "thou": "thou",
    },
)
_PRESSURE: Final = _Kind(
    "pressure", "kilopascal", "kPa, psi or bar", {"kpa": "kilopascal", "psi": "psi", "bar": "bar"}
)
_CURRENT: Final = _Kind(
    "current", "ampere", "A", dict.fromkeys(("a", "amp", "amps", "ampere", "amperes"), "ampere")
)
_TIME: Final = _Kind(
    "time",
    "second",
    "s, min or h",
    {
        **dict.fromkeys(("s", "sec", "second", "seconds"), "second"),
        **dict.fromkeys(("min", "minute", "minutes"), "minute"),
        **dict.fromkeys(("h", "hour", "hours"), "hour"),
    },
)

# Typographic marks that arrive by copying from a print or a web page.
_PLAIN_MARKS: Final = str.maketrans(
    {
        "\N{DOUBLE PRIME}": '"',
        "\N{RIGHT DOUBLE QUOTATION MARK}": '"',
        "\N{MINUS SIGN}": "-",
        "\N{EN DASH}": "-",
        "\N{FRACTION SLASH}": "/",
        "\N{MICRO SIGN}": "u",
        "\N{GREEK SMALL LETTER MU}": "u",
    }
)

_QUANTITY: Final = re.compile(
    r"""(?P<sign>[+-]?)\s*
    (?: (?:(?P<whole>\d{1,9})(?:\s+|\s*-\s*))? (?P<top>\d{1,9})\s*/\s*(?P<bottom>\d{1,9})
      | (?P<decimal>\d{1,12}(?:\.\d{0,20})?|\.\d{1,20}) )
    \s*(?P<unit>[^\d\s.][^\d]*)?""",
    re.VERBOSE | re.ASCII,
)
_DECIMAL_COMMA: Final = re.compile(r"\d,\d")


class UnitsError(ValueError):
    """A quantity that cannot be read; its text is one sentence for the operator."""


class LengthUnit(StrEnum):
    """The two units a shop measures lengths in."""

    MM = "mm"
    INCH = "in"


def read_length_mm(text: str | int | float, bare: LengthUnit = LengthUnit.MM) -> float:
    """Read a length, in millimetres; a number without a unit is taken in the ``bare`` unit.

    Takes decimals, fractions and mixed numbers, with a sign: ``.156``, ``5/32``, ``1 3/8"``,
    ``1-3/8 in``, ``4mm``, ``-0.2``. A fraction without a unit is in inches whatever ``bare`` says,
    since nobody measures millimetres in fractions. Raises UnitsError, one sentence, for anything
    else.

    >>> read_length_mm("5/32 in"), read_length_mm("5/32")
    (3.96875, 3.96875)
    >>> read_length_mm('1 3/8"')
    34.925
    >>> read_length_mm("4mm"), read_length_mm(4), read_length_mm(".5", LengthUnit.INCH)
    (4.0, 4.0, 12.7)
    """
    return _read(text, _LENGTH, LengthUnit.INCH if _is_fraction(text) else bare)


def with_its_unit(text: str, before: LengthUnit, after: LengthUnit) -> str:
    """A length as it was typed, to be read the same when a bare number is in another unit.

    >>> with_its_unit("0.2", LengthUnit.MM, LengthUnit.INCH)
    '0.2 mm'
    >>> with_its_unit("5/32", LengthUnit.MM, LengthUnit.INCH)
    '5/32'
    """
    try:
        is_same = read_length_mm(text, before) == read_length_mm(text, after)
    except UnitsError:
        return text
    return text if is_same else f"{text.strip()} {before}"


def _is_fraction(text: object) -> bool:
    return isinstance(text, str) and "/" in text.translate(_PLAIN_MARKS)


def read_pressure_kpa(text: str | int | float, bare: str = "kPa") -> float:
    """Read a pressure, in kilopascals, from kPa, psi, bar or MPa; raises UnitsError.

    >>> round(read_pressure_kpa("15 psi"), 2)
    103.42
    """
    return _read(text, _PRESSURE, bare)


def read_current_a(text: str | int | float) -> float:
    """Read a current, in amperes; raises UnitsError.

    >>> read_current_a("125 A")
    125.0
    """
    return _read(text, _CURRENT, "A")


def read_time_s(text: str | int | float, bare: str = "s") -> float:
    """Read a time, in seconds, from s, min or h; raises UnitsError.

    >>> read_time_s("1.5 min")
    90.0
    """
    return _read(text, _TIME, bare)


def in_unit(mm: float, unit: LengthUnit) -> float:
    """Give a length in millimetres as a number in ``unit``.

    >>> in_unit(25.4, LengthUnit.INCH)
    1.0
    """
    # Divided by the exact 25.4: its reciprocal, which a conversion multiplies by, is not exact.
    return mm if unit is LengthUnit.MM else mm / _inch_mm()


def write_length(
    mm: float, unit: LengthUnit, places: int | None = None, with_unit: bool = True
) -> str:
    """Write a length in ``unit``, to 2 places in millimetres and 4 in inches unless told.

    >>> write_length(18, LengthUnit.MM), write_length(18, LengthUnit.INCH)
    ('18.00 mm', '0.7087 in')
    >>> write_length(18, LengthUnit.MM, places=1, with_unit=False)
    '18.0'
    """
    if places is None:
        places = 2 if unit is LengthUnit.MM else 4
    # Rounded as a person rounds, half away from zero: 5/32 in is written 0.1563.
    step = Decimal(1).scaleb(-places)
    number = Decimal(repr(in_unit(float(mm), unit))).quantize(step, ROUND_HALF_UP)
    text = f"{abs(number) if number.is_zero() else number:f}"
    return f"{text} {unit}" if with_unit else text


def write_difference(mm: float, less_mm: float, unit: LengthUnit, places: int) -> str:
    """Write by how much two lengths differ as they are written, so that the three come out even.

    >>> write_difference(18.0, 8.615, LengthUnit.MM, 2), write_length(8.615, LengthUnit.MM)
    ('9.38', '8.62 mm')
    """
    written, less = (write_length(one, unit, places, with_unit=False) for one in (mm, less_mm))
    return f"{Decimal(written) - Decimal(less):f}"


def write_both(mm: float, first: LengthUnit = LengthUnit.MM) -> str:
    """Write a length in both units, to show how a typed one was understood.

    >>> write_both(3.96875), write_both(3.96875, LengthUnit.INCH)
    ('3.97 mm = 0.1563 in', '0.1563 in = 3.97 mm')
    """
    second = LengthUnit.INCH if first is LengthUnit.MM else LengthUnit.MM
    return f"{write_length(mm, first)} = {write_length(mm, second)}"


def quoted(text: object, most: int = 30) -> str:
    """Quote what was typed, short and printable, for an error sentence.

    >>> quoted("M8\x1b[1m"), quoted("x" * 99, most=4)
    ('"M8?[1m"', '"xxxx"')
    """
    return f'"{printable(str(text)[:most])}"'


def write_clock(seconds: float) -> str:
    """Write a time as minutes and seconds.

    >>> write_clock(277.4)
    '4:37'
    """
    minutes, rest = divmod(round(seconds), 60)
    return f"{minutes}:{rest:02d}"


def _read(text: object, kind: _Kind, bare: str) -> float:
    """Read a quantity into its unit inside the program; ``bare`` is the unit of a plain number."""
    if isinstance(text, int | float) and not isinstance(text, bool):
        number, unit = _finite(text, kind), ""
    else:
        number, unit = _number_and_unit(str(text), kind)
    name = kind.spellings.get((unit or bare).lower())
    if name is None:
        raise UnitsError(
            f"{quoted(text)} ends in {quoted(unit or bare)}, which is no unit of {kind.name} here: "
            f"use {kind.usual}."
        )
    return _finite(_convert(number, name, kind.inside), kind)


def _number_and_unit(text: str, kind: _Kind) -> tuple[float, str]:
    """Split what was typed into a number and a unit, which may be empty."""
    plain = text.translate(_PLAIN_MARKS).strip()
    if _DECIMAL_COMMA.search(plain):
        raise UnitsError(f"{quoted(text)} has a comma: write the number with a point, such as 0.5.")
    found = _QUANTITY.fullmatch(plain)
    if found is None:
        raise UnitsError(
            f"{quoted(text)} is not a {kind.name}: write a number such as 4, .156, 5/32 or 1 3/8."
        )
    number = _magnitude(found, text)
    return (-number if found["sign"] == "-" else number), (found["unit"] or "").strip()


def _magnitude(found: re.Match[str], text: str) -> float:
    """Give the number of a match, without its sign: decimal, fraction or mixed."""
    if found["decimal"] is not None:
        return float(found["decimal"])
    if int(found["bottom"]) == 0:
        raise UnitsError(f"{quoted(text)} divides by zero: write a fraction such as 5/32.")
    return float(int(found["whole"] or 0) + Fraction(int(found["top"]), int(found["bottom"])))


@cache
def _inch_mm() -> float:
    """The millimetres in an inch, which a screen asks for many times a second."""
    return _convert(1.0, "inch", "millimetre")


def _convert(number: float, unit: str, target: str) -> float:
    """Convert through the registry; a float in, a float out."""
    return float(_REGISTRY.Quantity(float(number), unit).to(target).magnitude)


def _finite(number: float, kind: _Kind) -> float:
    """Give the number as a float; refuse what is not a number or has no end."""
    try:
        value = float(number)
    except OverflowError:
        value = math.inf
    if not math.isfinite(value):
        raise UnitsError(f"{quoted(number)} is not a {kind.name}: write a number such as 4 or 0.5.")
    return value


def _millimetres(value: str | int | float) -> float:
    return read_length_mm(value)


def _kilopascals(value: str | int | float) -> float:
    return read_pressure_kpa(value)


def _seconds(value: str | int | float) -> float:
    return read_time_s(value)


Millimetres = Annotated[float, BeforeValidator(_millimetres)]
"""A pydantic field in millimetres that also takes text such as ``"5/32 in"``."""

Kilopascals = Annotated[float, BeforeValidator(_kilopascals)]
"""A pydantic field in kilopascals that also takes text such as ``"15 psi"``."""

Amperes = Annotated[float, BeforeValidator(read_current_a)]
"""A pydantic field in amperes that also takes text such as ``"125 A"``."""

Seconds = Annotated[float, BeforeValidator(_seconds)]
"""A pydantic field in seconds that also takes text such as ``"2 min"``."""
