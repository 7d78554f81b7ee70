"""A shop for tests: a pretended indicator on a line of its own, and an operator at the keys.

Both programs are the real ones, each a process; nothing here reaches into the cockpit. What the
operator does next depends on what the screen says, as it would at the machine.
"""

from __future__ import annotations

import csv
import re
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import Self

from tests.terminal.terminal import Terminal

ROOT = Path(__file__).parents[2]

#: Longer than the cockpit takes two presses for one, s.
BETWEEN_PRESSES_S = 0.25
#: A little longer than the cockpit takes no press after a live item, and after the last check, s.
AFTER_LIVE_S, AFTER_CHECKS_S = 1.6, 0.6
#: A head that is sent from hole to face has begun to move after so long, s.
HEAD_MOVES_S = 0.8
#: The most that anything the cockpit does by itself takes on a slow computer, s.
PATIENCE_S = 20.0
#: The most that a stretch of burning takes, s.
BURN_S = 60.0
#: An indicator that has not moved by more than a step for so long is steady, s.
STEADY_S, STEADY_MM = 0.8, 0.02
#: ... if so many readings said so.
STEADY_READINGS = 6

#: A screen that is being drawn is drawn after so long, s.
SETTLED_S = 0.3

#: The answers of a ticket in the order they are asked, each with what is asked.
TICKET = (
    ("customer", "Elderbeck Forge"),
    ("their reference", "EF-31"),
    ("part", "bearing block"),
    ("hole", "foot 2"),
    ("thread or bore", "M10x1.5"),
    ("what is broken", "tap"),
    ("flutes", "3"),
    ("web of the tool", "-"),
    ("through or blind", "blind"),
    ("depth of the hole", "7 mm"),
    ("depth of sister hole", "-"),
    ("break below surface", "1 mm"),
    ("tool ends at", "-"),
    ("part material", "alloy steel"),
)
#: How the hole ended: what is asked, and the number of the answer; without one the big key says it.
OUTCOME = (
    ("how did it end", ""),
    ("thread chased", ""),
    ("gauged", ""),
    ("bottom of the hole", ""),
    ("marked on the part", "2"),
)


@dataclass(frozen=True, slots=True)
class Sent:
    """A reading that the simulator sent: when (s since 1970), what, and whether the arc was on."""

    wall_s: float
    travel_um: int
    arc_on: bool


class Indicator:
    """The gauge simulator as a process, on a pseudo-terminal."""

    def __init__(self, truth: Path, *options: str) -> None:
        self._truth = truth
        self._process = subprocess.Popen(
            [sys.executable, ROOT / "scripts/gauge_simulator.py", "--truth", truth, *options],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
        )
        assert self._process.stdout is not None
        word, _, self.port = self._process.stdout.readline().strip().partition(" ")
        assert word == "port:"

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._process.terminate()
        self._process.communicate(timeout=PATIENCE_S)

    def say(self, command: str) -> None:
        """Do to the head what a line of the simulator's input says."""
        assert self._process.stdin is not None
        self._process.stdin.write(f"{command}\n")
        self._process.stdin.flush()

    def sent(self) -> list[Sent]:
        """All readings that somebody listened to so far."""
        whole_lines = self._truth.read_text(encoding="utf-8").rpartition("\n")[0]
        return [
            Sent(
                float(row["wall_time_s"]),
                round(float(row["travel_mm"]) * 1000),
                row["arc_on"] == "1",
            )
            for row in csv.DictReader(whole_lines.splitlines())
        ]


def cockpit(data: Path, *options: str, columns: int = 80, rows: int = 24) -> Terminal:
    """The real cockpit in a terminal, on the log in ``data``."""
    command: list[str | Path] = [sys.executable, "-m", "cockpit", "--data", data, *options]
    return Terminal(command, columns=columns, rows=rows, folder=ROOT)


