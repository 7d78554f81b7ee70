"""Threads: the wall that has to survive, read from the designation on the print.

What matters here is the minor diameter of the *internal* thread, the crests that the burn must
never reach. Sources: ASME B1.1 (UNC, UNF), ISO 68-1, ISO 261, ISO 724 and ISO 965-1 (metric),
their formulas and tables from memory.
"""

import re
from collections.abc import Iterator
from functools import cache
from math import log, sqrt
from typing import Final

from cockpit.trade.base import Frozen
from cockpit.trade.errors import TicketError
from cockpit.units import LengthUnit, UnitsError, in_unit, read_length_mm

UNIFIED: Final = "ASME B1.1"
METRIC: Final = "ISO 261, ISO 965-1"
PLAIN: Final = "plain bore"
SPECIAL: Final = "special"

# H = sqrt(3)/2 P, and the minor diameter lies 5/8 H inside on either side (ISO 68-1, ASME B1.1).
_MINOR_PER_PITCH: Final = 1.25 * sqrt(3) / 2

# ASME B1.1, table of standard series, from memory: size, then threads per inch.
_UNC: Final = (
    "#1-64 #2-56 #3-48 #4-40 #5-40 #6-32 #8-32 #10-24 #12-24 1/4-20 5/16-18 3/8-16 7/16-14 "
    "1/2-13 9/16-12 5/8-11 3/4-10 7/8-9 1-8 1_1/8-7 1_1/4-7 1_3/8-6 1_1/2-6 1_3/4-5 2-4.5 "
    "2_1/4-4.5 2_1/2-4 2_3/4-4 3-4 3_1/4-4 3_1/2-4 3_3/4-4 4-4"
)
_UNF: Final = (
    "#0-80 #1-72 #2-64 #3-56 #4-48 #5-44 #6-40 #8-36 #10-32 #12-28 1/4-28 5/16-24 3/8-24 7/16-20 "
    "1/2-20 9/16-18 5/8-18 3/4-16 7/8-14 1-12 1_1/8-12 1_1/4-12 1_3/8-12 1_1/2-12"
)

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
    "60 62 64 65 68",
    2: "18 20 22 24 25 27 28 30 32 33 36 39 40 42 45 48 50 52 55 56 58 60 62 64 65 68",
    3: "30 33 36 39 40 42 45 48 50 52 55 56 58 60 62 64 65 68",
    4: "42 45 48 52 55 56 58 60 62 64 65 68",
}

# ISO 965-1, tolerance TD1 of the internal minor diameter, grade 6, in micrometres by pitch in
# mm, from memory. Pitches 0.2, 0.25 and 0.3 are left out, as their figures are not confirmed.
_TD1_GRADE_6_UM: Final = {
    0.35: 100,
    0.4: 112,
    0.45: 125,
    0.5: 140,
    0.6: 160,
    0.7: 180,
    0.75: 190,
    0.8: 200,
    1: 236,
    1.25: 265,
    1.5: 300,
    1.75: 335,
    2: 375,
    2.5: 450,
    3: 500,
    3.5: 560,
    4: 600,
    4.5: 670,
    5: 710,
    5.5: 750,
    6: 800,
}

_UNIFIED_TEXT: Final = re.compile(
    r"""(?P<hash>\#|NO\.?\s*)?(?P<size>\d{1,2}(?:\s+|-)\d{1,2}/\d{1,2}|\d{1,2}/\d{1,2}|\d*\.\d+|\d{1,2})
    \s*(?:IN\b|")?\s*-\s*(?P<tpi>\d{1,2}(?:\.\d)?)
    (?:\s*-?\s*(?P<series>UN[A-Z]{0,2}))?(?:\s*-?\s*(?P<grade>[123]B))?""",
    re.VERBOSE | re.ASCII,
)
_METRIC_TEXT: Final = re.compile(
    r"M\s*(?P<size>\d{1,3}(?:\.\d{1,2})?)(?:\s*[X*]\s*(?P<pitch>\d{1,2}(?:\.\d{1,3})?|\.\d{1,3}))?"
    r"(?:\s*-?\s*(?P<grade>[4-8]H))?",
    re.ASCII,
)
_PLAIN_TEXT: Final = re.compile(
    r"(?P<word>PIN|DOWEL|DRILL|BORE|HOLE)\s+(?P<size>[\w\s./\"'\N{DOUBLE PRIME}-]{1,30})"
)
_WIDEST_BORE_MM: Final = 500.0


