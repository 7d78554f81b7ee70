"""What the log says of the electrodes in the rack. Reading only."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass

from cockpit.log.asking import ask, each
from cockpit.trade.stock import Entry, StockEntry


@dataclass(frozen=True, slots=True)
class StockRow:
    """One entry about a size, with who and when."""

    at_utc: str
    operator: str
    electrode: str
    entry: StockEntry
    number: int
    hole_id: int | None
    note: str


def entries(connection: sqlite3.Connection, after: int = 0) -> dict[str, list[Entry]]:
    """The entries by the electrode's label, in the order they were made, ``after`` a stamp."""
    found: dict[str, list[Entry]] = {}
    sql = "SELECT electrode, entry, number FROM stock WHERE id > ? ORDER BY id"
    for row in each(connection, sql, after):
        entry = Entry(StockEntry(row["entry"]), row["number"])
        found.setdefault(row["electrode"], []).append(entry)
    return found


def profile_counts(connection: sqlite3.Connection) -> dict[str, int]:
    """What the rack's profile said of each size when it was last looked at."""
    rows = ask(
        connection,
        "SELECT electrode, number FROM stock WHERE id IN "
        "(SELECT max(id) FROM stock WHERE entry = ? GROUP BY electrode)",
        StockEntry.PROFILE,
    )
    return {row["electrode"]: row["number"] for row in rows}


def history(connection: sqlite3.Connection, most: int) -> list[StockRow]:
    """The newest entries that people made, and the electrodes that were used up."""
    rows = ask(
        connection,
        "SELECT k.at_utc, s.operator, k.electrode, k.entry, k.number, k.hole_id, k.note "
        "FROM stock k JOIN shifts s ON s.id = k.shift_id WHERE k.entry <> ? "
        "ORDER BY k.id DESC LIMIT ?",
        StockEntry.WORN,
        most,
    )
    return [StockRow(**{**dict(row), "entry": StockEntry(row["entry"])}) for row in rows]


def stamp(connection: sqlite3.Connection) -> int:
    """What changes with every entry."""
    (row,) = ask(connection, "SELECT coalesce(max(id), 0) AS id FROM stock")
    return int(row["id"])
