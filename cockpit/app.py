"""The cockpit on the screen: a thin list of screens and the shop floor they work on."""

from __future__ import annotations

import argparse
import asyncio
import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

from textual.actions import ActionParseResult
from textual.app import SystemCommand
from textual.dom import DOMNode
from textual.events import Event, Key
from textual.filter import LineFilter
from textual.screen import Screen

from cockpit import locations, profiles
from cockpit.commands import CommandError
from cockpit.commands.answer import ask_for_patience, data_folder, sentences
from cockpit.flow import demo
from cockpit.flow.bench import closing_words
from cockpit.flow.clock import FastClock, WallClock
from cockpit.flow.floor import ShopFloor
from cockpit.flow.gauge_choice import GaugeChoice, remember, remembered
from cockpit.flow.intake import Draft
from cockpit.flow.kept import KeptError
from cockpit.flow.preferences import PreferenceBook, Preferences
from cockpit.flow.steps import Step
from cockpit.gauges import GaugeError
from cockpit.log import questions
from cockpit.log.store import LogError
from cockpit.profiles import ProfileError
from cockpit.screens.bench import BenchScreen
from cockpit.screens.correct import CorrectScreen
from cockpit.screens.daily import DailyScreen
from cockpit.screens.gauge import GaugeScreen
from cockpit.screens.help import HelpScreen
from cockpit.screens.holepage import HolePageScreen
from cockpit.screens.learnt import LearntScreen
from cockpit.screens.preferences import PreferencesScreen
from cockpit.screens.route import screen_for
from cockpit.screens.shared import palette, pedal, themes
from cockpit.screens.shared.heard import Heard
from cockpit.screens.shared.keygate import BIG, SETTLE_S, KeyGate, Press
from cockpit.screens.shared.leaving import LeavingApp
from cockpit.screens.shared.step import StepScreen
from cockpit.screens.shift import ShiftScreen
from cockpit.screens.shiftlog import ShiftLogScreen
from cockpit.screens.stock import StockScreen
from cockpit.screens.taught import TaughtScreen
from cockpit.screens.ticket import TicketScreen
from cockpit.screens.word import WordScreen
from cockpit.trade.errors import TradeError
from cockpit.units import LengthUnit
from cockpit.widgets.plain_text import PlainLines
from cockpit.widgets.text_field import TextField

#: What is said of a press of the big key that came before what it would answer can be read.
TOO_SOON = "Too soon, and not taken: look, then press again."


