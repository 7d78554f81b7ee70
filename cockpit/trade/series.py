"""The standard series of threads as plain tables: which sizes exist, and with which pitches.

Inch sizes are whole numbers of ten-thousandths of an inch here, so that every one of them is exact.
Nothing is worked out but the tables themselves; ``threads`` turns one entry into a thread.
"""

from collections.abc import Iterable, Iterator
from fractions import Fraction
from math import log
from typing import Final, NamedTuple

TENTHS_PER_INCH: Final = 10_000
"""Ten-thousandths of an inch, the "tenths" of a machine shop."""

UNIFIED_CHECKED_TO_MM: Final = 47.625
"""The greatest nominal diameter, 1 7/8 in, to which the unified series were checked against the
table of ASME B1.1; those beyond are from memory."""

# ASME B1.1, table of standard series: size, then threads per inch.
_NAMED_SERIES: Final = {
    "UNC": "#1-64 #2-56 #3-48 #4-40 #5-40 #6-32 #8-32 #10-24 #12-24 1/4-20 5/16-18 3/8-16 7/16-14 "
    "1/2-13 9/16-12 5/8-11 3/4-10 7/8-9 1-8 1_1/8-7 1_1/4-7 1_3/8-6 1_1/2-6 1_3/4-5 2-4.5 "
    "2_1/4-4.5 2_1/2-4 2_3/4-4 3-4 3_1/4-4 3_1/2-4 3_3/4-4 4-4",
    "UNF": "#0-80 #1-72 #2-64 #3-56 #4-48 #5-44 #6-40 #8-36 #10-32 #12-28 1/4-28 5/16-24 3/8-24 "
    "7/16-20 1/2-20 9/16-18 5/8-18 3/4-16 7/8-14 1-12 1_1/8-12 1_1/4-12 1_3/8-12 1_1/2-12",
    "UNEF": "#12-32 1/4-32 5/16-32 3/8-32 7/16-28 1/2-28 9/16-24 5/8-24 11/16-24 3/4-20 13/16-20 "
    "7/8-20 15/16-20 1-20 1_1/16-18 1_1/8-18 1_3/16-18 1_1/4-18 1_5/16-18 1_3/8-18 1_7/16-18 "
    "1_1/2-18 1_9/16-18 1_5/8-18 1_11/16-18",
}

# The same table: each series of constant pitch runs from its first to its last size over the
# sizes below, sixteenths up to 2 in and eighths from there to 6 in.
_CONSTANT_PITCH: Final = {
    4: ("2 1/2", "6"),
    6: ("1 3/8", "6"),
    8: ("1", "6"),
    12: ("9/16", "6"),
    16: ("3/8", "6"),
    20: ("1/4", "3"),
    28: ("1/4", "1 1/2"),
    32: ("1/4", "1"),
}
_STEPS: Final = (*range(2_500, 20_000, 625), *range(20_000, 60_001, 1_250))

# ISO 261, from memory: pitch in mm, then the nominal diameters that have it.
_COARSE: Final = {
    0.25: "1 1.1 1.2",
    0.3: "1.4",
    0.35: "1.6 1.8",
    0.4: "2",
    0.45: "2.2 2.5",
    0.5: "3",
    0.6: "3.5",
    0.7: "4",
    0.75: "4.5",
    0.8: "5",
    1: "6 7",
    1.25: "8 9",
    1.5: "10 11",
    1.75: "12",
    2: "14 16",
    2.5: "18 20 22",
    3: "24 27",
    3.5: "30 33",
    4: "36 39",
    4.5: "42 45",
    5: "48 52",
    5.5: "56 60",
    6: "64 68",
}
_FINE: Final = {
    0.2: "1 1.1 1.2 1.4 1.6 1.8",
    0.25: "2 2.2",
    0.35: "2.5 3 3.5",
    0.5: "4 4.5 5 5.5",
    0.75: "6 7 8 9 10 11",
    1: "8 9 10 11 12 14 15 16 17 18 20 22 24 25 27 28 30",
    1.25: "10 12 14",
    1.5: "12 14 15 16 17 18 20 22 24 25 26 27 28 30 32 33 35 36 38 39 40 42 45 48 50 52 55 56 58 "
    "60 62 64 65 68 70 72 75 76 80",
    2: "18 20 22 24 25 27 28 30 32 33 36 39 40 42 45 48 50 52 55 56 58 60 62 64 65 68 70 72 75 76 "
    "78 80 82 85 90 95 100",
    3: "30 33 36 39 40 42 45 48 50 52 55 56 58 60 62 64 65 68 70 72 75 76 80 85 90 95 100",
    4: "42 45 48 52 55 56 58 60 62 64 65 68 70 72 75 76 80 85 90 95 100",
    6: "70 72 76 80 85 90 95 100",
}

