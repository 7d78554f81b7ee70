"""What is left in the hole comes out, step by step."""

from __future__ import annotations

from cockpit.flow.steps import Step
from cockpit.log.rows import CheckResult
from cockpit.screens.shared.checks import ChecksScreen
from cockpit.trade.checks import CheckItem
from cockpit.trade.remnants import CLEANOUT_RIGHT


class CleanoutScreen(ChecksScreen):
    """The steps of the way that this tool comes out; none of them is passed over."""

    def items(self) -> list[CheckItem]:
        left = self.hole.cleanout_left()
        # What is left are the last ones.
        titles = self.hole.plan.remnant.way.cleanout_titles[-len(left) :]
        rights = CLEANOUT_RIGHT[-len(left) :]
        return [
            CheckItem(key=key, title=title, look=text, right=right)
            for (key, text), title, right in zip(left, titles, rights, strict=bool(left))
        ]

    def held(self) -> int:
        return len(self.hole.plan.remnant.way.cleanout) - len(self._items)

    def begin(self) -> None:
        if not self.hole.finished():
            self.complain("The burn is not done yet: BACKSPACE goes back to it.")
        super().begin()

    def heading(self) -> str:
        return f"{self.cockpit.hole_name()}   clean-out {self.progress()}"

    def answer(self, item: CheckItem, result: CheckResult, word: str) -> None:
        self.hole.cleaned(item.key, item.look)

    def reopen(self, item: CheckItem) -> None:
        self.hole.reopen_check(item.key)

    def done(self) -> None:
        self.go_on(self.hole.prove)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        return False if action == "skip" else super().check_action(action, parameters)

    def before_first(self) -> None:
        if self.hole.step_back_cleaning():
            self.begin_again()
        elif self.hole.finished() and not self.hole.fell_through():
            # There is nothing left to burn: back to what said so, and not to the arc.
            self.go_on(self.hole.touch_off)
        else:
            self.go_on(lambda: self.hole.back_to(Step.GUARD))
