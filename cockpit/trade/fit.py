"""Which electrode a hole gets, how much room it has there, and how far it reaches."""

from collections.abc import Sequence
from dataclasses import asdict, replace
from typing import Any, Final

from pydantic import model_validator

from cockpit.trade.base import Frozen
from cockpit.trade.depth import DepthPlan
from cockpit.trade.electrodes import (
    LEAST_GAP_MM,
    Bounds,
    Choice,
    Electrode,
    Loser,
    Window,
    bounds_of,
    choose_electrode,
    electrodes_needed,
    judge_electrode,
    length_for_reach_mm,
    reach_mm,
    required_clearance_mm,
    wear_ratio_of_reach,
    window_of_hole,
)
from cockpit.trade.figures import FigureError, Figures
from cockpit.trade.remnants import Remnant
from cockpit.trade.threads import Thread
from cockpit.trade.ticket import Shop
from cockpit.trade.wear import WearPrior
from cockpit.units import quoted, write_both

# The wear to have electrode length ready for.
UPPER_WEAR_CHANCE: Final = 0.95


# Overruled figures of the electrode that was taken, which say nothing about the others.
_OF_THIS_ONE: Final = (
    "electrode.hole_mm",
    "electrode.thread_clearance_mm",
    "electrode.web_margin_mm",
    "electrode.allowed_offset_mm",
)


class ElectrodePlan(Frozen):
    """The electrode to take and the room it has, in mm.

    ``thread_clearance_mm`` and ``web_margin_mm`` are those of a centred burn at its deep end, where
    they are least, ``..._surface_mm`` those at the surface. ``allowed_offset_mm`` is how far off
    the burn may stand, the lesser of what surface and deep end allow; ``allowed_out_of_square`` how
    far the head may lean, in mm for each mm of depth, with the burn as well centred as a person
    gets it (None in plans of an earlier cockpit). ``reach_mm`` is the depth one electrode burns to;
    ``needed`` how many the hole takes, None when no number of them reaches the target.
    ``neighbours`` are the next sizes on hand.
    """

    label: str
    diameter_mm: float
    length_mm: float
    gap_mm: float
    hole_mm: float
    required_clearance_mm: float
    thread_clearance_mm: float
    thread_clearance_surface_mm: float
    web_margin_mm: float | None
    web_margin_surface_mm: float | None
    allowed_surface_mm: float
    allowed_below_mm: float
    allowed_offset_mm: float
    allowed_out_of_square: float | None
    reach_mm: float
    needed: int | None
    why: str
    neighbours: tuple[Loser, ...]

    @model_validator(mode="before")
    @classmethod
    def _kept_earlier(cls, held: Any) -> Any:
        """Read a plan kept before surface and deep end were told apart: they were alike."""
        known = {"hole_mm", "diameter_mm", "thread_clearance_mm", "allowed_offset_mm"}
        if not isinstance(held, dict) or "gap_mm" in held or not known <= held.keys():
            return held
        return {
            "gap_mm": (held["hole_mm"] - held["diameter_mm"]) / 2,
            "thread_clearance_surface_mm": held["thread_clearance_mm"],
            "web_margin_surface_mm": held.get("web_margin_mm"),
            "allowed_surface_mm": held["allowed_offset_mm"],
            "allowed_below_mm": held["allowed_offset_mm"],
            "allowed_out_of_square": None,
            "why": "",
            "neighbours": (),
        } | held

    @property
    def window(self) -> Window:
        """The room of this electrode, as the centre check wants it."""
        return Window(
            hole_mm=self.hole_mm,
            required_clearance_mm=self.required_clearance_mm,
            thread_clearance_mm=self.thread_clearance_mm,
            thread_clearance_surface_mm=self.thread_clearance_surface_mm,
            web_margin_mm=self.web_margin_mm,
            web_margin_surface_mm=self.web_margin_surface_mm,
        )


def bounds_for(
    thread: Thread, remnant: Remnant, depth: DepthPlan, shop: Shop, figures: Figures
) -> Bounds:
    """Give what the burn has to stay within, from surface to the deepest it may get."""
    gap_mm = figures.take("electrode.gap_mm", shop.gap_mm, shop.gap_source)
    if gap_mm < LEAST_GAP_MM:
        raise FigureError(
            f"An arc gap of {write_both(gap_mm)} is none: every arc burns wider than its "
            f"electrode. Give {write_both(LEAST_GAP_MM)} or more: half of what the hole is wider.",
            field="electrode.gap_mm",
        )
    required_mm = figures.take(
        "electrode.required_clearance_mm",
        required_clearance_mm(thread.nominal_mm),
        "0.25 mm or 0.06 D, whichever is more (assumed)",
    )
    return bounds_of(
        thread,
        remnant,
        deepest_mm=depth.deepest_mm,
        required_mm=required_mm,
        gap_mm=gap_mm,
        out_of_square=shop.machine.out_of_square,
        centring_mm=shop.machine.centring_mm,
    )


