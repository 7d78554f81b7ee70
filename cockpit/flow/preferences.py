"""What an operator has set, kept beside the log: unit, sound, theme, pedal."""

from __future__ import annotations

import threading
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Annotated

from pydantic import AfterValidator, Field

from cockpit import locations
from cockpit.burn.calls import CallKind
from cockpit.flow.kept import KeptError, keep, read_kept
from cockpit.sound.rhythms import DEFAULTS, all_apart, read_rhythm
from cockpit.trade.base import Frozen
from cockpit.units import LengthUnit

_UNREADABLE = "so what was set is not known; set it again with P on the bench."
_NOT_KEPT = "it holds now, but has to be set again at the next start."
#: The longest name of a theme or a key.
_MOST_LETTERS = 40

Rhythm = Annotated[str, AfterValidator(read_rhythm)]
Bells = Annotated[dict[CallKind, Rhythm], AfterValidator(all_apart)]


class Preferences(Frozen):
    """What can be set. ``pedal``: the key that a foot pedal types, a big key beside the others.

    ``bells``: the rhythm of each call, no two alike.
    """

    unit: LengthUnit = LengthUnit.MM
    muted: bool = False
    theme: str = Field(default="dark", min_length=1, max_length=_MOST_LETTERS)
    pedal: str | None = Field(default=None, min_length=1, max_length=_MOST_LETTERS)
    speech: bool = False
    bells: Bells = Field(default_factory=lambda: dict(DEFAULTS))

    def with_rhythm(self, kind: CallKind, rhythm: str) -> Mapping[CallKind, str]:
        """The bells with another rhythm for one call. Raises RhythmError if it is another's."""
        return all_apart(self.bells | {kind: read_rhythm(rhythm)})


class PreferenceBook:
    """What is set now, and the file that it is kept in; a file that can't be read is put aside."""

    def __init__(self, folder: Path, themes: tuple[str, ...], refuse: Callable[[str], str]) -> None:
        """Read what was set.

        ``themes``: what there is, the usual one first. ``refuse``: says why a key can't be the
        pedal's, in a sentence; nothing where it can.
        """
        self.path = folder / locations.PREFERENCES_NAME
        self.now = Preferences()
        #: What could not be read or kept, in a sentence; empty when all is well.
        self.trouble = ""
        self._is_unreadable = False
        self._keeping = threading.Lock()
        try:
            kept = read_kept(self.path, Preferences, "preferences", _UNREADABLE)
        except KeptError as error:
            self.trouble = str(error)
            self._is_unreadable = True
        else:
            self.now = self._usable(kept or self.now, themes, refuse)
        self._kept = self.now

    def _usable(
        self, kept: Preferences, themes: tuple[str, ...], refuse: Callable[[str], str]
    ) -> Preferences:
        """What was kept, without what this cockpit does not know."""
        if kept.theme not in themes:
            self.trouble = (
                f"{self.path}: there is no theme of that name; {themes[0]} is shown instead."
            )
            kept = kept.model_copy(update={"theme": themes[0]})
        if kept.pedal is not None and (why := refuse(kept.pedal)):
            no_pedal = f"{self.path}: no pedal is set. {why}"
            self.trouble = f"{self.trouble} {no_pedal}".strip()
            kept = kept.model_copy(update={"pedal": None})
        return kept

    def change(self, **values: object) -> None:
        """Set something, from now on. Raises ValueError for what can't be; nothing changes then."""
        self.now = Preferences.model_validate(dict(self.now) | values)

    @property
    def is_kept(self) -> bool:
        """Whether nothing is left to be kept, or can be."""
        return self._kept is self.now

    def keep(self) -> None:
        """Keep what is set now for the next start; ``trouble`` says if that can't be.

        A disk takes its time: a screen calls this in a thread, as often as it likes.
        """
        with self._keeping:
            now = self.now
            try:
                aside = self._put_aside() if self._is_unreadable else ""
                keep(self.path, now, _NOT_KEPT)
            except KeptError as error:
                self.trouble = str(error)
            else:
                self._is_unreadable = False
                self.trouble = aside
            self._kept = now

    def _put_aside(self) -> str:
        """Keep a file that can't be read under another name: somebody may want what is in it."""
        number, aside = 1, self.path.with_suffix(".unreadable")
        while aside.exists():
            number += 1
            aside = self.path.with_suffix(f".unreadable{number}")
        try:
            self.path.rename(aside)
        except OSError as error:
            raise KeptError(f"{self.path}: {error.strerror}; {_NOT_KEPT}") from error
        return f"What could not be read is kept as {aside}."