class CockpitApp(LeavingApp):
    """The cockpit. It reads a gauge and keeps a log; it has no output to the machine."""

    TITLE = "burn cockpit"
    CSS_PATH = "screens/cockpit.tcss"
    ENABLE_COMMAND_PALETTE = True

    def __init__(self, floor: ShopFloor, *, guide: Guide | None = None) -> None:
        """``guide``: which gauge it is has to be picked first."""
        super().__init__(floor)
        self._last_filters = [PlainLines(), *themes.offer(self)]
        self._guide = guide
        folder = floor.store.path.parent
        self.book = PreferenceBook(folder, themes.NAMES, pedal.why_not)
        self.heard = Heard(self, self.book)
        self.gate = KeyGate()
        #: Whether the key that came last was for a field.
        self._is_typed = False
        self.draft: Draft | None = None
        #: The hole that was in hand last, and is not closed.
        self.put_down: int | None = None
        #: What was typed into a box of words and neither kept nor thrown away, by what it is about.
        self._unsaid: dict[str, str] = {}
        #: The offsets typed of a spot that are not kept yet, by hole and number of burns.
        self.offsets: dict[tuple[int, int], tuple[str, str]] = {}

    def on_mount(self) -> None:
        self.never_wait_for_the_terminal()
        self.leave_when_told()
        if self._guide is None:
            self.to_bench()
        else:
            self.go(GaugeScreen(self._guide.port, self._guide.said))
        self.theme = self.preferences.theme
        if said := self.book.trouble:
            # Once the screen has said what it knows itself.
            known = (self._guide.said if self._guide else "", self.floor.notice, said)
            self.screen.call_later(self.complain, " ".join(filter(None, known)))

    async def on_unmount(self) -> None:
        self.heard.close()
        if not self.book.is_kept:
            # What was set a moment ago is still on its way.
            await asyncio.to_thread(self.book.keep)

    def get_line_filters(self) -> Sequence[LineFilter]:
        """Have every line of every widget mended last of all, Textual's own widgets' too."""
        return [*super().get_line_filters(), *self._last_filters]

    # Which presses count -----------------------------------------------------------------------

    async def on_event(self, event: Event) -> None:
        """Let each key through that counts: what bounces or is held is no second press.

        Overrides Textual's own, through which everything comes: only here are keys in the order in
        which they came.
        """
        if isinstance(event, Key) and not event.is_forwarded:
            press = self._press(event)
            if press is Press.WAITING:
                self.set_timer(SETTLE_S + 0.01, partial(self._settle, event, self.screen))
            if press is not Press.TAKEN:
                return
        await super().on_event(event)

    def _press(self, event: Key) -> Press:
        """What a key comes to, as it comes."""
        screen, key = self.screen, event.key
        self._is_typed = self._goes_on_typing(event)
        is_big = key in self.big_keys and not self._is_typed
        self.gate.saw(event.time, BIG if is_big or key == "enter" else key, key)
        if isinstance(screen, StepScreen) and (is_big or screen.is_gated(key)):
            press = self.gate.verdict(is_stop=is_big and self.arc_is_on)
            if is_big and press is Press.DROPPED and self.gate.was_too_soon:
                screen.complain(TOO_SOON)
            return press
        return Press.DROPPED if key == "enter" and self.gate.bounces else Press.TAKEN

    def _goes_on_typing(self, event: Key) -> bool:
        """Whether a key is for the field in hand: it may come before the ones before it are there.

        A text that is pasted, or that a gauge types, comes in one go.
        """
        field, screen = self.screen.focused, self.screen
        if not isinstance(field, TextField):
            return False
        is_typing = isinstance(screen, StepScreen) and screen.is_typing and event.key == "enter"
        in_one_go = self._is_typed and self.gate.is_quick(event.time)
        return is_typing or in_one_go or field.check_consume_key(event.key, event.character)

    async def _settle(self, event: Key, screen: Screen[object]) -> None:
        """A press that waited counts, unless more followed or what it was meant for is gone."""
        if self.gate.settle(time.monotonic()) and self.screen is screen:
            await super().on_event(event)

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
            self.put_down, self.hole = self.hole.id, None
        if self.floor.shift is None:
            self.go(ShiftScreen())
        elif self.floor.daily_left():
            self.go(DailyScreen())
        else:
            self.go(BenchScreen())

    def ask_gauge(self) -> None:
        """Pick another gauge; nothing changes until one is picked."""
        self.go(GaugeScreen(self.floor.gauge_port))

    def pick_gauge(self, name: str, port: str | None) -> None:
        """Read with this gauge from now on, and at the next start. Raises GaugeError, ValueError.

        A choice that can't be kept holds for now all the same, and says so.
        """
        if (name, port) != (self.floor.gauge_name, self.floor.gauge_port):
            self.floor.change_gauge(name, port)
        try:
            remember(self.floor.store.path.parent, GaugeChoice(profile=name, port=port))
        except KeptError as error:
            self.floor.notice = str(error)
        self.to_bench()

    def take_up(self, hole_id: int) -> None:
        """Take a hole in hand, where it stands; what was noted on it is shown."""
        self.hole = self.floor.take_up(hole_id)
        said = " ".join(filter(None, (self.hole.asks_first, self.hole.last_note())))
        self.follow()
        if said:
            self.screen.call_later(self.complain, said)

    def follow(self) -> None:
        """Show the screen of the step at which the hole in hand stands."""
        if self.hole is None or self.hole.step is Step.ENDED:
            self.to_bench()
        else:
            self.go(screen_for(self.hole))

    def take_in(self) -> None:
        """Take in a hole: go on with the ticket that was left, or carry over from the last."""
        job, last = self.floor.last_taken_in() or (None, None)
        self.go(TicketScreen(job, last))

    def half_ticket(self) -> str:
        """That a ticket is half filled in, and whose; empty where none is."""
        if self.draft is None or not self.draft.is_begun:
            return ""
        whose = self.draft.answers.get("customer")
        return f"A ticket is half filled in{f', {whose}' if whose else ''}: N goes on with it."

    def half_done(self) -> str:
        is_begun = self.draft is not None and self.draft.is_begun
        return "The ticket that is half filled in would be gone." if is_begun else ""

    def correct_ticket(self) -> None:
        """Correct the ticket of the hole in hand."""
        if self.hole is not None:
            self.go(TicketScreen(self.hole.row.job, self.hole.ticket, of=self.hole))

    def hole_closed(self) -> None:
        """The hole in hand has its outcome."""
        closed = self.hole
        self.put_down = self.hole = None
        self.to_bench()
        if closed is not None:
            self.screen.call_later(self.tell, f"{closed.row.label}: closed, and in the log.")

    def show_log(self) -> None:
        """The shift log."""
        self.go(ShiftLogScreen())

    def show_stock(self) -> None:
        """The electrodes that are left."""
        self.go(StockScreen())

    def show_learnt(self) -> None:
        """What the shop's own burns taught."""
        self.go(LearntScreen())

    def show_taught(self) -> None:
        """What each burn taught, over what all of them did."""
        self.push_screen(TaughtScreen())

    def show_hole(self, hole_id: int) -> None:
        """One hole of the log, over the list it was picked from."""
        self.push_screen(HolePageScreen(hole_id))

    def correct(self, hole_id: int, label: str) -> None:
        """Say again what was wrong about a hole, over its page."""
        self.push_screen(CorrectScreen(hole_id, label))

    def end_shift(self) -> None:
        """Close the shift with a note for the next one."""
        asks = closing_words(self.floor.totals(), self.floor.half_done())

        def answered(kept: bool | None) -> None:
            if kept:
                self.to_bench()

        box = WordScreen(
            asks,
            self.floor.close_shift,
            empty=True,
            unsaid=self._unsaid,
            about="handover",
            keeps="ends the shift",
        )
        self.push_screen(box, answered)

    def ask_word(
        self,
        asks: str,
        keep: Callable[[str], None],
        then: Callable[[], None] | None = None,
        *,
        waits: bool = True,
        insists: bool = False,
    ) -> None:
        """Ask for one line of text over the screen, and keep it; ``then`` go on.

        ``waits``: what Escape leaves in it is there again, whoever comes then.
        """
        # A note that is not kept yet waits for its own hole.
        about = f"{asks}, {self.hole.id if self.hole else 'no hole'}"
        arc_keys = self.big_keys if self.arc_is_on else ()
        box = WordScreen(
            asks,
            keep,
            insists=insists,
            unsaid=self._unsaid if waits else None,
            about=about,
            arc_keys=arc_keys,
            arc_off=self.arc_off,
        )

        def answered(kept: bool | None) -> None:
            if kept and then is not None:
                # The box is still there while it says this.
                self.call_later(then)
            elif kept:
                self.tell("Kept in the log.")

        self.push_screen(box, answered)

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
        return f"{row.job.customer}   {row.label}   {row.what}"

    # Keys and what is set, which hold everywhere -------------------------------------------------

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

    @property
    def preferences(self) -> Preferences:
        """What the operator has set."""
        return self.book.now

    @property
    def unit(self) -> LengthUnit:
        """The operator's unit."""
        return self.book.now.unit

    @property
    def muted(self) -> bool:
        """Whether nothing is to be heard; what is called stays visible."""
        return self.book.now.muted

    @property
    def big_keys(self) -> tuple[str, ...]:
        """The keys that do the next expected thing; the first is the one that is named."""
        own = self.book.now.pedal
        return tuple(dict.fromkeys((own, *pedal.ALWAYS) if own else pedal.ALWAYS))

    def prefer(self, **values: object) -> None:
        """Set something, everywhere at once and at the next start. Raises ValueError."""
        self.book.change(**values)
        self.theme = self.preferences.theme
        for screen in self.screen_stack:
            if isinstance(screen, StepScreen):
                screen.refresh_all()
        self.run_worker(self._keep_preferences())

    async def _keep_preferences(self) -> None:
        """Keep what is set beside what goes on: nobody waits for a disk to see another unit."""
        await asyncio.to_thread(self.book.keep)
        if self.book.trouble:
            self.complain(self.book.trouble)

    def switch_unit(self) -> None:
        """Inch instead of millimetre, or back, everywhere at once."""
        self.prefer(unit=LengthUnit.INCH if self.unit is LengthUnit.MM else LengthUnit.MM)

    def switch_mute(self) -> None:
        """Sound off or on; what is called stays visible."""
        self.prefer(muted=not self.muted)

    @property
    def arc_is_on(self) -> bool:
        """Whether the arc clock runs."""
        live = self.hole.live_or_none if self.hole is not None else None
        return live is not None and live.arc_on

    def can_set(self) -> bool:
        """Whether this is the time for preferences: not with the arc on, and not twice."""
        is_there = any(isinstance(screen, PreferencesScreen) for screen in self.screen_stack)
        return not is_there and not self.arc_is_on

    def show_preferences(self) -> None:
        """What can be set, over the screen, which stays as it is."""
        if self.can_set():
            self.push_screen(PreferencesScreen())

    def show_keys(self, screen: StepScreen) -> None:
        """The keys of a screen, over it."""
        keys, does = screen.other_keys(), screen.next_words()
        self.push_screen(HelpScreen(keys, does, self.big_keys, self.arc_off))

    def arc_off(self) -> None:
        """The big key was pressed over a burn: what covers it is away by the time it is taken."""
        if self.arc_is_on:
            self.call_later(self.call_later, self._press_below)

    def _press_below(self) -> None:
        if self.arc_is_on and isinstance(self.screen, StepScreen):
            self.screen.take_next()

    def action_command_palette(self) -> None:
        """Everything that can be done, by name; asked for in words that are not a programmer's."""
        if not isinstance(self.screen, palette.Palette):
            self.push_screen(palette.Palette())

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """Everything that can be done, in the command palette."""
        return palette.commands(self, screen)


