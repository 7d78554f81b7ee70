r"""Readings folded into something small, and back to the last digit.

A stretch of readings is three columns: place in the hole's sequence, time (ms), travel (µm). Each
is written as differences from one reading to the next, which are small numbers, in as few bytes as
they need (zigzag and LEB128), and the whole is compressed with bzip2, whose checksum tells a
damaged stretch from a sound one. A reading of a steady burn comes to about one byte.

>>> stretch = [(0, 1000, 3000), (1, 1100, 3010), (3, 1201, 3010)]
>>> unfold(fold(stretch)) == stretch
True
"""

from __future__ import annotations

import bz2
from collections.abc import Iterable, Iterator, Sequence
from itertools import accumulate, pairwise
from typing import Final

#: Place in the hole's sequence, hole clock in ms, travel in µm.
Row = tuple[int, int, int]

#: The first byte of every stretch: how it is folded.
FORM: Final = b"\x01"


class FoldError(ValueError):
    """What should be a folded stretch of readings is none."""


def fold(stretch: Sequence[Row]) -> bytes:
    """Fold one reading or more; the order stays as it is."""
    columns = ((row[place] for row in stretch) for place in range(3))
    packed = b"".join(map(_pack, columns))
    return FORM + bz2.compress(_pack([len(stretch)]) + packed)


def unfold(body: bytes) -> list[Row]:
    """The readings of a stretch. Raises FoldError when it is not whole."""
    if not body.startswith(FORM):
        raise FoldError("not folded in a way that this cockpit knows")
    try:
        numbers = _numbers(bz2.decompress(body[len(FORM) :]))
    except (OSError, ValueError) as error:
        raise FoldError("its readings are damaged") from error
    many = next(numbers, -1)
    differences = list(numbers)
    if many < 1 or len(differences) != 3 * many:
        raise FoldError("its readings are not all there")
    columns = (accumulate(differences[at : at + many]) for at in range(0, 3 * many, many))
    return list(zip(*columns, strict=True))


def _pack(column: Iterable[int]) -> bytes:
    packed = bytearray()
    for before, now in pairwise((0, *column)):
        step = now - before
        # Zigzag: the sign goes into the lowest bit, so that small steps down are small too.
        rest = step << 1 if step >= 0 else (-step << 1) - 1
        while rest > 0x7F:
            packed.append(rest & 0x7F | 0x80)
            rest >>= 7
        packed.append(rest)
    return bytes(packed)


def _numbers(packed: bytes) -> Iterator[int]:
    rest = shift = 0
    for byte in packed:
        rest |= (byte & 0x7F) << shift
        shift += 7
        if byte < 0x80:
            yield -(rest >> 1) - 1 if rest & 1 else rest >> 1
            rest = shift = 0
    if shift:
        raise FoldError("its last number has no end")
