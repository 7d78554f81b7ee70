"""What can be asked of the log. Reading only; each question takes the connection."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from operator import itemgetter

from pydantic import TypeAdapter, ValidationError

from cockpit.burn.reading import Mark, MarkKind, Reading
from cockpit.log import desk
from cockpit.log.asking import ask as _ask
from cockpit.log.asking import unreadable as _unreadable
from cockpit.log.folding import FoldError, Row, unfold
from cockpit.log.marked import marked
from cockpit.log.open_burns import open_arc_ms
from cockpit.log.review import Correction, corrections
from cockpit.log.rows import (
    BurnEnd,
    BurnKind,
    BurnRow,
    CallRow,
    CentreRow,
    CheckResult,
    CheckRow,
    HoleRow,
    Job,
    MarkRow,
    NoteRow,
    Outcome,
    OutcomeRow,
    Result,
    Shift,
    Tally,
)
from cockpit.trade.figures import Override, Value
from cockpit.trade.plan import Plan
from cockpit.trade.ticket import Ticket

_VALUE: TypeAdapter[Value] = TypeAdapter(Value)
_HOLES = """
    SELECT h.id, h.number, h.at_utc, s.operator,
           j.id AS job_id, coalesce(r.customer, j.customer) AS customer,
           coalesce(r.reference, j.reference) AS reference, coalesce(r.part, j.part) AS part,
           t.label, t.thread, t.broken,
           (SELECT step FROM steps WHERE hole_id = h.id ORDER BY id DESC LIMIT 1) AS step,
           (SELECT outcome FROM outcomes WHERE hole_id = h.id ORDER BY id DESC LIMIT 1) AS outcome,
           (SELECT coalesce(sum(e.t_ms - b.t_ms), 0) FROM burns b
              JOIN burn_ends e ON e.burn_id = b.id WHERE b.hole_id = h.id) AS arc_ms,
           (SELECT count(*) FROM burns WHERE hole_id = h.id) AS burns,
           (SELECT count(*) FROM calls WHERE hole_id = h.id) AS calls
      FROM holes h
      JOIN jobs j ON j.id = h.job_id
      LEFT JOIN job_corrections r
        ON r.id = (SELECT max(id) FROM job_corrections WHERE job_id = j.id)
      JOIN shifts s ON s.id = h.shift_id
      JOIN tickets t ON t.id = (SELECT max(id) FROM tickets WHERE hole_id = h.id)
