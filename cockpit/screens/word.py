"""A few words: a note on a hole, the handover of a shift."""

from __future__ import annotations

from collections.abc import Callable, MutableMapping, Sequence
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.events import Key
from textual.screen import ModalScreen
from textual.widgets import Input, Static

from cockpit.log.store import LogError
from cockpit.screens.shared.box import Box
from cockpit.screens.shared.closes import ClosesOnce
from cockpit.screens.shared.keys import key_letter, key_name
from cockpit.text import MOST_NOTE_LETTERS
from cockpit.widgets.plain_text import PlainText
from cockpit.widgets.text_field import TextField

#: Told under the field.
KEYS = "ENTER {keeps}   ESC not yet"
#: ... where it does.
WAITS = ": what is typed waits"
#: Told after it while the arc is on: a key that types nothing puts it off at once.
ARC_OFF, ARC_OFF_AFTER = ", and {key} is arc off", "   arc off: ESC, then {key}"


class WordScreen(ModalScreen[bool], ClosesOnce[bool]):
    """One line of text at the foot of the screen; Enter keeps it, Escape does not yet.

    Says whether it was kept. The screen above makes room, so that its figures and its calls stay in
    sight, and live. What can't be kept stays in the field, with the reason under it. ``empty``: no
    words at all are an answer too; where it ``insists`` they are refused, else the box just goes.
    ``unsaid``: where Escape leaves what was typed, by ``about``.
    """

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "not_now", "not now", id="not-now")]

    def __init__(
        self,
        asks: str,
        keep: Callable[[str], None],
        *,
        empty: bool = False,
        insists: bool = False,
        unsaid: MutableMapping[str, str] | None = None,
        about: str = "",
        keeps: str = "keeps it",
        arc_keys: Sequence[str] = (),
        arc_off: Callable[[], None] = lambda: None,
    ) -> None:
        """``arc_keys``: the big keys while the arc is on, when ``arc_off`` is what they do."""
        super().__init__()
        self._told = KEYS.format(keeps=keeps) + ("" if unsaid is None else WAITS)
        self._arc_keys = [
            key for key in arc_keys if key not in ("enter", "space") and not key_letter(key)
        ]
        if arc_keys:
            told = ARC_OFF if self._arc_keys else ARC_OFF_AFTER
            self._told += told.format(key=key_name([*self._arc_keys, *arc_keys][0]))
        self._arc_off = arc_off
        self._asks = asks
        self._keep = keep
        self._empty = empty
        self._insists = insists
        self._unsaid: MutableMapping[str, str] = {} if unsaid is None else unsaid
        self._about = about or asks

    def compose(self) -> ComposeResult:
        with Box():
            yield PlainText(self._asks, classes="asks")
            yield TextField(id="words", max_length=MOST_NOTE_LETTERS, compact=True)
            yield PlainText(id="refused")
            yield PlainText(self._told, classes="label")

    def on_mount(self) -> None:
        field = self.query_one(TextField)
        field.value = self._unsaid.get(self._about, "")
        field.cursor_position = len(field.value)
        self.query_one("#refused").display = False

    @on(TextField.Full)
    def _full(self, full: TextField.Full) -> None:
        self._refuse(full.sentence)

    def _refuse(self, sentence: str) -> None:
        refused = self.query_one("#refused", Static)
        refused.update(sentence)
        refused.display = True

    def on_key(self, event: Key) -> None:
        # A pedal that types nothing is for the arc, whatever is being written.
        if event.key in self._arc_keys:
            event.stop()
            event.prevent_default()
            self.action_not_now()
            self._arc_off()

    def action_not_now(self) -> None:
        """Away with the box; what was typed is there again when it comes back."""
        self._unsaid[self._about] = self.query_one(TextField).value
        self.dismiss(False)

    @on(Input.Submitted)
    def _said(self, event: Input.Submitted) -> None:
        if not self.is_active:
            return
        words = event.value.strip()
        is_answer = bool(words) or self._empty
        if not is_answer and self._insists:
            self._refuse("Say it in a word; ESC leaves it.")
            return
        if is_answer:
            try:
                self._keep(words)
            except (LogError, ValueError) as error:
                self._refuse(str(error))
                return
        self._unsaid.pop(self._about, None)
        self.dismiss(is_answer)
