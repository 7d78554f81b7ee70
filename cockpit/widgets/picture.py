"""A picture made of characters: every cell has a character and an ink.

Inks are names for what a line means; the widget's style sheet gives them their colour. No
drawing relies on the colour alone: shape, texture or a word always goes with it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from itertools import groupby
from operator import itemgetter
from typing import ClassVar, Self

from rich.segment import Segment
from rich.style import Style
from textual.geometry import Region, Size
from textual.strip import Strip
from textual.widget import Widget


class Ink(StrEnum):
    """What a mark in a drawing stands for."""

    NONE = "none"
    PART = "part"
    THREAD = "thread"
    TOOL = "tool"
    WEB = "web"
    BURNT = "burnt"
    ELECTRODE = "electrode"
    KEEP = "keep"
    ALLOWED = "allowed"
    CENTRE = "centre"
    BEFORE = "before"
    MOVE = "move"
    HARM = "harm"
    TIP = "tip"
    DOUBT = "doubt"
    TARGET = "target"
    STOP = "stop"
    LATER = "later"
    LIMIT = "limit"
    LABEL = "label"


@dataclass(frozen=True, slots=True)
class Run:
    """Neighbouring characters of one ink."""

    text: str
    ink: Ink


@dataclass(frozen=True, slots=True)
class Picture:
    """Finished rows, top to bottom, all of one width."""

    rows: tuple[tuple[Run, ...], ...]

    @property
    def lines(self) -> list[str]:
        """The characters alone, one string a row."""
        return ["".join(run.text for run in row) for row in self.rows]

    def cells(self) -> Iterator[tuple[int, int, str, Ink]]:
        """Every cell that is not blank: column, row, character, ink."""
        for y, row in enumerate(self.rows):
            marks = [(character, run.ink) for run in row for character in run.text]
            for x, (character, ink) in enumerate(marks):
                if character != " ":
                    yield x, y, character, ink


class Sheet:
    """A grid of cells to draw on. What falls outside the grid is dropped without a word."""

    def __init__(self, width: int, height: int) -> None:
        self.width = max(width, 0)
        self.height = max(height, 0)
        self._rows = [[(" ", Ink.NONE)] * self.width for _ in range(self.height)]

    def write(self, column: int, row: int, text: str, ink: Ink) -> None:
        """Write ``text`` to the right from a cell."""
        if not 0 <= row < self.height:
            return
        for place, character in enumerate(text, start=column):
            if 0 <= place < self.width:
                self._rows[row][place] = (character, ink)

    def ink(self, column: int, row: int) -> Ink:
        """Tell the ink of a cell; outside the grid there is none."""
        inside = 0 <= column < self.width and 0 <= row < self.height
        return self._rows[row][column][1] if inside else Ink.NONE

    def picture(self) -> Picture:
        """Give what was drawn so far."""
        return Picture(tuple(tuple(_runs(row)) for row in self._rows))


def _runs(row: list[tuple[str, Ink]]) -> Iterator[Run]:
    for ink, cells in groupby(row, key=itemgetter(1)):
        yield Run("".join(character for character, _ in cells), ink)


class PictureWidget(Widget):
    """A widget that shows a picture as large as it is itself."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {f"picture--{ink}" for ink in Ink}
    DEFAULT_CSS = """
    PictureWidget {
        width: 1fr;
        height: 1fr;
        & > .picture--part { color: $text-muted; }
        & > .picture--thread { color: $foreground; }
        & > .picture--tool { color: $text-muted; }
        & > .picture--web { color: $text-warning; }
        & > .picture--burnt { color: $text-accent; text-style: bold; }
        & > .picture--electrode { color: $text-secondary; }
        & > .picture--keep { color: $text-warning; }
        & > .picture--allowed { color: $text-success; }
        & > .picture--centre { color: $foreground; text-style: bold; }
        & > .picture--before { color: $text-muted; }
        & > .picture--move { color: $text-warning; text-style: bold; }
        & > .picture--harm { color: $text-error; text-style: bold; }
        & > .picture--tip { color: $text-accent; text-style: bold; }
        & > .picture--doubt { color: $text-accent; }
        & > .picture--target { color: $text-success; text-style: bold; }
        & > .picture--stop { color: $text-warning; }
        & > .picture--later { color: $text-muted; }
        & > .picture--limit { color: $text-error; text-style: bold; }
        & > .picture--label { color: $text-muted; }
    }
    """

    def draw(self, width: int, height: int) -> Picture:
        """Draw what the widget shows, ``width`` × ``height`` cells large; here, nothing."""
        return Sheet(width, height).picture()

    _drawn: tuple[Size, Picture] | None = None
    _styles: dict[Ink, Style] | None = None

    def refresh(
        self,
        *regions: Region,
        repaint: bool = True,
        layout: bool = False,
        recompose: bool = False,
    ) -> Self:
        """What is shown has changed: draw it anew when it is next looked at."""
        self._drawn = self._styles = None
        return super().refresh(*regions, repaint=repaint, layout=layout, recompose=recompose)

    def render_line(self, y: int) -> Strip:
        """Give one row. Line by line a picture costs a third of what it does as one text."""
        size = self.content_size
        if self._drawn is None or self._drawn[0] != size:
            self._drawn = size, self.draw(*size)
        rows = self._drawn[1].rows
        if not 0 <= y < len(rows):
            return Strip.blank(size.width, self.rich_style)
        return Strip([Segment(run.text, self._style(run.ink)) for run in rows[y]], size.width)

    def _style(self, ink: Ink) -> Style:
        """The style of an ink, worked out once until something changes."""
        if self._styles is None:
            self._styles = {Ink.NONE: self.rich_style}
        if ink not in self._styles:
            self._styles[ink] = self.get_component_rich_style(f"picture--{ink}")
        return self._styles[ink]

    def notify_style_update(self) -> None:
        """Another theme, other colours."""
        self._styles = None
        super().notify_style_update()
