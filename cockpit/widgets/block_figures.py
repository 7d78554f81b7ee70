"""Figures and words large enough to be read at three metres.

A figure or letter is laid out in a few columns and rows of tiles. The tiles stretch: strokes stay
strokes, and the room between them grows with the height, so that one design serves every height. A
cell shows two square pixels, one over the other, in half blocks.
"""

from __future__ import annotations

import textwrap
from functools import lru_cache

from textual.content import Content
from textual.reactive import reactive
from textual.widget import Widget

from cockpit.widgets.glyphs import CUT_CORNER, CUT_SIDE, DIGITS, GLYPHS, LINED
from cockpit.widgets.terminal import ascii_only

SMALLEST_ROWS = 3
"""The least height at which figures are drawn; below it they are plain text."""

SMALLEST_ASCII_ROWS = 5
"""The least height at which plain ASCII can show strokes; below it they are lines."""


_HALF_BLOCKS = {(False, False): " ", (True, False): "▀", (False, True): "▄", (True, True): "█"}


class _Bands:
    """The size of every kind of column and row in figures ``height`` pixels high.

    ``aspect``: how many pixels across are as long as one down.
    """

    def __init__(self, height: int, aspect: int) -> None:
        stroke = max(1, round(height / 6))
        width = round(0.62 * height)
        room = height - 3 * stroke
        under = stroke + room % 2
        outside = (height - 2 * stroke) // 3
        self.spacing = stroke * aspect
        self.columns = {
            "t": stroke * aspect,
            "i": (width - 2 * stroke) * aspect,
            "a": (width - stroke) // 2 * aspect,
            "n": max(1, (width - 2 * stroke) // 2) * aspect,
        }
        self.rows = {
            "t": stroke,
            "u": room // 2,
            "l": room - room // 2,
            "r": room,
            "v": (height - 2 * stroke - under) // 2,
            "g": under,
            "o": outside,
            "m": height - 2 * stroke - 2 * outside,
        }

    def width(self, character: str) -> int:
        """The pixels a figure takes across. All digits take what a nought takes."""
        glyph = GLYPHS["0" if character in DIGITS else character]
        return sum(self.columns[kind] for kind in glyph.columns)


def block_figures(text: str, rows: int, *, ascii_only: bool = False) -> list[str]:
    """Draw figures as exactly ``rows`` lines of equal width.

    Takes digits, capital letters, point, colon, hyphen, en dash, plus-minus and space. All digits
    are equally wide. Under 3 rows the text itself comes back, on the last line. Raises ValueError
    for other characters.

    >>> print("\\n".join(block_figures("22.9", 3)))
    ▀▀▀▄ ▀▀▀▄   ▄▀▀▄
    ▄▀▀  ▄▀▀     ▀▀█
    █▄▄▄ █▄▄▄ ▄ ▄▄▄▀
    """
    if unknown := sorted(set(text) - GLYPHS.keys()):
        raise ValueError(
            f"There is no large figure for {unknown[0]!r}: use A to Z, digits, . : - – ± only."
        )
    if rows < SMALLEST_ROWS or not text:
        return _at_the_bottom([text], rows)
    if not ascii_only:
        return _half_blocks(_pixels(text, 2 * rows, aspect=1))
    if rows < SMALLEST_ASCII_ROWS:
        return _at_the_bottom(_lined(text), rows)
    return ["".join("#" if ink else " " for ink in row) for row in _pixels(text, rows, aspect=2)]


def figures_width(text: str, rows: int, *, ascii_only: bool = False) -> int:
    """Give the width, in cells, of ``text`` drawn ``rows`` rows high.

    >>> figures_width("18.0", 5), len(block_figures("18.0", 5)[0])
    (26, 26)
    """
    if not text or rows < SMALLEST_ROWS:
        return len(text)
    if ascii_only and rows < SMALLEST_ASCII_ROWS:
        return 4 * len(text) - 1
    bands = _Bands(rows, aspect=2) if ascii_only else _Bands(2 * rows, aspect=1)
    return sum(map(bands.width, text)) + bands.spacing * (len(text) - 1)


def tallest_rows(text: str, width: int, height: int, *, ascii_only: bool = False) -> int:
    """Give the most rows, up to ``height``, at which ``text`` is no wider than ``width``."""
    for rows in range(height, SMALLEST_ROWS - 1, -1):
        if figures_width(text, rows, ascii_only=ascii_only) <= width:
            return rows
    return min(height, 1)


def block_words(text: str, width: int, height: int, *, ascii_only: bool = False) -> list[str]:
    """Draw words as tall as they fit, over as many lines as that takes; never more than asked for.

    Plain text where there is no room for large letters, or no large letter for a character. Small
    letters are drawn as capitals, and commas are left out.

    >>> print("\\n".join(block_words("on it", 12, 7)))
    ▄▀▀▄ █▄ █
    █  █ █ ▄█
    ▀▄▄▀ █ ▀█
    <BLANKLINE>
    █ ▀█▀
    █  █
    █  █
    """
    letters = text.upper().replace(",", "")
    if set(letters) <= GLYPHS.keys():
        for rows in range(height, SMALLEST_ROWS - 1, -1):
            lines = _wrapped(letters, width, rows, ascii_only)
            if lines and len(lines) * (rows + 1) - 1 <= height:
                drawn = (block_figures(line, rows, ascii_only=ascii_only) for line in lines)
                return [row.rstrip() for block in drawn for row in ("", *block)][1:]
    return textwrap.wrap(text, max(width, 1))[: max(height, 0)]


def _wrapped(text: str, width: int, rows: int, ascii_only: bool) -> list[str]:
    """Words in lines no wider than ``width`` at this height; none if a word is wider by itself."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and figures_width(longer, rows, ascii_only=ascii_only) <= width:
            lines[-1] = longer
        elif figures_width(word, rows, ascii_only=ascii_only) <= width:
            lines.append(word)
        else:
            return []
    return lines


def _at_the_bottom(lines: list[str], rows: int) -> list[str]:
    blank = " " * max(map(len, lines), default=0)
    return [blank] * (rows - len(lines)) + lines[: max(rows, 0)]


def _lined(text: str) -> list[str]:
    return [" ".join(row) for row in zip(*map(LINED.__getitem__, text), strict=True)]


def _half_blocks(pixels: list[list[bool]]) -> list[str]:
    return [
        "".join(_HALF_BLOCKS[pair] for pair in zip(upper, lower, strict=True))
        for upper, lower in zip(pixels[::2], pixels[1::2], strict=True)
    ]


def _pixels(text: str, height: int, aspect: int) -> list[list[bool]]:
    """Draw the figures side by side; True is ink."""
    spacing = [False] * _Bands(height, aspect).spacing
    lines: list[list[bool]] = [[] for _ in range(height)]
    for place, character in enumerate(text):
        for line, row in zip(lines, _stretched(character, height, aspect), strict=True):
            line += (spacing if place else []) + row
    return lines


@lru_cache(maxsize=256)
def _stretched(character: str, height: int, aspect: int) -> list[list[bool]]:
    """Draw one figure, in the middle of its width. Kept, as a live figure comes many times."""
    bands = _Bands(height, aspect)
    glyph = GLYPHS[character]
    widths = [bands.columns[kind] for kind in glyph.columns]
    spare = bands.width(character) - sum(widths)
    before, after = [False] * (spare // 2), [False] * (spare - spare // 2)
    return [
        before + row + after
        for tiles, kind in zip(glyph.tiles, glyph.rows, strict=True)
        for row in _tiled(tiles, widths, bands.rows[kind])
    ]


def _tiled(tiles: str, widths: list[int], height: int) -> list[list[bool]]:
    """Draw one row of tiles, ``height`` pixels high."""
    return [
        [
            _has_ink(tile, x, y, width, height)
            for tile, width in zip(tiles, widths, strict=True)
            for x in range(width)
        ]
        for y in range(height)
    ]


def _has_ink(tile: str, x: int, y: int, width: int, height: int) -> bool:
    """Tell whether a tile has ink at a pixel. A cut tile of a single pixel is blank."""
    if tile in CUT_CORNER:
        across, down = CUT_CORNER[tile]
        return _along(x, width, across) + _along(y, height, down) >= 0.5
    if tile in CUT_SIDE:
        return _along(x, width, CUT_SIDE[tile]) >= 0.3
    return tile == "█"


def _along(place: int, length: int, direction: int) -> float:
    """Give how far along a tile a pixel lies, 0 to 1, from its start (1) or from its end (-1)."""
    return (place if direction > 0 else length - 1 - place) / length


class BlockFigures(Widget):
    """Figures as tall as the widget has room for.

    ``text``: the figures. ``widest``: a text of the greatest width to be expected, so that the
    figures keep their height while they count up; without it they fit what they show now.
    """

    DEFAULT_CSS = """
    BlockFigures {
        width: 1fr;
        height: 1fr;
        color: $foreground;
        content-align: left middle;
        text-wrap: nowrap;
    }
    """

    text = reactive("")
    widest = reactive("")

    def __init__(self, text: str = "", *, widest: str = "", id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self.set_reactive(BlockFigures.text, text)
        self.set_reactive(BlockFigures.widest, widest)

    def render(self) -> Content:
        plain = ascii_only()
        width, height = self.content_size
        rows = min(
            tallest_rows(text, width, height, ascii_only=plain) for text in (self.text, self.widest)
        )
        return Content("\n".join(block_figures(self.text, rows, ascii_only=plain)))


class BlockWords(Widget):
    """A few words as tall as the widget has room for. ``text``: the words."""

    DEFAULT_CSS = """
    BlockWords {
        width: 1fr;
        height: 1fr;
        color: $foreground;
        text-wrap: nowrap;
    }
    """

    text = reactive("")

    def __init__(self, text: str = "", *, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self.set_reactive(BlockWords.text, text)

    def render(self) -> Content:
        width, height = self.content_size
        return Content("\n".join(block_words(self.text, width, height, ascii_only=ascii_only())))
