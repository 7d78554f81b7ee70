"""A record as one HTML file that needs nothing beside it: no script, no font, no picture.

The drawings are SVG within the page. A cell stands by itself for the direction of its letters, so
that a name written from right to left turns nothing around.
"""

from __future__ import annotations

from collections.abc import Iterator
from html import escape
from typing import Final

from cockpit.record.drawing import Area, Drawing, Line, Point, Shape, Words
from cockpit.record.page import Band, Block, bands
from cockpit.record.sheet import Part, Sheet, Table

#: Checks are short and many: this part is set in two columns.
_IN_TWO: Final = frozenset({"checks"})

_STYLE: Final = """
@page { margin: 9mm 15mm; }
* { box-sizing: border-box; }
body { margin: 0 auto; max-width: 182mm; padding: 6mm 4mm; background: #fff; color: #000;
  font: 8pt/1.25 "Open Sans", "Noto Sans", "DejaVu Sans", Arial, sans-serif; }
article { break-after: page; }
article:last-child { break-after: auto; }
.shop { margin-bottom: 1.5mm; overflow-wrap: anywhere; }
header { display: flex; justify-content: space-between; align-items: baseline; gap: 6mm;
  border-bottom: 0.5mm solid #000; margin-bottom: 1.5mm; }
h1 { font-size: 13pt; line-height: 1.2; margin: 0 0 0.8mm; overflow-wrap: anywhere; }
header p { margin: 0; white-space: nowrap; }
h2 { font-size: 8pt; margin: 1.2mm 0 0.4mm; border-bottom: 0.2mm solid #000; break-after: avoid; }
p { margin: 0; }
.two { display: grid; grid-template-columns: minmax(0, 1fr) minmax(0, 1fr); column-gap: 6mm;
  align-items: start; }
table { border-collapse: collapse; width: 100%; }
th, td { text-align: left; vertical-align: top; padding: 0 2mm 0 0; font-weight: normal;
  overflow-wrap: anywhere; unicode-bidi: isolate; font-variant-numeric: tabular-nums; }
thead th { color: #444; white-space: nowrap; }
.facts th { width: 25mm; color: #444; overflow-wrap: normal; }
.rows td:not(:last-child) { white-space: nowrap; }
.rows td:last-child { width: 100%; }
.rows.wide td, .rows.wide td:last-child { white-space: normal; width: auto; }
.halves { font-size: 6.6pt; }
.facts + .rows { margin-top: 0.8mm; }
tr, figure { break-inside: avoid; }
figure { margin: 1.2mm 0 0; }
figcaption { color: #444; }
svg { display: block; width: 100%; height: auto; }
@media print { body { padding: 0; max-width: none; } }
"""


def as_html(*sheets: Sheet) -> str:
    """Records one after the other, each on a page of its own when printed."""
    title = escape(sheets[0].title)
    body = "\n".join(line for sheet in sheets for line in _article(sheet))
    return (
        f'<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{title}</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n{body}\n"
        f"</body>\n</html>\n"
    )


def _article(sheet: Sheet) -> Iterator[str]:
    yield "<article>"
    if sheet.head:
        name, *lines = map(escape, sheet.head)
        yield f'<p class="shop">{"<br>".join((f"<b>{name}</b>", *lines))}</p>'
    yield f"<header><h1>{escape(sheet.title)}</h1><p>{escape(sheet.times)}</p></header>"
    for band in bands(sheet):
        yield from _band(band)
    yield "</article>"


def _band(band: Band) -> Iterator[str]:
    if not band.right:
        yield from (line for block in band.left for line in _block(block))
        return
    yield '<div class="two">'
    for column in (band.left, band.right):
        yield "<div>"
        yield from (line for block in column for line in _block(block))
        yield "</div>"
    yield "</div>"


def _block(block: Block) -> Iterator[str]:
    if isinstance(block, Drawing):
        yield "<figure>"
        yield f"<figcaption>{escape(block.title)}</figcaption>"
        yield svg(block)
        yield "</figure>"
        return
    yield f'<section class="{block.key}">'
    yield f"<h2>{escape(block.heading)}</h2>"
    yield from _facts(block)
    if block.table:
        yield from _rows(block.key, block.table)
    yield "</section>"


def _facts(part: Part) -> Iterator[str]:
    named = [fact for fact in part.facts if fact.name]
    yield from (f"<p>{escape(fact.value)}</p>" for fact in part.facts if not fact.name)
    if named:
        yield '<table class="facts"><tbody>'
        for fact in named:
            name, value = escape(fact.name), escape(fact.value)
            yield f'<tr><th scope="row">{name}</th><td>{value}</td></tr>'
        yield "</tbody></table>"


def _rows(key: str, table: Table) -> Iterator[str]:
    if key not in _IN_TWO or len(table.rows) < 2:
        yield from _table(table, table.rows)
        return
    half = -(-len(table.rows) // 2)
    yield '<div class="two halves">'
    yield from _table(table, table.rows[:half])
    yield from _table(table, table.rows[half:])
    yield "</div>"


def _table(table: Table, rows: tuple[tuple[str, ...], ...]) -> Iterator[str]:
    # What is long in any column but the last has to be broken, or it would leave the page.
    is_long = any(len(cell) > 24 for row in rows for cell in row[:-1])
    yield f'<table class="rows{" wide" if is_long else ""}"><thead><tr>'
    yield "".join(f'<th scope="col">{escape(name)}</th>' for name in table.columns)
    yield "</tr></thead><tbody>"
    for row in rows:
        yield f"<tr>{''.join(f'<td>{escape(cell)}</td>' for cell in row)}</tr>"
    yield "</tbody></table>"


# Drawings ----------------------------------------------------------------------------------------


def svg(drawing: Drawing) -> str:
    """A drawing as one SVG element, which is well-formed XML by itself; its unit is 1 mm."""
    size = f"0 0 {drawing.width_mm:g} {drawing.height_mm:g}"
    shapes = "\n".join(map(_shape, drawing.shapes))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{size}" role="img" '
        f'aria-label="{escape(drawing.title)}" font-family="inherit">\n{shapes}\n</svg>'
    )


def _shape(shape: Shape) -> str:
    if isinstance(shape, Area):
        return f'<polygon points="{_points(shape.points)}" fill="{_grey(shape.grey)}"/>'
    if isinstance(shape, Line):
        dash = f' stroke-dasharray="{" ".join(f"{mm:g}" for mm in shape.dash)}"'
        return (
            f'<polyline points="{_points(shape.points)}" fill="none" '
            f'stroke="{_grey(shape.grey)}" stroke-width="{shape.width_mm:g}"'
            f"{dash if shape.dash else ''}/>"
        )
    return _words(shape)


def _words(words: Words) -> str:
    x, y = words.at
    bold = ' font-weight="bold"' if words.is_bold else ""
    return (
        f'<text x="{x:.2f}" y="{y:.2f}" font-size="{words.size_mm:g}" '
        f'text-anchor="{words.anchor}"{bold}>{escape(words.text)}</text>'
    )


def _points(points: tuple[Point, ...]) -> str:
    return " ".join(f"{x:.2f},{y:.2f}" for x, y in points)


def _grey(grey: float) -> str:
    return f"#{round(grey * 255):02x}" + f"{round(grey * 255):02x}" * 2
