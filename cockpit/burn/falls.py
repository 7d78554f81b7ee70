"""Fall-through: is this still the burn, or has the tip come through into the open?

Page's sum (``cusum.py``) over the new travel. The null is the burn's own feed, up to the softest
layer that is still a burn; what tells against it is travel beyond a reference half-way between that
and the slowest fall. The threshold is the one at which a burn that stays in the softest layer, with
a feed as uneven as ``UNEVEN``, would be called a fall once in ``FALSE_ALARM_H`` of arc.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from cockpit.burn.cusum import Cusum, threshold_sds

#: A softer layer burns up to this many times as fast as the burn did, and is still a burn (assumed,
#: as all figures here).
SOFT_TIMES: Final = 3.0
#: A fall is at least this many times as fast ...
FALL_TIMES: Final = 6.0
#: ... and has to show itself by this much new travel, mm.
FALL_MM: Final = 0.15
#: Six times a crawl is still a burn: slower than this nothing falls, mm/s (assumed).
SLOWEST_FALL_MM_S: Final = 0.12
#: The stated false-alarm rate: once in so many hours of arc, all of it in the softest layer.
FALSE_ALARM_H: Final = 10_000.0
#: From one such stretch of burning to the next, s, the feed varies by this part of itself, as a sd,
#: each stretch for itself (both assumed).
STRETCH_S: Final = 0.25
UNEVEN: Final = 0.25
#: The sum has to rise out of the noise of the readings by this many of their sds.
OUT_OF_NOISE_SDS: Final = 4.0
#: Readings that come within less time than this are one moment: a computer that was stuck hands
#: over at once what has been waiting, s; after a longer gap it may take so much longer (assumed).
MOMENT_S: Final = 0.015
GAP_S: Final = 0.6
AFTER_GAP_S: Final = 0.25
#: Whether a fall has ended is judged over this much time, s (assumed).
ENDING_S: Final = 0.5

_REFERENCE_TIMES: Final = (SOFT_TIMES + FALL_TIMES) / 2
# The threshold in terms of the softest layer's travel in a stretch.
_SOFT_SD: Final = UNEVEN * SOFT_TIMES
# With a drift as strong as this one the approximation says up to 1.64 times too much.
_APPROXIMATION: Final = 1.7
_ALARM: Final = _SOFT_SD * threshold_sds(
    (SOFT_TIMES - _REFERENCE_TIMES) / _SOFT_SD, _APPROXIMATION * FALSE_ALARM_H * 3600 / STRETCH_S
)


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
        self._moment_lasts_s = MOMENT_S
        self._from_mm = -math.inf
        self._own_mm_s = 0.0

    @property
    def is_quiet(self) -> bool:
        """Whether nothing speaks for a fall."""
        return self._page.value == 0

    @property
    def reference_mm_s(self) -> float:
        """Travel faster than this speaks for a fall, slower against it, mm/s."""
        return max(_REFERENCE_TIMES * self._own_mm_s, SLOWEST_FALL_MM_S)

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
        if self._moment_s >= self._moment_lasts_s:
            self._before, self._excess_mm, self._moment_s = self._page.value, 0.0, 0.0
            self._moment_lasts_s = AFTER_GAP_S if dt_s > GAP_S else MOMENT_S
        self._excess_mm += gain_mm - self.reference_mm_s * dt_s
        self._page.value = self._before
        self._page.add(self._excess_mm)
        if high_mm - self._from_mm < FALL_MM or self.is_quiet:
            return None
        is_fall = self._page.value >= self._threshold_mm(noise_mm)
        return Fall(self._from_mm) if is_fall else None

    def _threshold_mm(self, noise_mm: float) -> float:
        own_mm = self.reference_mm_s / _REFERENCE_TIMES * STRETCH_S
        return max(_ALARM * own_mm, OUT_OF_NOISE_SDS * noise_mm)
