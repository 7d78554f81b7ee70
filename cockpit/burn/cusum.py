"""A sequential test for a change of drift: is this still the burn, or is the tip falling?

Source: E. S. Page, "Continuous Inspection Schemes", Biometrika 41 (1954) 100-115, for the scheme;
D. Siegmund, "Sequential Analysis" (1985), ch. II and X, for its run length. Both from memory; the
tests hold the run length against Page's integral equations and against simulated runs.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

# Mean overshoot of a normal random walk over a barrier, in sds (Siegmund 1985, from memory).
OVERSHOOT_SDS: Final = 0.583
# Solves for a threshold to better than any gauge can show.
_HALVINGS: Final = 60


@dataclass(slots=True)
class Cusum:
    """Page's one-sided sum: what came beyond the reference, since it was last all taken back.

    >>> page = Cusum()
    >>> [page.add(excess) for excess in (0.5, -0.75, 0.25, 0.5)]
    [0.5, 0.0, 0.25, 0.75]
    """

    value: float = 0.0

    def add(self, excess: float) -> float:
        """Take the next increment less its reference, in any unit; return the sum."""
        self.value = max(0.0, self.value + excess)
        return self.value


def run_length(drift_sds: float, threshold_sds: float) -> float:
    """Mean number of normal increments until the sum passes its threshold.

    ``drift_sds``: mean of an increment less its reference, in its sds; below zero for a process in
    control. ``threshold_sds``: threshold in the same.

    Siegmund's approximation, held against Page's integral equations. With a threshold of 1 to 8 sds
    and a drift of -0.25 to -0.5 it is within 2 %, to -1 within 8 %. A stronger drift makes it say
    too much: up to 1.25 times the true length at -1.5, 1.64 at -2 and 2.5 at -2.5, so that false
    calls come as much more often. Under a threshold of 1 sd it says too little: at half an sd by a
    tenth with a drift of -0.5, by half at -2.5.

    >>> round(run_length(-0.5, 4.0))
    338
    """
    barrier = threshold_sds + 2 * OVERSHOOT_SDS
    if drift_sds == 0:
        return barrier * barrier
    exponent = -2 * drift_sds * barrier
    if exponent > 700:
        return math.inf
    return (math.exp(exponent) - exponent - 1) / (2 * drift_sds * drift_sds)


def threshold_sds(drift_sds: float, increments: float) -> float:
    """The threshold, in sds, at which ``run_length`` is ``increments``; not below zero.

    >>> round(threshold_sds(-0.5, 338), 2)
    4.0
    """
    low, high = 0.0, 1.0
    while run_length(drift_sds, high) < increments:
        high *= 2
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        if run_length(drift_sds, middle) < increments:
            low = middle
        else:
            high = middle
    return high
