"""Take in a hole: a few questions, half of them answered by the hole before."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress

from textual import on
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Input, Static

from cockpit.flow.hole import HoleInHand
from cockpit.flow.intake import OF_THE_JOB, Draft, Question, questions
from cockpit.log.rows import Job
from cockpit.screens.step import StepScreen
from cockpit.trade.errors import TradeError
from cockpit.trade.ticket import Ticket
from cockpit.widgets.answer_input import AnswerInput
from cockpit.widgets.plain_text import PlainText, plain_content

# More choices than this are shown in columns.
_IN_A_LINE = 6


class TicketScreen(StepScreen):
    """One question at a time, the whole ticket in view."""

    def __init__(
        self, job: Job | None, last: Ticket | None, *, of: HoleInHand | None = None
    ) -> None:
        """Take in a hole after the ``last`` of the ``job``, or correct the ticket ``of`` one."""
        super().__init__()
        self._job = job
        self._last = last
        self._of = of
        self._at = 0

    def body(self) -> Iterator[Widget]:
        with VerticalScroll(id="answers"):
            yield PlainText(id="ticket")
        yield PlainText(id="asks")
        yield AnswerInput(id="answer")
        yield PlainText(id="understood")

    def begin(self) -> None:
        materials = tuple(material.name for material in self.cockpit.floor.shop.materials)
        asked = questions(materials)
        if self._of is not None and self._job is not None:
            of_hole = tuple(item for item in asked if item.key not in OF_THE_JOB)
            self._draft = Draft.of(of_hole, self._job, self._of.ticket)
        else:
            # What was left half filled in is gone on with: no key loses a ticket.
            self._draft = self.cockpit.draft or Draft.after(asked, self._job, self._last)
            self.cockpit.draft = self._draft
        self.query_one(AnswerInput).focus()

    def heading(self) -> str:
        return "take in a hole" if self._of is None else f"correct {self._of.row.label}"

    @property
    def question(self) -> Question | None:
        """The question that is asked now; None when all are answered."""
        asked = self._draft.asked()
        return asked[self._at] if self._at < len(asked) else None

    def show(self) -> None:
        lines = [self._line(item, item is self.question) for item in self._draft.asked()]
        self.query_one("#ticket", Static).update(Content("\n").join(lines))
        self.query_one("#answers").scroll_to(y=max(self._at - 2, 0), animate=False)
        self._show_question()
        self._show_understood()

    def _line(self, item: Question, now: bool) -> Content:
        mark = "►" if now else " "
        carried = "  (as before)" if item.key in self._draft.carried else ""
        value = self._draft.show(item, self.unit, both=item.key.endswith("_mm"))
        text = f"{mark} {item.asks:<20} {value}{carried}"
        return plain_content(text, "bold" if now else "")

    def _show_question(self) -> None:
        field, asks = self.query_one(AnswerInput), self.query_one("#asks", Static)
        item = self.question
        field.display = item is not None
        if item is None:
            asks.update("")
            return
        asks.update(_asking(item))
        field.placeholder = self._draft.show(item, self.unit)
        field.focus()

    def _show_understood(self) -> None:
        """How what is being typed is understood, or what is wrong with it, beside the field."""
        item, text = self.question, self.query_one(AnswerInput).value
        understood = self.query_one("#understood", Static)
        understood.set_class(False, "-wrong")
        if item is None or not text.strip():
            understood.update("")
            return
        trial = Draft(self._draft.questions, dict(self._draft.answers))
        try:
            trial.answer(item, text, self.unit)
        except ValueError as error:
            understood.set_class(True, "-wrong")
            understood.update(str(error))
        else:
            understood.update(f"= {trial.show(item, self.unit, both=True)}")

    def next_words(self) -> str:
        item = self.question
        if item is None:
            return "plan it"
        if self.query_one(AnswerInput).value:
            return f"take it as {item.asks}"
        if item.key in self._draft.answers:
            return f"keep {self._draft.show(item, self.unit)}"
        return ""

    def next(self) -> None:
        item = self.question
        if item is None:
            self._finish()
        elif item.key in self._draft.answers:
            self._at += 1

    def back(self) -> None:
        if self._at:
            self._at -= 1
            self.refresh_all()
        elif self._of is not None:
            self.cockpit.follow()
        else:
            self.complain("This is the first question; ESC leaves, and N goes on with it later.")

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
            self._at = keys.index(error.field) if error.field in keys else self._at
            raise
        job = self._job if self._draft.same_job(self._job) else None
        names = ("customer", "reference", "part")
        part = job.id if job else tuple(str(self._draft.answers[name]) for name in names)
        hole_id = floor.take_in(part, ticket)
        # Only now: a disk that takes nothing costs nobody what was typed.
        self.cockpit.draft = None
        self.cockpit.take_up(hole_id)

    @on(Input.Changed)
    def _as_typed(self) -> None:
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
            self.query_one(AnswerInput).value = ""
            self._at += 1


def _asking(item: Question) -> str:
    """What is asked, with its choices in columns where there are many."""
    choices = [f"{n} {name}" for n, name in enumerate(item.choices, 1)]
    if len(choices) <= _IN_A_LINE:
        return f"{item.asks}?   {'   '.join(choices) or item.hint}"
    rows = -(-len(choices) // 2)
    pairs = zip(choices[:rows], [*choices[rows:], ""], strict=False)
    return "\n".join([f"{item.asks}?", *(f"  {one:<36}{other}".rstrip() for one, other in pairs)])
