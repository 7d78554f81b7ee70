"""How much of the electrode is gone: what is believed before a burn, and what measuring tells.

A plan and a burn use this same filter, so that the stop a plan promises is the one the burn gets.
Travel is what the indicator shows; the depth burnt is the travel less the wear.

State: the wear ``w`` (mm) and the wear ratio ``r`` (mm of electrode lost per mm of new travel into
material). New travel moves ``w`` by ``r`` times itself and lets ``r`` drift; a measurement sharpens
both at once, because they are correlated through the travel since the last one.

Source: R. E. Kalman, "A New Approach to Linear Filtering and Prediction Problems", J. Basic Eng.
82 (1960) 35-45, for the two steps; the noise figures are assumed; the gauge's profile may say more.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from statistics import NormalDist
from typing import Final

from pydantic import Field

from cockpit.trade.base import Frozen

#: Two-sided 95 % and one-sided 99 % of the normal distribution: the interval that is shown, and the
#: chance of passing a limit that is taken.
Z95: Final = NormalDist().inv_cdf(0.975)
Z99: Final = NormalDist().inv_cdf(0.99)

# An electrode that loses more than this of its travel does not cut at all (assumed).
GREATEST_RATIO: Final = 0.95

#: Random walk of the wear ratio with travel: sd per square root of a millimetre (assumed).
RATIO_DRIFT_SD = 0.005


@dataclass(frozen=True, slots=True)
class MeasurementNoise:
    """Standard deviations of the three measurements, mm (assumed; a gauge profile may say more)."""

    touch_sd_mm: float = 0.03
    length_sd_mm: float = 0.05
    gauged_sd_mm: float = 0.15


class WearPrior(Frozen):
    """What is believed of the wear ratio before the burn: normal, mean and standard deviation."""

    mean: float = Field(default=0.25, ge=0, le=0.9)
    sd: float = Field(default=0.10, gt=0, le=0.5)
    source: str = "assumed"

    def quantile(self, chance: float) -> float:
        """Give the wear ratio that is not reached with ``chance``, held between 0 and 0.95.

        >>> round(WearPrior(mean=0.25, sd=0.1).quantile(0.95), 3)
        0.414
        """
        ratio = NormalDist(self.mean, self.sd).inv_cdf(chance)
        return min(max(ratio, 0.0), GREATEST_RATIO)

    def __str__(self) -> str:
        return f"wear ratio {self.mean:g}, sd {self.sd:g} ({self.source})"


@dataclass(frozen=True, slots=True)
class Wear:
    """Belief about the wear: means and covariance of (wear mm, ratio)."""

    wear_mm: float
    ratio: float
    var_wear: float = 0.0
    cov: float = 0.0
    var_ratio: float = 0.0

    @classmethod
    def prior(cls, mean: float, sd: float) -> Wear:
        """A new electrode: nothing lost yet, the ratio as the plan believes it."""
        return cls(0.0, mean, 0.0, 0.0, sd * sd)

    @property
    def sd_mm(self) -> float:
        """Standard deviation of the wear, mm."""
        return math.sqrt(self.var_wear)

    @property
    def ratio_sd(self) -> float:
        """Standard deviation of the ratio."""
        return math.sqrt(self.var_ratio)

    @property
    def within_reason(self) -> Wear:
        """The same with a ratio that an electrode can have, 0 to 0.95.

        Measurements may pull the ratio of the filter beyond; a stop or a feed must not follow it.
        """
        return replace(self, ratio=min(max(self.ratio, 0.0), GREATEST_RATIO))

    def travelled(self, new_mm: float, drift_sd: float = RATIO_DRIFT_SD) -> Wear:
        """The belief after ``new_mm`` of new travel into material (>= 0).

        The covariance is exact for a ratio that drifts as a Wiener process while the wear
        integrates it, so the result does not depend on how the travel is cut into readings.

        >>> w = Wear.prior(0.25, 0.10).travelled(8.0, drift_sd=0.0)
        >>> round(w.wear_mm, 6), round(w.sd_mm, 6)
        (2.0, 0.8)
        """
        q = drift_sd * drift_sd
        return Wear(
            self.wear_mm + self.ratio * new_mm,
            self.ratio,
            self.var_wear
            + 2 * new_mm * self.cov
            + new_mm * new_mm * self.var_ratio
            + q * new_mm**3 / 3,
            self.cov + new_mm * self.var_ratio + q * new_mm**2 / 2,
            self.var_ratio + q * new_mm,
        )

    def renewed(self, wear_mm: float, sd_mm: float) -> Wear:
        """Another electrode of the same kind, which has lost ``wear_mm``, known to ``sd_mm``."""
        return Wear(wear_mm, self.ratio, sd_mm * sd_mm, 0.0, self.var_ratio)

    def depth_mm(self, travel_mm: float, sds: float = 0.0) -> float:
        """The depth at a travel, mm, or so many standard deviations deeper than believed."""
        return travel_mm - self.wear_mm + sds * self.sd_mm

    def measured(self, wear_mm: float, sd_mm: float) -> Wear:
        """The belief after the wear itself was measured as ``wear_mm`` with ``sd_mm``.

        >>> w = Wear.prior(0.25, 0.10).travelled(8.0, drift_sd=0.0).measured(2.4, 0.03)
        >>> round(w.wear_mm, 3), round(w.ratio, 3), w.ratio_sd < 0.01
        (2.399, 0.3, True)
        """
        spread = self.var_wear + sd_mm * sd_mm
        gain_wear, gain_ratio = self.var_wear / spread, self.cov / spread
        # What the gauge's variance leaves of the belief's: 1 - gain, without losing its digits.
        left = sd_mm * sd_mm / spread
        miss = wear_mm - self.wear_mm
        return Wear(
            self.wear_mm + gain_wear * miss,
            self.ratio + gain_ratio * miss,
            self.var_wear * left,
            self.cov * left,
            # Never below zero, where only rounding could bring it.
            max(0.0, self.var_ratio - gain_ratio * self.cov),
        )
