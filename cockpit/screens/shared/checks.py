"""One thing at a time, large: what the daily check, the set-up and the clean-out are made of."""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence
from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.widget import Widget
from textual.widgets import Input, Static

from cockpit.log.rows import CheckResult
from cockpit.screens.shared.strays import WaryScreen
from cockpit.screens.shared.words import progress_bar
from cockpit.trade.checks import CheckItem
from cockpit.widgets.answer_input import AnswerInput
from cockpit.widgets.block_figures import BlockFigures, BlockWords
from cockpit.widgets.glyphs import GLYPHS
from cockpit.widgets.plain_text import PlainText
from cockpit.widgets.terminal import ascii_only


class ChecksScreen(WaryScreen):
    """Items one at a time. Whoever derives from it says which, and where the answers go."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("k,K", "skip", "pass over", id="skip", tooltip="Pass over, with a word why"),
    ]

    def body(self) -> Iterator[Widget]:
        with Horizontal(id="item-line"):
            yield PlainText(id="progress")
            yield PlainText(id="item-title")
        yield BlockWords(id="item-large")
        yield PlainText(id="item-look")
        yield PlainText(id="item-right")
        yield BlockFigures(id="item-figure")
        yield PlainText(id="item-note")
        with Horizontal(id="word-line"):
            yield PlainText("►", id="word-mark")
            yield AnswerInput(id="word")
        yield PlainText(id="seen")

    def begin(self) -> None:
        self._take_list()
        self._with_word = CheckResult.SKIPPED
        self.query_one("#word-line").display = False
        if self._items:
            self.arrived(self._items[0])
        else:
            self.attempt(self.done)

    def _take_list(self) -> None:
        self._items = self.items()
        self._held = self.held()
        self._at = 0
        self._seen = ""

    def begin_again(self) -> None:
        """Somebody stepped back to what was answered before this screen came up."""
        self._take_list()
        self.arrived(self._items[0], back=True)
        self.refresh_all()

    # What the kinds of checks say for themselves -------------------------------------------------

    def items(self) -> list[CheckItem]:
        """What is to be answered."""
        return []

    def held(self) -> int:
        """How many of the list were answered before this screen came up, and hold."""
        return 0

    def answer(self, item: CheckItem, result: CheckResult, word: str) -> None:
        """Keep an answer."""

    def was(self, item: CheckItem) -> str:
        """What is to be known of how it was answered, before it is looked at once more."""
        return ""

    def reopen(self, item: CheckItem) -> None:
        """Keep that an item is to be looked at once more."""

    def done(self) -> None:
        """Everything is answered."""

    def before_first(self) -> None:
        """Back from the first item."""
        self.cockpit.to_bench()

    def figure(self, item: CheckItem) -> str:
        """A figure of the plan to show large; empty if none."""
        return ""

    def note(self, item: CheckItem) -> str:
        """A figure of the plan in words; empty if none."""
        return ""

    def arrived(self, item: CheckItem, *, back: bool = False) -> None:
        """The item is on the screen now; ``back``: somebody stepped back to it."""

    def passed_over(self) -> Sequence[tuple[str, str]]:
        """What was passed over so far, each with the word why."""
        return ()

    # One at a time -----------------------------------------------------------------------------

    @property
    def item(self) -> CheckItem | None:
        """The item on the screen."""
        return self._items[self._at] if self._at < len(self._items) else None

    def progress(self) -> str:
        """Where in the list the item stands, with those that were answered before."""
        of = self._held + len(self._items)
        return f"{min(self._held + self._at + 1, of)} of {of}"

    def show(self) -> None:
        item = self.item
        if item is None:
            return
        done, of = self._held + self._at, self._held + len(self._items)
        bar = progress_bar(done, of, ascii_only=ascii_only())
        self.query_one("#progress", Static).update(f"{bar}  {self.progress()}")
        self.set_class(item.shows == "cautions", "-to-read")
        self.query_one("#item-title", Static).update(item.title)
        self.query_one("#item-large", BlockWords).text = item.title
        self.query_one("#item-look", Static).update(f"Look: {item.look}")
        self.query_one("#item-right", Static).update(f"Right when: {item.right}")
        self.show_figure(item)
        self.query_one("#seen", Static).update("\n".join(self._seen_so_far()))

    def show_figure(self, item: CheckItem) -> None:
        """Show the figure that belongs to the item, large."""
        figure = self.query_one("#item-figure", BlockFigures)
        text = self.figure(item).upper()
        # A figure with a character that is not drawn large stands in the note alone.
        figure.text = text if set(text) <= GLYPHS.keys() else ""
        figure.display = bool(figure.text)
        self.set_class(figure.display, "-with-figure")
        note = self.query_one("#item-note", Static)
        note.update(self.note(item))
        note.set_class(not figure.display, "-apart")

    def _seen_so_far(self) -> Iterator[str]:
        over = "; ".join(f"{title} ({word})" for title, word in self.passed_over())
        if over:
            yield f"Passed over: {over}"
        if self._seen:
            yield self._seen

    def next_words(self) -> str:
        item, skips = self.item, self._with_word is CheckResult.SKIPPED
        if self.asks_word and not self.is_typing:
            return ""
        if self.asks_word:
            return "pass it over with this word" if skips else "take it on with these initials"
        if item is not None and self.needs_initials(item):
            return "take it on: your initials"
        return "confirm" if item else "go on"

    def next(self) -> None:
        item = self.item
        if self.asks_word:
            return
        if item is None:
            # Everything is answered, but the log has not let the hole go on yet.
            self.done()
        elif self.needs_initials(item):
            self._ask_word(CheckResult.CONFIRMED, "your initials, to take this on")
        else:
            self.confirm(item)

    def confirm(self, item: CheckItem) -> None:
        """The big key was pressed on an item."""
        self.answered(item, CheckResult.CONFIRMED)

    def may_skip(self, item: CheckItem) -> bool:
        """Whether this check may be passed over, with a word why."""
        return not item.safety

    def needs_initials(self, item: CheckItem) -> bool:
        """Whether an item is confirmed by a person's initials and not by a key."""
        return False

    def back(self) -> None:
        if self.asks_word:
            self._hide_word()
        elif self._at:
            self._at -= 1
            self._seen = self.was(self._items[self._at])
            self.reopen(self._items[self._at])
            self.arrived(self._items[self._at], back=True)
        else:
            self.before_first()
            return
        self.refresh_all()

    def answered(self, item: CheckItem, result: CheckResult, word: str = "") -> None:
        """Keep the answer, and come to the next item."""
        self.answer(item, result, word)
        said = f"{item.title}: {result}" + (f", {word}" if word else "")
        # What was passed over is said as such.
        self._seen = "" if result is CheckResult.SKIPPED else said
        self._at += 1
        self.is_astray = False
        following = self.item
        if following is None:
            self.done()
        else:
            self.arrived(following)

    def minds_strays(self) -> bool:
        return not self.asks_word

    # Passing over ------------------------------------------------------------------------------

    def action_skip(self) -> None:
        """Ask for the word why, unless the item matters for safety."""
        item = self.item
        if item is None or self.cockpit.gate.is_shut(time.monotonic()):
            # Nothing is there, or only just: it was meant for what was there before.
            return
        if not self.may_skip(item):
            # A reason may be on its way, and the Enter after it is no answer.
            self.is_astray = True
            self.complain("Safety or the depth rests on this one: it can't be passed over.")
            return
        self._ask_word(CheckResult.SKIPPED, "a word why it is passed over")

    def _ask_word(self, result: CheckResult, asks: str) -> None:
        """Ask for the word that this answer needs."""
        self._with_word = result
        self.complain("")  # it was about the key
        field = self.query_one("#word", AnswerInput)
        field.placeholder = asks
        self.query_one("#word-line").display = True
        field.focus()
        self.refresh_next()

    @on(Input.Submitted, "#word")
    def _said(self, event: Input.Submitted) -> None:
        item = self.item
        if item is not None:
            word, result = event.value, self._with_word
            self.attempt(lambda: self.answered(item, result, word))
            if self.item is not item:
                # Else the log has refused it, and it stands there still.
                self._hide_word()
            self.refresh_all()

    @on(Input.Changed, "#word")
    def _as_typed(self) -> None:
        self.refresh_next()

    @property
    def asks_word(self) -> bool:
        """Whether the word is asked for; nothing else is answered until it is there."""
        return self.query_one("#word-line").display

    def _hide_word(self) -> None:
        field = self.query_one("#word", AnswerInput)
        field.value = ""
        self.query_one("#word-line").display = False
        self.set_focus(None)

    def offers(self, action: str) -> bool:
        """Passing over is offered neither for what may not be nor beside a word."""
        item = self.item
        if action == "skip" and item is not None and (self.asks_word or not self.may_skip(item)):
            return False
        return super().offers(action)
