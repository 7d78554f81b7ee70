"""The rack: what is left of each size, what is low, and what was entered last."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import DataTable, Static

from cockpit.flow.stocktake import LOW, Size, entry_words, totals_words
from cockpit.log import racks
from cockpit.screens.count import CountScreen
from cockpit.screens.shared.step import StepScreen
from cockpit.trade.stock import StockEntry
from cockpit.units import LengthUnit
from cockpit.widgets.choice_table import ChoiceTable
from cockpit.widgets.plain_text import PlainText, shown_line

#: As many entries as the largest terminal shows.
MOST_ENTRIES = 60
COLUMNS = ("size", "on hand", "", "order at", "the one in use has lost")


class StockScreen(StepScreen):
    """Every size a row; the big key counts the chosen one."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("i,I", "came_in", "came in", id="came-in", tooltip="Enter electrodes that came in"),
    ]

    def body(self) -> Iterator[Widget]:
        yield ChoiceTable(COLUMNS, whole=COLUMNS, id="sizes")
        yield PlainText(id="totals")
        yield PlainText(id="entries")

    def begin(self) -> None:
        self._sizes: list[Size] = []
        self._table.focus()

    def on_screen_resume(self) -> None:
        if self.is_ready:
            self.refresh_all()

    @property
    def _table(self) -> ChoiceTable:
        return self.query_one(ChoiceTable)

    def heading(self) -> str:
        return "stock   arrows choose"

    def show(self) -> None:
        floor, at = self.cockpit.floor, max(self._table.cursor_row, 0)
        self._sizes = floor.sizes()
        self._table.fill([_cells(one, self.unit) for one in self._sizes], at)
        self.query_one("#totals", Static).update(shown_line(totals_words(self._sizes)))
        rows = racks.history(floor.store.connection, MOST_ENTRIES)
        said = ["Entered last:", *(f"  {entry_words(row)}" for row in rows)]
        said = said if rows else ["Nothing was entered yet: these are the figures of the profile."]
        self.query_one("#entries", Static).update("\n".join(map(shown_line, said)))

    def next_words(self) -> str:
        chosen = self._chosen()
        return f"count {chosen.label}" if chosen else ""

    def next(self) -> None:
        self._ask(StockEntry.COUNTED)

    def action_came_in(self) -> None:
        """Enter what came in."""
        self._ask(StockEntry.CAME_IN)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        if action == "came_in":
            return self._chosen() is not None
        return super().check_action(action, parameters)

    def _ask(self, entry: StockEntry) -> None:
        chosen = self._chosen()
        if chosen is not None and self.can_be_seen():
            self.complain("")
            self.app.push_screen(CountScreen(chosen, entry))

    def _chosen(self) -> Size | None:
        at = self._table.cursor_row
        return self._sizes[at] if 0 <= at < len(self._sizes) else None

    @on(DataTable.RowHighlighted)
    def _moved(self) -> None:
        self.refresh_next()

    @on(DataTable.RowSelected)
    def _picked(self) -> None:
        self.press_big_key()


def _cells(one: Size, unit: LengthUnit) -> tuple[str, ...]:
    low, reorder_at = LOW if one.is_low else "", f"{one.electrode.reorder_at}"
    return one.label, f"{one.left.count}", low, reorder_at, one.in_use(unit)
