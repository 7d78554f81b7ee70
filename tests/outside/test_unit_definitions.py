"""Conversions against exact definitions.

Source: NIST SP 811 (2008), appendix B: inch 25.4 mm exactly; psi 6.894 757 E+03 Pa; bar 100 kPa
exactly; minute 60 s and hour 3600 s exactly.
"""

from collections.abc import Iterator

import pint
import pytest

from cockpit.units import (
    _CURRENT,
    _LENGTH,
    _PRESSURE,
    _TIME,
    LengthUnit,
    _convert,
    in_unit,
    read_length_mm,
    read_pressure_kpa,
    read_time_s,
)
from tests.outside.checks import OutsideCheck, largest_deviation

POUND_KG = 0.45359237  # exact, international agreement of 1959
GRAVITY_M_S2 = 9.80665  # exact, 3rd CGPM 1901


def test_an_inch_is_25_4_mm_exactly() -> None:
    assert read_length_mm("1 in") == 25.4
    assert in_unit(25.4, LengthUnit.INCH) == 1.0


@pytest.mark.parametrize("sixty_fourths", range(1, 129))
def test_fractions_of_an_inch_are_exact_to_a_float(sixty_fourths: int) -> None:
    # An inch is 127/5 mm, so the exact length is a whole number over 320.
    assert read_length_mm(f"{sixty_fourths}/64 in") == pytest.approx(
        sixty_fourths * 127 / 320, rel=1e-15
    )


def test_a_psi_is_6_894757_kpa() -> None:
    assert read_pressure_kpa("1 psi") == pytest.approx(6.894757, abs=5e-7)
    exact_kpa = POUND_KG * GRAVITY_M_S2 / 0.0254**2 / 1000
    assert read_pressure_kpa("1 psi") == pytest.approx(exact_kpa, rel=1e-12)


def test_bar_minute_and_hour() -> None:
    assert read_pressure_kpa("1 bar") == pytest.approx(100.0, rel=1e-15)
    assert (read_time_s("1 min"), read_time_s("1 h")) == (60.0, 3600.0)


def conversions() -> Iterator[tuple[float, float]]:
    """Ours over the exact definition, and 1."""
    psi_kpa = POUND_KG * GRAVITY_M_S2 / 0.0254**2 / 1000
    yield read_length_mm("1 in") / 25.4, 1.0
    yield read_pressure_kpa("1 psi") / psi_kpa, 1.0
    yield read_pressure_kpa("1 bar") / 100.0, 1.0
    yield read_time_s("1 h") / 3600.0, 1.0
    for sixty_fourths in range(1, 129):
        yield read_length_mm(f"{sixty_fourths}/64 in") / (sixty_fourths * 127 / 320), 1.0


def definitions_of_pint() -> Iterator[tuple[float, float]]:
    """Every spelling of every unit, ours over what pint's own list of units makes of it, and 1."""
    theirs: pint.UnitRegistry[float] = pint.UnitRegistry()
    for kind in (_LENGTH, _PRESSURE, _CURRENT, _TIME):
        for name in set(kind.spellings.values()):
            exact = theirs.Quantity(7.25, name).to(kind.inside).magnitude
            yield _convert(7.25, name, kind.inside) / exact, 1.0
    for inches in (0.0, 0.001, 1.0, 39.37):
        exact = theirs.Quantity(inches * 25.4, "millimetre").to("inch").magnitude
        yield 1.0 + in_unit(inches * 25.4, LengthUnit.INCH) - exact, 1.0


CHECKS = [
    OutsideCheck(
        "every unit that can be typed",
        "the default registry of the package pint",
        "ratio",
        1e-12,
        lambda: largest_deviation(definitions_of_pint()),
    ),
    OutsideCheck(
        "inch and its fractions to 1/64, psi, bar, hour",
        "NIST SP 811 (2008), appendix B, exact definitions",
        "ratio",
        1e-12,
        lambda: largest_deviation(conversions()),
    ),
]


@pytest.mark.parametrize("check", CHECKS, ids=str)
def test_units_agree(check: OutsideCheck) -> None:
    assert check.deviation() <= check.bound