def _needed(
    electrode: Electrode, depth: DepthPlan, shop: Shop, wear_ratio: float | None = None
) -> int | None:
    if wear_ratio is None:
        wear_ratio = shop.wear.quantile(UPPER_WEAR_CHANCE)
    return electrodes_needed(
        electrode, depth.recess_mm, depth.target_mm, shop.machine.holder_mm, wear_ratio
    )


def _suffices(electrode: Electrode, depth: DepthPlan, shop: Shop) -> bool:
    """Whether as many as are on hand reach the target."""
    needed = _needed(electrode, depth, shop)
    return needed is not None and needed <= electrode.on_hand


def electrode_for(bounds: Bounds, depth: DepthPlan, shop: Shop, figures: Figures) -> Choice:
    """Choose the electrode; one that a person named is taken whether it fits or not."""
    best = choose_electrode(shop.stock, bounds, lambda electrode: _suffices(electrode, depth, shop))
    if shop.about is not None and best.electrode.label != shop.about:
        # Wear and gap are those of the one that was chosen before they were looked up.
        chosen = judge_electrode(_named(shop.about, shop.stock), bounds)
        if chosen.fits:
            best = replace(chosen, why="chosen by what holds for all electrodes of the rack")
        elif shop.is_bound:
            best = chosen
    label = figures.take("electrode.label", best.electrode.label, best.why)
    if label == best.electrode.label:
        return best
    named = judge_electrode(_named(label, shop.stock), bounds)
    if named.fits or not best.fits:
        return named
    return replace(named, why=f"{named.why}; {best.electrode.label} on hand does fit")


def _named(label: str, stock: Sequence[Electrode]) -> Electrode:
    """Find an electrode by its label, or by a beginning of it that no other one has."""
    wanted = label.casefold()
    exact = [electrode for electrode in stock if electrode.label.casefold() == wanted]
    begun = [electrode for electrode in stock if electrode.label.casefold().startswith(wanted)]
    found = exact or begun
    if len(found) == 1:
        return found[0]
    labels = ", ".join(electrode.label for electrode in found or stock)
    what = (
        f"{quoted(label)} is more than one electrode"
        if found
        else (f"There is no electrode {quoted(label)} in the rack")
    )
    raise FigureError(f"{what}: say one of {labels}.", field="electrode.label")


def electrode_plan(
    choice: Choice, bounds: Bounds, depth: DepthPlan, shop: Shop, figures: Figures
) -> ElectrodePlan:
    """Work out the room and the reach of the electrode that was chosen."""
    electrode = choice.electrode
    hole_mm = figures.take(
        "electrode.hole_mm",
        choice.window.hole_mm,
        f"electrode + 2 x arc gap {bounds.gap_mm:g} mm",
    )
    if hole_mm < electrode.diameter_mm + 2 * LEAST_GAP_MM:
        raise FigureError(
            f"A burnt hole of {write_both(hole_mm)} is not wider than its electrode, "
            f"{write_both(electrode.diameter_mm)}: measure it again.",
            field="electrode.hole_mm",
        )
    room = _room(window_of_hole(hole_mm, bounds), figures)
    reach, needed = _reach(electrode, depth, shop, figures)
    _note_sources(shop, figures)
    spare_mm = room.allowed_below_mm + bounds.lean_mm - bounds.centring_mm
    return ElectrodePlan(
        label=electrode.label,
        diameter_mm=electrode.diameter_mm,
        length_mm=electrode.length_mm,
        gap_mm=bounds.gap_mm,
        **asdict(room),
        allowed_surface_mm=room.allowed_surface_mm,
        allowed_below_mm=room.allowed_below_mm,
        allowed_offset_mm=figures.take(
            "electrode.allowed_offset_mm",
            room.allowed_offset_mm,
            "the lesser of thread clearance less the required one, and web margin, at either end",
        ),
        allowed_out_of_square=max(spare_mm, 0.0) / depth.deepest_mm,
        reach_mm=reach,
        needed=needed,
        why=choice.why,
        # They were judged by figures that no longer hold.
        neighbours=() if figures.is_overridden(*_OF_THIS_ONE) else choice.neighbours,
    )


