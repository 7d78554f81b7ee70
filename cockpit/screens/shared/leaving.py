"""How the cockpit ends: asked to, told to, or broken; what is in hand is put down first."""

from __future__ import annotations

import asyncio
import os
import signal
import sys
import threading
import time
import traceback
from contextlib import suppress
from functools import partial
from math import inf
from typing import ClassVar

from textual.app import App
from textual.binding import Binding, BindingType
from textual.widgets import Static

from cockpit.flow.floor import ShopFloor
from cockpit.flow.hole import HoleInHand
from cockpit.log.store import LogError
from cockpit.screens.shared.step import StepScreen
from cockpit.text import page

#: A cockpit that leaves is gone after so long, whatever holds it up, s.
GONE_AFTER_S = 15.0
#: Whoever leaves again within so long leaves, whatever is lost by it, s.
LEAVE_AGAIN_S = 5.0
#: What is said to be done stands for so long, s.
TOLD_S = 5.0


class LeavingApp(App[None]):
    """What of the cockpit sees to its end. ``trouble`` is what there is to say after it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+q", "leave", "quit", id="quit", show=False, priority=True),
    ]

    def __init__(self, floor: ShopFloor) -> None:
        super().__init__()
        self.floor = floor
        self.hole: HoleInHand | None = None
        self.trouble = ""
        #: When the operator was told last why not to leave, s.
        self._asked_to_leave_s = -inf
        self._last_word: threading.Timer | None = None

    def complain(self, sentence: str) -> None:
        """Show what is wrong on the screen of the way, whatever lies over it."""
        screen = self._of_the_way()
        if screen is not None:
            screen.complain(sentence)

    def _of_the_way(self) -> StepScreen | None:
        stack = reversed(self.screen_stack)
        return next((screen for screen in stack if isinstance(screen, StepScreen)), None)

    def complain_for(self, seconds: float, sentence: str, *, is_told: bool = False) -> None:
        """Show it for a while, unless something else stands there by then."""
        screen = self._of_the_way()
        if screen is not None:
            screen.complain(sentence)
            line = screen.query_one("#complaint", Static)
            line.set_class(is_told, "-told")
            self.set_timer(seconds, partial(self._no_more, screen, line.visual))

    def _no_more(self, screen: StepScreen, shown: object) -> None:
        if not screen.is_left and screen.query_one("#complaint", Static).visual is shown:
            screen.complain("")

    def tell(self, sentence: str) -> None:
        """Say there for a while that something is done."""
        self.complain_for(TOLD_S, sentence, is_told=True)

    # Asked to ----------------------------------------------------------------------------------

    def action_leave(self) -> None:
        """Put the hole down and leave the cockpit; with the arc on, or a loss, asked for twice."""
        now_s = time.monotonic()
        is_sure = now_s - self._asked_to_leave_s <= LEAVE_AGAIN_S
        why_not = self._not_yet(is_sure)
        if (said := why_not or self.half_done()) and not is_sure:
            self._asked_to_leave_s = now_s
            again = f"CTRL+Q again within {LEAVE_AGAIN_S:.0f} s leaves all the same."
            self.complain_for(LEAVE_AGAIN_S, f"{said} {again}")
            return
        self.trouble = why_not
        self._surely_gone_soon()
        self.exit(return_code=1 if why_not else 0)

    def half_done(self) -> str:
        """What was begun and would be gone, in a sentence; empty where all is kept."""
        return ""

    def _not_yet(self, is_sure: bool) -> str:
        """Put the hole down, unless there is a reason not to: it is said."""
        live = self.hole.live_or_none if self.hole is not None else None
        if self.hole is None or live is None:
            return ""
        stays = live.arc_on and not is_sure
        try:
            (self.hole.keep if stays else self.hole.leave)()
            lost = ""
        except LogError:
            many = live.unkept
            lost = f"{many} readings, marks and calls of this hole are in no log, and lost then."
        if stays:
            runs = "The arc clock runs: put the arc off at the machine, then here."
            return f"{runs} {lost}".strip()
        return lost

    # Told to, by the computer ------------------------------------------------------------------

    def never_wait_for_the_terminal(self) -> None:
        """Let what is drawn wait for a terminal that is stuck, without a bound; nothing else may.

        Textual queues 30 writes, and then holds the loop that readings, calls and log run on: a
        remote terminal whose network is gone would stop them all.
        """
        writer = getattr(self._driver, "_writer_thread", None)
        if writer is not None:
            writer._queue.maxsize = 0

    def leave_when_told(self) -> None:
        """Go when the computer shuts down, or the terminal is gone."""
        # Windows has neither the one signal nor this way to hear of the other.
        if self.is_headless or sys.platform == "win32":
            return
        for told in (signal.SIGHUP, signal.SIGTERM):
            asyncio.get_running_loop().add_signal_handler(told, self._told_to_leave)

    def _told_to_leave(self) -> None:
        """Keep what waits. Nobody put the arc off, so a burn is cut short, as by a power cut."""
        with suppress(LogError):
            if self.hole is not None:
                self.hole.keep()
        self._surely_gone_soon()
        self.exit()

    def _surely_gone_soon(self) -> None:
        """Go all the same: a terminal that takes nothing would hold the last of the screen."""
        if not self.is_headless:
            self._last_word = threading.Timer(GONE_AFTER_S, os._exit, (1,))
            self._last_word.daemon = True
            self._last_word.start()

    def has_left(self) -> None:
        """The terminal is given back: what is left to do may take its time."""
        if self._last_word is not None:
            self._last_word.cancel()

    # When something goes wrong that nobody foresaw ----------------------------------------------

    def _handle_exception(self, error: Exception) -> None:
        """Leave with one sentence; the traceback goes to a file for whoever mends it.

        Overrides Textual's own, which would print the traceback over the operator's screen.
        """
        if self.is_headless:
            super()._handle_exception(error)
            return
        kept = self._leave_in_haste()
        path = self.floor.store.path.parent / "trouble.txt"
        with suppress(OSError), path.open("a", encoding="utf-8") as file:
            file.write(page("".join(traceback.format_exception(error))))
        self.trouble = (
            f"The cockpit had to close ({type(error).__name__}); {kept} "
            f"Open it again to go on; {path} tells whoever mends it what happened."
        )
        self.exit(return_code=1)

    def _leave_in_haste(self) -> str:
        """Put the hole down: a mistake elsewhere must lose nothing. Say what came of it."""
        try:
            if self.hole is not None:
                self.hole.keep()
        except LogError as lost:
            return str(lost)
        except Exception as lost:  # noqa: BLE001  # whatever is broken, the operator is told
            return f"not all of the hole in hand may be in the log ({type(lost).__name__})."
        return "what it had confirmed is in the log."
