"""Screens that may hold more than the terminal shows."""

from __future__ import annotations

from typing import ClassVar

from textual.binding import Binding, BindingType

from cockpit.screens.shared.step import StepScreen
from cockpit.widgets.page import Page


class PagedScreen(StepScreen):
    """A screen with a page: arrows turn it by some lines, the page keys by all that is seen."""

    BINDINGS: ClassVar[list[BindingType]] = [
        # One line of the help tells of both ways.
        Binding("down", "turn(3)", "more", id="more", show=False, tooltip="Further down; UP: up"),
        Binding("up", "turn(-3)", "less", id="less", show=False, system=True),
        Binding(
            "pagedown",
            "turn_over(1)",
            "page on",
            id="page-on",
            show=False,
            tooltip="A page further down; PAGE UP: up",
        ),
        Binding("pageup", "turn_over(-1)", "page back", id="page-back", show=False, system=True),
    ]

    def action_turn(self, lines: int) -> None:
        """Further down or up, where there is more than the screen holds."""
        self.query_one(Page).turn(lines)

    def action_turn_over(self, pages: int) -> None:
        """Whole pages down or up."""
        self.query_one(Page).turn_over(pages)
