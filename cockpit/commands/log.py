"""``burn-cockpit log``: the shift log, a hole a row."""

from __future__ import annotations

import argparse
import csv
import sys
from contextlib import closing
from operator import attrgetter

from cockpit.commands.answer import existing_log, say, say_json, sentences
from cockpit.log import LogError, questions
from cockpit.log.opening import open_to_read
from cockpit.log.rows import HoleRow
from cockpit.text import cell
from cockpit.units import write_clock

#: Keys and columns, in their unit where they have one, and where a hole's row has them.
COLUMNS = {
    "hole": "id",
    "taken_in_utc": "at_utc",
    "operator": "operator",
    "customer": "job.customer",
    "reference": "job.reference",
    "part": "job.part",
    "label": "label",
    "thread": "thread",
    "broken": "broken",
    "step": "step",
    "outcome": "outcome",
    "arc_s": "arc_s",
    "burns": "burns",
    "calls": "calls",
}


def run(asked: argparse.Namespace) -> None:
    """Print the holes that were asked for, the newest first."""
    path = existing_log(asked.data, asked.demo)
    with sentences(LogError), closing(open_to_read(path)) as connection:
        rows = questions.shift_log(connection, first=asked.first, last=asked.last, text=asked.job)
    if asked.json:
        for row in rows:
            say_json(as_json(row))
    elif asked.csv:
        _say_csv(rows)
    else:
        for row in rows:
            say(_line(row))


def as_json(row: HoleRow) -> dict[str, object]:
    """One hole of the shift log."""
    return {column: attrgetter(path)(row) for column, path in COLUMNS.items()}


def _say_csv(rows: list[HoleRow]) -> None:
    writer = csv.writer(sys.stdout, lineterminator="\n")
    writer.writerow(COLUMNS)
    for row in rows:
        writer.writerow(map(cell, as_json(row).values()))


def _line(row: HoleRow) -> str:
    state = row.outcome or f"at {row.step}"
    return (
        f"{row.at_utc[:16].replace('T', ' ')}  {row.id:>5}  {row.operator:<4} "
        f"{row.job.reference:<10} {row.label:<12} {row.thread:<14} {row.broken:<6} "
        f"{write_clock(row.arc_s):>6}  {state}"
    )
