"""What the desk asks of the log: how shifts and holes were left, what was here before.

Reading only; each question takes the connection.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby

from cockpit.burn.reading import MarkKind
from cockpit.log.asking import ask
from cockpit.log.open_burns import open_arc_ms
from cockpit.log.rows import BurnEnd, Result

#: The step at which an electrode that was there before is zeroed again: no other one was put in.
ZEROED_AGAIN = "set up again"
#: So many of the newest jobs are looked through for names that were here before.
MOST_JOBS = 500


@dataclass(frozen=True, slots=True)
class Handover:
    """The shift that was closed last, and the note it left; the note may be empty."""

    operator: str
    began_utc: str
    ended_utc: str
    note: str


@dataclass(frozen=True, slots=True)
class HoleLeft:
    """How a hole was left, beside what its row says.

    ``hands``: the operators who had it, one after the other. ``cut_short``: its last burn has no
    end that anybody marked, and nobody has touched off or put an electrode in since. ``why``: the
    word with which it was left for later. ``called``: what was called since anything was measured,
    changed or burnt.
    """

    hands: tuple[str, ...] = ()
    cut_short: bool = False
    why: str = ""
    called: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class ShiftTotals:
    """What was done in a shift. ``electrodes``: how many were put in instead of a used-up one."""

    closed: int
    arc_s: float
    calls: int
    electrodes: int


def last_handover(connection: sqlite3.Connection) -> Handover | None:
    """What the shift that was closed last left behind; one in which nothing was done left none."""
    rows = ask(
        connection,
        "SELECT s.operator, s.began_utc, e.at_utc AS ended_utc, e.handover AS note "
        "FROM shift_ends e JOIN shifts s ON s.id = e.shift_id "
        "WHERE e.handover <> '' OR EXISTS (SELECT 1 FROM steps WHERE shift_id = s.id) "
        "OR EXISTS (SELECT 1 FROM sittings WHERE shift_id = s.id) ORDER BY s.id DESC LIMIT 1",
    )
    return Handover(**dict(rows[0])) if rows else None


def known_names(connection: sqlite3.Connection) -> dict[str, tuple[str, ...]]:
    """The customers, references and parts of the newest jobs, the newest first, each once."""
    names = ("customer", "reference", "part")
    sql = f"SELECT {', '.join(names)} FROM jobs ORDER BY id DESC LIMIT ?"
    rows = ask(connection, sql, MOST_JOBS)
    return {name: tuple(dict.fromkeys(str(row[name]) for row in rows)) for name in names}


def left(connection: sqlite3.Connection, hole_ids: Iterable[int]) -> dict[int, HoleLeft]:
    """How each of these holes was left."""
    ids = json.dumps(sorted(hole_ids))
    cut_short, why = _cut_short(connection, ids), _why_later(connection, ids)
    called = _called(connection, ids)
    return {
        hole_id: HoleLeft(
            hands, hole_id in cut_short, why.get(hole_id, ""), called.get(hole_id, frozenset())
        )
        for hole_id, hands in _hands(connection, ids).items()
    }


def hands(connection: sqlite3.Connection, hole_id: int) -> tuple[str, ...]:
    """The operators who had a hole, one after the other."""
    return _hands(connection, json.dumps([hole_id])).get(hole_id, ())


def _hands(connection: sqlite3.Connection, ids: str) -> dict[int, tuple[str, ...]]:
    """Who had each hole, in the order of the shifts; a shift's number counts, never a date."""
    rows = ask(
        connection,
        "SELECT h.hole_id, s.operator FROM ("
        "  SELECT hole_id, shift_id FROM steps WHERE hole_id IN (SELECT value FROM json_each(?1))"
        "  UNION SELECT hole_id, shift_id FROM sittings"
        "   WHERE hole_id IN (SELECT value FROM json_each(?1))"
        ") AS h JOIN shifts s ON s.id = h.shift_id ORDER BY h.hole_id, h.shift_id",
        ids,
    )
    return {
        int(hole_id): tuple(operator for operator, _ in groupby(row["operator"] for row in hole))
        for hole_id, hole in groupby(rows, lambda row: row["hole_id"])
    }


def is_cut_short(connection: sqlite3.Connection, hole_id: int) -> bool:
    """Whether a hole's last burn was ended by nobody, and nobody has touched off since."""
    return hole_id in _cut_short(connection, json.dumps([hole_id]))


