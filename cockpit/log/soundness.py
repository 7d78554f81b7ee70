"""Whether a log is sound: what is damaged, where, and how to mend it.

SQLite's own checks come first, since nothing else can be trusted where they fail; then what no
database can know: that a trace has all its readings, and a burn its end after its beginning.
"""

from __future__ import annotations

import math
import sqlite3
from collections.abc import Callable, Collection, Iterator, Sequence
from contextlib import closing, suppress
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from typing import Final

from pydantic import TypeAdapter, ValidationError

from cockpit.burn.aim import Aim
from cockpit.burn.calls import CallKind
from cockpit.burn.reading import FARTHEST_MM
from cockpit.log import schema
from cockpit.log.folding import FoldError, unfold
from cockpit.trade.centring import CentreVerdict
from cockpit.trade.figures import Value
from cockpit.trade.plan import Plan
from cockpit.trade.ticket import Ticket

#: No more faults of one kind than this are told.
TOLD: Final = 3

#: No figure of a burn is as great as this; a number without end is.
GREATEST: Final = 1e12

#: What a rule finds is a sentence without its end: what is wrong, and where.
RULES: Final = {
    "holes": (
        """SELECT 'hole ' || id || ' has no ticket' FROM holes
            WHERE id NOT IN (SELECT hole_id FROM tickets)""",
        """SELECT 'hole ' || id || ' stands at no step' FROM holes
            WHERE id NOT IN (SELECT hole_id FROM steps)""",
        """SELECT 'ticket ' || t.id || ' corrects one of another hole or a later one'
             FROM tickets t JOIN tickets o ON o.id = t.corrects
            WHERE o.hole_id <> t.hole_id OR o.id >= t.id""",
        """SELECT 'outcome ' || t.id || ' corrects one of another hole or a later one'
             FROM outcomes t JOIN outcomes o ON o.id = t.corrects
            WHERE o.hole_id <> t.hole_id OR o.id >= t.id""",
    ),
    "corrections": tuple(
        f"""SELECT '{table} row ' || t.id || ' corrects one of another {of} or a later one'
              FROM {table} t JOIN {table} o ON o.id = t.corrects
             WHERE o.{of}_id <> t.{of}_id OR o.id >= t.id"""
        for table, of in (
            ("overrides", "hole"),
            ("notes", "hole"),
            ("widths", "hole"),
            ("set_aside", "hole"),
            ("job_corrections", "job"),
        )
    ),
    "tallies": (
        """SELECT 'tally ' || t.id || ' of hole ' || t.hole_id || ' is of another one''s outcome'
             FROM tallies t JOIN outcomes o ON o.id = t.outcome_id WHERE o.hole_id <> t.hole_id""",
        """SELECT 'tally ' || id || ' of hole ' || hole_id || ' holds a price that is none'
             FROM tallies WHERE price IS NOT NULL AND
                  (price GLOB '*[^0-9.]*' OR price NOT GLOB '[0-9]*.[0-9][0-9]'
                   OR price GLOB '*.*.*')""",
        # A plan learns from these: of a number that can't be there is no logarithm.
        f"""SELECT 'tally ' || id || ' of hole ' || hole_id || ' holds a figure that can''t be'
             FROM tallies WHERE NOT (electrode_um > 0 AND electrodes >= 0 AND arc_ms >= 0
                  AND coalesce(depth_sd_um, 0) >= 0 AND coalesce(wear_ratio_sd, 1) > 0
                  AND (wear_ratio IS NULL) = (wear_ratio_sd IS NULL)
                  AND coalesce(area_mm2, 1) > 0 AND coalesce(area_mm2, 1) < {GREATEST:g}
                  AND coalesce(amps, 1) >= 0 AND coalesce(amps, 1) < {GREATEST:g}
                  AND abs(coalesce(wear_ratio, 0)) < {GREATEST:g}
                  AND coalesce(wear_ratio_sd, 1) < {GREATEST:g})""",
    ),
    "burns": (
        """SELECT 'burn ' || b.id || ' of hole ' || b.hole_id || ' ends before it begins'
             FROM burns b JOIN burn_ends e ON e.burn_id = b.id WHERE e.t_ms < b.t_ms""",
        """SELECT 'burn ' || b.id || ' of hole ' || b.hole_id || ' begins without its mark'
             FROM burns b WHERE NOT EXISTS (
               SELECT 1 FROM marks m
                WHERE m.hole_id = b.hole_id AND m.mark = 'start' AND m.t_ms = b.t_ms)""",
        """SELECT 'burn ' || b.id || ' of hole ' || b.hole_id || ' ends without its mark'
             FROM burns b JOIN burn_ends e ON e.burn_id = b.id WHERE NOT EXISTS (
               SELECT 1 FROM marks m
                WHERE m.hole_id = b.hole_id AND m.mark = 'stop' AND m.t_ms = e.t_ms)""",
        """SELECT 'hole ' || m.hole_id || ' has a start of the arc that belongs to no burn'
             FROM marks m WHERE m.mark = 'start' AND NOT EXISTS (
               SELECT 1 FROM burns b WHERE b.hole_id = m.hole_id AND b.t_ms = m.t_ms)""",
        """SELECT 'burn ' || b.id || ' of hole ' || b.hole_id || ' has no end, and others followed'
             FROM burns b WHERE b.id NOT IN (SELECT burn_id FROM burn_ends)
              AND EXISTS (SELECT 1 FROM burns n WHERE n.hole_id = b.hole_id AND n.id > b.id)""",
        """SELECT 'the marks of hole ' || hole_id || ' start and stop the arc out of turn'
             FROM (SELECT hole_id, mark,
                          lag(mark, 1, 'stop') OVER (PARTITION BY hole_id ORDER BY seq) AS earlier
                     FROM marks WHERE mark IN ('start', 'stop'))
            WHERE mark = earlier GROUP BY hole_id""",
    ),
}


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong and where, and whether the cockpit itself can put it right."""

    what: str
    can_mend: bool = False


Check = Callable[[sqlite3.Connection], Iterator[Fault]]


#: Where these are at fault, nothing that rests on them can be looked at, or relied on.
GROUND: Final = ("pages", "tables")


def checks(steps: Collection[str]) -> dict[str, Check]:
    """Everything that is looked at, by name, in an order in which each rests on those before."""
    return {
        "pages": _pages,
        "tables": _tables,
        "references": _references,
        "dates": _dates,
        "words": _words,
        "tickets and plans": _bodies,
        "steps": lambda connection: _steps(connection, steps),
        **{name: _by_rule(rules) for name, rules in RULES.items()},
        "traces": _traces,
    }


def faults(
    connection: sqlite3.Connection, steps: Collection[str]
) -> Iterator[tuple[str, list[Fault]]]:
    """Check after check: its name, and the first few faults it found. Ends where nothing helps.

    ``steps``: the names of the steps that there are.
    """
    for name, check in checks(steps).items():
        found: list[Fault] = []
        try:
            for fault in check(connection):
                found.append(fault)
                if len(found) == TOLD:
                    break
        except sqlite3.DatabaseError as error:
            found.append(Fault(f"can't be read ({error})"))
        yield name, found
        if name in GROUND and not all(one.can_mend for one in found):
            return


def mend(connection: sqlite3.Connection) -> None:
    """Put right what needs no other copy: indexes are made anew, guards and indexes put back.

    Whoever calls this holds the log's lock, and has made a copy. Raises sqlite3.Error.
    """
    connection.execute("REINDEX")
    for kind, name, made in _missing(connection):
        if kind in ("index", "trigger"):
            connection.execute(made)
        elif kind in ("changed index", "changed trigger"):
            connection.execute(f"DROP {kind.removeprefix('changed ')} {name}")
            connection.execute(made)


def _pages(connection: sqlite3.Connection) -> Iterator[Fault]:
    """SQLite's own look at every page, row and index."""
    for (said,) in connection.execute("PRAGMA integrity_check(10)"):
        if said != "ok":
            # "row 3 missing from index a", "wrong # of entries in index a": the rows are all there.
            of_index = " index " in said and "Tree" not in said and "page" not in said.lower()
            yield Fault(" ".join(said.split()), can_mend=of_index)


