"""The plan of one hole: everything the operator needs to know before the arc, from one ticket."""

from collections.abc import Sequence
from decimal import Decimal
from typing import Any, Final

from cockpit.trade.base import Frozen
from cockpit.trade.cautions import Caution, cautions_for, find_materials
from cockpit.trade.current import Current, current_for
from cockpit.trade.depth import DepthPlan, depth_plan
from cockpit.trade.doubts import (
    about_arc,
    about_depth,
    about_electrode,
    about_first_stop,
    about_thread,
    dangers_of,
)
from cockpit.trade.electrodes import Choice, Electrode
from cockpit.trade.errors import TradeError
from cockpit.trade.figures import (
    RESTS_ON,
    FigureError,
    Figures,
    Overridden,
    Override,
    Value,
    as_override,
)
from cockpit.trade.fit import ElectrodePlan, bounds_for, electrode_for, electrode_plan
from cockpit.trade.flush import Flush, flush_for
from cockpit.trade.learning import Lesson, Like
from cockpit.trade.price import price_hole
from cockpit.trade.remnants import Remnant, RemnantError, refuse_web, remnant_in
from cockpit.trade.threads import Thread, read_thread
from cockpit.trade.ticket import About, Shop, Ticket
from cockpit.trade.timing import BurnTime, burn_time, burnt_area_mm2
from cockpit.trade.wear import WearPrior
from cockpit.units import write_both

# Stands behind every figure that a person overruled.
OVERRIDE_MARK: Final = "*"

# What a plan shows in one line rests on these figures, and so on whatever they rest on.
HOLE_RESTS_ON: Final = ("electrode.hole_mm",)
OFFSET_RESTS_ON: Final = ("electrode.allowed_offset_mm",)
CATCH_RESTS_ON: Final = ("flush.catch_ml_10s",)
STOP_RESTS_ON: Final = ("depth.stops_mm",)
TIME_RESTS_ON: Final = ("time.median_s", "time.low_s", "time.high_s")


class PlannedWear(Frozen):
    """The wear ratio that a plan reckons with: normal, and how many burns of the log know of it.

    ``alike``: how many of them had the same electrode, kind and material.
    """

    ratio: float
    ratio_sd: float
    burns_known: int = 0
    alike: int = 0

    @property
    def prior(self) -> WearPrior:
        """What is believed of it before the burn."""
        return WearPrior(mean=self.ratio, sd=self.ratio_sd, source="the plan")


class Plan(Frozen):
    """One hole, decided.

    Each figure has its source in ``sources``, each doubt a sentence in ``warnings``, each figure
    that a person overruled an entry in ``overrides``. ``fits`` is whether the electrode has any
    room to be off centre. ``dangers`` are the warnings that a person has to take on before the
    plan is accepted, ``acknowledge`` the cautions to take on before the arc. ``unmoved``: the
    figures that come out the same as they would if nobody had overruled any. ``wear`` is None in
    plans of an earlier cockpit, which always went by the rack's.
    """

    thread: Thread
    remnant: Remnant
    electrode: ElectrodePlan
    arc: Current
    flush: Flush
    depth: DepthPlan
    wear: PlannedWear | None = None
    time: BurnTime
    pilot_mm: float
    price: Decimal
    currency: str
    cautions: tuple[str, ...]
    acknowledge: tuple[str, ...] = ()
    warnings: tuple[str, ...]
    dangers: tuple[str, ...] = ()
    fits: bool
    overrides: tuple[Overridden, ...] = ()
    unmoved: tuple[str, ...] = ()
    sources: dict[str, str]

    @property
    def is_to_be_taken_on(self) -> bool:
        """Whether a person has to accept it against better advice."""
        return bool(self.dangers) or not self.fits

    def value(self, figure: str) -> Value | None:
        """Give a figure by its name, such as ``remnant.web_mm``; None where there is none."""
        held = self.held(figure)
        return None if held is None else as_override(held)

    def held(self, figure: str) -> Any:
        """Give what the plan holds under the name of a figure, whatever it is."""
        part, _, key = figure.rpartition(".")
        return getattr(getattr(self, part) if part else self, key)

    def overridden(self, figure: str) -> Overridden | None:
        """Who overruled a figure, or None."""
        return next((one for one in self.overrides if one.figure == figure), None)

    def overruled_behind(self, *figures: str) -> tuple[Overridden, ...]:
        """Who overruled these figures, or one that they rest on; ``figures.RESTS_ON`` says which.

        Behind a figure that was overruled itself nothing counts any more. Of those that are asked
        for, one that comes out as it would without says nothing.
        """
        reached: set[str] = set()
        ahead = [figure for figure in figures if figure not in self.unmoved]
        while ahead:
            figure = ahead.pop()
            if figure not in reached and self.overridden(figure) is None:
                ahead += self._rests_on(figure)
            reached.add(figure)
        return tuple(one for one in self.overrides if one.figure in reached)

    def _rests_on(self, figure: str) -> tuple[str, ...]:
        if figure == "remnant.web_mm" and not self.remnant.web_goes_by_wall:
            return ()
        return RESTS_ON.get(figure, ())

    def mark(self, *figures: str) -> str:
        """Give the mark to stand behind figures that a person overruled, or moved by that."""
        return OVERRIDE_MARK if self.overruled_behind(*figures) else ""


