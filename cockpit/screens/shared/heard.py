"""What the operator hears: a bell for each call, and words where they are wanted."""

from __future__ import annotations

from textual.app import App

from cockpit.burn.calls import Call
from cockpit.burn.state import BurnState
from cockpit.flow.preferences import PreferenceBook
from cockpit.screens.shared import bells
from cockpit.sound.speech import Speaker
from cockpit.sound.words import CallOuts, Saying


class Heard:
    """Bells and words as they are set; muted, neither."""

    def __init__(self, app: App[None], book: PreferenceBook) -> None:
        self.speaker = Speaker()
        self._app = app
        self._book = book
        self._call_outs = CallOuts()

    def ring(self, call: Call) -> None:
        """Let a call be heard."""
        self.play(self._book.now.bells[call.kind])
        self.say(self._call_outs.of_call(call, self._book.now.unit))

    def follow(self, state: BurnState, target_mm: float) -> None:
        """Count down to the target; called at every look at a burn, before its calls are rung."""
        if self.speaks:
            saying = self._call_outs.of_state(state, target_mm, self._book.now.unit)
            if saying is not None:
                self.say(saying)

    @property
    def speaks(self) -> bool:
        """Whether words are wanted."""
        return self._book.now.speech and not self._book.now.muted

    def play(self, rhythm: str) -> None:
        """Sound the bell in a rhythm."""
        if not self._book.now.muted:
            bells.play(self._app, rhythm)

    def say(self, saying: Saying) -> None:
        """Say something, without waiting for it."""
        if self.speaks:
            self.speaker.say(saying)

    def close(self) -> None:
        """Be quiet: the cockpit ends."""
        self.speaker.close()
