"""The set-up of a hole, and the guard once more before every arc after it."""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence
from typing import ClassVar

from textual.binding import Binding, BindingType

from cockpit.flow.steps import MID_HOLE_SET_UP, Step
from cockpit.gauges.protocol import Sample
from cockpit.log.rows import CheckResult
from cockpit.screens.shared.livechecks import LiveChecksScreen
from cockpit.trade.cautions import GENERAL
from cockpit.trade.checks import CheckItem
from cockpit.trade.plan import CATCH_RESTS_ON, OFFSET_RESTS_ON, STOP_RESTS_ON, Plan
from cockpit.units import write_both, write_length

#: The key that starts the arc clock is not taken for so long after the last check, s.
ARC_GUARD_S = 0.5
#: With the tip on the face the indicator reads what it did there, within this, mm (assumed).
OFF_THE_FACE_MM = 0.3


class SetupScreen(LiveChecksScreen):
    """Says which figures of the plan are set, and shows them where they are."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(
            "l,L",
            "as_left",
            "all as it was left",
            id="as-left",
            tooltip="Nothing was moved since, and the zero holds: straight to the guard",
        ),
        Binding("e,E", "electrode", "another electrode", id="electrode", tooltip="Put one in"),
    ]

    def begin(self) -> None:
        self._may_be_as_left = False
        super().begin()

    def items(self) -> list[CheckItem]:
        return self.hole.checks_left()

    def held(self) -> int:
        return self.hole.checks_held()

    def heading(self) -> str:
        what = {
            Step.GUARD: "before the arc",
            Step.ELECTRODE: "another electrode",
            Step.AGAIN: "set up again",
        }.get(self.hole.step, "set-up")
        return f"{self.cockpit.hole_name()}   {what} {self.progress()}"

    def answer(self, item: CheckItem, result: CheckResult, word: str) -> None:
        self.hole.answer_check(item, result, word)

    def was(self, item: CheckItem) -> str:
        over = dict(self.hole.skipped()).get(item.title)
        return f"It was passed over: {over}. K passes it over again." if over else ""

    def reopen(self, item: CheckItem) -> None:
        self.hole.reopen_check(item.key)

    def may_skip(self, item: CheckItem) -> bool:
        return self.hole.may_skip(item)

    def needs_initials(self, item: CheckItem) -> bool:
        return self.hole.needs_initials(item)

    def may_insist(self, item: CheckItem) -> bool:
        # A silent gauge tells nothing; one that is heard tells that the depth would be wrong.
        is_silent = self._watch.reading_mm(self.cockpit.floor.clock.s()) is None
        return is_silent or item.live != "zero" or self.hole.step not in MID_HOLE_SET_UP

    def by_key(self) -> bool:
        # Why it is asked again is read first, and whether all is as it was left is a person's word.
        return super().by_key() or self._may_be_as_left

    def passed_over(self) -> Sequence[tuple[str, str]]:
        return self.hole.skipped()

    def arrived(self, item: CheckItem, *, back: bool = False) -> None:
        super().arrived(item, back=back)
        self.hole.comes_to(item)
        self._may_be_as_left = self.hole.may_be_as_left()

    def look(self) -> None:
        super().look()
        if self.is_current and self.item is not None and self.item.shows == "stop":
            # Where the head stands while the gap is set is followed, and confirms nothing.
            self.show_figure(self.item)

    def sample(self) -> Sample | None:
        return None if self.cockpit.hole is None else self.hole.live.glance()

    def is_still(self) -> bool:
        # A head that passes zero on its way is not zeroed.
        return self.cockpit.hole is not None and self.hole.live.is_still

    def done(self) -> None:
        self.hole.live.touching(False)
        self.hole.checks_done()
        self.cockpit.gate.shut_until(time.monotonic() + ARC_GUARD_S)
        self.cockpit.follow()

    def before_first(self) -> None:
        if self.hole.step is Step.GUARD:
            self._before_guard()
        elif self.hole.step_back():
            self.begin_again()
        elif self.hole.step is Step.ELECTRODE:
            self.go_on(self.hole.keep_electrode)
        elif self.hole.step is Step.AGAIN:
            self.cockpit.to_bench()
        else:
            self.go_on(lambda: self.hole.back_to(Step.PLAN))

    def _before_guard(self) -> None:
        match self.hole.before_guard():
            case Step.TOUCH:
                self.go_on(self.hole.touch_off)
            case Step.AGAIN:
                self.go_on(self.hole.not_as_left)
            case None:
                self.cockpit.to_bench()
            case step:
                self.go_on(lambda: self.hole.back_to(step))

    def action_electrode(self) -> None:
        """It is not the one that was there before: another one goes into the holder."""
        self.go_on(self.hole.change_electrode)

    def action_as_left(self) -> None:
        """Nothing was moved since this was set up: only the guard is asked for."""
        if not self.cockpit.gate.is_shut(time.monotonic()) and self.can_be_seen():
            self.go_on(self.hole.as_left)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Whoever sets up again may as well put another electrode in, or find all as it was."""
        is_again = self.cockpit.hole is not None and self.hole.step is Step.AGAIN
        if action == "as_left":
            return is_again and self._may_be_as_left
        if action == "electrode":
            return is_again
        return super().check_action(action, parameters)

    def figure(self, item: CheckItem) -> str:
        match item.shows:
            case "stop":
                return write_length(self.hole.stop_gap_mm, self.unit, with_unit=False)
            case "current":
                return self.hole.plan.arc.range
            case "flush":
                return f"{self.hole.plan.flush.catch_ml_10s:.0f}"
            case _:
                return ""

    def note(self, item: CheckItem) -> str:
        plan = self.hole.plan
        match item.shows:
            case "stop":
                return "\n".join(self._stop_note()) + self._why(plan, *STOP_RESTS_ON)
            case "electrode":
                return "\n".join(self._electrode(plan)) + self._why(plan, "electrode.label")
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
                return "\n".join(self._cautions(plan))
            case "centre":
                off = write_both(plan.electrode.allowed_offset_mm, self.unit)
                return f"off centre {off}{plan.mark(*OFFSET_RESTS_ON)} at most"
            case "square":
                return self._out_of_square(plan)
            case None:
                return self._not_on_the_tool() if item.live == "zero" else ""

    def _not_on_the_tool(self) -> str:
        """How far the break lies below the face that the tip is to stand on."""
        recess_mm = self.hole.plan.depth.recess_mm
        below = write_length(recess_mm, self.unit)
        return f"the break lies {below} below that face" if recess_mm else ""

    def _out_of_square(self, plan: Plan) -> str:
        leans = plan.electrode.allowed_out_of_square
        if leans is None:
            return ""
        mark = plan.mark("electrode.allowed_out_of_square")
        return f"out of square {100 * leans:.2f} per 100{mark} at most, well centred"

    def _electrode(self, plan: Plan) -> Iterator[str]:
        across = write_length(plan.electrode.diameter_mm, self.unit)
        yield f"{plan.electrode.label}{plan.mark('electrode.label')}, {across} across"
        new, least_mm = write_both(plan.electrode.length_mm, self.unit), self.hole.length_needed_mm
        least = "" if least_mm is None else f"; this hole needs {write_length(least_mm, self.unit)}"
        yield f"{new} long when new{least}"

    def _stop_note(self) -> Iterator[str]:
        yield from self._off_the_face()
        stop = f"{write_both(self.hole.stop_mm, self.unit)}{self.hole.stop_mark()}"
        yield f"gap in {self.unit}; at the stop the indicator reads {stop}"
        yield f"and the tip stands about {write_length(self.hole.stop_depth_mm, self.unit)} deep"

    def _off_the_face(self) -> Iterator[str]:
        """That the tip is not where the gap is measured from, by what the gauge shows."""
        reads_mm = self._watch.reading_mm(self.cockpit.floor.clock.s())
        on_face_mm = self.hole.stop_mm - self.hole.stop_gap_mm
        streams = self.cockpit.floor.gauge.profile.streaming
        if streams and reads_mm is not None and abs(reads_mm - on_face_mm) > OFF_THE_FACE_MM:
            reads, on_face = (write_length(mm, self.unit) for mm in (reads_mm, on_face_mm))
            yield f"NOT ON THE FACE: the indicator reads {reads}, there it read {on_face}"

    def _cautions(self, plan: Plan) -> Iterator[str]:
        if len(plan.cautions) == len(GENERAL):
            yield f"{self.hole.ticket.material}: no caution of its own."
        yield from plan.cautions

    def _why(self, plan: Plan, *figures: str) -> str:
        """Who overruled one of these figures, a line each; nothing when nobody did."""
        return "".join(f"\n* {one.told(self.unit)}" for one in plan.overruled_behind(*figures))
