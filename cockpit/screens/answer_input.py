"""A field for a word or a number, in which the big key still is the big key while it is empty."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from textual.events import Key
from textual.widgets import Input

if TYPE_CHECKING:
    from cockpit.app import CockpitApp


class AnswerInput(Input):
    """Empty, it leaves the big key to the screen; with something typed, Space is a space.

    ``starts_with``: the characters that may begin an answer; every other key is left to the screen
    while the field is empty, so that letters stay commands beside a field for numbers. Backspace in
    an empty field is left to the screen as well: it steps back.
    """

    DEFAULT_CSS = """
    AnswerInput {
        width: 1fr;
        max-width: 48;
        height: 1;
        border: none;
        padding: 0;
        background: $surface;
        &:focus { border: none; }
    }
    """

    def __init__(
        self,
        *,
        id: str,  # noqa: A002  # Textual's name
        placeholder: str = "",
        starts_with: str = "",
        max_length: int = 80,
    ) -> None:
        super().__init__(id=id, placeholder=placeholder, max_length=max_length)
        self._starts_with = starts_with

    async def _on_key(self, event: Key) -> None:
        if not self.value and not self._begins(event):
            return
        await super()._on_key(event)

    def _begins(self, event: Key) -> bool:
        """Whether a key begins an answer, rather than being one for the screen."""
        if event.key in (*cast("CockpitApp", self.app).big_keys, "question_mark"):
            return False
        character = event.character or ""
        return not self._starts_with or (character != "" and character in self._starts_with)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Leave Backspace and Enter to the screen while the field is empty."""
        if not self.value and action in ("delete_left", "submit"):
            return False
        return super().check_action(action, parameters)
