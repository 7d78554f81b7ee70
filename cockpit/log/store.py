"""Opens the log and writes to it.

What a method of ``Store`` has returned from is on disk (WAL, synchronous FULL), readings apart:
those are collected by the caller and written a few times a second.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import AbstractContextManager, contextmanager
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Self

from cockpit.burn.calls import Call
from cockpit.burn.reading import Mark, Reading
from cockpit.log import schema
from cockpit.log.rows import BurnEnd, BurnKind, CheckResult, Outcome
from cockpit.trade.centring import CentreVerdict
from cockpit.trade.figures import Value
from cockpit.trade.plan import Plan
from cockpit.trade.ticket import Ticket

BUSY_S = 2.0


class LogError(Exception):
    """The log can't be opened or written: one sentence, what, where, what to do."""


def micrometres(mm: float) -> int:
    """Millimetres as the log keeps them.

    >>> micrometres(3.96875)
    3969
    """
    return round(mm * 1000)


def milliseconds(s: float) -> int:
    """Seconds as the log keeps them."""
    return round(s * 1000)


def utc_now() -> datetime:
    """The wall clock."""
    return datetime.now(UTC)


def connect(path: Path) -> sqlite3.Connection:
    """Open the log at ``path``, make it if there is none, bring it up to date. Raises LogError."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        connection = sqlite3.connect(path, timeout=BUSY_S, isolation_level=None)
        # Another program may have written bytes that are no text; one row must not close the log.
        connection.text_factory = lambda written: written.decode(errors="replace")
    except (OSError, sqlite3.Error) as error:
        raise LogError(f"{path}: the log can't be opened ({error}); check the folder.") from error
    try:
        _accept(path, connection)
    except sqlite3.OperationalError as error:
        connection.close()
        raise LogError(
            f"{path}: the log can't be used ({error}); it was left as it is. "
            "Check the disk, the folder, and whether another program holds it."
        ) from error
    except sqlite3.Error as error:
        connection.close()
        raise LogError(
            f"{path}: is not a log that can be read ({error}); it was left as it is. "
            "Move it aside or name another folder with --data."
        ) from error
    except LogError:
        connection.close()
        raise
    return connection


def _accept(path: Path, connection: sqlite3.Connection) -> None:
    """Refuse what is not ours or newer than us, before anything is written."""
    version = schema.version_of(connection)
    owner = int(connection.execute("PRAGMA application_id").fetchone()[0])
    if owner != schema.APPLICATION_ID and (version or schema.tables(connection)):
        raise LogError(
            f"{path}: is a database of another program; it was left as it is. "
            "Name another folder with --data."
        )
    if version > schema.VERSION:
        raise LogError(
            f"{path}: was written by a newer cockpit (log version {version}, this one knows "
            f"{schema.VERSION}); it was left as it is. Update the cockpit."
        )
    # Without recursive triggers an INSERT OR REPLACE would delete behind the triggers' back.
    for pragma in ("synchronous = FULL", "foreign_keys = ON", "recursive_triggers = ON"):
        connection.execute(f"PRAGMA {pragma}")
    connection.execute("PRAGMA journal_mode = WAL")
    schema.migrate(connection)


class Store(AbstractContextManager["Store"]):
    """The writing side of the log. ``now`` gives the date of each row."""

    def __init__(self, path: Path, now: Callable[[], datetime] = utc_now) -> None:
        """Open or make the log at ``path``. Raises LogError."""
        self.path = path
        self.connection = connect(path)
        self._now = now

    def close(self) -> None:
        """Close the file; everything is on disk already."""
        self.connection.close()

    def __enter__(self) -> Self:
        """Open for the length of a with-block."""
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        at: TracebackType | None,
    ) -> None:
        """Close at the end of it."""
        self.close()

    # Shifts, jobs, holes -------------------------------------------------------------------------

    def open_shift(self, operator: str, machine: str, gauge: str) -> int:
        """Begin a shift; return its id."""
        return self._add(
            "shifts", began_utc=self._utc(), operator=operator, machine=machine, gauge=gauge
        )

    def close_shift(self, shift_id: int, handover: str = "") -> None:
        """End a shift with a note for the next one."""
        self._add("shift_ends", shift_id=shift_id, at_utc=self._utc(), handover=handover)

    def add_job(self, shift_id: int, customer: str, reference: str, part: str) -> int:
        """Take in a part; return the job's id."""
        return self._happened("jobs", shift_id, customer=customer, reference=reference, part=part)

    def add_hole(self, shift_id: int, job_id: int, ticket: Ticket, step: str) -> int:
        """Take in a hole with its ticket; return the hole's id."""
        with self._transaction():
            number = self._one(
                "SELECT coalesce(max(number), 0) + 1 FROM holes WHERE job_id = ?", job_id
            )
            hole_id = self._happened("holes", shift_id, job_id=job_id, number=number)
            self._add_ticket(shift_id, hole_id, ticket, corrects=None)
            self._happened("steps", shift_id, hole_id=hole_id, step=step)
        return hole_id

    def correct_ticket(
        self, shift_id: int, hole_id: int, ticket: Ticket, taken_back: Iterable[str] = ()
    ) -> None:
        """A new ticket for the hole; the old one stays and is pointed at.

        Overrides of the figures ``taken_back`` were for the old one, and go with it.
        """
        with self._transaction():
            last = self._one("SELECT max(id) FROM tickets WHERE hole_id = ?", hole_id)
            self._add_ticket(shift_id, hole_id, ticket, corrects=last)
            for figure in taken_back:
                self.add_override(shift_id, hole_id, figure, None, "the ticket was corrected")

    def _add_ticket(
        self, shift_id: int, hole_id: int, ticket: Ticket, corrects: int | None
    ) -> None:
        self._happened(
            "tickets",
            shift_id,
            hole_id=hole_id,
            corrects=corrects,
            label=ticket.hole,
            thread=ticket.thread,
            broken=ticket.broken.value,
            through=int(ticket.through),
            depth_um=micrometres(ticket.depth_mm),
            recess_um=micrometres(ticket.recess_mm),
            body=ticket.model_dump_json(),
        )

    def add_plan(self, shift_id: int, hole_id: int, plan: Plan, aim: str) -> None:
        """The plan that the hole is burnt by, and the aim of its tracker as JSON."""
        limit_mm = plan.depth.limit_mm
        self._happened(
            "plans",
            shift_id,
            hole_id=hole_id,
            ticket_id=self._one("SELECT max(id) FROM tickets WHERE hole_id = ?", hole_id),
            electrode=plan.electrode.label,
            target_um=micrometres(plan.depth.target_mm),
            limit_um=None if limit_mm is None else micrometres(limit_mm),
            aim=aim,
            body=plan.model_dump_json(),
        )

    def add_override(
        self, shift_id: int, hole_id: int, figure: str, value: Value | None, why: str
    ) -> None:
        """A person put ``value`` in place of a figure of the plan; None takes that back."""
        last = self._one(
            "SELECT max(id) FROM overrides WHERE hole_id = ? AND figure = ?", hole_id, figure
        )
        self._happened(
            "overrides",
            shift_id,
            hole_id=hole_id,
            corrects=last,
            figure=figure,
            value=None if value is None else json.dumps(value),
            why=why,
        )

    def add_step(self, shift_id: int, hole_id: int, step: str) -> None:
        """The hole stands at this step now."""
        self._happened("steps", shift_id, hole_id=hole_id, step=step)

    def add_check(
        self,
        shift_id: int,
        hole_id: int | None,
        item: str,
        title: str,
        result: CheckResult,
        word: str = "",
    ) -> None:
        """A check was answered, for the plan in force; ``hole_id`` is None for the daily ones."""
        self._happened(
            "checks",
            shift_id,
            hole_id=hole_id,
            plan_id=self._one("SELECT max(id) FROM plans WHERE hole_id = ?", hole_id),
            item=item,
            title=title,
            result=result,
            word=word,
        )

    def reopen_check(self, shift_id: int, hole_id: int | None, item: str) -> None:
        """Somebody stepped back to a check: its answers so far no longer hold.

        ``hole_id`` is None for a daily check, of this shift.
        """
        with self._writing():
            self.connection.execute(
                "INSERT INTO reopened (check_id, shift_id, at_utc) "
                "SELECT id, :shift, :at FROM checks WHERE item = :item AND hole_id IS :hole "
                "AND (hole_id IS NOT NULL OR shift_id = :shift) "
                "AND id NOT IN (SELECT check_id FROM reopened)",
                {"shift": shift_id, "hole": hole_id, "item": item, "at": self._utc()},
            )

    # The burn ----------------------------------------------------------------------------------

    def add_sitting(self, shift_id: int, hole_id: int, t_s: float) -> None:
        """The hole's clock runs again from ``t_s``, at this date."""
        self._happened("sittings", shift_id, hole_id=hole_id, t_ms=milliseconds(t_s))

    def open_burn(self, shift_id: int, hole_id: int, kind: BurnKind, seq: int, mark: Mark) -> int:
        """The arc clock starts: the burn and its mark together; return the burn's id."""
        with self._transaction():
            self._add_mark(shift_id, hole_id, seq, mark)
            return self._happened(
                "burns", shift_id, hole_id=hole_id, t_ms=milliseconds(mark.t_s), kind=kind
            )

    def close_burn(
        self, shift_id: int, hole_id: int, burn_id: int, how: BurnEnd, seq: int, mark: Mark
    ) -> None:
        """The arc clock stops: the burn's end and its mark together."""
        with self._transaction():
            self._add_mark(shift_id, hole_id, seq, mark)
            self._add(
                "burn_ends",
                burn_id=burn_id,
                at_utc=self._utc(),
                t_ms=milliseconds(mark.t_s),
                how=how,
            )

    def add_mark(self, shift_id: int, hole_id: int, seq: int, mark: Mark) -> None:
        """A measurement that the operator made, another electrode, or another spot."""
        self._add_mark(shift_id, hole_id, seq, mark)

    def _add_mark(self, shift_id: int, hole_id: int, seq: int, mark: Mark) -> None:
        value_um = None if mark.value_mm is None else micrometres(mark.value_mm)
        self._happened(
            "changes" if mark.changes else "marks",
            shift_id,
            hole_id=hole_id,
            seq=seq,
            t_ms=milliseconds(mark.t_s),
            mark=mark.kind,
            value_um=value_um,
        )

    def add_readings(self, hole_id: int, readings: Iterable[tuple[int, Reading]]) -> None:
        """A batch of readings, each with its place among the hole's events."""
        rows = [
            (hole_id, seq, milliseconds(reading.t_s), micrometres(reading.travel_mm))
            for seq, reading in readings
        ]
        with self._transaction(), self._writing():
            self.connection.executemany("INSERT INTO readings VALUES (?, ?, ?, ?)", rows)

    def add_calls(self, shift_id: int, hole_id: int, calls: Sequence[Call]) -> None:
        """Calls as they were raised."""
        with self._transaction():
            for call in calls:
                depth_um = None if call.depth_mm is None else micrometres(call.depth_mm)
                self._happened(
                    "calls",
                    shift_id,
                    hole_id=hole_id,
                    t_ms=milliseconds(call.t_s),
                    call=call.kind,
                    depth_um=depth_um,
                    text=call.text,
                )

    # After the burn ----------------------------------------------------------------------------

    def add_centre(self, shift_id: int, hole_id: int, verdict: CentreVerdict) -> None:
        """Where the pilot burn sat."""
        self._happened(
            "centres",
            shift_id,
            hole_id=hole_id,
            across_um=micrometres(verdict.across_mm),
            along_um=micrometres(verdict.along_mm),
            verdict=verdict.verdict,
            body=verdict.model_dump_json(),
        )

    def add_note(self, shift_id: int, hole_id: int, text: str) -> None:
        """A note in the operator's words."""
        self._happened("notes", shift_id, hole_id=hole_id, text=text)

    def add_outcome(self, shift_id: int, hole_id: int, outcome: Outcome) -> None:
        """How the hole ended; a later outcome points at the one it corrects."""
        self._happened(
            "outcomes",
            shift_id,
            hole_id=hole_id,
            corrects=self._one("SELECT max(id) FROM outcomes WHERE hole_id = ?", hole_id),
            outcome=outcome.result,
            chased=outcome.chased,
            gauged=outcome.gauged,
            bottom=outcome.bottom,
            marked=outcome.marked,
            why=outcome.why,
        )

    # How rows are written ------------------------------------------------------------------------

    def _happened(self, table: str, shift_id: int, **values: object) -> int:
        return self._add(table, shift_id=shift_id, at_utc=self._utc(), **values)

    def _add(self, table: str, **values: object) -> int:
        columns, places = ", ".join(values), ", ".join("?" * len(values))
        sql = f"INSERT INTO {table} ({columns}) VALUES ({places})"
        with self._writing():
            return int(self.connection.execute(sql, list(values.values())).lastrowid or 0)

    def _one(self, sql: str, *values: object) -> int | None:
        with self._writing():
            found = self.connection.execute(sql, values).fetchone()[0]
        return None if found is None else int(found)

    def _utc(self) -> str:
        return self._now().isoformat(timespec="milliseconds")

    @contextmanager
    def _transaction(self) -> Iterator[None]:
        """All of it or none of it."""
        with self._writing():
            self.connection.execute("BEGIN IMMEDIATE")
        try:
            yield
            with self._writing():
                self.connection.execute("COMMIT")
        except BaseException:
            # A full disk has rolled back already; a commit that failed has not.
            self.connection.rollback()
            raise

    @contextmanager
    def _writing(self) -> Iterator[None]:
        """Say in a sentence that the disk or the file is at fault."""
        try:
            yield
        except sqlite3.IntegrityError:
            # Not the disk's fault but the program's.
            raise
        except sqlite3.DatabaseError as error:
            raise LogError(
                f"{self.path}: the log can't be written ({error}); free the disk or the file, "
                "then go on."
            ) from error
