"""The shift log: what has been done, searched as it is typed."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import Input, Static

from cockpit.flow.steps import Step
from cockpit.log import questions
from cockpit.log.rows import HoleRow
from cockpit.screens.step import StepScreen
from cockpit.units import write_clock
from cockpit.widgets.answer_input import AnswerInput
from cockpit.widgets.hole_list import HoleList
from cockpit.widgets.plain_text import PlainText, plain_cells

#: So many rows are shown; a search finds the others.
MOST_ROWS = 500
COLUMNS = ("taken in", "by", "customer", "hole", "thread", "arc", "outcome")


class ShiftLogScreen(StepScreen):
    """All holes, the newest first."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "move(-1)", "up", id="up", show=False),
        Binding("down", "move(1)", "down", id="down", show=False),
    ]

    def body(self) -> Iterator[Widget]:
        yield AnswerInput(id="search", placeholder="type to search: customer, hole, outcome")
        yield HoleList(id="log")
        yield PlainText(id="totals")

    def begin(self) -> None:
        table = self.query_one(HoleList)
        table.can_focus = False
        table.add_heads(*COLUMNS)
        self.query_one(AnswerInput).focus()

    def heading(self) -> str:
        return "shift log"

    def show(self) -> None:
        text = self.query_one(AnswerInput).value.strip()
        self._rows = questions.shift_log(self.cockpit.floor.store.connection, text=text)
        table = self.query_one(HoleList)
        table.clear()
        for row in self._rows[:MOST_ROWS]:
            table.add_hole(
                *plain_cells(row.at_utc[5:16].replace("T", " "), row.operator, row.job.customer),
                *plain_cells(row.label, row.thread, write_clock(row.arc_s)),
                *plain_cells(row.outcome or f"at {row.step}"),
            )
        self.query_one("#totals", Static).update(_totals(self._rows))

    def next_words(self) -> str:
        row = self._chosen()
        return f"look at {row.label}" if row else ""

    def next(self) -> None:
        row = self._chosen()
        if row is not None:
            self.cockpit.show_hole(row.id)

    def _chosen(self) -> HoleRow | None:
        at = self.query_one(HoleList).cursor_row
        return self._rows[at] if 0 <= at < len(self._rows) else None

    def action_move(self, by: int) -> None:
        """Move the choice up or down."""
        table = self.query_one(HoleList)
        table.move_cursor(row=table.cursor_row + by)
        self.refresh_next()

    @on(Input.Changed)
    def _as_typed(self) -> None:
        self.show()
        self.refresh_next()

    @on(Input.Submitted)
    def _taken(self) -> None:
        self.press_big_key()


def _totals(rows: list[HoleRow]) -> str:
    # A hole left for later has an outcome too, and still waits on the bench.
    closed = sum(row.step == Step.ENDED for row in rows)
    arc_s, calls = sum(row.arc_s for row in rows), sum(row.calls for row in rows)
    shown = f", the newest {MOST_ROWS} shown" if len(rows) > MOST_ROWS else ""
    told = f"{_count(len(rows), 'hole')}{shown}, {closed} closed"
    return f"{told}   arc {write_clock(arc_s)}   {_count(calls, 'call')}"


def _count(number: int, of: str) -> str:
    return f"{number} {of}" if number == 1 else f"{number} {of}s"
