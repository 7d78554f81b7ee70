"""A field for text: one line of visible characters, however it comes in."""

from __future__ import annotations

from dataclasses import dataclass

from textual.events import Paste
from textual.message import Message
from textual.widgets import Input

from cockpit.text import MOST_LETTERS, one_line, visible


class TextField(Input):
    """What is pasted becomes one line; what does not fit is refused whole, and nothing is lost."""

    @dataclass
    class Full(Message):
        """No more fits into the field than ``most`` characters."""

        most: int

        @property
        def sentence(self) -> str:
            """What to tell the person."""
            return f"No more than {self.most} characters fit in here: say it shorter."

    def __init__(
        self,
        *,
        id: str | None = None,  # noqa: A002  # Textual's name
        placeholder: str = "",
        max_length: int = MOST_LETTERS,
        compact: bool = False,
    ) -> None:
        super().__init__(
            id=id,
            placeholder=placeholder,
            max_length=max_length,
            compact=compact,
            select_on_focus=False,
        )

    def validate_value(self, value: str) -> str:
        """Hold visible characters only, wherever they come from."""
        return visible(value)

    def _on_paste(self, event: Paste) -> None:
        # Textual calls the handlers of all base classes by itself; this keeps Input's from acting.
        event.prevent_default()
        event.stop()
        self.replace(one_line(event.text), *self.selection)

    def restricted(self) -> None:
        """Say it, instead of ringing the bell: that one is for calls."""
        if self.max_length is not None:
            self.post_message(self.Full(self.max_length))
