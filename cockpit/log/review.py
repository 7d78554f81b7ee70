"""What was said wrongly and said again: both, with who and why. Reading only."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise
from operator import itemgetter

from cockpit.log.asking import ask
from cockpit.trade.ticket import Ticket
from cockpit.units import LengthUnit, write_length

#: What an outcome says, as people call it.
OUTCOME_WORDS = {
    "outcome": "result",
    "chased": "thread chased",
    "gauged": "gauged",
    "bottom": "bottom",
    "marked": "marked",
    "why": "why",
}
JOB_WORDS = {"customer": "customer", "reference": "reference", "part": "part"}


@dataclass(frozen=True, slots=True)
class Correction:
    """Something that was said first and what it was corrected to; by whom, when and why.

    A length in it is in mm as ``was_mm`` and ``now_mm``; else both are None.
    """

    at_utc: str
    operator: str
    what: str
    was: str
    now: str
    why: str
    was_mm: float | None = None
    now_mm: float | None = None

    def told(self, unit: LengthUnit) -> str:
        """In one line: what it was and is, who says so and why."""
        was, now = self.was, self.now
        if self.was_mm is not None and self.now_mm is not None:
            was, now = write_length(self.was_mm, unit), write_length(self.now_mm, unit)
        return (
            f"{self.what}: {now or 'nothing'}, was {was or 'nothing'}; {self.operator}, {self.why}"
        )


def corrections(connection: sqlite3.Connection, hole_id: int) -> tuple[Correction, ...]:
    """Everything that was corrected of a hole and of its job, in the order of time."""
    kinds = (_of_job, _of_ticket, _of_outcome, _of_notes, _of_width)
    dated: list[tuple[str, Correction]] = []
    for of_kind in kinds:
        latest = ""
        for one in of_kind(connection, hole_id):
            # Somebody may have set the clock back: what corrects another comes after it.
            latest = max(latest, one.at_utc)
            dated.append((latest, one))
    return tuple(one for _, one in sorted(dated, key=itemgetter(0)))


def _changed(
    before: Mapping[str, object], now: sqlite3.Row, words: Mapping[str, str], why: str
) -> Iterator[Correction]:
    for key, word in words.items():
        if before[key] != now[key]:
            yield Correction(
                now["at_utc"], now["operator"], word, str(before[key]), str(now[key]), why
            )


def _of_job(connection: sqlite3.Connection, hole_id: int) -> Iterator[Correction]:
    rows = ask(
        connection,
        "SELECT j.customer, j.reference, j.part, j.at_utc, s.operator, NULL AS correction, 0 AS id "
        "FROM holes h JOIN jobs j ON j.id = h.job_id JOIN shifts s ON s.id = j.shift_id "
        "WHERE h.id = ?1 UNION ALL "
        "SELECT c.customer, c.reference, c.part, c.at_utc, s.operator, c.correction, c.id "
        "FROM holes h JOIN job_corrections c ON c.job_id = h.job_id "
        "JOIN shifts s ON s.id = c.shift_id WHERE h.id = ?1 ORDER BY id",
        hole_id,
    )
    for before, now in pairwise(rows):
        yield from _changed(dict(before), now, JOB_WORDS, now["correction"])


def _of_ticket(connection: sqlite3.Connection, hole_id: int) -> Iterator[Correction]:
    """What of a ticket was said again once the hole was done; before it was planned it was typing.

    Only those have a why.
    """
    rows = ask(
        connection,
        "SELECT t.body, t.at_utc, s.operator, t.correction FROM tickets t "
        "JOIN shifts s ON s.id = t.shift_id WHERE t.hole_id = ? ORDER BY t.id",
        hole_id,
    )
    for earlier, later in pairwise(rows):
        if later["correction"] is None:
            continue
        before, now = (
            Ticket.model_validate_json(row["body"]).model_dump(mode="json")
            for row in (earlier, later)
        )
        for key in now:
            if before[key] != now[key]:
                is_mm = key.endswith("_mm") and None not in (before[key], now[key])
                yield Correction(
                    later["at_utc"],
                    later["operator"],
                    key.removesuffix("_mm").replace("_", " "),
                    _said(before[key]),
                    _said(now[key]),
                    later["correction"],
                    float(before[key]) if is_mm else None,
                    float(now[key]) if is_mm else None,
                )


def _said(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return "" if value is None else str(value)


def _of_outcome(connection: sqlite3.Connection, hole_id: int) -> Iterator[Correction]:
    """What of an outcome was wrong; a hole that was left and is done now was right both times."""
    rows = ask(
        connection,
        "SELECT o.*, s.operator FROM outcomes o JOIN shifts s ON s.id = o.shift_id "
        "WHERE o.hole_id = ? ORDER BY o.id",
        hole_id,
    )
    for before, now in pairwise(rows):
        if now["correction"] is not None:
            yield from _changed(dict(before), now, OUTCOME_WORDS, now["correction"])


def _of_notes(connection: sqlite3.Connection, hole_id: int) -> Iterator[Correction]:
    rows = ask(
        connection,
        "SELECT n.at_utc, s.operator, o.text AS was, n.text, n.correction FROM notes n "
        "JOIN notes o ON o.id = n.corrects JOIN shifts s ON s.id = n.shift_id "
        "WHERE n.hole_id = ? ORDER BY n.id",
        hole_id,
    )
    for row in rows:
        yield Correction(
            row["at_utc"], row["operator"], "note", row["was"], row["text"], row["correction"]
        )


def _of_width(connection: sqlite3.Connection, hole_id: int) -> Iterator[Correction]:
    rows = ask(
        connection,
        "SELECT w.at_utc, s.operator, o.width_um AS was_um, w.width_um FROM widths w "
        "JOIN widths o ON o.id = w.corrects JOIN shifts s ON s.id = w.shift_id "
        "WHERE w.hole_id = ? ORDER BY w.id",
        hole_id,
    )
    for row in rows:
        was_mm, now_mm = row["was_um"] / 1000, row["width_um"] / 1000
        yield Correction(
            row["at_utc"],
            row["operator"],
            "width of the burnt hole",
            f"{was_mm:g} mm",
            f"{now_mm:g} mm",
            "measured again",
            was_mm,
            now_mm,
        )
