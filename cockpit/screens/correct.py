"""Correct what somebody got wrong about a hole: which entry, what it should be, and why."""

from __future__ import annotations

from collections.abc import Iterator
from string import digits

from textual.widget import Widget
from textual.widgets import Static

from cockpit.flow.corrections import NOTHING, Entry
from cockpit.screens.shared.questions import QuestionsScreen
from cockpit.units import quoted, read_length_mm, write_both
from cockpit.widgets.answer_input import AnswerInput
from cockpit.widgets.page import Page
from cockpit.widgets.plain_text import PlainText, shown_line
from cockpit.widgets.quantity_input import LENGTH_STARTS


class CorrectScreen(QuestionsScreen):
    """Three questions; Backspace steps back through them. What was said before stays in the log."""

    def __init__(self, hole_id: int, label: str) -> None:
        super().__init__()
        self._hole_id, self._label = hole_id, label

    def body(self) -> Iterator[Widget]:
        with Page(id="page"):
            yield PlainText(id="choices")
        yield PlainText(id="asks", classes="question")
        yield AnswerInput(id="answer")
        yield PlainText(id="understood")

    def begin(self) -> None:
        self._chosen: Entry | None = None
        self._text: str | None = None
        self.query_one(AnswerInput).focus()

    def heading(self) -> str:
        return f"hole {self._hole_id}   {self._label}   correct"

    def _entries(self) -> list[Entry]:
        return list(self.cockpit.floor.corrections(self._hole_id, self.unit).entries())

    # What is shown -----------------------------------------------------------------------------

    def show(self) -> None:
        entry = self._chosen
        choices, asks = self.query_one("#choices", Static), self.query_one("#asks", Static)
        if entry is None:
            lines = [
                f"{number:>2}  {one.words:<20}{shown_line(one.now)}"
                for number, one in enumerate(self._entries(), 1)
            ]
            asks.update("Which is wrong? Its number.")
        else:
            lines = [entry.words, f"  was   {shown_line(entry.now)}"]
            if self._text is not None:
                lines += [f"  now   {shown_line(self._text)}", ""]
                lines += map(shown_line, entry.about(self._text))
            elif entry.choices:
                lines.append("")
                lines += [f"{number:>2}  {one}" for number, one in enumerate(entry.choices, 1)]
            asks.update(self._question(entry))
        choices.update("\n".join(lines))
        is_length = entry is not None and entry.is_length
        self.field.starts_with = (
            digits if entry is None else LENGTH_STARTS if is_length and self._text is None else ""
        )
        self.field.read_in(self.unit if is_length and self._text is None else None)
        self.show_understood()

    def _question(self, entry: Entry) -> str:
        if self._text is not None:
            return "Why? In a word."
        if entry.is_length:
            return "How wide is it?"
        asks = "What should it say?" + (" A number, or words." if entry.choices else "")
        return asks + (f" {NOTHING} for nothing." if entry.may_be_empty else "")

    def understood(self, text: str) -> str:
        if self._chosen is None:
            return self._entry(text).words
        if self._text is None and self._chosen.is_length:
            return write_both(read_length_mm(text, self.unit), self.unit)
        if self._text is None:
            meant = self._chosen.read(text)
            return meant if meant != text.strip() else ""
        return ""

    def _entry(self, text: str) -> Entry:
        word, entries = text.strip(), self._entries()
        if word.isascii() and word.isdigit() and len(word) < 4 and 1 <= int(word) <= len(entries):
            return entries[int(word) - 1]
        raise ValueError(f"{quoted(word)} is not one of the numbers above.")

    # Keys --------------------------------------------------------------------------------------

    def back(self) -> None:
        if self._text is not None:
            self.field.value, self._text = self._text, None
        elif self._chosen is not None:
            self._chosen = None
        else:
            self.app.pop_screen()
            return
        self.refresh_all()

    def take(self, text: str) -> None:
        entry = self._chosen
        if entry is None:
            self._chosen = self._entry(text)
        elif self._text is None and entry.is_length:
            # Measured, which needs no reason.
            entry.keep(self.as_meant(text), "")
            self._kept()
            return
        elif self._text is None:
            self._text = entry.read(text)
        else:
            self._keep(entry, self._text, text)
            return
        self.field.value = ""

    def _keep(self, entry: Entry, text: str, why: str) -> None:
        """Keep it in the log; what can't be is asked for again, with what was typed."""
        try:
            entry.keep(text, why)
        except ValueError:
            self._text, self.field.value = None, text
            raise
        self._kept()

    def _kept(self) -> None:
        self.app.pop_screen()
        self.cockpit.tell("Corrected; the log keeps both.")
