"""The plan of one hole: everything the operator needs to know before the arc, from one ticket."""

from dataclasses import dataclass, field
from decimal import Decimal
from typing import Final, Self

from cockpit.trade.base import Frozen
from cockpit.trade.cautions import Material, cautions_for, find_material
from cockpit.trade.current import Current, Machine, current_for, wanted_amps
from cockpit.trade.depth import DepthPlan, WearPrior, depth_plan
from cockpit.trade.electrodes import (
    ARC_GAP_MM,
    Choice,
    Electrode,
    Rack,
    Window,
    choose_electrode,
    electrodes_needed,
    reach_mm,
)
from cockpit.trade.flush import Flush, flush_for
from cockpit.trade.price import RateCard, price_hole
from cockpit.trade.remnants import FluteForm, Kind, Remnant, remnant_in
from cockpit.trade.sources import sources_of
from cockpit.trade.threads import SPECIAL, Thread, read_thread
from cockpit.trade.timing import BurnTime, burn_time, burnt_area_mm2
from cockpit.units import Millimetres, write_both

# The wear to have electrode length ready for.
_UPPER_WEAR_CHANCE: Final = 0.95


class Ticket(Frozen):
    """What was asked about one hole; lengths in mm, or as text with a unit.

    ``depth_mm`` is the print's depth, or the part's thickness where the hole goes through;
    ``recess_mm`` is how far below the surface the break sits.
    """

    hole: str
    thread: str
    broken: Kind
    depth_mm: Millimetres
    recess_mm: Millimetres = 0.0
    flutes: int | None = None
    form: FluteForm = FluteForm.STRAIGHT
    web_mm: Millimetres | None = None
    hard_metal: bool = False
    through: bool = False
    sister_depth_mm: Millimetres | None = None
    tool_end_mm: Millimetres | None = None
    material: str = "unalloyed steel"
    special: bool = False


@dataclass(frozen=True, slots=True)
class Shop:
    """What the shop has and what it has learnt, as far as a plan depends on it."""

    machine: Machine
    stock: tuple[Electrode, ...]
    materials: tuple[Material, ...]
    rates: RateCard
    gap_mm: float = ARC_GAP_MM
    wear: WearPrior = field(default_factory=WearPrior)

    @classmethod
    def of(
        cls, machine: Machine, rack: Rack, materials: tuple[Material, ...], rates: RateCard
    ) -> Self:
        """Put a shop together from its profiles; gap and wear are those of the rack."""
        return cls(machine, rack.electrodes, materials, rates, rack.gap_mm, rack.wear)


class ElectrodePlan(Frozen):
    """The electrode to take and the room it has, in mm.

    ``reach_mm`` is the depth one electrode burns to; ``needed`` how many the hole takes, None when
    no number of them reaches the target.
    """

    label: str
    diameter_mm: float
    length_mm: float
    hole_mm: float
    required_clearance_mm: float
    thread_clearance_mm: float
    web_margin_mm: float | None
    allowed_offset_mm: float
    reach_mm: float
    needed: int | None

    @property
    def window(self) -> Window:
        """The room of this electrode, as the centre check wants it."""
        return Window(
            hole_mm=self.hole_mm,
            required_clearance_mm=self.required_clearance_mm,
            thread_clearance_mm=self.thread_clearance_mm,
            web_margin_mm=self.web_margin_mm,
            allowed_offset_mm=self.allowed_offset_mm,
        )


class Plan(Frozen):
    """One hole, decided: each figure with its source in ``sources``, each doubt in ``warnings``."""

    thread: Thread
    remnant: Remnant
    electrode: ElectrodePlan
    arc: Current
    flush: Flush
    depth: DepthPlan
    time: BurnTime
    pilot_mm: float
    price: Decimal
    currency: str
    cautions: tuple[str, ...]
    warnings: tuple[str, ...]
    fits: bool
    sources: dict[str, str]


