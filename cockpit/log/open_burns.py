"""Burns that nobody has ended: how long the arc was on, as far as the log knows.

A burn is open while it runs, and stays so when the program or the computer went down. Taking up its
hole ends it at the last thing the log knows of it; until then that is worked out here.
"""

from __future__ import annotations

import sqlite3
from collections import Counter

from cockpit.log.asking import ask, unreadable
from cockpit.log.folding import FoldError, unfold

_OPEN = """
    SELECT b.hole_id, b.shift_id, b.t_ms FROM burns b
      LEFT JOIN burn_ends e ON e.burn_id = b.id
     WHERE e.burn_id IS NULL
"""
_LAST = """
    SELECT t_ms FROM (
        SELECT * FROM (SELECT seq, t_ms FROM readings WHERE hole_id = ?1 ORDER BY seq DESC LIMIT 1)
        UNION ALL
        SELECT * FROM (SELECT seq, t_ms FROM marks WHERE hole_id = ?1 ORDER BY seq DESC LIMIT 1)
    ) ORDER BY seq DESC LIMIT 1
"""


def open_arc_ms(
    connection: sqlite3.Connection, hole_id: int | None = None, shift_id: int | None = None
) -> Counter[int]:
    """Arc time of the open burns so far, ms by hole: of all, of one hole, or of one shift."""
    arc_ms: Counter[int] = Counter()
    where = {"b.hole_id": hole_id, "b.shift_id": shift_id}
    asked = {column: value for column, value in where.items() if value is not None}
    sql = _OPEN + "".join(f" AND {column} = ?" for column in asked)
    for burn in ask(connection, sql, *asked.values()):
        last_ms = _last_known_ms(connection, burn["hole_id"])
        arc_ms[burn["hole_id"]] += max(last_ms - burn["t_ms"], 0)
    return arc_ms


def _last_known_ms(connection: sqlite3.Connection, hole_id: int) -> int:
    """When the last reading or mark of a hole was, on its own clock; a reading may be folded."""
    known = [row["t_ms"] for row in ask(connection, _LAST, hole_id)]
    sql = "SELECT body FROM traces WHERE hole_id = ? ORDER BY first_seq DESC LIMIT 1"
    for row in ask(connection, sql, hole_id):
        try:
            known.append(unfold(row["body"])[-1][1])
        except FoldError as error:
            raise unreadable(f"the trace of hole {hole_id} in the log can't be read") from error
    return max(known, default=0)
