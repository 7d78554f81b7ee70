"""A few words: a note on a hole, the handover of a shift."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Input, Static

from cockpit.log.store import LogError
from cockpit.text import MOST_NOTE_LETTERS
from cockpit.widgets.plain_text import PlainText
from cockpit.widgets.text_field import TextField


class WordScreen(ModalScreen[bool]):
    """One line of text over the screen; Enter keeps it, Escape does not. Says whether it was kept.

    What can't be kept stays in the field, with the reason under it. ``empty``: no words at all are
    an answer too.
    """

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "dismiss", "not now", id="not-now")]

    def __init__(self, asks: str, keep: Callable[[str], None], *, empty: bool = False) -> None:
        super().__init__()
        self._asks = asks
        self._keep = keep
        self._empty = empty

    def compose(self) -> ComposeResult:
        with Vertical(id="help"):
            yield PlainText(self._asks, classes="question")
            yield TextField(id="words", max_length=MOST_NOTE_LETTERS)
            yield PlainText(id="refused")
            yield PlainText("ENTER keeps it   ESC does not", classes="label")

    @on(TextField.Full)
    def _full(self, full: TextField.Full) -> None:
        self.query_one("#refused", Static).update(full.sentence)

    @on(Input.Submitted)
    def _said(self, event: Input.Submitted) -> None:
        words = event.value.strip()
        is_answer = bool(words) or self._empty
        if is_answer:
            try:
                self._keep(words)
            except LogError as error:
                self.query_one("#refused", Static).update(str(error))
                return
        self.dismiss(is_answer)
