"""Designations as people type them, read into plain words and numbers.

One regular expression for each family of threads, and one for plain bores. What is no designation
at all, or one of a standard that is not in the tables, is refused in one sentence; so is what may
have lost a key and would then be read as another thread. Whether a standard series has the thread
is for ``threads`` to say.
"""

import re
import unicodedata
from collections.abc import Callable
from fractions import Fraction
from functools import partial
from math import gcd
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
from cockpit.units import quoted

# Nothing anyone writes on a print comes near this; it also bounds the work on pasted pages.
_LONGEST_TEXT: Final = 80

# ASME B1.1 ends at 6 in, and of its whole inches only 1 in has finer series than 20 threads an
# inch: beyond either, a bare whole number is rather a number size.
_FINEST_WHOLE_INCH_TPI: Final = 20
_LARGEST_WHOLE_INCH: Final = 6

_PARTS_OF_AN_INCH: Final = ("2", "4", "8", "16", "32", "64")


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


class SeriesText(NamedTuple):
    """A unified thread typed without its threads per inch, which are for its series to give."""

    size: InchSize
    series: str
    grade: str | None


class MetricText(NamedTuple):
    """A metric thread as typed, in mm; without a pitch or a series the coarse one is meant."""

    nominal_mm: float
    pitch_mm: float | None
    series: str | None
    grade: str | None


class PipeText(NamedTuple):
    """A pipe thread as typed: taper or parallel, its size, and threads per inch if said."""

    taper: bool
    size: str
    tpi: float | None


class PlainText(NamedTuple):
    """A plain bore as typed: what it is for, its number, and its unit or an empty text."""

    word: str
    number: str
    unit: str


Designation = UnifiedText | SeriesText | MetricText | PipeText | PlainText

_Reader = Callable[[re.Match[str]], Designation | None]
_Explainer = Callable[[re.Match[str], str], str | None]
_Explainers = tuple[tuple[re.Pattern[str], _Explainer], ...]

# Blanks and hyphens are tidied before these are tried; a blank within [ ] counts, others do not.
_INCHES: Final = r"\d{1,2}[ -]\d{1,3}/\d{1,3}|\d{1,3}/\d{1,3}|\d{1,2}"
_DECIMAL: Final = r"\d{0,2}\.\d{1,4}"
_INCH_MARK: Final = r"[ ]?(?:INCH|IN\.?|\"|'')"
_NUMBER: Final = r"(?:\#|NO\.?)[ ]?"
_TPI: Final = r"\d{1,2}[ -]1/2|\d{1,2}(?:\.\d{1,2})?"
_SERIES: Final = r"UNR?(?:C|F|EF|S)?|N(?:C|F|EF|S)"
_GRADE: Final = r"[123]B"
_METRIC_GRADE: Final = r"[4-8]H(?:[4-8]H)?"
_MM: Final = r"\d{1,3}(?:[.,]\d{1,3})?|[.,]\d{1,3}"
_BORES: Final = (
    r"(?:SPRING|ROLL|DOWEL|PARALLEL)[ ]PIN|PIN|DOWEL|DRILL|BORE|HOLE|"
    r"\N{LATIN CAPITAL LETTER O WITH STROKE}|\N{DIAMETER SIGN}"
)

