"""Designations as people type them, read into plain words and numbers.

One regular expression for each family of threads, and one for plain bores. What is no designation
at all, or one of a standard that is not in the tables, is refused in one sentence. Whether a
standard series has the thread is for ``threads`` to say.
"""

import re
import unicodedata
from collections.abc import Callable
from fractions import Fraction
from typing import Final, NamedTuple

from cockpit.trade.errors import TicketError
from cockpit.trade.series import (
    SIZE_NAMES,
    TENTHS_PER_INCH,
    mixed_number,
    near_size,
    nearest,
    parallel_pipe_rows,
    taper_pipe_rows,
)

# Nothing anyone writes on a print comes near this; it also bounds the work on pasted pages.
_LONGEST_TEXT: Final = 80
_LONGEST_SHOWN: Final = 30

# ASME B1.1 ends at 6 in, and of its whole inches only 1 in has finer series than 20 threads an
# inch: beyond either, a bare whole number is rather a number size.
_FINEST_WHOLE_INCH_TPI: Final = 20
_LARGEST_WHOLE_INCH: Final = 6


class ThreadError(TicketError):
    """A thread that cannot be read or does not exist; says which ones are near."""

    def __init__(self, sentence: str) -> None:
        """Keep the sentence; the field at fault is always the thread."""
        super().__init__(sentence, field="thread")


class Marks(NamedTuple):
    """What may stand beside any designation: ``special``, ``LH``, ``STI``."""

    special: bool
    left_hand: bool
    insert: bool


class InchSize(NamedTuple):
    """A unified size: its name, ``#10`` or inches such as ``1 1/4``, and its diameter in inches."""

    name: str
    inches: Fraction


class UnifiedText(NamedTuple):
    """A unified thread as typed: the sizes that it may mean, the likelier first."""

    sizes: tuple[InchSize, ...]
    tpi: float
    series: str | None
    grade: str | None


class MetricText(NamedTuple):
    """A metric thread as typed, in mm; without a pitch the coarse one is meant."""

    nominal_mm: float
    pitch_mm: float | None
    grade: str | None


class ParallelPipeText(NamedTuple):
    """A parallel pipe thread as typed: its size, and the threads per inch if they were said."""

    size: str
    tpi: float | None


class TaperPipeText(NamedTuple):
    """A taper pipe thread as typed: its size, and the threads per inch if they were said."""

    size: str
    tpi: float | None


class PlainText(NamedTuple):
    """A plain bore as typed: what it is for, its number, and its unit or an empty text."""

    word: str
    number: str
    unit: str


Designation = UnifiedText | MetricText | ParallelPipeText | TaperPipeText | PlainText

_Reader = Callable[[re.Match[str]], Designation | None]
_Explainer = Callable[[re.Match[str], str], str | None]

# Blanks and hyphens are tidied before these are tried; a blank within [ ] counts, others do not.
_INCHES: Final = r"\d{1,2}[ -]\d{1,3}/\d{1,3}|\d{1,3}/\d{1,3}|\d{1,2}"
_INCH_MARK: Final = r"[ ]?(?:INCH|IN\.?|\"|'')"
_TPI: Final = r"\d{1,2}(?:\.\d{1,2})?"
_MM: Final = r"\d{1,3}(?:[.,]\d{1,3})?|[.,]\d{1,3}"
_BORES: Final = (
    r"(?:SPRING|ROLL|DOWEL|PARALLEL)[ ]PIN|PIN|DOWEL|DRILL|BORE|HOLE|"
    r"\N{LATIN CAPITAL LETTER O WITH STROKE}|\N{DIAMETER SIGN}"
)

