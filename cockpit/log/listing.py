"""The holes of the log as they are listed: newest first, as many at once as there is time for.

A busy shop's log has so many of them that they are never all asked for at once.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import NamedTuple

from cockpit import dates
from cockpit.log.asking import ask, each, unreadable
from cockpit.log.open_burns import open_arc_ms
from cockpit.log.questions import hole_row
from cockpit.log.rows import HoleRow, Result

#: What is said in a correction counts instead of what it corrects; of a hole's tickets, outcomes
#: and tallies the last one.
_LISTED = """
    SELECT h.id, h.number, h.at_utc, s.operator, j.id AS job_id,
           coalesce(c.customer, j.customer) AS customer,
           coalesce(c.reference, j.reference) AS reference, coalesce(c.part, j.part) AS part,
           t.label, t.thread, t.broken, o.outcome, o.gauged,
           (SELECT step FROM steps WHERE hole_id = h.id ORDER BY id DESC LIMIT 1) AS step,
           (SELECT coalesce(sum(e.t_ms - b.t_ms), 0) FROM burns b
              JOIN burn_ends e ON e.burn_id = b.id WHERE b.hole_id = h.id) AS arc_ms,
           (SELECT count(*) FROM burns WHERE hole_id = h.id) AS burns,
           EXISTS (SELECT 1 FROM burns b WHERE b.hole_id = h.id AND NOT EXISTS (
              SELECT 1 FROM burn_ends e WHERE e.burn_id = b.id)) AS is_open,
           (SELECT count(*) FROM calls WHERE hole_id = h.id) AS calls,
           (SELECT target_um FROM plans WHERE hole_id = h.id ORDER BY id DESC LIMIT 1) AS target_um,
           y.electrode, y.electrodes, y.depth_um, y.worn_um, y.wear_ratio, y.price, y.currency
      FROM holes h
      JOIN jobs j ON j.id = h.job_id
      JOIN shifts s ON s.id = h.shift_id
      JOIN tickets t ON t.id = (SELECT max(id) FROM tickets WHERE hole_id = h.id)
      LEFT JOIN job_corrections c ON c.id = (
              SELECT max(id) FROM job_corrections WHERE job_id = j.id)
      LEFT JOIN outcomes o ON o.id = (SELECT max(id) FROM outcomes WHERE hole_id = h.id)
      LEFT JOIN tallies y ON y.id = (SELECT max(id) FROM tallies WHERE hole_id = h.id)
"""


#: What a search needs of each hole, table by table, from one hole to another.
_FOUND_BY = """
    SELECT h.id, h.at_utc, s.operator, coalesce(c.customer, j.customer),
           coalesce(c.reference, j.reference), coalesce(c.part, j.part),
           t.label, t.thread, t.broken, coalesce(o.outcome, 'at ' || (
              SELECT step FROM steps WHERE hole_id = h.id ORDER BY id DESC LIMIT 1)),
           o.outcome, y.electrodes, y.price, y.currency
      FROM holes h
      JOIN jobs j ON j.id = h.job_id
      JOIN shifts s ON s.id = h.shift_id
      JOIN tickets t ON t.id = (SELECT max(id) FROM tickets WHERE hole_id = h.id)
      LEFT JOIN job_corrections c ON c.id = (
              SELECT max(id) FROM job_corrections WHERE job_id = j.id)
      LEFT JOIN outcomes o ON o.id = (SELECT max(id) FROM outcomes WHERE hole_id = h.id)
      LEFT JOIN tallies y ON y.id = (SELECT max(id) FROM tallies WHERE hole_id = h.id)
     WHERE h.id BETWEEN ? AND ? ORDER BY h.id DESC
"""
_ARCS = """
    SELECT b.hole_id, coalesce(sum(e.t_ms - b.t_ms), 0) AS arc_ms,
           count(*) - count(e.burn_id) AS open
      FROM burns b LEFT JOIN burn_ends e ON e.burn_id = b.id
     WHERE b.hole_id BETWEEN ? AND ? GROUP BY b.hole_id
"""
_CALLS = """
    SELECT hole_id, count(*) AS many FROM calls WHERE hole_id BETWEEN ? AND ? GROUP BY hole_id