def _tables(connection: sqlite3.Connection) -> Iterator[Fault]:
    """Whether tables, indexes and guards are what this version makes them."""
    for kind, name, _ in _missing(connection):
        if kind == "trigger":
            yield Fault(f"the guard {name}, which keeps rows as they are, is gone", can_mend=True)
        elif kind in ("changed index", "changed trigger"):
            yield Fault(f"the {kind.removeprefix('changed ')} {name} is another", can_mend=True)
        elif kind == "index":
            yield Fault(f"the index {name} is gone", can_mend=True)
        else:
            yield Fault(f"the {kind} {name} is not what this version of the log has")


def _missing(connection: sqlite3.Connection) -> Iterator[tuple[str, str, str]]:
    """What is not as a new log has it: its kind, name, and the SQL that makes it."""
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as new:
        schema.migrate(new)
        wanted, there = _objects(new), _objects(connection)
    for (kind, name), made in wanted.items():
        if (kind, name) not in there:
            yield kind, name, made
        elif " ".join(there[kind, name].split()) != " ".join(made.split()):
            yield (kind if kind == "table" else f"changed {kind}"), name, made
    for kind, name in there:
        if kind == "trigger" and (kind, name) not in wanted:
            yield "unknown trigger", name, ""


def _objects(connection: sqlite3.Connection) -> dict[tuple[str, str], str]:
    rows = connection.execute("SELECT type, name, sql FROM sqlite_schema WHERE sql IS NOT NULL")
    return {(kind, name): sql for kind, name, sql in rows}


