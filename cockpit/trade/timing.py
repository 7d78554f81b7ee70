"""How long the arc will be on."""

from math import exp, pi
from statistics import NormalDist
from typing import Final

from cockpit.trade.base import Frozen
from cockpit.trade.figures import FigureError, Figures
from cockpit.units import write_clock

# Volume removed, in mm3 per minute and ampere, and the sd of its logarithm (assumed; to be learnt
# from the shop's own log, which is not done yet).
REMOVAL_MM3_MIN_A: Final = 0.30
REMOVAL_LOG_SD: Final = 0.5
# Hard metal goes about half as fast (assumed).
HARD_METAL_PART: Final = 0.5


class BurnTime(Frozen):
    """Arc time of a hole, in s: median and 90 % interval.

    ``burns_known`` is how many burns of the log it rests on: none yet.
    """

    median_s: float
    low_s: float
    high_s: float
    burns_known: int = 0


def burnt_area_mm2(hole_mm: float, bore_mm: float, gap_mm: float, core_washed: bool) -> float:
    """Give the area that burns away, in mm2: a ring around the core, or the full disc.

    The arc also cuts the core from outside, so it is thinner than the bore by two gaps.

    >>> round(burnt_area_mm2(4.27, 1.6, 0.15, core_washed=True), 2)
    14.32
    """
    core_mm = 0.0 if core_washed else max(bore_mm - 2 * gap_mm, 0.0)
    return pi / 4 * (hole_mm**2 - core_mm**2)


def burn_time(
    area_mm2: float,
    burn_mm: float,
    amps: float,
    hard_metal: bool = False,
    figures: Figures | None = None,
) -> BurnTime:
    """Give the arc time for an area burnt ``burn_mm`` deep at a current in A.

    Removal rate V = k I with k = 0.30 mm3/min/A, log-normal with log-sd 0.5 (assumed); hard metal
    takes half of k (assumed). Time = area x depth / V.

    >>> time = burn_time(14.3, 15, 137.5)
    >>> round(time.median_s), round(time.low_s), round(time.high_s)
    (312, 137, 710)
    """
    figures = figures or Figures()
    source = f"{REMOVAL_MM3_MIN_A} mm3 per minute and ampere, log-sd {REMOVAL_LOG_SD} (assumed)"
    if hard_metal:
        source += f"; hard metal at {HARD_METAL_PART:g} of that (assumed)"
    rate_mm3_min = REMOVAL_MM3_MIN_A * amps * (HARD_METAL_PART if hard_metal else 1.0)
    spread = exp(NormalDist().inv_cdf(0.95) * REMOVAL_LOG_SD)
    median_s = figures.take("time.median_s", area_mm2 * burn_mm / rate_mm3_min * 60, source)
    low_s = figures.take("time.low_s", median_s / spread, f"5 % quantile; {source}")
    high_s = figures.take("time.high_s", median_s * spread, f"95 % quantile; {source}")
    if not low_s <= median_s <= high_s:
        raise FigureError(
            f"The arc time of {write_clock(median_s)} min is not between {write_clock(low_s)} and "
            f"{write_clock(high_s)} min: override all three.",
            field="time.median_s",
        )
    figures.note({"time.burns_known": "no burn of the log is used yet"})
    return BurnTime(median_s=median_s, low_s=low_s, high_s=high_s)
