"""A table of which one row is chosen: a mark stands before it, and the columns share the room."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from rich.cells import cell_len
from textual.coordinate import Coordinate
from textual.events import Resize
from textual.widgets import DataTable

from cockpit.widgets.columns import share
from cockpit.widgets.plain_text import plain_cells, shown_line

#: Blanks between two columns, at best and at least; room for a scroll bar; the mark and a blank.
GAPS, BAR, MARK = (2, 1), 1, 2
#: A name longer than this may be cut short, for the sake of another column.
LONG = 20


class ChoiceTable(DataTable[object]):
    """Rows of words. ``whole``: columns that are never cut short; the others share what is left.

    ``spare``: columns that are only there where all of them fit, but for names that are very long;
    the first of them goes first.
    """

    DEFAULT_CSS = """
    ChoiceTable { height: 1fr; scrollbar-size-vertical: 1; overflow-x: hidden; }
    """

    def __init__(
        self,
        names: Sequence[str],
        *,
        whole: Collection[str] = (),
        spare: Sequence[str] = (),
        id: str,  # noqa: A002  # Textual's name
    ) -> None:
        super().__init__(id=id, cursor_type="row", zebra_stripes=True, cell_padding=0)
        self._names = tuple(names)
        self._whole = frozenset(whole)
        self._spare = tuple(spare)
        self._shown: list[tuple[str, ...]] = []
        self._laid_out_for = 0

    def fill(self, rows: Sequence[Sequence[str]], at: int = 0) -> None:
        """Show these rows, the one ``at`` this place chosen."""
        self._shown = [tuple(map(shown_line, row)) for row in rows]
        self._lay_out(at)

    def _lay_out(self, at: int) -> None:
        # A table that has no place yet will have all of the screen but its edges.
        self._laid_out_for = self.size.width or self.app.size.width - 2
        room = self._laid_out_for - BAR - MARK
        wanted = [
            max(map(cell_len, column)) for column in zip(self._names, *self._shown, strict=True)
        ]
        places = self._places(wanted, room)
        gap = next((gap for gap in GAPS if _takes(wanted, places, gap) <= room), GAPS[-1])
        widths = self._widths(wanted, places, room - gap * len(places))
        self.clear(columns=True)
        # A cell for each line, not for each word: drawing a cell costs more than what is in it.
        self.add_column("", width=MARK)
        cut = [widths[place] for place in places]
        names = _line([self._names[place] for place in places], cut, gap)
        line_width = sum(cut) + gap * len(cut)
        self.add_column(*plain_cells(names, widths=[line_width]), width=line_width)
        for row in self._shown:
            line = _line([row[place] for place in places], cut, gap)
            self.add_row(*plain_cells("", line, widths=[1, line_width]))
        self.move_cursor(row=at, animate=False)
        self._mark(self.cursor_row, "►")

    def _places(self, wanted: Sequence[int], room: int) -> list[int]:
        """The columns that are shown: without spare ones, one by one, until the others fit."""
        places, usual = list(range(len(wanted))), [min(width, LONG) for width in wanted]
        for name in self._spare:
            if _takes(usual, places, GAPS[0]) <= room:
                break
            places.remove(self._names.index(name))
        return places

    def _widths(self, wanted: Sequence[int], places: Sequence[int], room: int) -> dict[int, int]:
        may_be_cut = [place for place in places if self._names[place] not in self._whole]
        widths = {place: wanted[place] for place in places}
        room -= sum(widths[place] for place in places if place not in may_be_cut)
        shares = share([wanted[place] for place in may_be_cut], max(room, 0))
        return widths | dict(zip(may_be_cut, shares, strict=True))

    def _mark(self, row: int, mark: str) -> None:
        """Put a mark before a row: a colour alone would not tell which one is chosen."""
        if 0 <= row < self.row_count:
            (cell,) = plain_cells(mark)
            self.update_cell_at(Coordinate(row, 0), cell)

    def watch_cursor_coordinate(
        self, old_coordinate: Coordinate, new_coordinate: Coordinate
    ) -> None:
        super().watch_cursor_coordinate(old_coordinate, new_coordinate)
        self._mark(old_coordinate.row, "")
        self._mark(new_coordinate.row, "►")

    def on_resize(self, event: Resize) -> None:
        if event.size.width != self._laid_out_for:
            self._lay_out(self.cursor_row)


def _line(words: Sequence[str], widths: Sequence[int], gap: int) -> str:
    """Words set out in columns, each cut short or filled up to its width."""
    cells = tuple(plain_cells(*words, widths=widths))
    for cell, width in zip(cells, widths, strict=True):
        cell.truncate(width, pad=True)
    return "".join(f"{cell.plain}{' ' * gap}" for cell in cells)


def _takes(wanted: Sequence[int], places: Sequence[int], gap: int) -> int:
    """How much these columns take where none is cut short."""
    return sum(wanted[place] + gap for place in places)