"""


class Entry(NamedTuple):
    """What a search holds of a hole: its id, what it is found by, what it adds to the totals."""

    id: int
    words: str
    is_closed: bool
    arc_ms: int
    calls: int
    electrodes: int
    price: Decimal | None
    currency: str


@dataclass(frozen=True, slots=True)
class Listed:
    """A hole with what it came to, as far as it is closed; lengths in mm.

    ``target_mm`` is that of its last plan. ``electrode``, ``electrodes``, ``depth_mm``,
    ``worn_mm``, ``wear_ratio``, ``price`` and ``currency`` are those of its tally, ``gauged`` what
    was said of the gauge when it was closed; None or empty where there is none.
    """

    row: HoleRow
    target_mm: float | None
    electrode: str | None
    electrodes: int | None
    depth_mm: float | None
    worn_mm: float | None
    wear_ratio: float | None
    price: Decimal | None
    currency: str | None
    gauged: str


def shift_log(
    connection: sqlite3.Connection,
    *,
    first: date | None = None,
    last: date | None = None,
    text: str = "",
) -> Iterator[Listed]:
    """Holes taken in from ``first`` to ``last`` (days by the clock on the wall, both
    included), the newest first.

    The words of ``text`` are looked for as ``words_of`` has them. One hole after the other is read,
    so that no log is too long. Raises LogError.
    """
    rows = each(
        connection,
        f"{_LISTED} WHERE h.at_utc >= ? AND h.at_utc < ? ORDER BY h.id DESC",
        *dates.span(first, last),
    )
    # SQLite folds the case of ASCII alone; customers have other letters too.
    wanted = wanted_words(text)
    for row in rows:
        hole = _listed(connection, row)
        words = words_of(hole)
        if all(word in words for word in wanted):
            yield hole


def next_entries(connection: sqlite3.Connection, before: int | None, many: int) -> list[Entry]:
    """So many holes, the newest first, older than the hole ``before``; None for the newest of all.

    Each table is gone through once, and only those that a search needs: a plan is a page long.
    Raises LogError.
    """
    where, asked = ("", (many,)) if before is None else ("WHERE id < ?", (before, many))
    sql = f"SELECT id FROM holes {where} ORDER BY id DESC LIMIT ?"
    ids = [row["id"] for row in ask(connection, sql, *asked)]
    if not ids:
        return []
    span = (ids[-1], ids[0])
    arcs = {row["hole_id"]: row for row in ask(connection, _ARCS, *span)}
    calls = {row["hole_id"]: row["many"] for row in ask(connection, _CALLS, *span)}
    return [
        Entry(
            hole_id,
            _words(dates.day(utc), *words),
            _is_closed(outcome),
            _arc_ms(connection, arcs.get(hole_id)),
            calls.get(hole_id, 0),
            electrodes or 0,
            _price(hole_id, price),
            currency or "",
        )
        for hole_id, utc, *words, outcome, electrodes, price, currency in ask(
            connection, _FOUND_BY, *span
        )
    ]


def entry_of(hole: Listed) -> Entry:
    """What a search holds of a hole that is listed."""
    row = hole.row
    return Entry(
        row.id,
        words_of(hole),
        _is_closed(row.outcome),
        round(1000 * row.arc_s),
        row.calls,
        hole.electrodes or 0,
        hole.price,
        hole.currency or "",
    )


def these_holes(connection: sqlite3.Connection, ids: Iterable[int]) -> list[Listed]:
    """The holes of these ids, the newest first. Raises LogError."""
    sql = f"{_LISTED} WHERE h.id IN (SELECT value FROM json_each(?)) ORDER BY h.id DESC"
    return [_listed(connection, row) for row in ask(connection, sql, json.dumps(list(ids)))]


def how_many(connection: sqlite3.Connection) -> int:
    """How many holes the log has. Raises LogError."""
    return int(ask(connection, "SELECT count(*) AS many FROM holes")[0]["many"])


def wanted_words(text: str) -> tuple[str, ...]:
    """What somebody looks for: each of these words has to be found, in whatever order and case.

    >>> wanted_words(" Harrow  2026-11 ")
    ('harrow', '2026-11')
    """
    return tuple(text.casefold().split())


def words_of(hole: Listed) -> str:
    """What a hole is found by, with its case folded: day, operator, job, hole, how it stands."""
    row, job = hole.row, hole.row.job
    whose = (dates.day(row.at_utc), row.operator, job.customer, job.reference, job.part)
    return _words(*whose, row.label, row.thread, row.broken, row.stands)


def _words(*words: str) -> str:
    return "\n".join(words).casefold()


def _is_closed(outcome: str | None) -> bool:
    """Whether a hole came to an end: one left for later still waits on the bench."""
    return outcome is not None and outcome != Result.LATER


def _arc_ms(connection: sqlite3.Connection, arcs: sqlite3.Row | None) -> int:
    """Arc time of a hole; a burn that nobody ended counts as far as it is known."""
    if arcs is None:
        return 0
    of_open = open_arc_ms(connection, arcs["hole_id"]).total() if arcs["open"] else 0
    return int(arcs["arc_ms"]) + of_open


def _listed(connection: sqlite3.Connection, row: sqlite3.Row) -> Listed:
    hole_id, arc_ms = row["id"], row["arc_ms"]
    if row["is_open"]:
        # A burn that nobody ended counts as far as it is known.
        arc_ms += open_arc_ms(connection, hole_id)[hole_id]
    return Listed(
        hole_row(row, arc_ms),
        target_mm=_mm(row["target_um"]),
        electrode=row["electrode"],
        electrodes=row["electrodes"],
        depth_mm=_mm(row["depth_um"]),
        worn_mm=_mm(row["worn_um"]),
        wear_ratio=row["wear_ratio"],
        price=_price(hole_id, row["price"]),
        currency=row["currency"],
        gauged=row["gauged"] or "",
    )


def _mm(micrometres: int | None) -> float | None:
    return None if micrometres is None else micrometres / 1000


def _price(hole_id: int, text: str | None) -> Decimal | None:
    if text is None:
        return None
    try:
        price = Decimal(text)
    except InvalidOperation:
        price = Decimal("nan")
    if not price.is_finite():
        raise unreadable(f"the price of hole {hole_id} in the log can't be read")
    return price
