"""What is said aloud: short enough to be over in two seconds, each thing once, numbers as words.

At 175 words a minute, which is the usual speed of speech programs (from memory), that is six words.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, inf

from cockpit.burn.calls import PRIORITY, Call, CallKind
from cockpit.burn.state import BurnState
from cockpit.units import LengthUnit, in_unit, write_length

#: What is said of a call; of ``near`` and ``through`` where, as well.
SAID = {
    CallKind.LIMIT: "limit, arc off",
    CallKind.THROUGH: "fell through",
    CallKind.TOO_DEEP: "pilot too deep, arc off",
    CallKind.PILOT: "pilot done, arc off",
    CallKind.TARGET: "target, arc off",
    CallKind.SLIPPED: "stop slipped, arc off",
    CallKind.AT_STOP: "at the stop, arc off",
    CallKind.SILENT: "gauge silent",
    CallKind.LOG: "log not written",
    CallKind.SHORT: "electrode too short",
    CallKind.STALLED: "stalled, lift and flush",
    CallKind.NEAR: "near",
    CallKind.JUMP: "reading jumped",
    CallKind.LONG: "longer than planned",
}

#: Counted down are the last so many steps before the target, each of so much.
STEPS = 5
STEP = {LengthUnit.MM: 1.0, LengthUnit.INCH: 0.05}
#: A step passed by more than this part of one is not said: it would be wrong by then.
LATE_STEPS = 0.3
#: ... and what is left to go is not said later than this, s.
COUNT_GOOD_S = 1.5

_ONES = (
    *("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"),
    *("ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen"),
    *("eighteen", "nineteen"),
)
_TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")


@dataclass(frozen=True, slots=True)
class Saying:
    """Something to say. The smaller its ``weight``, the weightier; it is true for ``good_s``."""

    words: str
    weight: int = len(PRIORITY)
    good_s: float = inf


class CallOuts:
    """What is said of one burn after the other."""

    def __init__(self) -> None:
        self._in_what: tuple[float, LengthUnit] | None = None
        self._said_steps = STEPS + 1
        self._left_mm: float | None = None

    def of_state(self, state: BurnState, target_mm: float, unit: LengthUnit) -> Saying | None:
        """The count-down at whole steps before the target, with the arc on."""
        is_silent = any(call.kind is CallKind.SILENT for call in state.standing)
        if not state.arc_on or (target_mm, unit) != self._in_what:
            self._in_what, self._said_steps = (target_mm, unit), STEPS + 1
        if not state.arc_on or state.depth_mm is None or is_silent:
            self._left_mm = None
            return None
        self._left_mm = target_mm - state.depth_mm.mid
        left = in_unit(self._left_mm, unit) / STEP[unit]
        steps = ceil(left)
        if not 0 < steps < self._said_steps:
            return None
        self._said_steps = steps
        if steps - left > LATE_STEPS:
            return None
        return Saying(f"{_number(f'{steps * STEP[unit]:.2f}')} to go", good_s=COUNT_GOOD_S)

    def of_call(self, call: Call, unit: LengthUnit) -> Saying:
        """What a call says.

        >>> CallOuts().of_call(Call(1.0, CallKind.THROUGH, 12.4), LengthUnit.MM).words
        'fell through at twelve point four'
        """
        words, weight = SAID[call.kind], PRIORITY[call.kind]
        if call.kind is CallKind.THROUGH and call.depth_mm is not None:
            return Saying(f"{words} at {spoken(call.depth_mm, unit)}", weight)
        if call.kind is CallKind.NEAR and self._left_mm is not None and self._left_mm > 0:
            left = in_unit(self._left_mm, unit) / STEP[unit]
            self._said_steps = min(self._said_steps, ceil(left - LATE_STEPS))
            return Saying(f"{words}, {spoken(self._left_mm, unit)} to go", weight, COUNT_GOOD_S)
        return Saying(words, weight)


def spoken(mm: float, unit: LengthUnit) -> str:
    """A length as it is said, to a tenth of a millimetre; in inches to thousandths, or hundredths.

    >>> spoken(12.44, LengthUnit.MM), spoken(5.02, LengthUnit.MM)
    ('twelve point four', 'five')
    >>> spoken(3.96875, LengthUnit.INCH), spoken(29.4, LengthUnit.INCH)
    ('point one five six', 'one point one six')
    """
    inch_places = 3 if abs(in_unit(mm, LengthUnit.INCH)) < 1 else 2
    places = 1 if unit is LengthUnit.MM else inch_places
    return _number(write_length(mm, unit, places, with_unit=False))


def _number(figures: str) -> str:
    """Figures in words, without needless noughts.

    >>> _number("12.40"), _number("0.156"), _number("1.05"), _number("-107.0")
    ('twelve point four', 'point one five six', 'one point zero five', 'minus one hundred seven')
    >>> _number("0.00")
    'zero'
    """
    sign = "minus " if figures.startswith("-") else ""
    whole, _, part = figures.lstrip("-").partition(".")
    digits = " ".join(_ONES[int(digit)] for digit in part.rstrip("0"))
    if not digits:
        return sign + _whole(int(whole))
    return f"{sign}{_whole(int(whole)) + ' ' if int(whole) else ''}point {digits}"


def _whole(number: int) -> str:
    """A whole number in words; a large one figure by figure.

    >>> _whole(0), _whole(21), _whole(340), _whole(1204)
    ('zero', 'twenty-one', 'three hundred forty', 'one two zero four')
    """
    if number < 20:
        return _ONES[number]
    if number < 100:
        tens, ones = divmod(number, 10)
        return _TENS[tens - 2] + (f"-{_ONES[ones]}" if ones else "")
    if number < 1000:
        hundreds, rest = divmod(number, 100)
        return f"{_ONES[hundreds]} hundred" + (f" {_whole(rest)}" if rest else "")
    return " ".join(_ONES[int(digit)] for digit in str(number))
