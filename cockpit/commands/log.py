"""``burn-cockpit log``: the shift log, a hole a row."""

from __future__ import annotations

import argparse
import csv
import sys

from cockpit.commands.answer import existing_log, say, say_json, sentences
from cockpit.log import questions
from cockpit.log.record import clock
from cockpit.log.rows import HoleRow
from cockpit.log.store import LogError, Store

#: A spreadsheet takes text that begins with one of these for a formula.
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


def run(asked: argparse.Namespace) -> None:
    """Print the holes that were asked for, the newest first."""
    path = existing_log(asked.data, asked.demo)
    with sentences(LogError), Store(path) as store:
        rows = questions.shift_log(
            store.connection, first=asked.first, last=asked.last, text=asked.job
        )
    if asked.json:
        for row in rows:
            say_json(as_json(row))
    elif asked.csv:
        _say_csv(rows)
    else:
        for row in rows:
            say(_line(row))


def as_json(row: HoleRow) -> dict[str, object]:
    """One hole of the shift log; keys end in their unit."""
    return {
        "hole": row.id,
        "taken_in_utc": row.at_utc,
        "operator": row.operator,
        "customer": row.job.customer,
        "reference": row.job.reference,
        "part": row.job.part,
        "label": row.label,
        "thread": row.thread,
        "broken": row.broken,
        "step": row.step,
        "outcome": row.outcome,
        "arc_s": row.arc_s,
        "burns": row.burns,
        "calls": row.calls,
    }


def _say_csv(rows: list[HoleRow]) -> None:
    writer = csv.writer(sys.stdout, lineterminator="\n")
    table = [as_json(row) for row in rows]
    if table:
        writer.writerow(table[0])
    for row in table:
        writer.writerow([_cell(value) for value in row.values()])


def _cell(value: object) -> object:
    """A cell that no spreadsheet takes for a formula.

    >>> _cell("=1+1"), _cell("M8"), _cell(3)
    ("'=1+1", 'M8', 3)
    """
    if isinstance(value, str) and value.startswith(FORMULA_STARTS):
        return f"'{value}"
    return value


def _line(row: HoleRow) -> str:
    state = row.outcome or f"at {row.step}"
    return (
        f"{row.at_utc[:16].replace('T', ' ')}  {row.id:>5}  {row.operator:<4} "
        f"{row.job.reference:<10} {row.label:<12} {row.thread:<14} {row.broken:<6} "
        f"{clock(row.arc_s):>6}  {state}"
    )
