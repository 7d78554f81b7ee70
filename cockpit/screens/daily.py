"""The daily check, once a shift."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.binding import Binding, BindingType

from cockpit.gauges.protocol import Sample, TouchHint
from cockpit.log import questions
from cockpit.log.rows import CheckResult
from cockpit.screens.shared.livechecks import LiveChecksScreen
from cockpit.screens.shared.words import DEMO
from cockpit.trade.checks import CheckItem


class DailyScreen(LiveChecksScreen):
    """What is looked at before the first hole; there is no bench before it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("g,G", "gauge", "gauge", id="gauge", tooltip="Pick another gauge"),
    ]

    def begin(self) -> None:
        #: Whether it was said that stepping back ends the shift.
        self._ends = False
        super().begin()

    def items(self) -> list[CheckItem]:
        return self.cockpit.floor.daily_left()

    def held(self) -> int:
        return len(self.cockpit.floor.checklist.daily) - len(self._items)

    def heading(self) -> str:
        shift = self.cockpit.floor.shift
        who = f"   {shift.operator}" if shift else ""
        demo = f"   {DEMO}" if self.cockpit.is_demo else ""
        return f"daily check {self.progress()}{who}{demo}"

    def answer(self, item: CheckItem, result: CheckResult, word: str) -> None:
        self._ends = False
        floor = self.cockpit.floor
        if item.live is not None:
            # The gauge may be changed within a shift: the log says which one was seen.
            word = ": ".join(filter(None, (floor.gauge_name, word)))
        floor.answer_daily(item, result, word)

    def reopen(self, item: CheckItem) -> None:
        self.cockpit.floor.reopen_daily(item)

    def sample(self) -> Sample | None:
        return self.cockpit.floor.glance()

    def arrived(self, item: CheckItem, *, back: bool = False) -> None:
        super().arrived(item, back=back)
        # Only a demo listens: it has no hand that moves its head a little.
        self.cockpit.floor.gauge.hint(TouchHint(item.live is not None))

    def passed_over(self) -> Sequence[tuple[str, str]]:
        floor = self.cockpit.floor
        if floor.shift is None:
            return ()
        rows = questions.daily_checks(floor.store.connection, floor.shift.id)
        return [
            (row.title, row.word) for row in rows if row.holds and row.result is CheckResult.SKIPPED
        ]

    def done(self) -> None:
        self.cockpit.floor.gauge.hint(TouchHint(False))
        self.cockpit.to_bench()

    def before_first(self) -> None:
        """Somebody else works: the shift that was opened by mistake ends with nothing done."""
        shift = self.cockpit.floor.shift
        if shift is not None and not self._ends:
            self._ends = True
            self.complain(f"BACKSPACE again ends the shift of {shift.operator} here and now.")
            return
        self.cockpit.floor.close_shift("")
        self.cockpit.to_bench()

    def action_gauge(self) -> None:
        """Pick another gauge."""
        self.cockpit.ask_gauge()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """There is no bench before it, either; an invented burn has one gauge only."""
        if action == "bench" or (action == "gauge" and self.cockpit.is_demo):
            return False
        return super().check_action(action, parameters)
