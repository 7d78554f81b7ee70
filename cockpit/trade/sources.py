"""Where each figure of a plan comes from, for the operator who asks."""

from cockpit.trade import current, depth, flush, timing
from cockpit.trade.depth import WearPrior
from cockpit.trade.remnants import Remnant
from cockpit.trade.threads import PLAIN, Thread


def sources_of(
    thread: Thread, remnant: Remnant, wear: WearPrior, gap_mm: float, through: bool
) -> dict[str, str]:
    """Give the source of each figure of a plan, by its dotted name in the plan."""
    return (
        _of_thread(thread)
        | {"remnant.web_mm": remnant.web_source}
        | _of_electrode(wear, gap_mm)
        | _of_arc_and_flush()
        | _of_depth(wear, through)
        | _of_time_and_price()
    )


def _of_thread(thread: Thread) -> dict[str, str]:
    if thread.series == PLAIN:
        return {
            "thread.nominal_mm": "the ticket",
            "thread.minor_min_mm": "the bore itself, as there is no thread",
        }
    figures = f"{thread.standard} (from memory)"
    return {
        "thread.nominal_mm": figures,
        "thread.pitch_mm": figures,
        "thread.minor_min_mm": f"D - 1.0825318 P, {thread.standard}",
        "thread.minor_max_mm": (
            "no confirmed tolerance"
            if thread.minor_max_mm is None
            else f"minor_min_mm + tolerance of class {thread.thread_class}, {figures}"
        ),
    }


def _of_electrode(wear: WearPrior, gap_mm: float) -> dict[str, str]:
    upper = f"upper 95 % of the wear ratio, mean {wear.mean:g}, sd {wear.sd:g} ({wear.source})"
    return {
        "electrode.diameter_mm": "the electrode on hand with the best window",
        "electrode.hole_mm": f"electrode + 2 x arc gap {gap_mm:g} mm (assumed)",
        "electrode.thread_clearance_mm": "(minor_min_mm - hole_mm)/2, burn centred",
        "electrode.required_clearance_mm": "0.25 mm or 0.06 D, whichever is more (assumed)",
        "electrode.web_margin_mm": "(hole_mm - web_mm)/2, burn centred",
        "electrode.allowed_offset_mm": (
            "the lesser of thread clearance less the required one, and web margin"
        ),
        "electrode.reach_mm": f"length less grip, stand-off and wear; {upper}",
        "electrode.needed": f"as many as reach the target one after another; {upper}",
        "pilot_mm": "half the electrode's diameter (common practice, no source)",
    }


def _of_arc_and_flush() -> dict[str, str]:
    amps = (
        f"{current.AMPS_PER_MM_LOW} to {current.AMPS_PER_MM_HIGH} A per mm of electrode (assumed, "
        "from 125 to 150 A at 5/32 in, common practice), within the machine's rating"
    )
    flow = "Bernoulli with friction (Serghides 1984), water at 20 degrees C (IAPWS)"
    return {
        "arc.amps_low": amps,
        "arc.amps_high": amps,
        "arc.range": "the machine's profile: the position that covers most of the current",
        "flush.pressure_kpa": "the machine's profile; 15 psi is common practice, no source",
        "flush.flow_l_min": flow,
        "flush.catch_ml_10s": flow,
        "flush.rise_k": (
            "all the arc's power into the water; arc volts from the machine's profile "
            f"({flush.ARC_VOLTS:g} V unless told, assumed)"
        ),
    }


def _of_depth(wear: WearPrior, through: bool) -> dict[str, str]:
    wears = f"wear ratio mean {wear.mean:g}, sd {wear.sd:g} ({wear.source})"
    stop = f"what the target needs at the upper wear, mean + 2 sd; {wears}"
    if through:
        stop += f"; {depth.THROUGH_TRAVEL_MM:g} mm more to break clear (assumed)"
    else:
        stop += f"; never more than {depth.DEEPER_CHANCE:.0%} chance to pass the limit"
    limit = (
        "none: a through hole"
        if through
        else f"least of print and sister depth, less {depth.BOTTOM_ALLOWANCE_MM:g} mm (assumed)"
    )
    return {
        "depth.recess_mm": "the ticket",
        "depth.target_mm": "end of the broken tool if known, else as deep as the hole allows",
        "depth.limit_mm": limit,
        "depth.burn_mm": "target_mm - recess_mm",
        "depth.stops_mm": stop,
    }


def _of_time_and_price() -> dict[str, str]:
    time = (
        f"{timing.REMOVAL_MM3_MIN_A} mm3 per minute and ampere, log-sd {timing.REMOVAL_LOG_SD} "
        "(assumed)"
    )
    return {
        "time.median_s": time,
        "time.low_s": f"5 % quantile; {time}",
        "time.high_s": f"95 % quantile; {time}",
        "price": "the rate card, for a part with this hole alone, at the median time",
    }