def _cut_short(connection: sqlite3.Connection, ids: str) -> set[int]:
    """The holes whose last burn was ended by nobody: it is still open, or was closed as such.

    Whoever has touched off since, or put an electrode in, knows what it has lost.
    """
    rows = ask(
        connection,
        "SELECT b.hole_id FROM burns b LEFT JOIN burn_ends e ON e.burn_id = b.id "
        "WHERE b.id IN (SELECT max(id) FROM burns WHERE hole_id IN "
        "(SELECT value FROM json_each(?1)) GROUP BY hole_id) AND (e.how IS NULL OR e.how = ?2)"
        " AND NOT EXISTS (SELECT 1 FROM marks m WHERE m.hole_id = b.hole_id AND m.t_ms > b.t_ms"
        "  AND m.mark IN ('touch', 'wear'))"
        " AND NOT EXISTS (SELECT 1 FROM changes g WHERE g.hole_id = b.hole_id AND g.t_ms > b.t_ms"
        "  AND g.mark = 'electrode')",
        ids,
        BurnEnd.CUT_SHORT,
    )
    return {int(row["hole_id"]) for row in rows}


def _called(connection: sqlite3.Connection, ids: str) -> dict[int, frozenset[str]]:
    """What was called in the last burn of each hole, unless something was measured since."""
    rows = ask(
        connection,
        "SELECT c.hole_id, c.call FROM calls c WHERE c.hole_id IN (SELECT value FROM json_each(?1))"
        " AND c.t_ms >= coalesce((SELECT max(t_ms) FROM burns WHERE hole_id = c.hole_id), 0)"
        " AND NOT EXISTS (SELECT 1 FROM marks m WHERE m.hole_id = c.hole_id AND m.t_ms > c.t_ms"
        "  AND m.mark IN ('touch', 'wear', 'depth'))"
        " AND NOT EXISTS (SELECT 1 FROM changes g WHERE g.hole_id = c.hole_id AND g.t_ms > c.t_ms)"
        " ORDER BY c.hole_id",
        ids,
    )
    return {
        int(hole_id): frozenset(str(row["call"]) for row in of_hole)
        for hole_id, of_hole in groupby(rows, lambda row: row["hole_id"])
    }


def _why_later(connection: sqlite3.Connection, ids: str) -> dict[int, str]:
    rows = ask(
        connection,
        "SELECT hole_id, why FROM outcomes WHERE outcome = ?2 AND id IN (SELECT max(id) "
        "FROM outcomes WHERE hole_id IN (SELECT value FROM json_each(?1)) GROUP BY hole_id)",
        ids,
        Result.LATER,
    )
    return {int(row["hole_id"]): str(row["why"]) for row in rows}


def shift_totals(connection: sqlite3.Connection, shift_id: int) -> ShiftTotals:
    """What was done in a shift: holes closed, arc time, calls and changes of the electrode."""
    (row,) = ask(
        connection,
        """
        SELECT (SELECT count(*) FROM outcomes o WHERE o.shift_id = ?1 AND o.outcome <> ?2 AND
                NOT EXISTS (SELECT 1 FROM outcomes n WHERE n.hole_id = o.hole_id AND n.id > o.id)
               ) AS closed,
               (SELECT coalesce(sum(e.t_ms - b.t_ms), 0) FROM burns b
                  JOIN burn_ends e ON e.burn_id = b.id WHERE b.shift_id = ?1) AS arc_ms,
               (SELECT count(*) FROM calls WHERE shift_id = ?1) AS calls,
               (SELECT count(*) FROM changes c WHERE shift_id = ?1 AND mark = ?3 AND ?4 IS NOT
                  (SELECT step FROM steps s WHERE s.hole_id = c.hole_id AND
                   coalesce(s.check_id, 0) < coalesce(c.check_id, 0) ORDER BY s.id DESC LIMIT 1)
               ) AS electrodes
        """,
        shift_id,
        Result.LATER,
        MarkKind.ELECTRODE,
        ZEROED_AGAIN,
    )
    arc_ms = row["arc_ms"] + open_arc_ms(connection, shift_id=shift_id).total()
    return ShiftTotals(row["closed"], arc_ms / 1000, row["calls"], row["electrodes"])
