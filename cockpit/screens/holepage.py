"""One hole of the shift log, part by part: how the burn went, then what the log knows of it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.widget import Widget
from textual.widgets import Static

from cockpit.burn.trace import write_trace
from cockpit.flow.handing_over import PDF, job_facts, put_in_place, record_form
from cockpit.flow.hole_parts import PARTS, TRACE, Told, facts, has_more, next_part
from cockpit.flow.past import past_events
from cockpit.flow.past_trace import PastTrace, past_trace
from cockpit.log import questions
from cockpit.log.store import LogError
from cockpit.profiles import load_letterhead
from cockpit.screens.shared.paged import PagedScreen
from cockpit.widgets.page import Page
from cockpit.widgets.plain_text import PlainText, shown_line
from cockpit.widgets.trace_plot import TracePlot

#: Beside a line of a part: the margins, a scroll bar.
_BESIDE = 4


class HolePageScreen(PagedScreen):
    """What happened in one hole; the big key leads through its parts."""

    BINDINGS: ClassVar[list[BindingType]] = [
        *(
            Binding(
                str(number),
                f"part({number})",
                part.name,
                id=f"part-{part.name}",
                show=False,
                tooltip=f"{part.words[0].upper()}{part.words[1:]}",
            )
            for number, part in enumerate(PARTS, 1)
        ),
        Binding("c,C", "correct", "correct", id="correct", tooltip="Say again what was wrong"),
        Binding("r,R", "record", "record", id="record", tooltip="The record as PDF, to hand over"),
        Binding("x,X", "export", "save the trace", id="export", tooltip="The readings as CSV"),
        Binding(
            "right",
            "beside(1)",
            "next part",
            id="part-on",
            show=False,
            tooltip="To the next part; LEFT: to the one before",
        ),
        Binding("left", "beside(-1)", "last part", id="part-back", show=False, system=True),
    ]

    def __init__(self, hole_id: int) -> None:
        super().__init__()
        self._hole_id = hole_id
        self._label = ""
        self._place = 0
        self._filled: list[int] = []
        #: What happened; a long trace takes its time, and is gone through once only.
        self._trace: PastTrace | None = None
        self._is_read = False

    def body(self) -> Iterator[Widget]:
        yield PlainText(id="parts")
        with Vertical(id="drawn"):
            yield PlainText(id="facts")
            yield TracePlot(id="trace")
        with Page(id="page"):
            yield PlainText(id="told")

    def heading(self) -> str:
        return f"hole {self._hole_id}   {self._label}".rstrip()

    def show(self) -> None:
        connection = self.cockpit.floor.store.connection
        page = questions.page(connection, self._hole_id)
        if page is None:
            return
        self._label = page.row.label
        self.query_one("#title", Static).update(shown_line(self.heading()))
        if not self._is_read:
            self._trace = past_trace(connection, page, self.cockpit.floor.streams)
            self._is_read = True
        told = Told(page, self._trace, self.unit, max(self.app.size.width - _BESIDE, 1))
        self._filled = [place for place, part in enumerate(PARTS) if has_more(part, told)]
        self.query_one("#parts", Static).update(_names(self._place))
        self._show_part(told)

    def _show_part(self, told: Told) -> None:
        part = PARTS[self._place]
        is_drawn = part is TRACE and self._place in self._filled
        self.query_one("#drawn").display = is_drawn
        self.query_one("#page").display = not is_drawn
        if is_drawn:
            self.query_one("#facts", Static).update(facts(told))
            plot = self.query_one(TracePlot)
            plot.unit = self.unit
            plot.trace = told.trace
        else:
            lines = list(part.lines(told)) or [part.nothing]
            self.query_one("#told", Static).update("\n".join(map(shown_line, lines)))

    def next_words(self) -> str:
        after = next_part(self._place, self._filled)
        return "back" if after is None else f"on to {PARTS[after].words}"

    def next(self) -> None:
        after = next_part(self._place, self._filled)
        if after is None:
            self.back()
        else:
            self._turn_to(after)

    def back(self) -> None:
        self.dismiss()

    def action_part(self, number: int) -> None:
        """To the part of that number."""
        self._turn_to(number - 1)

    def action_beside(self, by: int) -> None:
        """To the part beside this one, where there is one."""
        self._turn_to(min(max(self._place + by, 0), len(PARTS) - 1))

    def _turn_to(self, place: int) -> None:
        self._place = place
        self.query_one(Page).to_top()
        self.complain("")
        self.refresh_all()

    def action_correct(self) -> None:
        """Say again what somebody got wrong."""
        self.attempt(lambda: self.cockpit.correct(self._hole_id, self._label))

    def action_record(self) -> None:
        """Write the record for the customer beside the log."""
        self.attempt(self._record)

    def _record(self) -> None:
        store, unit = self.cockpit.floor.store, self.unit
        head = load_letterhead().told
        facts = job_facts(store.connection, store.path, self._hole_id)
        file = store.path.parent / f"record-{self._hole_id}.pdf"
        self.complain("The record is being written.")

        def written() -> None:
            try:
                put_in_place(file, record_form(PDF, facts, unit, head=head))
            except LogError as error:
                said = str(error)
            else:
                said = f"saved as {file}"
            self.app.call_from_thread(self._say, said)

        # Setting a page takes seconds, and needs nothing of the log any more.
        self.run_worker(written, thread=True, exclusive=True)

    def _say(self, said: str) -> None:
        if self.is_attached:
            self.complain(said)

    def action_export(self) -> None:
        """Save the trace beside the log."""
        self.attempt(self._export)

    def _export(self) -> None:
        store = self.cockpit.floor.store
        path = store.path.parent / f"trace-{self._hole_id}.csv"
        events, passing = past_events(store.connection, self._hole_id), path.with_suffix(".new")
        try:
            with passing.open("w", encoding="utf-8", newline="") as file:
                write_trace(file, events)
            # All of it or none: one that was saved before is not spoilt.
            passing.replace(path)
        except OSError as error:
            raise LogError(f"{path}: the trace can't be saved ({error.strerror}).") from error
        self.complain(f"saved as {path}")


def _names(at: int) -> str:
    """The parts with their keys; the one in sight stands in brackets.

    >>> _names(1)[:26]
    ' 1 trace [2 plan] 3 checks'
    """
    names = [f"{place} {part.name}" for place, part in enumerate(PARTS, 1)]
    return "".join(f"[{name}]" if n == at else f" {name} " for n, name in enumerate(names))
