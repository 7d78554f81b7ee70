"""How many electrodes of one size there are, or came in: a number, and a note."""

from __future__ import annotations

from collections.abc import Iterator
from string import ascii_letters, digits, punctuation

from textual import on
from textual.widget import Widget
from textual.widgets import Input, Static

from cockpit.flow.stocktake import Said, Size, read_number
from cockpit.screens.shared.step import TYPED_WRONG, StepScreen
from cockpit.trade.stock import StockEntry
from cockpit.units import write_both
from cockpit.widgets.answer_input import AnswerInput
from cockpit.widgets.plain_text import PlainText, shown_line

#: What may begin an answer, right or wrong: all but the keys that every screen has.
TYPED = "".join({*ascii_letters, *digits, *punctuation} - {*"uUmM?"})


class CountScreen(StepScreen):
    """One question for a count, two for what came in; Backspace steps back through them."""

    def __init__(self, of: Size, entry: StockEntry) -> None:
        super().__init__()
        self._of = of
        self._entry = entry
        #: What came in, while the note to it is asked.
        self._number: int | None = None

    def body(self) -> Iterator[Widget]:
        yield PlainText(id="facts")
        yield PlainText(id="asks", classes="question")
        yield AnswerInput(id="answer")
        yield PlainText(id="understood")

    def begin(self) -> None:
        self._field.focus()

    @property
    def _field(self) -> AnswerInput:
        return self.query_one(AnswerInput)

    @property
    def _counts(self) -> bool:
        return self._entry is StockEntry.COUNTED

    def heading(self) -> str:
        return f"stock   {self._of.label}   {'count' if self._counts else 'came in'}"

    # What is shown -----------------------------------------------------------------------------

    def show(self) -> None:
        self.query_one("#facts", Static).update("\n".join(map(shown_line, self._facts())))
        self.query_one("#asks", Static).update(shown_line(self._question()))
        self._field.starts_with = TYPED if self._number is None else ""
        self._show_understood()

    def _facts(self) -> Iterator[str]:
        size = self._of
        yield f"diameter      {write_both(size.electrode.diameter_mm, self.unit)}"
        yield f"on hand       {size.left.count} by the log{', LOW' if size.is_low else ''}"
        if worn := size.in_use(self.unit):
            yield f"in use        one that has lost {worn}"
        yield f"order at      {size.electrode.reorder_at}"
        if self._number is not None:
            yield f"came in       {self._number}"

    def _question(self) -> str:
        label = self._of.label
        if self._number is not None:
            return "A note to it? From whom, on which slip."
        if self._counts:
            return f"How many of {label} are there, the one in use with them?"
        return f"How many of {label} came in?"

    def _show_understood(self) -> None:
        """What is wrong with what is being typed, beside the field."""
        wrong = self._wrong()
        understood = self.query_one("#understood", Static)
        understood.set_class(bool(wrong), "-wrong")
        understood.update(f"✗ {shown_line(wrong)}" if wrong else "")

    def _wrong(self) -> str:
        text = self._field.value
        if self._number is not None or not text.strip():
            return ""
        try:
            read_number(text, self._entry)
        except ValueError as error:
            return str(error)
        return ""

    # Keys --------------------------------------------------------------------------------------

    def next_words(self) -> str:
        if self._wrong():
            return TYPED_WRONG
        if self._field.value:
            return "take it"
        if self._number is not None:
            return "no note"
        return f"{self._of.left.count}, as the log has it" if self._counts else ""

    def next(self) -> None:
        if self._number is not None:
            self._enter(self._number, "")
        elif self._counts:
            self._enter(self._of.left.count, "")

    def back(self) -> None:
        if self._number is not None:
            self._field.value = f"{self._number}"
            self._field.cursor_position = len(self._field.value)
            self._number = None
            self.refresh_all()
        else:
            self.dismiss()

    def action_bench(self) -> None:
        """To the bench; what came in, and only wants a note, is kept without one."""
        if self._number is not None:
            number = self._number
            self.attempt(lambda: self._enter(number, ""))
        super().action_bench()

    @on(Input.Changed)
    def _as_typed(self) -> None:
        self._show_understood()
        self.refresh_next()

    @on(Input.Submitted)
    def _taken(self, event: Input.Submitted) -> None:
        if event.value.strip() and not self._wrong():
            self.attempt(lambda: self._take(event.value))
            if self.is_active:
                self.refresh_all()

    def _take(self, text: str) -> None:
        if self._number is not None:
            self._enter(self._number, text)
        elif self._counts:
            self._enter(read_number(text, self._entry), "")
        else:
            self._number = read_number(text, self._entry)
            self._field.value = ""

    def _enter(self, number: int, note: str) -> None:
        self.cockpit.floor.enter_stock(Said(self._of.label, self._entry, number, note))
        self.dismiss()
