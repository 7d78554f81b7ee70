"""Screens that go away once only, and know that they have."""

from __future__ import annotations

from typing import TypeVar

from textual.await_complete import AwaitComplete
from textual.screen import Screen

Said = TypeVar("Said")


class ClosesOnce(Screen[Said]):
    """Of two keys in a burst, the second would take the screen beneath away as well."""

    @property
    def is_left(self) -> bool:
        """Whether another screen has taken its place; messages to it may still be on their way."""
        return self not in self.app.screen_stack

    def dismiss(self, result: Said | None = None) -> AwaitComplete:
        """Go away, unless this screen has gone already."""
        return super().dismiss(result) if self.is_active else AwaitComplete()