def make_plan(
    ticket: Ticket,
    shop: Shop,
    overrides: Sequence[Override] = (),
    *,
    first_of_part: bool = True,
) -> Plan:
    """Plan one hole; raises TradeError, whose ``field`` names the ticket's field at fault.

    ``overrides`` stand in place of what the plan would say, and everything that follows from them
    is worked out anew. The first hole of a part carries the set-up in its price.
    """
    plan = _make_plan(ticket, shop, overrides, first_of_part)
    if not overrides:
        return plan
    try:
        usual = _make_plan(ticket, shop, (), first_of_part)
    except TradeError:
        # Only with what was overruled is there a plan at all: all of it rests on that.
        return plan
    unmoved = tuple(
        figure
        for figure in RESTS_ON
        if plan.overridden(figure) is None and plan.held(figure) == usual.held(figure)
    )
    return plan.model_copy(update={"unmoved": unmoved})


def _make_plan(
    ticket: Ticket, shop: Shop, overrides: Sequence[Override], first_of_part: bool
) -> Plan:
    plan = _plan_by(ticket, shop.for_hole(ticket), overrides, first_of_part)
    if not shop.experience.knows_electrode(plan.electrode.diameter_mm):
        return plan
    is_named = any(one.figure == "electrode.label" for one in overrides)

    def by_its_own(label: str, about: About) -> Plan:
        of_it = shop.for_hole(ticket, label, about)
        return _plan_by(ticket, of_it, overrides, first_of_part)

    # What is known of the electrode that was chosen sharpens all that goes by its wear and gap; it
    # may turn out to fit less well than another, of which the same is asked then. Never is one
    # burnt with by the wear of another: the stop goes by it.
    label, tried = plan.electrode.label, list[str]()
    while label not in tried:
        tried.append(label)
        plan = by_its_own(label, About.NAMED if is_named else About.CHOSEN)
        if plan.electrode.label == label:
            return plan
        label = plan.electrode.label
    bound = [by_its_own(label, About.BOUND) for label in tried]
    return max(bound, key=lambda one: one.electrode.allowed_offset_mm)


def _plan_by(
    ticket: Ticket, shop: Shop, overrides: Sequence[Override], first_of_part: bool
) -> Plan:
    figures, experience = Figures(overrides), shop.experience
    thread = _thread(ticket, figures)
    remnant = _remnant(ticket, thread, figures)
    depth = _depth(ticket, shop, figures)
    bounds = bounds_for(thread, remnant, depth, shop, figures)
    choice = electrode_for(bounds, depth, shop, figures)
    electrode = electrode_plan(choice, bounds, depth, shop, figures)
    like = ticket.like._replace(electrode_mm=choice.electrode.diameter_mm)
    per_mm = experience.amps_per_mm(like)
    arc = current_for(choice.electrode, shop.machine, figures, per_mm)
    flush = _flush(choice.electrode, arc, shop, figures)
    removal = experience.removal(like, remnant.hard_metal)
    time = burn_time(_area_mm2(choice, electrode, shop), depth.burn_mm, arc.amps, removal, figures)
    pilot_mm = _pilot_mm(choice.electrode, depth, figures)
    price = _price(thread, electrode, time, shop, first_of_part, figures)
    cautions = _cautions(ticket, shop, remnant, figures)
    figures.finish()
    dangers = dangers_of(ticket, thread, electrode, depth, shop)
    return Plan(
        thread=thread,
        remnant=remnant,
        electrode=electrode,
        arc=arc,
        flush=flush,
        depth=depth,
        wear=_wear(shop, like, figures),
        time=time,
        pilot_mm=pilot_mm,
        price=price,
        currency=shop.rates.currency,
        cautions=tuple(caution.text for caution in cautions),
        acknowledge=tuple(caution.text for caution in cautions if caution.acknowledge),
        dangers=dangers,
        warnings=(
            *dangers,
            *about_thread(ticket, thread, remnant),
            *about_depth(ticket, depth, shop),
            *about_electrode(choice, electrode, bounds, depth, shop),
            *about_arc(choice.electrode, arc, flush, shop.machine, per_mm),
            *about_first_stop(ticket, depth, shop),
        ),
        fits=electrode.allowed_offset_mm > 0,
        overrides=tuple(figures.overridden),
        sources=figures.sources,
    )


def _cautions(
    ticket: Ticket, shop: Shop, remnant: Remnant, figures: Figures
) -> tuple[Caution, ...]:
    materials = find_materials(shop.materials, ticket.material)
    figures.note({"cautions": "the materials' profile; general practice, local codes come first"})
    return tuple(cautions_for(materials, remnant, through=ticket.through))


