"""From bytes to readings: lines are cut out of the stream, matched, and turned into travel.

Whatever comes in, nothing is raised, and no more than one line of ``max_line`` bytes is held back.
How the bytes were cut into chunks makes no difference to what is read.
"""

from __future__ import annotations

import math
import re
from typing import Final

from cockpit.gauges.protocol import Reject, Sample, travel_sample, wire_bytes
from cockpit.profiles import GaugeProfile
from cockpit.units import read_length_mm

#: A plain number. Python's own float() also takes "nan", "inf" and "1_0": no gauge means those.
_NUMBER: Final = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)", re.ASCII)


class LineReader:
    """Reads what one connection to a gauge sends, by the gauge's profile.

    ``joined_midway``: the connection may have begun in the middle of a line, as with a gauge that
    sends by itself. Then everything up to the first line end is dropped: the tail of ``12.34``
    looks like a reading of ``2.34``. Raises GaugeError if the profile's line end can't be sent.
    """

    def __init__(self, profile: GaugeProfile, *, joined_midway: bool = False) -> None:
        self._profile = profile
        self._pattern = re.compile(profile.pattern)
        self._line_end = wire_bytes(profile, "line_end", profile.line_end)
        self._held = bytearray()
        self._dropping = joined_midway
        self._last_s = -math.inf

    def feed(self, data: bytes, t_s: float) -> list[Sample | Reject]:
        """Take bytes that arrived at ``t_s`` (s); return the readings and rejects they complete.

        Each carries the time at which its last byte came; a time before that of an earlier
        reading counts as that one. Empty lines are nothing.
        """
        self._last_s = max(self._last_s, t_s)
        self._held += data
        found: list[Sample | Reject] = []
        while (piece := self._next_piece()) is not None:
            line, ended = piece
            whole = ended and not self._dropping
            if whole and line.strip():
                found.append(self._read(line))
            elif not ended:
                found.append(self._endless(line))
            self._dropping = not ended
        return found

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
        return Reject(
            self._last_s,
            printable(line),
            f"No line end in {len(line)} bytes: check the baud rate and line_end of gauge profile "
            f"{self._profile.name}.",
        )

    def _read(self, line: bytes) -> Sample | Reject:
        raw = printable(line)
        try:
            length_mm = self._length_mm(line.decode("latin-1").strip())
        except ValueError as problem:
            return Reject(self._last_s, raw, str(problem))
        return travel_sample(self._profile, self._last_s, length_mm, raw)

    def _length_mm(self, text: str) -> float:
        """The length that a line shows, mm. Raises ValueError, one sentence, if it shows none."""
        match = self._pattern.fullmatch(text)
        if match is None:
            raise ValueError(f"Not what gauge profile {self._profile.name} expects.")
        groups = match.groupdict()
        value = groups["value"] or ""
        if _NUMBER.fullmatch(value) is None:
            raise ValueError("The value is not a plain decimal number.")
        length_mm = read_length_mm(f"{value} {groups.get('unit') or self._profile.unit}")
        return -length_mm if groups.get("sign") == "-" else length_mm


def printable(line: bytes) -> str:
    r"""Show bytes as ASCII text in which anything else is escaped.

    >>> printable(b"+12.34\x00\xff\x1b[2J mm")
    '+12.34\\x00\\xff\\x1b[2J mm'
    """
    return line.decode("latin-1").encode("unicode_escape").decode("ascii")
