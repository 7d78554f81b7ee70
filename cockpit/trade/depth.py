"""How deep: the target, the bottom limit, and where to set the stop while the electrode wears.

Depths are from the part's surface, positive down. Travel is what the indicator shows; the wear
ratio r is the electrode length lost per mm of travel into material, so that travel T into material
deepens the hole by T (1 - r). A stop set at travel s reaches, with certainty, no deeper than s.
"""

from statistics import NormalDist
from typing import Final

from cockpit.trade.base import Frozen
from cockpit.trade.errors import TicketError
from cockpit.trade.figures import FigureError, Figures
from cockpit.trade.wear import GREATEST_RATIO, Z95, Z99, MeasurementNoise, Wear, WearPrior
from cockpit.units import LengthUnit, write_both, write_length

# Left standing above the bottom of a blind hole (assumed).
BOTTOM_ALLOWANCE_MM: Final = 0.5
# The greatest chance of burning past the bottom limit that a stop may carry (assumed): that of Z99.
DEEPER_CHANCE: Final = 0.01
# How far past the target of a through hole the stop stands, so the tip breaks clear (assumed).
THROUGH_TRAVEL_MM: Final = 1.0
# A hole counts as at its target when no more than this is left (assumed).
TARGET_WITHIN_MM: Final = 0.15

# The stop leaves the target in reach of wear as far above what is believed (assumed).
_READY_FOR_SDS: Final = 2.0
# The target is called this much above where the limit would be: the burn is to end by the one, and
# only what went wrong by the other (assumed).
_SOONER_MM: Final = 0.02
# A burn no longer than this is not worth setting up for (assumed).
_LEAST_GAIN_MM: Final = 0.05
# Of a ladder that does not end at the target no more than its beginning is given.
_STOPS_LISTED: Final = 3
# No part in a shop has a deeper hole.
DEEPEST_MM: Final = 10_000.0
#: The finest step of a shop's indicator; common practice, no source.
FINEST_STEP_MM: Final = 0.01


class DepthError(TicketError):
    """Depths that contradict each other; ``field`` names the one to look at."""


class DepthPlan(Frozen):
    """Where the burn begins and ends, and where the stop goes; all in mm from the surface.

    ``limit_mm`` is None for a through hole. ``stops_mm`` are figures of travel, as the indicator
    shows them: the first is for the first burn, each later one what to expect after touching off.
    ``touch_offs`` is how many it takes until one shows the target within 0.15 mm: 0 for a through
    hole, which tells by itself, None when the gauge measures too badly for any number of them.
    """

    recess_mm: float
    target_mm: float
    limit_mm: float | None
    burn_mm: float
    stops_mm: tuple[float, ...]
    touch_offs: int | None = 0

    @property
    def deepest_mm(self) -> float:
        """The depth that the burn may get to."""
        return self.target_mm if self.limit_mm is None else max(self.limit_mm, self.target_mm)

    def past_limit_mm(self, depth_mm: float) -> float | None:
        """How far a depth is below the bottom limit; None for one that is not.

        Less than the finest step that an indicator shows is not below it.
        """
        past_mm = 0.0 if self.limit_mm is None else depth_mm - self.limit_mm
        return past_mm if past_mm >= FINEST_STEP_MM else None


