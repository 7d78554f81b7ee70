"""The shift log: what has been done, searched as it is typed."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import Input, Static

from cockpit.flow.search import HoleSearch, log_line, totals_of
from cockpit.log import questions
from cockpit.log.rows import HoleRow
from cockpit.screens.shared.step import StepScreen
from cockpit.units import quoted
from cockpit.widgets.answer_input import AnswerInput
from cockpit.widgets.choice_table import ChoiceTable
from cockpit.widgets.plain_text import PlainText

#: So many rows are shown; a search finds the others.
MOST_ROWS = 200
COLUMNS = ("taken in", "by", "customer", "part", "hole", "thread", "arc", "calls", "outcome")
WHOLE, SPARE = ("taken in", "arc", "calls", "outcome"), ("part", "calls")


class ShiftLogScreen(StepScreen):
    """All holes, the newest first."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "move(-1)", "up", id="up", show=False),
        Binding("down", "move(1)", "down", id="down", show=False),
    ]

    def body(self) -> Iterator[Widget]:
        yield AnswerInput(id="search", placeholder="type to search: customer, hole, outcome")
        yield ChoiceTable(COLUMNS, whole=WHOLE, spare=SPARE, id="log")
        yield PlainText(id="nothing")
        yield PlainText(id="totals")

    def begin(self) -> None:
        self._rows: list[HoleRow] = []
        self._search: HoleSearch | None = None
        self._table.can_focus = False
        self.query_one(AnswerInput).focus()

    @property
    def _table(self) -> ChoiceTable:
        return self.query_one(ChoiceTable)

    def heading(self) -> str:
        return "shift log"

    def show(self) -> None:
        text = self.query_one(AnswerInput).value.strip()
        floor, chosen = self.cockpit.floor, self._chosen()
        if self._search is None:
            # Read once: nothing is written to the log while it is looked at.
            self._search = HoleSearch(questions.shift_log(floor.store.connection))
        self._rows = self._search.find(text)
        shown = self._rows[:MOST_ROWS]
        ids, year = [row.id for row in shown], f"{floor.clock.utc():%Y}"
        at = ids.index(chosen.id) if chosen and chosen.id in ids else 0
        self._table.fill([log_line(row, year) for row in shown], at)
        self._table.display = bool(shown)
        nothing = self.query_one("#nothing", Static)
        nothing.display = not shown
        said = f"Nothing in the log has {quoted(text)} in it." if text else "No hole is in the log."
        nothing.update(said)
        self.query_one("#totals", Static).update(totals_of(self._rows, MOST_ROWS))

    def next_words(self) -> str:
        row = self._chosen()
        return f"look at {row.label}" if row else ""

    def next(self) -> None:
        row = self._chosen()
        if row is not None:
            self.cockpit.show_hole(row.id)

    def _chosen(self) -> HoleRow | None:
        at = self._table.cursor_row
        return self._rows[at] if 0 <= at < len(self._rows) else None

    def action_move(self, by: int) -> None:
        """Move the choice up or down."""
        self._table.move_cursor(row=self._table.cursor_row + by)
        self.refresh_next()

    @on(Input.Changed)
    def _as_typed(self) -> None:
        self.refresh_all()

    @on(Input.Submitted)
    def _taken(self) -> None:
        self.take_next()
