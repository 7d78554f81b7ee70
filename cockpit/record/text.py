"""A record as plain text, for a terminal or a file."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from typing import Final

from cockpit.burn.state import BurnState
from cockpit.log.questions import HolePage
from cockpit.record.facts import Look, hole_facts
from cockpit.record.sheet import Fact, Part, Sheet, Table, hole_sheet
from cockpit.units import LengthUnit

WIDTH: Final = 72
_NAMES: Final = 16
_MARGIN: Final = "  "
#: The last column of a table has at least so much room; else its rows are told one after another.
_LEAST_ROOM: Final = 20


def hole_record(page: HolePage, state: BurnState | None, unit: LengthUnit) -> str:
    """The record of one hole as plain text; ``state`` is where its burn ended."""
    return as_text(hole_sheet(hole_facts(page, Look(state)), unit))


def as_text(*sheets: Sheet) -> str:
    """Records one after the other, each line at most 72 characters long."""
    return "\n\n".join("".join(f"{line}\n" for line in _lines(sheet)) for sheet in sheets)


def _lines(sheet: Sheet) -> Iterator[str]:
    for line in sheet.head:
        yield from _wrapped(line, "", "  ")
    if sheet.head:
        yield ""
    room = WIDTH - len(sheet.times) - 2
    if len(sheet.title) <= room:
        yield f"{sheet.title:<{room}}  {sheet.times}"
    else:
        yield from _wrapped(sheet.title, "", "  ")
        yield f"{sheet.times:>{WIDTH}}"
    yield "=" * WIDTH
    for number, part in enumerate(sheet.parts):
        if number:
            yield ""
            yield part.heading
        yield from _part(part)


def _part(part: Part) -> Iterator[str]:
    # What was burnt is told before what came of it.
    table = list(_table(part.table)) if part.table else []
    facts = [line for fact in part.facts for line in _fact(fact)]
    yield from (*table, *facts) if part.key == "burnt" else (*facts, *table)


def _fact(fact: Fact) -> Iterator[str]:
    if not fact.name:
        yield from _wrapped(fact.value, _MARGIN, _MARGIN)
    elif len(fact.name) < 2:
        # A mark that stands behind a figure above.
        yield from _wrapped(fact.value, f"{_MARGIN}{fact.name} ", f"{_MARGIN}  ")
    else:
        hanging = _MARGIN + " " * _NAMES
        first = f"{_MARGIN}{fact.name:<{_NAMES}}"
        if len(fact.name) >= _NAMES:
            yield from _wrapped(fact.name, _MARGIN, _MARGIN)
            first = hanging
        yield from _wrapped(fact.value, first, hanging)


def _table(table: Table) -> Iterator[str]:
    rows = (table.columns, *table.rows)
    widths = [max(len(row[place]) for row in rows) for place in range(len(table.columns) - 1)]
    taken = len(_MARGIN) + sum(width + 2 for width in widths)
    for row in rows:
        if WIDTH - taken < _LEAST_ROOM:
            yield from _wrapped("  ".join(row), _MARGIN, _MARGIN * 3)
        else:
            cells = zip(row, widths, strict=False)
            first = _MARGIN + "".join(f"{cell:<{width}}  " for cell, width in cells)
            yield from _wrapped(row[-1], first, " " * taken)


def _wrapped(text: str, first: str, hanging: str) -> list[str]:
    """The lines of a text, all but the first one indented alike; one line for an empty text."""
    lines = textwrap.wrap(
        text, WIDTH, initial_indent=first, subsequent_indent=hanging, break_on_hyphens=False
    )
    return [line.rstrip() for line in lines or [first]]
