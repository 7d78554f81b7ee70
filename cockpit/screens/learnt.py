"""What the shop's own burns taught, beside what was assumed before them."""

from __future__ import annotations

from collections.abc import Iterator

from textual.widget import Widget
from textual.widgets import Static

from cockpit.commands.learnt_lines import figure_lines
from cockpit.flow.learnt import figures
from cockpit.screens.shared.paged import PagedScreen
from cockpit.widgets.page import Page
from cockpit.widgets.plain_text import PlainText, shown_line


class LearntScreen(PagedScreen):
    """The four figures; the big key shows the burns that they come from."""

    def body(self) -> Iterator[Widget]:
        with Page(id="page"):
            yield PlainText(id="figures-learnt")

    def on_screen_resume(self) -> None:
        if self.is_ready:
            self.refresh_all()

    def heading(self) -> str:
        return "what was learnt"

    def show(self) -> None:
        shop = self.cockpit.floor.shop
        found = figures(shop.experience)
        lines = figure_lines(found, self.unit, shop.stock)
        self.query_one("#figures-learnt", Static).update("\n".join(map(shown_line, lines)))

    def next_words(self) -> str:
        return "look at the single burns"

    def next(self) -> None:
        self.cockpit.show_taught()
