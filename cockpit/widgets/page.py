"""What may be longer than the screen: it is scrolled, and a line says that there is more."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Vertical, VerticalScroll
from textual.events import Resize
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Static

from cockpit.widgets.plain_text import PlainText


def more_words(above: int, below: int) -> str:
    """How much is out of sight, and which keys bring it.

    >>> more_words(0, 12), more_words(3, 1)
    ('DOWN for 12 more lines', 'DOWN for 1 more line   UP for 3')
    """
    down = f"DOWN for {below} more {'line' if below == 1 else 'lines'}" if below else ""
    return "   ".join(filter(None, (down, f"UP for {above}" if above else "")))


class Page(Vertical):
    """Its widgets one below the other. ``turn`` scrolls them; a screen binds its keys to that."""

    DEFAULT_CSS = """
    Page {
        height: 1fr;
        & > VerticalScroll { height: 1fr; scrollbar-size-vertical: 1; }
        & > .page--more { height: 1; text-style: bold; display: none; }
    }
    """

    class Turned(Message):
        """What is in sight has changed."""

    def __init__(self, *, id: str) -> None:  # noqa: A002  # Textual's name
        super().__init__(id=id)
        self._held: list[Widget] = []

    def compose_add_child(self, widget: Widget) -> None:
        """Take a widget of the with-block onto the page."""
        self._held.append(widget)

    def compose(self) -> ComposeResult:
        scroll = VerticalScroll(*self._held)
        scroll.can_focus = False
        yield scroll
        yield PlainText(classes="page--more")

    def on_mount(self) -> None:
        for what in ("scroll_y", "virtual_size"):
            self.watch(self._scroll, what, self._say, init=False)

    def on_resize(self, _event: Resize) -> None:
        self._say()

    @property
    def _scroll(self) -> VerticalScroll:
        return self.query_one(VerticalScroll)

    @property
    def lines_below(self) -> int:
        """How many lines are out of sight further down."""
        scroll = self._scroll
        return max(scroll.virtual_size.height - scroll.size.height - round(scroll.scroll_y), 0)

    def _say(self) -> None:
        more = self.query_one(".page--more", Static)
        more.display = self._scroll.virtual_size.height > self.size.height
        more.update(more_words(round(self._scroll.scroll_y), self.lines_below))
        self.post_message(self.Turned())

    def turn(self, by: int) -> None:
        """Scroll by so many lines, down or up."""
        self._scroll.scroll_relative(y=by, animate=False)

    def turn_over(self, pages: int = 1) -> None:
        """As far down, or up, as nothing is passed over."""
        self.turn(pages * max(self._scroll.size.height - 1, 1))

    def hides(self, widget: Widget) -> bool:
        """Whether the end of a widget on this page is still out of sight, further down."""
        seen_to = round(self._scroll.scroll_y) + self._scroll.size.height
        return widget.display and widget.virtual_region.bottom > seen_to

    def to_top(self) -> None:
        """Back to the first line."""
        self._scroll.scroll_home(animate=False)