"""


@dataclass(frozen=True, slots=True)
class HolePage:
    """Everything the log knows of one hole."""

    row: HoleRow
    ticket: Ticket
    plan: Plan | None
    checks: tuple[CheckRow, ...]
    burns: tuple[BurnRow, ...]
    calls: tuple[CallRow, ...]
    centres: tuple[CentreRow, ...]
    notes: tuple[NoteRow, ...]
    outcomes: tuple[OutcomeRow, ...]
    #: How often an electrode that had burnt already was put back and zeroed again.
    zeroed_again: int = 0
    #: The operators who had it, one after the other.
    hands: tuple[str, ...] = ()
    #: What it came to; None until it is closed.
    tally: Tally | None = None
    #: How wide the burnt hole was measured, mm; None where nobody did.
    width_mm: float | None = None
    #: What was said wrongly, and said again.
    corrections: tuple[Correction, ...] = ()
    #: What was measured, and each change of electrode and spot.
    marks: tuple[MarkRow, ...] = ()

    @property
    def outcome(self) -> OutcomeRow | None:
        """The outcome in force; earlier ones were corrected by it."""
        return self.outcomes[-1] if self.outcomes else None


@contextmanager
def _of_hole(hole_id: int, what: str) -> Iterator[None]:
    """Say in a sentence that something of a hole is not what the log should hold."""
    try:
        yield
    except (ValidationError, FoldError, InvalidOperation) as error:
        raise _unreadable(f"{what} of hole {hole_id} in the log can't be read") from error


def _mm(micrometres: int | None) -> float | None:
    return None if micrometres is None else micrometres / 1000


# Shifts and lists --------------------------------------------------------------------------------


def open_shift(connection: sqlite3.Connection) -> Shift | None:
    """The shift that was opened last and not closed, if there is one."""
    rows = _ask(
        connection,
        "SELECT s.* FROM shifts s LEFT JOIN shift_ends e ON e.shift_id = s.id "
        "WHERE e.shift_id IS NULL ORDER BY s.id DESC LIMIT 1",
    )
    return Shift(**dict(rows[0])) if rows else None


def last_shift(connection: sqlite3.Connection) -> Shift | None:
    """The shift that was opened last, closed or not: what the next one is likely to repeat."""
    rows = _ask(connection, "SELECT * FROM shifts ORDER BY id DESC LIMIT 1")
    return Shift(**dict(rows[0])) if rows else None


def unfinished(connection: sqlite3.Connection) -> list[HoleRow]:
    """Holes that still need something, the oldest first."""
    rows = _ask(
        connection,
        f"SELECT * FROM ({_HOLES}) WHERE outcome IS NULL OR outcome = ? ORDER BY id",
        Result.LATER,
    )
    return _hole_rows(connection, rows)


def finished_in(connection: sqlite3.Connection, shift_id: int) -> list[HoleRow]:
    """Holes that came to an end in a shift, the newest first."""
    rows = _ask(
        connection,
        f"SELECT * FROM ({_HOLES}) AS hole WHERE outcome IS NOT NULL AND outcome <> ? AND "
        "(SELECT o.shift_id FROM outcomes o WHERE o.hole_id = hole.id ORDER BY o.id DESC LIMIT 1) "
        "= ? ORDER BY id DESC",
        Result.LATER,
        shift_id,
    )
    return _hole_rows(connection, rows)


def holes_like(connection: sqlite3.Connection, reference: str) -> list[HoleRow]:
    """The holes of the jobs whose reference may be this one, case folded."""
    if reference.isascii():
        # SQLite folds the case of ASCII alone.
        sql = f"SELECT * FROM ({_HOLES}) WHERE lower(reference) = ? ORDER BY id"
        return _hole_rows(connection, _ask(connection, sql, reference))
    rows = _ask(connection, f"SELECT * FROM ({_HOLES}) ORDER BY id")
    return [
        row for row in _hole_rows(connection, rows) if row.job.reference.casefold() == reference
    ]


def electrodes(connection: sqlite3.Connection, hole_id: int) -> int:
    """How many electrodes a hole was burnt with so far; one that was zeroed again is the same.

    One that was put in and taken out again without an arc is none.
    """
    (row,) = _ask(
        connection,
        "SELECT count(DISTINCT (SELECT count(*) FROM changes c WHERE c.hole_id = m.hole_id "
        "AND c.mark = ?2 AND c.seq < m.seq AND ?4 IS NOT (SELECT step FROM steps s WHERE "
        "s.hole_id = c.hole_id AND coalesce(s.check_id, 0) < coalesce(c.check_id, 0) "
        "ORDER BY s.id DESC LIMIT 1))) AS many FROM marks m WHERE m.hole_id = ?1 AND m.mark = ?3",
        hole_id,
        MarkKind.ELECTRODE,
        MarkKind.START,
        desk.ZEROED_AGAIN,
    )
    return int(row["many"])


def of_job(connection: sqlite3.Connection, job_id: int) -> list[HoleRow]:
    """The holes of a job, in the order they were taken in."""
    rows = _ask(connection, f"SELECT * FROM ({_HOLES}) WHERE job_id = ? ORDER BY id", job_id)
    return _hole_rows(connection, rows)


def daily_checks(connection: sqlite3.Connection, shift_id: int) -> list[CheckRow]:
    """The daily checks of a shift, as answered so far."""
    return _checks(connection, "c.hole_id IS NULL AND c.shift_id = ?", shift_id)


def _hole_rows(connection: sqlite3.Connection, rows: list[sqlite3.Row]) -> list[HoleRow]:
    """Rows as the lists show them: a burn that nobody ended counts as far as it is known."""
    open_ms = open_arc_ms(connection)
    return [_hole_row(row, open_ms[row["id"]]) for row in rows]


def _hole_row(row: sqlite3.Row, open_ms: int) -> HoleRow:
    return hole_row(row, row["arc_ms"] + open_ms)


def hole_row(row: sqlite3.Row, arc_ms: int) -> HoleRow:
    """A hole from what was asked of the log by these names, with the arc time that it is known."""
    return HoleRow(
        id=row["id"],
        number=row["number"],
        job=Job(row["job_id"], row["customer"], row["reference"], row["part"]),
        at_utc=row["at_utc"],
        operator=row["operator"],
        label=row["label"],
        thread=row["thread"],
        broken=row["broken"],
        step=row["step"],
        outcome=row["outcome"],
        arc_s=arc_ms / 1000,
        burns=row["burns"],
        calls=row["calls"],
    )


def last_utc(connection: sqlite3.Connection) -> str:
    """The latest date in the log, UTC in ISO 8601; empty in an empty one."""
    dated = ("shift_ends", "steps", "checks", "marks", "burn_ends", "notes")
    dates = " UNION ALL ".join(f"SELECT max(at_utc) AS utc FROM {table}" for table in dated)
    rows = _ask(connection, f"SELECT max(utc) AS utc FROM ({dates})")
    return str(rows[0]["utc"] or "")


def last_in_hand(connection: sqlite3.Connection, untouched: str) -> int | None:
    """The hole that came to its step last, of those beyond the step ``untouched``."""
    rows = _ask(
        connection, "SELECT hole_id FROM steps WHERE step <> ? ORDER BY id DESC LIMIT 1", untouched
    )
    return int(rows[0]["hole_id"]) if rows else None


def last_taken_in(connection: sqlite3.Connection) -> tuple[Job, Ticket] | None:
    """The job and ticket of the hole that was taken in last."""
    rows = _ask(
        connection,
        "SELECT h.id, j.id AS job_id, j.customer, j.reference, j.part FROM holes h "
        "JOIN jobs j ON j.id = h.job_id ORDER BY h.id DESC LIMIT 1",
    )
    if not rows:
        return None
    row = rows[0]
    job = Job(row["job_id"], row["customer"], row["reference"], row["part"])
    return job, ticket(connection, row["id"])


# One hole ----------------------------------------------------------------------------------------


def hole(connection: sqlite3.Connection, hole_id: int) -> HoleRow | None:
    """One hole as the lists show it."""
    rows = _ask(connection, f"SELECT * FROM ({_HOLES}) WHERE id = ?", hole_id)
    return _hole_row(rows[0], open_arc_ms(connection, hole_id)[hole_id]) if rows else None


def ticket(connection: sqlite3.Connection, hole_id: int) -> Ticket:
    """The ticket in force."""
    rows = _ask(
        connection, "SELECT body FROM tickets WHERE hole_id = ? ORDER BY id DESC LIMIT 1", hole_id
    )
    with _of_hole(hole_id, "the ticket"):
        return Ticket.model_validate_json(rows[0]["body"])


def plan(connection: sqlite3.Connection, hole_id: int) -> tuple[Plan, str] | None:
    """The plan in force and the aim of its tracker as JSON."""
    rows = _ask(
        connection,
        "SELECT body, aim FROM plans WHERE hole_id = ? ORDER BY id DESC LIMIT 1",
        hole_id,
    )
    if not rows:
        return None
    with _of_hole(hole_id, "the plan"):
        return Plan.model_validate_json(rows[0]["body"]), str(rows[0]["aim"])


def plan_id(connection: sqlite3.Connection, hole_id: int) -> int | None:
    """The id of the plan in force."""
    (row,) = _ask(connection, "SELECT max(id) AS id FROM plans WHERE hole_id = ?", hole_id)
    return None if row["id"] is None else int(row["id"])


def outcome_id(connection: sqlite3.Connection, hole_id: int) -> int | None:
    """The id of the outcome in force."""
    (row,) = _ask(connection, "SELECT max(id) AS id FROM outcomes WHERE hole_id = ?", hole_id)
    return None if row["id"] is None else int(row["id"])


def without_tally(connection: sqlite3.Connection, most: int) -> list[int]:
    """Holes that were burnt and closed, and whose tally nobody has made out yet."""
    rows = _ask(
        connection,
        "SELECT DISTINCT o.hole_id FROM outcomes o WHERE o.outcome <> ?1 "
        "AND EXISTS (SELECT 1 FROM plans p WHERE p.hole_id = o.hole_id) "
        "AND NOT EXISTS (SELECT 1 FROM tallies t WHERE t.hole_id = o.hole_id) "
        "AND NOT EXISTS (SELECT 1 FROM outcomes n WHERE n.hole_id = o.hole_id AND n.id > o.id) "
        "ORDER BY o.hole_id LIMIT ?2",
        Result.LATER,
        most,
    )
    return [int(row["hole_id"]) for row in rows]


def tally(connection: sqlite3.Connection, hole_id: int) -> Tally | None:
    """What a hole came to; None until it is closed."""
    rows = _ask(
        connection, "SELECT * FROM tallies WHERE hole_id = ? ORDER BY id DESC LIMIT 1", hole_id
    )
    with _of_hole(hole_id, "the price"):
        return _tally(rows[0]) if rows else None


def _tally(row: sqlite3.Row) -> Tally:
    return Tally(
        hole_id=row["hole_id"],
        outcome_id=row["outcome_id"],
        plan_id=row["plan_id"],
        kind=row["kind"],
        material=row["material"],
        hard_metal=bool(row["hard_metal"]),
        electrode=row["electrode"],
        electrode_mm=row["electrode_um"] / 1000,
        electrodes=row["electrodes"],
        arc_s=row["arc_ms"] / 1000,
        depth_mm=_mm(row["depth_um"]),
        depth_sd_mm=_mm(row["depth_sd_um"]),
        burnt_mm=_mm(row["burnt_um"]),
        worn_mm=_mm(row["worn_um"]),
        area_mm2=row["area_mm2"],
        amps=row["amps"],
        amps_said=bool(row["amps_said"]),
        wear_ratio=row["wear_ratio"],
        wear_ratio_sd=row["wear_ratio_sd"],
        price=None if row["price"] is None else Decimal(row["price"]),
        currency=row["currency"],
    )


def width_mm(connection: sqlite3.Connection, hole_id: int) -> float | None:
    """How wide the burnt hole was measured last, mm; None where nobody did."""
    rows = _ask(
        connection,
        "SELECT width_um FROM widths WHERE hole_id = ? ORDER BY id DESC LIMIT 1",
        hole_id,
    )
    return rows[0]["width_um"] / 1000 if rows else None


def plans(connection: sqlite3.Connection, hole_id: int) -> dict[int, Plan]:
    """Every plan that was accepted for a hole, by its id."""
    rows = _ask(connection, "SELECT id, body FROM plans WHERE hole_id = ? ORDER BY id", hole_id)
    with _of_hole(hole_id, "a plan"):
        return {row["id"]: Plan.model_validate_json(row["body"]) for row in rows}


def overrides(connection: sqlite3.Connection, hole_id: int) -> list[Override]:
    """The overrides in force for a hole: the last word on each figure, unless it was taken back."""
    rows = _ask(
        connection,
        "SELECT o.figure, o.value, s.operator, o.at_utc, o.why FROM overrides o "
        "JOIN shifts s ON s.id = o.shift_id WHERE o.value IS NOT NULL AND o.id IN "
        "(SELECT max(id) FROM overrides WHERE hole_id = ? GROUP BY figure) ORDER BY o.id",
        hole_id,
    )
    with _of_hole(hole_id, "an overruled figure"):
        return [
            Override(
                figure=row["figure"],
                value=_VALUE.validate_json(row["value"]),
                who=row["operator"],
                at_utc=row["at_utc"],
                why=row["why"],
            )
            for row in rows
        ]


def page(connection: sqlite3.Connection, hole_id: int) -> HolePage | None:
    """Everything about one hole; None if there is no such hole."""
    row = hole(connection, hole_id)
    if row is None:
        return None
    planned = plan(connection, hole_id)
    return HolePage(
        row=row,
        ticket=ticket(connection, hole_id),
        plan=planned and planned[0],
        checks=tuple(hole_checks(connection, hole_id)),
        burns=tuple(burns(connection, hole_id)),
        calls=tuple(_calls(connection, hole_id)),
        centres=tuple(centres(connection, hole_id)),
        notes=tuple(notes(connection, hole_id)),
        outcomes=tuple(_outcomes(connection, hole_id)),
        zeroed_again=zeroed_again(connection, hole_id),
        hands=desk.hands(connection, hole_id),
        tally=tally(connection, hole_id),
        width_mm=width_mm(connection, hole_id),
        corrections=_corrections(connection, hole_id),
        marks=tuple(marked(connection, hole_id)),
    )


def _corrections(connection: sqlite3.Connection, hole_id: int) -> tuple[Correction, ...]:
    with _of_hole(hole_id, "an earlier ticket"):
        return corrections(connection, hole_id)


def step_before(connection: sqlite3.Connection, hole_id: int) -> str:
    """The step that a hole came from to the one where it stands; empty if it came from none."""
    rows = _ask(
        connection,
        "SELECT step FROM steps WHERE hole_id = ? ORDER BY id DESC LIMIT 1 OFFSET 1",
        hole_id,
    )
    return str(rows[0]["step"]) if rows else ""


def answered_at_step(connection: sqlite3.Connection, hole_id: int) -> set[str]:
    """The checks of a hole that were answered since it came to the step where it stands."""
    rows = _ask(
        connection,
        "SELECT item FROM checks WHERE hole_id = ?1 AND id > (SELECT coalesce(check_id, 0) "
        "FROM steps WHERE hole_id = ?1 ORDER BY id DESC LIMIT 1)",
        hole_id,
    )
    return {str(row["item"]) for row in rows}


def jobs_since(connection: sqlite3.Connection, hole_id: int) -> set[int]:
    """The jobs of the other holes that were in hand, their plan accepted, since this one was."""
    rows = _ask(
        connection,
        "SELECT DISTINCT h.job_id FROM sittings s JOIN holes h ON h.id = s.hole_id "
        "WHERE s.hole_id != ?1 AND s.id > (SELECT max(id) FROM sittings WHERE hole_id = ?1)",
        hole_id,
    )
    return {int(row["job_id"]) for row in rows}


def sittings(connection: sqlite3.Connection, hole_id: int) -> list[tuple[float, str | None]]:
    """When each sitting began on the hole's clock, s, and its gauge; an old log knows no gauge."""
    rows = _ask(
        connection, "SELECT t_ms, gauge FROM sittings WHERE hole_id = ? ORDER BY id", hole_id
    )
    return [(row["t_ms"] / 1000, row["gauge"]) for row in rows]