def make_plan(ticket: Ticket, shop: Shop) -> Plan:
    """Plan one hole; raises TradeError, whose ``field`` names the ticket's field at fault."""
    thread = read_thread(ticket.thread, special=ticket.special)
    remnant = remnant_in(
        thread,
        ticket.broken,
        flutes=ticket.flutes,
        form=ticket.form,
        web_mm=ticket.web_mm,
        hard_metal=ticket.hard_metal,
    )
    depth = depth_plan(
        depth_mm=ticket.depth_mm,
        recess_mm=ticket.recess_mm,
        through=ticket.through,
        sister_depth_mm=ticket.sister_depth_mm,
        tool_end_mm=ticket.tool_end_mm,
        wear=shop.wear,
    )
    material = find_material(shop.materials, ticket.material)
    choice = choose_electrode(shop.stock, thread, remnant, shop.gap_mm)
    electrode = _electrode_plan(choice, depth, shop)
    arc = current_for(choice.electrode, shop.machine)
    flush = flush_for(
        choice.electrode, arc.amps, shop.machine.flush_kpa, arc_volts=shop.machine.arc_volts
    )
    time = _time(choice, depth, arc, remnant, shop)
    return Plan(
        thread=thread,
        remnant=remnant,
        electrode=electrode,
        arc=arc,
        flush=flush,
        depth=depth,
        time=time,
        pilot_mm=min(choice.electrode.diameter_mm / 2, depth.burn_mm),
        price=price_hole(shop.rates, arc_s=time.median_s, electrodes=electrode.needed or 1),
        currency=shop.rates.currency,
        cautions=tuple(caution.text for caution in cautions_for(material, remnant)),
        warnings=(
            *_ticket_warnings(ticket, thread, depth),
            *_electrode_warnings(choice, electrode, depth, shop),
            *_arc_warnings(choice.electrode, arc, flush),
        ),
        fits=choice.fits,
        sources=sources_of(thread, remnant, shop.wear, shop.gap_mm, ticket.through),
    )


def _holder_mm(machine: Machine) -> float:
    """Give the electrode length that never gets into the part."""
    return machine.grip_mm + machine.stand_off_mm


def _electrode_plan(choice: Choice, depth: DepthPlan, shop: Shop) -> ElectrodePlan:
    electrode, room = choice.electrode, choice.window
    holder_mm, wear_ratio = _holder_mm(shop.machine), shop.wear.quantile(_UPPER_WEAR_CHANCE)
    return ElectrodePlan(
        label=electrode.label,
        diameter_mm=electrode.diameter_mm,
        length_mm=electrode.length_mm,
        hole_mm=room.hole_mm,
        required_clearance_mm=room.required_clearance_mm,
        thread_clearance_mm=room.thread_clearance_mm,
        web_margin_mm=room.web_margin_mm,
        allowed_offset_mm=room.allowed_offset_mm,
        reach_mm=reach_mm(electrode, depth.recess_mm, holder_mm, wear_ratio),
        needed=electrodes_needed(
            electrode, depth.recess_mm, depth.target_mm, holder_mm, wear_ratio
        ),
    )


def _time(choice: Choice, depth: DepthPlan, arc: Current, remnant: Remnant, shop: Shop) -> BurnTime:
    area_mm2 = burnt_area_mm2(
        choice.window.hole_mm, choice.electrode.bore_mm, shop.gap_mm, shop.machine.core_washed
    )
    return burn_time(area_mm2, depth.burn_mm, arc.amps, hard_metal=remnant.hard_metal)


def _ticket_warnings(ticket: Ticket, thread: Thread, depth: DepthPlan) -> list[str]:
    warnings = []
    if thread.series == SPECIAL:
        warnings.append(f"{thread.designation} is in no standard series: check it on the print.")
    if ticket.tool_end_mm is not None and ticket.tool_end_mm > depth.target_mm:
        warnings.append(
            f"The broken tool ends {write_both(ticket.tool_end_mm - depth.target_mm)} below the "
            "bottom limit: that much stays in the hole."
        )
    return warnings


def _electrode_warnings(
    choice: Choice, electrode: ElectrodePlan, depth: DepthPlan, shop: Shop
) -> list[str]:
    warnings = [] if choice.fits else [f"{choice.why[:1].upper()}{choice.why[1:]}."]
    on_hand = choice.electrode.on_hand
    if electrode.needed is None:
        least_mm = _holder_mm(shop.machine) + depth.recess_mm
        least_mm += depth.burn_mm / (1 - shop.wear.quantile(_UPPER_WEAR_CHANCE))
        warnings.append(
            f"{electrode.label} at {write_both(electrode.length_mm)} is too short to reach the "
            f"target: take one of {write_both(least_mm)} or more."
        )
    elif electrode.needed > on_hand:
        warnings.append(
            f"The hole may take {electrode.needed} of {electrode.label}, and {on_hand} on hand."
        )
    elif electrode.needed > 1:
        warnings.append(f"One {electrode.label} may not last: have {electrode.needed} ready.")
    return warnings


def _arc_warnings(electrode: Electrode, arc: Current, flush: Flush) -> list[str]:
    warnings = []
    low, high = wanted_amps(electrode)
    wants = f"{electrode.label} wants {low:.0f} to {high:.0f} A"
    if arc.amps_high < high:
        warnings.append(
            f"{wants}, more than the machine gives: burn at {arc.amps_high:.0f} A, and slower."
        )
    elif arc.amps_low > low:
        warnings.append(
            f"{wants}, less than the machine gives: burn at {arc.amps_low:.0f} A and watch it."
        )
    if flush.boils:
        warnings.append(
            f"The arc would warm the flush by {flush.rise_k:.0f} K and boil it: "
            "raise the pressure or burn at less current."
        )
    return warnings
