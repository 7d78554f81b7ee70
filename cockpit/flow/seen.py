"""What the cockpit can see of a check for itself, and what it says where it sees otherwise."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from cockpit.gauges.protocol import FRESH_S
from cockpit.units import write_both

#: The indicator counts as zeroed within this, mm.
ZERO_WITHIN_MM = 0.05
#: A head that was lifted shows at least so much, well over any noise, mm (assumed).
MOVED_MM = 0.2


@dataclass(frozen=True, slots=True)
class Doubt:
    """Why a check is not simply taken. ``waits_for``: what would do away with the doubt."""

    sentence: str
    waits_for: str


class Watch:
    """Watches the gauge while one check is on the screen; fed in the order of time.

    ``live``: what the check wants to see. A gauge that does not ``stream`` can't be watched: then
    nothing confirms itself, and nothing is doubted.

    >>> watch = Watch("gauge", streams=True)
    >>> for t_s, travel_mm in ((0.0, 5.0), (0.2, 5.01)):
    ...     watch.saw(t_s, travel_mm)
    >>> watch.confirms(0.2, is_still=True)
    False
    >>> for t_s, travel_mm in ((0.4, 4.6), (0.6, 4.5)):
    ...     watch.saw(t_s, travel_mm)
    >>> watch.confirms(0.6, is_still=False)
    True
    """

    def __init__(self, live: Literal["gauge", "zero"] | None, *, streams: bool) -> None:
        self._live = live if streams else None
        self._first_mm: float | None = None
        self._last_mm: float | None = None
        self._last_s = 0.0
        self._away = 0
        self._has_moved = False

    @property
    def watches(self) -> bool:
        """Whether there is anything to be seen."""
        return self._live is not None

    def saw(self, t_s: float, travel_mm: float) -> None:
        """Take the newest reading."""
        if self._first_mm is None:
            self._first_mm = travel_mm
        self._last_s, self._last_mm = t_s, travel_mm
        # Twice, since a single reading may be a spike.
        self._away = self._away + 1 if abs(travel_mm - self._first_mm) > MOVED_MM else 0
        self._has_moved = self._has_moved or self._away > 1

    def reading_mm(self, now_s: float) -> float | None:
        """What the gauge shows now, mm; None while it is silent."""
        return self._last_mm if now_s - self._last_s <= FRESH_S else None

    def confirms(self, now_s: float, *, is_still: bool) -> bool:
        """Whether the check confirms itself by what is seen.

        An indicator that stood all the while may show the zero of the hole before: only a person
        can say that the tip is on the face.
        """
        is_seen = self.watches and self._has_moved
        return is_seen and self.doubt(now_s, is_still=is_still) is None

    def doubt(self, now_s: float, *, is_still: bool) -> Doubt | None:
        """Why the check is not right by what is seen; None if it is, or nothing can be seen."""
        reading_mm = self.reading_mm(now_s)
        if self._live is None:
            return None
        if reading_mm is None:
            return Doubt(
                "Nothing is heard from the gauge: look at its cable and its power.",
                "once the gauge is heard",
            )
        if self._live == "gauge":
            return None if self._has_moved else self._unmoved(reading_mm)
        if abs(reading_mm) > ZERO_WITHIN_MM:
            return Doubt(
                f"The indicator shows {write_both(reading_mm)}: zero it with the tip on the face.",
                "once it shows zero",
            )
        if not is_still:
            return Doubt(
                "The indicator is not still: hold the tip on the reference face.",
                "once it is still",
            )
        return None

    def _unmoved(self, reading_mm: float) -> Doubt:
        return Doubt(
            f"The reading stands at {write_both(reading_mm)}: lift the head a little.",
            "once the reading moves",
        )

    def said(self, now_s: float) -> str:
        """What the gauge shows, for the log."""
        reading_mm = self.reading_mm(now_s)
        return (
            "the gauge was silent"
            if reading_mm is None
            else f"the gauge showed {reading_mm:.2f} mm"
        )
