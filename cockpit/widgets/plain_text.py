"""Text as a screen shows it: letters, never markup, never what would steer the terminal.

Texts are mended before they are laid out. What reaches the terminal in some other way, such as a
text pasted into the command palette, is mended line by line on its way out.
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

# Letters that are joined are measured as one by what lays out a screen, and drawn by a terminal as
# two; joined emoji are one for both.
_JOINED_LETTER = re.compile(r"\u200d(?=\w)")


def shown(text: str) -> str:
    """Give lines of text as a screen may have them."""
    return _JOINED_LETTER.sub("", page(text))


def shown_line(text: str) -> str:
    """Give the same on one line, whatever is in it."""
    return _JOINED_LETTER.sub("", printable(text))


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
        super().update(shown(content) if isinstance(content, str) else content, layout=layout)


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
        return [
            one if one.control else Segment(mended(one.text, _as_wide), one.style)
            for one in segments
        ]


def _as_wide(character: str) -> str:
    return "?" * cell_len(character)
