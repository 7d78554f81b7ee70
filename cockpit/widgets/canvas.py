"""Round and slanted shapes, drawn in dots: braille where there is braille, characters elsewhere.

Lengths on the canvas are in widths of a cell; x goes right and y down from the top left corner. A
cell is taken as twice as high as wide, as nearly all terminals have it, so a cell is 1 × 2 and a
circle comes out round. A cell holds 2 × 4 braille dots, or a single character in plain ASCII.
Solid shapes can be drawn in blocks instead of dots, so that they stand out from textures.
"""

import math
from collections.abc import Callable, Set
from itertools import repeat

from cockpit.widgets.picture import Ink, Sheet

CELL_HEIGHT = 2.0
"""The height of a cell, in widths of a cell."""

Dots = set[tuple[int, int]]
"""A shape, as the places (column, row) of its dots. Shapes are joined and cut as sets are:
a ring is a disc less a smaller one."""

Texture = Callable[[int, int], bool]
"""Tells whether the dot (column, row) is set in a filled shape."""

Edges = Callable[[float], tuple[float, float]]
"""Gives the left and the right edge of a shape at a height y."""

_BRAILLE_BLANK = 0x2800
_BRAILLE_BITS = (
    (0x01, 0x08),
    (0x02, 0x10),
    (0x04, 0x20),
    (0x40, 0x80),
)  # Unicode, Braille Patterns

# The quarters of a cell in braille dots, and the blocks that show the same quarters (Unicode, Block
# Elements), counted in binary: upper left 1, upper right 2, lower left 4, lower right 8.
_QUARTERS = (0x03, 0x18, 0x44, 0xA0)
_BLOCKS = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"


def solid(_column: int, _row: int) -> bool:
    """Set every dot."""
    return True


def checkered(column: int, row: int) -> bool:
    """Set every other dot, as on a draughtboard."""
    return (column + row) % 2 == 0


