"""A record as PDF, to print on A4 or US Letter and to file.

The page is A4, and nothing stands in the 22 mm at its head and foot: on Letter, which is 18 mm
shorter and 6 mm wider, all of it is printed at full size too, wherever the printer lays it.

The letters are those of Open Sans: Latin with its accents, Greek and Cyrillic. A character that it
has not got is shown by a sign of its own, and the foot of the page says so; the other forms of the
record hold the text itself. Nothing in the file depends on when or where it was made.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import zip_longest
from typing import TYPE_CHECKING, Final

from cockpit.record.drawing import Anchor, Drawing, Line, Shape, Words
from cockpit.record.page import Band, Block, bands
from cockpit.record.sheet import Part, Sheet, Table

if TYPE_CHECKING:
    from fpdf import FPDF

_FONT: Final = "record"
_POINT_MM: Final = 25.4 / 72
_PAGE_MM: Final = (210.0, 297.0)
_LEFT_MM: Final = 18.0
_WIDTH_MM: Final = 174.0
_TOP_MM: Final = 22.0
#: The foot line stands on the second; what comes above it ends at the first.
_LOW_MM: Final = 271.0
_FOOT_MM: Final = 275.0
_GUTTER_MM: Final = 6.0
_NAMES_MM: Final = 23.0
_CELL_GAP_MM: Final = 2.0
#: What a line may be wider than its room, since widths are sums of floats.
_SLACK_MM: Final = 0.01
_USUAL_PT: Final = 7.8
_SMALL_PT: Final = 6.5
_TITLE_PT: Final = 14.0
_MEASURED_PT: Final = 100.0
#: The height of a line, as a multiple of the size of its letters.
_LINE: Final = 1.28
_NAME_GREY: Final = 0.3
#: Of a table's width no more than this goes to all columns but the last, each of them alike.
_MOST_SHORT: Final = 0.72
_LACKING: Final = "\N{REPLACEMENT CHARACTER}"
_LACKS: Final = f"{_LACKING} stands for a character that this print has no letter for."
#: Checks are short and many: this part is set small, in two columns.
_IN_TWO: Final = frozenset({"checks"})


def as_pdf(*sheets: Sheet) -> bytes:
    """Records one after the other, each from the top of a page."""
    # A tenth of a second and more that no other command is to pay for.
    from fpdf import FPDF
    from ttf_opensans import opensans

    paper = FPDF(format="A4")
    for style, weight in (("", 400), ("B", 700)):
        paper.add_font(_FONT, style, opensans(font_weight=weight).path)
    paper.set_lang("en")
    paper.set_creator("burn-cockpit")
    paper.set_creation_date(_date(max(sheet.date_utc for sheet in sheets)))
    paper.set_auto_page_break(False)
    paper.alias_nb_pages(None)  # type: ignore[arg-type]  # no text of anybody's is a page number
    paper.c_margin = 0.0
    ink = _Ink(paper)
    paper.set_title(ink.known(sheets[0].title))
    pages = [page for sheet in sheets for page in _Setter(ink).pages(sheet)]
    for number, page in enumerate(pages, 1):
        ink.page(page, f"page {number} of {len(pages)}")
    return bytes(paper.output())


def _date(utc: str) -> datetime:
    return datetime.fromisoformat(utc).astimezone(UTC) if utc else datetime(2000, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class _Piece:
    """Words within a line, from so far right of its left end."""

    at_mm: float
    text: str
    is_bold: bool = False
    grey: float = 0.0
    #: The size of its letters; None for that of the line.
    size_pt: float | None = None


@dataclass(frozen=True, slots=True)
class _Set:
    """One line of words that is set, with what is left free above it, and a rule below it."""

    pieces: tuple[_Piece, ...]
    size_pt: float = _USUAL_PT
    above_mm: float = 0.0
    rule_mm: float = 0.0
    rule_to_mm: float = 0.0

    @property
    def height_mm(self) -> float:
        return self.above_mm + self.size_pt * _POINT_MM * _LINE + (0.5 if self.rule_mm else 0.0)


@dataclass(frozen=True, slots=True)
class _Page:
    """What stands on a page, each at its left and upper end."""

    title: str
    held: list[tuple[float, float, _Set | Drawing]]


class _Ink:
    """Puts words and lines on the paper, and knows how wide words are."""

    def __init__(self, paper: FPDF) -> None:
        from fpdf.fonts import TTFFont

        self._paper = paper
        font = paper.fonts[_FONT]
        assert isinstance(font, TTFFont)
        self._letters = font.cmap
        #: The widths of letters of 1 pt, mm, as they are needed, by their style.
        self._wide: dict[str, dict[str, float]] = {"": {}, "B": {}}
        self.size(_USUAL_PT)

    def known(self, text: str) -> str:
        """The text with a sign for each character that the font has not got."""
        return "".join(one if ord(one) in self._letters else _LACKING for one in text)

    def size(self, points: float, is_bold: bool = False) -> None:
        """What is set or measured from now on has letters of this size."""
        self._points, self._style = points, "B" if is_bold else ""

    def width_mm(self, text: str) -> float:
        """The width of a text that is ``known``: that of its letters, one after the other."""
        wide = self._wide[self._style]
        for one in set(text) - wide.keys():
            self._paper.set_font(_FONT, self._style, _MEASURED_PT)
            wide[one] = self._paper.get_string_width(one) / _MEASURED_PT
        return self._points * sum(map(wide.__getitem__, text))

    def broken(self, text: str, width_mm: float) -> list[str]:
        """The text in lines no wider than that, of the size that was set last."""
        blank_mm = self.width_mm(" ")
        lines: list[str] = []
        words: list[str] = []
        taken_mm = 0.0
        for piece in self._pieces(self.known(text), width_mm):
            piece_mm = self.width_mm(piece)
            if words and taken_mm + blank_mm + piece_mm > width_mm + _SLACK_MM:
                lines.append(" ".join(words))
                words, taken_mm = [], 0.0
            taken_mm += piece_mm + (blank_mm if words else 0.0)
            words.append(piece)
        return [*lines, " ".join(words)]

    def _pieces(self, text: str, width_mm: float) -> Iterator[str]:
        """The words of a text; one that is wider than a line comes in pieces."""
        for word in text.split(" "):
            if self.width_mm(word) <= width_mm + _SLACK_MM:
                yield word
                continue
            begin, taken_mm = 0, 0.0
            for place, one in enumerate(word):
                wide_mm = self.width_mm(one)
                if place > begin and taken_mm + wide_mm > width_mm:
                    yield word[begin:place]
                    begin, taken_mm = place, 0.0
                taken_mm += wide_mm
            yield word[begin:]

    # What is put down ---------------------------------------------------------------------------

    def page(self, page: _Page, number: str) -> None:
        self._paper.add_page()
        for left, top, one in page.held:
            if isinstance(one, Drawing):
                for shape in one.shapes:
                    self._shape(shape, left, top)
            else:
                self._line(one, left, top)
        self.size(_SMALL_PT)
        right = _LEFT_MM + _WIDTH_MM
        self._words(number, right, _FOOT_MM, "end")
        room = _WIDTH_MM - self.width_mm(number) - 4.0
        texts = [
            piece.text for _, _, one in page.held if isinstance(one, _Set) for piece in one.pieces
        ]
        lacks = f"   {_LACKS}" if any(_LACKING in text for text in texts) else ""
        foot = self.broken(page.title, room - self.width_mm(lacks))[0] + lacks
        self._words(foot, _LEFT_MM, _FOOT_MM)

    def _line(self, line: _Set, left: float, top: float) -> None:
        height = line.size_pt * _POINT_MM
        base = top + line.above_mm + height
        for piece in line.pieces:
            self.size(piece.size_pt or line.size_pt, piece.is_bold)
            self._words(piece.text, left + piece.at_mm, base, grey=piece.grey)
        if line.rule_mm:
            y = base + height * (_LINE - 1.0) + 0.1
            self._stroke(line.rule_mm, ())
            self._paper.line(left, y, left + line.rule_to_mm, y)

    def _words(
        self, text: str, x: float, y: float, anchor: Anchor = "start", grey: float = 0.0
    ) -> None:
        # Measured first: that may ask the paper for the widths of letters of another size.
        left = x - {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor] * self.width_mm(text)
        self._paper.set_text_color(round(grey * 255))
        self._paper.set_font(_FONT, self._style, self._points)
        if text:
            self._paper.text(left, y, text)

    def _stroke(self, width_mm: float, dash: tuple[float, ...], grey: float = 0.0) -> None:
        self._paper.set_line_width(width_mm)
        self._paper.set_draw_color(round(grey * 255))
        self._paper.set_dash_pattern(*dash)

    def _shape(self, shape: Shape, left: float, top: float) -> None:
        if isinstance(shape, Words):
            self.size(shape.size_mm / _POINT_MM, shape.is_bold)
            self._words(shape.text, left + shape.at[0], top + shape.at[1], shape.anchor)
            return
        points = [(left + x, top + y) for x, y in shape.points]
        if isinstance(shape, Line):
            self._stroke(shape.width_mm, shape.dash, shape.grey)
            self._paper.polyline(points)
        else:
            self._paper.set_fill_color(round(shape.grey * 255))
            self._paper.polygon(points, style="F")


class _Setter:
    """Sets a sheet from top to bottom, and begins a page where one is full."""

    def __init__(self, ink: _Ink) -> None:
        self._ink = ink
        self._pages: list[_Page] = []
        self._y = _TOP_MM

    def pages(self, sheet: Sheet) -> list[_Page]:
        """The pages of a sheet."""
        self._title = sheet.title
        self._new_page()
        self._put(self._head(sheet.head), _LEFT_MM)
        self._put(self._heading(sheet.title, sheet.times), _LEFT_MM)
        for band in bands(sheet):
            self._band(band)
        return self._pages

    def _band(self, band: Band) -> None:
        half = (_WIDTH_MM - _GUTTER_MM) / 2
        if band.right:
            columns = [list(self._blocks(blocks, half)) for blocks in (band.left, band.right)]
            height = max(sum(map(_height_mm, column)) for column in columns)
            # What is too long to stand side by side goes one below the other, line by line.
            if height <= _LOW_MM - _TOP_MM:
                self._make_room(height)
                top = self._y
                for column, left in zip(
                    columns, (_LEFT_MM, _LEFT_MM + half + _GUTTER_MM), strict=True
                ):
                    self._y = top
                    self._put(column, left)
                self._y = top + height
                return
        self._put(self._blocks((*band.left, *band.right), _WIDTH_MM), _LEFT_MM)

    def _put(self, things: Iterable[_Set | Drawing], left: float) -> None:
        for one in things:
            height = _height_mm(one)
            # A heading is not left alone at the foot of a page.
            is_heading = isinstance(one, _Set) and bool(one.rule_mm)
            self._make_room(height + (8.0 if is_heading else 0.0))
            self._pages[-1].held.append((left, self._y, one))
            self._y += height

    def _make_room(self, height: float) -> None:
        if self._y + height > _LOW_MM and self._y > _TOP_MM:
            self._new_page()

    def _new_page(self) -> None:
        self._pages.append(_Page(self._title, []))
        self._y = _TOP_MM

    # What is set --------------------------------------------------------------------------------

    def _head(self, lines: Sequence[str]) -> Iterator[_Set]:
        for number, line in enumerate(lines):
            is_name = number == 0
            self._ink.size(_USUAL_PT, is_bold=is_name)
            for piece in self._ink.broken(line, _WIDTH_MM):
                yield _Set((_Piece(0.0, piece, is_bold=is_name),), _USUAL_PT)
        if lines:
            # A little room above the title.
            yield _Set((_Piece(0.0, ""),), _USUAL_PT / 2)

    def _heading(self, title: str, told: str) -> Iterator[_Set]:
        self._ink.size(_USUAL_PT)
        times_mm = self._ink.width_mm(told)
        self._ink.size(_TITLE_PT, is_bold=True)
        *full, last = self._ink.broken(title, _WIDTH_MM - times_mm - 4.0)
        for line in full:
            yield _Set((_Piece(0.0, line, is_bold=True),), _TITLE_PT)
        last_line = (_Piece(0.0, last, is_bold=True),)
        times = _Piece(_WIDTH_MM - times_mm, told, size_pt=_USUAL_PT)
        yield _Set((*last_line, times), _TITLE_PT, rule_mm=0.5, rule_to_mm=_WIDTH_MM)

    def _blocks(self, blocks: Iterable[Block], width: float) -> Iterator[_Set | Drawing]:
        for block in blocks:
            if isinstance(block, Drawing):
                caption = (_Piece(0.0, block.title, grey=_NAME_GREY),)
                yield _Set(caption, _USUAL_PT, above_mm=1.6)
                yield block
            else:
                yield from self._part(block, width)

    def _part(self, part: Part, width: float) -> Iterator[_Set]:
        heading = (_Piece(0.0, part.heading, is_bold=True),)
        yield _Set(heading, above_mm=1.6, rule_mm=0.2, rule_to_mm=width)
        for fact in part.facts:
            at_mm = _NAMES_MM if fact.name else 0.0
            yield from self._row((fact.name, fact.value), (0.0, at_mm), width, _USUAL_PT)
        if part.table and part.key in _IN_TWO and len(part.table.rows) > 1:
            yield from self._halves(part.table, width)
        elif part.table:
            if part.facts:
                yield _Set((), above_mm=-0.65 * _USUAL_PT * _POINT_MM)
            yield from self._table(part.table, part.table.rows, width, _USUAL_PT)

    def _halves(self, table: Table, width: float) -> Iterator[_Set]:
        half, each = -(-len(table.rows) // 2), (width - _GUTTER_MM) / 2
        columns = [
            self._table(table, rows, each, _SMALL_PT)
            for rows in (table.rows[:half], table.rows[half:])
        ]
        for left, right in zip_longest(*columns):
            there = () if left is None else left.pieces
            beside = () if right is None else right.pieces
            moved = (
                _Piece(piece.at_mm + each + _GUTTER_MM, piece.text, piece.is_bold, piece.grey)
                for piece in beside
            )
            yield _Set((*there, *moved), _SMALL_PT)

    def _table(
        self, table: Table, rows: Sequence[tuple[str, ...]], width: float, size_pt: float
    ) -> Iterator[_Set]:
        self._ink.size(size_pt)
        wide = [
            max(self._ink.width_mm(row[place]) for row in (table.columns, *table.rows))
            for place in range(len(table.columns) - 1)
        ]
        if sum(wide) + _CELL_GAP_MM * len(wide) > _MOST_SHORT * width:
            most = _MOST_SHORT * width / len(wide) - _CELL_GAP_MM
            wide = [min(one, most) for one in wide]
        begins = [0.0]
        for one in wide:
            begins.append(begins[-1] + one + _CELL_GAP_MM)
        names = zip(begins, table.columns, strict=True)
        yield _Set(tuple(_Piece(at, name, grey=_NAME_GREY) for at, name in names), size_pt)
        for row in rows:
            yield from self._row(row, begins, width, size_pt, is_fact=False)

    def _row(
        self,
        cells: Sequence[str],
        begins: Sequence[float],
        width: float,
        size_pt: float,
        *,
        is_fact: bool = True,
    ) -> Iterator[_Set]:
        self._ink.size(size_pt)
        ends = [*(one - _CELL_GAP_MM for one in begins[1:]), width]
        columns = [
            self._ink.broken(cell, max(end - begin, 1.0)) if cell else []
            for cell, begin, end in zip(cells, begins, ends, strict=True)
        ]
        for line in zip_longest(*columns, fillvalue=""):
            yield _Set(
                tuple(
                    _Piece(at, text, grey=_NAME_GREY if is_fact and place == 0 else 0.0)
                    for place, (at, text) in enumerate(zip(begins, line, strict=True))
                    if text
                ),
                size_pt,
            )


def _height_mm(one: _Set | Drawing) -> float:
    return one.height_mm