def _depth(ticket: Ticket, shop: Shop, figures: Figures) -> DepthPlan:
    return depth_plan(
        depth_mm=ticket.depth_mm,
        recess_mm=ticket.recess_mm,
        through=ticket.through,
        sister_depth_mm=ticket.sister_depth_mm,
        tool_end_mm=ticket.tool_end_mm,
        wear=shop.wear,
        noise=shop.noise,
        figures=figures,
    )


def _flutes_source(ticket: Ticket, remnant: Remnant) -> str:
    if remnant.flutes is None:
        return "not counted" if remnant.web_mm is not None else "none without a web"
    return "the ticket" if ticket.flutes is not None else "two, as drills have"


def _pilot_mm(electrode: Electrode, depth: DepthPlan, figures: Figures) -> float:
    pilot_mm = figures.take(
        "pilot_mm",
        min(electrode.diameter_mm / 2, depth.burn_mm),
        "half the electrode's diameter (common practice, no source)",
    )
    if pilot_mm > depth.target_mm - depth.recess_mm:
        raise FigureError(
            f"A pilot burn of {write_both(pilot_mm)} would pass the target: give a shorter one.",
            field="pilot_mm",
        )
    return pilot_mm


def _flush(electrode: Electrode, arc: Current, shop: Shop, figures: Figures) -> Flush:
    machine = shop.machine
    return flush_for(electrode, arc.amps, machine.flush_kpa, machine.arc_volts, figures)


def _area_mm2(choice: Choice, planned: ElectrodePlan, shop: Shop) -> float:
    return burnt_area_mm2(
        planned.hole_mm, choice.electrode.bore_mm, planned.gap_mm, shop.machine.core_washed
    )


def _wear(shop: Shop, like: Like, figures: Figures) -> PlannedWear:
    known = shop.experience.belief(Lesson.WEAR, like)
    burns = known.burns
    log = "the shop's own log" if burns else "no burn of the log is used"
    source = f"of the electrode, {shop.wear.source}"
    figures.note(
        {
            "wear.ratio": f"length lost for each length of travel into material, {source}",
            "wear.ratio_sd": f"as good as known from burn to burn, {source}",
            "wear.burns_known": log,
            "wear.alike": log,
        }
    )
    return PlannedWear(
        ratio=shop.wear.mean, ratio_sd=shop.wear.sd, burns_known=burns, alike=known.alike
    )


def _thread(ticket: Ticket, figures: Figures) -> Thread:
    thread = read_thread(ticket.thread, special=ticket.special)
    sources = thread.sources
    figures.note(
        {
            "thread.designation": f'the ticket: "{ticket.thread}"',
            "thread.standard": "the series that has this size and pitch",
            "thread.nominal_mm": sources["nominal_mm"],
            "thread.pitch_mm": sources["pitch_mm"],
            "thread.minor_max_mm": sources["minor_max_mm"],
        }
    )
    minor_mm = figures.take("thread.minor_min_mm", thread.minor_min_mm, sources["minor_min_mm"])
    if minor_mm == thread.minor_min_mm:
        return thread
    if thread.pitch_mm is not None and minor_mm >= thread.nominal_mm:
        raise FigureError(
            f"A minor diameter of {write_both(minor_mm)} is not under the nominal "
            f"{write_both(thread.nominal_mm)}: measure it again.",
            field="thread.minor_min_mm",
        )
    figures.note({"thread.minor_max_mm": "none, since the least is overridden"})
    return thread.model_copy(update={"minor_min_mm": minor_mm, "minor_max_mm": None})


def _remnant(ticket: Ticket, thread: Thread, figures: Figures) -> Remnant:
    remnant = remnant_in(
        thread,
        ticket.broken,
        flutes=ticket.flutes,
        form=ticket.form,
        web_mm=ticket.web_mm,
        hard_metal=ticket.hard_metal,
    )
    figures.note(
        {
            "remnant.kind": "the ticket",
            "remnant.flutes": _flutes_source(ticket, remnant),
            "remnant.web_source": "stands at the web",
        }
    )
    if remnant.web_mm is None:
        figures.note({"remnant.web_mm": remnant.web_source})
        return remnant
    web_mm = figures.take("remnant.web_mm", remnant.web_mm, remnant.web_source)
    try:
        refuse_web(remnant.kind, thread, web_mm)
    except RemnantError as error:
        raise FigureError(str(error), field="remnant.web_mm") from None
    source = figures.sources["remnant.web_mm"]
    return remnant.model_copy(update={"web_mm": web_mm, "web_source": source})


def _price(
    thread: Thread,
    electrode: ElectrodePlan,
    time: BurnTime,
    shop: Shop,
    first_of_part: bool,
    figures: Figures,
) -> Decimal:
    price = price_hole(
        shop.rates,
        arc_s=time.median_s,
        electrodes=electrode.needed or 1,
        nominal_mm=thread.nominal_mm,
        first_of_part=first_of_part,
    )
    set_up = "with the part's set-up" if first_of_part else "the part's set-up is on another hole"
    return figures.take("price", price, f"the rate card at the median arc time, {set_up}")
