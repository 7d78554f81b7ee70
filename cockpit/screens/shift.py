"""Who works today, and what the last shift left."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import Input, Static

from cockpit.log import questions
from cockpit.screens.step import StepScreen
from cockpit.widgets.answer_input import AnswerInput
from cockpit.widgets.plain_text import PlainText


class ShiftScreen(StepScreen):
    """Opens a shift under the operator's initials."""

    BINDINGS: ClassVar[list[BindingType]] = [
        # A letter would be taken for initials.
        Binding("ctrl+g", "gauge", "gauge", id="gauge", tooltip="Pick another gauge"),
        Binding(
            "ctrl+o", "preferences", "preferences", id="set", tooltip="Pedal, unit, sound, theme"
        ),
    ]

    def body(self) -> Iterator[Widget]:
        yield PlainText("Who works at the machine?", classes="question")
        yield AnswerInput(id="initials", max_length=12)
        yield PlainText(id="facts")
        yield PlainText(id="handover")

    def begin(self) -> None:
        self._last = questions.last_shift(self.cockpit.floor.store.connection)
        self.query_one("#initials", AnswerInput).focus()
        self.complain(self.cockpit.floor.notice)

    def heading(self) -> str:
        return "open a shift"

    def show(self) -> None:
        floor = self.cockpit.floor
        field = self.query_one("#initials", AnswerInput)
        field.placeholder = self._last.operator if self._last else "initials"
        port = f" on {floor.gauge_port}" if floor.gauge_port else ""
        facts = f"machine  {floor.machine_name}\ngauge    {floor.gauge_name}{port}"
        self.query_one("#facts", Static).update(facts)
        handover = questions.handover(floor.store.connection)
        note = f"The last shift left this note:\n{handover}" if handover else ""
        self.query_one("#handover", Static).update(note)

    def next_words(self) -> str:
        initials = self._typed() or (self._last.operator if self._last else "")
        return f"open the shift of {initials}" if initials else ""

    def next(self) -> None:
        initials = self._typed() or (self._last.operator if self._last else "")
        self.cockpit.floor.open_shift(initials)
        self.cockpit.to_bench()

    def back(self) -> None:
        """There is nothing before the shift."""

    def action_gauge(self) -> None:
        """Pick another gauge."""
        self.cockpit.ask_gauge()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """An invented burn has one gauge only."""
        return not self.cockpit.is_demo if action == "gauge" else True

    def _typed(self) -> str:
        return self.query_one("#initials", AnswerInput).value.strip()

    @on(Input.Changed)
    def _as_typed(self) -> None:
        self.refresh_next()

    @on(Input.Submitted)
    def _taken(self) -> None:
        self.press_big_key()
