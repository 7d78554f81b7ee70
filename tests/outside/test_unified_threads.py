"""Unified threads against ASME B1.1; all figures in inches."""

from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction

import pytest
from screw_thread_lib.data import ASME_UN_2A2B_dict

from cockpit.trade.series import unified_rows
from cockpit.trade.threads import SPECIAL, UNIFIED, Thread, read_thread, standard_threads
from cockpit.units import LengthUnit, in_unit
from tests.outside.checks import OutsideCheck, largest_deviation

# Designation, class, least and greatest minor diameter: ASME B1.1, table of limits of size. The
# 5/8 in rows are a whole size of it with each of its series; the others are from memory.
LIMITS = """
5/8-11 UNC 2B .527 .546   5/8-11 UNC 3B .5270 .5391   5/8-12 UN 2B .535 .553
5/8-12 UN 3B .5350 .5463  5/8-14 UNS 2B .548 .564     5/8-16 UN 2B .557 .571
5/8-16 UN 3B .5570 .5662  5/8-18 UNF 2B .565 .578     5/8-18 UNF 3B .5650 .5730
5/8-20 UN 2B .571 .582    5/8-20 UN 3B .5710 .5787    5/8-24 UNEF 2B .580 .590
5/8-24 UNEF 3B .5800 .5869  5/8-27 UNS 2B .585 .594   5/8-28 UN 2B .586 .595
5/8-28 UN 3B .5860 .5926  5/8-32 UN 2B .591 .599      5/8-32 UN 3B .5910 .5969
#4-40 UNC 2B .0849 .0939  #6-32 UNC 2B .104 .114      #8-32 UNC 2B .130 .139
#10-32 UNF 2B .156 .164   #10-32 UNF 3B .1560 .1641   1/4-20 UNC 2B .196 .207
1/4-20 UNC 3B .1960 .2067  5/16-18 UNC 1B .252 .265   5/16-18 UNC 3B .2520 .2630
3/8-16 UNC 2B .307 .321   3/8-16 UNC 3B .3070 .3182   7/16-14 UNC 2B .360 .376
1/2-13 UNC 3B .4170 .4284  3/4-16 UNF 3B .6820 .6908  1-8 UNC 2B .865 .890
1-8 UNC 3B .8650 .8797    1-12 UNF 3B .9100 .9198     1_1/2-6 UNC 2B 1.320 1.350
2-4.5 UNC 2B 1.759 1.795
"""

# ASME B1.1, the 8-thread series, class 2B: size, least and greatest minor diameter.
EIGHT_THREAD_SERIES = {
    "1 1/8": (0.9900, 1.0150),
    "1 1/4": (1.1150, 1.1400),
    "1 3/8": (1.2400, 1.2650),
    "1 1/2": (1.3650, 1.3900),
    "1 5/8": (1.4900, 1.5150),
    "1 3/4": (1.6150, 1.6400),
    "1 7/8": (1.7400, 1.7650),
    "2": (1.8650, 1.8900),
    "2 1/4": (2.1150, 2.1400),
    "2 1/2": (2.3650, 2.3900),
    "2 3/4": (2.6150, 2.6400),
    "3": (2.8650, 2.8900),
    "3 1/2": (3.3650, 3.3900),
    "4": (3.8650, 3.8900),
    "4 1/2": (4.3650, 4.3900),
}

# ASME B1.1, table of standard series, up to 1 7/8 in: the threads per inch that each size has.
SERIES_BY_SIZE = """
#0: 80 | #1: 64 72 | #2: 56 64 | #3: 48 56 | #4: 40 48 | #5: 40 44 | #6: 32 40 | #8: 32 36
#10: 24 32 | #12: 24 28 32 | 1/4: 20 28 32 | 5/16: 18 24 32 20 28 | 3/8: 16 24 32 20 28
7/16: 14 20 28 16 32 | 1/2: 13 20 28 16 32 | 9/16: 12 18 24 16 20 28 32
5/8: 11 18 24 12 16 20 28 32 | 11/16: 24 12 16 20 28 32 | 3/4: 10 16 20 12 28 32
13/16: 20 12 16 28 32 | 7/8: 9 14 20 12 16 28 32 | 15/16: 20 12 16 28 32 | 1: 8 12 20 16 28 32
1 1/16: 18 8 12 16 20 28 | 1 1/8: 7 12 18 8 16 20 28 | 1 3/16: 18 8 12 16 20 28
1 1/4: 7 12 18 8 16 20 28 | 1 5/16: 18 8 12 16 20 28 | 1 3/8: 6 12 18 8 16 20 28
1 7/16: 18 6 8 12 16 20 28 | 1 1/2: 6 12 18 8 16 20 28 | 1 9/16: 18 6 8 12 16 20
1 5/8: 18 6 8 12 16 20 | 1 11/16: 18 6 8 12 16 20 | 1 3/4: 5 6 8 12 16 20
1 13/16: 6 8 12 16 20 | 1 7/8: 6 8 12 16 20
"""


def limits_in(designation: str) -> tuple[float, float]:
    thread = read_thread(designation)
    assert thread.minor_max_mm is not None
    return (
        in_unit(thread.minor_min_mm, LengthUnit.INCH),
        in_unit(thread.minor_max_mm, LengthUnit.INCH),
    )


def from_the_package() -> Iterator[tuple[float, float]]:
    for name, row in ASME_UN_2A2B_dict.items():
        designation = f"{name} {row['series']}"
        yield in_unit(read_thread(designation).nominal_mm, LengthUnit.INCH), row["dbsc"]
        yield from zip(limits_in(designation), (row["D1min"], row["D1max"]), strict=True)


