"""A field for a length that says at once how it was understood, or what is wrong, beside itself."""

from __future__ import annotations

from dataclasses import dataclass

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.events import DescendantBlur, DescendantFocus
from textual.reactive import reactive
from textual.widgets import Input, Label, Static

from cockpit.units import LengthUnit, UnitsError, read_length_mm, write_both, write_length
from cockpit.widgets.answer_input import AnswerInput
from cockpit.widgets.plain_text import PlainText, shown_line

#: What a length can begin with; any other key is the screen's while nothing is typed.
LENGTH_STARTS = "0123456789.-+"


@dataclass(frozen=True, slots=True)
class Understood:
    """What a text comes to. ``mm`` is None when there is nothing, or nothing that can be used."""

    mm: float | None
    note: str
    is_wrong: bool = False


def understand(text: str, unit: LengthUnit) -> Understood:
    """Understand a length as it is typed; a bare number is in ``unit``.

    >>> understand("5/32", LengthUnit.INCH)
    Understood(mm=3.96875, note='0.1563 in = 3.97 mm', is_wrong=False)
    """
    if not text.strip():
        return Understood(None, "")
    try:
        mm = read_length_mm(text, unit)
    except UnitsError as error:
        return Understood(None, str(error), is_wrong=True)
    return Understood(mm, write_both(mm, unit))


class QuantityInput(Vertical):
    """A label, a field for a length, and under it how the length was understood.

    ``unit``: what a bare number is in; one that is there keeps its own. The messages are those of
    the field: ``Input.Changed`` as it is typed, ``Input.Submitted`` when Enter takes it.
    """

    DEFAULT_CSS = """
    QuantityInput {
        height: auto;
        width: 1fr;
        & > Horizontal { height: 1; }
        & Label { width: auto; min-width: 8; margin: 0 2 0 0; color: $text-muted; }
        &:focus-within Label { color: $foreground; text-style: bold; }
        & > .quantity-input--note { height: auto; color: $text-success; }
        &.-wrong > .quantity-input--note { color: $text-error; text-style: bold; }
    }
    """

    unit = reactive(LengthUnit.MM)

    def __init__(self, label: str, *, id: str, placeholder: str = "") -> None:  # noqa: A002
        super().__init__(id=id)
        self.label = label
        self._placeholder = placeholder

    def compose(self) -> ComposeResult:
        with Horizontal():
            yield Label(self._marked(False), markup=False)
            yield AnswerInput(starts_with=LENGTH_STARTS, placeholder=self._placeholder)
        yield PlainText(classes="quantity-input--note")

    def _marked(self, is_in_hand: bool) -> str:
        return shown_line(f"{'►' if is_in_hand else ' '} {self.label}")

    @on(DescendantFocus)
    @on(DescendantBlur)
    def _mark(self) -> None:
        """Mark the field that is typed into, so that its colour is not all that tells."""
        self.query_one(Label).update(self._marked(self.has_focus_within))

    @property
    def text(self) -> str:
        """What stands in the field."""
        return self.query_one(AnswerInput).value

    @text.setter
    def text(self, text: str) -> None:
        self.query_one(AnswerInput).value = text

    @property
    def with_unit(self) -> str:
        """What stands in the field, a length with its unit: it means the same in either."""
        mm = self.understood.mm
        return self.text if mm is None else write_length(mm, self.unit)

    @property
    def understood(self) -> Understood:
        """What the field comes to now."""
        return understand(self.text, self.unit)

    def clear(self) -> None:
        """Empty the field."""
        self.text = ""

    def ask(self, placeholder: str) -> None:
        """Say in the empty field what belongs there."""
        self.query_one(AnswerInput).placeholder = placeholder

    def focus_field(self) -> None:
        """Bring the cursor into the field; a figure typed there takes the place of the last."""
        field = self.query_one(AnswerInput)
        field.focus()
        field.stands_anew()

    def refuse(self, sentence: str) -> None:
        """Show what is wrong beside the field, until something is typed."""
        self._show(Understood(None, sentence, is_wrong=True))

    def on_mount(self) -> None:
        self.query_one(AnswerInput).read_in(self.unit)

    def watch_unit(self) -> None:
        if self.is_mounted:
            self.query_one(AnswerInput).read_in(self.unit)
            self._understand()

    @on(Input.Changed)
    def _understand(self) -> None:
        self._show(self.understood)

    def _show(self, understood: Understood) -> None:
        """Show a note; a wrong one has a sign before it, so that colour is not all that tells."""
        sign = "✗ " if understood.is_wrong else ""
        self.set_class(understood.is_wrong, "-wrong")
        self.query_one(".quantity-input--note", Static).update(sign + understood.note)
