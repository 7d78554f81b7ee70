"""A field for a word or a number, in which the big key still is the big key while it is empty."""

from __future__ import annotations

import time
from math import inf

from textual.events import Key, MouseDown, Paste
from textual.widgets import Input

from cockpit.text import MOST_LETTERS
from cockpit.units import LengthUnit, with_its_unit
from cockpit.widgets.text_field import TextField

#: Backspaces that follow each other so soon are meant for the same thing, s (assumed).
RUN_S = 0.8
#: Left to the screen while nothing is typed: the usual big keys, and help; a pedal's key as well.
SCREEN_KEYS = frozenset({"space", "enter", "question_mark"})


class AnswerInput(TextField):
    """Empty, it leaves the big key to the screen; with something typed, Space is a space.

    ``starts_with``: the characters that may begin an answer; every other key is left to the screen
    while the field is empty, so that letters stay commands beside a field for numbers. Backspace in
    an empty field is left to the screen as well: it steps back.
    """

    DEFAULT_CSS = """
    AnswerInput {
        width: 1fr;
        max-width: 48;
    }
    """

    def __init__(
        self,
        *,
        id: str | None = None,  # noqa: A002  # Textual's name
        placeholder: str = "",
        starts_with: str = "",
        max_length: int = MOST_LETTERS,
    ) -> None:
        super().__init__(
            id=id,
            placeholder=placeholder,
            max_length=max_length,
            compact=True,
        )
        self.starts_with = starts_with
        self._bare: LengthUnit | None = None
        self._is_kept = False
        #: When Backspace emptied it last, s.
        self._emptied_s = -inf

    def _is_just_emptied(self) -> bool:
        """Whether Backspace has just emptied it: one more was meant for the field, not to go."""
        return time.monotonic() - self._emptied_s < RUN_S

    def stands_anew(self) -> None:
        """What stands here was answered before: a figure begun now takes its place.

        Any other key goes on with it.
        """
        self._is_kept = bool(self.value)

    def read_in(self, unit: LengthUnit | None) -> None:
        """A bare number is in ``unit`` from now on; None where the answer is no length.

        One that stands there keeps the unit that it was typed in, and shows it: a length never
        becomes another one because somebody wants to see the other unit.
        """
        before, self._bare = self._bare, unit
        if before is not None and unit is not None and before is not unit and self.value:
            with self.prevent(Input.Changed):
                self.value = with_its_unit(self.value, before, unit)
            self.cursor_position = len(self.value)

    async def _on_key(self, event: Key) -> None:
        # Textual calls the handlers of all base classes by itself; this keeps Input's from acting.
        if not self._takes(event.key, event.character):
            event.prevent_default()
        elif self._is_kept:
            self._is_kept = False
            if event.character and self.starts_with and event.character in self.starts_with:
                with self.prevent(Input.Changed):
                    self.value = ""

    def _on_paste(self, event: Paste) -> None:
        # The field of all texts puts it in, once this one is empty.
        if self._is_kept:
            self._is_kept = False
            self.value = ""

    async def _on_mouse_down(self, _event: MouseDown) -> None:
        # Whoever puts the cursor somewhere goes on with what stands there.
        self._is_kept = False

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """Whether the key is typed here; Textual asks before it looks for a key binding."""
        return self._takes(key, character) and super().check_consume_key(key, character)

    def _takes(self, key: str, character: str | None) -> bool:
        """Whether a key goes on with an answer or begins one, rather than being the screen's."""
        if self.value or (key == "backspace" and self._is_just_emptied()):
            return True
        # The app knows which keys are big ones; one that has none is only trying this field out.
        if key in (*SCREEN_KEYS, *getattr(self.app, "big_keys", ())) or not character:
            return False
        return not self.starts_with or character in self.starts_with

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Leave Backspace and Enter to the screen while the field is empty."""
        if action == "delete_left" and len(self.value) == 1:
            self._emptied_s = time.monotonic()
        if not self.value and action in ("delete_left", "submit"):
            return action == "delete_left" and self._is_just_emptied()
        return super().check_action(action, parameters)