class Operator:
    """Keys only. Waits for the words of the bottom line before and after each press."""

    def __init__(
        self, terminal: Terminal, indicator: Indicator | None = None, *, big_key: str = "space"
    ) -> None:
        """``big_key``: what the operator presses for it; the bottom line calls it by its name."""
        self.terminal = terminal
        self._indicator = indicator
        self._big_key = big_key
        #: How often the big key was pressed.
        self.presses = 0
        self._seen_s = 0.0

    @property
    def indicator(self) -> Indicator:
        """The gauge at the machine; only walks that burn have one."""
        assert self._indicator is not None
        return self._indicator

    # Looking and pressing ----------------------------------------------------------------------

    def sees(self, pattern: str, timeout_s: float = PATIENCE_S) -> str:
        """Wait until the screen shows this."""
        found = self.terminal.wait_for(re.compile(pattern), timeout_s)
        self._seen_s = time.monotonic()
        return found

    def gone(self, text: str, timeout_s: float = PATIENCE_S) -> None:
        """Wait until the screen no longer shows this."""
        self.sees(rf"\A(?!(?s:.)*{re.escape(text)})", timeout_s)

    def whole(self, pattern: str) -> str:
        """Wait until the screen shows this; the whole of it, once it is drawn."""
        self.sees(pattern)
        time.sleep(SETTLED_S)
        return self.terminal.screen()

    def offers(self, words: str, timeout_s: float = PATIENCE_S) -> None:
        """Wait until the bottom line says that the big key does this."""
        self.sees(rf"({self._big_key.upper()}|ENTER) +{words}", timeout_s)

    def space(self, offered: str, *, after_s: float = BETWEEN_PRESSES_S) -> None:
        """Press the big key once it does what is ``offered``, ``after_s`` later."""
        self.offers(offered)
        time.sleep(max(0.0, self._seen_s + after_s - time.monotonic()))
        self.terminal.press(self._big_key)
        self.presses += 1

    # The walk ----------------------------------------------------------------------------------

    def open_shift(self, initials: str = "MT") -> None:
        """Initials and daily checks, as far as the bench."""
        self.sees("Who works at the machine")
        self.terminal.type(initials)
        self.offers(f"open the shift of {initials}")
        self.terminal.press("enter")
        self.daily_checks()

    def daily_checks(self) -> None:
        """Confirm all but the last, which confirms itself once the reading is seen to move."""
        for number in range(1, 5):
            self.sees(rf"daily check {number} of 5")
            self.space("confirm")
        if self._indicator is not None:
            self.sees("daily check 5 of 5")
            # Wherever the head is, one of the two moves it.
            self._indicator.say("touch")
            time.sleep(HEAD_MOVES_S)
            self._indicator.say("hole")
        self.sees(r"\d to do ")
        # What confirms itself takes no key for a while.
        time.sleep(AFTER_LIVE_S)

    def take_in(self, **other: str) -> None:
        """A new hole, as far as its plan; ``other`` answers than the ticket's, by first word."""
        self.terminal.press("n")
        for asks, usual in TICKET:
            answer = other.get(asks.partition(" ")[0], usual)
            self.sees(rf"► {asks}\b")
            self.terminal.type(answer)
            self.offers(f"take it as {asks}")
            self.terminal.press("enter")
        self.space("plan it")
        self.sees("foot 2 .*plan")

    def set_up(self) -> None:
        """Accept the plan and go through the checks, as far as the first arc.

        The tip comes to the reference face for the zero, and is lifted after it, so that the
        indicator's items confirm themselves.
        """
        self.space("accept the plan")
        self.confirm(1, 6)
        self.indicator.say("touch")
        self.sees(r"set-up 8 of 14")
        self.indicator.say("hole")
        self.sees(r"set-up 9 of 14(?s:.)*Gauge follows: seen")
        self.confirm(9, 14, after_s=AFTER_LIVE_S)

    def confirm(self, first: int, last: int, *, after_s: float = BETWEEN_PRESSES_S) -> None:
        """Confirm the set-up's items of these numbers."""
        for number in range(first, last + 1):
            self.sees(rf"set-up {number} of 14")
            self.space("confirm", after_s=after_s if number == first else BETWEEN_PRESSES_S)

    def pilot(self, meanwhile: Callable[[], None] = lambda: None) -> None:
        """The pilot burn, the look at the spot, and the guard again: the arc is next."""
        self.arc_on("arc on: a short pilot burn")
        meanwhile()
        self.sees("PILOT", BURN_S)
        self.arc_off()
        self.space("guard off, look at the spot")
        self.space("yes, centred")
        self.guard()

    def guard(self) -> None:
        """The guard check before an arc."""
        self.sees("before the arc 1 of 1")
        self.space("confirm")

    def arc_on(self, offered: str = "arc on") -> None:
        """Start the arc clock after a check, and the arc."""
        self.space(offered, after_s=AFTER_CHECKS_S)
        self.sees("ARC ON")
        self.indicator.say("burn")

    def arc_off(self) -> None:
        """Stop the arc clock, and the arc."""
        self.space("arc off")
        self.sees("ARC OFF")
        self.indicator.say("stop")

    def burn_to_depth(self) -> str:
        """Burn to the target call and touch off, again and again until nothing is left to burn.

        Returns the last touch-off's screen, which says the depth.
        """
        for _ in range(8):
            self.arc_on()
            self.sees("■■■ (LIMIT|TARGET) ■■■", BURN_S)
            self.arc_off()
            self.space("touch off")
            self.touch_off()
            if "clean out" in self.sees(rf"{self._big_key.upper()} +(clean out|the stop is set)"):
                self.indicator.say("hole")
                said = self.terminal.screen()
                self.space("clean out")
                return said
            self.space("the stop is set")
            self.guard()
        raise AssertionError(f"no end of touching off:\n{self.terminal.screen()}")

    def touch_off(self) -> None:
        """Bring the tip to the reference face and take the reading once it is steady."""
        lifted_mm = self._reading_mm()
        self.indicator.say("touch")
        before_mm, since_s, sent = lifted_mm, time.monotonic(), len(self.indicator.sent())
        deadline_s = since_s + PATIENCE_S
        while (
            before_mm == lifted_mm
            or time.monotonic() < since_s + STEADY_S
            # On a busy computer a figure may stand still because nothing is sent.
            or len(self.indicator.sent()) < sent + STEADY_READINGS
        ):
            assert time.monotonic() < deadline_s, self.terminal.screen()
            time.sleep(0.05)
            now_mm = self._reading_mm()
            if abs(now_mm - before_mm) > STEADY_MM:
                before_mm, since_s, sent = now_mm, time.monotonic(), len(self.indicator.sent())
        self.space("take .* as the touch-off")

    def _reading_mm(self) -> float:
        return float(self.sees(r"(?<=take )[-\d.]+(?= mm as the touch-off)"))

    def finish(self, outcome: tuple[tuple[str, str], ...] = OUTCOME) -> None:
        """Clean out, say how the hole ended, and close it; the bench is next."""
        following, is_last = r"\d+", False
        while not is_last:
            # A hole taken up again goes on where its clean-out was left.
            number, of = self.sees(rf"(?<=clean-out ){following} of \d+").split(" of ")
            following, is_last = str(int(number) + 1), number == of
            self.space("confirm")
        for asks, digit in outcome:
            self.sees(re.escape(asks) + r"\? Press")
            if digit:
                self.terminal.press(digit)
            else:
                self.space(f"{asks}: ")
        self.space("close the hole")
        self.sees("1 closed this shift")

    def save_trace(self) -> None:
        """From the bench to the page of the newest hole, and its trace into a file."""
        self.terminal.press("l")
        self.space("look at foot 2")
        self.sees("X save the trace")
        self.terminal.press("x")
        self.sees("saved as")
