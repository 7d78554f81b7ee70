"""A key held or bouncing counts once.

A terminal tells only that a key came, never that it is still down. A held key comes once, again
after the keyboard's repeat delay (a quarter to a whole second), and then in quick succession. So a
press that follows another within that delay waits a moment: if more come at once, it was held.
"""

from __future__ import annotations

from enum import Enum

#: Presses closer together than this are one press bouncing or held, s.
BOUNCE_S = 0.2
#: The longest repeat delay of a keyboard, s: a press later than this can't be a held key's first.
REPEAT_DELAY_S = 1.05
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
    """Decides which presses of the big key count. Times in s, of any monotonic clock."""

    def __init__(self) -> None:
        self._last_s = float("-inf")
        self._not_before_s = float("-inf")
        self._waiting = False
        self._echoed = False

    def shut_until(self, t_s: float) -> None:
        """Take nothing before this time: for the key that starts the arc clock."""
        self._not_before_s = max(self._not_before_s, t_s)

    def press(self, t_s: float) -> Press:
        """A press came. One that waits is settled by ``settle`` after ``SETTLE_S``."""
        gap_s, self._last_s = t_s - self._last_s, t_s
        if self._waiting and gap_s < ECHO_S and not self._echoed:
            # A worn contact closes twice; of a held key more would follow.
            self._echoed = True
            return Press.WAITING
        self._waiting = self._echoed = False
        if gap_s < BOUNCE_S or t_s < self._not_before_s:
            return Press.DROPPED
        if gap_s < REPEAT_DELAY_S:
            self._waiting = True
            return Press.WAITING
        return Press.TAKEN

    def settle(self, t_s: float) -> bool:
        """Whether the press that waited counts: nothing followed it at once."""
        counts = self._waiting and t_s - self._last_s >= SETTLE_S
        self._waiting = False if counts else self._waiting
        return counts