def length_needed_mm(
    electrode: ElectrodePlan, depth: DepthPlan, holder_mm: float, wear: WearPrior
) -> float:
    """Give the length, in mm, that one electrode needs for a hole, wearing as its reach says."""
    wear_ratio = wear_ratio_of_reach(
        electrode.reach_mm, electrode.length_mm, depth.recess_mm, holder_mm
    )
    if wear_ratio is None or wear_ratio >= 1:
        wear_ratio = wear.quantile(UPPER_WEAR_CHANCE)
    return length_for_reach_mm(depth.target_mm, depth.recess_mm, holder_mm, wear_ratio)


def _reach(
    electrode: Electrode, depth: DepthPlan, shop: Shop, figures: Figures
) -> tuple[float, int | None]:
    """How deep one electrode burns, mm, and how many the hole takes."""
    upper = f"upper 95 % of {shop.wear}"
    whole_mm = figures.take(
        "electrode.reach_mm",
        reach_mm(
            electrode,
            depth.recess_mm,
            shop.machine.holder_mm,
            shop.wear.quantile(UPPER_WEAR_CHANCE),
        ),
        f"length less grip, stand-off and wear; {upper}",
    )
    longest_mm = reach_mm(electrode, depth.recess_mm, shop.machine.holder_mm, 0.0)
    if figures.is_overridden("electrode.reach_mm") and whole_mm > longest_mm:
        raise FigureError(
            f"{electrode.label} can't reach {write_both(whole_mm)}: it is {write_both(longest_mm)} "
            "from the surface to its tip at the most.",
            field="electrode.reach_mm",
        )
    wear_ratio = wear_ratio_of_reach(
        whole_mm, electrode.length_mm, depth.recess_mm, shop.machine.holder_mm
    )
    needed = figures.take(
        "electrode.needed",
        _needed(electrode, depth, shop, wear_ratio),
        "as many as reach the target one after another, each wearing as its reach says",
    )
    return whole_mm, needed


def _note_sources(shop: Shop, figures: Figures) -> None:
    """Note the sources of what is only read off or follows from the rest."""
    figures.note(
        {
            "electrode.diameter_mm": "the rack's profile",
            "electrode.length_mm": "the rack's profile",
            "electrode.allowed_surface_mm": "what the surface allows",
            "electrode.allowed_below_mm": "what the deep end allows, the head out of square by "
            f"{shop.machine.out_of_square:g} (the machine's profile)",
            "electrode.allowed_out_of_square": "what the deep end allows over its depth, less "
            f"{shop.machine.centring_mm:g} mm of centring (the machine's profile, assumed)",
            "electrode.why": "of those that reach the target the one with the largest allowed "
            "offset; without a web the largest that leaves the room that centring takes",
            "electrode.neighbours": "the next smaller and the next larger on hand",
        }
    )


def _room(room: Window, figures: Figures) -> Window:
    """Take down clearance and margin; what a person makes of them holds for the surface too."""
    clearance_mm = figures.take(
        "electrode.thread_clearance_mm",
        room.thread_clearance_mm,
        "(minor diameter at the deep end - burnt hole)/2, burn centred",
    )
    gained_mm = clearance_mm - room.thread_clearance_mm
    margin_mm, surface_mm = room.web_margin_mm, room.web_margin_surface_mm
    if margin_mm is None or surface_mm is None:
        figures.note(
            {
                "electrode.web_margin_mm": "none without a web",
                "electrode.web_margin_surface_mm": "none without a web",
            }
        )
    else:
        was_mm = margin_mm
        margin_mm = figures.take(
            "electrode.web_margin_mm", margin_mm, "(burnt hole - web)/2, burn centred"
        )
        surface_mm += margin_mm - was_mm
        figures.note({"electrode.web_margin_surface_mm": "the same at the surface"})
    figures.note({"electrode.thread_clearance_surface_mm": "the same at the surface"})
    return replace(
        room,
        thread_clearance_mm=clearance_mm,
        thread_clearance_surface_mm=room.thread_clearance_surface_mm + gained_mm,
        web_margin_mm=margin_mm,
        web_margin_surface_mm=surface_mm,
    )
