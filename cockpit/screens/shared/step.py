"""What the screens of the way have in common: the big key, the bottom line, the way back."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, ClassVar, cast

from textual import on
from textual.actions import parse
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container, Horizontal
from textual.events import Key
from textual.widget import Widget
from textual.widgets import Static

from cockpit.flow.hole import HoleInHand
from cockpit.gauges import GaugeError
from cockpit.log.store import LogError
from cockpit.screens.shared import room
from cockpit.screens.shared.closes import ClosesOnce
from cockpit.screens.shared.keys import bindings_of, key_name, types_nothing, written
from cockpit.screens.shared.quiet import TIDY_UP_AFTER_S, tidy_up
from cockpit.trade.errors import TradeError
from cockpit.units import LengthUnit
from cockpit.widgets.answer_input import AnswerInput
from cockpit.widgets.call_line import CallLine
from cockpit.widgets.next_line import NextLine
from cockpit.widgets.plain_text import PlainText, shown_line
from cockpit.widgets.text_field import TextField

if TYPE_CHECKING:
    from cockpit.app import CockpitApp

#: What the big key waits for: something typed, or typed right.
TYPED_FIRST, TYPED_WRONG = "once it is typed", "mend it first, or empty the field"


class StepScreen(ClosesOnce[None]):
    """A screen on which one key always does the next expected thing.

    A screen says what that is (``next_words``), does it (``next``), and says how to step back
    (``back``). Errors are sentences and go beside what they are about (``complain``).
    """

    AUTO_FOCUS = ""
    HORIZONTAL_BREAKPOINTS = room.WIDTHS
    VERTICAL_BREAKPOINTS = room.HEIGHTS
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("backspace", "back", "back", id="back", tooltip="Step back; nothing is lost"),
        Binding("escape", "bench", "bench", id="bench", tooltip="To the bench; the hole is kept"),
        Binding("u,U", "unit", "inch/mm", id="unit", tooltip="Switch between inch and millimetre"),
        Binding(
            "m,M", "mute", "mute", id="mute", tooltip="Sound off or on; the calls stay visible"
        ),
        Binding("question_mark", "keys", "keys", id="keys", tooltip="The keys of this screen"),
    ]

    def compose(self) -> ComposeResult:
        with Horizontal(id="top"):
            yield PlainText(id="title")
            yield PlainText(id="unit")
            yield PlainText("MUTED", id="muted")
        with Container(id="body"):
            yield from self.body()
            yield PlainText(id="small")
        yield PlainText(id="complaint")
        yield CallLine()
        yield NextLine()

    #: Whether the widgets are there: a key that comes sooner was meant for the screen before.
    is_ready = False
    #: How often the screen looks at the gauge, s; None on a screen that shows nothing live.
    LOOK_EVERY_S: ClassVar[float | None] = None

    def on_mount(self) -> None:
        self.begin()
        if self.LOOK_EVERY_S is not None:
            self.set_interval(self.LOOK_EVERY_S, self.look)
        self.is_ready = True
        self.refresh_all()
        self.set_timer(TIDY_UP_AFTER_S, tidy_up)

    # What each screen says for itself ----------------------------------------------------------

    def body(self) -> Iterator[Widget]:
        """The widgets between the title and the bottom lines."""
        yield from ()

    def begin(self) -> None:
        """Called once, when the widgets are there."""

    def look(self) -> None:
        """Look at the gauge and show what it says; called every ``LOOK_EVERY_S``."""

    def heading(self) -> str:
        """The line at the top."""
        return ""

    def next_words(self) -> str:
        """What the big key does now; empty when it does nothing."""
        return ""

    def next(self) -> None:
        """Do what the big key does now."""

    def back(self) -> None:
        """Step back."""
        self.cockpit.to_bench()

    def show(self) -> None:
        """Bring the body up to date."""

    def needs_room(self) -> bool:
        """Whether the big key waits until the body can be seen."""
        return True

    # What all of them do -----------------------------------------------------------------------

    @property
    def cockpit(self) -> CockpitApp:
        """The app, by its own type."""
        return cast("CockpitApp", self.app)

    @property
    def hole(self) -> HoleInHand:
        """The hole in hand; a screen of a hole is only shown while there is one."""
        hole = self.cockpit.hole
        if hole is None:
            raise LogError("No hole is in hand; take one up on the bench.")
        return hole

    @property
    def unit(self) -> LengthUnit:
        """The operator's unit."""
        return self.cockpit.unit

    def refresh_all(self) -> None:
        """Show title, body and bottom lines as they are now."""
        if self.is_left:
            return
        self.query_one("#small", Static).update(room.too_small(self.app.size), layout=False)
        self.query_one("#unit", Static).update(str(self.unit))
        self.query_one("#muted").display = self.cockpit.muted
        try:
            self.query_one("#title", Static).update(shown_line(self.heading()))
            self.show()
        except LogError as error:
            # A log that can't be read is no reason to close the cockpit.
            self.complain(str(error))
        self.refresh_next()

    def on_resize(self) -> None:
        """What is said of the size is as large as the terminal is now."""
        if self.is_ready:
            self.refresh_all()

    def refresh_next(self) -> None:
        """Say what the big key does now."""
        if self.is_left:
            return
        line, words = self.query_one(NextLine), self.next_words()
        asks = isinstance(self.focused, AnswerInput) and not self.focused.value
        line.big_key = "ENTER" if asks and not words else self.big_key_name()
        line.does = shown_line(words or (TYPED_FIRST if asks else ""))
        line.keys = written(self.other_keys(), muted=self.cockpit.muted)

    def big_key_name(self) -> str:
        """What the big key is called now; a field that is being typed in is taken with Enter."""
        return "ENTER" if self.is_typing else key_name(self.cockpit.big_keys[0])

    def actions(self) -> list[Binding]:
        """What this screen can do beside the big key: its own first, then what every screen can."""
        bindings = {binding.id: binding for binding in bindings_of(type(self))}
        return [one for one in bindings.values() if self.offers(one.action)]

    def other_keys(self) -> list[Binding]:
        """The other keys of this screen: not letters that are typed just now."""
        return [one for one in self.actions() if not (one.system or self._types(one))]

    def _types(self, binding: Binding) -> bool:
        """Whether its key is a letter that the field in hand would take as typed."""
        letter, field = binding.key.partition(",")[0], self.focused
        if len(letter) > 1 or not isinstance(field, AnswerInput):
            return False
        return field.check_consume_key(letter, letter)

    def offers(self, action: str) -> bool:
        """Whether an action is offered now, on the key line and in the help."""
        _, name, parameters = parse(action)
        return self.check_action(name, parameters) is not False

    def complain(self, sentence: str) -> None:
        """Show what is wrong, beside what it is about."""
        line = self.query_one("#complaint", Static)
        line.update(shown_line(sentence))
        line.display = bool(sentence)
        line.remove_class("-told")

    @on(TextField.Full)
    def _full(self, full: TextField.Full) -> None:
        self.complain(full.sentence)

    def attempt(self, deed: Callable[[], object]) -> None:
        """Do ``deed``; what it refuses becomes a sentence on the screen, and nothing is lost."""
        self.complain("")
        try:
            deed()
        except LogError as error:
            self.complain(f"Not done: {error}")
        except (GaugeError, TradeError, ValueError) as error:
            self.complain(str(error))

    def go_on(self, deed: Callable[[], object]) -> None:
        """Do ``deed`` and show where the hole stands then; refused, this screen stays and says so.

        Only a screen that stays can say what was refused, and what it knew is still there.
        """

        def done() -> None:
            deed()
            self.cockpit.follow()

        self.attempt(done)

    # Keys --------------------------------------------------------------------------------------

    @property
    def is_typing(self) -> bool:
        """Whether a field holds something: then Space is a space, and Enter takes what is typed."""
        return isinstance(self.focused, AnswerInput) and bool(self.focused.value)

    def on_descendant_focus(self) -> None:
        """A field in hand takes letters that are keys beside it."""
        if self.is_ready:
            self.refresh_next()

    def on_key(self, event: Key) -> None:
        if not self.is_ready:
            event.stop()
            event.prevent_default()
        elif event.key in self.cockpit.big_keys and (not self.is_typing or types_nothing(event)):
            event.stop()
            event.prevent_default()
            self.press_big_key()

    def press_big_key(self) -> None:
        """The big key came, and the gate has let it through."""
        if self.is_typing:
            self.take_typed()
        else:
            self.take_next()

    def is_gated(self, key: str) -> bool:
        """Whether a key that is not big is held up as well where it bounces or is held."""
        return key == "escape" or (key == "backspace" and not self.is_typing)

    def take_typed(self) -> None:
        """A pedal that types nothing, with something typed: it is taken, as with Enter."""
        if isinstance(self.focused, AnswerInput):
            self.call_later(self.focused.action_submit)

    def take_next(self) -> None:
        """Do what the bottom line says."""
        if self.needs_room() and not self.can_be_seen():
            return
        self.attempt(self.next)
        if self.is_active:
            self.refresh_all()

    def can_be_seen(self) -> bool:
        """Whether there is room for what a key would confirm; else say so."""
        if is_small := room.is_small(self.app.size):
            self.complain("Not taken: what it would confirm can't be seen in so small a terminal.")
        return not is_small

    def action_back(self) -> None:
        """Step back."""
        self.attempt(self.back)

    def action_bench(self) -> None:
        """To the bench, the hole kept."""
        self.attempt(self.cockpit.to_bench)

    def action_unit(self) -> None:
        """Switch the unit everywhere."""
        self.cockpit.switch_unit()

    def action_mute(self) -> None:
        """Sound off or on."""
        self.cockpit.switch_mute()

    def action_preferences(self) -> None:
        """What can be set."""
        self.cockpit.show_preferences()

    def action_keys(self) -> None:
        """The keys of this screen."""
        self.cockpit.show_keys(self)