def open_cockpit(asked: argparse.Namespace) -> None:
    """Open the cockpit on the log that was asked for. Raises CommandError."""
    gauge = asked.gauge or (demo.GAUGE if asked.demo else "typed")
    clock = FastClock(asked.speed or demo.SPEED) if asked.demo else WallClock()
    folder = data_folder(asked.data, asked.demo)
    ask_for_patience(folder / locations.LOG_NAME, "looking through it")
    with sentences(GaugeError, LogError, ProfileError):
        floor = ShopFloor(
            folder,
            machine=asked.machine or profiles.STANDARD,
            gauge=gauge,
            port=asked.port if asked.gauge else None,
            clock=clock,
        )
    with floor:
        if asked.demo:
            with sentences(LogError, TradeError):
                if isinstance(clock, FastClock):
                    demo.go_on(floor, clock)
                demo.stock(floor)
        guide = None if asked.demo or asked.gauge else _guided(floor, asked.port)
        app = CockpitApp(floor, guide=guide)
        app.run()
        app.has_left()
        if floor.shift is not None:
            ask_for_patience(floor.store.path, "keeping a copy of it")
    if app.trouble:
        raise CommandError(app.trouble)


@dataclass(frozen=True, slots=True)
class Guide:
    """What the guide to a gauge begins with: a port that was named, and what went wrong."""

    port: str | None = None
    said: str = ""


def _guided(floor: ShopFloor, port: str | None) -> Guide | None:
    """Use the gauge that was picked before; a guide to one where that is not known, or not so."""
    said = ""
    try:
        choice = remembered(floor.store.path.parent)
        if choice is not None and port in (None, choice.port):
            floor.use_gauge(choice.profile, choice.port)
            return None
    except (KeptError, GaugeError, ProfileError) as error:
        said = str(error)
    is_new = questions.last_shift(floor.store.connection) is None
    return Guide(port, said) if is_new or port or said else None