class ThreadError(TicketError):
    """A thread that cannot be read or does not exist; says which ones are near."""

    def __init__(self, sentence: str) -> None:
        """Keep the sentence; the field at fault is always the thread."""
        super().__init__(sentence, field="thread")


class Thread(Frozen):
    """An internal thread or a plain bore; lengths in mm.

    ``minor_min_mm`` is the wall that the burn must not reach: the least minor diameter, or the
    bore itself where there is no thread (``pitch_mm`` is None then). ``minor_max_mm`` is None where
    no tolerance is confirmed.
    """

    designation: str
    standard: str
    series: str
    nominal_mm: float
    pitch_mm: float | None
    minor_min_mm: float
    minor_max_mm: float | None
    thread_class: str | None
    taper: float = 0.0
    nominal_source: str = "TMP"
    pitch_source: str = "TMP"
    minor_min_source: str = "TMP"
    minor_max_source: str = "TMP"
    is_for_insert: bool = False

    def minor_at_mm(self, depth_mm: float) -> float:
        """TMP."""
        return self.minor_min_mm - self.taper * depth_mm


def minor_min_mm(nominal_mm: float, pitch_mm: float) -> float:
    """Give the least minor diameter of an internal 60 degree thread, in mm: D - 1.25 H.

    Source: ISO 724 and ASME B1.1, where H = sqrt(3)/2 P, so D - 1.0825318 P.

    >>> round(minor_min_mm(10, 1.5), 3)
    8.376
    """
    return nominal_mm - _MINOR_PER_PITCH * pitch_mm


def unified_tolerance_mm(nominal_mm: float, pitch_mm: float, grade: str = "2B") -> float:
    """Give the tolerance of the internal minor diameter of a unified thread, in mm.

    Source: ASME B1.1, formulas in inches by class (1B, 2B, 3B), from memory; they reproduce the
    standard's tables to 0.0006 in.

    >>> round(in_unit(unified_tolerance_mm(6.35, 1.27), LengthUnit.INCH), 4)  # 1/4-20 UNC-2B
    0.0115
    """
    d, p = in_unit(nominal_mm, LengthUnit.INCH), in_unit(pitch_mm, LengthUnit.INCH)
    by_size = min(0.05 * p ** (2 / 3) + 0.03 * p / d - 0.002, 0.394 * p)
    if grade == "3B":
        # 13 threads an inch is the coarsest of the fine half; 12.5 stands between it and 12.
        tolerance = max(by_size, 0.23 * p - 1.5 * p**2 if p < 1 / 12.5 else 0.120 * p)
    elif d < 0.25:
        tolerance = max(by_size, 0.25 * p - 0.4 * p**2)
    else:
        tolerance = 0.25 * p - 0.4 * p**2 if p <= 0.25 else 0.15 * p
    return _inches(tolerance)


def read_thread(text: str, *, special: bool = False) -> Thread:
    """Read a thread or plain bore from its designation, in upper or lower case.

    Unified (``1/4-20``, ``1/4-20 UNC-2B``, ``#10-32``, ``0.250-20``, ``1 1/4-7``), metric (``M8``,
    ``M8x1``, ``M10x1.5-6H``), or a plain bore (``pin 8 mm``, ``drill 1/4``). A thread that no
    standard series has is refused with the nearest that exist, unless it is ``special``.

    >>> read_thread("m8").designation, read_thread("10-32").designation
    ('M8x1.25', '#10-32 UNF')
    >>> read_thread("M10x1.4")
    Traceback (most recent call last):
    cockpit.trade.threads.ThreadError: No standard series has M10x1.4: the nearest are M10x1.5, \
M10x1.25, M10x1; say special to have it anyway.
    """
    plain = re.sub(r"[\N{MULTIPLICATION SIGN}]", "X", " ".join(text.upper().split()))
    if found := _METRIC_TEXT.fullmatch(plain):
        return _read_metric(found, special)
    if found := _UNIFIED_TEXT.fullmatch(plain):
        return _read_unified(found, special)
    if found := _PLAIN_TEXT.fullmatch(plain):
        return _read_plain(found)
    shown = "".join(c if c.isprintable() else "?" for c in text[:30])
    raise ThreadError(
        f'"{shown}" is not a thread the cockpit can read: '
        "write it like M10x1.5, 1/4-20 UNC, #10-32 or pin 8 mm."
    )