def depth_plan(
    *,
    depth_mm: float,
    recess_mm: float,
    through: bool,
    sister_depth_mm: float | None = None,
    tool_end_mm: float | None = None,
    wear: WearPrior | None = None,
    noise: MeasurementNoise | None = None,
    figures: Figures | None = None,
) -> DepthPlan:
    """Plan target, bottom limit and the ladder of stops of a hole, in mm; raises DepthError.

    Bottom limit: the least of print depth and sister hole, less 0.5 mm (assumed); none for a
    through hole. Target: the end of the broken tool if known, but never past the limit; else the
    limit, or the thickness of a through hole.

    >>> plan = depth_plan(depth_mm=22, recess_mm=3, through=False)
    >>> plan.target_mm, plan.limit_mm, plan.burn_mm
    (21.5, 21.5, 18.5)
    >>> [round(stop, 2) for stop in plan.stops_mm], plan.touch_offs
    ([21.79, 27.39, 27.58], 3)
    """
    figures, wear = figures or Figures(), wear or WearPrior()
    recess_mm = figures.take(
        "depth.recess_mm", recess_mm, "the ticket; flush with the surface unless it says more"
    )
    # A sister hole says how deep a blind hole is; a through hole is as deep as its part is thick.
    sister_depth_mm = None if through else sister_depth_mm
    refuse_depths(depth_mm, recess_mm, sister_depth_mm)
    bottom_mm = depth_mm if sister_depth_mm is None else min(depth_mm, sister_depth_mm)
    if not through and bottom_mm <= BOTTOM_ALLOWANCE_MM:
        raise DepthError(
            f"A hole {write_both(bottom_mm)} deep leaves nothing above its bottom limit, "
            f"{write_both(BOTTOM_ALLOWANCE_MM)} over the bottom: check its depth and its unit.",
            field="depth_mm",
        )
    limit_mm = figures.take(
        "depth.limit_mm",
        None if through else bottom_mm - BOTTOM_ALLOWANCE_MM,
        "none: a through hole"
        if through
        else f"least of print and sister depth, less {BOTTOM_ALLOWANCE_MM:g} mm (assumed)",
    )
    target_mm = figures.take(
        "depth.target_mm",
        _target(bottom_mm, limit_mm, tool_end_mm),
        _target_source(limit_mm, tool_end_mm),
    )
    _refuse_target(recess_mm, target_mm, tool_end_mm, figures)
    burn_mm = figures.take("depth.burn_mm", target_mm - recess_mm, "target - break")
    noise = noise or MeasurementNoise()
    stops_mm, is_shown = _stops(recess_mm, target_mm, limit_mm, wear, noise, figures)
    figures.note({"depth.touch_offs": _touch_offs_source(limit_mm, is_shown)})
    return DepthPlan(
        recess_mm=recess_mm,
        target_mm=target_mm,
        limit_mm=limit_mm,
        burn_mm=burn_mm,
        stops_mm=stops_mm,
        touch_offs=(0 if limit_mm is None else len(stops_mm)) if is_shown else None,
    )


def _touch_offs_source(limit_mm: float | None, is_shown: bool) -> str:
    if limit_mm is None:
        return "none: a through hole tells by itself"
    shows = f"shows the target within {TARGET_WITHIN_MM:g} mm"
    if not is_shown:
        return f"none {shows} with this gauge"
    return f"one after each stop, until one {shows}"


def _target_source(limit_mm: float | None, tool_end_mm: float | None) -> str:
    if tool_end_mm is None:
        return "as deep as the hole allows"
    if limit_mm is not None and tool_end_mm > limit_mm:
        return "the bottom limit, which lies above the end of the broken tool"
    return "end of the broken tool"


def _refuse_target(
    recess_mm: float, target_mm: float, tool_end_mm: float | None, figures: Figures
) -> None:
    """Refuse a target that is not below the break, beside whichever a person set."""
    if recess_mm < target_mm:
        return
    for name in ("depth.target_mm", "depth.limit_mm"):
        if figures.is_overridden(name):
            raise FigureError(
                f"A target at {write_both(target_mm)} leaves nothing to burn below the break at "
                f"{write_both(recess_mm)}: give a deeper one.",
                field=name,
            )
    if tool_end_mm is not None and tool_end_mm <= recess_mm:
        raise DepthError(
            f"The broken tool cannot end at {write_both(tool_end_mm)}, at or above its break at "
            f"{write_both(recess_mm)}: measure one of them again.",
            field="tool_end_mm",
        )
    raise DepthError(
        f"The break at {write_both(recess_mm)} leaves nothing to burn above the target at "
        f"{write_both(target_mm)}: measure how far below the surface the break sits.",
        field="recess_mm",
    )


