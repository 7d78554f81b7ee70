"""What each burn taught: unlike ones first; one can be set aside, or taken in again."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import DataTable, Static

from cockpit.commands.learnt_lines import COLUMNS, burn_cells, told
from cockpit.flow.bench import counted
from cockpit.flow.learnt import WORDS, Burn, Listed, listed
from cockpit.screens.shared.step import StepScreen
from cockpit.trade.learning import Lesson
from cockpit.widgets.choice_table import ChoiceTable
from cockpit.widgets.plain_text import PlainText, shown_line

WHOLE = ("stands", "hole", "figure", "this burn", "the others")
SPARE = ("closed", "electrode", "kind", "material")
#: What is shown, one after the other: all figures, or one of them.
CHOICES: tuple[Lesson | None, ...] = (None, *Lesson)


class TaughtScreen(StepScreen):
    """A figure of a burn a row; the big key looks at its hole."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(
            "a,A",
            "aside",
            "set aside",
            id="aside",
            tooltip="Learn nothing from this figure of the hole any more",
        ),
        Binding("a,A", "again", "take in again", id="again", tooltip="Learn from it after all"),
        Binding("f,F", "figure", "figure", id="figure", tooltip="One of the figures, or all"),
    ]

    def body(self) -> Iterator[Widget]:
        yield ChoiceTable(COLUMNS, whole=WHOLE, spare=SPARE, id="burns")
        yield PlainText(id="nothing")
        yield PlainText(id="chosen")
        yield PlainText(id="totals")

    def begin(self) -> None:
        self._only: Lesson | None = None
        self._listed: Listed | None = None
        #: The figure that was just set aside, or taken in again.
        self._said: tuple[int, Lesson] | None = None
        self._table.focus()

    @property
    def _table(self) -> ChoiceTable:
        return self.query_one(ChoiceTable)

    def heading(self) -> str:
        which = "all figures" if self._only is None else WORDS[self._only]
        return f"what each burn taught   {which}   arrows choose"

    # What is shown -----------------------------------------------------------------------------

    def show(self) -> None:
        floor, at = self.cockpit.floor, max(self._table.cursor_row, 0)
        shop = floor.shop
        if self._listed is None:
            # Read once, for a long log takes its time: it changes by what is done here alone.
            self._listed = listed(floor.store.connection, shop.experience, self._only)
        found = self._listed.burns
        # One that is set aside moves down the list: what is done next is done to it, or looked for.
        places = {(one.hole_id, one.lesson): place for place, one in enumerate(found)}
        at = places.get(self._said, min(at, max(len(found) - 1, 0))) if self._said else at
        at, self._said = min(at, max(len(found) - 1, 0)), None
        self._table.fill([burn_cells(one, self.unit, shop.stock) for one in found], at)
        self._table.display = bool(found)
        nothing = self.query_one("#nothing", Static)
        nothing.display = not found
        nothing.update("No burn has taught anything yet: a hole teaches once it is closed as done.")
        self.query_one("#totals", Static).update(_totals(self._listed))
        self._show_chosen()

    def _show_chosen(self) -> None:
        one = self._chosen()
        chosen = self.query_one("#chosen", Static)
        chosen.display = one is not None
        if one is not None:
            chosen.update(
                "\n".join(map(shown_line, told(one, self.unit, self.cockpit.floor.shop.stock)))
            )

    def _chosen(self) -> Burn | None:
        at = self._table.cursor_row
        found = self._listed.burns if self._listed else ()
        return found[at] if 0 <= at < len(found) else None

    @on(DataTable.RowHighlighted)
    def _moved(self) -> None:
        self._show_chosen()
        self.refresh_next()

    @on(DataTable.RowSelected)
    def _picked(self) -> None:
        self.press_big_key()

    # Keys --------------------------------------------------------------------------------------

    def next_words(self) -> str:
        one = self._chosen()
        return f"look at {one.label}" if one else ""

    def next(self) -> None:
        one = self._chosen()
        if one is not None:
            self.cockpit.show_hole(one.hole_id)

    def back(self) -> None:
        self.dismiss()

    def action_figure(self) -> None:
        """The burns of the next figure, or of all."""
        self._only = CHOICES[(CHOICES.index(self._only) + 1) % len(CHOICES)]
        self._listed = None
        self._table.move_cursor(row=0)
        self.complain("")
        self.refresh_all()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        if action in ("aside", "again"):
            one = self._chosen()
            return one is not None and (one.aside is not None) is (action == "again")
        return super().check_action(action, parameters)

    def action_again(self) -> None:
        """Take the chosen burn's figure in again, with a word why."""
        self.action_aside()

    def action_aside(self) -> None:
        """Set the chosen burn's figure aside, or take it in again, with a word why."""
        one = self._chosen()
        if one is None or not self.can_be_seen():
            return
        is_aside = one.aside is None
        what = f"{one.words} of hole {one.hole_id}, {one.label}"
        asks = f"Set aside the {what}: why?" if is_aside else f"Learn from the {what} again: why?"

        def keep(why: str) -> None:
            self.cockpit.floor.set_aside(one.hole_id, one.lesson, why, is_aside=is_aside)
            self._said = (one.hole_id, one.lesson)

        self.complain("")
        self.cockpit.ask_word(asks, keep, then=self._anew, insists=True)

    def _anew(self) -> None:
        self._listed = None
        self.refresh_all()
        self.cockpit.tell("Kept in the log; the figures go by it from now on.")


def _totals(found: Listed) -> str:
    """How many there are, and which of them are shown."""
    words = [
        counted(found.of, "figure"),
        f"{found.unlike} unlike the others",
        f"{found.aside} set aside",
    ]
    if len(found.burns) < found.of:
        words.append(f"{len(found.burns)} shown, the newest")
    return "   ".join(words)
