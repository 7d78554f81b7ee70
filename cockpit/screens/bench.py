"""The bench: the holes waiting, in hand and done, and what each needs next."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import DataTable, Static

from cockpit.flow.bench import Lying, cut_short_words, handover_note, totals_words
from cockpit.screens.shared.step import StepScreen
from cockpit.screens.shared.words import DEMO
from cockpit.widgets.choice_table import ChoiceTable
from cockpit.widgets.plain_text import PlainText, shown_line

NOTHING_THERE = (
    "No hole is waiting, and none was closed in this shift.\n\n"
    "{key} takes in a hole: what is broken, where, and in whose part."
)


class BenchScreen(StepScreen):
    """The list that a shift works through."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("n,N", "new", "new hole", id="new", tooltip="Take in a hole"),
        Binding("l,L", "log", "shift log", id="log", tooltip="What has been done"),
        Binding(
            "e,E", "end", "end shift", id="end", tooltip="Close the shift with a handover note"
        ),
        Binding("s,S", "stock", "stock", id="stock", tooltip="The electrodes that are left"),
        Binding("w,W", "learnt", "learnt", id="learnt", tooltip="What the burns taught"),
        Binding("g,G", "gauge", "gauge", id="gauge", tooltip="Pick another gauge"),
        Binding("p,P", "preferences", "preferences", id="set", tooltip="Pedal, unit, sound, theme"),
        Binding("q,Q", "quit", "quit", id="quit", tooltip="Leave the cockpit"),
    ]

    def body(self) -> Iterator[Widget]:
        columns = ("stands", "hole", "thread", "customer", "part", "next", "arc", "had by")
        whole, spare = ("stands", "next", "arc"), ("part", "had by")
        yield ChoiceTable(columns, whole=whole, spare=spare, id="holes")
        yield PlainText(id="nothing")
        yield PlainText(id="chosen")
        yield PlainText(id="handover")
        yield PlainText(id="totals")

    def begin(self) -> None:
        self._holes: list[Lying] = []
        self._table.focus()
        floor = self.cockpit.floor
        self.complain(floor.notice or cut_short_words(floor.lying()))
        left = (handover_note(self.cockpit.floor.last_handover()), self.cockpit.half_ticket())
        handover = self.query_one("#handover", Static)
        handover.update("\n".join(map(shown_line, filter(None, left))))
        handover.display = any(left)

    @property
    def _table(self) -> ChoiceTable:
        return self.query_one(ChoiceTable)

    def heading(self) -> str:
        floor = self.cockpit.floor
        shift = floor.shift
        operator = shift.operator if shift else "nobody"
        demo = f"   {DEMO}" if self.cockpit.is_demo else ""
        return f"bench   {operator} at {floor.machine_name}, gauge {floor.gauge_name}{demo}"

    def show(self) -> None:
        floor = self.cockpit.floor
        chosen = self._chosen()
        chosen_id = chosen.row.id if chosen else self.cockpit.put_down or floor.last_in_hand()
        self._holes = floor.lying()
        waiting = [one.row.id for one in self._holes if not one.is_closed]
        # What was closed last is not what is gone on with, but it can be looked at.
        ids = [one.row.id for one in self._holes] if chosen else waiting
        at = ids.index(chosen_id) if chosen_id in ids else 0
        self._table.fill(list(map(_cells, self._holes)), at)
        self._table.display = bool(self._holes)
        nothing = self.query_one("#nothing", Static)
        nothing.update(NOTHING_THERE.format(key=self.big_key_name()))
        nothing.display = not self._holes
        totals = totals_words(len(waiting), floor.totals(), floor.shop.stock)
        totals += "   arrows choose" if len(self._holes) > 1 else ""
        self.query_one("#totals", Static).update(totals)
        self._show_chosen()
        # How much of the list is in sight is known once it is laid out.
        self.call_after_refresh(self._show_chosen)

    def _show_chosen(self) -> None:
        """Whose the chosen hole is, who had it before, and why it was left."""
        if not self.is_attached:
            return
        one = self._chosen()
        chosen = self.query_one("#chosen", Static)
        chosen.display = one is not None
        if one is not None:
            job, row = one.row.job, one.row
            whose = f"{job.customer}, {job.reference}, {job.part}"
            told = f"{row.label}, {row.what}. {one.told}"
            if 0 < self._table.size.height <= len(self._holes):
                # The list is longer than the screen.
                told = f"{self._table.cursor_row + 1} of {len(self._holes)}: {told}"
            chosen.update(f"{shown_line(whose)}\n{shown_line(told)}")

    def next_words(self) -> str:
        one = self._chosen()
        if one is None:
            return "take in a hole"
        return f"look at {one.row.label}" if one.is_closed else f"{one.row.label}: {one.needs}"

    def next(self) -> None:
        one = self._chosen()
        if one is None:
            self.action_new()
        elif one.is_closed:
            self.cockpit.show_hole(one.row.id)
        else:
            self.cockpit.take_up(one.row.id)

    def back(self) -> None:
        """The bench is where everything begins."""

    def _chosen(self) -> Lying | None:
        at = self._table.cursor_row
        return self._holes[at] if 0 <= at < len(self._holes) else None

    @on(DataTable.RowHighlighted)
    def _moved(self) -> None:
        self._show_chosen()
        self.refresh_next()

    @on(DataTable.RowSelected)
    def _picked(self) -> None:
        self.press_big_key()

    def action_new(self) -> None:
        """Take in a hole."""
        self.cockpit.take_in()

    def action_log(self) -> None:
        """The shift log."""
        self.cockpit.show_log()

    def action_stock(self) -> None:
        """The electrodes that are left."""
        self.cockpit.show_stock()

    def action_learnt(self) -> None:
        """What was learnt from the burns."""
        self.cockpit.show_learnt()

    def action_end(self) -> None:
        """Close the shift."""
        self.attempt(self.cockpit.end_shift)

    def action_gauge(self) -> None:
        """Pick another gauge."""
        self.cockpit.ask_gauge()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Nothing lies behind the bench; an invented burn has one gauge only."""
        if action == "gauge":
            return not self.cockpit.is_demo
        return action not in ("back", "bench")

    def action_quit(self) -> None:
        """Leave the cockpit."""
        self.cockpit.action_leave()


def _cells(one: Lying) -> tuple[str, ...]:
    row = one.row
    whose = (row.job.customer, row.job.part)
    return one.stands, row.label, row.what, *whose, one.needs, one.arc, one.hands
