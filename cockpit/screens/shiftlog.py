"""The shift log: what has been done, searched as it is typed."""

from __future__ import annotations

from collections.abc import Iterator
from time import perf_counter
from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import Input, Static

from cockpit import dates
from cockpit.flow.search import HoleSearch, SlicedReading, log_line, totals_of
from cockpit.log import LogError, listing, questions
from cockpit.log.listing import Listed
from cockpit.screens.shared.step import StepScreen
from cockpit.units import LengthUnit, quoted
from cockpit.widgets.answer_input import AnswerInput
from cockpit.widgets.choice_table import ChoiceTable
from cockpit.widgets.plain_text import PlainText

#: So many rows are shown, at first no more than a tall terminal has room for: the others come as
#: somebody goes down to them. A search finds those beyond.
MOST_ROWS, FIRST_ROWS = 200, 60
COLUMNS = (
    *("taken in", "by", "customer", "part", "hole", "thread"),
    *("depth", "arc", "calls", "price", "outcome"),
)
WHOLE, SPARE = (
    ("taken in", "depth", "arc", "calls", "price", "outcome"),
    ("part", "calls", "depth", "price"),
)
#: A long log is read in slices; a key may come between two of them, and is answered before the next
#: one; what was found so far is told so often, s.
PAUSE_S, ANSWERED_S, TOLD_EVERY_S = 0.005, 0.15, 0.5


class ShiftLogScreen(StepScreen):
    """All holes, the newest first."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "move(-1)", "up", id="up", show=False),
        Binding("down", "move(1)", "down", id="down", show=False),
    ]

    def body(self) -> Iterator[Widget]:
        yield AnswerInput(id="search", placeholder="type to search: customer, hole, day, outcome")
        yield ChoiceTable(COLUMNS, whole=WHOLE, spare=SPARE, id="log")
        yield PlainText(id="nothing")
        yield PlainText(id="totals")

    def begin(self) -> None:
        self._rows: list[Listed] = []
        self._shown: tuple[list[int], LengthUnit] | None = None
        self._room = FIRST_ROWS
        self._search = HoleSearch()
        self._reading: SlicedReading | None = None
        self._told_s = self._asked_s = 0.0
        self._was_left = False
        self._table.can_focus = False
        self.query_one(AnswerInput).focus()

    @property
    def _table(self) -> ChoiceTable:
        return self.query_one(ChoiceTable)

    def heading(self) -> str:
        return "shift log"

    # What is read ------------------------------------------------------------------------------

    def _begin_reading(self) -> SlicedReading:
        """The newest holes at once, the others while nobody waits for an answer."""
        reading = SlicedReading(self.cockpit.floor.store.connection, self._search)
        reading.read_on()
        self._reading = reading
        if not reading.is_done:
            self.set_timer(ANSWERED_S, self._read_on)
        return reading

    def _read_on(self) -> None:
        """A slice of the log more; what is shown follows now and then, and at the end."""
        reading = self._reading
        if reading is None or self.is_left:
            return
        waits_s = self._asked_s + ANSWERED_S - perf_counter()
        if waits_s > 0:
            self.set_timer(waits_s, self._read_on)
            return
        try:
            reading.read_on()
        except LogError as error:
            self.complain(f"Not all of the log is here: {error}")
            return
        if not reading.is_done:
            self.set_timer(PAUSE_S, self._read_on)
        is_due = perf_counter() - self._told_s >= TOLD_EVERY_S
        if self.is_active and (reading.is_done or is_due):
            self.refresh_all()

    def on_screen_suspend(self) -> None:
        self._was_left = True

    def on_screen_resume(self) -> None:
        """A hole that was looked at may be another since."""
        if self.is_ready and self._was_left:
            self._was_left, self._shown = False, None
            self.attempt(self._renew)
            self.refresh_all()

    def _renew(self) -> None:
        connection, chosen = self.cockpit.floor.store.connection, self._chosen()
        # What was corrected of its job is true of every hole of that, in sight or not.
        of_job = questions.of_job(connection, chosen.row.job.id) if chosen else []
        ids = {*(row.row.id for row in self._rows), *(hole.id for hole in of_job)}
        self._search.renew(*map(listing.entry_of, listing.these_holes(connection, ids)))

    # What is shown -----------------------------------------------------------------------------

    def show(self) -> None:
        reading = self._reading or self._begin_reading()
        text = self.query_one(AnswerInput).value.strip()
        ids = self._search.find(text, self._room)
        if self._shown != (ids, self.unit):
            self._fill(ids)
        self._table.display = bool(ids)
        nothing = self.query_one("#nothing", Static)
        nothing.display = not ids
        where = "the log" if reading.is_done else "what was read so far"
        said = f"Nothing in {where} has {quoted(text)} in it." if text else "No hole is in the log."
        nothing.update(said)
        told = totals_of(self._search.totals(), MOST_ROWS, len(self._search), reading.of)
        self.query_one("#totals", Static).update("\n".join(told))
        self._told_s = perf_counter()

    def _fill(self, ids: list[int]) -> None:
        """Show these holes, as the log has them now."""
        floor, chosen = self.cockpit.floor, self._chosen()
        self._rows = listing.these_holes(floor.store.connection, ids)
        self._shown, year = (ids, self.unit), dates.day(floor.clock.utc().isoformat())[:4]
        at = ids.index(chosen.row.id) if chosen and chosen.row.id in ids else 0
        self._table.fill([log_line(row, year, self.unit) for row in self._rows], at)

    def next_words(self) -> str:
        hole = self._chosen()
        return f"look at {hole.row.label}" if hole else ""

    def next(self) -> None:
        hole = self._chosen()
        if hole is not None:
            self.cockpit.show_hole(hole.row.id)

    def _chosen(self) -> Listed | None:
        at = self._table.cursor_row
        return self._rows[at] if 0 <= at < len(self._rows) else None

    def action_move(self, by: int) -> None:
        """Move the choice up or down."""
        if by > 0 and self._table.cursor_row + by >= self._room and self._room < MOST_ROWS:
            self._room = MOST_ROWS
            self.refresh_all()
        self._table.move_cursor(row=self._table.cursor_row + by)
        self.refresh_next()

    @on(Input.Changed)
    def _as_typed(self) -> None:
        self._asked_s = perf_counter()
        self._room = FIRST_ROWS
        self.refresh_all()

    @on(Input.Submitted)
    def _taken(self) -> None:
        self.take_next()
