"""Who works today, and what the last shift left."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import Input, Static

from cockpit.flow.bench import half_done_words, handover_words
from cockpit.screens.shared.paged import PagedScreen
from cockpit.widgets.answer_input import AnswerInput
from cockpit.widgets.page import Page
from cockpit.widgets.plain_text import PlainText, shown_line

#: What nobody is to believe of a key.
WATCHES = (
    "The cockpit only watches. Arc on and off are at the machine; here they start and stop the "
    "clock. The machine's own stop and switch end a burn."
)


class ShiftScreen(PagedScreen):
    """Opens a shift under the operator's initials."""

    BINDINGS: ClassVar[list[BindingType]] = [
        # A letter would be taken for initials.
        Binding("ctrl+l", "log", "shift log", id="log", tooltip="What has been done"),
        Binding("ctrl+g", "gauge", "gauge", id="gauge", tooltip="Pick another gauge"),
        Binding(
            "ctrl+o", "preferences", "preferences", id="set", tooltip="Pedal, unit, sound, theme"
        ),
        Binding("ctrl+q", "app.leave", "quit", id="quit", tooltip="Leave the cockpit"),
    ]

    def body(self) -> Iterator[Widget]:
        yield PlainText("Who works at the machine?", classes="question")
        yield AnswerInput(id="initials", placeholder="initials", max_length=12)
        yield PlainText("Your initials: they stand beside all that you do.", id="told")
        with Page(id="page"):
            yield PlainText(id="facts")
            yield PlainText(id="last")
            yield PlainText(id="handover")
            yield PlainText(id="half-done")
            yield PlainText(WATCHES, id="watches")

    def begin(self) -> None:
        self.query_one("#initials", AnswerInput).focus()
        self.complain(self.cockpit.floor.notice)

    def heading(self) -> str:
        return "open a shift"

    def show(self) -> None:
        floor = self.cockpit.floor
        port = f" on {floor.gauge_port}" if floor.gauge_port else ""
        facts = f"machine  {floor.machine_name}\ngauge    {floor.gauge_name}{port}"
        self.query_one("#facts", Static).update(facts)
        last_shift, note = handover_words(floor.last_handover())
        self.query_one("#last", Static).update(shown_line(last_shift))
        self.query_one("#handover", Static).update(shown_line(note))
        half_done = "\n".join(map(shown_line, half_done_words(floor.half_done())))
        self.query_one("#half-done", Static).update(half_done)

    def next_words(self) -> str:
        initials = self._typed()
        return f"open the shift of {initials}" if initials else ""

    def next(self) -> None:
        if not self._typed():
            raise ValueError("Type your initials: the log says who did what.")
        self.cockpit.floor.open_shift(self._typed())
        self.cockpit.to_bench()

    def back(self) -> None:
        """There is nothing before the shift."""

    def action_gauge(self) -> None:
        """Pick another gauge."""
        self.cockpit.ask_gauge()

    def action_log(self) -> None:
        """The shift log."""
        self.cockpit.show_log()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """There is no bench before a shift; an invented burn has one gauge only."""
        if action == "gauge":
            return not self.cockpit.is_demo
        return action not in ("back", "bench")

    def _typed(self) -> str:
        return self.query_one("#initials", AnswerInput).value.strip()

    @on(Input.Changed)
    def _as_typed(self) -> None:
        self.refresh_next()

    @on(Input.Submitted)
    def _taken(self) -> None:
        self.take_next()
