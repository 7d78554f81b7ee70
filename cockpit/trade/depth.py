"""How deep: the target, the bottom limit, and where to set the stop while the electrode wears.

Depths are from the part's surface, positive down. Travel is what the indicator shows; the wear
ratio r is the electrode length lost per mm of travel into material, so that travel T into material
deepens the hole by T (1 - r). A stop set at travel s reaches, with certainty, no deeper than s.
"""

from statistics import NormalDist
from typing import Final

from pydantic import Field

from cockpit.trade.base import Frozen
from cockpit.trade.errors import TicketError
from cockpit.units import write_both

# Left standing above the bottom of a blind hole (assumed).
BOTTOM_ALLOWANCE_MM: Final = 0.5
# The greatest chance of burning past the bottom limit that a stop may carry (assumed).
DEEPER_CHANCE: Final = 0.01
# How far past the target of a through hole the stop stands, so the tip breaks clear (assumed).
THROUGH_TRAVEL_MM: Final = 1.0
# An electrode that loses more than this of its travel does not cut at all (assumed).
_GREATEST_WEAR: Final = 0.95


class DepthError(TicketError):
    """Depths that contradict each other; ``field`` names the one to look at."""


class WearPrior(Frozen):
    """What is believed of the wear ratio before the burn: normal, cut to 0 to 0.95."""

    mean: float = Field(default=0.25, ge=0, le=0.9)
    sd: float = Field(default=0.10, gt=0, le=0.5)
    source: str = "assumed"

    def chance_below(self, ratio: float) -> float:
        """Give the chance that the wear ratio is below ``ratio``, from 0 to 1.

        >>> round(WearPrior(mean=0.25, sd=0.1).chance_below(0.25), 3)
        0.497
        """
        below, within = self._tails()
        inside = min(max(ratio, 0.0), _GREATEST_WEAR)
        return (NormalDist(self.mean, self.sd).cdf(inside) - below) / within

    def quantile(self, chance: float) -> float:
        """Give the wear ratio that is not reached with ``chance`` between 0 and 1.

        >>> round(WearPrior(mean=0.25, sd=0.1).quantile(0.01), 3)
        0.036
        """
        below, within = self._tails()
        return NormalDist(self.mean, self.sd).inv_cdf(below + chance * within)

    @property
    def upper(self) -> float:
        """The wear ratio to be ready for: mean + 2 sd."""
        return min(self.mean + 2 * self.sd, _GREATEST_WEAR)

    def _tails(self) -> tuple[float, float]:
        """Give the chance below 0, and the chance within 0 to 0.95, of the uncut normal."""
        normal = NormalDist(self.mean, self.sd)
        below = normal.cdf(0.0)
        return below, normal.cdf(_GREATEST_WEAR) - below


class DepthPlan(Frozen):
    """Where the burn begins and ends, and where the stop goes; all in mm from the surface.

    ``limit_mm`` is None for a through hole. ``stops_mm`` are figures of travel, as the indicator
    shows them; the first one is always there, later ones follow from touching off.
    """

    recess_mm: float
    target_mm: float
    limit_mm: float | None
    burn_mm: float
    stops_mm: tuple[float, ...]


def depth_plan(
    *,
    depth_mm: float,
    recess_mm: float,
    through: bool,
    sister_depth_mm: float | None = None,
    tool_end_mm: float | None = None,
    wear: WearPrior | None = None,
) -> DepthPlan:
    """Plan target, bottom limit and first stop of a hole, in mm; raises DepthError.

    Bottom limit: the least of print depth and sister hole, less 0.5 mm (assumed); none for a
    through hole. Target: the end of the broken tool if known, but never past the limit; else the
    limit, or the thickness of a through hole.

    >>> plan = depth_plan(depth_mm=22, recess_mm=3, through=False)
    >>> plan.target_mm, plan.limit_mm, plan.burn_mm, round(plan.stops_mm[0], 2)
    (21.5, 21.5, 18.5, 22.19)
    """
    _refuse_depths(depth_mm, recess_mm, sister_depth_mm)
    bottom_mm = min(depth_mm, depth_mm if sister_depth_mm is None else sister_depth_mm)
    limit_mm = None if through else bottom_mm - BOTTOM_ALLOWANCE_MM
    target_mm = _target(bottom_mm, limit_mm, tool_end_mm)
    if recess_mm >= target_mm:
        raise DepthError(
            f"The break at {write_both(recess_mm)} leaves nothing to burn above the target at "
            f"{write_both(target_mm)}: measure how far below the surface the break sits.",
            field="recess_mm",
        )
    stop_mm = next_stop_mm(recess_mm, recess_mm, target_mm, limit_mm, wear or WearPrior())
    return DepthPlan(
        recess_mm=recess_mm,
        target_mm=target_mm,
        limit_mm=limit_mm,
        burn_mm=target_mm - recess_mm,
        stops_mm=(stop_mm,),
    )


