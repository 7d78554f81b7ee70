"""A table of holes: the chosen one has a mark, so that its colour is not all that tells."""

from __future__ import annotations

from rich.text import Text
from textual.coordinate import Coordinate
from textual.widgets import DataTable

from cockpit.widgets.plain_text import plain_cells

CHOSEN = "►"


class HoleList(DataTable[Text]):
    """Rows to choose from. The mark has a column of its own, first, that nobody else writes in."""

    def __init__(self, *, id: str) -> None:  # noqa: A002  # Textual's name
        super().__init__(id=id, cursor_type="row", zebra_stripes=True)
        self._marked_row = 0

    def add_heads(self, *heads: str) -> None:
        """Give the columns their heads."""
        self.add_column("", width=1)
        self.add_columns(*heads)

    def add_hole(self, *texts: str, key: str | None = None) -> None:
        """Add a row, of texts that may be anybody's."""
        self.add_row(*plain_cells(" ", *texts), key=key)

    def on_data_table_row_highlighted(self) -> None:
        """Move the mark with the choice."""
        for row, mark in ((self._marked_row, " "), (self.cursor_row, CHOSEN)):
            if self.is_valid_row_index(row):
                (cell,) = plain_cells(mark)
                self.update_cell_at(Coordinate(row, 0), cell)
        self._marked_row = self.cursor_row