_UNIFIED: Final = re.compile(
    rf"""(?P<number>(?:\#|NO\.?)[ ]?)? (?P<size>{_INCHES}|\d{{0,2}}\.\d{{1,4}})
    (?P<inch>{_INCH_MARK})? (?P<gap>-|[ ]?X[ ]?|[ ]) (?P<tpi>{_TPI}) (?:[ ]?TPI)?
    (?:[ -]?(?:(?P<constant>\d{{1,2}})-?)?(?P<series>UNR?(?:C|F|EF|S)?|N(?:C|F|EF|S)))?
    (?:[ -]?(?P<grade>[123]B))?""",
    re.VERBOSE | re.ASCII,
)
_METRIC: Final = re.compile(
    rf"""M[ ]?(?P<size>{_MM}) (?:[ ]?MM)? (?:(?:[ ]?[X*][ ]?|[ -])(?P<pitch>{_MM}) (?:[ ]?MM)?)?
    (?:[ -]?(?P<grade>[4-8]H(?:[4-8]H)?))?""",
    re.VERBOSE | re.ASCII,
)
_PARALLEL_PIPE: Final = re.compile(
    rf"""(?=G|.*BSPP) (?:G|BSPP)?[ ]? (?P<size>{_INCHES}) (?:{_INCH_MARK})?
    (?:[ -](?P<tpi>{_TPI}))? (?:[ -]?BSPP)?""",
    re.VERBOSE | re.ASCII,
)
_TAPER_PIPE: Final = re.compile(
    rf"""(?=.*NPT) (?:F?NPT)?[ ]? (?P<size>{_INCHES}) (?:{_INCH_MARK})?
    (?:[ -](?P<tpi>{_TPI}|11[ ]1/2))? (?:[ -]?F?NPT)?""",
    re.VERBOSE | re.ASCII,
)
_PLAIN: Final = re.compile(
    rf"""(?:(?P<before>{_BORES})[ ]?)? (?P<number>-?[ ]?(?:{_INCHES}|[\d.,]{{1,12}}))
    [ ]?(?P<unit>MM|CM|THOU|INCH(?:ES)?|IN\.?|"|'')? (?:[ ]?(?P<after>{_BORES}))?""",
    re.VERBOSE | re.ASCII,
)
_MARK: Final = re.compile(
    r"[ -]*(?<![A-Z])(?P<mark>SPECIAL|STI|LH|RH|(?:LEFT|RIGHT)[ -]HAND(?:ED)?)(?![A-Z])"
)

# Pipe threads whose standards are not in the tables, by the letters before or after the size.
_OTHER_PIPE: Final = re.compile(
    rf"""(?P<before>[A-Z]{{1,5}})?[ -]? (?P<size>{_INCHES}) (?:{_INCH_MARK})? (?:[ -]{_TPI})?
    (?:[ -]?(?P<after>[A-Z]{{3,5}}))?""",
    re.VERBOSE | re.ASCII,
)
_WITH_J: Final = re.compile(r".*UNJ.*|MJ.*")
_OTHER_CLASS: Final = re.compile(r"(?P<metric>M)?[ #.\d].*[ -]?\d[A-H](?:\d[A-H])?", re.ASCII)
_WITHOUT_M: Final = re.compile(rf"(?P<size>{_MM}) ?[X*] ?(?P<pitch>{_MM})(?: ?MM)?", re.ASCII)
_OTHER_STANDARD: Final = re.compile(r".*\b(?:BSW|BSF|BSC|BA|ACME)\b.*|(?:TR|PG|RD|W) ?\d.*")

# Typographic marks that arrive by copying from a print or a web page, and what they mean.
_AS_TYPED: Final = str.maketrans(
    {
        **dict.fromkeys("\N{DOUBLE PRIME}\N{RIGHT DOUBLE QUOTATION MARK}", '"'),
        **dict.fromkeys("\N{PRIME}\N{RIGHT SINGLE QUOTATION MARK}", "'"),
        **dict.fromkeys("\N{HYPHEN}\N{NON-BREAKING HYPHEN}\N{EN DASH}\N{EM DASH}", "-"),
        "\N{MINUS SIGN}": "-",
        "\N{MULTIPLICATION SIGN}": "X",
        "\N{FRACTION SLASH}": "/",
        "\N{NUMERO SIGN}": "#",
    }
)
_UNITS: Final = {"INCHES": "in", "INCH": "in", "IN.": "in", '"': "in", "''": "in"}


