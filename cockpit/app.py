"""The cockpit on the screen: a thin list of screens and the shop floor they work on."""

from __future__ import annotations

import argparse
import time
import traceback
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import suppress
from math import inf
from typing import ClassVar

from textual.actions import ActionParseResult
from textual.app import App, SystemCommand
from textual.binding import Binding, BindingType
from textual.dom import DOMNode
from textual.filter import LineFilter
from textual.screen import Screen

from cockpit import profiles
from cockpit.burn.calls import Call
from cockpit.commands import CommandError
from cockpit.commands.answer import data_folder, sentences
from cockpit.flow import demo
from cockpit.flow.clock import FastClock, WallClock
from cockpit.flow.floor import ShopFloor
from cockpit.flow.hole import HoleInHand
from cockpit.flow.intake import Draft
from cockpit.flow.steps import Step
from cockpit.gauges import GaugeError
from cockpit.log.store import LogError
from cockpit.profiles import ProfileError
from cockpit.screens import bells
from cockpit.screens.bench import BenchScreen
from cockpit.screens.help import HelpScreen
from cockpit.screens.holepage import HolePageScreen
from cockpit.screens.keygate import KeyGate
from cockpit.screens.route import screen_for
from cockpit.screens.shift import DailyScreen, ShiftScreen
from cockpit.screens.shiftlog import ShiftLogScreen
from cockpit.screens.step import StepScreen
from cockpit.screens.ticket import TicketScreen
from cockpit.screens.word import WordScreen
from cockpit.text import page
from cockpit.trade.errors import TradeError
from cockpit.units import LengthUnit
from cockpit.widgets.plain_text import PlainLines

#: Whoever leaves again within so long leaves, whatever is lost by it, s.
LEAVE_AGAIN_S = 20.0


