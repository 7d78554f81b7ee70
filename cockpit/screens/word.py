"""A few words: a note on a hole, the handover of a shift."""

from __future__ import annotations

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Input, Static


class WordScreen(ModalScreen[str | None]):
    """One line of text over the screen; Enter keeps it, Escape does not."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "dismiss", "not now", id="not-now")]

    def __init__(self, asks: str) -> None:
        super().__init__()
        self._asks = asks

    def compose(self) -> ComposeResult:
        with Vertical(id="help"):
            yield Static(self._asks, markup=False, classes="question")
            yield Input(id="words")
            yield Static("ENTER keeps it   ESC does not", classes="label")

    @on(Input.Submitted)
    def _kept(self, event: Input.Submitted) -> None:
        self.dismiss(event.value.strip())
