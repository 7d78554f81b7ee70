"""An operator who reads the bottom line, does what is due at the machine, and errs now and then.

One ``turn`` is one look and at most one thing done. What comes next always follows from what the
screen shows, so that the operator can be put before any screen, after anything.
"""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Callable
from random import Random

from torture_screen import ARC, Look, offered_touch_um, read_screen
from torture_witness import Witness

from tests.terminal.terminal import Terminal

#: Longer than the cockpit takes two presses for one, s.
BETWEEN_PRESSES_S = 0.27
#: Between two looks, s.
LOOK_S = 0.03
#: A key out of turn, of so many.
ERRS = 0.06
#: What a hand that errs may hit. Not here: what ends the cockpit.
ANY_KEY = (
    *("u", "m", "?", "backspace", "escape", "t", "n", "l", "a", "e", "c", "k", "s", "o", "p", "d"),
    *("x", "up", "down", "1", "2", "3", "7", "ctrl+p", "space", "enter", "tab", ".", "-"),
)
#: A hole that has taken so long is cleaned out and closed as it stands, s.
PATIENCE_S = 60.0
#: A burn goes on for so long at most, s.
BURN_S = (1.5, 9.0)
#: The live items confirm themselves within this; else the key does it, s.
LIVE_S = 2.0
#: The checks that want to see the head move.
FOLLOWS = ("Gauge follows", "Depth gauge")
#: Nothing moves for so long: try something else, s.
STUCK_S = 4.0
#: More holes than this don't wait on the bench.
MOST_WAITING = 3

ANSWERS = {
    "customer": ("Elderbeck", "Harrow", "Millbrook"),
    "their reference": ("EF-31", "H 7", "MB/2"),
    "part": ("block", "flange", "pump foot"),
    "thread or bore": ("M10x1.5", "3/8-16", "M12"),
    "what is broken": ("tap",),
    "flutes": ("3", "4", "-"),
    "web of the tool": ("-",),
    "through or blind": ("blind", "blind", "through"),
    "depth of the hole": ("5 mm", "6 mm", "7 mm"),
    "depth of sister hole": ("-",),
    "break below surface": ("1 mm",),
    "tool ends at": ("-",),
    "part material": ("alloy steel",),
}
#: The answers that stay as they are from hole to hole, mostly.
KEPT = 0.9


