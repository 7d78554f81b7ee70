"""Writes to the log.

What a method of ``Store`` has returned from is on disk (WAL, synchronous FULL). What happens in a
burn is collected by the caller and written a few times a second, all together or not at all.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import AbstractContextManager, contextmanager
from dataclasses import replace
from datetime import UTC, datetime
from functools import cached_property
from pathlib import Path
from types import TracebackType
from typing import Self

from cockpit.burn.calls import Call
from cockpit.burn.reading import Mark, MarkKind, Reading
from cockpit.log import LogError, backups
from cockpit.log.folding import fold, unfold
from cockpit.log.lock import LogLock
from cockpit.log.opening import open_to_write
from cockpit.log.rows import BurnEnd, BurnKind, CheckResult, Outcome, SwitchedBy, Tally
from cockpit.trade.centring import CentreVerdict
from cockpit.trade.figures import Value
from cockpit.trade.learning import Lesson
from cockpit.trade.plan import Plan
from cockpit.trade.stock import StockEntry
from cockpit.trade.ticket import Ticket

__all__ = ["LogError", "Store"]

#: No more readings than this are folded at once, so that nobody has to wait for it.
FOLD_AT_ONCE = 5_000


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


class Store(AbstractContextManager["Store"]):
    """The writing side of the log. ``now`` gives the date of each row."""

    def __init__(self, path: Path, now: Callable[[], datetime] = utc_now) -> None:
        """Open or make the log at ``path``, which no other may write to then. Raises LogError."""
        self.path = path
        with _said_of(path):
            path.parent.mkdir(parents=True, exist_ok=True)
        self._lock = LogLock(path)
        try:
            self.connection = open_to_write(path)
        except BaseException:
            self._lock.release()
            raise
        self._now = now
        self._depth = 0
        self._file = _file_at(path)

    def close(self) -> None:
        """Close the file and let it go; everything is on disk already."""
        self.connection.close()
        self._lock.release()

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
        with self.together():
            number = self._one(
                "SELECT coalesce(max(number), 0) + 1 FROM holes WHERE job_id = ?", job_id
            )
            hole_id = self._happened("holes", shift_id, job_id=job_id, number=number)
            self._add_ticket(shift_id, hole_id, ticket, corrects=None)
            self._happened("steps", shift_id, hole_id=hole_id, step=step)
        return hole_id

    def correct_job(
        self, shift_id: int, job_id: int, names: tuple[str, str, str], correction: str
    ) -> None:
        """Customer, reference and part of a job as they should have been, and why."""
        last = self._one("SELECT max(id) FROM job_corrections WHERE job_id = ?", job_id)
        customer, reference, part = names
        self._happened(
            "job_corrections",
            shift_id,
            job_id=job_id,
            corrects=last,
            customer=customer,
            reference=reference,
            part=part,
            correction=correction,
        )

    def correct_ticket(
        self,
        shift_id: int,
        hole_id: int,
        ticket: Ticket,
        taken_back: Iterable[str] = (),
        correction: str | None = None,
    ) -> None:
        """A new ticket for the hole, and why; the old one stays and is pointed at.

        Overrides of the figures ``taken_back`` were for the old one, and go with it.
        """
        with self.together():
            last = self._one("SELECT max(id) FROM tickets WHERE hole_id = ?", hole_id)
            self._add_ticket(shift_id, hole_id, ticket, corrects=last, correction=correction)
            for figure in taken_back:
                self.add_override(shift_id, hole_id, figure, None, "the ticket was corrected")

    def _add_ticket(
        self,
        shift_id: int,
        hole_id: int,
        ticket: Ticket,
        corrects: int | None,
        correction: str | None = None,
    ) -> None:
        self._happened(
            "tickets",
            shift_id,
            hole_id=hole_id,
            corrects=corrects,
            correction=correction,
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
        """The hole stands at this step now, after the checks answered so far."""
        answered = self._last_check(hole_id)
        self._happened("steps", shift_id, hole_id=hole_id, step=step, check_id=answered)

    def _last_check(self, hole_id: int) -> int | None:
        """The check of a hole that was answered last: dates don't tell what came before what."""
        return self._one("SELECT max(id) FROM checks WHERE hole_id = ?", hole_id)

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
        self._reopen(shift_id, hole_id, "item = ?4", item)

    def _reopen(self, shift_id: int, hole_id: int | None, where: str, item: str) -> None:
        with self._writing():
            self.connection.execute(
                "INSERT INTO reopened (check_id, shift_id, at_utc) "
                f"SELECT id, ?1, ?2 FROM checks WHERE {where} AND hole_id IS ?3 "
                "AND (hole_id IS NOT NULL OR shift_id = ?1) "
                "AND id NOT IN (SELECT check_id FROM reopened)",
                (shift_id, self._utc(), hole_id, item),
            )

    # The burn ----------------------------------------------------------------------------------

    def add_sitting(
        self, shift_id: int, hole_id: int, t_s: float, gauge: str | None = None
    ) -> None:
        """The hole's clock runs again from ``t_s``, at this date, watched with this gauge."""
        self._happened("sittings", shift_id, hole_id=hole_id, t_ms=milliseconds(t_s), gauge=gauge)

    def open_burn(
        self,
        shift_id: int,
        hole_id: int,
        kind: BurnKind,
        seq: int,
        mark: Mark,
        switched_by: SwitchedBy | None = None,
    ) -> int:
        """The arc clock starts: the burn and its mark together; return the burn's id.

        A clean-out that was done is to be done again: there will be powder.
        """
        with self.together():
            self.add_mark(shift_id, hole_id, seq, mark)
            self._reopen(shift_id, hole_id, "item LIKE ?4", "clean-out %")
            return self._happened(
                "burns",
                shift_id,
                hole_id=hole_id,
                t_ms=milliseconds(mark.t_s),
                kind=kind,
                switched_by=switched_by,
            )

    def close_burn(
        self,
        shift_id: int,
        hole_id: int,
        burn_id: int,
        how: BurnEnd,
        seq: int,
        mark: Mark,
        switched_by: SwitchedBy | None = None,
    ) -> None:
        """The arc clock stops: the burn's end and its mark together.

        Whether anybody saw it end stands in ``how``, and is the mark's kind when it is read again.
        """
        with self.together():
            self.add_mark(shift_id, hole_id, seq, replace(mark, kind=MarkKind.STOP))
            self._add(
                "burn_ends",
                burn_id=burn_id,
                at_utc=self._utc(),
                t_ms=milliseconds(mark.t_s),
                how=how,
                switched_by=switched_by,
            )

    def open_burn_of(self, hole_id: int) -> int | None:
        """The burn of a hole that has no end yet."""
        return self._one(
            "SELECT max(b.id) FROM burns b LEFT JOIN burn_ends e ON e.burn_id = b.id "
            "WHERE b.hole_id = ? AND e.burn_id IS NULL",
            hole_id,
        )

    def add_mark(self, shift_id: int, hole_id: int, seq: int, mark: Mark) -> None:
        """The arc, a measurement that the operator made, another electrode, or another spot."""
        value_um = None if mark.value_mm is None else micrometres(mark.value_mm)
        after = {"check_id": self._last_check(hole_id)} if mark.changes else {}
        self._happened(
            "changes" if mark.changes else "marks",
            shift_id,
            hole_id=hole_id,
            seq=seq,
            t_ms=milliseconds(mark.t_s),
            mark=mark.kind,
            value_um=value_um,
            **after,
        )

    def add_readings(self, hole_id: int, readings: Iterable[tuple[int, Reading]]) -> None:
        """A batch of readings, each with its place among the hole's events."""
        rows = [
            (hole_id, seq, milliseconds(reading.t_s), micrometres(reading.travel_mm))
            for seq, reading in readings
        ]
        with self.together(), self._writing():
            self.connection.executemany("INSERT INTO readings VALUES (?, ?, ?, ?)", rows)

    def fold(self, hole_id: int) -> int:
        """Fold the oldest readings of a hole into its trace; return how many, 0 when none is left.

        The readings stay what they are, to the digit: they only take less room.
        """
        with self.together():
            with self._writing():
                rows = self.connection.execute(
                    "SELECT seq, t_ms, travel_um FROM readings WHERE hole_id = ? "
                    "ORDER BY seq LIMIT ?",
                    (hole_id, FOLD_AT_ONCE),
                ).fetchall()
            if rows:
                first, last, body = rows[0][0], rows[-1][0], fold(rows)
                if unfold(body) != rows:
                    raise AssertionError(f"hole {hole_id}: readings would be lost by folding them")
                self._add(
                    "traces",
                    hole_id=hole_id,
                    first_seq=first,
                    last_seq=last,
                    readings=len(rows),
                    body=body,
                )
                with self._writing():
                    self.connection.execute(
                        "DELETE FROM readings WHERE hole_id = ? AND seq <= ?", (hole_id, last)
                    )
        return len(rows)

    def fold_all(self) -> None:
        """Fold what was left unfolded in any hole, as by a burn that the power cut short."""
        with self._writing():
            holes = self.connection.execute("SELECT DISTINCT hole_id FROM readings").fetchall()
        for (hole_id,) in holes:
            while self.fold(hole_id):
                pass

    def add_calls(self, shift_id: int, hole_id: int, calls: Sequence[Call]) -> None:
        """Calls as they were raised."""
        with self.together():
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

    # Copies ------------------------------------------------------------------------------------

    def keep_copy(self) -> None:
        """Today's copy among those that the cockpit keeps by itself. Raises LogError."""
        backups.keep_daily(self.path, self.connection, self._now().date())

    def has_copy_of_today(self) -> bool:
        """Whether there is one already."""
        return backups.daily(self.path, self._now().date()).exists()

    # After the burn ----------------------------------------------------------------------------

    def add_centre(self, shift_id: int, hole_id: int, verdict: CentreVerdict) -> None:
        """Where the spot of the last burn sat."""
        self._happened(
            "centres",
            shift_id,
            hole_id=hole_id,
            across_um=micrometres(verdict.across_mm),
            along_um=micrometres(verdict.along_mm),
            burn_id=self._one("SELECT max(id) FROM burns WHERE hole_id = ?", hole_id),
            verdict=verdict.verdict,
            body=verdict.model_dump_json(),
        )

    def add_note(self, shift_id: int, hole_id: int, text: str) -> None:
        """A note in the operator's words."""
        self._happened("notes", shift_id, hole_id=hole_id, text=text)

    def correct_note(self, shift_id: int, note_id: int, text: str, correction: str) -> None:
        """A note as it should have been, and why; the old one stays and is pointed at."""
        hole_id = self._one("SELECT hole_id FROM notes WHERE id = ?", note_id)
        self._happened(
            "notes",
            shift_id,
            hole_id=hole_id,
            text=text,
            corrects=note_id,
            correction=correction,
        )

    def add_width(self, shift_id: int, hole_id: int, width_mm: float) -> None:
        """How wide the burnt hole was measured; a later one points at the one it corrects."""
        last = self._one("SELECT max(id) FROM widths WHERE hole_id = ?", hole_id)
        width_um = micrometres(width_mm)
        self._happened("widths", shift_id, hole_id=hole_id, corrects=last, width_um=width_um)

    def add_outcome(
        self, shift_id: int, hole_id: int, outcome: Outcome, correction: str | None = None
    ) -> int:
        """How the hole ended; a later outcome points at the one before. Returns the row's id.

        ``correction``: why what was said of it before was wrong, where it was.
        """
        return self._happened(
            "outcomes",
            shift_id,
            hole_id=hole_id,
            correction=correction,
            corrects=self._one("SELECT max(id) FROM outcomes WHERE hole_id = ?", hole_id),
            outcome=outcome.result,
            chased=outcome.chased,
            gauged=outcome.gauged,
            bottom=outcome.bottom,
            marked=outcome.marked,
            why=outcome.why,
        )

    def add_tally(self, tally: Tally) -> int:
        """What a hole came to; return the row's id."""

        def um(mm: float | None) -> int | None:
            return None if mm is None else micrometres(mm)

        return self._add(
            "tallies",
            hole_id=tally.hole_id,
            outcome_id=tally.outcome_id,
            plan_id=tally.plan_id,
            at_utc=self._utc(),
            kind=tally.kind,
            material=tally.material,
            hard_metal=int(tally.hard_metal),
            electrode=tally.electrode,
            electrode_um=um(tally.electrode_mm),
            electrodes=tally.electrodes,
            arc_ms=milliseconds(tally.arc_s),
            depth_um=um(tally.depth_mm),
            depth_sd_um=um(tally.depth_sd_mm),
            burnt_um=um(tally.burnt_mm),
            worn_um=um(tally.worn_mm),
            area_mm2=tally.area_mm2,
            amps=tally.amps,
            amps_said=int(tally.amps_said),
            wear_ratio=tally.wear_ratio,
            wear_ratio_sd=tally.wear_ratio_sd,
            price=None if tally.price is None else str(tally.price),
            currency=tally.currency,
        )

    def set_aside(
        self, shift_id: int, hole_id: int, lesson: Lesson, why: str, *, is_aside: bool = True
    ) -> None:
        """Nobody is to learn this from a hole any more, or again after all; and why."""
        last = self._one(
            "SELECT max(id) FROM set_aside WHERE hole_id = ? AND lesson = ?", hole_id, lesson
        )
        self._happened(
            "set_aside",
            shift_id,
            hole_id=hole_id,
            corrects=last,
            lesson=lesson,
            is_aside=int(is_aside),
            why=why,
        )

    def add_stock(
        self,
        shift_id: int,
        electrode: str,
        entry: StockEntry,
        number: int,
        *,
        hole_id: int | None = None,
        note: str = "",
    ) -> None:
        """Something about the rack: how many electrodes, or how much one has worn, µm."""
        self._happened(
            "stock",
            shift_id,
            hole_id=hole_id,
            electrode=electrode,
            entry=entry,
            number=number,
            note=note,
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
    def dated(self, when: datetime) -> Iterator[None]:
        """What is written in this with-block happened then, and not only now."""
        now, self._now = self._now, lambda: when
        try:
            yield
        finally:
            self._now = now

    @contextmanager
    def together(self) -> Iterator[None]:
        """All that is written in this with-block, or none of it."""
        if self._depth:
            yield
            return
        with self._writing():
            self.connection.execute("BEGIN IMMEDIATE")
        self._depth = 1
        try:
            yield
            with self._writing():
                self.connection.execute("COMMIT")
        except BaseException:
            # A full disk has rolled back already; a commit that failed has not.
            self.connection.rollback()
            raise
        finally:
            self._depth = 0

    @contextmanager
    def _writing(self) -> Iterator[None]:
        """Say in a sentence that the disk or the file is at fault."""
        if _file_at(self.path) != self._file:
            # SQLite would write on into a file that has no name any more.
            raise LogError(
                f"{self.path}: the log was moved or deleted while the cockpit had it open; put it "
                "back where it was, or leave and open the cockpit again."
            )
        try:
            yield
        except sqlite3.IntegrityError:
            # Not the disk's fault but the program's.
            raise
        except sqlite3.DatabaseError as error:
            if _is_damage(error):
                raise LogError(
                    f"{self.path}: the log is damaged ({error}). {self._way_back}"
                ) from error
            raise LogError(
                f"{self.path}: the log can't be written ({error}); free the disk or the file, "
                "then go on."
            ) from error

    @cached_property
    def _way_back(self) -> str:
        """What to do about damage. Copies are read for it, and a burn is written often."""
        return backups.offer(self.path)


def _file_at(path: Path) -> tuple[int, int] | None:
    """Which file has this name now; None for no file."""
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_dev, found.st_ino


def _is_damage(error: sqlite3.DatabaseError) -> bool:
    # What Python itself says, as of a closed log, has no code.
    code = getattr(error, "sqlite_errorcode", sqlite3.SQLITE_ERROR)
    return code & 0xFF in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB)


@contextmanager
def _said_of(path: Path) -> Iterator[None]:
    """Say in a sentence that the folder is at fault."""
    try:
        yield
    except OSError as error:
        raise LogError(f"{path}: the log can't be opened ({error}); check the folder.") from error
