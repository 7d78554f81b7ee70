"""One hole of the shift log: its record and its trace."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import Static

from cockpit.burn.hindsight import Hindsight
from cockpit.burn.trace import write_trace
from cockpit.flow.past import over_arc_time, past_events, past_gaps, past_look
from cockpit.log import questions
from cockpit.log.record import hole_record
from cockpit.log.store import LogError
from cockpit.screens.shared.paged import PagedScreen
from cockpit.units import write_clock
from cockpit.widgets.page import Page
from cockpit.widgets.plain_text import PlainText, shown_line
from cockpit.widgets.sparkline import feed_trace
from cockpit.widgets.terminal import ascii_only


class HolePageScreen(PagedScreen):
    """Plan, checks, burns, calls and outcome of one hole."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("x,X", "export", "save the trace", id="export", tooltip="The readings as CSV"),
    ]

    def __init__(self, hole_id: int) -> None:
        super().__init__()
        self._hole_id = hole_id
        self._label = ""
        #: The trace gone through again, by how many points of it are wanted.
        self._looks: dict[int, Hindsight | None] = {}

    def body(self) -> Iterator[Widget]:
        with Page(id="page"):
            yield PlainText(id="trace")
            yield PlainText(id="record")

    def heading(self) -> str:
        return f"hole {self._hole_id}   {self._label}".rstrip()

    def show(self) -> None:
        connection = self.cockpit.floor.store.connection
        page = questions.page(connection, self._hole_id)
        if page is None:
            return
        self._label = page.row.label
        self.query_one("#title", Static).update(shown_line(self.heading()))
        # Beside the word, a scroll bar and the margins.
        width = max(self.app.size.width - 10, 1)
        look = self._look(2 * width)
        record = hole_record(page, look.tracker.state() if look else None, self.unit)
        self.query_one("#record", Static).update(record)
        unread = past_gaps(connection, self._hole_id, self.cockpit.floor.streams)
        depths = over_arc_time(look.moments(), width, unread) if look else []
        trace = feed_trace(depths, width, ascii_only=ascii_only())
        lines = [f"depth {trace}", *_unread_words(unread)] if depths else []
        self.query_one("#trace", Static).update("\n".join(lines))

    def _look(self, points: int) -> Hindsight | None:
        """The trace gone through again; once only, for a long one takes its time."""
        if points not in self._looks:
            connection = self.cockpit.floor.store.connection
            self._looks = {points: past_look(connection, self._hole_id, points)}
        return self._looks[points]

    def next_words(self) -> str:
        return "back"

    def next(self) -> None:
        self.back()

    def back(self) -> None:
        self.dismiss()

    def action_export(self) -> None:
        """Save the trace beside the log."""
        self.attempt(self._export)

    def _export(self) -> None:
        store = self.cockpit.floor.store
        path = store.path.parent / f"trace-{self._hole_id}.csv"
        events, passing = past_events(store.connection, self._hole_id), path.with_suffix(".new")
        try:
            with passing.open("w", encoding="utf-8", newline="") as file:
                write_trace(file, events)
            # All of it or none: one that was saved before is not spoilt.
            passing.replace(path)
        except OSError as error:
            raise LogError(f"{path}: the trace can't be saved ({error.strerror}).") from error
        self.complain(f"saved as {path}")


def _unread_words(unread: Sequence[tuple[float, float]]) -> Iterator[str]:
    """How much of the arc time nobody saw, if any."""
    if unread:
        gone = write_clock(sum(end_s - begin_s for begin_s, end_s in unread))
        times = "once" if len(unread) == 1 else f"{len(unread)} times"
        yield f"      gauge silent {times}, for {gone} of the arc: nothing was read then"
