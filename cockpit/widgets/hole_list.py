"""A table of holes: the chosen one has a mark, so that its colour is not all that tells."""

from __future__ import annotations

from rich.text import Text
from textual.coordinate import Coordinate
from textual.widgets import DataTable

from cockpit.widgets.plain_text import shown_line

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

    def add_hole(self, *cells: Text, key: str | None = None) -> None:
        """Add a row."""
        self.add_row(Text(" "), *cells, key=key)

    def on_data_table_row_highlighted(self) -> None:
        """Move the mark with the choice."""
        for row, mark in ((self._marked_row, " "), (self.cursor_row, shown_line(CHOSEN))):
            if self.is_valid_row_index(row):
                self.update_cell_at(Coordinate(row, 0), Text(mark))
        self._marked_row = self.cursor_row
