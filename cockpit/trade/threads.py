"""Threads: the wall that has to survive, read from the designation on the print.

What matters here is the minor diameter of the *internal* thread, the crests that the burn must
never reach. Sources, from memory where it is said beside a figure: ASME B1.1 (unified), ISO 68-1,
ISO 261, ISO 724 and ISO 965-1 (metric), ISO 228-1 (parallel pipe), ASME B1.20.1 (taper pipe),
ASME B18.29.1 and B18.29.2M (tapped holes for wire inserts).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import chain
from math import inf, sqrt
from typing import Final, NamedTuple

from cockpit.trade.base import Frozen
from cockpit.trade.designations import (
    Designation,
    InchSize,
    Marks,
    MetricText,
    PipeText,
    PlainText,
    SeriesText,
    ThreadError,
    UnifiedText,
    read_designation,
)
from cockpit.trade.series import (
    COARSE_PITCH_MM,
    METRIC_SERIES,
    METRIC_SPAN_MM,
    NAMED_TPI,
    PARALLEL_PIPE,
    PARALLEL_PIPE_CHECKED_TO_MM,
    SIZE_NAMES,
    TAPER_PIPE,
    TENTHS_PER_INCH,
    UNIFIED_CHECKED_TO_MM,
    UNIFIED_SERIES,
    Row,
    fine_pitches_mm,
    is_constant_pitch,
    metric_rows,
    nearest,
    parallel_pipe_rows,
    taper_pipe_rows,
    tenths,
    unified_name,
    unified_rows,
)
from cockpit.units import LengthUnit, UnitsError, in_unit, read_length_mm

__all__ = [
    "INSERT_METRIC",
    "INSERT_UNIFIED",
    "METRIC",
    "PARALLEL_PIPE_STANDARD",
    "PLAIN",
    "SPECIAL",
    "TAPER_PIPE_STANDARD",
    "UNIFIED",
    "Thread",
    "ThreadError",
    "minor_min_mm",
    "read_thread",
    "standard_threads",
    "unified_tolerance_mm",
]

UNIFIED: Final = "ASME B1.1"
METRIC: Final = "ISO 261, ISO 965-1"
PARALLEL_PIPE_STANDARD: Final = "ISO 228-1"
TAPER_PIPE_STANDARD: Final = "ASME B1.20.1"
INSERT_UNIFIED: Final = "ASME B18.29.1"
INSERT_METRIC: Final = "ASME B18.29.2M"
PLAIN: Final = "plain bore"
SPECIAL: Final = "special"

# H = sqrt(3)/2 P is the height of the 60 degree triangle (ISO 68-1, ASME B1.1).
_TRIANGLE_PER_PITCH: Final = sqrt(3) / 2

# ISO 228-1: 55 degree Whitworth form, so the minor diameter lies 0.640327 P inside on either side.
_PIPE_MINOR_PER_PITCH: Final = 1.280654

# ASME B1.20.1: 1 in 16 on the diameter, threads 0.8 P high.
_TAPER: Final = 1 / 16
_TAPER_HEIGHT_PER_PITCH: Final = 0.8

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

# ISO 228-1, tolerance of the internal minor diameter in mm by threads an inch.
_PIPE_TD1_MM: Final = {28: 0.282, 19: 0.445, 14: 0.541, 11: 0.640}

_USUAL_CLASSES: Final = ("2B", "6H")
_WIDEST_BORE_MM: Final = 500.0
# ASME B18.29.1 and B18.29.2M, from memory: #2 to 1 1/2 in, M2 to M39.
_LEAST_INSERT_MM: Final = 2.0
_GREATEST_INSERT_MM: Final = 39.0
_ANYWAY: Final = "; say special to have it anyway"


class _Cited(NamedTuple):
    """Where a standard's figures are from, each in a few words.

    ``sizes``: nominal diameters with their pitches, from memory over ``checked_to_mm``;
    ``formula`` of the least minor diameter, and the standard that gives it, ``minor``;
    ``tolerance`` of it, where one is confirmed.
    """

    sizes: str
    checked_to_mm: float
    formula: str
    minor: str
    tolerance: str = ""


_OF_INSERT: Final = "D + 1.5 H and P of the thread that the insert carries"
_IN_INSERT: Final = "D + 0.2165064 P of the thread that the insert carries"
_CITED: Final = {
    UNIFIED: _Cited(
        "ASME B1.1, table of standard series",
        UNIFIED_CHECKED_TO_MM,
        "D - 1.0825318 P",
        "ASME B1.1",
        "ASME B1.1, formulas from memory",
    ),
    METRIC: _Cited(
        "ISO 261", 0.0, "D - 1.0825318 P", "ISO 724, ISO 68-1", "ISO 965-1, from memory"
    ),
    PARALLEL_PIPE_STANDARD: _Cited(
        "ISO 228-1, table of dimensions",
        PARALLEL_PIPE_CHECKED_TO_MM,
        "D - 1.280654 P",
        "ISO 228-1",
        "ISO 228-1",
    ),
    TAPER_PIPE_STANDARD: _Cited(
        "ASME B1.20.1, basic dimensions of NPT",
        inf,
        "E1 - 0.8 P at the surface, less 1/16 of the depth",
        "ASME B1.20.1",
    ),
    INSERT_UNIFIED: _Cited(
        f"{_OF_INSERT}, ASME B18.29.1", 0.0, _IN_INSERT, "ASME B18.29.1, from memory"
    ),
    INSERT_METRIC: _Cited(
        f"{_OF_INSERT}, ASME B18.29.2M", 0.0, _IN_INSERT, "ASME B18.29.2M, from memory"
    ),
    PLAIN: _Cited("the ticket", inf, "the bore itself", "as there is no thread"),
}


class Thread(Frozen):
    """An internal thread or a plain bore; lengths in mm.

    ``minor_min_mm`` is the wall that the burn must not reach: the least minor diameter, or the
    bore itself where there is no thread (``pitch_mm`` is None then). ``minor_max_mm`` is None where
    no tolerance is confirmed. ``taper`` is the diameter lost per unit of depth: a taper pipe thread
    has its figures at the surface.
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

    @property
    def minor_formula(self) -> str:
        """How the standard gives the least minor diameter."""
        return _CITED[self.standard].formula

    @property
    def wall(self) -> str:
        """What the burn must not reach, in a word."""
        return "bore" if self.pitch_mm is None else "thread"

    @property
    def is_for_insert(self) -> bool:
        """Whether it is the hole in the part that a wire insert sits in."""
        return self.standard in (INSERT_UNIFIED, INSERT_METRIC)

    @property
    def takes_insert(self) -> bool:
        """Whether wire inserts are made for it."""
        in_range = _LEAST_INSERT_MM <= self.nominal_mm <= _GREATEST_INSERT_MM
        return self.standard in (UNIFIED, METRIC) and in_range

    @property
    def sources(self) -> dict[str, str]:
        """Where each of its figures comes from."""
        cited = _CITED[self.standard]
        sizes = cited.sizes + (", from memory" if self.nominal_mm > cited.checked_to_mm else "")
        if self.series == SPECIAL and not self.is_for_insert:
            sizes = "the ticket, as it is in no standard series"
        grade = f" of class {self.thread_class}" if self.thread_class else ""
        none = "no confirmed tolerance" if self.pitch_mm else "none: a plain bore"
        return {
            "nominal_mm": sizes,
            "pitch_mm": sizes if self.pitch_mm else none,
            "minor_min_mm": f"{cited.formula}, {cited.minor}",
            "minor_max_mm": none
            if self.minor_max_mm is None
            else f"the least and its tolerance{grade}, {cited.tolerance}",
        }

    def minor_at_mm(self, depth_mm: float) -> float:
        """Give the least minor diameter at a depth below the surface, both in mm.

        Source: ASME B1.20.1, taper 1 in 16 on the diameter; every other thread is parallel. The
        taper is carried on below the last thread, which is on the safe side.

        >>> pipe = read_thread("1/2 NPT")
        >>> round(pipe.minor_at_mm(0), 3), round(pipe.minor_at_mm(16), 3)
        (18.321, 17.321)
        """
        return max(self.minor_min_mm - self.taper * depth_mm, 0.0)


