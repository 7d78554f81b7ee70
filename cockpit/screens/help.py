"""The keys of a screen, at its foot."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from textual.app import ComposeResult
from textual.binding import Binding
from textual.events import Key
from textual.screen import ModalScreen

from cockpit.screens.shared.box import Box
from cockpit.screens.shared.closes import ClosesOnce
from cockpit.screens.shared.keys import key_name
from cockpit.widgets.plain_text import PlainText


class HelpScreen(ModalScreen[None], ClosesOnce[None]):
    """Any key closes it; the big key puts an arc off as well, since nothing may stand before that.

    The figures above stay in sight and live.
    """

    def __init__(
        self,
        keys: Sequence[Binding],
        does: str,
        big_keys: Sequence[str],
        arc_off: Callable[[], None],
    ) -> None:
        """``arc_off``: what the big key does beside closing it."""
        super().__init__()
        self._big_keys = big_keys
        self._arc_off = arc_off
        names = " or ".join(key_name(key) for key in big_keys)
        first = f"{names:<16} {does or 'nothing just now'}"
        rest = [f"{key_name(key.key):<16} {key.tooltip or key.description}" for key in keys]
        self._lines = [first, *rest, f"{'CTRL+P':<16} Everything, by name"]

    def compose(self) -> ComposeResult:
        with Box():
            yield PlainText("The keys of this screen. Any key closes this.", classes="asks")
            yield PlainText("\n".join(self._lines))

    def on_key(self, event: Key) -> None:
        event.stop()
        if self.is_active:
            self.dismiss()
            if event.key in self._big_keys:
                self._arc_off()
