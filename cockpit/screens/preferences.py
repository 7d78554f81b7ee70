"""What an operator can set: the pedal, the unit, the colours, and what is heard."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.events import Key
from textual.widget import Widget

from cockpit.burn.calls import ACTION, CallKind
from cockpit.screens.shared import pedal, themes
from cockpit.screens.shared.keys import key_letter, key_name
from cockpit.screens.shared.step import StepScreen
from cockpit.sound.rhythms import STOCK, RhythmError
from cockpit.sound.words import Saying
from cockpit.units import LengthUnit
from cockpit.widgets.plain_text import PlainText, plain_content

#: The column of the names.
NAME_WIDTH = 16
#: What is said when speech is switched on.
TRIED = Saying("calls are spoken")
MUTED = "Sound is off: M puts it on."


@dataclass(frozen=True, slots=True)
class Setting:
    """One line: what is set, to what, what that is; ``does``: what the big key makes of it.

    ``hear`` plays it; None where there is nothing to hear.
    """

    name: str
    value: str
    about: str
    does: str
    change: Callable[[], None]
    hear: Callable[[], None] | None = None


class PreferencesScreen(StepScreen):
    """One thing a line; the big key changes the chosen one, and shows or plays it at once."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("h,H", "hear", "hear it", id="hear", tooltip="Play what the line sets"),
        Binding("up", "move(-1)", "up", id="up", show=False, tooltip="Choose the line above"),
        Binding("down", "move(1)", "down", id="down", show=False, tooltip="Choose the line below"),
        Binding("escape", "back", "back", id="away", show=False, tooltip="Back, like BACKSPACE"),
    ]

    LOOK_EVERY_S = 0.2

    def __init__(self) -> None:
        super().__init__()
        self._at = 0
        self._learning = False

    def body(self) -> Iterator[Widget]:
        with VerticalScroll(id="settings", can_focus=False):
            yield PlainText(id="list")
        yield PlainText(id="about")

    def begin(self) -> None:
        self.complain(self.cockpit.book.trouble)

    def look(self) -> None:
        """Make way for the arc, which readings may switch on; say what speech came to."""
        if not self.is_active:
            return
        if self.cockpit.arc_is_on:
            self.dismiss()
        else:
            self.query_one("#about", PlainText).update(self._chosen().about)

    # What is shown -----------------------------------------------------------------------------

    def heading(self) -> str:
        return "preferences   arrows choose   x is a bell, - a rest"

    def show(self) -> None:
        lines = [self._line(place, one) for place, one in enumerate(self._settings())]
        self.query_one("#list", PlainText).update(Content("\n").join(lines))
        self.query_one("#settings").scroll_to(y=max(self._at - 2, 0), animate=False)
        self.query_one("#about", PlainText).update(self._chosen().about)

    def _line(self, place: int, one: Setting) -> Content:
        is_chosen = place == self._at
        mark = "►" if is_chosen else " "
        return plain_content(
            f"{mark} {one.name:<{NAME_WIDTH}} {one.value}", "bold" if is_chosen else ""
        )

    def _chosen(self) -> Setting:
        return self._settings()[self._at]

    def _settings(self) -> list[Setting]:
        return [
            self._pedal(),
            self._unit(),
            self._theme(),
            self._sound(),
            self._speech(),
            *(self._bell(kind) for kind in CallKind),
        ]

    def _pedal(self) -> Setting:
        value = ", ".join(map(key_name, self.cockpit.big_keys))
        about = "A foot pedal types a key; that key then does what SPACE and ENTER do."
        if self._learning:
            value = "press the pedal now"
            about = "Press the pedal once. SPACE: no pedal. ESC: leave it as it was."
        return Setting("big key", value, about, "learn a pedal's key", self._learn)

    def _unit(self) -> Setting:
        name = {LengthUnit.MM: "millimetre", LengthUnit.INCH: "inch"}[self.unit]
        about = "What lengths are shown in, and what a bare number is in."
        return Setting("unit", name, about, "the other unit", self.cockpit.switch_unit)

    def _theme(self) -> Setting:
        now = self.cockpit.preferences.theme
        names = themes.NAMES
        other = names[(names.index(now) + 1) % len(names)]
        about = "The colours of all screens; glare is for sunlight on the screen."
        change = partial(self.cockpit.prefer, theme=other)
        return Setting("theme", now, about, f"theme {other}", change)

    def _sound(self) -> Setting:
        muted = self.cockpit.muted
        about = "The bell, and spoken words. What is called is always shown."
        does = "sound on" if muted else "sound off"
        return Setting(
            "sound", "off" if muted else "on", about, does, self._switch_sound, self._hear_bell
        )

    def _speech(self) -> Setting:
        speaks, speaker = self.cockpit.preferences.speech, self.cockpit.heard.speaker
        by = speaker.program
        about = speaker.trouble
        if by is not None and not about:
            about = f"Calls and what is left to go are said aloud, by {by[0].name}."
        does = "say nothing" if speaks else "say calls aloud"
        return Setting(
            "speech",
            "on" if speaks else "off",
            about,
            does,
            self._switch_speech,
            self._hear_speech,
        )

    def _bell(self, kind: CallKind) -> Setting:
        rhythm = self.cockpit.preferences.bells[kind]
        action = ACTION[kind]
        about = f"{action[:1].upper()}{action[1:]}."
        return Setting(
            f"bell, {kind}",
            rhythm,
            about,
            "another rhythm",
            partial(self._step_bell, kind),
            partial(self.cockpit.heard.play, rhythm),
        )

    # What is changed ---------------------------------------------------------------------------

    def next_words(self) -> str:
        return "" if self._learning else self._chosen().does

    def offers(self, action: str) -> bool:
        """While a pedal is learnt every key is one."""
        return not self._learning and super().offers(action)

    def next(self) -> None:
        self._chosen().change()

    def _switch_sound(self) -> None:
        self.cockpit.switch_mute()
        self._hear_bell()

    def _hear_bell(self) -> None:
        self.cockpit.heard.play("x")

    def _switch_speech(self) -> None:
        self.cockpit.prefer(speech=not self.cockpit.preferences.speech)
        self._hear_speech()

    def _hear_speech(self) -> None:
        self.cockpit.heard.say(TRIED)
        if self.cockpit.muted and self.cockpit.preferences.speech:
            self.complain(MUTED)

    def _step_bell(self, kind: CallKind) -> None:
        """The next rhythm that no other call has, played."""
        now = self.cockpit.preferences
        rhythm = now.bells[kind]
        after = STOCK.index(rhythm) + 1 if rhythm in STOCK else 0
        passed = []
        for other in (*STOCK[after:], *STOCK[:after]):
            try:
                bells = now.with_rhythm(kind, other)
            except RhythmError:
                passed.append(other)
                continue
            self.cockpit.prefer(bells=bells)
            self.cockpit.heard.play(other)
            break
        if self.cockpit.muted:
            self.complain(MUTED)
        elif passed:
            self.complain(f"Passed over, since another call has it: {'  '.join(passed[:4])}")

    # The pedal ---------------------------------------------------------------------------------

    def _learn(self) -> None:
        self._learning = True

    def on_key(self, event: Key) -> None:
        """While a pedal is learnt, every key is one; Textual calls the handler of the way too."""
        if self._learning and self.is_ready:
            event.stop()
            event.prevent_default()
            self._learnt(event.key)

    def is_gated(self, key: str) -> bool:
        """A bounce of the key before, and a key that is held, are no pedal."""
        return self._learning or super().is_gated(key)

    def _learnt(self, key: str) -> None:
        self._learning = False
        self.complain("")
        if key == "space":
            self.cockpit.prefer(pedal=None)
        elif key == "escape":
            pass
        elif why := pedal.why_not(key):
            self.complain(why)
        else:
            self.cockpit.prefer(pedal=key)
            self._warn(key)
        self.refresh_all()

    def _warn(self, key: str) -> None:
        letter = key_letter(key)
        if letter.isalpha():
            self.complain(f"No word can begin with {letter} then; a capital {letter.upper()} can.")

    # Keys --------------------------------------------------------------------------------------

    def action_move(self, by: int) -> None:
        """Choose the line above or below."""
        self._at = min(max(self._at + by, 0), len(self._settings()) - 1)
        self.complain(self.cockpit.book.trouble)
        self.refresh_all()

    def action_hear(self) -> None:
        """Play what the line sets."""
        hear = self._chosen().hear
        if hear is not None:
            self.complain(MUTED if self.cockpit.muted else "")
            hear()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """There may be nothing to hear; and Escape goes back to where one was."""
        if action == "hear":
            return self._chosen().hear is not None
        return action != "bench"

    def back(self) -> None:
        self.dismiss()