def minor_min_mm(nominal_mm: float, pitch_mm: float) -> float:
    """Give the least minor diameter of an internal 60 degree thread, in mm: D - 1.25 H.

    Source: ISO 724 and ASME B1.1, where H = sqrt(3)/2 P, so D - 1.0825318 P.

    >>> round(minor_min_mm(10, 1.5), 3)
    8.376
    """
    return nominal_mm - 1.25 * _TRIANGLE_PER_PITCH * pitch_mm


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
    return _inches_mm(tolerance)


def read_thread(text: str, *, special: bool = False) -> Thread:
    """Read a thread or plain bore from its designation, in upper or lower case.

    Unified (``1/4-20``, ``1/4-20 UNC-2B``, ``1/4 UNC``, ``#10-32``, ``0.250-20``, ``1 1/8-8 UN``),
    metric (``M8``, ``M8x1``, ``M10x1.5-6H``), pipe (``G1/4``, ``1/8-27 NPT``), or a plain bore
    (``pin 8 mm``, ``drill 1/4``). ``LH`` beside a thread makes it left-hand; ``STI`` makes it the
    tapped hole that a wire insert for this thread sits in. A thread that no standard series has is
    refused with the nearest that exist, unless it is ``special``, here or beside it, or named UNS.
    Raises ThreadError, one sentence.

    What comes out as ``designation`` reads back as the same thread.

    >>> read_thread("m8").designation, read_thread("10-32").designation
    ('M8x1.25', '#10-32 UNF')
    >>> read_thread("1/4-24 special").designation, read_thread("M10x1.5 STI").designation
    ('1/4-24 UNS', 'M10x1.5 STI')
    >>> read_thread("M10x1.4")
    Traceback (most recent call last):
    cockpit.trade.designations.ThreadError: No standard series has M10x1.4: the nearest are \
M10x1.5, M10x1.25, M10x1; say special to have it anyway.
    """
    said, marks = read_designation(text)
    return _thread(said, marks._replace(special=marks.special or special))


