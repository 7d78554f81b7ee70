"""Put a figure of one's own in place of one of the plan's: which, what, and why."""

from __future__ import annotations

from collections.abc import Iterator
from string import digits

from textual.widget import Widget
from textual.widgets import Static

from cockpit.screens.shared.questions import QuestionsScreen
from cockpit.trade.errors import TradeError
from cockpit.trade.figures import FIGURES, Figure, FigureError, Value, read_override
from cockpit.trade.plan import Plan
from cockpit.units import LengthUnit, quoted, write_both
from cockpit.widgets.answer_input import AnswerInput
from cockpit.widgets.plain_text import PlainText
from cockpit.widgets.quantity_input import LENGTH_STARTS

TAKE_BACK = "-"


class OverrideScreen(QuestionsScreen):
    """Three questions over the plan; Backspace steps back through them."""

    def body(self) -> Iterator[Widget]:
        yield PlainText(id="choices")
        yield PlainText(id="asks", classes="question")
        yield AnswerInput(id="answer")
        yield PlainText(id="understood")

    def begin(self) -> None:
        self._figure: Figure | None = None
        self._text: str | None = None
        self.query_one(AnswerInput).focus()

    def heading(self) -> str:
        return f"{self.cockpit.hole_name()}   override"

    # What is shown -----------------------------------------------------------------------------

    def show(self) -> None:
        plan, figure = self.hole.plan, self._figure
        choices, asks = self.query_one("#choices", Static), self.query_one("#asks", Static)
        if figure is None:
            choices.update("\n".join(_columns(self._choice_lines(plan))))
            asks.update("Which figure? Its number.")
        else:
            facts = [*_facts(plan, figure, self.unit), *self._known(figure), *self._new()]
            choices.update("\n".join(facts))
            asks.update(self._question(figure))
        self.field.starts_with = self._begins_with()
        is_length = figure is not None and self._text is None and figure.is_length
        self.field.read_in(self.unit if is_length else None)
        self.show_understood()

    def _begins_with(self) -> str:
        """What an answer can begin with; while it is a number, letters stay commands."""
        if self._figure is None:
            return digits
        is_word = self._text is not None or self._figure.is_word
        return "" if is_word else LENGTH_STARTS

    def _choice_lines(self, plan: Plan) -> Iterator[str]:
        # Each figure keeps its number, whatever this hole has not got.
        for number, figure in enumerate(FIGURES, 1):
            value = plan.value(figure.name)
            shown = "--" if value is None else figure.write(value, self.unit)
            yield f"{number:>2} {figure.words:<19} {shown}{plan.mark(figure.name)}"

    def _known(self, figure: Figure) -> Iterator[str]:
        """What there is to choose from, where it is not a number."""
        shop = self.cockpit.floor.shop
        if figure.name == "electrode.label":
            rack = (f"{one.label} ({one.on_hand})" for one in shop.stock)
            yield f"  rack  {', '.join(rack)}"
        elif figure.name == "arc.range":
            yield f"  has   {', '.join(heat.position for heat in shop.machine.ranges)}"

    def _new(self) -> Iterator[str]:
        """What was typed, while the reason for it is asked."""
        if self._text is not None:
            yield f"  new   {'as the plan has it' if self._text == TAKE_BACK else self._text}"

    def _question(self, figure: Figure) -> str:
        if self._text is not None:
            return "Why? In a word."
        back = f"; {TAKE_BACK} takes it back" if self.hole.has_override(figure.name) else ""
        return f"What instead{back}?"

    def understood(self, text: str) -> str:
        if self._figure is None:
            return self._chosen(text).words
        if self._text is None and text.strip() != TAKE_BACK:
            return _both(self._figure, self._read(text), self.unit)
        return ""

    def _chosen(self, text: str) -> Figure:
        word = text.strip()
        if word.isascii() and word.isdigit() and len(word) < 4 and 1 <= int(word) <= len(FIGURES):
            figure = FIGURES[int(word) - 1]
            held = self.hole.plan.value(figure.name) is not None
            if held or self.hole.has_override(figure.name):
                return figure
            raise FigureError(f"This hole has no {figure.words}.")
        raise FigureError(f"{quoted(word)} is not one of the numbers above.")

    def _read(self, text: str) -> Value:
        assert self._figure is not None
        return read_override(self._figure.name, text, self.unit)

    # Keys --------------------------------------------------------------------------------------

    def back(self) -> None:
        if self._text is not None:
            self._text = None
        elif self._figure is not None:
            self._figure = None
        else:
            self.app.pop_screen()
            return
        self.refresh_all()

    def take(self, text: str) -> None:
        if self._figure is None:
            self._figure = self._chosen(text)
        elif self._text is None:
            if text.strip() != TAKE_BACK:
                self._read(text)
            self._text = self.as_meant(text) if self._figure.is_length else text
        else:
            self._keep(self._figure, self._text, text)
            return
        self.field.value = ""

    def _keep(self, figure: Figure, text: str, why: str) -> None:
        """Keep it in the log; what the plan can't take is asked for again."""
        value = None if text.strip() == TAKE_BACK else self._read(text)
        try:
            self.hole.override(figure.name, value, why)
        except TradeError:
            # What was typed is there to be mended.
            self._text = None
            self.field.value = text
            raise
        self.app.pop_screen()


def _columns(lines: Iterator[str]) -> Iterator[str]:
    """Two columns, read downwards."""
    texts = list(lines)
    half = (len(texts) + 1) // 2
    for left, right in zip(texts[:half], [*texts[half:], ""], strict=False):
        yield f"{left:<39}{right}".rstrip()


def _facts(plan: Plan, figure: Figure, unit: LengthUnit) -> Iterator[str]:
    """A figure as it stands now, and where it comes from."""
    value = plan.value(figure.name)
    yield figure.words
    yield f"  now   {'' if value is None else figure.write(value, unit)}{plan.mark(figure.name)}"
    yield f"  from  {plan.sources.get(figure.name, 'an earlier version of the cockpit')}"


def _both(figure: Figure, value: Value, unit: LengthUnit) -> str:
    """A value in both units where it is a length, so that a slip shows; in ``unit`` first."""
    if figure.is_length and isinstance(value, float):
        return write_both(value, unit)
    return figure.write(value)
