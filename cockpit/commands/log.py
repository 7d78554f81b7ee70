"""``burn-cockpit log``: the shift log, a hole a row."""

from __future__ import annotations

import argparse
import csv
import sys
from collections.abc import Iterable
from contextlib import closing
from decimal import Decimal
from io import TextIOWrapper
from operator import attrgetter

from cockpit import dates
from cockpit.commands import UsageError
from cockpit.commands.answer import existing_log, say, say_json, sentences
from cockpit.log import LogError
from cockpit.log.listing import Listed, shift_log
from cockpit.log.opening import open_to_read
from cockpit.text import cell, rounded
from cockpit.units import write_clock

#: Keys and columns, in their unit where they have one, and where a hole's row has them. A table
#: that somebody reads by the place of a column keeps it: new ones come last.
COLUMNS = {
    "hole": "row.id",
    "taken_in_utc": "row.at_utc",
    "operator": "row.operator",
    "customer": "row.job.customer",
    "reference": "row.job.reference",
    "part": "row.job.part",
    "label": "row.label",
    "thread": "row.thread",
    "broken": "row.broken",
    "step": "row.step",
    "outcome": "row.outcome",
    "arc_s": "row.arc_s",
    "burns": "row.burns",
    "calls": "row.calls",
    "electrode": "electrode",
    "electrodes": "electrodes",
    "target_mm": "target_mm",
    "depth_mm": "depth_mm",
    "worn_mm": "worn_mm",
    "wear_ratio": "wear_ratio",
    "price": "price",
    "currency": "currency",
    "gauged": "gauged",
}
_UTF8_MARK = "\ufeff"
_READ = {column: attrgetter(path) for column, path in COLUMNS.items()}


def run(asked: argparse.Namespace) -> None:
    """Print the holes that were asked for, the newest first, each as it is read."""
    if asked.first and asked.last and asked.first > asked.last:
        raise UsageError(
            f"No day is from {asked.first} to {asked.last}: say the earlier one first."
        )
    path = existing_log(asked.data, asked.demo)
    with sentences(LogError), closing(open_to_read(path)) as connection:
        holes = shift_log(connection, first=asked.first, last=asked.last, text=asked.job)
        if asked.csv:
            _say_csv(holes)
            return
        for hole in holes:
            if asked.json:
                say_json(as_json(hole))
            else:
                say(_line(hole))


def as_json(hole: Listed) -> dict[str, object]:
    """One hole of the shift log; money is text, as it is never a float."""
    told = {column: read(hole) for column, read in _READ.items()}
    return {
        column: str(held) if isinstance(held, Decimal) else held for column, held in told.items()
    }


def _say_csv(holes: Iterable[Listed]) -> None:
    """A table as RFC 4180 has it: every line ends with CR LF, a cell is quoted where it has to be.

    What a person wrote is no formula in any spreadsheet, and a number is nothing but a number. A
    file begins with the mark of UTF-8 (RFC 3629, section 6): without it a spreadsheet may take each
    letter beyond ASCII for two others.
    """
    if isinstance(sys.stdout, TextIOWrapper):
        # Else Windows would put another CR before each LF.
        sys.stdout.reconfigure(newline="", encoding="utf-8")
        if not sys.stdout.isatty():
            sys.stdout.write(_UTF8_MARK)
    writer = csv.writer(sys.stdout)
    writer.writerow(COLUMNS)
    for hole in holes:
        writer.writerow([cell(rounded(read(hole))) for read in _READ.values()])


def _line(hole: Listed) -> str:
    row = hole.row
    return (
        f"{dates.moment(row.at_utc)}  {row.id:>5}  {row.operator:<4} "
        f"{row.job.reference:<10} {row.label:<12} {row.thread:<14} {row.broken:<6} "
        f"{write_clock(row.arc_s):>6}  {row.stands}"
    )