@cache
def standard_threads() -> tuple[Thread, ...]:
    """Give every thread of the standard series, in class 2B or 6H where there are classes.

    >>> len(standard_threads()) > 500
    True
    """
    rows = chain(unified_rows(), metric_rows(), parallel_pipe_rows(), taper_pipe_rows())
    return tuple(read_thread(row.designation) for row in rows)


def _thread(said: Designation, marks: Marks) -> Thread:
    match said:
        case UnifiedText():
            return _unified(said, marks)
        case SeriesText():
            return _by_series(said, marks)
        case MetricText():
            return _metric(said, marks)
        case PlainText():
            return _plain(said, marks)
        case PipeText():
            thread = _taper_pipe(said) if said.taper else _parallel_pipe(said)
    if marks.insert:
        raise ThreadError(
            f"{thread.designation} STI is not in the tables: "
            "they have wire inserts for unified and metric threads alone."
        )
    if marks.left_hand:
        return thread.model_copy(update={"designation": f"{thread.designation}-LH"})
    return thread


@dataclass(frozen=True, slots=True)
class _SixtyDegrees:
    """A parallel 60 degree thread on its way to a Thread, its name without class and marks."""

    name: str
    standard: str
    series: str
    nominal_mm: float
    pitch_mm: float
    tolerance_mm: float | None
    grade: str

    def thread(self, marks: Marks) -> Thread:
        minor_mm = minor_min_mm(self.nominal_mm, self.pitch_mm)
        if not _leaves_a_core(self.nominal_mm, self.pitch_mm):
            raise ThreadError(
                f"{self.name} cannot be: its pitch is too coarse for its diameter; "
                "look at the print."
            )
        if marks.insert:
            return self._for_insert(marks)
        grade = "" if self.grade in _USUAL_CLASSES else f"-{self.grade}"
        return Thread(
            designation=self.name + grade + self._marks(marks),
            standard=self.standard,
            series=self.series,
            nominal_mm=self.nominal_mm,
            pitch_mm=self.pitch_mm,
            minor_min_mm=minor_mm,
            minor_max_mm=None if self.tolerance_mm is None else minor_mm + self.tolerance_mm,
            thread_class=self.grade,
        )

    def _for_insert(self, marks: Marks) -> Thread:
        """Give the hole tapped for a wire insert that carries this thread.

        Source: ASME B18.29.1 and B18.29.2M, from memory: the same pitch, D + 1.5 H across the
        roots and D + H/4 across the crests. A class would be that of the thread in the insert,
        so the hole has none.
        """
        if not _LEAST_INSERT_MM <= self.nominal_mm <= _GREATEST_INSERT_MM:
            raise ThreadError(
                f"{self.name} STI is not in the tables: wire inserts are made from M2 to M39, "
                "#2 to 1 1/2 in."
            )
        height_mm = _TRIANGLE_PER_PITCH * self.pitch_mm
        return Thread(
            designation=f"{self.name} STI{self._marks(marks)}",
            standard=INSERT_METRIC if self.standard == METRIC else INSERT_UNIFIED,
            series=self.series,
            nominal_mm=self.nominal_mm + 1.5 * height_mm,
            pitch_mm=self.pitch_mm,
            minor_min_mm=self.nominal_mm + height_mm / 4,
            minor_max_mm=None,
            thread_class=None,
        )

    def _marks(self, marks: Marks) -> str:
        # A special unified thread is named UNS; a metric one has no name but the word.
        special = self.series == SPECIAL and self.standard == METRIC
        return ("-LH" if marks.left_hand else "") + (" special" if special else "")