class Operator:
    """Keys at a terminal, and a hand at the machine: ``machine`` takes the simulator's commands."""

    def __init__(
        self,
        terminal: Terminal,
        machine: Callable[[str], None],
        witness: Witness,
        chance: Random,
        name: str,
    ) -> None:
        self.terminal = terminal
        self.look = read_screen("")
        self.pressed: list[str] = []
        #: The last things seen and done, for whoever looks into a finding.
        self.diary: deque[str] = deque(maxlen=60)
        self._machine = machine
        self._witness = witness
        self._chance = chance
        self._name = name
        self._not_before_s = 0.0
        self._changed_s = time.monotonic()
        self._arc_since_s = 0.0
        self._burn_for_s = 0.0
        self._words = ""
        self._words_for = ""
        self._acts: dict[str, Callable[[Look], None]] = {
            "shift": self._shift,
            "bench": self._bench,
            "ticket": self._ticket,
            "plan": self._plan,
            "set-up": self._list,
            "daily": self._list,
            "before the arc": self._list,
            "another electrode": self._list,
            "set up again": self._list,
            "clean-out": self._list,
            "pilot burn": self._arc,
            "burn": self._arc,
            "centre check": self._centre,
            "touch-off": self._touch,
            "outcome": self._outcome,
            "word": self._word,
        }

    # Looking and pressing ----------------------------------------------------------------------

    def see(self) -> Look:
        """Look at the screen, and tell the witness."""
        look = read_screen(self.terminal.screen())
        if look.text != self.look.text:
            self._witness.saw(look, self.pressed)
            if look.kind not in ("?", self.look.kind) or look.at != self.look.at:
                self.diary.append(f"{time.time():.3f} sees {look.kind} {look.label} {look.at}")
            if (look.kind, look.at, look.offer, look.arc_on) != (
                self.look.kind,
                self.look.at,
                self.look.offer,
                self.look.arc_on,
            ):
                self._changed_s = time.monotonic()
            if look.kind != "?":
                self.pressed = []
        self._turned(self.look, look)
        self.look = look
        return look

    def press(self, *keys: str) -> None:
        """Press keys, and let a moment pass before the next."""
        for key in keys:
            self.diary.append(f"{time.time():.3f} presses {key}")
            self.pressed.append(key)
            self.terminal.press(key)
        self._not_before_s = time.monotonic() + BETWEEN_PRESSES_S

    def say(self, command: str) -> None:
        """Do something at the machine."""
        self.diary.append(f"{time.time():.3f} machine: {command}")
        self._machine(command)

    def type(self, text: str) -> None:
        """Type an answer and enter it."""
        self.diary.append(f"{time.time():.3f} types {text}")
        self.terminal.type(text)
        time.sleep(0.05)
        self.press("enter")

    @property
    def stuck_s(self) -> float:
        """For how long nothing has moved on, s."""
        return time.monotonic() - self._changed_s

    def turn(self) -> None:
        """One look, and at most one thing done."""
        look = self.see()
        time.sleep(LOOK_S)
        if time.monotonic() < self._not_before_s:
            return
        if self._chance.random() < ERRS:
            self.press(self._chance.choice(ANY_KEY))
        elif self.stuck_s > STUCK_S and look.arc_on is not True:
            self._changed_s = time.monotonic()
            self.press(self._chance.choice(("backspace", "escape", "space", "enter", "a")))
        else:
            self._acts.get(look.kind, self._leave)(look)

    def _leave(self, look: Look) -> None:
        """Nothing to do here, on a page or under a cover: back, mostly."""
        if look.kind == "log":
            self.press(self._chance.choice(("space", "escape")))
        elif look.kind == "page":
            self.press(self._chance.choice(("x", "space", "backspace")))
        elif look.kind == "override":
            self.press("backspace")
        elif look.kind != "?":
            self.press("escape")

    def _turned(self, before: Look, look: Look) -> None:
        """The head follows what the operator did at the keys."""
        if before.arc_on is not True and look.arc_on:
            self._arc_since_s = time.monotonic()
            self._burn_for_s = self._chance.uniform(*BURN_S)
            self.say("hole")
            self.say("burn")
        elif look.kind in ARC and before.arc_on and look.arc_on is False:
            self.say("stop")
        elif look.kind != before.kind:
            if look.kind == "touch-off":
                # Of a burn that was cut short the arc may be on still.
                self.say("stop")
                self.say("touch")
            elif look.kind in ("another electrode", "set up again"):
                self.say("electrode")
            elif before.kind == "touch-off":
                self.say("hole")
        if look.item.startswith("Zero") and not before.item.startswith("Zero"):
            if look.kind == "set-up":
                # As good as another hole: a new electrode, over a spot that is not burnt yet.
                self.say("electrode")
                self.say("spot")
            self.say("touch")
        elif look.item in FOLLOWS and before.item not in FOLLOWS:
            # Lifted, or let down: wherever the head is, one of the two moves it.
            self.say("touch" if look.kind == "daily" else "hole")

    # Screen by screen --------------------------------------------------------------------------

    def _shift(self, look: Look) -> None:
        if "open the shift" in look.offer and self._chance.random() < 0.5:
            self.press("enter")
        elif "open the shift" not in look.offer:
            self.type(self._chance.choice(("MT", "ABK", "jo")))

    def _bench(self, look: Look) -> None:
        waiting = int(look.finds(r"(\d+) to do") or 0)
        odds = self._chance.random()
        if odds < 0.03:
            self.press("l")
        elif odds < 0.06:
            self.press("e")
        elif waiting == 0 or (waiting < MOST_WAITING and odds < 0.12):
            self.press("n")
        elif odds < 0.2:
            self.press(self._chance.choice(("down", "up")))
        else:
            self.press("space")

    def _ticket(self, look: Look) -> None:
        asks = look.finds(r"► (.+?)(?:  |$)")
        if "take it as" in look.offer or look.offer.startswith("mend it"):
            # Typed out of turn, or refused: empty the field.
            self.press("ctrl+u")
        elif look.offer.startswith("keep") and self._chance.random() < KEPT and asks != "hole":
            self.press("space")
        elif asks:
            self.type(self._answer(asks))
        else:
            self.press("space")

    def _answer(self, asks: str) -> str:
        if asks == "hole":
            return f"{self._name}{time.time_ns() // 10**7 % 10**8}"
        return self._chance.choice(ANSWERS.get(asks, ("-",)))

    def _plan(self, look: Look) -> None:
        self.press("space" if look.offer else "a")

    def _list(self, look: Look) -> None:
        """Confirm; what confirms itself is waited for."""
        if look.offer.startswith(("pass it over", "take it on with")):
            self.press("enter")
        elif not look.offer:
            self.type("worn out")
        elif "take it all the same" in look.keys:
            self.press("a")
        elif look.item in ("Zero", *FOLLOWS) and self.stuck_s < LIVE_S:
            return
        elif self._chance.random() < 0.02:
            self.press("k")
        else:
            self.press("space")

    def _arc(self, look: Look) -> None:
        if look.arc_on:
            due = look.calls & {"pilot", "target", "limit", "through", "short"}
            if due or time.monotonic() > self._arc_since_s + self._burn_for_s:
                self.press("space")
            elif self._chance.random() < 0.01:
                self.press("n")
        elif look.kind == "burn" and self._is_old(look):
            self.press("c")
        elif look.offer.startswith("arc on") and look.kind == "burn":
            self.press("t" if self._chance.random() < 0.2 else "space")
        else:
            self.press("space")

    def _is_old(self, look: Look) -> bool:
        """Whether this hole has taken long enough; its label tells when it was taken in."""
        digits = look.label.removeprefix(self._name)
        now = time.time_ns() // 10**7 % 10**8
        return not digits.isdigit() or (now - int(digits)) % 10**8 > PATIENCE_S * 100

    def _centre(self, look: Look) -> None:
        if look.offer == "yes, centred" and self._chance.random() < 0.15:
            self.type(self._chance.choice(("0.2", "0.4 mm", "-.01 in", "2")))
            return
        if look.offer.startswith("moved"):
            self.say("spot")
        self.press("enter" if look.offer.startswith("on to") else "space")

    def _touch(self, look: Look) -> None:
        if look.taken:
            self.press("space")
        elif "take it all the same" in look.keys:
            self.press("a")
        elif offered_touch_um(look) is not None and self.stuck_s > 0.5:
            self.press("space")
        elif look.offer == "take it":
            self.press("ctrl+u" if "✗" in look.text else "enter")

    def _outcome(self, look: Look) -> None:
        if "Press the number" in look.text:
            first = look.finds(r"(how did it end)\?")
            answers = ("1", "1", "1", "2", "3") if first else ("1", "2")
            usual = ("space", "space") if look.offer else ()
            self.press(self._chance.choice((*answers, *usual)))
        elif "why? A word" in look.text and not look.offer:
            self.type("no time")
        else:
            self.press("space" if look.offer == "close the hole" else "enter")

    def _word(self, look: Look) -> None:
        """A note, or the handover; what was entered is claimed once the cover is gone."""
        if self._chance.random() < 0.3:
            self.press("escape")
            return
        text = f"word {time.time_ns()}"
        self.press("ctrl+u")  # whatever was typed out of turn
        time.sleep(BETWEEN_PRESSES_S)
        self.type(text)
        until_s = time.monotonic() + 2.0
        while time.monotonic() < until_s and self.see().kind == "word":
            time.sleep(LOOK_S)
        if self.look.kind == "word":
            self.press("escape")
        elif "A note on this hole" in look.text:
            self._witness.claim("note", look.label, text)
        elif "The shift ends" in look.text:
            self._witness.claim("shift end", says=text)