class CockpitApp(App[None]):
    """The cockpit. It reads a gauge and keeps a log; it has no output to the machine."""

    TITLE = "burn cockpit"
    CSS_PATH = "screens/cockpit.tcss"
    ENABLE_COMMAND_PALETTE = True
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+q", "leave", "quit", id="quit", show=False, priority=True),
    ]

    def __init__(self, floor: ShopFloor, *, big_keys: tuple[str, ...] = ("space", "enter")) -> None:
        super().__init__()
        self.floor = floor
        self._plain_lines = PlainLines()
        self.big_keys = big_keys
        self.hole: HoleInHand | None = None
        self.gate = KeyGate()
        self.unit = LengthUnit.MM
        self.muted = False
        self.trouble = ""
        #: When the operator was told last what is lost by leaving, s.
        self._told_of_loss_s = -inf
        self.draft: Draft | None = None

    def on_mount(self) -> None:
        self.to_bench()

    def get_line_filters(self) -> Sequence[LineFilter]:
        """Have every line of every widget mended last of all, Textual's own widgets' too."""
        return [*super().get_line_filters(), self._plain_lines]

    # Where to go -------------------------------------------------------------------------------

    def go(self, screen: StepScreen) -> None:
        """Show this screen instead of all that are there."""
        while len(self.screen_stack) > 2:
            self.pop_screen()
        if len(self.screen_stack) > 1:
            self.switch_screen(screen)
        else:
            self.push_screen(screen)

    def to_bench(self) -> None:
        """Put the hole down and show the bench; without a shift, open one first."""
        if self.hole is not None:
            self.hole.leave()
            self.hole = None
        if self.floor.shift is None:
            self.go(ShiftScreen())
        elif self.floor.daily_left():
            self.go(DailyScreen())
        else:
            self.go(BenchScreen())

    def take_up(self, hole_id: int) -> None:
        """Take a hole in hand, where it stands."""
        self.hole = self.floor.take_up(hole_id)
        self.follow()

    def follow(self) -> None:
        """Show the screen of the step at which the hole in hand stands."""
        if self.hole is None or self.hole.step is Step.ENDED:
            self.to_bench()
        else:
            self.go(screen_for(self.hole))

    def action_leave(self) -> None:
        """Put the hole down and leave the cockpit; what can't be kept is said once before."""
        try:
            if self.hole is not None:
                self.hole.leave()
        except LogError as error:
            now_s = time.monotonic()
            if now_s - self._told_of_loss_s > LEAVE_AGAIN_S:
                self._told_of_loss_s = now_s
                self.complain(f"{error} Leave again to leave without them.")
                return
        self.exit()

    def complain(self, sentence: str) -> None:
        """Show what is wrong on the screen of the way, whatever lies over it."""
        for screen in reversed(self.screen_stack):
            if isinstance(screen, StepScreen):
                screen.complain(sentence)
                return

    def take_in(self) -> None:
        """Take in a hole: go on with the ticket that was left, or carry over from the last."""
        job, last = self.floor.last_taken_in() or (None, None)
        self.go(TicketScreen(job, last))

    def correct_ticket(self) -> None:
        """Correct the ticket of the hole in hand."""
        if self.hole is not None:
            self.go(TicketScreen(self.hole.row.job, self.hole.ticket, of=self.hole))

    def hole_closed(self) -> None:
        """The hole in hand has its outcome."""
        self.hole = None
        self.to_bench()

    def show_log(self) -> None:
        """The shift log."""
        self.go(ShiftLogScreen())

    def show_hole(self, hole_id: int) -> None:
        """One hole of the log, over the list it was picked from."""
        self.push_screen(HolePageScreen(hole_id))

    def end_shift(self) -> None:
        """Close the shift with a note for the next one."""
        asks = "The shift ends. A note for the next one?"

        def answered(kept: bool | None) -> None:
            if kept:
                self.to_bench()

        self.push_screen(WordScreen(asks, self.floor.close_shift, empty=True), answered)

    def ask_word(self, asks: str, keep: Callable[[str], None]) -> None:
        """Ask for one line of text over the screen, and keep it."""
        self.push_screen(WordScreen(asks, keep))

    @property
    def is_demo(self) -> bool:
        """Whether the readings are invented."""
        return self.floor.gauge.profile.source == "simulated"

    def hole_name(self) -> str:
        """The hole in hand, in a few words."""
        hole = self.hole
        if hole is None:
            return ""
        row = hole.row
        return f"{row.job.customer}   {row.label}   {row.thread} {row.broken}"

    # When something goes wrong that nobody foresaw ----------------------------------------------

    def _handle_exception(self, error: Exception) -> None:
        """Leave with one sentence; the traceback goes to a file for whoever mends it.

        Overrides Textual's own, which would print the traceback over the operator's screen.
        """
        if self.is_headless:
            super()._handle_exception(error)
            return
        with suppress(Exception):
            # What waits for the disk must not be lost to somebody else's mistake.
            if self.hole is not None:
                self.hole.leave()
        path = self.floor.store.path.parent / "trouble.txt"
        with suppress(OSError), path.open("a", encoding="utf-8") as file:
            file.write(page("".join(traceback.format_exception(error))))
        self.trouble = (
            f"The cockpit had to close ({type(error).__name__}); what it had confirmed is in the "
            f"log. Open it again to go on; {path} tells whoever mends it what happened."
        )
        self.exit(return_code=1)

    async def run_action(
        self,
        action: str | ActionParseResult,
        default_namespace: DOMNode | None = None,
        namespaces: Mapping[str, DOMNode] | None = None,
    ) -> bool:
        """Run what a key is bound to, unless its screen is still being put up."""
        if isinstance(self.screen, StepScreen) and not self.screen.is_ready:
            return False
        return await super().run_action(action, default_namespace, namespaces)

    # What holds everywhere ---------------------------------------------------------------------

    def switch_unit(self) -> None:
        """Inch instead of millimetre, or back, everywhere at once."""
        self.unit = LengthUnit.INCH if self.unit is LengthUnit.MM else LengthUnit.MM
        for screen in self.screen_stack:
            if isinstance(screen, StepScreen):
                screen.refresh_all()

    def switch_mute(self) -> None:
        """Sound off or on; what is called stays visible."""
        self.muted = not self.muted
        if isinstance(self.screen, StepScreen):
            self.screen.refresh_all()

    def ring(self, call: Call) -> None:
        """Sound a call, unless muted."""
        if not self.muted:
            bells.ring(self, call.kind)

    def show_keys(self, screen: StepScreen) -> None:
        """The keys of a screen, over it."""
        self.push_screen(HelpScreen(screen.other_keys(), screen.next_words(), self.big_keys))

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """Everything a screen's keys can do, in the command palette as well."""
        if isinstance(screen, StepScreen):
            for key in screen.other_keys():
                yield SystemCommand(
                    key.description.capitalize(), key.tooltip, self._deed(screen, key.action)
                )
        yield SystemCommand("Quit", "Put the hole down and leave the cockpit", self.action_leave)

    @staticmethod
    def _deed(screen: StepScreen, action: str) -> bells.Deed:
        async def deed() -> None:
            await screen.run_action(action)

        return deed


def open_cockpit(asked: argparse.Namespace) -> None:
    """Open the cockpit on the log that was asked for. Raises CommandError."""
    gauge = asked.gauge or (demo.GAUGE if asked.demo else "typed")
    clock = FastClock(asked.speed or demo.SPEED) if asked.demo else WallClock()
    with sentences(GaugeError, LogError, ProfileError):
        floor = ShopFloor(
            data_folder(asked.data, asked.demo),
            machine=asked.machine or profiles.STANDARD,
            gauge=gauge,
            port=asked.port,
            clock=clock,
        )
    with floor:
        if asked.demo:
            with sentences(LogError, TradeError):
                demo.stock(floor)
        app = CockpitApp(floor)
        app.run()
    if app.trouble:
        raise CommandError(app.trouble)
