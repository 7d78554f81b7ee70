"""The readings in a log's file, read as any other program could."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path
from typing import NamedTuple

from cockpit.log.folding import unfold


class Kept(NamedTuple):
    """A reading of the only hole there is: its time on the hole's clock, ms, and travel, µm."""

    t_ms: int
    travel_um: int


def kept_readings(log: Path) -> list[Kept]:
    """All of them in order, those that are folded as well, as they are at one moment."""
    with closing(sqlite3.connect(log, isolation_level=None)) as connection:
        connection.execute("BEGIN")
        folded = connection.execute("SELECT body FROM traces ORDER BY first_seq").fetchall()
        live = connection.execute("SELECT seq, t_ms, travel_um FROM readings ORDER BY seq")
        rows = [row for (body,) in folded for row in unfold(body)] + live.fetchall()
    return [Kept(t_ms, travel_um) for _, t_ms, travel_um in rows]
