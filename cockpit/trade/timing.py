"""How long the arc will be on."""

from math import exp, pi
from statistics import NormalDist
from typing import Final

from cockpit.trade.base import Frozen
from cockpit.trade.figures import FigureError, Figures
from cockpit.units import write_clock

# Volume removed, in mm3 per minute and ampere, and the sd of its logarithm (assumed, until the
# shop's own burns say more).
REMOVAL_MM3_MIN_A: Final = 0.30
REMOVAL_LOG_SD: Final = 0.5
# Hard metal goes about half as fast (assumed).
HARD_METAL_PART: Final = 0.5


class Removal(Frozen):
    """The burn rate, in mm3 per minute and ampere: its median, and the 5 % and 95 % quantiles.

    ``burns`` is how many burns of the log it rests on, ``alike`` how many of them were just like
    this one, ``source`` what is to be said of it.
    """

    median: float
    low: float
    high: float
    burns: int = 0
    alike: int = 0
    source: str


def assumed_removal(hard_metal: bool = False) -> Removal:
    """Give the burn rate of a shop without a log.

    0.30 mm3 per minute and ampere, log-normal with log-sd 0.5; half of that for hard metal
    (assumed).

    >>> round(assumed_removal().low, 3), round(assumed_removal(hard_metal=True).median, 3)
    (0.132, 0.15)
    """
    spread = exp(NormalDist().inv_cdf(0.95) * REMOVAL_LOG_SD)
    source = f"{REMOVAL_MM3_MIN_A} mm3 per minute and ampere, log-sd {REMOVAL_LOG_SD} (assumed)"
    median = REMOVAL_MM3_MIN_A
    if hard_metal:
        median *= HARD_METAL_PART
        source += f"; hard metal at {HARD_METAL_PART:g} of that (assumed)"
    return Removal(median=median, low=median / spread, high=median * spread, source=source)


def fastest_s(median_s: float) -> float:
    """Give the 5 % quantile of an arc time, in s, where nothing but its median is known (assumed).

    >>> round(fastest_s(312.0))
    137
    """
    return median_s / exp(NormalDist().inv_cdf(0.95) * REMOVAL_LOG_SD)


class BurnTime(Frozen):
    """Arc time of a hole, in s: median and 90 % interval.

    ``burns_known`` is how many burns of the log it rests on, ``alike`` how many of them had the
    same electrode, kind and material; ``area_mm2`` the area that burns away, None in plans of an
    earlier cockpit.
    """

    median_s: float
    low_s: float
    high_s: float
    burns_known: int = 0
    alike: int = 0
    area_mm2: float | None = None


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
    removal: Removal | None = None,
    figures: Figures | None = None,
) -> BurnTime:
    """Give the arc time for an area burnt ``burn_mm`` deep at a current in A.

    Time = area x depth / (k I), k being the burn rate; the assumed one unless told.

    >>> time = burn_time(14.3, 15, 137.5)
    >>> round(time.median_s), round(time.low_s), round(time.high_s)
    (312, 137, 710)
    """
    figures, removal = figures or Figures(), removal or assumed_removal()
    source = removal.source
    usual_s = area_mm2 * burn_mm / (removal.median * amps) * 60
    median_s = figures.take("time.median_s", usual_s, source)
    faster, slower = removal.high / removal.median, removal.median / removal.low
    low_s = figures.take("time.low_s", median_s / faster, f"5 % quantile; {source}")
    high_s = figures.take("time.high_s", median_s * slower, f"95 % quantile; {source}")
    if not low_s <= median_s <= high_s:
        raise FigureError(
            f"The arc time of {write_clock(median_s)} min is not between {write_clock(low_s)} and "
            f"{write_clock(high_s)} min: override all three.",
            field="time.median_s",
        )
    known = "the shop's own log" if removal.burns else "no burn of the log is used"
    area = "the burnt hole, less the core that stays"
    figures.note({"time.burns_known": known, "time.alike": known, "time.area_mm2": area})
    return BurnTime(
        median_s=median_s,
        low_s=low_s,
        high_s=high_s,
        burns_known=removal.burns,
        alike=removal.alike,
        area_mm2=area_mm2,
    )