def _references(connection: sqlite3.Connection) -> Iterator[Fault]:
    """Rows that point at others that are not there."""
    for table, row, parent, _ in connection.execute("PRAGMA foreign_key_check"):
        yield Fault(f"row {row} of {table} points at a row of {parent} that is not there")


def _dates(connection: sqlite3.Connection) -> Iterator[Fault]:
    """Every date in ISO 8601, with its offset."""
    for table in schema.tables(connection):
        columns = [row[1] for row in connection.execute(f"PRAGMA table_info({table})")]
        for column in (one for one in columns if one.endswith("_utc")):
            for (text,) in connection.execute(f"SELECT DISTINCT {column} FROM {table}"):
                if not _is_date(text):
                    yield Fault(f"{table} holds {text!r}, which is no date")


def _is_date(text: str) -> bool:
    try:
        return datetime.fromisoformat(text).utcoffset() is not None
    except ValueError:
        return False


def _words(connection: sqlite3.Connection) -> Iterator[Fault]:
    """Text that is UTF-8, and calls by the names this version knows."""
    for table in schema.tables(connection):
        if spoilt := sum(not _is_utf8(row) for row in _as_bytes(connection, table)):
            yield Fault(f"{table} holds bytes that are no text (rows: {spoilt})")
    known = {kind.value for kind in CallKind}
    for hole_id, call in connection.execute("SELECT DISTINCT hole_id, call FROM calls"):
        if call not in known:
            yield Fault(f"hole {hole_id} has a call {call!r}, which there is not")


def _as_bytes(connection: sqlite3.Connection, table: str) -> Iterator[tuple[object, ...]]:
    """The rows of a table, text as the bytes that it is kept as."""
    columns = [row[1] for row in connection.execute(f"PRAGMA table_info({table})")]
    as_blobs = ", ".join(f"iif(typeof({it}) = 'text', CAST({it} AS BLOB), 0)" for it in columns)
    yield from connection.execute(f"SELECT {as_blobs} FROM {table}")


def _is_utf8(row: Sequence[object]) -> bool:
    try:
        for held in row:
            if isinstance(held, bytes):
                held.decode()
    except UnicodeDecodeError:
        return False
    return True


def _steps(connection: sqlite3.Connection, known: Collection[str]) -> Iterator[Fault]:
    """Holes at steps that there are."""
    for hole_id, step in connection.execute("SELECT DISTINCT hole_id, step FROM steps"):
        if step not in known:
            yield Fault(f"hole {hole_id} stands at {step!r}, which is no step")


_MODELS: Final[dict[tuple[str, str], Callable[[str], object]]] = {
    ("tickets", "body"): Ticket.model_validate_json,
    ("plans", "body"): Plan.model_validate_json,
    ("plans", "aim"): TypeAdapter(Aim).validate_json,
    ("centres", "body"): CentreVerdict.model_validate_json,
    ("overrides", "value"): TypeAdapter(Value).validate_json,
}


