"""One thing at a time, large: the set-up check, the daily check, the clean-out."""

from __future__ import annotations

import time
from collections.abc import Iterator
from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import Input, Static

from cockpit.flow.steps import Step
from cockpit.gauges.protocol import Sample
from cockpit.log.rows import CheckResult
from cockpit.screens.step import StepScreen
from cockpit.trade.checks import CheckItem
from cockpit.trade.plan import CATCH_RESTS_ON, STOP_RESTS_ON, Plan
from cockpit.units import write_both, write_length
from cockpit.widgets.answer_input import AnswerInput
from cockpit.widgets.block_figures import BlockFigures
from cockpit.widgets.plain_text import PlainText

#: The key that starts the arc clock is not taken for so long after the last check, s.
ARC_GUARD_S = 0.5
#: After a live item has confirmed itself the key is not taken for so long, s: it was meant for it.
LIVE_GUARD_S = 0.8
#: The indicator counts as zeroed within this, mm.
ZERO_WITHIN_MM = 0.05


class ChecksScreen(StepScreen):
    """Items one at a time. Whoever derives from it says which, and where the answers go."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("k,K", "skip", "pass over", id="skip", tooltip="Pass over, with a word why"),
    ]

    LOOK_EVERY_S = 0.2

    def body(self) -> Iterator[Widget]:
        yield PlainText(id="item-title")
        yield PlainText(id="item-look")
        yield PlainText(id="item-right")
        yield BlockFigures(id="item-figure")
        yield PlainText(id="item-note")
        yield AnswerInput(id="word")
        yield PlainText(id="seen")

    def begin(self) -> None:
        self._items = self.items()
        self._at = 0
        self._seen = ""
        self._stepped_back = False
        self._with_word = CheckResult.SKIPPED
        self.query_one("#word").display = False
        if not self._items:
            self.attempt(self.done)

    # What the kinds of checks say for themselves -------------------------------------------------

    def items(self) -> list[CheckItem]:
        """What is to be answered."""
        return []

    def answer(self, item: CheckItem, result: CheckResult, word: str) -> None:
        """Keep an answer."""

    def reopen(self, item: CheckItem) -> None:
        """Keep that an item is to be looked at once more."""

    def done(self) -> None:
        """Everything is answered."""

    def before_first(self) -> None:
        """Back from the first item."""
        self.cockpit.to_bench()

    def figure(self, item: CheckItem) -> str:
        """A figure of the plan to show large; empty if none."""
        return ""

    def note(self, item: CheckItem) -> str:
        """A figure of the plan in words; empty if none."""
        return ""

    def arrived(self, item: CheckItem) -> None:
        """The item is on the screen now."""

    # One at a time -----------------------------------------------------------------------------

    @property
    def item(self) -> CheckItem | None:
        """The item on the screen."""
        return self._items[self._at] if self._at < len(self._items) else None

    def progress(self) -> str:
        """Where in the list the item stands."""
        return f"{min(self._at + 1, len(self._items))} of {len(self._items)}"

    def show(self) -> None:
        item = self.item
        if item is None:
            return
        self.query_one("#item-title", Static).update(item.title)
        self.query_one("#item-look", Static).update(f"Look: {item.look}")
        self.query_one("#item-right", Static).update(f"Right: {item.right}")
        figure = self.query_one("#item-figure", BlockFigures)
        figure.text = self.figure(item)
        figure.display = bool(figure.text)
        self.query_one("#item-note", Static).update(self.note(item))
        self.query_one("#seen", Static).update(self._seen)

    def next_words(self) -> str:
        item, skips = self.item, self._with_word is CheckResult.SKIPPED
        if self._asks_word and not self.is_typing:
            return ""
        if self._asks_word:
            return "pass it over with this word" if skips else "take it on with these initials"
        if item is not None and self.needs_initials(item):
            return "take it on: your initials"
        return "confirm" if item else "go on"

    def next(self) -> None:
        item = self.item
        if self._asks_word:
            return
        if item is None:
            # Everything is answered, but the log has not let the hole go on yet.
            self.done()
        elif self.needs_initials(item):
            self._ask_word(CheckResult.CONFIRMED, "your initials, to take this on")
        else:
            self._answered(item, CheckResult.CONFIRMED, "")

    def may_skip(self, item: CheckItem) -> bool:
        """Whether this check may be passed over, with a word why."""
        return not item.safety

    def needs_initials(self, item: CheckItem) -> bool:
        """Whether an item is confirmed by a person's initials and not by a key."""
        return False

    def back(self) -> None:
        if self._asks_word:
            self._hide_word()
        elif self._at:
            self.reopen(self._items[self._at - 1])
            self._at -= 1
            self._seen = ""
            self._stepped_back = True
        else:
            self.before_first()
            return
        self.refresh_all()

    def _answered(self, item: CheckItem, result: CheckResult, word: str) -> None:
        self.answer(item, result, word)
        self._seen = f"{item.title}: {result}" + (f", {word}" if word else "")
        self._at += 1
        self._stepped_back = False
        following = self.item
        if following is None:
            self.done()
        else:
            self.arrived(following)

    # Passing over ------------------------------------------------------------------------------

    def action_skip(self) -> None:
        """Ask for the word why, unless the item matters for safety."""
        item = self.item
        if item is None:
            return
        if not self.may_skip(item):
            self.complain("Safety or the depth rests on this one: it can't be passed over.")
            return
        self._ask_word(CheckResult.SKIPPED, "a word why it is passed over")

    def _ask_word(self, result: CheckResult, asks: str) -> None:
        """Ask for the word that this answer needs."""
        self._with_word = result
        field = self.query_one("#word", AnswerInput)
        field.placeholder = asks
        field.display = True
        field.focus()
        self.refresh_next()

    @on(Input.Submitted, "#word")
    def _said(self, event: Input.Submitted) -> None:
        item = self.item
        if item is not None:
            word, result = event.value, self._with_word
            self._hide_word()
            self.attempt(lambda: self._answered(item, result, word))
            self.refresh_all()

    @on(Input.Changed, "#word")
    def _as_typed(self) -> None:
        self.refresh_next()

    @property
    def _asks_word(self) -> bool:
        """Whether the word is asked for; nothing else is answered until it is there."""
        return self.query_one("#word").display

    def _hide_word(self) -> None:
        field = self.query_one("#word", AnswerInput)
        field.value = ""
        field.display = False
        self.set_focus(None)

    # Live items --------------------------------------------------------------------------------

    def sample(self) -> Sample | None:
        """The newest reading of the gauge, for items that confirm themselves."""
        return None

    def look(self) -> None:
        if not self.is_current or self._asks_word:
            return
        sample, item = self.sample(), self.item
        # Whoever stepped back to an item wants to look again: it waits for the key.
        if item is None or sample is None or self._stepped_back:
            return
        if item.live == "gauge" or (
            item.live == "zero" and abs(sample.travel_mm) <= ZERO_WITHIN_MM
        ):
            reads = f"the gauge reads {write_length(sample.travel_mm, self.unit)}"
            self.cockpit.gate.shut_until(time.monotonic() + LIVE_GUARD_S)
            self.attempt(lambda: self._answered(item, CheckResult.SEEN, reads))
            self.refresh_all()

    def offers(self, action: str) -> bool:
        """Passing over is offered neither for what may not be nor beside a word."""
        item = self.item
        if action == "skip" and item is not None and (self._asks_word or not self.may_skip(item)):
            return False
        return super().offers(action)


