"""What a person should know before accepting a plan: one sentence a doubt."""

from collections.abc import Iterator
from typing import Final

from cockpit.trade.current import AmpsPerMm, Current, Machine, wanted_amps
from cockpit.trade.depth import DEEPER_CHANCE, TARGET_WITHIN_MM, DepthPlan, chance_deeper
from cockpit.trade.electrodes import (
    LEAST_CLEARANCE_MM,
    Bounds,
    Choice,
    Electrode,
)
from cockpit.trade.fit import ElectrodePlan, length_needed_mm
from cockpit.trade.flush import Flush
from cockpit.trade.remnants import Kind, Remnant, is_web_guessed
from cockpit.trade.threads import SPECIAL, Thread, read_thread
from cockpit.trade.ticket import Shop, Ticket
from cockpit.trade.wear import Wear
from cockpit.units import write_both

# Lengths that differ by less are the same.
_SAME_MM: Final = 1e-6
# A print and a sister hole that differ by more than this, or this part of the depth, are not of
# the same hole (assumed).
_SISTER_MM: Final = 1.0
_SISTER_PART: Final = 0.1
# A hole is seldom shallower or deeper than this many times its own diameter (assumed).
_SHALLOWEST: Final = 0.25
_DEEPEST: Final = 20.0
# Where no tolerance of a minor diameter is known, it is hardly more than this (assumed).
_UNTOLD_TOLERANCE_MM: Final = 0.1
# What measures within this can't be told apart, as a multiple of its sd.
_TOLD_APART_SDS: Final = 3.0
# A pump or water line of a shop gives no more, kPa (common practice, no source).
_MOST_FLUSH_KPA: Final = 1000.0
# A shell no thicker than this collapses and can be picked out (assumed).
_THICKEST_SHELL_MM: Final = 1.5
_SHELL_ROOM_MM: Final = 0.5


def about_thread(ticket: Ticket, thread: Thread, remnant: Remnant) -> list[str]:
    """Doubt a thread that is in no series, a web or a wall that may be another, a depth's unit."""
    doubts = []
    diameters = ticket.depth_mm / thread.nominal_mm
    if not _SHALLOWEST <= diameters <= _DEEPEST:
        odd = "deep" if diameters > 1 else "shallow"
        doubts.append(
            f"{write_both(ticket.depth_mm)} is {odd} for {thread.designation}: check its unit."
        )
    if thread.series == SPECIAL:
        doubts.append(f"{thread.designation} is in no standard series: check it on the print.")
    if is_web_guessed(remnant, ticket.web_mm):
        doubts.append(
            f"No web is known of a tap with {remnant.flutes} flutes, and it may be wider than "
            f"{write_both(remnant.web_mm or 0.0)}: measure a like one."
        )
    if remnant.kind is Kind.INSERT and not thread.is_for_insert:
        name = thread.designation
        wire = f": for a wire insert write {name} STI" if thread.takes_insert else ""
        doubts.append(f"{name} has to be the thread in the part, around the insert{wire}.")
    return doubts


def dangers_of(
    ticket: Ticket, thread: Thread, electrode: ElectrodePlan, depth: DepthPlan, shop: Shop
) -> tuple[str, ...]:
    """Say how figures that a person set may ruin the part."""
    return (*_dangers_beside(ticket, thread, electrode), *_dangers_below(ticket, depth, shop))