def _leaves_a_core(nominal: float, pitch: float) -> bool:
    """Tell whether a pitch is fine enough for its diameter; both in one unit, 0 for none."""
    return pitch > 0 and minor_min_mm(nominal, pitch) >= nominal / 2


def _unified(said: UnifiedText, marks: Marks) -> Thread:
    for typed in said.sizes:
        if series := _unified_series(typed, said.tpi):
            size = typed._replace(name=SIZE_NAMES[_tenths(typed)])
            if not _is_called(series, said.series, said.tpi):
                raise _no_such_unified(said, size, False)
            name = unified_name(size.name, said.tpi, series)
            return _sized_unified(name, size, said, series).thread(marks)
    size = said.sizes[0]
    if size.inches and said.tpi and (marks.special or said.series == "UNS"):
        name = f"{size.name}-{said.tpi:g} UNS"
        return _sized_unified(name, size, said, SPECIAL).thread(marks)
    sound = bool(said.tpi) and _leaves_a_core(float(size.inches), 1 / said.tpi)
    raise _no_such_unified(said, size, sound)


def _by_series(said: SeriesText, marks: Marks) -> Thread:
    """Make a thread of UNC, UNF or UNEF, each of which has one pitch for a size at most."""
    tenths_in = _tenths(said.size)
    tpi = NAMED_TPI.get((tenths_in, said.series))
    if tpi is None or SIZE_NAMES[tenths_in] != said.size.name:
        # Nobody calls #5 an eighth.
        near = nearest(unified_rows(), float(said.size.inches), 0.0, said.series)
        raise _no_such_thread(f"{said.size.name} {said.series}", near, False)
    return _unified(UnifiedText((said.size,), tpi, said.series, said.grade), marks)


def _sized_unified(name: str, size: InchSize, said: UnifiedText, series: str) -> _SixtyDegrees:
    nominal_mm, pitch_mm = _inches_mm(float(size.inches)), _inches_mm(1 / said.tpi)
    grade = said.grade or "2B"
    tolerance_mm = unified_tolerance_mm(nominal_mm, pitch_mm, grade)
    return _SixtyDegrees(name, UNIFIED, series, nominal_mm, pitch_mm, tolerance_mm, grade)


def _tenths(size: InchSize) -> int:
    return round(size.inches * TENTHS_PER_INCH)


def _unified_series(size: InchSize, tpi: float) -> str | None:
    return UNIFIED_SERIES.get((_tenths(size), tpi))


def _is_called(series: str, said: str | None, tpi: float) -> bool:
    """Tell whether a series may be called what was said.

    UNC, UNF and UNEF threads of a constant pitch belong to that series too (ASME B1.1).
    """
    constant = is_constant_pitch(tpi) and said in ("UN", f"{tpi:g}-UN")
    return said in (None, series) or constant


