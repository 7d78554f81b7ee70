"""How the hole will be burnt: the figures, and the hole drawn to scale."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widget import Widget
from textual.widgets import Static

from cockpit.screens.override import OverrideScreen
from cockpit.screens.step import StepScreen
from cockpit.screens.views import cross_view, side_view
from cockpit.trade.figures import FIGURES
from cockpit.trade.plan import (
    CATCH_RESTS_ON,
    HOLE_RESTS_ON,
    OFFSET_RESTS_ON,
    STOP_RESTS_ON,
    TIME_RESTS_ON,
    Plan,
)
from cockpit.trade.remnants import FluteForm
from cockpit.trade.ticket import Ticket
from cockpit.units import LengthUnit, write_clock, write_length
from cockpit.widgets.cross_section import CrossSection
from cockpit.widgets.side_section import SideSection


class PlanScreen(StepScreen):
    """The plan; the big key accepts it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(
            "a,A",
            "accept",
            "accept all the same",
            id="accept",
            tooltip="Accept against the first warning",
        ),
        Binding("s,S", "sources", "sources", id="sources", tooltip="Where each figure comes from"),
        Binding("e,E", "ticket", "ticket", id="ticket", tooltip="Correct the ticket"),
        Binding(
            "o,O",
            "override",
            "override",
            id="override",
            tooltip="Put a figure of your own in place of the plan's, with a word why",
        ),
        Binding("down", "scroll(1)", "more", id="more", show=False, tooltip="Further down"),
        Binding("up", "scroll(-1)", "less", id="less", show=False, tooltip="Further up"),
    ]

    def body(self) -> Iterator[Widget]:
        with Horizontal():
            with VerticalScroll(id="figures"):
                yield Static(id="plan", markup=False)
            with Vertical(id="drawings"):
                yield CrossSection()
                yield SideSection()

    def begin(self) -> None:
        self._sources = False
        if self.hole.taken_back:
            self.complain(f"Taken back with the old ticket: {self.hole.taken_back}")

    def on_screen_resume(self) -> None:
        if self.is_mounted and self.cockpit.hole is not None:
            self.refresh_all()

    def heading(self) -> str:
        return f"{self.cockpit.hole_name()}   plan   {_ticket_words(self.hole.ticket)}"

    def show(self) -> None:
        plan = self.hole.plan
        lines = _sources(plan, self.unit) if self._sources else _summary(plan, self.unit)
        self.query_one("#plan", Static).update("\n".join(lines))
        self.query_one("#drawings").display = not self._sources
        cross, side = self.query_one(CrossSection), self.query_one(SideSection)
        cross.unit = self.unit
        cross.view = cross_view(self.hole)
        side.view = side_view(self.hole, self.unit)

    def next_words(self) -> str:
        return "" if self.hole.plan.is_to_be_taken_on else "accept the plan"

    def next(self) -> None:
        if self.hole.plan.is_to_be_taken_on:
            self.complain("Read the first warning: A accepts the plan all the same.")
        else:
            self.action_accept()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        if action == "accept":
            return self.hole.plan.is_to_be_taken_on
        return super().check_action(action, parameters)

    def action_accept(self) -> None:
        """Burn by this plan."""
        self.go_on(self.hole.accept_plan)

    def action_sources(self) -> None:
        """Figures, or where they come from."""
        self._sources = not self._sources
        self.query_one("#figures").scroll_home(animate=False)
        self.refresh_all()

    def action_ticket(self) -> None:
        """Correct what was said about the hole."""
        self.cockpit.correct_ticket()

    def action_override(self) -> None:
        """A figure of one's own in place of the plan's."""
        self.app.push_screen(OverrideScreen())

    def action_scroll(self, pages: int) -> None:
        """Further down or up, where there is more than the screen holds."""
        self.query_one("#figures").scroll_relative(y=5 * pages, animate=False)


def _ticket_words(ticket: Ticket) -> str:
    """What else the plan is made from, in a few words."""
    words = [ticket.material]
    if ticket.hard_metal:
        words.append("hard metal")
    if ticket.form is not FluteForm.STRAIGHT:
        words.append(ticket.form)
    if ticket.flutes:
        words.append(f"{ticket.flutes} flutes")
    return ", ".join(words)