# A class, or a series of constant pitch, has to stand apart from the digits before it: in M10x16H
# and 1/4-202B nobody can tell where the pitch ends.
_UNIFIED: Final = re.compile(
    rf"""(?P<number>{_NUMBER})? (?P<size>{_INCHES}|{_DECIMAL})
    (?P<inch>{_INCH_MARK})? (?P<gap>-|[ ]?X[ ]?|[ ]) (?P<tpi>{_TPI}) (?:[ ]?TPI)?
    (?:(?:[ -]?|[ -](?P<constant>\d{{1,2}})-?)(?P<series>{_SERIES}))?
    (?:(?:[ -]|(?<=[A-Z]))(?P<grade>{_GRADE}))?""",
    re.VERBOSE | re.ASCII,
)
_BY_SERIES: Final = re.compile(
    rf"""(?P<number>{_NUMBER})? (?P<size>{_INCHES}|{_DECIMAL}) (?P<inch>{_INCH_MARK})?
    [ -]? (?P<series>{_SERIES}) (?:[ -]?(?P<grade>{_GRADE}))?""",
    re.VERBOSE | re.ASCII,
)
_METRIC: Final = re.compile(
    rf"""M(?P<fine>F)?[ ]?(?P<size>{_MM}) (?:[ ]?MM)?
    (?:(?:[ ]?[X*][ ]?|[ -])(?P<pitch>{_MM}) (?:[ ]?MM)?)?
    (?:[ -]?(?P<series>FINE|COARSE))? (?:[ -](?P<grade>{_METRIC_GRADE}))?""",
    re.VERBOSE | re.ASCII,
)
# A and B are the classes of ISO 228-1 for the thread outside; that inside has but one.
_PARALLEL_PIPE: Final = re.compile(
    rf"""(?=G|.*BSPP) (?:G|BSPP)?[ ]? (?P<size>{_INCHES}) (?:{_INCH_MARK})?
    (?:[ -](?P<tpi>{_TPI}))? (?:[ -]?BSPP)? (?:[ -]?[AB])?""",
    re.VERBOSE | re.ASCII,
)
_TAPER_PIPE: Final = re.compile(
    rf"""(?=.*NPT) (?:F?NPT)?[ ]? (?P<size>{_INCHES}) (?:{_INCH_MARK})?
    (?:[ -](?P<tpi>{_TPI}))? (?:[ -]?F?NPT)?""",
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

# How many there are, as a print has it before the thread. Before digits its x must touch the count
# and not them: 1 x 1/4-20 may be meant for 1 1/4-20, and 10x 1.5 has lost its M.
_COUNT: Final = re.compile(
    r"\d{1,3}(?: ?X (?=[A-Z#])|X (?=(?:\d{1,2}[ -])?\d{1,3}/\d|\d{1,2}-\d{1,2}(?![\dA-H])))",
    re.ASCII,
)
# UNC 1/4-20 and 1/4 UNC-20.
_SERIES_FIRST: Final = re.compile(
    rf"(?P<series>{_SERIES})[ -]?(?P<thread>[\d#N.].*?)(?P<grade>[ -]{_GRADE})?", re.ASCII
)
_SERIES_WITHIN: Final = re.compile(
    rf"""(?P<size>(?:{_NUMBER})?(?:{_INCHES}|{_DECIMAL})(?:{_INCH_MARK})?) [ -]?
    (?P<series>{_SERIES}) [ -] (?P<tpi>{_TPI}) (?P<grade>[ -]{_GRADE})?""",
    re.VERBOSE | re.ASCII,
)

# What may have lost a key, and would be read as another thread.
_BELOW_ZERO: Final = re.compile(rf"(?:{_NUMBER})?0{{2,4}}[- X].*", re.ASCII)
_ZERO_FIRST: Final = re.compile(r".*?(?<![\d.,])(?P<number>0\d{1,5}).*", re.ASCII)
_NO_HYPHEN: Final = re.compile(
    rf"""(?P<before>(?:G|F?NPT|BSPP)[ ]?)? (?P<top>\d{{1,2}}) (?P<gap>[ ]?X[ ]?|[ ])
    (?P<bottom>\d{{1,2}})
    (?P<after>(?P<tpi>-\d{{1,2}})? (?:[ ]?TPI)?
    (?P<series>[ -]?(?:\d{{1,2}}-?)?(?:{_SERIES}|F?NPT|BSPP))? (?:[ -]?{_GRADE})?)""",
    re.VERBOSE | re.ASCII,
)

# Pipe threads whose standards are not in the tables, by the letters before or after the size.
_OTHER_PIPE: Final = re.compile(
    rf"""(?P<before>[A-Z]{{1,5}})?[ -]? (?P<size>{_INCHES}) (?:{_INCH_MARK})? (?:[ -]{_TPI})?
    (?:[ -]?(?P<after>[A-Z]{{3,5}}))?""",
    re.VERBOSE | re.ASCII,
)
_WITH_J: Final = re.compile(r".*UNJ.*|MJ.*")
_BESIDE: Final = re.compile(
    r".*(?<![A-Z])(?:DP|DEEP|DEPTH|THRU|THROUGH)(?![A-Z]).*|"
    r".*\N{DOWNWARDS ARROW FROM BAR}.*|(?:[^X]+X|[^X]*\d-|[^X]*N)[^X]+X ?[\d.][^X]*",
    re.ASCII,
)
_RUN_TOGETHER: Final = re.compile(
    rf"(?P<metric>M.*\d{_METRIC_GRADE})|[#N.\d].*\d{_GRADE}", re.ASCII
)
_OTHER_CLASS: Final = re.compile(r"(?P<metric>M)?[ #.\d].*[ -]?\d[A-H](?:\d[A-H])?", re.ASCII)
_WITHOUT_M: Final = re.compile(
    rf"(?P<size>{_MM}) ?[X*] ?(?P<pitch>{_MM})(?: ?MM)?(?:[ -]{_METRIC_GRADE})?", re.ASCII
)
_NUMBER_BROKEN: Final = re.compile(
    rf"{_NUMBER}(?P<top>\d{{1,2}})/(?P<bottom>\d{{1,2}})(?P<tpi>[- X].*)?", re.ASCII
)
_NAMED_DRILL: Final = re.compile(
    rf"DRILL (?:(?:{_NUMBER})\d{{1,2}}|[A-Z])|(?:(?:{_NUMBER})\d{{1,2}}|[A-Z]) DRILL", re.ASCII
)
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
    MetricText(nominal_mm=10.0, pitch_mm=1.5, series=None, grade=None)
    >>> marks
    Marks(special=False, left_hand=True, insert=False)
    """
    if len(text) <= _LONGEST_TEXT:
        plain, marks = _take_marks(_tidy(text))
        plain = _in_order(plain)
        _refuse(_SLIPS, plain, text)
        for family, read in _FAMILIES:
            found = family.fullmatch(plain)
            if found and (said := read(found)):
                return said, marks
        _refuse(_KIN, plain, text)
    raise ThreadError(
        f"{quoted(text)} is not a thread the cockpit can read: "
        "write it like M10x1.5, 1/4-20 UNC, #10-32, G1/4, 1/8-27 NPT or pin 8 mm."
    )


def _refuse(table: _Explainers, plain: str, text: str) -> None:
    """Refuse what one of a table explains; raises ThreadError."""
    for pattern, explain in table:
        found = pattern.fullmatch(plain)
        if found and (sentence := explain(found, quoted(text))):
            raise ThreadError(sentence)


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
    left, right = (not found.isdisjoint(hand) for hand in ({"LH", "LE"}, {"RH", "RI"}))
    if left and right:
        raise ThreadError("A left and a right hand are both said: keep the one that is right.")
    return rest, Marks("SP" in found, left, "ST" in found)


def _in_order(plain: str) -> str:
    """Leave a count before the thread out, and put a series after the threads per inch."""
    if found := _COUNT.match(plain):
        plain = plain[found.end() :]
    if found := _SERIES_FIRST.fullmatch(plain):
        return f"{found['thread']} {found['series']}{found['grade'] or ''}"
    if found := _SERIES_WITHIN.fullmatch(plain):
        return f"{found['size']}-{found['tpi']} {found['series']}{found['grade'] or ''}"
    return plain


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
    size, tpi = found["size"], _threads_per_inch(found["tpi"])
    whole = size.isdigit()
    bare = whole and not found["number"] and not found["inch"]
    if (bare and found["gap"] != "-") or _is_number_amiss(found):
        # 3 4 UNC may have lost its slash, 3x 4 UNC be three of #4, and 10 x 1.5 have lost its M.
        return None
    if bare:
        sizes: tuple[InchSize, ...] = (_number_size(size), _inch_size(size, tpi))
        if 0 < int(size) <= _LARGEST_WHOLE_INCH and tpi <= _FINEST_WHOLE_INCH_TPI:
            sizes = sizes[::-1]
    else:
        sizes = (_number_size(size) if found["number"] else _inch_size(size, tpi),)
    series = _series(found["series"]) if found["series"] else None
    if series and found["constant"]:
        series = f"{found['constant']}-{series}"
    return UnifiedText(sizes, tpi, series, found["grade"])


def _read_by_series(found: re.Match[str]) -> SeriesText | None:
    size, series = found["size"], _series(found["series"])
    bare = size.isdigit() and not found["number"] and not found["inch"]
    if bare or series in ("UN", "UNS") or _is_number_amiss(found):
        # 1 UNC may be #1 or 1 in, and UN has many pitches for one size.
        return None
    number = _number_size(size) if found["number"] else _inch_size(size, 0.0)
    return SeriesText(number, series, found["grade"])


def _series(typed: str) -> str:
    """Name a series: UNR is a form of screws alone, and NC and NF are what UNC and UNF were."""
    return re.sub("^U?NR?", "UN", typed)


def _is_number_amiss(found: re.Match[str]) -> bool:
    """Tell whether a number sign stands before what can be no number size."""
    return bool(found["number"]) and (not found["size"].isdigit() or bool(found["inch"]))


def _threads_per_inch(typed: str) -> float:
    return float(sum(map(Fraction, re.split("[ -]", typed))))


def _number_size(size: str) -> InchSize:
    """Give a number size: n has the major diameter 0.060 + 0.013 n in (ASME B1.1)."""
    return InchSize(f"#{int(size)}", Fraction(60 + 13 * int(size), 1000))


def _inch_size(size: str, tpi: float) -> InchSize:
    """Give a size in inches, a decimal one as the size of the standard that it is rounded from."""
    inches = _inches(size)
    _refuse_if_not_lowest(size, number=not tpi)
    name = mixed_number(inches)
    if "." in size:
        known = near_size(float(inches * TENTHS_PER_INCH))
        name = f"{float(inches):g}" if known is None else SIZE_NAMES[known]
        inches = inches if known is None else Fraction(known, TENTHS_PER_INCH)
    if name.isdigit() and (inches > _LARGEST_WHOLE_INCH or tpi > _FINEST_WHOLE_INCH_TPI):
        # Without its point it would be read as a number size.
        name += ".0"
    return InchSize(name, inches)


def _refuse_if_not_lowest(size: str, *, number: bool) -> None:
    """Refuse 8/32, which is rather #8-32, if it may be a number size, than 1/4; ThreadError."""
    *whole, last = re.split("[ -]", size)
    top, _, bottom = last.partition("/")
    if bottom and int(top) and gcd(int(top), int(bottom)) > 1:
        or_number = f", or #{top}-{bottom} if that is meant" if number and not whole else ""
        raise ThreadError(f'"{last}" is not in lowest terms: write {Fraction(last)}{or_number}.')


def _read_metric(found: re.Match[str]) -> MetricText | None:
    if found["fine"] and found["series"] == "COARSE":
        return None
    nominal_mm, pitch_mm = (
        None if number is None else float(number.replace(",", "."))
        for number in (found["size"], found["pitch"])
    )
    series = "FINE" if found["fine"] else found["series"]
    return MetricText(
        nominal_mm or 0.0, pitch_mm, f"metric {series.lower()}" if series else None, found["grade"]
    )


def _read_pipe(found: re.Match[str], *, taper: bool) -> PipeText:
    inches = _inches(found["size"])
    # 4/8 NPT may be 4-8 NPT; a number size is no pipe.
    _refuse_if_not_lowest(found["size"], number=False)
    tpi = _threads_per_inch(found["tpi"]) if found["tpi"] else None
    return PipeText(taper, mixed_number(inches), tpi)


def _read_plain(found: re.Match[str]) -> PlainText | None:
    if (found["before"] is None) == (found["after"] is None):
        return None
    word = (found["before"] or found["after"]).lower()
    number = re.sub(r"(?<=\d)-", " ", found["number"])
    if "/" in number:
        _inches(number.lstrip("- "))
    word = word if word.isascii() else "bore"
    unit = _UNITS.get(found["unit"] or "", (found["unit"] or "").lower())
    if "/" in number and unit not in ("", "in"):
        raise ThreadError(
            f'"{word} {number} {unit}" is a fraction, and fractions are of an inch: '
            f"write {word} {number} in, or the {unit} with a point."
        )
    return PlainText(word, number, unit)


_FAMILIES: Final[tuple[tuple[re.Pattern[str], _Reader], ...]] = (
    (_METRIC, _read_metric),
    (_PARALLEL_PIPE, partial(_read_pipe, taper=False)),
    (_TAPER_PIPE, partial(_read_pipe, taper=True)),
    (_UNIFIED, _read_unified),
    (_BY_SERIES, _read_by_series),
    (_PLAIN, _read_plain),
)


def _explain_below_zero(_found: re.Match[str], typed: str) -> str:
    return (
        f"{typed} is smaller than #0, where the tables begin: "
        "write its diameter in inches, such as 0.047-90 special."
    )


def _explain_zero(found: re.Match[str], typed: str) -> str:
    number = found["number"]
    return (
        f"{typed} has a zero before a number: "
        f"write {int(number)}, or {number[0]}.{number[1:]} if a point was lost."
    )


def _explain_no_hyphen(found: re.Match[str], typed: str) -> str | None:
    """Say what a whole number and another may be that no hyphen parts."""
    before, top, bottom, after = (found[k] or "" for k in ("before", "top", "bottom", "after"))
    with_hyphen = f"{before}{top}-{bottom}{after}"
    if "X" in found["gap"]:
        if not found["series"] or found["tpi"]:
            return None
        return f"{typed} may be a count or a size: write {with_hyphen} if {top} is the size."
    is_fraction = int(top) < int(bottom) and int(top) % 2 and bottom in _PARTS_OF_AN_INCH
    may_be = [f"{before}{top}/{bottom}{after}"] if is_fraction else []
    may_be += [] if found["tpi"] else [with_hyphen]
    lost = "a slash or a hyphen" if len(may_be) > 1 else "a slash" if is_fraction else "a hyphen"
    return f"{typed} may have lost {lost}: write {' or '.join(may_be)}." if may_be else None


_SLIPS: Final[_Explainers] = (
    (_BELOW_ZERO, _explain_below_zero),
    (_ZERO_FIRST, _explain_zero),
    (_NO_HYPHEN, _explain_no_hyphen),
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


def _explain_beside(_found: re.Match[str], typed: str) -> str:
    return (
        f"{typed} has a depth or a length beside the thread: write the thread alone, "
        "as the depth is asked for apart."
    )


def _explain_run_together(found: re.Match[str], typed: str) -> str:
    example = "M10x1.5-6H" if found["metric"] else "1/4-20 UNC-2B"
    return f"{typed} does not part its class from the digits before it: write it like {example}."


def _explain_class(found: re.Match[str], typed: str) -> str:
    usual = "6H" if found["metric"] else "2B"
    return f"{typed} has not the class of a hole: write {usual}, or leave the class out."


def _explain_missing_m(found: re.Match[str], typed: str) -> str:
    return f"{typed} lacks its letter: write M{found['size']}x{found['pitch']} if it is metric."


def _explain_broken_number(found: re.Match[str], typed: str) -> str:
    number = f"write #{found['top']}-{found['bottom']}, or "
    return (
        f"{typed} has a number sign before a fraction: "
        f"{'' if found['tpi'] else number}leave the sign out."
    )


def _explain_series(_found: re.Match[str], typed: str) -> str:
    return (
        f"{typed} does not tell its size and threads an inch: "
        "write it like #10-32 UNF or 1/4-20 UNC."
    )


def _explain_drill(_found: re.Match[str], typed: str) -> str:
    return (
        f"{typed} names a drill by number or letter: "
        "write its diameter, such as drill 5 mm or drill 0.201 in."
    )


def _explain_standard(_found: re.Match[str], typed: str) -> str:
    return (
        f"{typed} is of a standard that is not in the tables: "
        "they have unified, metric, G and NPT threads."
    )


def _explain_bare(found: re.Match[str], typed: str) -> str:
    if "/" in found["number"]:
        _refuse_if_not_lowest(found["number"], number=True)
    return (
        f"{typed} is a size without a thread: write it like M10x1.5 or 1/4-20 UNC, "
        "or as a bore, such as pin 8 mm."
    )


_KIN: Final[_Explainers] = (
    (_BESIDE, _explain_beside),
    (_OTHER_PIPE, _explain_pipe),
    (_WITH_J, _explain_j),
    (_OTHER_STANDARD, _explain_standard),
    (_WITHOUT_M, _explain_missing_m),
    (_RUN_TOGETHER, _explain_run_together),
    (_NUMBER_BROKEN, _explain_broken_number),
    (_OTHER_CLASS, _explain_class),
    (_BY_SERIES, _explain_series),
    (_NAMED_DRILL, _explain_drill),
    (_PLAIN, _explain_bare),
)