def _no_such_unified(said: UnifiedText, size: InchSize, special_helps: bool) -> ThreadError:
    pitch_in = 1 / said.tpi if said.tpi else 0.0
    wanted = f"{size.name}-{said.tpi:g}" + (f" {said.series}" if said.series else "")
    # A size and pitch that only a pipe thread has is one whose letters were left out.
    pipes = chain(parallel_pipe_rows(), taper_pipe_rows())
    as_pipe = [
        row.designation
        for row in pipes
        if row.size == float(size.inches) and row.pitch == pitch_in and not said.series
    ]
    near = nearest(unified_rows(), float(size.inches), pitch_in, said.series)
    return _no_such_thread(wanted, [*as_pipe, *near], special_helps)


def _metric(said: MetricText, marks: Marks) -> Thread:
    pitch_mm = _pitch_meant_mm(said) if said.pitch_mm is None else said.pitch_mm
    series = METRIC_SERIES.get((said.nominal_mm, pitch_mm))
    if said.series not in (None, series):
        raise _no_such_metric(said, False)
    if series is None and not (marks.special and said.nominal_mm and pitch_mm):
        raise _no_such_metric(said, _leaves_a_core(said.nominal_mm, pitch_mm))
    grade = said.grade or "6H"
    tolerance_um = _TD1_GRADE_6_UM.get(pitch_mm) if grade == "6H" else None
    return _SixtyDegrees(
        name=f"M{said.nominal_mm:g}x{pitch_mm:g}",
        standard=METRIC,
        series=series or SPECIAL,
        nominal_mm=said.nominal_mm,
        pitch_mm=pitch_mm,
        tolerance_mm=None if tolerance_um is None else tolerance_um / 1000,
        grade=grade,
    ).thread(marks)


def _pitch_meant_mm(said: MetricText) -> float:
    """Give the pitch that a size means without one, 0 if it has none; raises ThreadError."""
    if said.series != "metric fine":
        return COARSE_PITCH_MM.get(said.nominal_mm, 0.0)
    pitches_mm = fine_pitches_mm(said.nominal_mm)
    if len(pitches_mm) > 1:
        size = f"M{said.nominal_mm:g}"
        *others, last = (f"{size}x{pitch:g}" for pitch in pitches_mm)
        raise ThreadError(
            f"{size} has more than one fine pitch: write {', '.join(others)} or {last}."
        )
    return pitches_mm[0] if pitches_mm else 0.0


def _no_such_metric(said: MetricText, special_helps: bool) -> ThreadError:
    wanted = f"M{said.nominal_mm:g}" + ("" if said.pitch_mm is None else f"x{said.pitch_mm:g}")
    wanted += "" if said.series is None else f" {said.series.removeprefix('metric ')}"
    least, greatest = METRIC_SPAN_MM
    if said.nominal_mm and not least <= said.nominal_mm <= greatest:
        return _beyond_tables(wanted, f"M{least:g}", f"M{greatest:g}", special_helps)
    rows: list[Row] = list(metric_rows())
    if said.pitch_mm is None:
        # The coarse pitch was meant: where the size has none, its fine ones, the coarsest first.
        same = [row for row in rows if row.size == said.nominal_mm]
        rows = same[::-1] or [row for row in rows if row.series == "metric coarse"]
    return _no_such_thread(
        wanted, nearest(rows, said.nominal_mm, said.pitch_mm or 0.0, said.series), special_helps
    )


def _no_such_thread(wanted: str, near: Sequence[str], special_helps: bool) -> ThreadError:
    """Say that no series has the thread, and which three standard ones are nearest to it."""
    return ThreadError(
        f"No standard series has {wanted}: the nearest are {', '.join(near[:3])}"
        f"{_ANYWAY if special_helps else ''}."
    )


def _beyond_tables(wanted: str, least: str, greatest: str, special_helps: bool) -> ThreadError:
    """Say that a standard may have the thread, but not these tables, which stop short of it."""
    return ThreadError(
        f"The tables run from {least} to {greatest} and do not reach {wanted}: look at the print"
        f"{_ANYWAY if special_helps else ''}."
    )