def is_electrode_marked(connection: sqlite3.Connection, hole_id: int) -> bool:
    """Whether another electrode was marked since the hole came to the step where it stands."""
    rows = _ask(
        connection,
        "SELECT 1 FROM changes WHERE hole_id = ?1 AND mark = ?2 AND check_id > (SELECT "
        "coalesce(check_id, 0) FROM steps WHERE hole_id = ?1 ORDER BY id DESC LIMIT 1)",
        hole_id,
        MarkKind.ELECTRODE,
    )
    return bool(rows)


def zeroed_again(connection: sqlite3.Connection, hole_id: int) -> int:
    """How often the electrode was zeroed again after a burn, without another one being put in.

    The log marks it as another electrode, which it is for the depth; the step tells the two apart.
    """
    rows = _ask(
        connection,
        "SELECT (SELECT step FROM steps s WHERE s.hole_id = ?1 AND "
        "coalesce(s.check_id, 0) < coalesce(c.check_id, 0) ORDER BY s.id DESC LIMIT 1) AS step "
        "FROM changes c WHERE c.hole_id = ?1 AND c.mark = ?2 AND c.seq > "
        "(SELECT min(seq) FROM marks WHERE hole_id = ?1 AND mark = ?3)",
        hole_id,
        MarkKind.ELECTRODE,
        MarkKind.START,
    )
    return sum(row["step"] == desk.ZEROED_AGAIN for row in rows)


