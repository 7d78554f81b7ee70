"""How the hole will be burnt: the figures, and the hole drawn to scale."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widget import Widget
from textual.widgets import Static

from cockpit.screens.step import StepScreen
from cockpit.screens.views import cross_view, side_view
from cockpit.trade.plan import Plan
from cockpit.units import LengthUnit, write_clock, write_length
from cockpit.widgets.cross_section import CrossSection
from cockpit.widgets.side_section import SideSection


class PlanScreen(StepScreen):
    """The plan; the big key accepts it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("s,S", "sources", "sources", id="sources", tooltip="Where each figure comes from"),
        Binding("a,A", "accept", "accept all the same", id="accept", tooltip="Accept a poor fit"),
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

    def heading(self) -> str:
        return f"{self.cockpit.hole_name()}   plan"

    def show(self) -> None:
        plan = self.hole.plan
        lines = _sources(plan) if self._sources else _figures(plan, self.unit)
        self.query_one("#plan", Static).update("\n".join(lines))
        self.query_one("#drawings").display = not self._sources
        cross, side = self.query_one(CrossSection), self.query_one(SideSection)
        cross.unit = self.unit
        cross.view = cross_view(self.hole)
        side.view = side_view(self.hole, self.unit)

    def next_words(self) -> str:
        return "accept the plan" if self.hole.plan.fits else ""

    def next(self) -> None:
        if self.hole.plan.fits:
            self.action_accept()
        else:
            self.complain("No electrode fits: read the warning; A accepts the least bad one.")

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        if action == "accept":
            return not self.hole.plan.fits
        return super().check_action(action, parameters)

    def action_accept(self) -> None:
        """Burn by this plan."""
        self.attempt(self.hole.accept_plan)
        self.cockpit.follow()

    def action_sources(self) -> None:
        """Figures, or where they come from."""
        self._sources = not self._sources
        self.refresh_all()


def _figures(plan: Plan, unit: LengthUnit) -> Iterator[str]:
    electrode, depth, time = plan.electrode, plan.depth, plan.time

    def length(mm: float) -> str:
        return write_length(mm, unit)

    for warning in plan.warnings:
        yield f"! {warning}"
    yield f"electrode     {electrode.label}"
    yield f"burns         {length(electrode.hole_mm)}"
    yield f"off centre    {length(electrode.allowed_offset_mm)} at most"
    yield f"how many      {electrode.needed or 'too short'}"
    yield f"current       {plan.arc.amps_low:.0f} to {plan.arc.amps_high:.0f} A"
    yield f"range         {plan.arc.range}"
    yield f"catch test    {plan.flush.catch_ml_10s:.0f} ml in 10 s"
    yield ""
    yield f"break at      {length(depth.recess_mm)}"
    yield f"target        {length(depth.target_mm)}"
    yield f"limit         {length(depth.limit_mm) if depth.limit_mm else 'through hole'}"
    yield f"first stop    {length(depth.stops_mm[0])}"
    yield f"pilot burn    {length(plan.pilot_mm)}"
    yield ""
    yield f"arc time      {write_clock(time.median_s)}"
    yield f"  nine in ten {write_clock(time.low_s)} to {write_clock(time.high_s)}"
    yield f"price         {plan.price} {plan.currency}"


def _sources(plan: Plan) -> Iterator[str]:
    for figure, source in plan.sources.items():
        yield f"{figure}: {source}"