def from_the_tables() -> Iterator[tuple[float, float]]:
    fields = iter(LIMITS.split())
    for size, series, grade, least, greatest in zip(*[fields] * 5, strict=True):
        ours = limits_in(f"{size.replace('_', ' ')} {series}-{grade}")
        yield from zip(ours, (float(least), float(greatest)), strict=True)
    for size, limits in EIGHT_THREAD_SERIES.items():
        yield from zip(limits_in(f"{size}-8"), limits, strict=True)


def by_the_formulas(diameter: Decimal, tpi: Decimal, grade: str) -> tuple[float, float]:
    """ASME B1.1, formulas for the internal minor diameter and its tolerance, from memory."""
    p = 1 / tpi
    by_size = Decimal("0.05") * p ** (Decimal(2) / 3) + Decimal("0.03") * p / diameter
    by_size = min(by_size - Decimal("0.002"), Decimal("0.394") * p)
    if grade == "3B":
        fine = Decimal("0.23") * p - Decimal("1.5") * p * p
        tolerance = max(by_size, fine if tpi >= 13 else Decimal("0.120") * p)
    elif diameter < Decimal("0.25"):
        tolerance = max(by_size, Decimal("0.25") * p - Decimal("0.4") * p * p)
    elif tpi >= 4:
        tolerance = Decimal("0.25") * p - Decimal("0.4") * p * p
    else:
        tolerance = Decimal("0.15") * p
    least = diameter - Decimal("1.25") * Decimal(3).sqrt() / 2 * p
    return float(least), float(least + tolerance)


def diameter_in(size: str) -> Decimal:
    if size.startswith("#"):
        return Decimal("0.060") + Decimal("0.013") * int(size[1:])
    exact = sum(map(Fraction, size.split()), Fraction(0))
    return Decimal(exact.numerator) / exact.denominator


def over_all_series() -> Iterator[tuple[float, float]]:
    for row in unified_rows():
        size, _, tpi = row.designation.partition(" UN")[0].rpartition("-")
        for grade in ("1B", "2B", "3B"):
            ours = limits_in(f"{row.designation}-{grade}")
            theirs = by_the_formulas(diameter_in(size), Decimal(tpi), grade)
            yield from zip(ours, theirs, strict=True)


def over_inserts() -> Iterator[tuple[float, float]]:
    for designation, major, minor in (
        ("#10-32 UNF STI", 0.2306, 0.1968),
        ("1/4-20 UNC STI", 0.3150, 0.2608),
        ("3/8-16 UNC STI", 0.4562, 0.3885),
        ("1/2-13 UNC STI", 0.5999, 0.5167),
    ):
        hole = read_thread(designation)
        yield in_unit(hole.nominal_mm, LengthUnit.INCH), major
        yield in_unit(hole.minor_min_mm, LengthUnit.INCH), minor


CHECKS = [
    OutsideCheck(
        "unified threads, limits of class 2B",
        "ASME B1.1-2019, as the package screw-thread-lib has it",
        "in",
        0.0006,
        lambda: largest_deviation(from_the_package()),
    ),
    OutsideCheck(
        "unified threads, limits of classes 1B, 2B and 3B",
        "ASME B1.1, table of limits of size, in part from memory",
        "in",
        0.0006,
        lambda: largest_deviation(from_the_tables()),
    ),
    OutsideCheck(
        "unified threads, formulas over every size of every series",
        "ASME B1.1, formulas, from memory, in exact inches",
        "in",
        1e-9,
        lambda: largest_deviation(over_all_series()),
    ),
    OutsideCheck(
        "holes for wire inserts of unified threads",
        "ASME B18.29.1, basic dimensions, from memory",
        "in",
        0.0001,
        lambda: largest_deviation(over_inserts()),
    ),
]


@pytest.mark.parametrize("check", CHECKS, ids=str)
def test_deviation_is_within_its_bound(check: OutsideCheck) -> None:
    assert check.deviation() <= check.bound


@pytest.mark.parametrize("name", ASME_UN_2A2B_dict)
def test_the_package_names_the_same_series(name: str) -> None:
    series = ASME_UN_2A2B_dict[name]["series"]
    if series == "UNS":
        assert read_thread(f"{name} UNS").series == SPECIAL
    else:
        assert read_thread(name).series == series


def pitches_by_size() -> dict[str, list[float]]:
    """Every size of the table, with its threads per inch from the coarsest."""
    entries = SERIES_BY_SIZE.replace("\n", "|").strip("|").split("|")
    by_size = (entry.strip().partition(": ") for entry in entries)
    return {size: sorted(map(float, pitches.split())) for size, _, pitches in by_size}


def size_and_tpi(thread: Thread) -> tuple[str, float]:
    size, _, tpi = thread.designation.partition(" UN")[0].rpartition("-")
    return size, float(tpi)


def test_every_size_has_the_pitches_of_the_standard_and_no_others() -> None:
    ours: dict[str, list[float]] = {}
    for thread in standard_threads():
        if thread.standard == UNIFIED and thread.nominal_mm <= 1.875 * 25.4:
            size, tpi = size_and_tpi(thread)
            ours.setdefault(size, []).append(tpi)
    assert {size: sorted(pitches) for size, pitches in ours.items()} == pitches_by_size()


def test_only_a_size_that_is_not_checked_here_is_said_to_be_from_memory() -> None:
    checked = pitches_by_size()
    for thread in standard_threads():
        if thread.standard == UNIFIED:
            size, _ = size_and_tpi(thread)
            assert ("from memory" in thread.sources["nominal_mm"]) == (size not in checked)