def _dangers_beside(ticket: Ticket, thread: Thread, electrode: ElectrodePlan) -> Iterator[str]:
    told = read_thread(ticket.thread, special=ticket.special)
    most_mm = told.minor_max_mm or told.minor_min_mm + _UNTOLD_TOLERANCE_MM
    if thread.minor_min_mm > most_mm:
        yield (
            f"A minor diameter of {write_both(thread.minor_min_mm)} is over the "
            f"{write_both(most_mm)} to be expected of {thread.designation}: the burn may cut the "
            f"{thread.wall}."
        )
    if electrode.required_clearance_mm < LEAST_CLEARANCE_MM - _SAME_MM:
        yield (
            f"A clearance of {write_both(electrode.required_clearance_mm)} is less than any burn "
            f"needs, {write_both(LEAST_CLEARANCE_MM)}: off centre as far as is allowed it may cut "
            f"the {thread.wall}."
        )
    beside_mm = (thread.minor_min_mm - electrode.hole_mm) / 2
    if electrode.thread_clearance_surface_mm > beside_mm + _SAME_MM:
        yield (
            f"A clearance of {write_both(electrode.thread_clearance_surface_mm)} is more than lies "
            f"between burnt hole and {thread.wall}, {write_both(beside_mm)}."
        )
    allowed_mm, room_mm = electrode.allowed_offset_mm, electrode.window.allowed_offset_mm
    if allowed_mm > max(room_mm, 0.0) + _SAME_MM:
        yield (
            f"{write_both(allowed_mm)} off centre is more than {thread.wall} and web leave, "
            f"{write_both(max(room_mm, 0.0))}."
        )


def _dangers_below(ticket: Ticket, depth: DepthPlan, shop: Shop) -> Iterator[str]:
    bottom_mm, limit_mm = ticket.bottom_mm, depth.limit_mm
    if limit_mm is None:
        return
    # What a limit in a through hole is for, the person knows who set it.
    above_mm = bottom_mm - limit_mm
    if above_mm < 0 and not ticket.through:
        yield _below("limit", limit_mm, "bottom", bottom_mm)
    elif above_mm < _TOLD_APART_SDS * shop.noise.touch_sd_mm and not ticket.through:
        yield (
            f"The limit at {write_both(limit_mm)} can't be told from the bottom at "
            f"{write_both(bottom_mm)}."
        )
    if depth.target_mm > limit_mm:
        yield _below("target", depth.target_mm, "bottom limit", limit_mm)
    wear = Wear.prior(shop.wear.mean, shop.wear.sd)
    chance = chance_deeper(depth.stops_mm[0], limit_mm, depth.recess_mm, wear)
    if chance > DEEPER_CHANCE + 1e-6:
        stop = write_both(depth.stops_mm[0])
        yield f"A stop at {stop} has a {chance:.0%} chance to pass the bottom limit."


def about_depth(ticket: Ticket, depth: DepthPlan, shop: Shop) -> list[str]:
    """Doubt what was measured, and a tool that goes deeper than the burn."""
    doubts = []
    end_mm, sister_mm, bottom_mm = ticket.tool_end_mm, ticket.sister_depth_mm, ticket.bottom_mm
    if sister_mm is not None and not ticket.through:
        apart_mm = abs(sister_mm - ticket.depth_mm)
        if apart_mm > max(_SISTER_MM, _SISTER_PART * ticket.depth_mm):
            doubts.append(
                f"Print and sister hole are {write_both(apart_mm)} apart: find out which is right."
            )
    if end_mm is not None and end_mm > depth.target_mm:
        doubts.append(
            f"The broken tool ends {write_both(end_mm - depth.target_mm)} below the target: "
            "that much stays in the hole."
        )
    if ticket.through and depth.target_mm > bottom_mm:
        doubts.append(_below("target", depth.target_mm, "far side", bottom_mm))
    if abs(depth.target_mm - depth.recess_mm - depth.burn_mm) > _SAME_MM:
        doubts.append(
            f"The burn length of {write_both(depth.burn_mm)} is not what lies between break and "
            "target: time and price follow it, depth and stops do not."
        )
    if depth.touch_offs is None:
        doubts.append(
            f"A touch-off that is off by {write_both(shop.noise.touch_sd_mm)} (the gauge's "
            f"profile) can't show the target within {write_both(TARGET_WITHIN_MM)}: gauge the "
            "depth in the hole."
        )
    return doubts


def _below(name: str, mm: float, floor: str, bottom_mm: float) -> str:
    return f"The {name} at {write_both(mm)} lies below the {floor} at {write_both(bottom_mm)}."


