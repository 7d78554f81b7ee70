"""Round and slanted shapes, drawn in dots: braille where there is braille, characters elsewhere.

Lengths on the canvas are in widths of a cell; x goes right and y down from the top left corner. A
cell is taken as twice as high as wide, as nearly all terminals have it, so a cell is 1 × 2 and a
circle comes out round. A cell holds 2 × 4 braille dots, or a single character in plain ASCII.
Solid shapes can be drawn in blocks instead of dots, so that they stand out from textures.
"""

import math
from collections import defaultdict
from collections.abc import Callable, Iterator, Set
from functools import cache

from cockpit.widgets.dots import Dots, Texture, between, solid
from cockpit.widgets.picture import Ink, Sheet

CELL_HEIGHT = 2.0
"""The height of a cell, in widths of a cell."""

Edges = Callable[[float], tuple[float, float]]
"""Gives the left and the right edge of a shape at a height y; both are straight."""

_BRAILLE_BLANK = 0x2800
# Of each row of dots in a cell, the bits of its two dots: none, left, right, both.
_BRAILLE_BITS = (
    (0x00, 0x01, 0x08, 0x09),
    (0x00, 0x02, 0x10, 0x12),
    (0x00, 0x04, 0x20, 0x24),
    (0x00, 0x40, 0x80, 0xC0),
)  # Unicode, Braille Patterns

# The quarters of a cell in braille dots, and the blocks that show the same quarters (Unicode, Block
# Elements), counted in binary: upper left 1, upper right 2, lower left 4, lower right 8.
_QUARTERS = (0x03, 0x18, 0x44, 0xA0)
_BLOCKS = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"