def sparse(column: int, row: int) -> bool:
    """Set one dot in four, row by row out of step."""
    return row % 2 == 0 and (column + row // 2) % 2 == 0


_Stroke = tuple[int, Ink]  # its number on the canvas, so that later ones are greater


class Canvas:
    """A canvas of ``width`` × ``height`` cells. Later strokes lie over earlier ones."""

    def __init__(self, width: int, height: int, *, ascii_only: bool = False) -> None:
        self.width = width
        self.height = height
        self.ascii_only = ascii_only
        self._across, self._down = (1, 1) if ascii_only else (2, 4)
        self._row_height = CELL_HEIGHT / self._down
        self._dots: dict[tuple[int, int], _Stroke] = {}
        self._strokes = 0

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
        dots: Dots = set()
        for row in self._rows(y - radius, y + radius):
            height = (row + 0.5) * self._row_height - y
            half = math.sqrt(max(radius**2 - height**2, 0.0))
            dots.update(zip(self._columns(x - half, x + half), repeat(row)))
        return dots

    def rectangle(self, left: float, top: float, right: float, bottom: float) -> Dots:
        """A filled rectangle."""
        columns = self._columns(left, right)
        return {(column, row) for row in self._rows(top, bottom) for column in columns}

    def spot(self, x: float, y: float) -> Dots:
        """The dot nearest to a point, for what must show however small it is."""
        most_across, most_down = self.width * self._across - 1, self.height * self._down - 1
        column, row = math.floor(x / self.dot), math.floor(y / self.step)
        return {(max(min(column, most_across), 0), max(min(row, most_down), 0))}

    def band(self, top: float, bottom: float, edges: Edges) -> Dots:
        """A filled shape between two edges, from ``top`` to ``bottom``; at least a dot wide.

        Rounding keeps what is alike on both sides of a middle alike, and what is wider no narrower.
        """
        dots: Dots = set()
        for row in self._rows(top, bottom):
            first, end = self._span(edges, row)
            inside = range(max(first, 0), min(end, self.width * self._across))
            dots.update(zip(inside, repeat(row)))
        return dots

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
        stroke = self._new_stroke(ink)
        if self.ascii_only or texture is solid:
            self._dots.update(dict.fromkeys(dots, stroke))
            return
        self.clear(dots)
        self._dots.update({place: stroke for place in dots if texture(*place)})

    def clear(self, dots: Dots) -> None:
        """Take away every dot in a shape."""
        for place in dots:
            self._dots.pop(place, None)

    def line(self, x0: float, y0: float, x1: float, y1: float, ink: Ink) -> None:
        """Draw a straight line."""
        stroke = self._new_stroke(ink)
        steps = max(1, math.ceil(math.hypot(x1 - x0, y1 - y0) / self.dot))
        for step in range(steps + 1):
            part = step / steps
            self._touch(x0 + (x1 - x0) * part, y0 + (y1 - y0) * part, stroke)

    def circle(self, x: float, y: float, radius: float, ink: Ink, *, dash: float = 0.0) -> None:
        """Draw a circle one dot thick; with ``dash``, dashes and gaps of that length.

        Points are taken alike in all four quarters, and never on an axis, where rounding would
        throw a stray dot.
        """
        stroke = self._new_stroke(ink)
        around = 2 * math.pi * radius
        dashes = 4 * max(1, round(around / (8 * dash))) if dash else 0
        steps = 4 * max(4, math.ceil(around / self.dot * 0.5))
        for step in range(steps):
            turn = (step + 0.5) / steps
            if dashes and 0.25 < (turn * dashes) % 1 < 0.75:
                continue
            angle = 2 * math.pi * turn
            self._touch(x + radius * math.cos(angle), y + radius * math.sin(angle), stroke)

    def stamp(
        self, sheet: Sheet, characters: dict[Ink, str], blocks: Set[Ink] = frozenset()
    ) -> None:
        """Put the dots on a sheet.

        ``characters`` are those of each ink in plain ASCII; the inks in ``blocks`` are drawn in
        blocks wherever a cell's dots fill whole quarters of it.
        """
        across, down = self._across, self._down
        cells: dict[tuple[int, int], tuple[int, _Stroke]] = {}
        for (column, row), stroke in self._dots.items():
            cell = (column // across, row // down)
            bits, top = cells.get(cell, (0, stroke))
            bit = _BRAILLE_BITS[row % down][column % across]
            cells[cell] = (bits | bit, stroke if stroke > top else top)
        for (column, row), (bits, (_, ink)) in cells.items():
            if self.ascii_only:
                text = characters.get(ink, "#")
            else:
                text = (_block(bits) if ink in blocks else None) or chr(_BRAILLE_BLANK + bits)
            sheet.write(column, row, text, ink)

    def _columns(self, left: float, right: float) -> range:
        """The columns of dots on the canvas with their middles from ``left`` to ``right``."""
        return _between(left / self.dot, right / self.dot, self.width * self._across)

    def _rows(self, top: float, bottom: float) -> range:
        height = self._row_height
        return _between(top / height, bottom / height, self.height * self._down)

    def _new_stroke(self, ink: Ink) -> _Stroke:
        self._strokes += 1
        return self._strokes, ink

    def _touch(self, x: float, y: float, stroke: _Stroke) -> None:
        column, row = math.floor(x / self.dot), math.floor(y / self._row_height)
        if 0 <= column < self.width * self._across and 0 <= row < self.height * self._down:
            self._dots[column, row] = stroke


def _between(start: float, end: float, count: int) -> range:
    """The numbers, of ``count``, whose middles (a half more) lie from ``start`` to ``end``."""
    return range(max(math.ceil(start - 0.5), 0), min(math.floor(end - 0.5) + 1, count))


def _block(bits: int) -> str | None:
    """Give the block that shows the same as some braille dots, if there is one."""
    quarters = [bits & quarter for quarter in _QUARTERS]
    if any(part not in (0, whole) for part, whole in zip(quarters, _QUARTERS, strict=True)):
        return None
    return _BLOCKS[sum(1 << place for place, part in enumerate(quarters) if part)]