def _summary(plan: Plan, unit: LengthUnit) -> Iterator[str]:
    """Doubts first, then the figures, then who overruled which."""
    for warning in (*plan.warnings, *plan.acknowledge):
        yield f"! {warning}"
    for name, value, *figures in _figures(plan, unit):
        yield f"{name:<14}{value}{plan.mark(*figures)}".rstrip()
    for one in plan.overrides:
        yield f"* {one.told(unit)}"


def _figures(plan: Plan, unit: LengthUnit) -> Iterator[tuple[str, ...]]:
    """What a plan says, in lines: a name, a value, and the figures that it rests on."""
    time = plan.time
    yield from _of_electrode(plan, unit)
    amps = f"{plan.arc.amps_low:.0f} to {plan.arc.amps_high:.0f} A, range {plan.arc.range}"
    yield "current", amps, "arc.amps_low", "arc.amps_high", "arc.range"
    yield "catch test", f"{plan.flush.catch_ml_10s:.0f} ml in 10 s", *CATCH_RESTS_ON
    yield from _of_depth(plan, unit)
    yield "pilot burn", write_length(plan.pilot_mm, unit), "pilot_mm"
    spread = f"{write_clock(time.low_s)} to {write_clock(time.high_s)}"
    yield "arc time", f"{write_clock(time.median_s)} ({spread})", *TIME_RESTS_ON
    yield "price", f"{plan.price} {plan.currency}", "price", "time.median_s"


def _of_electrode(plan: Plan, unit: LengthUnit) -> Iterator[tuple[str, ...]]:
    electrode = plan.electrode
    yield "electrode", electrode.label, "electrode.label"
    yield "burns", write_length(electrode.hole_mm, unit), *HOLE_RESTS_ON
    off = f"{write_length(electrode.allowed_offset_mm, unit)} at most"
    yield "off centre", off if plan.fits else "does not fit", *OFFSET_RESTS_ON
    surface, below = (
        write_length(mm, unit, with_unit=False)
        for mm in (electrode.allowed_surface_mm, electrode.allowed_below_mm)
    )
    yield "  top, bottom", f"{surface}, {below} {unit}"
    if electrode.allowed_out_of_square is not None:
        yield "out of square", f"{100 * electrode.allowed_out_of_square:.2f} in 100 if centred"
    needed = "too short" if electrode.needed is None else f"{electrode.needed}"
    yield "how many", needed, "electrode.needed", "electrode.reach_mm"


def _of_depth(plan: Plan, unit: LengthUnit) -> Iterator[tuple[str, ...]]:
    depth = plan.depth
    yield "break at", write_length(depth.recess_mm, unit), "depth.recess_mm"
    at_limit = ", the limit" if depth.target_mm == depth.limit_mm else ""
    yield "target", write_length(depth.target_mm, unit) + at_limit, "depth.target_mm"
    limit = "through hole" if depth.limit_mm is None else write_length(depth.limit_mm, unit)
    yield "limit", limit, "depth.limit_mm"
    yield "first stop", f"{write_length(depth.stops_mm[0], unit)} travel", *STOP_RESTS_ON
    later = " ".join(write_length(mm, unit, with_unit=False) for mm in depth.stops_mm[1:])
    if later:
        yield "  then about", f"{later} {unit}"
    if depth.touch_offs:
        yield "touch off", f"{depth.touch_offs} times"


def _sources(plan: Plan, unit: LengthUnit) -> Iterator[str]:
    """What goes and what stays, why this electrode, and each figure with where it comes from."""
    way = plan.remnant.way
    yield f"goes: {way.goes}"
    yield f"stays: {way.stays}"
    yield f"leaves: {way.leaves}"
    if plan.electrode.why:
        yield f"electrode: {plan.electrode.why}"
    for loser in plan.electrode.neighbours:
        yield f"not {loser.label}: {loser.why}"
    yield ""
    named = {figure.name: figure for figure in FIGURES}
    for name, source in plan.sources.items():
        figure = named.get(name)
        value = None if figure is None else plan.value(name)
        shown = f" {figure.write(value, unit)}" if figure and value is not None else ""
        yield f"{name}{shown}{plan.mark(name)}: {source}"
