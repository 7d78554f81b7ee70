"""A screen that asks one thing after the other in one field, and says how it is understood."""

from __future__ import annotations

from textual import on
from textual.widgets import Input, Static

from cockpit.screens.shared.step import StepScreen
from cockpit.units import LengthUnit, with_its_unit
from cockpit.widgets.answer_input import AnswerInput


class QuestionsScreen(StepScreen):
    """Say what is ``understood`` of what is being typed, and ``take`` it.

    What can't be is said beside the field while it is typed, and refused when it is taken.
    """

    def understood(self, text: str) -> str:
        """How it is understood, in words; empty where nothing is to be said. Raises ValueError."""
        return ""

    def take(self, text: str) -> None:
        """Take the answer to the question that is asked. Raises ValueError, and LogError."""

    @property
    def field(self) -> AnswerInput:
        """Where it is typed."""
        return self.query_one(AnswerInput)

    def show_understood(self) -> None:
        """How what is being typed is understood, or what is wrong with it, beside the field."""
        beside, text = self.query_one("#understood", Static), self.field.value
        beside.set_class(False, "-wrong")
        beside.update("")
        if not text.strip():
            return
        try:
            said = self.understood(text)
        except ValueError as error:
            beside.set_class(True, "-wrong")
            beside.update(str(error))
        else:
            beside.update(f"= {said}" if said else "")

    def next_words(self) -> str:
        return "take it" if self.field.value else ""

    def as_meant(self, text: str) -> str:
        """A length with the unit it was typed in, whatever unit is chosen until it is kept."""
        (other,) = set(LengthUnit) - {self.unit}
        return with_its_unit(text, self.unit, other)

    @on(Input.Changed)
    def _as_typed(self) -> None:
        self.show_understood()
        self.refresh_next()

    @on(Input.Submitted)
    def _taken(self, event: Input.Submitted) -> None:
        if event.value.strip():
            self.attempt(lambda: self.take(event.value))
        if self.is_current:
            self.refresh_all()
