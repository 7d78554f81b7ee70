"""From bytes to readings: lines are cut out of the stream, matched, and turned into travel.

Whatever comes in, nothing is raised, and no more than one line of ``max_line`` bytes is held back.
How the bytes were cut into chunks makes no difference to what is read.

A line end is what the profile says and nothing else: with CR LF asked for, a CR alone that came out
of a damaged digit would make two readings of one number. A gauge that ends its lines otherwise is
told from one that is not understood at all, and the reject says which ``line_end`` to write.
"""

from __future__ import annotations

import math
import re
from typing import Final

from cockpit.gauges.protocol import Reject, Sample, refuse_overflow, travel_sample, wire_bytes
from cockpit.profiles import GaugeProfile
from cockpit.units import quoted, read_length_mm

#: A gauge sends a line in one go. One that pauses for longer than this, s, is the halves of two, as
#: when a plug was out in between: "1", and "2.34" later, is no 12.34 (assumed).
PAUSE_S: Final = 0.25

#: A plain number. Python's own float() also takes "nan", "inf" and "1_0": no gauge means those.
_NUMBER: Final = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)", re.ASCII)
_WHOLE_NUMBER: Final = re.compile(r"[+-]?\d+", re.ASCII)
#: Text, and what some gauges put around a line (STX and ETX).
_TEXT: Final = re.compile(rb"[\x02\x03\t\r\n\x20-\x7e]*")
#: Line ends, as a profile writes them and as a person calls them; the longest first.
_LINE_ENDS: Final = ((b"\r\n", r"\r\n", "CR LF"), (b"\n", r"\n", "LF"), (b"\r", r"\r", "CR"))