def has_new_spot(connection: sqlite3.Connection, hole_id: int) -> bool:
    """Whether a pilot burn was begun since the last look at a spot."""
    rows = _ask(
        connection,
        "SELECT 1 FROM burns WHERE hole_id = ?1 AND kind = ?2 AND id > coalesce((SELECT burn_id "
        "FROM centres WHERE hole_id = ?1 ORDER BY id DESC LIMIT 1), 0)",
        hole_id,
        BurnKind.PILOT,
    )
    return bool(rows)


def hole_checks(connection: sqlite3.Connection, hole_id: int) -> list[CheckRow]:
    """The checks of a hole, in the order they were answered."""
    return _checks(connection, "c.hole_id = ?", hole_id)


def _checks(connection: sqlite3.Connection, where: str, value: int) -> list[CheckRow]:
    rows = _ask(
        connection,
        "SELECT c.at_utc, s.operator, c.item, c.title, c.result, c.word, c.plan_id, "
        "NOT EXISTS (SELECT 1 FROM reopened r WHERE r.check_id = c.id) AS holds FROM checks c "
        f"JOIN shifts s ON s.id = c.shift_id WHERE {where} ORDER BY c.id",
        value,
    )
    return [
        CheckRow(**{**dict(row), "result": CheckResult(row["result"]), "holds": bool(row["holds"])})
        for row in rows
    ]


