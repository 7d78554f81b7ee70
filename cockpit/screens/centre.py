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
from cockpit.screens.step import StepScreen
from cockpit.screens.views import cross_view
from cockpit.trade.centring import CentreVerdict
from cockpit.units import write_length
from cockpit.widgets.cross_section import CrossSection
from cockpit.widgets.quantity_input import QuantityInput


class CentreScreen(StepScreen):
    """Space says centred; a typed offset is judged first, then kept."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("p,P", "pilot", "pilot again", id="pilot", tooltip="Burn another spot first"),
    ]

    def body(self) -> Iterator[Widget]:
        with Horizontal():
            with Vertical(id="left"):
                yield Static(
                    "Arc off, guard off: look at the spot.\nIs it in the middle of the web?",
                    classes="question",
                )
                yield Static("If not, how far off is it?", markup=False)
                yield QuantityInput("right (- left)", id="across", placeholder="0")
                yield QuantityInput("away (- towards you)", id="along", placeholder="0")
                yield Static(id="verdict", markup=False)
            yield CrossSection()

    def begin(self) -> None:
        self._verdict: CentreVerdict | None = None
        self._across.focus_field()

    @property
    def _across(self) -> QuantityInput:
        return self.query_one("#across", QuantityInput)

    @property
    def _along(self) -> QuantityInput:
        return self.query_one("#along", QuantityInput)

    def heading(self) -> str:
        return f"{self.cockpit.hole_name()}   centre check"

    def show(self) -> None:
        self._across.unit = self._along.unit = self.unit
        cross = self.query_one(CrossSection)
        cross.unit = self.unit
        offset = self._offset()
        cross.view = cross_view(self.hole, offset)
        judgement = "\n".join(self._judgement(*offset)) if self._is_typed() else ""
        self.query_one("#verdict", Static).update(judgement)

    def _judgement(self, across_mm: float, along_mm: float) -> Iterator[str]:
        verdict = self.hole.judge_centre(across_mm, along_mm)
        allowed = write_length(self.hole.plan.electrode.allowed_offset_mm, self.unit)
        yield f"{verdict.verdict.upper()}   off by {write_length(verdict.offset_mm, self.unit)}"
        yield f"at most {allowed}"
        yield f"thread clearance left {write_length(verdict.thread_clearance_mm, self.unit)}"
        if verdict.web_margin_mm is not None:
            yield f"web margin left {write_length(verdict.web_margin_mm, self.unit)}"
        yield verdict.text

    def _offset(self) -> tuple[float, float]:
        """Across and along as typed so far, mm; what is not a length yet counts as none."""
        return self._across.understood.mm or 0.0, self._along.understood.mm or 0.0

    def _is_typed(self) -> bool:
        return bool(self._across.text or self._along.text)

    def next_words(self) -> str:
        if self._verdict is None:
            return "judge the offset" if self._is_typed() else "yes, centred"
        return {
            "go on": "guard on, then burn",
            "move": "moved: guard on, another spot",
            "stop": "close the hole",
        }[self._verdict.verdict]

    def next(self) -> None:
        if self._across.understood.is_wrong or self._along.understood.is_wrong:
            raise ValueError("One of the offsets is not a length yet: mend it, or empty the field.")
        offset = self._offset()
        if self._verdict is None and any(offset):
            self._verdict = self.hole.judge_centre(*offset)
            self.set_focus(None)
            return
        kept = self.hole.centre_checked(*offset)
        if kept.verdict == "stop":
            self.hole.prove()
        self.cockpit.follow()

    def back(self) -> None:
        if self._verdict is not None:
            self._verdict = None
            self._across.focus_field()
            self.refresh_all()
        elif self._along.has_focus_within:
            self._across.focus_field()
            self.refresh_next()
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

    @on(Input.Submitted)
    def _taken(self) -> None:
        if self._across.has_focus_within:
            self._along.focus_field()
            self.refresh_next()
        else:
            self.press_big_key()