def _parallel_pipe(said: PipeText) -> Thread:
    """Make a thread of ISO 228-1, whose tolerance of the minor diameter goes by its pitch."""
    major_mm, tpi = PARALLEL_PIPE.get(said.size, (0.0, 0))
    if not tpi or said.tpi not in (None, tpi):
        raise _no_such_pipe(f"G{said.size}", said.tpi, parallel_pipe_rows(), said.size)
    pitch_mm = _inches_mm(1 / tpi)
    minor_mm = major_mm - _PIPE_MINOR_PER_PITCH * pitch_mm
    return Thread(
        designation=f"G{said.size}",
        standard=PARALLEL_PIPE_STANDARD,
        series="G",
        nominal_mm=major_mm,
        pitch_mm=pitch_mm,
        minor_min_mm=minor_mm,
        minor_max_mm=minor_mm + _PIPE_TD1_MM[tpi],
        thread_class=None,
    )


def _taper_pipe(said: PipeText) -> Thread:
    """Make a thread of ASME B1.20.1, with its figures at the face of the hole.

    Pitch diameter at the small end of the pipe E0 = D - (0.05 D + 1.1) P, and L1 above it, at the
    face of the hole, E1 = E0 + L1/16; the crests stand 0.8 P/2 inside on either side. The standard
    gauges this thread by turns and gives its minor diameter no tolerance, so there is no greatest.
    """
    if tenths(said.size) > tenths(max(TAPER_PIPE, key=tenths)):
        # ASME B1.20.1 goes on to 24 in.
        least, *_, greatest = (row.designation for row in taper_pipe_rows())
        raise _beyond_tables(f"{said.size} NPT", least, greatest, False)
    outside_in, tpi, engagement_in = TAPER_PIPE.get(said.size, (0.0, 0.0, 0.0))
    if not tpi or said.tpi not in (None, tpi):
        raise _no_such_pipe(f"{said.size} NPT", said.tpi, taper_pipe_rows(), said.size)
    pitch_in = 1 / tpi
    small_end_in = outside_in - (0.05 * outside_in + 1.1) * pitch_in
    face_in = small_end_in + engagement_in * _TAPER
    return Thread(
        designation=f"{said.size}-{tpi:g} NPT",
        standard=TAPER_PIPE_STANDARD,
        series="NPT",
        nominal_mm=_inches_mm(outside_in),
        pitch_mm=_inches_mm(pitch_in),
        minor_min_mm=_inches_mm(face_in - _TAPER_HEIGHT_PER_PITCH * pitch_in),
        minor_max_mm=None,
        thread_class=None,
        taper=_TAPER,
    )


def _no_such_pipe(wanted: str, tpi: float | None, rows: Iterable[Row], size: str) -> ThreadError:
    wanted += f" with {tpi:g} threads an inch" if tpi is not None else ""
    return _no_such_thread(wanted, nearest(rows, tenths(size) / TENTHS_PER_INCH, 0.0), False)


def _plain(said: PlainText, marks: Marks) -> Thread:
    # Nobody writes a metric bore as a fraction: 1/4 alone is inches.
    unit = said.unit or ("in" if "/" in said.number else "")
    if not unit:
        bare = f"{said.word} {said.number}"
        raise ThreadError(f'"{bare}" lacks a unit: write {bare} mm or {bare} in.')
    bore = f"{said.word} {said.number} {unit}"
    if marks.left_hand or marks.insert:
        raise ThreadError(f'"{bore}" has no thread, so leave out LH and STI.')
    try:
        nominal_mm = read_length_mm(f"{said.number} {unit}")
    except UnitsError as error:
        raise ThreadError(str(error)) from None
    if not 0 < nominal_mm <= _WIDEST_BORE_MM:
        raise ThreadError(f'"{bore}" is no bore to burn in: write it like pin 8 mm.')
    return Thread(
        designation=bore,
        standard=PLAIN,
        series=PLAIN,
        nominal_mm=nominal_mm,
        pitch_mm=None,
        minor_min_mm=nominal_mm,
        minor_max_mm=None,
        thread_class=None,
    )


def _inches_mm(inches: float) -> float:
    """Give a length in inches as mm."""
    return read_length_mm(inches, LengthUnit.INCH)
