"""A record in Markdown: headings and tables, as CommonMark with GitHub's tables reads them."""

from __future__ import annotations

import re
from collections.abc import Iterator

from cockpit.record.sheet import Part, Sheet

#: What begins markup within a line; "&" and "<" begin entities and tags.
_MARKUP = re.compile(r"([\\`*_\[\]<>|~&!#])")


def as_markdown(*sheets: Sheet) -> str:
    """Records one after the other, parted by rules."""
    return "\n---\n\n".join("\n".join(_lines(sheet)) + "\n" for sheet in sheets)


def _lines(sheet: Sheet) -> Iterator[str]:
    yield from (f"{plain(line)}  " for line in sheet.head)
    if sheet.head:
        yield ""
    yield f"# {plain(sheet.title)}"
    yield ""
    yield f"{sheet.times[0].upper()}{sheet.times[1:]}."
    for part in sheet.parts:
        yield ""
        yield f"## {part.heading}"
        yield from _part(part)


def _part(part: Part) -> Iterator[str]:
    if part.facts and not any(fact.name for fact in part.facts):
        yield ""
        yield from (plain(fact.value) for fact in part.facts)
    elif part.facts:
        yield ""
        yield from _table(("", ""), [(fact.name, fact.value) for fact in part.facts])
    if part.table:
        yield ""
        yield from _table(part.table.columns, part.table.rows)


def _table(
    columns: tuple[str, ...], rows: list[tuple[str, ...]] | tuple[tuple[str, ...], ...]
) -> Iterator[str]:
    yield _row(columns)
    yield "|" + " --- |" * len(columns)
    yield from map(_row, rows)


def _row(cells: tuple[str, ...]) -> str:
    return "| " + " | ".join(map(plain, cells)) + " |"


def plain(text: str) -> str:
    r"""A text that Markdown shows as it is.

    >>> plain("M8 *tight* | <b>"), plain("a_b")
    ('M8 \\*tight\\* \\| \\<b\\>', 'a\\_b')
    """
    return _MARKUP.sub(r"\\\1", text)