def read_designation(text: str) -> tuple[Designation, Marks]:
    """Read what was typed, and the marks beside it; raises ThreadError, one sentence.

    >>> said, marks = read_designation("m10 x 1,5 LH")
    >>> said
    MetricText(nominal_mm=10.0, pitch_mm=1.5, grade=None)
    >>> marks
    Marks(special=False, left_hand=True, insert=False)
    """
    if len(text) <= _LONGEST_TEXT:
        plain, marks = _take_marks(_tidy(text))
        for family, read in _FAMILIES:
            found = family.fullmatch(plain)
            if found and (said := read(found)):
                return said, marks
        for kin, explain in _KIN:
            found = kin.fullmatch(plain)
            if found and (sentence := explain(found, shown(text))):
                raise ThreadError(sentence)
    raise ThreadError(
        f"{shown(text)} is not a thread the cockpit can read: "
        "write it like M10x1.5, 1/4-20 UNC, #10-32, G1/4, 1/8-27 NPT or pin 8 mm."
    )


def shown(text: str) -> str:
    """Quote what was typed, short and printable, for a sentence.

    >>> shown("M8" + chr(27))
    '"M8?"'
    """
    return '"{}"'.format("".join(c if c.isprintable() else "?" for c in text[:_LONGEST_SHOWN]))


def _tidy(text: str) -> str:
    """Give the text as one plain line of capitals, no blanks about a hyphen or a slash."""
    line = "".join(map(_apart_if_fraction, text)).translate(_AS_TYPED).upper()
    return re.sub(r" ?([-/]) ?", r"\1", " ".join(line.split()))


def _apart_if_fraction(character: str) -> str:
    """Write a fraction that is one character as its digits, apart from a whole number before."""
    if unicodedata.decomposition(character).startswith("<fraction>"):
        return " " + unicodedata.normalize("NFKC", character)
    return character


def _take_marks(plain: str) -> tuple[str, Marks]:
    """Take the marks out of a tidied text; a right hand is what every thread has unless told."""
    found = {mark["mark"][:2] for mark in _MARK.finditer(plain)}
    rest = _MARK.sub("", plain).strip(" -")
    return rest, Marks("SP" in found, not found.isdisjoint({"LH", "LE"}), "ST" in found)


def _inches(size: str) -> Fraction:
    """Give the inches of a whole, broken, mixed or decimal number; refuse a fraction over one.

    11/4 is one and a quarter to some and 2 3/4 to others.
    """
    *whole, last = re.split("[ -]", size)
    top, _, bottom = last.partition("/")
    if bottom and int(top) >= int(bottom):
        raise ThreadError(
            f'"{last}" is not a part of an inch: write one like 1/4, and whole inches apart, '
            "like 1 1/4."
        )
    return sum(map(Fraction, whole), Fraction(last))


def _read_unified(found: re.Match[str]) -> UnifiedText | None:
    size, series, tpi = found["size"], found["series"], float(found["tpi"])
    bare = size.isdigit() and not found["number"] and not found["inch"]
    if bare and found["gap"] != "-" and not series:
        # 1 8 may have lost its slash, and 10 x 1.5 its M.
        return None
    if series:
        # UNR is a form of screws alone, and its hole is UN; NC and NF are what UNC and UNF were.
        series = re.sub("^U?NR?", "UN", series)
        series = f"{found['constant']}-{series}" if found["constant"] else series
    if not size.isdigit():
        sizes: tuple[InchSize, ...] = (_inch_size(size, tpi),)
    elif found["number"]:
        sizes = (_number_size(size),)
    elif found["inch"]:
        sizes = (_inch_size(size, tpi),)
    else:
        sizes = (_number_size(size), _inch_size(size, tpi))
        if 0 < int(size) <= _LARGEST_WHOLE_INCH and tpi <= _FINEST_WHOLE_INCH_TPI:
            sizes = sizes[::-1]
    return UnifiedText(sizes, tpi, series, found["grade"])


def _number_size(size: str) -> InchSize:
    """Give a number size: n has the major diameter 0.060 + 0.013 n in (ASME B1.1)."""
    return InchSize(f"#{int(size)}", Fraction(60 + 13 * int(size), 1000))


def _inch_size(size: str, tpi: float) -> InchSize:
    """Give a size in inches, a decimal one as the size of the standard that it is rounded from."""
    inches = _inches(size)
    name = mixed_number(inches)
    if "." in size:
        known = near_size(float(inches * TENTHS_PER_INCH))
        name = f"{float(inches):g}" if known is None else SIZE_NAMES[known]
        inches = inches if known is None else Fraction(known, TENTHS_PER_INCH)
    if name.isdigit() and (inches > _LARGEST_WHOLE_INCH or tpi > _FINEST_WHOLE_INCH_TPI):
        # Without its point it would be read as a number size.
        name += ".0"
    return InchSize(name, inches)