@cache
def standard_threads() -> tuple[Thread, ...]:
    """Give every thread of the series UNC, UNF, metric coarse and metric fine, in class 2B or 6H.

    >>> len(standard_threads()) > 100
    True
    """
    return tuple(_all_standard())


def _all_standard() -> Iterator[Thread]:
    for series, sizes in (("UNC", _UNC), ("UNF", _UNF)):
        for size, _, tpi in (entry.rpartition("-") for entry in sizes.split()):
            yield _unified(size.replace("_", " "), float(tpi), series, "2B")
    for series, by_pitch in (("metric coarse", _COARSE), ("metric fine", _FINE)):
        for pitch, diameters in by_pitch.items():
            for diameter in diameters.split():
                yield _metric(float(diameter), pitch, series, "6H")


def _unified(size: str, tpi: float, series: str, grade: str) -> Thread:
    """Make a unified thread; ``size`` is ``#10`` or inches such as ``1 1/4``."""
    nominal_mm, pitch_mm = _size_mm(size), _inches(1 / tpi)
    designation = f"{size}-{tpi:g}" + ("" if series == SPECIAL else f" {series}")
    minor_mm = _sound_minor_mm(designation, nominal_mm, pitch_mm)
    return Thread(
        designation=designation,
        standard=UNIFIED,
        series=series,
        nominal_mm=nominal_mm,
        pitch_mm=pitch_mm,
        minor_min_mm=minor_mm,
        minor_max_mm=minor_mm + unified_tolerance_mm(nominal_mm, pitch_mm, grade),
        thread_class=grade,
    )


def _metric(nominal_mm: float, pitch_mm: float, series: str, grade: str) -> Thread:
    """Make a metric thread; its greatest minor diameter is known for class 6H alone."""
    designation = f"M{nominal_mm:g}x{pitch_mm:g}"
    minor_mm = _sound_minor_mm(designation, nominal_mm, pitch_mm)
    tolerance_um = _TD1_GRADE_6_UM.get(pitch_mm) if grade == "6H" else None
    return Thread(
        designation=designation,
        standard=METRIC,
        series=series,
        nominal_mm=nominal_mm,
        pitch_mm=pitch_mm,
        minor_min_mm=minor_mm,
        minor_max_mm=None if tolerance_um is None else minor_mm + tolerance_um / 1000,
        thread_class=grade,
    )


def _sound_minor_mm(designation: str, nominal_mm: float, pitch_mm: float) -> float:
    """Give the minor diameter; refuse a pitch so coarse that next to no core is left."""
    minor_mm = minor_min_mm(nominal_mm, pitch_mm)
    if minor_mm < nominal_mm / 2:
        raise ThreadError(
            f"{designation} cannot be: its pitch is too coarse for its diameter; look at the print."
        )
    return minor_mm


def _read_metric(found: re.Match[str], special: bool) -> Thread:
    nominal_mm, pitch_mm = float(found["size"]), float(found["pitch"] or 0)
    grade = found["grade"] or "6H"
    for thread in standard_threads():
        # A designation without a pitch means the coarse one (ISO 261).
        same_pitch = thread.pitch_mm == pitch_mm if pitch_mm else thread.series == "metric coarse"
        if thread.standard == METRIC and thread.nominal_mm == nominal_mm and same_pitch:
            return _metric(nominal_mm, thread.pitch_mm or pitch_mm, thread.series, grade)
    if special and pitch_mm and nominal_mm:
        return _metric(nominal_mm, pitch_mm, SPECIAL, grade)
    wanted = f"M{nominal_mm:g}" + (f"x{pitch_mm:g}" if pitch_mm else "")
    raise _no_such_thread(wanted, METRIC, nominal_mm, pitch_mm)


