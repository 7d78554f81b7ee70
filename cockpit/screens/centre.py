"""Is the spot centred? If not, is the thread still safe, and which way to move."""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot
from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.events import Key
from textual.widget import Widget
from textual.widgets import Input, Static

from cockpit.flow.steps import Step
from cockpit.screens.shared.step import StepScreen
from cockpit.screens.shared.views import cross_view, side_view
from cockpit.screens.shared.words import off_words
from cockpit.trade.centring import CentreVerdict
from cockpit.trade.plan import OFFSET_RESTS_ON
from cockpit.units import quoted, write_length
from cockpit.widgets.block_figures import BlockWords
from cockpit.widgets.cross_section import CrossSection
from cockpit.widgets.plain_text import PlainText
from cockpit.widgets.quantity_input import QuantityInput
from cockpit.widgets.side_section import SideSection


class CentreScreen(StepScreen):
    """Space says centred; a typed offset is judged first, then kept."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("p,P", "pilot", "pilot on", id="pilot", tooltip="Burn on at this spot, then look"),
    ]

    def body(self) -> Iterator[Widget]:
        with Horizontal():
            with Vertical(id="left"):
                yield PlainText(
                    "Arc off, guard off: look at the spot.\n"
                    "Is it in the middle of the hole?\nIf not, how far is the spot off?",
                    classes="question",
                )
                yield QuantityInput("right (- left)", id="across", placeholder="0")
                yield QuantityInput("away (- towards you)", id="along", placeholder="0")
                yield PlainText(id="where")
                yield PlainText(id="verdict")
                yield BlockWords(id="large")
            with Vertical(id="drawings"):
                yield CrossSection()
                yield SideSection()

    def begin(self) -> None:
        self._verdict: CentreVerdict | None = None
        self._before = self.hole.spot_before()
        self._wrong_key = ""
        self._across.focus_field()
        self._type_again()
        if self.hole.is_spot_too_deep():
            self.complain(
                "The pilot went too deep: the spot may pull an electrode that is moved back in."
            )

    @property
    def _spot(self) -> tuple[int, int]:
        """Which spot this is: the hole, and how often it was burnt."""
        return self.hole.id, self.hole.live.state().burns

    def _type_again(self) -> None:
        """What was typed of this spot, and left with Escape before it was kept, stands there."""
        texts = self.cockpit.offsets.get(self._spot, ("", ""))
        for field, text in zip((self._across, self._along), texts, strict=True):
            field.text = text

    @property
    def _across(self) -> QuantityInput:
        return self.query_one("#across", QuantityInput)

    @property
    def _along(self) -> QuantityInput:
        return self.query_one("#along", QuantityInput)

    def heading(self) -> str:
        return f"{self.cockpit.hole_name()}   centre check"

    def show(self) -> None:
        for field in (self._across, self._along):
            field.unit = self.unit
            field.ask(f"0 {self.unit}")
        cross = self.query_one(CrossSection)
        cross.unit = self.unit
        # Nobody has said yet that it is centred, so until something is said no burn is drawn.
        said = self._is_typed() or self._verdict is not None
        offset = self._offset() if said and not self._is_wrong() else None
        cross.view = cross_view(self.hole, offset, self._before)
        self.query_one(SideSection).view = side_view(self.hole, self.unit, offset=offset)
        where = "" if offset is None else off_words(*offset, self.unit)
        self.query_one("#where", Static).update(where)
        verdict = None if offset is None else self.hole.judge_centre(*offset)
        judgement = "" if verdict is None else "\n".join(self._judgement(verdict))
        self.query_one("#verdict", Static).update(judgement)
        self.query_one("#large", BlockWords).text = "" if verdict is None else verdict.verdict

    def _judgement(self, verdict: CentreVerdict) -> Iterator[str]:
        electrode = self.hole.plan.electrode

        def length(mm: float) -> str:
            return write_length(mm, self.unit, with_unit=False)

        mark = self.hole.plan.mark
        allowed = write_length(electrode.allowed_offset_mm, self.unit)
        allowed += mark(*OFFSET_RESTS_ON)
        off = f"off {length(verdict.offset_mm)}, at most {allowed}"
        yield f"{verdict.verdict.upper()}   {off}"
        if self.hole.is_spot_too_deep():
            yield "TOO DEEP to be moved surely"
        if worse := self._worse(verdict):
            yield worse
        yield f"{'clear, ' + self.unit:<10}{'surface':>9}{'bottom':>9}{'needs':>8}"
        yield _row(
            self.hole.plan.thread.wall,
            length(verdict.thread_clearance_surface_mm),
            length(verdict.thread_clearance_mm),
            length(electrode.required_clearance_mm)
            + mark("electrode.required_clearance_mm", "electrode.thread_clearance_mm"),
        )
        if verdict.web_margin_mm is not None and verdict.web_margin_surface_mm is not None:
            surface, below = verdict.web_margin_surface_mm, verdict.web_margin_mm
            needs = length(0.0) + mark("electrode.web_margin_mm", "remnant.web_mm")
            yield _row("web", length(surface), length(below), needs)
        yield verdict.text

    def _worse(self, verdict: CentreVerdict) -> str:
        """Say it when the spot has moved the wrong way since the one before."""
        if self._before is None or hypot(*self._before) >= verdict.offset_mm:
            return ""
        before = write_length(hypot(*self._before), self.unit)
        return f"WRONG WAY: {before} before"

    def _offset(self) -> tuple[float, float]:
        """Across and along as typed so far, mm; an empty field is none."""
        return self._across.understood.mm or 0.0, self._along.understood.mm or 0.0

    def _is_wrong(self) -> bool:
        return self._across.understood.is_wrong or self._along.understood.is_wrong

    def _is_typed(self) -> bool:
        return bool(self._across.text or self._along.text)

    def next_words(self) -> str:
        if self._wrong_key:
            return "look again: is it centred?"
        if self._verdict is None and not self._is_typed():
            return "yes, centred"
        if self._verdict is None:
            first = self._across.has_focus_within and self.is_typing
            return "on to away or towards you" if first else "judge the offset"
        return {
            "go on": "guard on, then burn",
            "move": "moved: guard on, another spot",
            "stop": "stop here: say how it ended",
        }[self._verdict.verdict]

    def next(self) -> None:
        if self._wrong_key:
            # It was meant for something, so what follows is not taken for centred at once.
            key, self._wrong_key = self._wrong_key, ""
            raise ValueError(
                f"Not taken for centred: {quoted(key)} was typed before. "
                f"{self.big_key_name()} again if it is; else type how far off it is."
            )
        if self._is_wrong():
            raise ValueError("One of the offsets is not a length yet: mend it, or empty the field.")
        offset = self._offset()
        verdict = self.hole.judge_centre(*offset)
        # A spot that is said to be centred goes on at once, unless even that one can't.
        if self._verdict is None and (any(offset) or verdict.verdict != "go on"):
            self._verdict = verdict
            self.set_focus(None)
            if verdict.verdict == "move" and self.hole.is_spot_too_deep():
                self.complain("The spot is deep: burn the next one short, and look again.")
            return
        spot = self._spot
        kept = self.hole.centre_checked(*offset)
        self.cockpit.offsets.pop(spot, None)
        if kept.verdict == "stop":
            self.hole.prove()
        self.cockpit.follow()

    def on_key(self, event: Key) -> None:
        """A letter that no length begins with is said to be one, instead of being lost."""
        is_asking = self.is_ready and self._verdict is None and not self.is_typing
        known = event.key in self.cockpit.big_keys or event.key in self.active_bindings
        if is_asking and event.character and event.is_printable and not known:
            event.stop()
            event.prevent_default()
            self._wrong_key = event.character
            self.complain(
                f"No length begins with {quoted(event.character)}: type how far off it is, such as "
                f"{write_length(0.2, self.unit)}."
            )
            self.refresh_next()

    def back(self) -> None:
        if self._wrong_key:
            self._wrong_key = ""
            self.refresh_next()
            return
        if self._verdict is not None:
            self._verdict = None
            self._across.focus_field()
            self.refresh_all()
        elif self._along.has_focus_within:
            self._across.focus_field()
            self.refresh_next()
        else:
            self.action_pilot()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """What was said of the spot is not passed by: nobody burns on at one that is off."""
        if action == "pilot":
            is_said = self._verdict is not None or self._is_typed()
            return self.is_ready and not is_said and not self.hole.is_spot_too_deep()
        return super().check_action(action, parameters)

    def action_pilot(self) -> None:
        """Burn on at this spot; the guard comes first."""
        self.go_on(lambda: self.hole.back_to(Step.GUARD))

    @on(Input.Changed)
    def _as_typed(self) -> None:
        self._verdict = None
        self._wrong_key = ""
        typed = (self._across.with_unit, self._along.with_unit)
        was = self.cockpit.offsets.pop(self._spot, ("", ""))
        if self._is_typed():
            self.cockpit.offsets[self._spot] = typed
        if self._is_typed() and typed != was:
            self.complain("")  # it was about what stood there before
        self.show()
        self.refresh_next()

    @on(Input.Submitted)
    def _taken(self) -> None:
        if self._across.has_focus_within and not self._across.understood.is_wrong:
            self._along.focus_field()
            self.refresh_next()
        else:
            self.take_next()


def _row(name: str, surface: str, bottom: str, needs: str) -> str:
    return f"{name:<10}{surface:>9}{bottom:>9}{needs:>8}"
