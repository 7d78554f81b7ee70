"""How the hole will be burnt: the figures, and the hole drawn to scale."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.widget import Widget
from textual.widgets import Static

from cockpit.commands.plan_lines import WEAR_FROM, choice_lines, plan_lines, way_lines
from cockpit.screens.override import OverrideScreen
from cockpit.screens.shared import room
from cockpit.screens.shared.paged import PagedScreen
from cockpit.screens.shared.views import cross_view, side_view
from cockpit.trade.figures import FIGURES, words_of
from cockpit.trade.plan import Plan
from cockpit.trade.remnants import FluteForm
from cockpit.trade.ticket import Ticket
from cockpit.units import LengthUnit
from cockpit.widgets.cross_section import CrossSection
from cockpit.widgets.page import Page
from cockpit.widgets.plain_text import PlainText, shown_line
from cockpit.widgets.side_section import SideSection


class PlanScreen(PagedScreen):
    """The plan; the big key accepts it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(
            "a,A",
            "accept",
            "accept",
            id="accept",
            tooltip="Accept against the first warning, with your initials",
        ),
        Binding("s,S", "sources", "sources", id="sources", tooltip="Where each figure comes from"),
        Binding("e,E", "ticket", "ticket", id="ticket", tooltip="Correct the ticket"),
        Binding(
            "o,O",
            "override",
            "override",
            id="override",
            tooltip="Put a figure of your own in place of the plan's",
        ),
    ]

    def body(self) -> Iterator[Widget]:
        with Horizontal():
            with Page(id="figures"):
                yield PlainText(id="doubts")
                yield PlainText(id="plan")
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
        short = self.app.size.height < room.TALL
        lines = _sources(plan, self.unit) if self._sources else _summary(plan, self.unit, short)
        self.query_one("#plan", Static).update("\n".join(map(shown_line, lines)))
        doubts = "\n".join(f"! {shown_line(one)}" for one in _doubts(plan))
        self.query_one("#doubts", Static).update(doubts)
        self.query_one("#doubts").display = bool(doubts) and not self._sources
        self.query_one("#drawings").display = not self._sources
        cross, side = self.query_one(CrossSection), self.query_one(SideSection)
        cross.unit = self.unit
        cross.view = cross_view(self.hole)
        side.view = side_view(self.hole, self.unit)

    @property
    def _reads_on(self) -> bool:
        """Whether a doubt is still out of sight: nobody accepts what they could not read."""
        return not self._sources and self._page.hides(self.query_one("#doubts"))

    @property
    def _page(self) -> Page:
        return self.query_one(Page)

    def next_words(self) -> str:
        if self._sources:
            return "back to the figures"
        if self._reads_on:
            return "read on: the doubts go on below"
        return "" if self.hole.plan.is_to_be_taken_on else "accept the plan"

    def next(self) -> None:
        if self._sources:
            self.action_sources()
        elif self._reads_on:
            self._page.turn_over()
        elif self.hole.plan.is_to_be_taken_on:
            self.complain("Read the first warning: A accepts it, with your initials.")
        else:
            self.go_on(self.hole.accept_plan)

    @on(Page.Turned)
    def _turned(self) -> None:
        if self.is_ready:
            self.refresh_next()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        if action == "accept":
            return self.hole.plan.is_to_be_taken_on
        return super().check_action(action, parameters)

    def action_accept(self) -> None:
        """Burn by this plan against its warning: somebody takes it on who could read it."""
        if not self.can_be_seen():
            return
        if self._reads_on:
            self._page.turn_over()
            return
        self.cockpit.ask_word(
            "Your initials, to accept this plan against its first warning",
            self.hole.accept_plan,
            then=lambda: self.attempt(self.cockpit.follow),
            waits=False,
        )

    def action_sources(self) -> None:
        """Figures, or where they come from."""
        self._sources = not self._sources
        self._page.to_top()
        self.refresh_all()

    def action_ticket(self) -> None:
        """Correct what was said about the hole."""
        self.cockpit.correct_ticket()

    def action_override(self) -> None:
        """A figure of one's own in place of the plan's."""
        self.complain("")
        self.app.push_screen(OverrideScreen())


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


def _doubts(plan: Plan) -> tuple[str, ...]:
    """What a person should know before accepting, the weightiest first."""
    return (*plan.warnings, *plan.acknowledge)


def _summary(plan: Plan, unit: LengthUnit, is_short: bool) -> Iterator[str]:
    """The figures, then who overruled which."""
    for name, value in plan_lines(plan, unit):
        if not (is_short and name == WEAR_FROM):
            yield f"{name:<14}{value}"
    for one in plan.overrides:
        yield f"* {one.told(unit)}"


def _sources(plan: Plan, unit: LengthUnit) -> Iterator[str]:
    """What goes and what stays, why this electrode, and each figure with where it comes from."""
    for name, words in (*way_lines(plan), *choice_lines(plan)):
        yield f"{name}: {words}"
    yield ""
    named = {figure.name: figure for figure in FIGURES}
    for name, source in plan.sources.items():
        figure = named.get(name)
        held = None if figure is None else plan.value(name)
        shown = f" {figure.write(held, unit)}" if figure and held is not None else ""
        yield f"{words_of(name)}{shown}{plan.mark(name)}: {source}"
