"""``burn-cockpit plan --from holes.csv``: a plan for each row, every bad row named."""

from __future__ import annotations

import argparse
import csv
from collections.abc import Iterator
from io import StringIO
from pathlib import Path

from cockpit.commands import CommandError
from cockpit.commands.answer import say, say_json, say_wrong
from cockpit.commands.shop import shop_of
from cockpit.commands.ticket_words import NEEDED, OPTIONAL, WordsError, ticket_from
from cockpit.trade.errors import TradeError
from cockpit.trade.plan import Plan, make_plan
from cockpit.trade.remnants import Broken
from cockpit.trade.ticket import Ticket
from cockpit.units import LengthUnit, UnitsError, quoted, write_clock, write_length

Row = dict[str, str]

#: Where the cells of a row go that has more of them than there are columns.
TOO_MANY = ""


def run(asked: argparse.Namespace) -> None:
    """Print a plan for each row; name every row that has none, and fail if there is one."""
    shop = shop_of(asked)
    planned: list[tuple[Ticket, Plan]] = []
    parts: set[str] = set()
    bad = 0
    for line, row in _rows(asked.holes):
        part = row.get("part", "")
        try:
            if TOO_MANY in row:
                raise WordsError("has more cells than the first line: quote those with a comma.")
            ticket = ticket_from(row, hole=f"line {line}", special=asked.special)
            first = not part or part not in parts
            planned.append((ticket, make_plan(ticket, shop, first_of_part=first)))
            parts.add(part)
        except (TradeError, UnitsError, WordsError) as error:
            bad += 1
            say_wrong(f"{asked.holes}, line {line}: {error}")
            continue
        if asked.json:
            plan = planned[-1][1].model_dump(mode="json", exclude={"unmoved"})
            say_json({"line": line, "hole": ticket.hole} | plan)
    if planned and not asked.json:
        _say_table(planned)
    if bad:
        rows = "1 row has" if bad == 1 else f"{bad} rows have"
        raise CommandError(f"{asked.holes}: {rows} no plan; mend what is named above.")


def _rows(path: Path) -> Iterator[tuple[int, Row]]:
    """The rows of a CSV file with the line each one ends on, under the names in its first line."""
    try:
        text = path.read_text(encoding="utf-8-sig")
    except OSError as error:
        raise CommandError(f"{path}: {error.strerror}; name a CSV file of holes.") from error
    except UnicodeDecodeError as error:
        raise CommandError(f"{path}: is not UTF-8 text; save it as CSV UTF-8.") from error
    header = text.lstrip().partition("\n")[0]
    # A spreadsheet in a country of decimal commas parts its columns by semicolons.
    delimiter = ";" if ";" in header else ","
    reader = csv.reader(StringIO(text, newline=""), delimiter=delimiter, strict=True)
    rows = (cells for cells in reader if any(cell.strip() for cell in cells))
    try:
        names = [_column(name) for name in next(rows, [])]
        while names and not names[-1]:
            names.pop()
        _refuse_columns(path, names)
        is_empty = True
        for cells in rows:
            is_empty = False
            yield reader.line_num, _row(names, cells)
    except csv.Error as error:
        raise CommandError(f"{path}, line {reader.line_num}: is not CSV: {error}.") from error
    if is_empty:
        raise CommandError(f"{path}: has no hole in it, only the names of columns.")


def _column(name: str) -> str:
    return "_".join(name.lower().replace("-", " ").split())


def _refuse_columns(path: Path, names: list[str]) -> None:
    known = (*NEEDED, *OPTIONAL)
    if missing := [name for name in NEEDED if name not in names]:
        raise CommandError(f"{path}, line 1: has no column {', '.join(missing)}.")
    if unknown := [name for name in names if name not in known]:
        raise CommandError(
            f"{path}, line 1: knows no column {quoted(unknown[0])}; those it knows: "
            f"{', '.join(known)}."
        )
    if len(set(names)) != len(names):
        raise CommandError(f"{path}, line 1: has a column twice; leave one of them out.")


def _row(names: list[str], cells: list[str]) -> Row:
    """A row by its columns."""
    row = {name: cell.strip() for name, cell in zip(names, cells, strict=False)}
    return row | ({TOO_MANY: "yes"} if any(map(str.strip, cells[len(names) :])) else {})


_COLUMNS = ("hole", "thread", "broken", "electrode", "off", "range", "target", "first stop", "time")


def _say_table(planned: list[tuple[Ticket, Plan]]) -> None:
    """A line for each hole, then what to know of each."""
    lines = [_COLUMNS, *(_cells(ticket, plan) for ticket, plan in planned)]
    widths = [max(len(cell) for cell in column) for column in zip(*lines, strict=True)]
    for cells in lines:
        say("  ".join(c.ljust(w) for c, w in zip(cells, widths, strict=True)).rstrip())
    for ticket, plan in planned:
        for text in (*plan.warnings, *plan.acknowledge):
            say(f"! {ticket.hole}: {text}")
    currency = planned[0][1].currency
    say(f"{len(planned)} planned, {sum(plan.price for _, plan in planned)} {currency} together")


def _cells(ticket: Ticket, plan: Plan) -> tuple[str, ...]:
    return (
        ticket.hole,
        plan.thread.designation,
        str(Broken(plan.remnant.kind, plan.remnant.form, plan.remnant.hard_metal)),
        plan.electrode.label,
        _mm(plan.electrode.allowed_offset_mm) if plan.fits else "does not fit",
        plan.arc.range,
        _mm(plan.depth.target_mm),
        _mm(plan.depth.stops_mm[0]),
        write_clock(plan.time.median_s),
    )


def _mm(mm: float) -> str:
    return write_length(mm, LengthUnit.MM)