def _read_unified(found: re.Match[str], special: bool) -> Thread:
    tpi, series, grade = float(found["tpi"]), found["series"], found["grade"] or "2B"
    sizes = _possible_sizes(found["size"], numbered=bool(found["hash"]))
    wanted_mm = [_size_mm(size) for size in sizes]
    for thread in standard_threads():
        if (
            thread.standard == UNIFIED
            and series in (None, thread.series)
            and any(abs(thread.nominal_mm - mm) < 0.001 for mm in wanted_mm)
            and abs((thread.pitch_mm or 0.0) * tpi - _inches(1)) < 1e-6
        ):
            return _unified(thread.designation.rpartition("-")[0], tpi, thread.series, grade)
    # Whole inches are never cut finer than 20 threads an inch; a bare 8-40 is a number size.
    size = sizes[0] if tpi > 20 else sizes[-1]
    if special and tpi and _size_mm(size):
        return _unified(size, tpi, SPECIAL, grade)
    wanted = f"{size}-{tpi:g}" + (f" {series}" if series else "")
    raise _no_such_thread(wanted, UNIFIED, _size_mm(size), _inches(1 / tpi) if tpi else 0.0)


def _possible_sizes(size: str, *, numbered: bool) -> tuple[str, ...]:
    """Give the sizes that a typed one may mean: a bare whole number is a number size or inches."""
    inches = " ".join(size.replace("-", " ").split())
    if not size.isdigit():
        return (inches,)
    return (f"#{int(size)}",) if numbered else (f"#{int(size)}", inches)


def _size_mm(size: str) -> float:
    """Give the nominal diameter of a unified size, ``#10`` or inches."""
    if size.startswith("#"):
        # ASME B1.1: number size n has the major diameter 0.060 + 0.013 n in.
        return _inches(0.060 + 0.013 * int(size[1:]))
    return _typed_mm(size)


def _read_plain(found: re.Match[str]) -> Thread:
    word, size = found["word"].lower(), found["size"].lower()
    is_fraction = re.fullmatch(r"[\d\s/-]+", size) is not None and "/" in size
    if not is_fraction and re.search(r"[a-z\"]", size) is None:
        raise ThreadError(
            f'"{word} {size}" lacks a unit: write {word} {size} mm or {word} {size} in.'
        )
    # Nobody writes a metric bore as a fraction: 1/4 alone is inches.
    nominal_mm = _typed_mm(size)
    if not 0 < nominal_mm <= _WIDEST_BORE_MM:
        raise ThreadError(f'"{word} {size}" is no bore to burn in: write it like pin 8 mm.')
    return Thread(
        designation=f"{word} {size} in" if is_fraction else f"{word} {size}",
        standard=PLAIN,
        series=PLAIN,
        nominal_mm=nominal_mm,
        pitch_mm=None,
        minor_min_mm=nominal_mm,
        minor_max_mm=None,
        thread_class=None,
    )


def _typed_mm(size: str) -> float:
    """Read a size as typed, bare numbers in inches; a length that is none is no thread either."""
    try:
        return read_length_mm(size, LengthUnit.INCH)
    except UnitsError as error:
        raise ThreadError(str(error)) from None


def _inches(inches: float) -> float:
    """Give a length in inches as mm."""
    return read_length_mm(inches, LengthUnit.INCH)


def _no_such_thread(wanted: str, standard: str, nominal_mm: float, pitch_mm: float) -> ThreadError:
    """Say that no series has the thread, and which three standard ones are nearest to it."""

    def distance(thread: Thread) -> float:
        # The diameter counts ten times the pitch: a print is seldom wrong about the size.
        size = abs(log(thread.nominal_mm / nominal_mm)) if nominal_mm else 0.0
        pitch = abs(log((thread.pitch_mm or 1.0) / pitch_mm)) if pitch_mm else 0.0
        return 10 * size + pitch

    # Where no pitch was written the coarse one was meant, so fine ones are no help.
    known = [
        thread
        for thread in standard_threads()
        if thread.standard == standard and (pitch_mm or thread.series != "metric fine")
    ]
    nearest = ", ".join(thread.designation for thread in sorted(known, key=distance)[:3])
    anyway = "; say special to have it anyway" if nominal_mm and pitch_mm else ""
    return ThreadError(f"No standard series has {wanted}: the nearest are {nearest}{anyway}.")
