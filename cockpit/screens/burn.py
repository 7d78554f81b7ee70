"""The burn to depth."""

from __future__ import annotations

import time
from math import inf
from typing import ClassVar

from textual.binding import Binding, BindingType

from cockpit.burn.calls import CallKind
from cockpit.burn.state import BurnState
from cockpit.flow.after_arc import after_arc
from cockpit.flow.depth_stop import to_stop_s
from cockpit.flow.steps import Step
from cockpit.screens.shared.arc import ArcScreen
from cockpit.screens.shared.words import about_time

#: What the big key does with the arc off, by where the hole goes.
DOES = {
    Step.CLEANOUT: "clean out",
    Step.TOUCH: "touch off",
    Step.ELECTRODE: "change the electrode",
    Step.BURN: "arc on: start the clock",
}
#: The action that does the same.
BY_KEY = {
    Step.CLEANOUT: "clean",
    Step.TOUCH: "touch",
    Step.ELECTRODE: "electrode",
    Step.BURN: "again",
}

#: What speaks against the arc: it may be too deep, or in the open.
AGAINST_ARC = frozenset({CallKind.LIMIT, CallKind.THROUGH, CallKind.TARGET})
#: What the first seconds of a burn feed says little of the rest, s (assumed).
FEED_KNOWN_S = 15.0
#: So long the key stands for "all the same" once it was said what speaks against it, s (assumed).
WARNED_S = 10.0


class BurnScreen(ArcScreen):
    """Burns, and leads to the touch-off, another electrode or the clean-out."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("t,T", "touch", "touch off", id="touch", tooltip="Measure the wear"),
        Binding("c,C", "clean", "clean out", id="clean", tooltip="The burn is over"),
    ]

    def begin(self) -> None:
        super().begin()
        #: The arc time before this burn, s.
        self._before_s = 0.0
        #: The calls that were said to stand against the arc, and when, s.
        self._warned: tuple[frozenset[CallKind], float] = (frozenset(), -inf)

    def time_words(self, state: BurnState) -> str:
        if not state.arc_on:
            self._before_s = state.arc_s
        elif state.arc_s - self._before_s < FEED_KNOWN_S:
            return "to target: not known yet"
        to_stop = to_stop_s(state, self.hole.stop_mm)
        return about_time(to_stop, "the stop") if to_stop else super().time_words(state)

    def offers(self, action: str) -> bool:
        """After a fall there is nothing left for another electrode to burn."""
        fell = CallKind.THROUGH in {call.kind for call in self.hole.live.standing}
        return not (fell and action == "electrode") and super().offers(action)

    def after_arc_words(self) -> str:
        return DOES[self._expected()]

    def big_action(self) -> str:
        return BY_KEY[self._expected()]

    def after_arc(self) -> None:
        {
            Step.CLEANOUT: self.action_clean,
            Step.TOUCH: self.action_touch,
            Step.ELECTRODE: self.action_electrode,
            Step.BURN: self.start,
        }[self._expected()]()

    def _expected(self) -> Step:
        """Where an operator goes next with the arc off."""
        standing = {call.kind for call in self.hole.live.standing}
        if self.hole.live.is_measured and self.hole.finished() and CallKind.LIMIT not in standing:
            return Step.CLEANOUT
        return after_arc(standing, at_stop=self.at_stop())

    def again(self) -> None:
        """Arc on again; where something speaks against it, only when pressed again."""
        against = AGAINST_ARC & {call.kind for call in self._state.standing}
        (told, told_s), now_s = self._warned, time.monotonic()
        if not against or (against <= told and now_s - told_s <= WARNED_S):
            super().again()
            self._warned = (frozenset(), -inf)
            return
        self._warned = against, now_s
        called = " and ".join(kind.upper() for kind in CallKind if kind in against)
        self.complain(f"{called} stands: {self.after_arc_words()} first; A again burns on.")

    def action_touch(self) -> None:
        """Measure the wear."""
        self.with_arc_off(lambda: self.go_on(self.hole.touch_off))

    def action_clean(self) -> None:
        """The burn is over."""
        self.with_arc_off(lambda: self.go_on(self.hole.clean_out))
