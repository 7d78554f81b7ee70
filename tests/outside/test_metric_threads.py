"""Metric threads against ISO 965, ISO 724 and ASME B1.13M; figures in mm unless a row says more."""

from collections.abc import Iterator
from decimal import Decimal

import pytest
from screw_thread_lib.data import ASME_M_6g6H_dict

from cockpit.trade.threads import METRIC, read_thread, standard_threads
from cockpit.units import LengthUnit, in_unit
from tests.outside.checks import OutsideCheck, largest_deviation

# ISO 965-2, limits of the internal minor diameter in class 6H, from memory.
ISO_965_2 = {
    "M1.6": (1.221, 1.321),
    "M2": (1.567, 1.679),
    "M2.5": (2.013, 2.138),
    "M3": (2.459, 2.599),
    "M4": (3.242, 3.422),
    "M5": (4.134, 4.334),
    "M6": (4.917, 5.153),
    "M8": (6.647, 6.912),
    "M10": (8.376, 8.676),
    "M12": (10.106, 10.441),
    "M16": (13.835, 14.210),
    "M20": (17.294, 17.744),
    "M24": (20.752, 21.252),
    "M30": (26.211, 26.771),
    "M8x1": (6.917, 7.153),
    "M10x1": (8.917, 9.153),
    "M10x1.25": (8.647, 8.912),
    "M12x1.25": (10.647, 10.912),
    "M12x1.5": (10.376, 10.676),
    "M20x1.5": (18.376, 18.676),
}


def limits_of_iso_965_2() -> Iterator[tuple[float, float]]:
    for designation, limits in ISO_965_2.items():
        thread = read_thread(designation)
        assert thread.minor_max_mm is not None
        yield from zip((thread.minor_min_mm, thread.minor_max_mm), limits, strict=True)


def limits_of_asme_b1_13m() -> Iterator[tuple[float, float]]:
    for name, row in ASME_M_6g6H_dict.items():
        thread = read_thread(name)
        assert thread.minor_max_mm is not None
        yield in_unit(thread.nominal_mm, LengthUnit.INCH), row["dbsc"]
        yield in_unit(thread.minor_min_mm, LengthUnit.INCH), row["D1min"]
        yield in_unit(thread.minor_max_mm, LengthUnit.INCH), row["D1max"]


def basic_minor_diameters() -> Iterator[tuple[float, float]]:
    height = Decimal(3).sqrt() / 2
    for thread in standard_threads():
        if thread.standard == METRIC:
            diameter, pitch = map(Decimal, thread.designation.removeprefix("M").split("x"))
            yield thread.minor_min_mm, float(diameter - 2 * Decimal("0.625") * height * pitch)


def tolerances_over_their_formula() -> Iterator[tuple[float, float]]:
    """ISO 965-1, TD1 of grade 6 before the standard rounds it to a preferred number."""
    for thread in standard_threads():
        pitch = thread.pitch_mm
        if thread.standard == METRIC and thread.minor_max_mm is not None and pitch is not None:
            formula_um = 230 * pitch**0.7 if pitch >= 1 else 433 * pitch - 190 * pitch**1.22
            yield (thread.minor_max_mm - thread.minor_min_mm) * 1000 / formula_um, 1.0


def over_inserts() -> Iterator[tuple[float, float]]:
    for designation, major_mm, minor_mm in (
        ("M5x0.8 STI", 6.040, 5.174),
        ("M6x1 STI", 7.300, 6.217),
        ("M8x1.25 STI", 9.624, 8.271),
        ("M10x1.5 STI", 11.948, 10.324),
        ("M12x1.75 STI", 14.274, 12.379),
    ):
        hole = read_thread(designation)
        yield hole.nominal_mm, major_mm
        yield hole.minor_min_mm, minor_mm


CHECKS = [
    OutsideCheck(
        "metric threads, limits of class 6H",
        "ISO 965-2, from memory",
        "mm",
        0.0006,
        lambda: largest_deviation(limits_of_iso_965_2()),
    ),
    OutsideCheck(
        "metric threads, limits of class 6H in inches",
        "ASME B1.13M-2005, as the package screw-thread-lib has it",
        "in",
        # One in the fifth place of an inch, and half a micrometre for the table's own rounding.
        3e-5,
        lambda: largest_deviation(limits_of_asme_b1_13m()),
    ),
    OutsideCheck(
        "metric threads, basic minor diameter of every size of ISO 261",
        "ISO 68-1 and ISO 724, formula",
        "mm",
        1e-9,
        lambda: largest_deviation(basic_minor_diameters()),
    ),
    OutsideCheck(
        "metric threads, tolerances over the formula that the standard rounds",
        "ISO 965-1, formula of TD1, grade 6, from memory",
        "ratio",
        0.04,
        lambda: largest_deviation(tolerances_over_their_formula()),
    ),
    OutsideCheck(
        "holes for wire inserts of metric threads",
        "ASME B18.29.2M, basic dimensions, from memory",
        "mm",
        0.0015,
        lambda: largest_deviation(over_inserts()),
    ),
]


@pytest.mark.parametrize("check", CHECKS, ids=str)
def test_deviation_is_within_its_bound(check: OutsideCheck) -> None:
    assert check.deviation() <= check.bound