class NextStop(Frozen):
    """Where to set the depth stop, as travel in mm; ``by_limit``: the bottom limit holds it there.

    Else it stands as deep as the target may need. Not ``is_safe``: the tip stands deeper already
    than any stop that the limit allows.
    """

    travel_mm: float
    by_limit: bool
    is_safe: bool = True

    def why(self, unit: LengthUnit, limit_mm: float | None) -> str:
        """Say in words why it stands there.

        >>> NextStop(travel_mm=21.79, by_limit=True).why(LengthUnit.MM, 21.5)
        'at most 1 % chance to pass the limit 21.50'
        """
        if not self.is_safe:
            return "no stop is safe, the limit may be passed: gauge the depth"
        if self.by_limit and limit_mm is not None:
            limit = write_length(limit_mm, unit, with_unit=False)
            return f"at most {100 * DEEPER_CHANCE:g} % chance to pass the limit {limit}"
        return "as deep as the target may need"


def next_stop(travel_mm: float, wear: Wear, target_mm: float, limit_mm: float | None) -> NextStop:
    """Give where to set the stop, and what holds it there, at ``travel_mm``; raises nothing.

    As deep as the target may need: the travel at which the depth believed, less two standard
    deviations, is the target; a through hole 1 mm more. But with a bottom limit never so deep that
    the chance of passing it is over 1 %. Before the first burn travel is the depth of the break.

    >>> round(next_stop(3, Wear.prior(0.25, 0.10), 21.5, None).travel_mm, 2)
    37.81
    """
    wear = wear.within_reason
    needed_mm = _travel_mm(target_mm, travel_mm, wear, -_READY_FOR_SDS)
    if limit_mm is None:
        return NextStop(travel_mm=needed_mm + THROUGH_TRAVEL_MM, by_limit=False)
    # Even an electrode that does not wear at all gets no deeper than the travel.
    safe_mm = max(_travel_mm(limit_mm, travel_mm, wear, Z99), limit_mm)
    return NextStop(
        travel_mm=max(min(needed_mm, safe_mm), travel_mm),
        by_limit=safe_mm < needed_mm,
        is_safe=safe_mm >= travel_mm,
    )


def next_stop_mm(travel_mm: float, wear: Wear, target_mm: float, limit_mm: float | None) -> float:
    """Give the travel of ``next_stop``, mm."""
    return next_stop(travel_mm, wear, target_mm, limit_mm).travel_mm


def depth_at_stop_mm(stop_mm: float, travel_mm: float, wear: Wear) -> float:
    """Give the depth at which the tip will stand with the head on the stop, as believed; mm.

    Before the first burn travel is the depth of the break; past the stop, where the tip stood then.

    >>> depth_at_stop_mm(23.0, 3.0, Wear.prior(0.25, 0.10))
    18.0
    """
    # On the way the electrode wears evenly, or wore.
    return wear.depth_mm(travel_mm) + (stop_mm - travel_mm) * (1 - wear.within_reason.ratio)


def target_calls(target_mm: float, limit_mm: float | None) -> tuple[tuple[float, float], ...]:
    """Give what calls the target, whichever comes first: so many sds beyond belief, at a depth, mm.

    The upper end of the 95 % interval at the target; and, a little above it, what would call the
    bottom limit: the burn is to end by the target, and only what went wrong by the limit.

    >>> [(round(sds, 2), depth_mm) for sds, depth_mm in target_calls(18.0, 21.5)]
    [(1.96, 18.0), (2.33, 21.48)]
    """
    if limit_mm is None:
        return ((Z95, target_mm),)
    return (Z95, target_mm), (Z99, limit_mm - _SOONER_MM)


def chance_deeper(stop_mm: float, limit_mm: float, travel_mm: float, wear: Wear) -> float:
    """Give the chance, 0 to 1, that a burn to the stop ends deeper than the limit; lengths in mm.

    Depth at the stop = stop - wear there, which is normal; deeper than the travel it never is.

    >>> round(chance_deeper(21.78, 21.5, 3, Wear.prior(0.25, 0.10)), 3)
    0.01
    """
    if stop_mm <= limit_mm:
        return 0.0
    worn = wear.travelled(max(stop_mm - travel_mm, 0.0))
    room_mm = limit_mm - worn.depth_mm(max(stop_mm, travel_mm))
    if worn.sd_mm == 0:
        return float(room_mm < 0)
    return 1 - NormalDist(0, worn.sd_mm).cdf(room_mm)


