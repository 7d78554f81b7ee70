"""What a shop has learnt so far, as far as a plan goes by it; nothing yet is the assumed priors."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from math import log
from statistics import NormalDist
from typing import Final

from cockpit.trade.current import AMPS_PER_MM_HIGH, AMPS_PER_MM_LOW, AmpsPerMm
from cockpit.trade.electrodes import ARC_GAP_MM, LEAST_GAP_MM
from cockpit.trade.learning import Assumed, Belief, Learnt, Lesson, Like, Shares, Sums
from cockpit.trade.timing import (
    HARD_METAL_PART,
    REMOVAL_LOG_SD,
    REMOVAL_MM3_MIN_A,
    Removal,
    assumed_removal,
)
from cockpit.trade.wear import WearPrior

#: How far the arc gap may be off what the rack's profile says: its sd, mm (assumed).
GAP_SD_MM: Final = 0.05
#: How well the width of a burnt hole is measured, for each side: its sd, mm (assumed).
WIDTH_SIDE_SD_MM: Final = 0.03
#: A stop is set by the wear that is passed once in a hundred: there the beliefs have to agree.
WEAR_CHANCE: Final = 0.99
#: However alike its burns were, a shop knows the next wear ratio no better: its sd (assumed).
LEAST_WEAR_SD: Final = 0.02
# What a profile of wear can hold.
_MOST_WEAR, _MOST_WEAR_SD = 0.9, 0.5

# A stop goes by the wear: the scatter is rather thought greater than it is (assumed).
_WEAR_SHARES: Final = Shares(burn=0.40, shop=0.30, electrode=0.10, kind=0.10, material=0.10)
# People of one shop set the current alike (assumed).
_CURRENT_SHARES: Final = Shares(burn=0.40, shop=0.40, electrode=0.10, kind=0.05, material=0.05)

Groups = Mapping[Like, Sums]

_HARD_METAL: Final = "hard metal "


def kind_named(kind: str, hard_metal: bool) -> str:
    """What burns are told apart by: hard metal is another kind of tool.

    >>> kind_named("tap", hard_metal=True)
    'hard metal tap'
    """
    return f"{_HARD_METAL}{kind}" if hard_metal else kind


def rate_part(kind: str | None) -> float:
    """What of the burn rate that is learnt such tools burn at: hard metal takes longer (assumed).

    >>> rate_part("hard metal tap"), rate_part("tap"), rate_part(None)
    (0.5, 1.0, 1.0)
    """
    return HARD_METAL_PART if kind is not None and kind.startswith(_HARD_METAL) else 1.0


def log_rate(burnt_mm3: float, amps: float, arc_s: float, hard_metal: bool = False) -> float:
    """Give the logarithm of the burn rate, in mm3 per minute and ampere.

    As if no tool were of hard metal: what that makes slower is taken off (assumed).

    >>> from math import exp
    >>> round(exp(log_rate(214.8, 137.5, 312.0)), 2)
    0.3
    """
    part = HARD_METAL_PART if hard_metal else 1.0
    return log(burnt_mm3 / (amps * arc_s / 60) / part)


def _as_logged(like: Like) -> Like:
    """The same with its size to the µm, as the log has it: 7/32 in is 5.556 mm there.

    >>> _as_logged(Like(5.55625, "tap")).electrode_mm
    5.556
    """
    if like.electrode_mm is None:
        return like
    return like._replace(electrode_mm=round(like.electrode_mm * 1000) / 1000)


def variance_of_a_burn(assumed: Assumed) -> float:
    """Give the variance from one burn to the next like it, as it is assumed."""
    return assumed.scale**2 * assumed.shares.burn


def weight_beside(variance: float, sd: float) -> float:
    """Give the weight of a burn that was measured with an sd, beside the variance of burns alike.

    1 for one that was measured exactly, less for every other.

    >>> weight_beside(0.01, 0.0), round(weight_beside(0.01, 0.1), 6)
    (1.0, 0.5)
    """
    return variance / (variance + sd * sd)


@dataclass(frozen=True)
class Experience:
    """What the burns of a shop taught, and what was assumed before them.

    ``wear`` and ``gap_mm`` are those of the rack's profile; ``taught``: the burns by what they are
    like, for each lesson.
    """

    wear: WearPrior = field(default_factory=WearPrior)
    gap_mm: float = ARC_GAP_MM
    taught: Mapping[Lesson, Groups] = field(default_factory=dict)

    @cached_property
    def _learnt(self) -> dict[Lesson, Learnt]:
        return {
            lesson: Learnt(assumed, self.taught.get(lesson))
            for lesson, assumed in self.assumed.items()
        }

    @cached_property
    def assumed(self) -> dict[Lesson, Assumed]:
        """What is believed of each figure before the first burn."""
        middle = (AMPS_PER_MM_LOW + AMPS_PER_MM_HIGH) / 2
        half = (AMPS_PER_MM_HIGH - AMPS_PER_MM_LOW) / 2
        return {
            Lesson.RATE: Assumed(log(REMOVAL_MM3_MIN_A), REMOVAL_LOG_SD, is_log=True),
            Lesson.WEAR: Assumed(
                self.wear.mean, self.wear.sd, chance=WEAR_CHANCE, shares=_WEAR_SHARES
            ),
            Lesson.GAP: Assumed(self.gap_mm, GAP_SD_MM),
            Lesson.CURRENT: Assumed(
                middle, half / NormalDist().inv_cdf(0.95), shares=_CURRENT_SHARES
            ),
        }

    def learnt(self, lesson: Lesson) -> Learnt:
        """What was learnt of a figure; without a burn, what is assumed."""
        return self._learnt[lesson]

    def belief(self, lesson: Lesson, like: Like) -> Belief:
        """What is believed of the next burn like this."""
        return self._learnt[lesson].belief(_as_logged(like))

    def knows(self, lesson: Lesson) -> bool:
        """Whether any burn has taught it."""
        return self._learnt[lesson].burns > 0

    def knows_electrode(self, electrode_mm: float) -> bool:
        """Whether wear or gap of this very size were seen."""
        taught = (self._learnt[lesson].groups for lesson in (Lesson.WEAR, Lesson.GAP))
        size_mm = _as_logged(Like(electrode_mm)).electrode_mm
        return any(like.electrode_mm == size_mm for groups in taught for like in groups)

    def wear_for(self, like: Like) -> WearPrior:
        """The wear ratio that a plan reckons with."""
        belief = self.belief(Lesson.WEAR, like)
        sd = max(belief.sd_at(WEAR_CHANCE), LEAST_WEAR_SD)
        return WearPrior(
            mean=min(max(belief.location, 0.0), _MOST_WEAR),
            sd=min(sd, _MOST_WEAR_SD),
            source=learnt_from(belief),
        )

    def removal(self, like: Like, hard_metal: bool) -> Removal:
        """The burn rate that a plan reckons with."""
        if not self.knows(Lesson.RATE):
            return assumed_removal(hard_metal)
        belief = self.belief(Lesson.RATE, like)
        part = HARD_METAL_PART if hard_metal else 1.0
        median = belief.median * part
        return Removal(
            median=median,
            low=belief.quantile(0.05) * part,
            high=belief.quantile(0.95) * part,
            burns=belief.burns,
            alike=belief.alike,
            source=f"{median:.2g} mm3 per minute and ampere, {learnt_from(belief)}",
        )

    def amps_per_mm(self, like: Like) -> AmpsPerMm:
        """The current for each mm of electrode that a plan reckons with."""
        if not self.knows(Lesson.CURRENT):
            return AmpsPerMm()
        belief = self.belief(Lesson.CURRENT, like)
        low, high = belief.quantile(0.05), belief.quantile(0.95)
        return AmpsPerMm(low=max(low, 0.0), high=high, source=learnt_from(belief))

    def gap_for(self, like: Like) -> tuple[float, str]:
        """The arc gap that a plan reckons with, mm, and where it comes from."""
        belief = self.belief(Lesson.GAP, like)
        return max(belief.location, LEAST_GAP_MM), learnt_from(belief, "hole")


def learnt_from(belief: Belief, what: str = "burn") -> str:
    """Say what a figure rests on.

    >>> learnt_from(Belief(0.25, 0.1, 12, burns=8, alike=3))
    'learnt from 8 burns, 3 of them alike'
    >>> learnt_from(Belief(0.25, 0.1, 5, burns=1, alike=1), "hole")
    'learnt from 1 hole, one just like it'
    """
    if belief.burns == 1:
        alike = "one just like it" if belief.alike else "not one like it"
        return f"learnt from 1 {what}, {alike}"
    alike = f"{belief.alike} of them alike" if belief.alike else "none of them alike"
    return f"learnt from {belief.burns} {what}s, {alike}"