def _read_metric(found: re.Match[str]) -> MetricText:
    nominal_mm, pitch_mm = (
        None if number is None else float(number.replace(",", "."))
        for number in (found["size"], found["pitch"])
    )
    return MetricText(nominal_mm or 0.0, pitch_mm, found["grade"])


def _read_parallel_pipe(found: re.Match[str]) -> ParallelPipeText:
    return ParallelPipeText(mixed_number(_inches(found["size"])), _pipe_tpi(found))


def _read_taper_pipe(found: re.Match[str]) -> TaperPipeText:
    return TaperPipeText(mixed_number(_inches(found["size"])), _pipe_tpi(found))


def _pipe_tpi(found: re.Match[str]) -> float | None:
    return float(sum(map(Fraction, found["tpi"].split()))) if found["tpi"] else None


def _read_plain(found: re.Match[str]) -> PlainText | None:
    if (found["before"] is None) == (found["after"] is None):
        return None
    word = (found["before"] or found["after"]).lower()
    number = re.sub(r"(?<=\d)-", " ", found["number"])
    if "/" in number:
        _inches(number.lstrip("- "))
    unit = found["unit"] or ""
    return PlainText(word if word.isascii() else "bore", number, _UNITS.get(unit, unit.lower()))


_FAMILIES: Final[tuple[tuple[re.Pattern[str], _Reader], ...]] = (
    (_METRIC, _read_metric),
    (_PARALLEL_PIPE, _read_parallel_pipe),
    (_TAPER_PIPE, _read_taper_pipe),
    (_UNIFIED, _read_unified),
    (_PLAIN, _read_plain),
)


def _explain_pipe(found: re.Match[str], typed: str) -> str | None:
    """Say what to write for a pipe thread of a standard that is not in the tables."""
    letters, size = found["after"] or found["before"], float(_inches(found["size"]))
    parallel = nearest(parallel_pipe_rows(), size, 0)[0]
    if letters == "BSP":
        return (
            f"{typed} may be parallel or taper: write {parallel} for parallel; "
            "taper, ISO 7-1, is not in the tables."
        )
    if letters in ("BSPT", "PT", "R", "RC", "RP"):
        return (
            f"{typed} is of ISO 7-1, which is not in the tables; "
            f"the parallel thread of ISO 228-1 is written {parallel}."
        )
    if letters and re.fullmatch("NPTF|NPTR|NPS[A-Z]?", letters):
        taper = nearest(taper_pipe_rows(), size, 0)[0]
        return f"{typed} is not in the tables: the nearest that is there is {taper}."
    return None


def _explain_j(_found: re.Match[str], typed: str) -> str:
    return (
        f"{typed} is a J thread, not in the tables: write it without the J, "
        "whose minor diameter is smaller and so on the safe side."
    )


def _explain_class(found: re.Match[str], typed: str) -> str:
    usual = "6H" if found["metric"] else "2B"
    return f"{typed} has not the class of a hole: write {usual}, or leave the class out."


def _explain_missing_m(found: re.Match[str], typed: str) -> str:
    return f"{typed} lacks its letter: write M{found['size']}x{found['pitch']} if it is metric."


def _explain_standard(_found: re.Match[str], typed: str) -> str:
    return (
        f"{typed} is of a standard that is not in the tables: "
        "they have unified, metric, G and NPT threads."
    )


def _explain_bare(_found: re.Match[str], typed: str) -> str:
    return (
        f"{typed} is a size without a thread: write it like M10x1.5 or 1/4-20 UNC, "
        "or as a bore, such as pin 8 mm."
    )


_KIN: Final[tuple[tuple[re.Pattern[str], _Explainer], ...]] = (
    (_OTHER_PIPE, _explain_pipe),
    (_WITH_J, _explain_j),
    (_OTHER_STANDARD, _explain_standard),
    (_OTHER_CLASS, _explain_class),
    (_WITHOUT_M, _explain_missing_m),
    (_PLAIN, _explain_bare),
)
