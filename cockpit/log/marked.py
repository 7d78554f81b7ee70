"""What was measured in a hole, and what was changed in its burn. Reading only."""

from __future__ import annotations

import sqlite3

from cockpit.burn.reading import MEASURING, MarkKind
from cockpit.log import desk
from cockpit.log.asking import ask
from cockpit.log.rows import MarkRow


def marked(connection: sqlite3.Connection, hole_id: int) -> list[MarkRow]:
    """The measurements of a hole and its changes of electrode and spot, in the order of the hole.

    Only the step tells another electrode from the same one that was zeroed again.
    """
    rows = ask(
        connection,
        f"""
        SELECT m.seq, m.at_utc, s.operator, m.t_ms, m.mark, m.value_um, NULL AS step
          FROM marks m JOIN shifts s ON s.id = m.shift_id
         WHERE m.hole_id = ?1 AND m.mark IN ({", ".join(f"'{kind}'" for kind in sorted(MEASURING))})
        UNION ALL
        SELECT c.seq, c.at_utc, s.operator, c.t_ms, c.mark, c.value_um,
               (SELECT step FROM steps st WHERE st.hole_id = ?1 AND
                coalesce(st.check_id, 0) < coalesce(c.check_id, 0) ORDER BY st.id DESC LIMIT 1)
          FROM changes c JOIN shifts s ON s.id = c.shift_id WHERE c.hole_id = ?1
         ORDER BY 1
        """,
        hole_id,
    )
    return [
        MarkRow(
            at_utc=row["at_utc"],
            operator=row["operator"],
            t_s=row["t_ms"] / 1000,
            mark=MarkKind(row["mark"]),
            value_mm=None if row["value_um"] is None else row["value_um"] / 1000,
            zeroed_again=row["mark"] == MarkKind.ELECTRODE and row["step"] == desk.ZEROED_AGAIN,
        )
        for row in rows
    ]
