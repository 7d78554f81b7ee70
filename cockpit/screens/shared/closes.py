"""Screens that lie over another one, and go away once only."""

from __future__ import annotations

from typing import TypeVar

from textual.await_complete import AwaitComplete
from textual.screen import Screen

Said = TypeVar("Said")


class ClosesOnce(Screen[Said]):
    """Of two keys in a burst, the second would take the screen beneath away as well."""

    def dismiss(self, result: Said | None = None) -> AwaitComplete:
        """Go away, unless this screen has gone already."""
        return super().dismiss(result) if self.is_active else AwaitComplete()