class LineReader:
    """Reads what one connection to a gauge sends, by the gauge's profile.

    ``joined_midway``: the connection may have begun in the middle of a line, as with a gauge that
    sends by itself. Then everything up to the first line end is dropped: the tail of ``12.34``
    looks like a reading of ``2.34``. Raises GaugeError if the profile's line end can't be sent.
    """

    def __init__(self, profile: GaugeProfile, *, joined_midway: bool = False) -> None:
        self._profile = profile
        self._pattern = re.compile(profile.pattern, re.ASCII)
        self._line_end = wire_bytes(profile, "line_end", profile.line_end)
        self._held = bytearray()
        self._dropping = joined_midway
        self._heard_s = math.inf
        self._last_s = -math.inf

    def feed(self, data: bytes, t_s: float) -> list[Sample | Reject]:
        """Take bytes that arrived at ``t_s`` (s); return the readings and rejects they complete.

        Each carries the time at which its last byte came; a time before that of an earlier
        reading counts as that one. Empty lines are nothing. No bytes say that up to ``t_s`` none
        came, and a line that waits too long for its rest is broken off. Only whoever looked can
        say so: two late chunks may have come together, and the computer been busy.
        """
        if not data:
            return self._broken_off() if t_s - self._heard_s > PAUSE_S else []
        found: list[Sample | Reject] = []
        self._heard_s = t_s
        self._last_s = max(self._last_s, t_s)
        self._held += data
        while (piece := self._next_piece()) is not None:
            line, ended = piece
            whole = ended and not self._dropping
            if whole and line.strip():
                found.append(self._read(line))
            elif not ended:
                found.append(self._endless(line))
            self._dropping = not ended
        return found

    # Lines -------------------------------------------------------------------------------------

    def _next_piece(self) -> tuple[bytes, bool] | None:
        """Cut the next line off, or a full ``max_line`` of one that has no end yet."""
        longest, end = self._profile.max_line, self._line_end
        at = self._held.find(end, 0, longest + len(end))
        if at >= 0:
            return self._cut(at, len(end)), True
        if len(self._held) >= longest + len(end):
            return self._cut(longest), False
        return None

    def _cut(self, length: int, then_drop: int = 0) -> bytes:
        piece = bytes(self._held[:length])
        del self._held[: length + then_drop]
        return piece

    def _endless(self, line: bytes) -> Reject:
        advice = _no_text(line) or self._other_end(line) or "check baudrate and line_end"
        what = f"No line end in {len(line)} bytes"
        return self._reject(line, f"{what}: {advice} in gauge profile {self._profile.name}.")

    def _broken_off(self) -> list[Sample | Reject]:
        """Give up what is held back. It stays held, since what comes next may be its line end."""
        line = bytes(self._held)
        if not line.strip():
            return []
        self._dropping, self._heard_s = True, math.inf
        advice = _no_text(line) or self._other_end(line) or "check the cable, or line_end"
        what = "The line broke off before its end"
        return [self._reject(line, f"{what}: {advice} in gauge profile {self._profile.name}.")]

    def _other_end(self, line: bytes) -> str:
        """What to write when lines seem to end in another way; empty when they do not."""
        for sent, written, called in _LINE_ENDS:
            if sent != self._line_end and sent in line.rstrip(self._line_end[:-1]):
                return f'lines seem to end in {called} alone, so try line_end = "{written}"'
        return ""

    # What a line says --------------------------------------------------------------------------

    def _reject(self, line: bytes, why: str) -> Reject:
        return Reject(self._last_s, printable(line), why)

    def _read(self, line: bytes) -> Sample | Reject:
        try:
            length_mm = self._length_mm(line.strip())
        except ValueError as problem:
            return self._reject(line, str(problem))
        return travel_sample(self._profile, self._last_s, length_mm, printable(line))

    def _length_mm(self, line: bytes) -> float:
        """The length that a line shows, mm. Raises ValueError, one sentence, if it shows none."""
        text = self._field(line.decode("latin-1"))
        refuse_overflow(self._profile, text)
        match = self._pattern.fullmatch(text)
        if match is None:
            what = f"Not what gauge profile {self._profile.name} expects"
            raise ValueError(": ".join(filter(None, (what, _no_text(line)))) + ".")
        groups = match.groupdict()
        self._refuse_status(groups.get("status"))
        length_mm = self._unsigned_mm(groups["value"] or "", groups.get("unit"))
        return self._sense(groups.get("sign") or "") * length_mm

    def _field(self, text: str) -> str:
        """The part of a line that the pattern is for."""
        if self._profile.field is None:
            return text
        parts = text.split(self._profile.separator)
        if len(parts) != self._profile.fields:
            raise ValueError(
                f"The line has {len(parts)} fields, and gauge profile {self._profile.name} says "
                f"{self._profile.fields}."
            )
        return parts[self._profile.field - 1].strip(" \t")

    def _unsigned_mm(self, value: str, unit: str | None) -> float:
        refuse_overflow(self._profile, value)
        if self._profile.per_count_mm is not None:
            if _WHOLE_NUMBER.fullmatch(value) is None:
                raise ValueError("The value is not a whole number of counts.")
            return float(value) * self._profile.per_count_mm
        if _NUMBER.fullmatch(value) is None:
            raise ValueError("The value is not a plain decimal number.")
        # Not read as a whole: what people type has fewer digits than a gauge may send.
        return float(value) * read_length_mm(f"1.0 {unit or self._profile.unit}")

    def _sense(self, group: str) -> float:
        """-1 for a minus sign, else 1. A sign that is neither is no reading: it could be either."""
        sign = group.strip()
        if sign not in ("", "+", "-"):
            raise ValueError(
                f"The sign is {quoted(sign)}, neither + nor -: mend the group sign of pattern in "
                f"gauge profile {self._profile.name}."
            )
        return -1.0 if sign == "-" else 1.0

    def _refuse_status(self, status: str | None) -> None:
        good = self._profile.good_status
        if good and status not in good:
            raise ValueError(
                f"The gauge sends status {quoted(status or '')}, not {quoted(' or '.join(good))}: "
                f"it does not vouch for this reading."
            )


def _no_text(line: bytes) -> str:
    """What to check when bytes are no text at all; empty when they are."""
    if _TEXT.fullmatch(line):
        return ""
    return "it holds bytes that are no text, so check baudrate, bytesize and parity"


def printable(line: bytes) -> str:
    r"""Show bytes as ASCII text in which anything else is escaped.

    >>> printable(b"+12.34\x00\xff\x1b[2J mm")
    '+12.34\\x00\\xff\\x1b[2J mm'
    """
    return line.decode("latin-1").encode("unicode_escape").decode("ascii")