PARALLEL_PIPE_CHECKED_TO_MM: Final = 87.884
"""The greatest major diameter, that of G3, to which the parallel pipe threads were checked against
the table of ISO 228-1; those beyond are from memory."""

PARALLEL_PIPE: Final = {
    "1/16": (7.723, 28),
    "1/8": (9.728, 28),
    "1/4": (13.157, 19),
    "3/8": (16.662, 19),
    "1/2": (20.955, 14),
    "5/8": (22.911, 14),
    "3/4": (26.441, 14),
    "7/8": (30.201, 14),
    "1": (33.249, 11),
    "1 1/8": (37.897, 11),
    "1 1/4": (41.910, 11),
    "1 1/2": (47.803, 11),
    "1 3/4": (53.746, 11),
    "2": (59.614, 11),
    "2 1/4": (65.710, 11),
    "2 1/2": (75.184, 11),
    "2 3/4": (81.534, 11),
    "3": (87.884, 11),
    "3 1/2": (100.330, 11),
    "4": (113.030, 11),
    "4 1/2": (125.730, 11),
    "5": (138.430, 11),
    "5 1/2": (151.130, 11),
    "6": (163.830, 11),
}
"""ISO 228-1, table of dimensions: size, then major diameter in mm and threads an inch."""

TAPER_PIPE: Final = {
    "1/16": (0.3125, 27, 0.1600),
    "1/8": (0.405, 27, 0.1615),
    "1/4": (0.540, 18, 0.2278),
    "3/8": (0.675, 18, 0.240),
    "1/2": (0.840, 14, 0.320),
    "3/4": (1.050, 14, 0.339),
    "1": (1.315, 11.5, 0.400),
    "1 1/4": (1.660, 11.5, 0.420),
    "1 1/2": (1.900, 11.5, 0.420),
    "2": (2.375, 11.5, 0.436),
    "2 1/2": (2.875, 8, 0.682),
    "3": (3.500, 8, 0.766),
    "3 1/2": (4.000, 8, 0.821),
    "4": (4.500, 8, 0.844),
    "5": (5.563, 8, 0.937),
    "6": (6.625, 8, 0.958),
}
"""ASME B1.20.1, basic dimensions of NPT: size, then outside diameter of the pipe in inches, threads
per inch, and the length of hand-tight engagement L1 in inches."""


class Row(NamedTuple):
    """A standard thread as its table has it.

    ``size`` and ``pitch`` are in one unit, the table's own, and serve to tell what is near.
    """

    designation: str
    series: str
    size: float
    pitch: float


def tenths(size: str) -> int:
    """Give a unified size in ten-thousandths of an inch: ``#10``, ``1/4`` or ``1 1/4``.

    ASME B1.1: number size n has the major diameter 0.060 + 0.013 n in.

    >>> tenths("#10"), tenths("1 1/4")
    (1900, 12500)
    """
    if size.startswith("#"):
        return 600 + 130 * int(size[1:])
    return int(sum(map(Fraction, size.split())) * TENTHS_PER_INCH)


def mixed_number(inches: Fraction) -> str:
    """Write inches as a shop does, whole and fraction apart.

    >>> mixed_number(Fraction(9, 8)), mixed_number(Fraction(1, 4)), mixed_number(Fraction(2))
    ('1 1/8', '1/4', '2')
    """
    whole, part = divmod(inches, 1)
    return " ".join(str(number) for number in (whole, part) if number) or "0"


def _named() -> Iterator[tuple[str, int, float]]:
    for series, entries in _NAMED_SERIES.items():
        for name, _, tpi in (entry.rpartition("-") for entry in entries.split()):
            yield series, tenths(name.replace("_", " ")), float(tpi)


def _constant() -> Iterator[tuple[str, int, float]]:
    for tpi, (first, last) in _CONSTANT_PITCH.items():
        lowest, highest = tenths(first), tenths(last)
        for size in _STEPS:
            if lowest <= size <= highest:
                yield f"{tpi}-UN", size, float(tpi)


SIZE_NAMES: Final = {tenths(f"#{n}"): f"#{n}" for n in (0, 1, 2, 3, 4, 5, 6, 8, 10, 12)} | {
    size: mixed_number(Fraction(size, TENTHS_PER_INCH)) for size in _STEPS
}
"""The sizes of ASME B1.1 by ten-thousandths of an inch: ``{2500: "1/4", 1900: "#10", ...}``."""

UNIFIED_SERIES: Final = {(size, tpi): series for series, size, tpi in _constant()} | {
    # Where a size of constant pitch is also UNC, UNF or UNEF, that is its name (ASME B1.1).
    (size, tpi): series
    for series, size, tpi in _named()
}
"""The unified series by size in ten-thousandths of an inch and threads per inch."""