class SetupScreen(ChecksScreen):
    """The set-up of a hole, and the guard once more before every arc after it."""

    def begin(self) -> None:
        super().begin()
        said, self.hole.asks_first = self.hole.asks_first, ""
        if said:
            self.complain(said)

    def items(self) -> list[CheckItem]:
        return self.hole.checks_left()

    def heading(self) -> str:
        what = {Step.GUARD: "guard", Step.ELECTRODE: "another electrode"}.get(
            self.hole.step, "set-up"
        )
        return f"{self.cockpit.hole_name()}   {what} {self.progress()}"

    def answer(self, item: CheckItem, result: CheckResult, word: str) -> None:
        self.hole.answer_check(item, result, word)

    def reopen(self, item: CheckItem) -> None:
        self.hole.reopen_check(item.key)

    def may_skip(self, item: CheckItem) -> bool:
        return self.hole.may_skip(item)

    def needs_initials(self, item: CheckItem) -> bool:
        return self.hole.needs_initials(item)

    def arrived(self, item: CheckItem) -> None:
        self.hole.live.touching(item.live == "zero")

    def sample(self) -> Sample | None:
        if self.cockpit.hole is None:
            return None
        live, item = self.hole.live, self.item
        sample = live.glance()
        is_zero = item is not None and item.live == "zero"
        # A head that passes zero on its way is not zeroed.
        return None if is_zero and not live.is_still else sample

    def done(self) -> None:
        self.hole.live.touching(False)
        self.hole.checks_done()
        self.cockpit.gate.shut_until(time.monotonic() + ARC_GUARD_S)
        self.cockpit.follow()

    def before_first(self) -> None:
        if self.hole.step is Step.GUARD:
            self.cockpit.to_bench()
        elif self.hole.step is Step.ELECTRODE:
            self.go_on(self.hole.keep_electrode)
        else:
            self.go_on(lambda: self.hole.back_to(Step.PLAN))

    def figure(self, item: CheckItem) -> str:
        if item.shows != "stop":
            return ""
        return write_length(self.hole.stop_mm, self.unit, with_unit=False)

    def note(self, item: CheckItem) -> str:
        plan = self.hole.plan
        match item.shows:
            case "stop":
                stop = f"{write_both(self.hole.stop_mm)}{self.hole.stop_mark()}"
                return f"set the stop at {stop} on the indicator" + self._why(plan, *STOP_RESTS_ON)
            case "electrode":
                length = write_both(plan.electrode.length_mm)
                label = f"{plan.electrode.label}{plan.mark('electrode.label')}"
                return f"{label}, {length} long when new" + self._why(plan, "electrode.label")
            case "current":
                low, high = plan.arc.amps_low, plan.arc.amps_high
                mark = plan.mark("arc.amps_low", "arc.amps_high")
                amps = f"{low:.0f} to {high:.0f} A{mark}"
                return f"range {plan.arc.range}{plan.mark('arc.range')}: {amps}" + self._why(
                    plan, "arc.range", "arc.amps_low", "arc.amps_high"
                )
            case "flush":
                catch = f"{plan.flush.catch_ml_10s:.0f} ml{plan.mark(*CATCH_RESTS_ON)}"
                return f"{catch} or more in 10 s" + self._why(plan, *CATCH_RESTS_ON)
            case "cautions":
                return "\n".join(plan.cautions)
            case None:
                return ""

    def _why(self, plan: Plan, *figures: str) -> str:
        """Who overruled one of these figures, a line each; nothing when nobody did."""
        return "".join(f"\n* {one.told(self.unit)}" for one in plan.overruled_behind(*figures))


class CleanoutScreen(ChecksScreen):
    """What is left in the hole comes out, step by step."""

    def items(self) -> list[CheckItem]:
        return [
            CheckItem(key=key, title="clean out", look=text, right="done, and nothing forced")
            for key, text in self.hole.cleanout_left()
        ]

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
        self.go_on(lambda: self.hole.back_to(Step.GUARD))