def burns(connection: sqlite3.Connection, hole_id: int) -> list[BurnRow]:
    """The burns of a hole in order; one without an end is open, or was cut short."""
    rows = _ask(
        connection,
        "SELECT b.id, b.kind, b.at_utc, b.t_ms, b.switched_by AS started_by, e.t_ms AS end_ms, "
        "e.how, e.switched_by AS ended_by FROM burns b "
        "LEFT JOIN burn_ends e ON e.burn_id = b.id WHERE b.hole_id = ? ORDER BY b.id",
        hole_id,
    )
    return [
        BurnRow(
            id=row["id"],
            kind=BurnKind(row["kind"]),
            at_utc=row["at_utc"],
            start_s=row["t_ms"] / 1000,
            end_s=None if row["end_ms"] is None else row["end_ms"] / 1000,
            how=row["how"],
            started_by=row["started_by"],
            ended_by=row["ended_by"],
        )
        for row in rows
    ]


def events(connection: sqlite3.Connection, hole_id: int) -> list[tuple[int, Reading | Mark]]:
    """The hole's readings and marks in the order the tracker saw them, each with its place."""
    live = _live_events(connection, hole_id)
    folded = [(seq, _reading(t_ms, um)) for seq, t_ms, um in _folded(connection, hole_id)]
    return sorted(folded + live, key=itemgetter(0)) if folded else live


