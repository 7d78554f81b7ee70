"""The bench: the holes waiting, in hand and done, and what each needs next."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import DataTable, Static

from cockpit.flow.steps import NEXT, Step
from cockpit.log.rows import HoleRow
from cockpit.screens.step import StepScreen
from cockpit.units import write_clock
from cockpit.widgets.hole_list import HoleList
from cockpit.widgets.plain_text import PlainText, plain_cells


class BenchScreen(StepScreen):
    """The list that a shift works through."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("n,N", "new", "new hole", id="new", tooltip="Take in a hole"),
        Binding("l,L", "log", "shift log", id="log", tooltip="What has been done"),
        Binding(
            "e,E", "end", "end shift", id="end", tooltip="Close the shift with a handover note"
        ),
        Binding("g,G", "gauge", "gauge", id="gauge", tooltip="Pick another gauge"),
        Binding("q,Q", "quit", "quit", id="quit", tooltip="Leave the cockpit"),
    ]

    def body(self) -> Iterator[Widget]:
        yield HoleList(id="holes")
        yield PlainText(id="totals")

    def begin(self) -> None:
        self._rows: list[HoleRow] = []
        table = self.query_one(HoleList)
        table.add_heads("customer", "hole", "thread", "broken", "next", "arc")
        table.focus()
        self.complain(self.cockpit.floor.notice)

    def heading(self) -> str:
        floor = self.cockpit.floor
        shift = floor.shift
        operator = shift.operator if shift else "nobody"
        demo = "   DEMO: an invented shop" if self.cockpit.is_demo else ""
        return f"bench   {operator} at {floor.machine_name}, gauge {floor.gauge_name}{demo}"

    def show(self) -> None:
        floor = self.cockpit.floor
        chosen = self._chosen()
        chosen_id = chosen.id if chosen else floor.last_in_hand()
        waiting, done = floor.waiting(), floor.done_this_shift()
        self._rows = [*waiting, *done]
        table = self.query_one(HoleList)
        table.clear()
        for row in self._rows:
            table.add_hole(
                *plain_cells(row.job.customer, row.label, row.thread, row.broken),
                *plain_cells(_needs(row), write_clock(row.arc_s)),
                key=str(row.id),
            )
        ids = [row.id for row in waiting]
        table.move_cursor(row=ids.index(chosen_id) if chosen_id in ids else 0)
        self.query_one("#totals", Static).update(_totals(waiting, done))

    def next_words(self) -> str:
        row = self._chosen()
        if row is None:
            return "take in a hole"
        if row.outcome is not None and row.step == Step.ENDED:
            return f"look at {row.label}"
        return f"{row.label}: {_next(row)}"

    def next(self) -> None:
        row = self._chosen()
        if row is None:
            self.action_new()
        elif row.step == Step.ENDED:
            self.cockpit.show_hole(row.id)
        else:
            self.cockpit.take_up(row.id)

    def back(self) -> None:
        """The bench is where everything begins."""

    def _chosen(self) -> HoleRow | None:
        at = self.query_one(HoleList).cursor_row
        return self._rows[at] if 0 <= at < len(self._rows) else None

    @on(DataTable.RowHighlighted)
    def _moved(self) -> None:
        self.refresh_next()

    @on(DataTable.RowSelected)
    def _picked(self) -> None:
        self.press_big_key()

    def action_new(self) -> None:
        """Take in a hole."""
        self.cockpit.take_in()

    def action_log(self) -> None:
        """The shift log."""
        self.cockpit.show_log()

    def action_end(self) -> None:
        """Close the shift."""
        self.cockpit.end_shift()

    def action_gauge(self) -> None:
        """Pick another gauge."""
        self.cockpit.ask_gauge()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """An invented burn has one gauge only."""
        return not self.cockpit.is_demo if action == "gauge" else True

    def action_quit(self) -> None:
        """Leave the cockpit."""
        self.cockpit.action_leave()


def _needs(row: HoleRow) -> str:
    if row.step == Step.ENDED:
        return row.outcome or "ended"
    return _next(row) + (" (left)" if row.outcome else "")


def _next(row: HoleRow) -> str:
    """What a hole needs next; a step that another program wrote is shown as it is."""
    return NEXT.get(row.step, f"at {row.step}")


def _totals(waiting: list[HoleRow], done: list[HoleRow]) -> str:
    arc_s = sum(row.arc_s for row in done)
    return f"{len(waiting)} waiting   {len(done)} closed this shift   arc {write_clock(arc_s)}"
