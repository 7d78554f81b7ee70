"""Figures in the words that several screens use."""

from __future__ import annotations

from cockpit.burn.state import Span
from cockpit.units import LengthUnit, write_length

#: As many places as can be read from afar and still be told apart by an electrode's end.
PLACES_AFAR = {LengthUnit.MM: 2, LengthUnit.INCH: 3}

#: What is said of a time that may be up.
NOW = "now"
#: Said where a shift begins, so that nobody takes an invented one for the shop's own.
DEMO = "DEMO: an invented shop"
#: A list of more than this takes one character each on its bar.
LONG_LIST = 10


def depth_words(depth: Span | None, unit: LengthUnit) -> str:
    """The unit and how far the depth is trusted, 95 %.

    >>> depth_words(Span(11.8, 12.0, 12.2), LengthUnit.MM)
    'mm ± 0.20'
    """
    if depth is None:
        return f"{unit}"
    half = write_length((depth.high - depth.low) / 2, unit, with_unit=False)
    return f"{unit} ± {half}"


def off_words(across_mm: float, along_mm: float, unit: LengthUnit) -> str:
    """Where the spot sits, as the operator stands before the hole.

    >>> print(off_words(0.2, -0.1, LengthUnit.MM))
    spot 0.20 mm to the RIGHT
         0.10 mm TOWARDS YOU
    """
    ways = []
    if across_mm:
        side = "RIGHT" if across_mm > 0 else "LEFT"
        ways.append(f"{write_length(abs(across_mm), unit)} to the {side}")
    if along_mm:
        end = "AWAY FROM YOU" if along_mm > 0 else "TOWARDS YOU"
        ways.append(f"{write_length(abs(along_mm), unit)} {end}")
    return "spot " + "\n     ".join(ways) if ways else ""


def progress_bar(done: int, of: int, *, ascii_only: bool = False) -> str:
    """How many of a list are answered, two characters each where there are few.

    >>> progress_bar(1, 4), progress_bar(3, 14, ascii_only=True)
    ('██░░░░░░', '###...........')
    """
    full, empty = ("#", ".") if ascii_only else ("█", "░")
    wide = 2 if of <= LONG_LIST else 1
    return full * done * wide + empty * (of - done) * wide


def about_time(span: Span | None, to: str = "target") -> str:
    """How long it takes ``to`` get there, rounded as far as it is known.

    >>> about_time(Span(92.0, 121.0, 170.0))
    'to target about 2 min (1½ to 3)'
    >>> about_time(Span(20.0, 31.0, 48.0))
    'to target about 30 s (20 to 50)'
    >>> about_time(Span(0.0, 92.0, 170.0))
    'to target about 1½ min (now to 3)'
    """
    if span is None:
        return ""
    if span.mid < 60:
        low, mid, high = (_tens(s) for s in (span.low, span.mid, span.high))
        return f"to {to} about {mid} s{_between(low, mid, high)}"
    low, mid, high = (_minutes(s) for s in (span.low, span.mid, span.high))
    return f"to {to} about {mid} min{_between(low, mid, high)}"


def _between(low: str, mid: str, high: str) -> str:
    return "" if low == mid == high else f" ({low} to {high})"


def _tens(seconds: float) -> str:
    """Seconds in tens."""
    return f"{10 * max(1, round(seconds / 10))}" if seconds > 0 else NOW


def _minutes(seconds: float) -> str:
    """Minutes in halves."""
    if seconds <= 0:
        return NOW
    whole, half = divmod(max(1, round(seconds / 30)), 2)
    return (str(whole) if whole or not half else "") + ("½" if half else "")