def next_stop_mm(
    travel_mm: float, depth_mm: float, target_mm: float, limit_mm: float | None, wear: WearPrior
) -> float:
    """Give the travel to set the stop at, in mm, where ``travel_mm`` now stands at ``depth_mm``.

    As deep as the target may need, travel + (target - depth)/(1 - upper r), a through hole 1 mm
    more; but with a bottom limit never so deep that the chance of passing it is over 1 %,
    travel + (limit - depth)/(1 - q), q the wear ratio that only 1 % fall below. The depth counts
    as known: after a touch-off give the upper bound of the estimate. Before the first burn travel
    and depth are both the depth of the break.

    >>> round(next_stop_mm(3, 3, 21.5, None, WearPrior()), 2)
    37.64
    """
    needed_mm = (target_mm - depth_mm) / (1 - wear.upper)
    if limit_mm is None:
        return travel_mm + max(needed_mm, 0.0) + THROUGH_TRAVEL_MM
    safe_mm = (limit_mm - depth_mm) / (1 - wear.quantile(DEEPER_CHANCE))
    return travel_mm + max(min(needed_mm, safe_mm), 0.0)


def chance_deeper(
    stop_mm: float, limit_mm: float, travel_mm: float, depth_mm: float, wear: WearPrior
) -> float:
    """Give the chance, 0 to 1, that a burn to the stop ends deeper than the limit; lengths in mm.

    Depth at the stop = depth now + (stop - travel now)(1 - r).

    >>> round(chance_deeper(22.19, 21.5, 3, 3, WearPrior()), 3)
    0.01
    """
    if stop_mm <= travel_mm:
        return 0.0 if depth_mm <= limit_mm else 1.0
    return wear.chance_below(1 - (limit_mm - depth_mm) / (stop_mm - travel_mm))


def _target(bottom_mm: float, limit_mm: float | None, tool_end_mm: float | None) -> float:
    """Give the depth to burn to: the end of the broken tool, or as deep as the hole allows."""
    deepest_mm = bottom_mm if limit_mm is None else limit_mm
    if tool_end_mm is None:
        return deepest_mm
    if tool_end_mm <= 0:
        raise DepthError(
            f"The broken tool cannot end at {write_both(tool_end_mm)}: give the depth of its end "
            "from the surface, or leave it empty.",
            field="tool_end_mm",
        )
    if limit_mm is None:
        return tool_end_mm
    if tool_end_mm > bottom_mm:
        raise DepthError(
            f"The broken tool cannot end at {write_both(tool_end_mm)}, below the bottom of the "
            f"hole at {write_both(bottom_mm)}: measure one of them again.",
            field="tool_end_mm",
        )
    return min(tool_end_mm, limit_mm)


def _refuse_depths(depth_mm: float, recess_mm: float, sister_depth_mm: float | None) -> None:
    """Refuse depths that no hole has."""
    for field, name, mm in (
        ("depth_mm", "The depth of the hole", depth_mm),
        ("sister_depth_mm", "The depth of the sister hole", sister_depth_mm),
    ):
        if mm is not None and mm <= 0:
            raise DepthError(
                f"{name} cannot be {write_both(mm)}: measure it from the surface down.", field=field
            )
    if recess_mm < 0:
        raise DepthError(
            f"The break cannot sit at {write_both(recess_mm)}: grind off what stands proud of the "
            "surface and give 0.",
            field="recess_mm",
        )
    if recess_mm >= depth_mm:
        raise DepthError(
            f"The break at {write_both(recess_mm)} is not above the bottom of the hole at "
            f"{write_both(depth_mm)}: measure how far below the surface the break sits.",
            field="recess_mm",
        )