def _folded(connection: sqlite3.Connection, hole_id: int) -> Iterator[Row]:
    sql = "SELECT body FROM traces WHERE hole_id = ? ORDER BY first_seq"
    for row in _ask(connection, sql, hole_id):
        with _of_hole(hole_id, "the trace"):
            yield from unfold(row["body"])


def _live_events(connection: sqlite3.Connection, hole_id: int) -> list[tuple[int, Reading | Mark]]:
    rows = _ask(
        connection,
        "SELECT seq, t_ms, travel_um, NULL AS mark, NULL AS value_um FROM readings "
        "WHERE hole_id = ?1 UNION ALL "
        "SELECT m.seq, m.t_ms, NULL, iif(m.mark = ?2 AND EXISTS (SELECT 1 FROM burn_ends e "
        "JOIN burns b ON b.id = e.burn_id WHERE b.hole_id = ?1 AND e.t_ms = m.t_ms AND e.how = ?3),"
        " ?4, m.mark), m.value_um FROM marks m WHERE m.hole_id = ?1 UNION ALL "
        "SELECT seq, t_ms, NULL, mark, value_um FROM changes WHERE hole_id = ?1 ORDER BY seq",
        hole_id,
        MarkKind.STOP,
        BurnEnd.CUT_SHORT,
        MarkKind.UNSEEN,
    )
    return [(row["seq"], _event(row)) for row in rows]