class Canvas:
    """A canvas of ``width`` × ``height`` cells. Later strokes lie over earlier ones."""

    def __init__(self, width: int, height: int, *, ascii_only: bool = False) -> None:
        self.width = width
        self.height = height
        self.ascii_only = ascii_only
        self._across, self._down = (1, 1) if ascii_only else (2, 4)
        self._row_height = CELL_HEIGHT / self._down
        self._strokes: list[tuple[Ink, Dots]] = []

    @property
    def step(self) -> float:
        """The distance from dot to dot downwards, in widths of a cell."""
        return self._row_height

    @property
    def dot(self) -> float:
        """The distance from dot to dot across, in widths of a cell."""
        return 1 / self._across

    def disc(self, x: float, y: float, radius: float) -> Dots:
        """A filled circle."""
        rows = {}
        for row in self._rows(y - radius, y + radius):
            height = (row + 0.5) * self._row_height - y
            half = math.sqrt(max(radius**2 - height**2, 0.0))
            rows[row] = between(self._columns(x - half, x + half))
        return Dots(rows)

    def rectangle(self, left: float, top: float, right: float, bottom: float) -> Dots:
        """A filled rectangle."""
        return Dots(dict.fromkeys(self._rows(top, bottom), between(self._columns(left, right))))

    def spot(self, x: float, y: float) -> Dots:
        """The dot nearest to a point, for what must show however small it is."""
        most_across, most_down = self.width * self._across - 1, self.height * self._down - 1
        column, row = math.floor(x / self.dot), math.floor(y / self.step)
        return Dots({max(min(row, most_down), 0): 1 << max(min(column, most_across), 0)})

    def band(self, top: float, bottom: float, edges: Edges) -> Dots:
        """A filled shape between two edges, from ``top`` to ``bottom``; at least a dot wide.

        Rounding keeps what is alike on both sides of a middle alike, and what is wider no narrower.
        """
        rows = self._rows(top, bottom)
        if rows and self._span(edges, rows[0]) == self._span(edges, rows[-1]):
            return Dots(dict.fromkeys(rows, self._across_span(edges, rows[0])))
        return Dots({row: self._across_span(edges, row) for row in rows})

    def _across_span(self, edges: Edges, row: int) -> int:
        """The bits of a band in a row of dots."""
        first, end = self._span(edges, row)
        return between(range(max(first, 0), min(end, self.width * self._across)))

    def level(self, y: float) -> Dots:
        """A level line, one dot thick."""
        top = math.floor(y / self._row_height) * self._row_height
        return self.rectangle(0, top, self.width, top + self._row_height)

    def cells_beside(self, edges: Edges, row: int) -> tuple[int, int]:
        """The columns of cells of the dots left and right of a band, at the middle of a row."""
        first, end = self._span(edges, row * self._down + self._down // 2)
        return (first - 1) // self._across, end // self._across

    def _span(self, edges: Edges, row: int) -> tuple[int, int]:
        left, right = (
            min(max(edge, -1.0), self.width + 1.0) for edge in edges((row + 0.5) * self._row_height)
        )
        first = math.floor(left / self.dot + 0.5)
        return first, max(math.ceil(right / self.dot - 0.5), first + 1)

    def fill(self, dots: Dots, ink: Ink, texture: Texture = solid) -> None:
        """Fill a shape, over what was there. In plain ASCII the character tells inks apart, so
        the texture is solid.
        """
        self.clear(dots)
        is_solid = self.ascii_only or texture is solid
        self._strokes.append((ink, dots if is_solid else dots.textured(texture)))

    def clear(self, dots: Dots) -> None:
        """Take away every dot in a shape."""
        self._strokes = [(ink, under - dots) for ink, under in self._strokes]

    def line(self, x0: float, y0: float, x1: float, y1: float, ink: Ink) -> None:
        """Draw a straight line."""
        steps = max(1, math.ceil(math.hypot(x1 - x0, y1 - y0) / self.dot))
        parts = (step / steps for step in range(steps + 1))
        self.fill(self._touched((x0 + (x1 - x0) * at, y0 + (y1 - y0) * at) for at in parts), ink)

    def circle(self, x: float, y: float, radius: float, ink: Ink, *, dash: float = 0.0) -> None:
        """Draw a circle one dot thick; with ``dash``, dashes and gaps of that length.

        Points are taken alike in all four quarters, and never on an axis, where rounding would
        throw a stray dot.
        """
        around = 2 * math.pi * radius
        dashes = 4 * max(1, round(around / (8 * dash))) if dash else 0
        steps = 4 * max(4, math.ceil(around / self.dot * 0.5))
        turns = ((step + 0.5) / steps for step in range(steps))
        drawn = (turn for turn in turns if not dashes or not 0.25 < (turn * dashes) % 1 < 0.75)
        angles = (2 * math.pi * turn for turn in drawn)
        places = ((x + radius * math.cos(one), y + radius * math.sin(one)) for one in angles)
        self.fill(self._touched(places), ink)

    def stamp(
        self, sheet: Sheet, characters: dict[Ink, str], blocks: Set[Ink] = frozenset()
    ) -> None:
        """Put the dots on a sheet.

        ``characters`` are those of each ink in plain ASCII; the inks in ``blocks`` are drawn in
        blocks wherever a cell's dots fill whole quarters of it.
        """
        if self.ascii_only:
            for ink, dots in self._strokes:
                for column, row in dots:
                    sheet.write(column, row, characters.get(ink, "#"), ink)
            return
        cells: dict[tuple[int, int], tuple[int, Ink]] = {}
        for ink, dots in self._strokes:
            for cell, bits in _in_cells(dots):
                cells[cell] = (bits | cells.get(cell, (0, ink))[0], ink)
        for (column, row), (bits, ink) in cells.items():
            text = (_block(bits) if ink in blocks else None) or chr(_BRAILLE_BLANK + bits)
            sheet.write(column, row, text, ink)

    def _columns(self, left: float, right: float) -> range:
        """The columns of dots on the canvas with their middles from ``left`` to ``right``."""
        return _between(left / self.dot, right / self.dot, self.width * self._across)

    def _rows(self, top: float, bottom: float) -> range:
        height = self._row_height
        return _between(top / height, bottom / height, self.height * self._down)

    def _touched(self, places: Iterator[tuple[float, float]]) -> Dots:
        """The dots, of those on the canvas, that these places lie in."""
        rows: dict[int, int] = defaultdict(int)
        for x, y in places:
            column, row = math.floor(x / self.dot), math.floor(y / self._row_height)
            if 0 <= column < self.width * self._across and 0 <= row < self.height * self._down:
                rows[row] |= 1 << column
        return Dots(rows)


def _in_cells(dots: Dots) -> Iterator[tuple[tuple[int, int], int]]:
    """Every cell that a shape has dots in, and its braille bits."""
    bits_0, bits_1, bits_2, bits_3 = _BRAILLE_BITS
    for high in {row // 4 for row in dots.rows}:
        row_0, row_1, row_2, row_3 = (dots.rows.get(4 * high + down, 0) for down in range(4))
        left = row_0 | row_1 | row_2 | row_3
        while left:
            column = (left & -left).bit_length() - 1 >> 1
            at = 2 * column
            left &= ~(3 << at)
            # Written out: on a large screen it is done some thousand times for a key.
            yield (
                (column, high),
                bits_0[row_0 >> at & 3]
                | bits_1[row_1 >> at & 3]
                | bits_2[row_2 >> at & 3]
                | bits_3[row_3 >> at & 3],
            )


def _between(start: float, end: float, count: int) -> range:
    """The numbers, of ``count``, whose middles (a half more) lie from ``start`` to ``end``."""
    return range(max(math.ceil(start - 0.5), 0), min(math.floor(end - 0.5) + 1, count))


@cache
def _block(bits: int) -> str | None:
    """Give the block that shows the same as some braille dots, if there is one."""
    quarters = [bits & quarter for quarter in _QUARTERS]
    if any(part not in (0, whole) for part, whole in zip(quarters, _QUARTERS, strict=True)):
        return None
    return _BLOCKS[sum(1 << place for place, part in enumerate(quarters) if part)]
