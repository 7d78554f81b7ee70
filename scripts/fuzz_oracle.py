"""What a reader has to make of a byte stream, worked out anew; the fuzzer holds the reader to it.

Nothing here uses the reader's code, its patterns or its units: lines are found by splitting the
whole stream, and each form has a parser of its own, byte by byte.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

DIGITS: Final = b"0123456789"
#: What may stand around a line and is no part of it.
BLANKS: Final = b" \t\n\r\x0b\x0c"
#: Farther than a head travels, mm; whoever says more is not believed.
FARTHEST_MM: Final = 2000
INCH_MM: Final = Decimal("25.4")

#: What the decimal forms show of a head that is out of range.
ALL_NINES: Final = (b"999.99", b"999.999")

# What a line says, form by form ------------------------------------------------------------------


class Cursor:
    """Goes through a line from left to right."""

    def __init__(self, line: bytes) -> None:
        self.rest = line

    def run(self, allowed: bytes, most: int = 1_000) -> bytes:
        """Take the bytes that are allowed, up to so many of them."""
        length = 0
        while length < min(len(self.rest), most) and self.rest[length] in allowed:
            length += 1
        taken, self.rest = self.rest[:length], self.rest[length:]
        return taken

    def number(self) -> tuple[bytes, bytes, bytes, bytes]:
        """Take a sign, blanks, digits, a point and digits, as far as they are there."""
        sign = self.run(b"+-", 1)
        self.run(b" ")
        return sign, self.run(DIGITS), self.run(b".", 1), self.run(DIGITS)


def _mm(sign: bytes, whole: bytes, part: bytes = b"", unit: bytes = b"mm") -> Decimal:
    number = Decimal(f"{whole.decode()}.{part.decode()}0")
    return (-number if sign == b"-" else number) * (INCH_MM if unit == b"in" else 1)


def _all_nines(whole: bytes, part: bytes) -> bool:
    return whole + b"." + part in ALL_NINES


def _decimal(line: bytes) -> Decimal | None:
    at = Cursor(line)
    sign, whole, point, part = at.number()
    at.run(b" ")
    unit = at.rest.lower() or b"mm"
    fits = whole and point and 2 <= len(part) <= 5 and unit in (b"mm", b"in")
    return _mm(sign, whole, part, unit) if fits and not _all_nines(whole, part) else None


def _units(line: bytes) -> Decimal | None:
    at = Cursor(line)
    sign, whole, _point, part = at.number()
    at.run(b" ")
    places = {b"mm": (2, 3), b"in": (4, 5)}.get(at.rest, ())
    fits = sign and whole and len(part) in places
    return _mm(sign, whole, part, at.rest) if fits and not _all_nines(whole, part) else None


def _status(line: bytes) -> Decimal | None:
    at = Cursor(line)
    letter = at.run(b"A", 1)
    if at.rest[1:2] == b" ":
        return None
    sign, whole, point, part = at.number()
    fits = (len(letter), len(sign), len(whole), len(point), len(part)) == (1, 1, 4, 1, 2)
    return _mm(sign, whole, part) if fits and not at.rest and whole + part != b"999999" else None


def _axes(line: bytes) -> Decimal | None:
    axes = line.split(b",")
    if len(axes) != 3:
        return None
    at = Cursor(axes[2].strip(b" \t"))
    sign, whole, _point, part = at.number()
    fits = sign and whole and len(part) == 2 and not at.rest
    return _mm(sign, whole, part) if fits and not _all_nines(whole, part) else None


def _counts(line: bytes) -> Decimal | None:
    sign, counts = line[:1], line[1:]
    if sign not in (b"+", b"-") or len(counts) != 7 or counts.strip(DIGITS) or counts == b"9999999":
        return None
    return _mm(sign, counts[:4], counts[4:])


#: By profile, what an intact line says, mm; None for one that is no reading.
ORACLES: Final[dict[str, Callable[[bytes], Decimal | None]]] = {
    "serial-decimal": _decimal,
    "serial-polled": _decimal,
    "serial-units": _units,
    "serial-status": _status,
    "serial-axes": _axes,
    "serial-counts": _counts,
}

# What a stream says ------------------------------------------------------------------------------


@dataclass(frozen=True)
class Due:
    """What has to come out: the readings, with their lines, and how many rejects, if counted."""

    readings: list[tuple[bytes, float]]
    rejects: int | None


def due(
    profile: str, data: bytes, longest: int, *, midway: bool = False, pauses: tuple[int, ...] = ()
) -> Due:
    """What a reader has to make of ``data``, sent to a profile whose lines end in CR LF.

    ``midway``: the stream may have been joined in the middle of a line. ``pauses``: the places
    where so much time passed that a line can't go on; then the rejects are not counted.
    """
    *lines, unfinished = data.split(b"\r\n")
    readings: list[tuple[bytes, float]] = []
    rejects = max(0, (len(unfinished) - longest - 2) // longest + 1)
    begin = 0
    for number, line in enumerate(lines):
        end = begin + len(line) + 2
        broken = any(begin < at < end and data[begin:at].strip(BLANKS) for at in pauses)
        text = line.strip(BLANKS)
        begin = end
        if len(line) > longest:
            rejects += -(-(len(line) - longest) // longest)
        elif text and not broken and (number or not midway):
            travel_mm = ORACLES[profile](text)
            if travel_mm is None or abs(travel_mm) > FARTHEST_MM:
                rejects += 1
            else:
                readings.append((line, float(travel_mm)))
    return Due(readings, None if pauses else rejects)
