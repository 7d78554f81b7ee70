"""A key held or bouncing counts once.

A terminal tells only that a key came, never that it is still down. A held key comes once, again
after the keyboard's repeat delay (a quarter to a whole second), and then in quick succession. So a
press that follows another within that delay waits a moment: if more come at once, it was held.
"""

from __future__ import annotations

from enum import Enum
from math import inf

#: The keys that do the next expected thing.
BIG = "big"
#: Presses closer together than this are one press bouncing or held, s.
BOUNCE_S = 0.2
#: The longest repeat delay of a keyboard, s: a press later than this can't be a held key's first.
REPEAT_DELAY_S = 1.05
#: A press that comes together with another key was meant for what that key leads away from, s.
TOGETHER_S = 0.03
#: A press that waits may be followed once within this, s: a contact that bounces (assumed).
ECHO_S = 0.08
#: A press that could be a held key's first repeat waits this long for a second one, s.
SETTLE_S = 0.12


class Press(Enum):
    """What a press comes to."""

    TAKEN = "taken"
    WAITING = "waiting"
    DROPPED = "dropped"


class KeyGate:
    """Decides which presses of a key count. Times in s, of any monotonic clock.

    Keys that do the same are of one ``family``: what bounces or is held is a family, not a key.
    """

    def __init__(self) -> None:
        self._family = self._key = ""
        self._last_s = -inf
        #: How long after the key before this one came: one of its family, or another.
        self._gap_s = self._beside_s = inf
        self._not_before_s = -inf
        self._waiting = False
        self._echoed = False

    def shut_until(self, t_s: float) -> None:
        """Take nothing before this time, nor what waits: it was meant for what was there before."""
        self._not_before_s = max(self._not_before_s, t_s)
        self._waiting = False

    def saw(self, t_s: float, family: str = BIG, key: str = "") -> None:
        """A key came, wherever it goes: what follows at once may be its bounce."""
        gap_s = t_s - self._last_s
        # A key that has just been made a pedal is of another family, and still the same key.
        is_same = family == self._family or (key != "" and key == self._key)
        self._gap_s, self._beside_s = (gap_s, inf) if is_same else (inf, gap_s)
        self._waiting = self._waiting and is_same
        self._family, self._key, self._last_s = family, key, t_s

    @property
    def was_too_soon(self) -> bool:
        """Whether the key that came last is no bounce, and came before anything was taken."""
        return not self.bounces and self.is_shut(self._last_s)

    @property
    def bounces(self) -> bool:
        """Whether the key that came last is one that came already, again."""
        return self._gap_s < BOUNCE_S

    def is_quick(self, t_s: float) -> bool:
        """Whether a key that comes now comes together with the one before."""
        return t_s - self._last_s < TOGETHER_S

    def is_shut(self, t_s: float) -> bool:
        """Whether nothing is taken now."""
        return t_s < self._not_before_s

    def verdict(self, *, is_stop: bool = False) -> Press:
        """What the key that came last comes to; one that waits is settled by ``settle``.

        ``is_stop``: it puts the arc off, and counts whatever came beside it.
        """
        if self._waiting and self._gap_s < ECHO_S and not self._echoed:
            # A worn contact closes twice; of a held key more would follow.
            self._echoed = True
            return Press.WAITING
        self._waiting = self._echoed = False
        is_meant = is_stop or self._beside_s >= TOGETHER_S
        is_meant = is_meant and not self.is_shut(self._last_s)
        # Only what goes on is held up: back, and to the bench, is always open.
        if self.bounces or (self._family == BIG and not is_meant):
            return Press.DROPPED
        if self._gap_s < REPEAT_DELAY_S:
            self._waiting = True
            return Press.WAITING
        return Press.TAKEN

    def press(self, t_s: float) -> Press:
        """A press of the big key came, and goes to the screen."""
        self.saw(t_s)
        return self.verdict()

    def settle(self, t_s: float) -> bool:
        """Whether the press that waited counts: nothing followed it at once."""
        counts = self._waiting and t_s - self._last_s >= SETTLE_S
        self._waiting = False if counts else self._waiting
        return counts
