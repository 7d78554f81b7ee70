"""What lies at the foot of a screen for a while, the figures above it in sight and live."""

from __future__ import annotations

from textual.app import App
from textual.containers import VerticalScroll
from textual.events import Resize

from cockpit.screens.shared.step import StepScreen
from cockpit.widgets.next_line import NextLine


class Box(VerticalScroll):
    """Its widgets from edge to edge; the screen beneath makes room for it."""

    DEFAULT_CSS = """
    Box {
        dock: bottom;
        width: 1fr;
        height: auto;
        max-height: 60%;
        padding: 0 1;
        background: $panel;
        & > .asks { text-style: bold; }
    }
    """
    can_focus = False

    def __init__(self) -> None:
        super().__init__(id="box")

    def on_resize(self, event: Resize) -> None:
        _make_room(self.app, event.size.height)

    def on_unmount(self) -> None:
        _make_room(self.app, 0)


def _make_room(app: App[object], lines: int) -> None:
    """Have the screens of the way keep so many lines at their foot free: none, when it is over."""
    for screen in app.screen_stack:
        if isinstance(screen, StepScreen) and screen.is_ready:
            # What the big key does is not for now: the box takes the keys.
            screen.query_one(NextLine).display = lines == 0
            screen.styles.padding = (0, 0, lines, 0)