def _bodies(connection: sqlite3.Connection) -> Iterator[Fault]:
    """What is kept as JSON, read as what it should be; and a ticket's columns say what it says."""
    for (table, column), read in _MODELS.items():
        sql = f"SELECT id, hole_id, {column} FROM {table} WHERE {column} IS NOT NULL"
        for row_id, hole_id, body in connection.execute(sql):
            try:
                read(body)
            except (ValidationError, ValueError):
                what = table[:-1] if column == "body" else f"{column} of {table[:-1]}"
                yield Fault(f"the {what} {row_id} of hole {hole_id} can't be read")
    for what, sql, said in (
        (
            "ticket",
            (
                "SELECT hole_id, body, label, thread, broken, through, depth_um, recess_um "
                "FROM tickets"
            ),
            _of_ticket,
        ),
        ("plan", "SELECT hole_id, body, electrode, target_um, limit_um FROM plans", _of_plan),
    ):
        for hole_id, body, *columns in connection.execute(sql):
            with suppress(ValidationError):
                if said(body) != columns:
                    yield Fault(f"the {what} of hole {hole_id} contradicts itself")


def _of_ticket(body: str) -> list[object]:
    told = Ticket.model_validate_json(body)
    lengths_um = [round(1000 * told.depth_mm), round(1000 * told.recess_mm)]
    return [told.hole, told.thread, told.broken.value, int(told.through), *lengths_um]


def _of_plan(body: str) -> list[object]:
    plan = Plan.model_validate_json(body)
    limit_mm = plan.depth.limit_mm
    limit_um = None if limit_mm is None else round(1000 * limit_mm)
    return [plan.electrode.label, round(1000 * plan.depth.target_mm), limit_um]


def _by_rule(rules: Sequence[str]) -> Check:
    def check(connection: sqlite3.Connection) -> Iterator[Fault]:
        for rule in rules:
            for (what,) in connection.execute(rule):
                yield Fault(what)

    return check


# A hole's readings and marks ---------------------------------------------------------------------


def _traces(connection: sqlite3.Connection) -> Iterator[Fault]:
    """Every reading of every hole: unfolded, all there, in order, and such as can be."""
    for (hole_id,) in connection.execute("SELECT id FROM holes ORDER BY id").fetchall():
        for what in _trace(connection, hole_id):
            yield Fault(f"hole {hole_id}: {what}")


def _trace(connection: sqlite3.Connection, hole_id: int) -> Iterator[str]:
    rows: list[tuple[int, int, int | None]] = []
    for first, last, many, body in connection.execute(
        "SELECT first_seq, last_seq, readings, body FROM traces WHERE hole_id = ?", [hole_id]
    ):
        try:
            stretch = unfold(body)
        except FoldError as error:
            yield f"the readings from {first} to {last} are lost: {error}"
            return
        if (stretch[0][0], stretch[-1][0], len(stretch)) != (first, last, many):
            yield f"the readings from {first} to {last} are not those that were folded"
        rows += stretch
    rows += connection.execute(
        "SELECT seq, t_ms, travel_um FROM readings WHERE hole_id = ?1 UNION ALL "
        "SELECT seq, t_ms, NULL FROM marks WHERE hole_id = ?1 UNION ALL "
        "SELECT seq, t_ms, NULL FROM changes WHERE hole_id = ?1",
        [hole_id],
    ).fetchall()
    rows.sort(key=lambda row: row[0])
    yield from _in_order(rows, _counted_from_ms(connection, hole_id))
    travels = [travel for _, _, travel in rows if travel is not None]
    if travels and max(-min(travels), max(travels)) > 1000 * FARTHEST_MM:
        yield "a reading is farther than any head travels"


def _counted_from_ms(connection: sqlite3.Connection, hole_id: int) -> float:
    """From when on no place is left out: earlier cockpits used one up for what was not kept."""
    sql = "SELECT min(t_ms) FROM sittings WHERE hole_id = ? AND gauge IS NOT NULL"
    (from_ms,) = connection.execute(sql, [hole_id]).fetchone()
    return math.inf if from_ms is None else float(from_ms)


def _in_order(rows: Sequence[tuple[int, int, int | None]], counted_from_ms: float) -> Iterator[str]:
    """``rows``: place, time in ms and what was read, by place."""
    places, times_ms = [row[0] for row in rows], [row[1] for row in rows]
    if len(set(places)) < len(places):
        yield "two readings or marks have the same place"
    counted = [place for place, t_ms, _ in rows if t_ms >= counted_from_ms]
    # One by one: a single damaged place may be as far off as there are numbers.
    gaps = [(before + 1, now - before - 1) for before, now in pairwise(counted) if now > before + 1]
    if gaps:
        missing = sum(many for _, many in gaps)
        yield f"{missing} readings or marks are missing, the first at place {gaps[0][0]}"
    if times_ms != sorted(times_ms):
        yield "time goes back from one reading or mark to the next"
