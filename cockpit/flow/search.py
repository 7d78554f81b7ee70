"""The holes of the log as they are listed, and searched as somebody types: read once only."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from cockpit.flow.bench import counted
from cockpit.flow.steps import Step
from cockpit.log.questions import words_of
from cockpit.log.rows import HoleRow
from cockpit.units import write_clock


class HoleSearch:
    """Holes, and what each is found by."""

    def __init__(self, rows: Iterable[HoleRow]) -> None:
        self._rows = tuple(rows)
        self._words = tuple(map(words_of, self._rows))

    def find(self, text: str) -> list[HoleRow]:
        """The holes that have this text in them, in whatever case; all of them for none."""
        wanted = text.casefold()
        if not wanted:
            return list(self._rows)
        return [row for row, words in zip(self._rows, self._words, strict=True) if wanted in words]


def log_line(row: HoleRow, year: str) -> tuple[str, ...]:
    """A hole's line; of this year's the day and the time, of an earlier one's the date."""
    is_old = not row.at_utc.startswith(year)
    when = row.at_utc[:10] if is_old else row.at_utc[5:16].replace("T", " ")
    whose = (row.operator, row.job.customer, row.job.part, row.label, row.thread)
    outcome = row.outcome or f"at {row.step}"
    return when, *whose, write_clock(row.arc_s), str(row.calls), outcome


def totals_of(rows: Sequence[HoleRow], most_shown: int) -> str:
    """What these holes come to, of which no more than ``most_shown`` are shown."""
    # A hole left for later has an outcome too, and still waits on the bench.
    closed = sum(row.step == Step.ENDED for row in rows)
    arc_s, calls = sum(row.arc_s for row in rows), sum(row.calls for row in rows)
    shown = f", the newest {most_shown} shown" if len(rows) > most_shown else ""
    told = f"{counted(len(rows), 'hole')}{shown}, {closed} closed"
    return f"{told}   arc {write_clock(arc_s)}   {counted(calls, 'call')}"
