"""Text as a screen shows it: letters, never markup, never what would steer the terminal.

Texts are mended before they are laid out, and spelled in plain ASCII where a terminal has no more.
What reaches the terminal in some other way, such as a text pasted into the command palette or a
border, is mended line by line on its way out.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from rich.cells import cell_len
from rich.segment import Segment
from rich.text import Text
from textual.color import Color
from textual.content import Content
from textual.filter import LineFilter
from textual.visual import VisualType
from textual.widgets import Static

from cockpit.text import MOST_LETTERS, mended, page, printable
from cockpit.widgets.terminal import ascii_only

# Letters that are joined are measured as one by what lays out a screen, and drawn by a terminal as
# two; joined emoji are one for both.
_JOINED_LETTER = re.compile(r"\u200d(?=\w)")


# The signs that the cockpit writes, in plain ASCII. Letters stay as a person typed them.
_HALF = re.compile(r"(?<=\d)½")
_SPELLED = str.maketrans(
    {
        "±": "+/-",
        "½": "1/2",
        "¼": "1/4",
        "¾": "3/4",
        "°": " deg",
        "µ": "u",
        "×": "x",
        "✗": "x",
        "►": ">",
        "→": "->",
        "≤": "<=",
        "≥": ">=",
        "≈": "about ",
        "…": "...",
        "—": "-",
        "–": "-",
        "−": "-",
        "·": "-",
        "•": "*",
        "●": "@",
        "▲": "^",
        "′": "'",
        "″": '"',
        "‘": "'",
        "’": "'",
        "“": '"',
        "”": '"',
    }
)
# The same for what is laid out already: cell by cell, borders and the ends of scroll bars too.
_LEVEL, _UPRIGHT, _UPPER_EDGE, _LOWER_EDGE = "─━┄┅┈┉╌╍═", "│┃┆┇┊┋╎╏║▊▎▌▐", "▔", "▁"
_CELLS = str.maketrans(
    {chr(code): "+" for code in range(0x2500, 0x2580)}
    | {chr(code): "#" for code in range(0x2580, 0x25A0)}
    | dict.fromkeys(_LEVEL + _UPPER_EDGE, "-")
    | dict.fromkeys(_UPRIGHT, "|")
    | {_LOWER_EDGE: "_", "±": "~", "…": ".", "·": "-", "►": ">", "×": "x", "–": "-", "—": "-"}
    | {"●": "@", "▲": "^"}
)


def shown(text: str) -> str:
    """Give lines of text as a screen may have them."""
    return _spelled(_JOINED_LETTER.sub("", page(text)))


def shown_line(text: str) -> str:
    """Give the same on one line, whatever is in it."""
    return _spelled(_JOINED_LETTER.sub("", printable(text)))


def _spelled(text: str) -> str:
    return in_ascii(text) if not text.isascii() and ascii_only() else text


def in_ascii(text: str) -> str:
    """Put plain ASCII in the place of the signs that the cockpit writes.

    >>> in_ascii("mm ± 0.20, 1½ to 3, Ångström")
    'mm +/- 0.20, 1 1/2 to 3, Ångström'
    """
    return _HALF.sub(" 1/2", text).translate(_SPELLED)


class PlainText(Static):
    """Lines of text; nothing in them is markup."""

    def __init__(
        self,
        content: str = "",
        *,
        id: str | None = None,  # noqa: A002  # Textual's name
        classes: str | None = None,
    ) -> None:
        super().__init__(shown(content), markup=False, id=id, classes=classes)

    def update(self, content: VisualType = "", *, layout: bool = True) -> None:
        """Show this text. One that is there already, or takes the same room, costs no layout."""
        if not isinstance(content, str):
            super().update(content, layout=layout)
            return
        text, before = shown(content), self.content
        if text != before:
            lines = self._lines()
            super().update(text, layout=False)
            if layout and (lines is None or lines != self._lines()):
                self.refresh(layout=True)

    def _lines(self) -> int | None:
        """How many lines the text takes in the width there is; None where its size follows it."""
        width = self.content_size.width
        if not width or self.styles.is_auto_width:
            return None
        return self.get_content_height(self.container_size, self.screen.size, width)


def plain_content(text: str, style: str = "") -> Content:
    """One line of text in a style."""
    return Content.styled(shown_line(text), style)


def plain_cells(*texts: str, widths: Sequence[int] = ()) -> Iterator[Text]:
    """Give the cells of a table's row; what is wider than its column ends in an ellipsis.

    Without ``widths`` a text that nobody could have typed is cut short.
    """
    for place, text in enumerate(texts):
        cell = Text(shown_line(text), no_wrap=True, end="")
        cell.truncate(widths[place] if widths else MOST_LETTERS, overflow="ellipsis")
        yield cell


class PlainLines(LineFilter):
    """Takes out of each finished line what is not for showing; its cells stay where they are."""

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:
        """Give the segments of a line with nothing but text in them."""
        is_plain = ascii_only()
        return [
            one if one.control else Segment(_last_mended(one.text, is_plain), one.style)
            for one in segments
        ]


def _last_mended(text: str, is_plain: bool) -> str:
    text = mended(text, _as_wide)
    return text.translate(_CELLS) if is_plain and not text.isascii() else text


def _as_wide(character: str) -> str:
    return "?" * cell_len(character)