def _stops(
    recess_mm: float,
    target_mm: float,
    limit_mm: float | None,
    prior: WearPrior,
    noise: MeasurementNoise,
    figures: Figures,
) -> tuple[tuple[float, ...], bool]:
    """Give the ladder of stops, with wear as it is believed and a touch-off after each burn.

    With it goes whether the ladder ends at the target; else where a touch-off gains too little.
    """
    wear = Wear.prior(prior.mean, prior.sd)
    first_mm = next_stop_mm(recess_mm, wear, target_mm, limit_mm)
    stops_mm = list(figures.take("depth.stops_mm", (first_mm,), _stop_source(limit_mm, prior)))
    if stops_mm[0] <= recess_mm:
        raise FigureError(
            f"A stop at {write_both(stops_mm[0])} is not below the break at "
            f"{write_both(recess_mm)}: nothing would be burnt.",
            field="depth.stops_mm",
        )
    travel_mm = recess_mm
    calls = target_calls(target_mm, limit_mm)
    while limit_mm is not None:
        called_mm = min(_travel_mm(at_mm, travel_mm, wear, sds) for sds, at_mm in calls)
        burn_mm = min(stops_mm[-1], called_mm) - travel_mm
        if burn_mm < _LEAST_GAIN_MM and len(stops_mm) > 1:
            return tuple(stops_mm[: min(len(stops_mm) - 1, _STOPS_LISTED)]), False
        travel_mm += max(burn_mm, 0.0)
        wear = wear.travelled(max(burn_mm, 0.0))
        wear = wear.measured(wear.wear_mm, noise.touch_sd_mm)
        if target_mm - wear.depth_mm(travel_mm) <= TARGET_WITHIN_MM:
            break
        stops_mm.append(next_stop_mm(travel_mm, wear, target_mm, limit_mm))
    return tuple(stops_mm), True


def _stop_source(limit_mm: float | None, prior: WearPrior) -> str:
    needs = f"what the target needs at {prior}, {_READY_FOR_SDS:g} sd more"
    if limit_mm is None:
        return f"{needs}; {THROUGH_TRAVEL_MM:g} mm on to break clear (assumed)"
    return (
        f"{needs}, but at most {DEEPER_CHANCE:.0%} chance to pass the limit (assumed); "
        "later stops as expected after touching off"
    )


def _travel_mm(depth_mm: float, travel_mm: float, wear: Wear, sds: float) -> float:
    """Find the travel at which the depth, ``sds`` standard deviations on, is ``depth_mm``."""
    if wear.depth_mm(travel_mm, sds) >= depth_mm:
        return travel_mm
    nearest_mm, room_mm = travel_mm, depth_mm - wear.depth_mm(travel_mm, sds)
    farthest_mm = travel_mm + room_mm / (1 - GREATEST_RATIO)
    for _ in range(60):
        middle_mm = (nearest_mm + farthest_mm) / 2
        if wear.travelled(middle_mm - travel_mm).depth_mm(middle_mm, sds) < depth_mm:
            nearest_mm = middle_mm
        else:
            farthest_mm = middle_mm
    return nearest_mm


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


def refuse_depths(depth_mm: float, recess_mm: float, sister_depth_mm: float | None) -> None:
    """Refuse depths that no hole has, mm from the surface. Raises DepthError, with the field."""
    for field, name, mm in (
        ("depth_mm", "The depth of the hole", depth_mm),
        ("sister_depth_mm", "The depth of the sister hole", sister_depth_mm),
    ):
        if mm is not None and mm <= 0:
            raise DepthError(
                f"{name} cannot be {write_both(mm)}: measure it from the surface down.", field=field
            )
        if mm is not None and mm > DEEPEST_MM:
            raise DepthError(
                f"{name} cannot be {write_both(mm)}, more than any part has: check its unit.",
                field=field,
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