def _event(row: sqlite3.Row) -> Reading | Mark:
    if row["mark"] is None:
        return _reading(row["t_ms"], row["travel_um"])
    return Mark(row["t_ms"] / 1000, MarkKind(row["mark"]), _mm(row["value_um"]))


def _reading(t_ms: int, travel_um: int) -> Reading:
    return Reading(t_ms / 1000, travel_um / 1000)


def _calls(connection: sqlite3.Connection, hole_id: int) -> list[CallRow]:
    rows = _ask(
        connection,
        "SELECT at_utc, t_ms, call, depth_um, text FROM calls WHERE hole_id = ? ORDER BY id",
        hole_id,
    )
    return [
        CallRow(row["at_utc"], row["t_ms"] / 1000, row["call"], _mm(row["depth_um"]), row["text"])
        for row in rows
    ]


def centres(connection: sqlite3.Connection, hole_id: int) -> list[CentreRow]:
    """The centre checks of a hole in order."""
    rows = _ask(
        connection,
        "SELECT at_utc, across_um, along_um, verdict FROM centres WHERE hole_id = ? ORDER BY id",
        hole_id,
    )
    return [
        CentreRow(row["at_utc"], row["across_um"] / 1000, row["along_um"] / 1000, row["verdict"])
        for row in rows
    ]


def spot_before(connection: sqlite3.Connection, hole_id: int) -> tuple[float, float] | None:
    """Where the spot before the one of the last burn sat (across, along; mm), if there was one."""
    rows = _ask(
        connection,
        "SELECT across_um, along_um FROM centres WHERE hole_id = ?1 AND coalesce(burn_id, 0) < "
        "(SELECT max(id) FROM burns WHERE hole_id = ?1) ORDER BY id DESC LIMIT 1",
        hole_id,
    )
    return (rows[0]["across_um"] / 1000, rows[0]["along_um"] / 1000) if rows else None


def notes(connection: sqlite3.Connection, hole_id: int) -> list[NoteRow]:
    """The notes on a hole, oldest first; those that were corrected as they are now."""
    rows = _ask(
        connection,
        "SELECT n.id, n.at_utc, s.operator, n.text FROM notes n JOIN shifts s ON s.id = n.shift_id "
        "WHERE n.hole_id = ? AND n.id NOT IN (SELECT corrects FROM notes WHERE hole_id = n.hole_id "
        "AND corrects IS NOT NULL) ORDER BY n.id",
        hole_id,
    )
    return [NoteRow(**dict(row)) for row in rows]


def _outcomes(connection: sqlite3.Connection, hole_id: int) -> list[OutcomeRow]:
    rows = _ask(
        connection,
        "SELECT o.*, s.operator FROM outcomes o JOIN shifts s ON s.id = o.shift_id "
        "WHERE o.hole_id = ? ORDER BY o.id",
        hole_id,
    )
    return [
        OutcomeRow(
            row["id"],
            row["at_utc"],
            row["operator"],
            Outcome(
                Result(row["outcome"]),
                row["chased"],
                row["gauged"],
                row["bottom"],
                row["marked"],
                row["why"],
            ),
            is_correction=row["correction"] is not None,
        )
        for row in rows
    ]
