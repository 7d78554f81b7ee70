"""What a text that is being typed may become; a key puts one of them into the field."""

from __future__ import annotations

from collections.abc import Callable

from cockpit.widgets.columns import flow
from cockpit.widgets.plain_text import PlainText
from cockpit.widgets.terminal import ascii_only


class Offers(PlainText):
    """One line of what is offered, the chosen one marked; away while there is nothing to offer.

    The offers belong to what a person typed, and stay while one of them stands in the field.
    """

    DEFAULT_CSS = """
    Offers { height: auto; display: none; }
    """

    def __init__(self) -> None:
        super().__init__(id="offers")
        #: What is offered now.
        self.offered: tuple[str, ...] = ()
        self._typed = ""
        self._chosen = -1

    def go_on_from(self, text: str, offers: Callable[[str], tuple[str, ...]]) -> None:
        """Offer what goes on from this text, unless it is one that was chosen here."""
        if self._chosen < 0 or text != self.offered[self._chosen]:
            self._typed, self._chosen = text, -1
            self.offered = tuple(one for one in offers(text) if one != text) if text else ()
        self._show()

    def choose(self, by: int) -> str:
        """Give the next of what is offered, or the one before; before the first is what was typed.

        What was typed comes round again behind the last.
        """
        self._chosen = (self._chosen + 1 + by) % (len(self.offered) + 1) - 1
        return self._typed if self._chosen < 0 else self.offered[self._chosen]

    def _show(self) -> None:
        mark = ">" if ascii_only() else "►"
        names = [
            f"{mark if place == self._chosen else ' '} {name}"
            for place, name in enumerate(self.offered)
        ]
        self.display = bool(names)
        self.update("\n".join(flow(["TAB offers", *names], self.app.size.width - 2)))
