"""A key typed that means nothing here: whoever typed it meant something else than comes next."""

from __future__ import annotations

from textual.events import Key

from cockpit.screens.shared.step import StepScreen
from cockpit.units import quoted


class WaryScreen(StepScreen):
    """Says of a letter that it is no key, and does not take the big key that follows it."""

    #: Something was typed that no key is for: the next press of the big key ended that.
    is_astray = False

    def minds_strays(self) -> bool:
        """Whether what is no key counts now; not where the big key must not wait."""
        return self.needs_room()

    def on_key(self, event: Key) -> None:
        """Note what no key is for."""
        known = event.key in self.cockpit.big_keys or event.key in self.active_bindings
        if self.is_ready and event.is_printable and not known and self.minds_strays():
            self.is_astray = True
            self.complain(f"{quoted(event.character or '')} is no key here.")

    def take_next(self) -> None:
        """Do what the bottom line says, unless something else was begun."""
        if not (self.is_astray and self.minds_strays()):
            super().take_next()
            return
        self.is_astray = False
        name = self.big_key_name()
        self.complain(f"Not taken: something else was typed. {name} again takes it.")
        self.refresh_next()
