"""The lines that depth indicators send, by form, for the gauge simulator and the fuzzer.

Each form is what one shipped gauge profile reads, and the profile of the same name says more of it.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Final

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from cockpit.units import LengthUnit, write_length

LINE_END: Final = b"\r\n"
#: What the other two axes of a readout show all the time.
OTHER_AXES: Final = "+1.25,-0.50"


def _signed(travel_mm: float, unit: LengthUnit) -> str:
    """A signed decimal number with its unit: +12.34 mm."""
    text = write_length(travel_mm, unit)
    return text if text.startswith("-") else f"+{text}"


def _status(travel_mm: float, _unit: LengthUnit) -> str:
    """A status letter, a sign, and a number filled up with zeros: A+0012.34."""
    return f"A{travel_mm:+08.2f}"


def _axes(travel_mm: float, _unit: LengthUnit) -> str:
    """Three axes, the depth last: +1.25,-0.50,+12.34."""
    return f"{OTHER_AXES},{travel_mm:+.2f}"


def _counts(travel_mm: float, _unit: LengthUnit) -> str:
    """Whole counts of 0.001 mm, filled up with zeros: +0012340."""
    return f"{round(1000 * travel_mm):+08d}"


@dataclass(frozen=True)
class Form:
    """How one kind of indicator writes a reading.

    ``profile``: the shipped profile that reads it. ``overflow``: what it sends when the head is out
    of its range. ``doubt``: what it sends for a reading that it does not vouch for, if it can.
    ``knows_inches``: whether it can show inches, and says so in the line.
    """

    profile: str
    write: Callable[[float, LengthUnit], str]
    overflow: str
    doubt: str = ""
    knows_inches: bool = False
    polled: bool = False

    def line(self, travel_mm: float, unit: LengthUnit = LengthUnit.MM) -> bytes:
        """The bytes of one reading."""
        return self.write(travel_mm, unit).encode("ascii") + LINE_END


FORMS: Final = {
    "decimal": Form("serial-decimal", _signed, "------", knows_inches=True),
    "polled": Form("serial-polled", _signed, "------", knows_inches=True, polled=True),
    "units": Form("serial-units", _signed, "+999.99 mm", knows_inches=True),
    "status": Form("serial-status", _status, "A+9999.99", doubt="E+0000.00"),
    "axes": Form("serial-axes", _axes, f"{OTHER_AXES},------"),
    "counts": Form("serial-counts", _counts, "+9999999"),
}
