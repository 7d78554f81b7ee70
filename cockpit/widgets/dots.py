"""Shapes made of dots, and textures to fill them with.

A row of dots is the bits of a whole number, the leftmost dot the lowest bit: a shape of ten
thousand dots is joined or cut in a few hundred operations, ten times a second if need be.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

Texture = Callable[[int, int], int]
"""Gives the dots set in a filled shape: in this row, of so many columns."""


def solid(_row: int, columns: int) -> int:
    """Set every dot."""
    return (1 << columns) - 1


def checkered(row: int, columns: int) -> int:
    """Set every other dot, as on a draughtboard."""
    return _every_other(columns) << row % 2


def sparse(row: int, columns: int) -> int:
    """Set one dot in four, row by row out of step."""
    return 0 if row % 2 else checkered(row // 2, columns)


def striped(row: int, columns: int) -> int:
    """Set every other row."""
    return 0 if row % 2 else solid(row, columns)


def _every_other(columns: int) -> int:
    """Bits 0, 2, 4 and so on.

    >>> bin(_every_other(6))
    '0b10101'
    """
    return ((1 << (columns + columns % 2)) - 1) // 3


def between(columns: range) -> int:
    """The bits of neighbouring columns.

    >>> bin(between(range(1, 4)))
    '0b1110'
    """
    return (1 << columns.stop) - (1 << columns.start) if columns else 0


class Dots:
    """A shape. Shapes are joined and cut as sets are: a ring is a disc less a smaller one."""

    def __init__(self, rows: Mapping[int, int] | None = None) -> None:
        """``rows``: the bits of each row."""
        self.rows = {row: bits for row, bits in (rows or {}).items() if bits}

    def __bool__(self) -> bool:
        return bool(self.rows)

    def __iter__(self) -> Iterator[tuple[int, int]]:
        """The places of the dots: column, row."""
        for row, bits in self.rows.items():
            yield from ((column, row) for column in range(bits.bit_length()) if bits >> column & 1)

    def __or__(self, other: Dots) -> Dots:
        more = {row: bits | self.rows.get(row, 0) for row, bits in other.rows.items()}
        return Dots(self.rows | more)

    def __and__(self, other: Dots) -> Dots:
        return Dots({row: bits & other.rows.get(row, 0) for row, bits in self.rows.items()})

    def __sub__(self, other: Dots) -> Dots:
        return Dots({row: bits & ~other.rows.get(row, 0) for row, bits in self.rows.items()})

    def level_with(self, other: Dots) -> Dots:
        """What lies in a row in which the other shape has something too."""
        return Dots({row: bits for row, bits in self.rows.items() if row in other.rows})

    def edges(self) -> Dots:
        """The dots that have none at their left, or none at their right."""
        return Dots({row: bits & ~(bits << 1 & bits >> 1) for row, bits in self.rows.items()})

    def textured(self, texture: Texture) -> Dots:
        """The dots that a texture sets."""
        return Dots(
            {row: bits & texture(row, bits.bit_length()) for row, bits in self.rows.items()}
        )
