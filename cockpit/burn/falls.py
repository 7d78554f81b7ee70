"""Fall-through: is this still the burn, or has the tip come through into the open?

Page's sum (``cusum.py``) over the new travel. The null is the burn's own feed, up to the softest
layer that is still a burn; what tells against it is travel beyond a reference half-way between that
and the slowest fall. The threshold follows from the noise of the readings, so that a burn in the
softest layer would be called a fall by noise alone once in ``FALSE_ALARM_H`` of arc.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from cockpit.burn.cusum import Cusum, threshold_sds

#: A softer layer burns up to this many times as fast as the burn did, and is still a burn.
SOFT_TIMES: Final = 3.0
#: A fall is at least this many times as fast ...
FALL_TIMES: Final = 6.0
#: ... and has to show itself by this much new travel, mm.
FALL_MM: Final = 0.15
#: Six times a crawl is still a burn: slower than this nothing falls, mm/s (assumed).
SLOWEST_FALL_MM_S: Final = 0.12
#: The stated false-alarm rate: once in so many hours of arc, all of it in the softest layer.
FALSE_ALARM_H: Final = 10_000.0
#: Readings smoothed over less time than this are not independent of each other, s.
INDEPENDENT_S: Final = 0.25
#: Readings that come within less time than this are one moment: a computer that was stuck hands
#: over at once what has been waiting, s.
MOMENT_S: Final = 0.015
#: Whether a fall has ended is judged over this much time, s (assumed).
ENDING_S: Final = 0.5

# Of two figures with the same noise, the noise of the difference.
_DIFFERENCE: Final = math.sqrt(2)
# The least that tells, whatever the noise is thought to be, mm.
_LEAST_MM: Final = 0.02


@dataclass(frozen=True, slots=True)
class Fall:
    """A fall-through. ``from_high_mm``: the high-water travel where it began."""

    from_high_mm: float


class FallWatch:
    """Fed with the new travel of each reading while the tip is at the mark."""

    def __init__(self) -> None:
        self._page = Cusum()
        # The sum before the moment that is still open, what the moment adds, and how old it is.
        self._before = self._excess_mm = self._moment_s = 0.0
        self._from_mm = -math.inf
        self._own_mm_s = 0.0

    @property
    def is_quiet(self) -> bool:
        """Whether nothing speaks for a fall."""
        return self._page.value == 0

    @property
    def reference_mm_s(self) -> float:
        """Travel faster than this speaks for a fall, slower against it, mm/s."""
        return max((SOFT_TIMES + FALL_TIMES) / 2 * self._own_mm_s, SLOWEST_FALL_MM_S)

    def forget(self) -> None:
        """Start afresh."""
        self._page.value = self._before = self._excess_mm = self._moment_s = 0.0

    def take(
        self, gain_mm: float, dt_s: float, high_mm: float, own_mm_s: float, noise_mm: float
    ) -> Fall | None:
        """Take ``gain_mm`` of new travel up to ``high_mm``, gained in ``dt_s``; tell a fall.

        ``own_mm_s``: the burn's own feed up to now. ``noise_mm``: sd of a travel.
        """
        if self.is_quiet:
            self._own_mm_s, self._from_mm = own_mm_s, high_mm - gain_mm
        self._moment_s += dt_s
        if self._moment_s >= MOMENT_S:
            self._before, self._excess_mm, self._moment_s = self._page.value, 0.0, 0.0
        self._excess_mm += gain_mm - self.reference_mm_s * dt_s
        self._page.value = self._before
        self._page.add(self._excess_mm)
        if high_mm - self._from_mm < FALL_MM or self.is_quiet:
            return None
        is_fall = self._page.value >= self._threshold_mm(dt_s, noise_mm)
        return Fall(self._from_mm) if is_fall else None

    def _threshold_mm(self, dt_s: float, noise_mm: float) -> float:
        block_s = max(dt_s, INDEPENDENT_S)
        sd_mm = _DIFFERENCE * noise_mm
        soft_mm_s = SOFT_TIMES / ((SOFT_TIMES + FALL_TIMES) / 2) * self.reference_mm_s
        drift_sds = (soft_mm_s - self.reference_mm_s) * block_s / sd_mm
        alarm_sds = threshold_sds(drift_sds, FALSE_ALARM_H * 3600 / block_s)
        return max(alarm_sds * sd_mm, _LEAST_MM)
