"""The first short burn: a spot to look at."""

from __future__ import annotations

from typing import ClassVar

from cockpit.burn.calls import CallKind
from cockpit.burn.state import BurnState
from cockpit.flow.after_arc import is_spot_burnt
from cockpit.screens.shared.arc import ArcScreen


class PilotScreen(ArcScreen):
    """Burns a spot; the big key then leads to the look at it."""

    GOAL: ClassVar[str] = "pilot to"

    def begin(self) -> None:
        super().begin()
        # Whoever stepped back from looking at the spot has one, and needs no other.
        self._had_spot = self.hole.has_spot()

    def target_mm(self) -> float:
        depth = self.hole.plan.depth
        return depth.recess_mm + self.hole.plan.pilot_mm

    def target_mark(self) -> str:
        return self.hole.plan.mark("pilot_mm")

    def time_words(self, state: BurnState) -> str:
        if self.hole.is_spot_too_deep():
            # With the arc on that is a call.
            return "" if state.arc_on else "TOO DEEP to be moved: look"
        is_called = any(call.kind is CallKind.PILOT for call in state.standing)
        return "" if is_called else "stay at the switch: the stop is set deeper"

    def after_arc_words(self) -> str:
        if self._is_spot_burnt():
            return "guard off, look at the spot"
        return "arc on: a short pilot burn"

    def _is_spot_burnt(self) -> bool:
        """Whether there is a spot to look at: half the pilot's depth does."""
        least_mm = self.target_mm() - self.hole.plan.pilot_mm / 2
        return is_spot_burnt(self._state, least_mm, is_burnt=self._burnt, had_spot=self._had_spot)

    def after_arc(self) -> None:
        if self._is_spot_burnt():
            self.go_on(self.hole.pilot_done)
        else:
            self.start()
