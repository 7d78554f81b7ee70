"""Where the legend of a cross-section goes: beside the picture or below it, in full or in short."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from cockpit.units import LengthUnit
from cockpit.widgets.canvas import CELL_HEIGHT
from cockpit.widgets.cross_legend import Entry, Table, narrow, wide
from cockpit.widgets.picture import Ink, Sheet

# What a layout is worth, as parts of the circle it leaves room for: taste, tried at many sizes.
# Each line of the legend is worth a little less than the one over it; all of them something more.
_WORTH_OF_CIRCLE = 0.2
_WORTH_OF_UNITS = 0.12
_WORTH_OF_LINES = 0.34
_WORTH_OF_ALL = 0.34
_NEXT_LINE = 0.85

# Inks that a small picture has no room for: their samples are shown only where they are drawn.
_FINE = (Ink.KEEP, Ink.ELECTRODE, Ink.BEFORE)

_BETWEEN = 2


@dataclass(frozen=True, slots=True)
class Layout:
    """A picture of ``columns`` × ``rows`` cells in the top left corner, and a legend.

    The legend's columns start at ``lefts``, at row ``top``, with ``lines`` lines each.
    """

    columns: int
    rows: int
    table: Table
    lefts: tuple[int, ...] = ()
    top: int = 0
    lines: int = 0

    @property
    def circle(self) -> float:
        """The diameter of the largest circle in the picture, in widths of a cell."""
        return min(self.columns, self.rows * CELL_HEIGHT)

    @property
    def worth(self) -> float:
        """The circle's size, less for lines that are left out and for figures without units."""
        shown = min(len(self.lefts) * self.lines, len(self.table.lines))
        lines = _WORTH_OF_LINES * (1 - _NEXT_LINE**shown)
        lines += _WORTH_OF_ALL * shown / max(len(self.table.lines), 1)
        units = _WORTH_OF_UNITS * (not self.table.header and shown > 0)
        return self.circle * (_WORTH_OF_CIRCLE + lines + units)

    def write(self, sheet: Sheet) -> None:
        """Write the legend beside what is drawn already."""
        drawn = {ink for *_, ink in sheet.picture().cells()}
        top = self.top + bool(self.table.header)
        for number, left in enumerate(self.lefts):
            sheet.write(left, self.top, self.table.header, Ink.LABEL)
            first = number * self.lines
            for row, (entry, text) in enumerate(self.table.lines[first : first + self.lines], top):
                if entry.ink in drawn or entry.ink not in _FINE:
                    sheet.write(left, row, entry.sample, entry.ink)
                sheet.write(left + 2, row, text, entry.ink if entry.is_loud else Ink.LABEL)


def best_layout(width: int, height: int, entries: Sequence[Entry], unit: LengthUnit) -> Layout:
    """Choose the layout that shows most on ``width`` × ``height`` cells."""
    layouts = [Layout(width, height, narrow(entries, unit))]
    for table in (wide(entries, unit), narrow(entries, unit)):
        layouts += _beside(width, height, table)
        layouts += _below(width, height, table)
    return max(layouts, key=lambda layout: layout.worth)


def _beside(width: int, height: int, table: Table) -> Iterator[Layout]:
    lines = min(height - bool(table.header), len(table.lines))
    columns = width - table.width - 1
    if lines > 0 and columns > 0:
        top = (height - lines - bool(table.header)) // 2
        yield Layout(columns, height, table, (columns + 1,), top, lines)


def _below(width: int, height: int, table: Table) -> Iterator[Layout]:
    most = min((width + _BETWEEN) // (table.width + _BETWEEN), len(table.lines))
    for lines in range(1, height // 2):
        count = min(most, -(-len(table.lines) // lines))
        rows = height - lines - bool(table.header)
        if count < 1 or rows < 1:
            return
        margin = (width - count * (table.width + _BETWEEN) + _BETWEEN) // 2
        lefts = tuple(margin + number * (table.width + _BETWEEN) for number in range(count))
        yield Layout(width, rows, table, lefts, rows, lines)
