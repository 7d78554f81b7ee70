"""Is the spot centred? If not, is the thread still safe, and which way to move."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.widget import Widget
from textual.widgets import Input, Static

from cockpit.flow.steps import Step
from cockpit.screens.answer_input import AnswerInput
from cockpit.screens.step import StepScreen
from cockpit.screens.views import cross_view
from cockpit.trade.centring import CentreVerdict
from cockpit.units import UnitsError, read_length_mm, write_both, write_length
from cockpit.widgets.cross_section import CrossSection

SIGNED = "0123456789.-+"


class CentreScreen(StepScreen):
    """Space says centred; a typed offset is judged first, then kept."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("p", "pilot", "pilot again", id="pilot", tooltip="Burn another spot first"),
    ]

    def body(self) -> Iterator[Widget]:
        with Horizontal():
            with Vertical(id="left"):
                yield Static(
                    "Arc off, guard off: look at the spot.\nIs it in the middle of the web?",
                    classes="question",
                )
                yield Static("If not, how far off is it?", markup=False)
                yield Static("across: right of the middle, - left", classes="label")
                yield AnswerInput(id="across", starts_with=SIGNED, placeholder="0")
                yield Static("along: away from you, - towards you", classes="label")
                yield AnswerInput(id="along", starts_with=SIGNED, placeholder="0")
                yield Static(id="understood", markup=False)
                yield Static(id="verdict", markup=False)
            yield CrossSection()

    def begin(self) -> None:
        self._verdict: CentreVerdict | None = None
        self.query_one("#across", AnswerInput).focus()

    def heading(self) -> str:
        return f"{self.cockpit.hole_name()}   centre check"

    def show(self) -> None:
        cross = self.query_one(CrossSection)
        cross.unit = self.unit
        try:
            across_mm, along_mm = self._offset()
        except UnitsError as error:
            self._show_understood(str(error), wrong=True)
            return
        typed = bool(self._typed("across") or self._typed("along"))
        cross.view = cross_view(self.hole, (across_mm, along_mm))
        words = f"= {write_both(across_mm)} across, {write_both(along_mm)} along" if typed else ""
        self._show_understood(words, wrong=False)
        self.query_one("#verdict", Static).update("\n".join(self._judgement(across_mm, along_mm)))

    def _show_understood(self, words: str, *, wrong: bool) -> None:
        understood = self.query_one("#understood", Static)
        understood.set_class(wrong, "-wrong")
        understood.update(words)

    def _judgement(self, across_mm: float, along_mm: float) -> Iterator[str]:
        verdict = self.hole.judge_centre(across_mm, along_mm)
        allowed = write_length(self.hole.plan.electrode.allowed_offset_mm, self.unit)
        yield f"{verdict.verdict.upper()}   off by {write_length(verdict.offset_mm, self.unit)}"
        yield f"at most {allowed}"
        yield f"thread clearance left {write_length(verdict.thread_clearance_mm, self.unit)}"
        if verdict.web_margin_mm is not None:
            yield f"web margin left {write_length(verdict.web_margin_mm, self.unit)}"
        yield verdict.text

    def _typed(self, name: str) -> str:
        return self.query_one(f"#{name}", AnswerInput).value.strip()

    def _offset(self) -> tuple[float, float]:
        across, along = (
            read_length_mm(text, self.unit) if (text := self._typed(name)) else 0.0
            for name in ("across", "along")
        )
        return across, along

    def big_key_name(self) -> str:
        focused = self.focused
        typing = isinstance(focused, AnswerInput) and focused.value
        return "ENTER" if typing else super().big_key_name()

    def next_words(self) -> str:
        if self._verdict is None:
            typed = self._typed("across") or self._typed("along")
            return "judge the offset" if typed else "yes, centred"
        return {
            "go on": "guard on, then burn",
            "move": "moved: guard on, another spot",
            "stop": "close the hole",
        }[self._verdict.verdict]

    def next(self) -> None:
        across_mm, along_mm = self._offset()
        if self._verdict is None and (across_mm or along_mm):
            self._verdict = self.hole.judge_centre(across_mm, along_mm)
            self.set_focus(None)
            return
        kept = self.hole.centre_checked(across_mm, along_mm)
        if kept.verdict == "stop":
            self.hole.prove()
        self.cockpit.follow()

    def back(self) -> None:
        if self._verdict is not None:
            self._verdict = None
            self.query_one("#across", AnswerInput).focus()
            self.refresh_all()
        else:
            self.action_pilot()

    def action_pilot(self) -> None:
        """Burn another spot; the guard comes first."""
        self.hole.back_to(Step.GUARD)
        self.cockpit.follow()

    @on(Input.Changed)
    def _as_typed(self) -> None:
        self._verdict = None
        self.show()
        self.refresh_next()

    @on(Input.Submitted, "#across")
    def _across_taken(self) -> None:
        self.query_one("#along", AnswerInput).focus()
        self.refresh_next()

    @on(Input.Submitted, "#along")
    def _along_taken(self) -> None:
        self.press_big_key()