def about_first_stop(ticket: Ticket, depth: DepthPlan, shop: Shop) -> list[str]:
    """Say it when the first stop would let an electrode that does not wear pass the bottom."""
    if any(_dangers_below(ticket, depth, shop)):
        return []
    bottom_mm = ticket.bottom_mm
    past_mm = depth.stops_mm[0] - bottom_mm
    if past_mm <= 0:
        return []
    if ticket.through:
        out = write_both(past_mm)
        return [f"Hardly worn, the electrode may come out as far as {out}: clear what is there."]
    if depth.deepest_mm > bottom_mm:
        return []
    stands = f"The first stop stands {write_both(past_mm)} below the bottom"
    return [f"{stands}, as the electrode wears: heed the calls, they come before it."]


def about_electrode(
    choice: Choice, electrode: ElectrodePlan, bounds: Bounds, depth: DepthPlan, shop: Shop
) -> list[str]:
    """Doubt an electrode that does not fit, leaves little room, or is used up too soon."""
    doubts, allowed_mm = [], electrode.allowed_offset_mm
    if allowed_mm <= 0 and not choice.fits:
        doubts.append(f"{choice.why[:1].upper()}{choice.why[1:]}.")
    elif allowed_mm <= 0:
        doubts.append(
            f"{electrode.label} does not fit with the figures that were overridden: it lacks "
            f"{write_both(-allowed_mm)} of room on each side."
        )
    elif allowed_mm < shop.machine.centring_mm:
        doubts.append(
            f"{electrode.label} may be off by {write_both(allowed_mm)} at most: centre with care."
        )
    shell_mm = (bounds.wall_mm - electrode.hole_mm) / 2
    # What has to stay beside the burn is no reason for a larger electrode.
    thickest_mm = max(_THICKEST_SHELL_MM, electrode.required_clearance_mm + _SHELL_ROOM_MM)
    if bounds.web_mm is None and choice.fits and shell_mm > thickest_mm:
        doubts.append(
            f"{electrode.label} leaves a shell of {write_both(shell_mm)} all round, too thick to "
            "collapse: get a larger electrode."
        )
    if electrode.needed is None:
        least_mm = length_needed_mm(electrode, depth, shop.machine.holder_mm, shop.wear)
        doubts.append(
            f"{electrode.label} at {write_both(electrode.length_mm)} is too short to reach the "
            f"target: take one of {write_both(least_mm)} or more."
        )
    elif electrode.needed > choice.electrode.on_hand:
        doubts.append(
            f"The hole may take {electrode.needed} of {electrode.label}, and "
            f"{choice.electrode.on_hand} on hand."
        )
    elif electrode.needed > 1:
        doubts.append(f"One {electrode.label} may not last: have {electrode.needed} ready.")
    return doubts


def about_arc(
    electrode: Electrode,
    arc: Current,
    flush: Flush,
    machine: Machine,
    per_mm: AmpsPerMm | None = None,
) -> list[str]:
    """Doubt a machine too weak or too strong for the electrode, and water that would boil.

    ``per_mm``: what the shop burns with; what is assumed unless told.
    """
    doubts = []
    heat = next(heat for heat in machine.ranges if heat.position == arc.range)
    if heat.amps_high < arc.amps_low or heat.amps_low > arc.amps_high:
        doubts.append(
            f"Heat range {arc.range} gives {heat.amps_low:.0f} to {heat.amps_high:.0f} A, not the "
            f"{arc.amps_low:.0f} to {arc.amps_high:.0f} A that are planned."
        )
    low, high = wanted_amps(electrode, per_mm)
    wants = f"{electrode.label} wants {low:.0f} to {high:.0f} A"
    if arc.amps_high < high:
        doubts.append(f"{wants}: at {arc.amps_high:.0f} A it burns slower.")
    elif arc.amps_low > low:
        doubts.append(f"{wants}: at {arc.amps_low:.0f} A it wears faster; watch it.")
    if flush.pressure_kpa > _MOST_FLUSH_KPA:
        doubts.append(
            f"A flush of {flush.pressure_kpa:.0f} kPa is more than pumps of a shop give: check its "
            "unit."
        )
    if flush.boils:
        doubts.append(
            f"The arc would warm the flush by {flush.rise_k:.0f} K and boil it: "
            "raise the pressure or burn at less current."
        )
    return doubts