NAMED_TPI: Final = {(size, series): tpi for series, size, tpi in _named()}
"""The threads per inch of UNC, UNF and UNEF by size in ten-thousandths of an inch and series."""

METRIC_SERIES: Final = {
    (float(diameter), float(pitch)): series
    for series, by_pitch in (("metric fine", _FINE), ("metric coarse", _COARSE))
    for pitch, diameters in by_pitch.items()
    for diameter in diameters.split()
}
"""The metric series by nominal diameter and pitch in mm."""

COARSE_PITCH_MM: Final = {
    diameter: pitch for (diameter, pitch), series in METRIC_SERIES.items() if "coarse" in series
}
"""The coarse pitch in mm by nominal diameter in mm: what a designation without a pitch means."""


METRIC_SPAN_MM: Final = (min(METRIC_SERIES)[0], max(METRIC_SERIES)[0])
"""The least and the greatest nominal diameter of these tables in mm: ISO 261 goes on beyond."""


def fine_pitches_mm(diameter_mm: float) -> tuple[float, ...]:
    """Give the fine pitches in mm of a nominal diameter in mm, the coarsest first.

    >>> fine_pitches_mm(10), fine_pitches_mm(6)
    ((1.25, 1.0, 0.75), (0.75,))
    """
    return tuple(
        pitch
        for (diameter, pitch), series in reversed(METRIC_SERIES.items())
        if diameter == diameter_mm and series == "metric fine"
    )


def near_size(size: float) -> int | None:
    """Give the size of ASME B1.1 that a size in ten-thousandths of an inch means, if any.

    A decimal size is often written to three places, so half a thousandth either way is the same.

    >>> near_size(3120), near_size(3130), near_size(3100)
    (3125, 3125, None)
    """
    return next((known for known in SIZE_NAMES if abs(known - size) <= 5), None)


def is_constant_pitch(tpi: float) -> bool:
    """Tell whether a series of constant pitch has these threads per inch.

    >>> is_constant_pitch(8), is_constant_pitch(18)
    (True, False)
    """
    return tpi in _CONSTANT_PITCH


def unified_name(size: str, tpi: float, series: str) -> str:
    """Give the designation of a unified thread; every series of constant pitch is plain UN.

    >>> unified_name("1 1/8", 8, "8-UN"), unified_name("2", 4.5, "UNC")
    ('1 1/8-8 UN', '2-4.5 UNC')
    """
    return f"{size}-{tpi:g} {series.rpartition('-')[2]}"


def unified_rows() -> Iterator[Row]:
    """Give the standard unified threads; sizes and pitches in inches."""
    for (size, tpi), series in UNIFIED_SERIES.items():
        name = unified_name(SIZE_NAMES[size], tpi, series)
        yield Row(name, series, size / TENTHS_PER_INCH, 1 / tpi)


def metric_rows() -> Iterator[Row]:
    """Give the standard metric threads; sizes and pitches in mm."""
    for (diameter, pitch), series in METRIC_SERIES.items():
        yield Row(f"M{diameter:g}x{pitch:g}", series, diameter, pitch)


def parallel_pipe_rows() -> Iterator[Row]:
    """Give the parallel pipe threads; nominal sizes and pitches in inches."""
    for size, (_, tpi) in PARALLEL_PIPE.items():
        yield Row(f"G{size}", "G", tenths(size) / TENTHS_PER_INCH, 1 / tpi)


def taper_pipe_rows() -> Iterator[Row]:
    """Give the taper pipe threads; nominal sizes and pitches in inches."""
    for size, (_, tpi, _) in TAPER_PIPE.items():
        yield Row(f"{size}-{tpi:g} NPT", "NPT", tenths(size) / TENTHS_PER_INCH, 1 / tpi)


def nearest(
    rows: Iterable[Row], size: float, pitch: float, series: str | None = None
) -> tuple[str, ...]:
    """Give the designations of the three rows nearest to a size and pitch in the rows' unit.

    A size or pitch of 0 was not said. A row of the ``series`` that was said counts as nearer.

    >>> nearest(metric_rows(), 10, 1.4)
    ('M10x1.5', 'M10x1.25', 'M10x1')
    """

    def distance(row: Row) -> float:
        # The diameter counts ten times the pitch: a print is seldom wrong about the size.
        by_size = abs(log(row.size / size)) if size else 0.0
        by_pitch = abs(log(row.pitch / pitch)) if pitch else 0.0
        return 10 * by_size + by_pitch + (0.25 if series not in (None, row.series) else 0.0)

    return tuple(row.designation for row in sorted(rows, key=distance)[:3])
