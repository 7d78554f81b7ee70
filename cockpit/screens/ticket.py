"""Take in a hole: a few questions, half of them answered by the hole before."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Input, Static

from cockpit.flow.hole import HoleInHand
from cockpit.flow.intake import OF_THE_JOB, Draft
from cockpit.flow.ticket_questions import Question, questions
from cockpit.log.rows import Job
from cockpit.screens.shared.step import TYPED_WRONG, StepScreen
from cockpit.trade.errors import TradeError
from cockpit.trade.ticket import Ticket
from cockpit.widgets.answer_input import AnswerInput
from cockpit.widgets.columns import flow
from cockpit.widgets.offers import Offers
from cockpit.widgets.plain_text import PlainText, plain_content
from cockpit.widgets.quantity_input import LENGTH_STARTS


class TicketScreen(StepScreen):
    """One question at a time, the whole ticket in view."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(
            "tab,down",
            "offer(1)",
            "take what is offered",
            id="offer",
            tooltip="Put what is offered into the field; again: the next of them",
        ),
        Binding("shift+tab,up", "offer(-1)", "the one before", id="offer-before", show=False),
        Binding(
            "tab",
            "as_before",
            "keep the rest",
            id="as-before",
            tooltip="Keep what is there, up to the next question for you",
        ),
    ]

    def __init__(
        self, job: Job | None, last: Ticket | None, *, of: HoleInHand | None = None
    ) -> None:
        """Take in a hole after the ``last`` of the ``job``, or correct the ticket ``of`` one."""
        super().__init__()
        self._job = job
        self._last = last
        self._of = of
        self._at = 0
        #: What the plan or an empty field was refused with, until something is typed.
        self._refused = ""
        #: Whether what stands in the field can't be taken.
        self._is_wrong = False

    def body(self) -> Iterator[Widget]:
        with VerticalScroll(id="answers"):
            yield PlainText(id="ticket")
        yield PlainText(id="asks")
        yield AnswerInput(id="answer")
        yield PlainText(id="understood")
        yield PlainText(id="choices")
        yield Offers()

    def begin(self) -> None:
        self.complain("")
        floor = self.cockpit.floor
        materials = tuple(material.name for material in floor.shop.materials)
        asked = questions(materials, floor.known_names())
        if self._of is not None and self._job is not None:
            of_hole = tuple(item for item in asked if item.key not in OF_THE_JOB)
            self._draft = Draft.of(of_hole, self._job, self._of.ticket)
        else:
            # What was left half filled in is gone on with: no key loses a ticket.
            self._draft = self.cockpit.draft or Draft.after(asked, self._job, self._last)
            self.cockpit.draft = self._draft
        self._go_on_typing()

    def _go_on_typing(self) -> None:
        """What was being typed when the ticket was left stands in its field again."""
        field, (key, text) = self.query_one(AnswerInput), self._draft.typed
        keys = [item.key for item in self._draft.asked()]
        if text and key in keys:
            self._at = keys.index(key)
            field.value = text
            field.cursor_position = len(text)
        field.focus()

    def heading(self) -> str:
        return "take in a hole" if self._of is None else f"correct {self._of.row.label}"

    @property
    def question(self) -> Question | None:
        """The question that is asked now; None when all are answered."""
        asked = self._draft.asked()
        return asked[self._at] if self._at < len(asked) else None

    @property
    def _field(self) -> AnswerInput:
        return self.query_one(AnswerInput)

    # What is shown -----------------------------------------------------------------------------

    def show(self) -> None:
        lines = [self._line(item, item is self.question) for item in self._draft.asked()]
        self.query_one("#ticket", Static).update(Content("\n").join(lines))
        self.query_one("#answers").scroll_to(y=max(self._at - 2, 0), animate=False)
        self._show_question()
        self._show_understood()

    def _line(self, item: Question, now: bool) -> Content:
        mark = "►" if now else " "
        carried = "  (as before)" if item.key in self._draft.carried else ""
        value = self._draft.show(item, self.unit, both=True)
        text = f"{mark} {item.asks:<20} {value}{carried}"
        return plain_content(text, "bold" if now else "")

    def _show_question(self) -> None:
        item, asks = self.question, self.query_one("#asks", Static)
        self._field.display = item is not None
        asks.update("" if item is None else self._asking(item))
        if item is not None:
            is_length = item.key.endswith("_mm")
            self._field.placeholder = self._draft.show(item, self.unit)
            # Beside a length letters stay keys: U is worth having there.
            self._field.starts_with = LENGTH_STARTS if is_length else ""
            self._field.read_in(self.unit if is_length else None)
            self._field.focus()

    def _asking(self, item: Question) -> str:
        told = item.told
        if item.key.endswith("_mm"):
            # What a bare number is in.
            told = told.replace("?", f", {self.unit}?", 1)
        if self._draft.answers.get(item.key) is not None:
            # An empty field keeps what is there.
            told = told.replace("- or empty", "-")
        return told

    def _show_understood(self) -> None:
        """How what is being typed is understood, or what is wrong with it, beside the field."""
        item, text = self.question, self._field.value
        said, is_wrong = self._refused, bool(self._refused)
        if item is not None and text.strip():
            trial = Draft(self._draft.questions, dict(self._draft.answers))
            try:
                trial.answer(item, text, self.unit)
                said, is_wrong = f"= {trial.show(item, self.unit, both=True)}", False
            except ValueError as error:
                said, is_wrong = str(error), True
        self._is_wrong = is_wrong
        understood = self.query_one("#understood", Static)
        understood.set_class(is_wrong, "-wrong")
        sign = "✗ " if is_wrong else ""
        understood.update(sign + said)
        understood.display = bool(said)
        self._show_choices(item, text)

    def _show_choices(self, item: Question | None, text: str) -> None:
        """The choices while nothing is typed; then what goes on from it."""
        choices = self.query_one("#choices", Static)
        names = [f"{n} {name}" for n, name in enumerate(item.choices if item else (), 1)]
        choices.display = bool(names) and not text
        choices.update("\n".join(flow(names, self.app.size.width - 2)))
        self.query_one(Offers).go_on_from(text, item.offers if item else lambda _: ())

    def next_words(self) -> str:
        item = self.question
        if item is None:
            return "plan it"
        if self._field.value:
            return TYPED_WRONG if self._is_wrong else f"take it as {item.asks}"
        if self._refused:
            return ""
        if self._draft.answers.get(item.key) is not None:
            return f"keep {self._draft.show(item, self.unit)}"
        return f"leave it: {item.unknown}" if item.unknown else ""

    # Keys --------------------------------------------------------------------------------------

    def next(self) -> None:
        item = self.question
        if item is None:
            self._finish()
            return
        if self._refused and item.key in self._draft.answers:
            # What the plan refused is not kept: only another answer goes on.
            return
        try:
            if item.key not in self._draft.answers:
                self._draft.leave(item)
        except ValueError as error:
            self._refused = str(error)
        else:
            self._move_to(self._at + 1)

    def back(self) -> None:
        if self._at:
            self._move_to(self._at - 1)
            self.refresh_all()
        elif self._of is not None:
            self.cockpit.follow()
        else:
            self.complain("This is the first question; ESC leaves, and N goes on with it later.")

    def _move_to(self, at: int) -> None:
        self._at, self._refused = at, ""
        self.complain("")

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        if action == "offer":
            return self.is_ready and bool(self.query_one(Offers).offered)
        if action == "as_before":
            item = self.question if self.is_ready else None
            is_kept = item is not None and item.key in self._draft.answers
            # What was refused is not kept by passing it.
            return is_kept and not (self._field.value or self._refused)
        return super().check_action(action, parameters)

    def action_offer(self, by: int) -> None:
        """Put the next thing that is offered into the field; Enter takes it from there."""
        self._field.value = self.query_one(Offers).choose(by)
        self._field.cursor_position = len(self._field.value)

    def action_as_before(self) -> None:
        """Keep what is there, as far as the next question that needs a look."""
        self._move_to(self._draft.next_open(self._at))
        self.refresh_all()

    def _finish(self) -> None:
        """Take the hole in, or correct it; what the plan refuses is asked again."""
        floor = self.cockpit.floor
        try:
            ticket = self._draft.ticket()
            if self._of is not None:
                self._of.correct(ticket)
                self.cockpit.follow()
                return
            floor.check(ticket)
        except TradeError as error:
            keys = [item.key for item in self._draft.asked()]
            if error.field not in keys:
                raise
            self._move_to(keys.index(error.field))
            self._refused = str(error)
            return
        job = self._job if self._draft.same_job(self._job) else None
        names = ("customer", "reference", "part")
        part = job.id if job else tuple(str(self._draft.answers[name]) for name in names)
        hole_id = floor.take_in(part, ticket)
        # Only now: a disk that takes nothing costs nobody what was typed.
        self.cockpit.draft = None
        self.cockpit.take_up(hole_id)

    @on(Input.Changed)
    def _as_typed(self, event: Input.Changed) -> None:
        item = self.question
        self._draft.typed = (item.key, event.value) if item else ("", "")
        if event.value:
            self._refused = ""
        self._show_understood()
        self.refresh_next()

    @on(Input.Submitted)
    def _taken(self, event: Input.Submitted) -> None:
        # What is wrong with it stands beside the field already.
        with suppress(ValueError):
            self._take(event.value)
        self.refresh_all()

    def _take(self, text: str) -> None:
        item = self.question
        if item is not None:
            self._draft.answer(item, text, self.unit)
            self._field.value = ""
            self._move_to(self._at + 1)
