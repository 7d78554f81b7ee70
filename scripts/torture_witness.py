"""What the screen has confirmed, so that it can be looked for in the log.

A claim is a row that must be there, counted: the third "set-up 2 of 14" seen turn into "3 of 14"
for one hole claims three answers to that check. Tables only grow, so what was claimed once is to be
found for ever.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass, field

from torture_screen import ARC, STEPS, Look, offered_touch_um

#: What kind of row, of which hole (or of which shift, note...), and what it says.
Claim = tuple[str, str, str]
#: What is on disk when the arc's screen has shown it and its own clock stands so much later, s.
ON_DISK_AFTER_S = 2
#: The screens that follow when the last of a list is confirmed.
AFTER_LIST = {
    "daily": ("bench",),
    "set-up": ("pilot burn",),
    "before the arc": ("pilot burn", "burn"),
    "another electrode": ("before the arc",),
    "set up again": ("before the arc",),
    "clean-out": ("outcome",),
}
BIG_KEYS = frozenset({"space", "enter"})
#: Not a word of the tracker's: the log itself can't be written, which it can't say in itself.
NOT_LOGGED = frozenset({"log"})
#: What waits in memory while the log can't be written, and is claimed once it is written.
WAITS = frozenset({"arc on", "arc off", "measured", "touched at", "call", "readings"})


@dataclass
class Witness:
    """Watches one screen after another. ``claims``: how many rows of each kind there must be."""

    claims: Counter[Claim] = field(default_factory=Counter)
    #: At least so many readings of a hole.
    readings: dict[str, int] = field(default_factory=dict)
    #: What is confirmed in memory only, while the log can't be written.
    waiting: Counter[Claim] = field(default_factory=Counter)
    waiting_readings: dict[str, int] = field(default_factory=dict)
    #: Whether the log can be written, as far as the driver knows.
    is_writable: bool = True
    #: So many clean-out steps of a hole are confirmed since its last arc, and so many there are.
    cleaned: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    of_cleaning: dict[str, int] = field(default_factory=dict)
    confirmed: int = 0
    oddities: list[str] = field(default_factory=list)
    _before: Look | None = None
    _shown: list[tuple[int, int]] = field(default_factory=list)
    _calls: frozenset[str] = frozenset()

    def restarted(self) -> None:
        """A cockpit begins: what the last one showed leads to nothing, and what waited is gone."""
        self._before, self._shown, self._calls = None, [], frozenset()
        self.waiting.clear()
        self.waiting_readings.clear()
        self.is_writable = True

    def written(self) -> None:
        """The log can be written again, and says so: what waited is to be found there."""
        self.is_writable = True
        self.claims += self.waiting
        for label, many in self.waiting_readings.items():
            self.readings[label] = max(self.readings.get(label, 0), many)
        self.waiting.clear()
        self.waiting_readings.clear()

    def left(self) -> None:
        """The cockpit was left as it should be: it has stopped the arc, and kept what it showed."""
        before = self._before
        if before is not None and before.arc_on:
            self.claim("arc off", before.label)
            if self._shown:
                self._there_are(before.label, self._shown[-1][1])

    def claim(self, what: str, of: str = "", says: str = "") -> None:
        """A row more than there was."""
        self.confirmed += 1
        held = self.waiting if what in WAITS and not self.is_writable else self.claims
        held[what, of, says] += 1

    def _there_is(self, what: str, of: str = "", says: str = "") -> None:
        """There is such a row, one at least."""
        if not self.claims[what, of, says] and not self.waiting[what, of, says]:
            self.claim(what, of, says)

    def _there_are(self, label: str, readings: int) -> None:
        held = self.readings if self.is_writable else self.waiting_readings
        held[label] = max(held.get(label, 0), readings)

    # Looks -------------------------------------------------------------------------------------

    def saw(self, look: Look, pressed: list[str]) -> None:
        """The screen after these keys were pressed on what it showed before."""
        if look.kind in ("?", "help", "word", "palette"):
            return
        before, self._before = self._before, look
        if look.label:
            self._there_is("hole", look.label)
        if look.kind == "bench" and (operator := look.finds(r"\Abench +(\S+) at ")):
            self._there_is("shift", operator)
        if before is not None:
            self._list(before, look)
            self._step(before, look)
            self._deed(before, look, pressed)
        self._arc(before, look)
        self._called(look)

    def _list(self, before: Look, look: Look) -> None:
        """One of a list was confirmed: the next one stands there, or what follows the last."""
        if not before.is_list or not before.item:
            return
        same = (look.kind, look.label, look.of) == (before.kind, before.label, before.of)
        is_last = before.at == before.of and look.kind in AFTER_LIST[before.kind]
        if (same and look.at == before.at + 1) or (is_last and look.label == before.label):
            self.claim(*_check(before))
            self._cleaning(before, 1)
        elif same and look.at == before.at - 1:
            self._cleaning(before, -1)

    def _cleaning(self, before: Look, by: int) -> None:
        if before.kind == "clean-out":
            self.cleaned[before.label] += by

    def _step(self, before: Look, look: Look) -> None:
        """From step to step of one hole."""
        if (
            look.kind == before.kind
            or look.label != before.label
            or "override"
            in (
                look.kind,
                before.kind,
            )
        ):
            return
        if look.kind in STEPS and before.kind in STEPS:
            self.claim("step", look.label, look.step)
        if (before.kind, look.kind) == ("plan", "set-up"):
            self.claim("plan", look.label)

    def _deed(self, before: Look, look: Look, pressed: list[str]) -> None:
        """What the big key did besides."""
        if look.kind == "clean-out" and look.at == 1 and before.kind != "clean-out":
            self._asked_again(look)
        if look.taken and not before.taken and before.kind == "touch-off":
            self.claim("measured", look.label, _measured(before))
            # Enter may have taken a figure that was typed.
            if set(pressed) == {"space"} and (offered_um := offered_touch_um(before)):
                self._there_is("touched at", look.label, f"{offered_um:.0f}")
        if not pressed or not BIG_KEYS.issuperset(pressed):
            return
        match before.kind, look.kind:
            case "shift", "daily":
                if operator := before.finds(r"open the shift of (\S+)"):
                    self.claim("shift", operator)
            case "centre check", "before the arc" if "on to away" not in before.offer:
                self.claim("centre", look.label)
            case "touch-off", "before the arc" if before.offer.startswith("the stop is set"):
                self.claim("check", look.label, "Depth stop")
            case "outcome", "bench" if before.offer == "close the hole":
                self.claim("outcome", before.label, before.finds(r"^ +how did it end +(\w.*\w)$"))

    def _asked_again(self, look: Look) -> None:
        """A clean-out step that was confirmed is not asked for a second time."""
        of, done = self.of_cleaning.setdefault(look.label, look.of), self.cleaned[look.label]
        # One may have been stepped back to in the moment that nobody saw.
        if look.of > of - done + 1:
            self.oddities.append(
                f"{look.label}: {done} of {of} clean-out steps were confirmed, "
                f"{look.of} are asked for again"
            )
        self.cleaned[look.label] = of - look.of

    def _arc(self, before: Look | None, look: Look) -> None:
        """The arc clock, and what it counted."""
        was_on = before is not None and before.arc_on and look.label == before.label
        if was_on and look.arc_on is False:
            self.claim("arc off", look.label)
            if self._shown:
                self._there_are(look.label, self._shown[-1][1])
        if look.arc_on and not (before and before.arc_on):
            if before is not None and before.arc_on is False and before.label == look.label:
                self.claim("arc on", look.label)
            self._shown = []
            self.cleaned[look.label] = 0
        if look.arc_on and look.readings is not None:
            self._shown.append((look.clock_s, look.readings))
            sure = [n for at_s, n in self._shown if at_s <= look.clock_s - ON_DISK_AFTER_S]
            if sure:
                self._there_are(look.label, max(sure))

    def _called(self, look: Look) -> None:
        """Whatever is called is in the log, unless it is that the log can't be written."""
        if look.kind not in ARC:
            return
        for kind in look.calls - NOT_LOGGED - self._calls:
            self._there_is("call", look.label, kind)
        self._calls = look.calls


def _measured(look: Look) -> str:
    """What is asked for on this screen, as the log calls it."""
    asked = (("How much shorter", "wear"), ("How deep is the burn", "depth"))
    return next((kind for words, kind in asked if words in look.text), "touch")


def _check(look: Look) -> Claim:
    """The answer that is asked for on this screen."""
    if look.kind == "clean-out":
        return "cleaned", look.label, ""
    return "check" if look.label else "daily", look.label, look.item
