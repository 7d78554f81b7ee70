"""The arc: the first short burn, and the burn to depth."""

from __future__ import annotations

import time
from collections.abc import Iterator
from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.widget import Widget
from textual.widgets import Input, Static

from cockpit.burn.calls import CallKind
from cockpit.burn.state import BurnState
from cockpit.flow.steps import Step
from cockpit.gauges import Reject, TypedGauge
from cockpit.gauges.protocol import GaugeStatus
from cockpit.screens.step import StepScreen
from cockpit.screens.views import side_view
from cockpit.screens.words import PLACES_AFAR, about_time, depth_words
from cockpit.units import write_clock, write_length
from cockpit.widgets.block_figures import BlockFigures
from cockpit.widgets.call_line import CallLine
from cockpit.widgets.plain_text import PlainText
from cockpit.widgets.quantity_input import QuantityInput
from cockpit.widgets.side_section import SideSection
from cockpit.widgets.sparkline import feed_trace
from cockpit.widgets.terminal import ascii_only

#: The feed trace shows one figure a second.
FEED_EVERY = 10
#: The section is drawn anew once a second: the tip moves by less than a dot in between.
SECTION_EVERY = 10
AT_STOP_MM = 0.1
#: After a change of electrode or spot; then the travel shows how deep it is.
NOT_LANDED = "tip not yet on the work"
#: The big key is not taken for so long after readings switched the arc clock, s (assumed).
TURNED_GUARD_S = 1.0
ARC_OFF_ACTIONS = frozenset({"again", "touch", "electrode", "clean", "back", "bench"})


class ArcScreen(StepScreen):
    """Depth, target and state in figures to be read from afar; the big key is the arc's."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("a,A", "again", "arc on again", id="again", tooltip="Start the arc clock again"),
        Binding("e,E", "electrode", "electrode", id="electrode", tooltip="Put another one in"),
        Binding("n,N", "note", "note", id="note", tooltip="A note on this hole"),
    ]

    LOOK_EVERY_S = 0.1

    def body(self) -> Iterator[Widget]:
        with Horizontal():
            with Vertical(id="left"):
                yield PlainText(id="arc")
                yield BlockFigures(id="depth", widest="88.88")
                yield PlainText(id="goal")
                yield PlainText(id="facts")
                yield QuantityInput("indicator", id="reading", placeholder="type it, then ENTER")
            yield SideSection(id="side")

    def begin(self) -> None:
        self._burnt = False
        self._rung = len(self.hole.live.calls)
        self._trouble = ""
        self._feeds: list[float | None] = []
        self._pumps = 0
        self._typed = isinstance(self.cockpit.floor.gauge, TypedGauge)
        self._state = self.hole.live.state()
        self._field.display = self._typed
        if self._typed:
            self._field.focus_field()

    @property
    def _field(self) -> QuantityInput:
        return self.query_one(QuantityInput)

    def heading(self) -> str:
        return f"{self.cockpit.hole_name()}   {self.hole.step}"

    # The live side -----------------------------------------------------------------------------

    def look(self) -> None:
        if self.cockpit.hole is None or not self.is_mounted:
            return
        was_on = self._state.arc_on
        self._state = self.hole.live.pump()
        if self._state.arc_on is not was_on:
            self._arc_turned()
        self._remember_feed()
        self._ring()
        self.show()
        self._say_trouble(self.hole.live.trouble)

    def complain(self, sentence: str) -> None:
        super().complain(sentence)
        if self.cockpit.hole is not None:
            # It stands over what is wrong with the log, until that changes.
            self._trouble = self.hole.live.trouble

    def _say_trouble(self, trouble: str) -> None:
        """What is wrong with the log, once; what a key is answered meanwhile may stand over it."""
        if trouble != self._trouble:
            self.complain(trouble)

    def _arc_turned(self) -> None:
        """Readings have switched the arc clock: the big key does something else from now on."""
        self._burnt |= not self.arc_on
        # A press on its way was meant for what the line said before.
        self.cockpit.gate.shut_until(time.monotonic() + TURNED_GUARD_S)
        self.refresh_next()

    def _remember_feed(self) -> None:
        self._pumps += 1
        if self._pumps % FEED_EVERY == 0 and self._state.arc_on:
            feed = None if self._is_silent else self._state.feed_mm_min or 0.0
            self._feeds = [*self._feeds[-200:], feed]

    @property
    def _is_silent(self) -> bool:
        """Whether nothing is read: what was read last is not what it is now."""
        return any(call.kind is CallKind.SILENT for call in self._state.standing)

    def _ring(self) -> None:
        calls = self.hole.live.calls
        for call in calls[self._rung :]:
            self.cockpit.ring(call)
        if len(calls) != self._rung:
            self._rung = len(calls)
            self.refresh_next()

    # What is shown -----------------------------------------------------------------------------

    def show(self) -> None:
        state = self._state
        self._field.unit = self.cockpit.floor.gauge.profile.bare_unit(self.unit)
        self.query_one("#arc", Static).update(self._arc_words(state))
        self.query_one("#depth", BlockFigures).text = self._depth_figure(state)
        self.query_one("#goal", Static).update(self._goal_words(state))
        self.query_one("#facts", Static).update("\n".join(self._facts(state)))
        if self._pumps % SECTION_EVERY == 0 or not state.arc_on:
            self.query_one(SideSection).view = side_view(self.hole, self.unit, state)
        self.query_one(CallLine).calls = self.hole.live.standing

    def _arc_words(self, state: BurnState) -> str:
        arc = "ARC ON " if state.arc_on else "arc off"
        clock = f"{arc}  {write_clock(state.arc_s)}   burn {max(state.burns, 1)}"
        return clock + self._by_whom() + ("  muted" if self.cockpit.muted else "")

    def _by_whom(self) -> str:
        """Who switched the arc clock, where it is not the key alone that does."""
        by = self.hole.live.arc_by
        return by and f"  by {by}"

    def _depth_figure(self, state: BurnState) -> str:
        depth_mm = state.depth_mm.mid if state.depth_mm else self.hole.plan.depth.recess_mm
        return write_length(depth_mm, self.unit, PLACES_AFAR[self.unit], with_unit=False)

    def target_mm(self) -> float:
        """The depth that this burn goes to, mm."""
        return self.hole.plan.depth.target_mm

    def target_mark(self) -> str:
        """The mark of a target that somebody overruled."""
        return self.hole.plan.mark("depth.target_mm")

    def _goal_words(self, state: BurnState) -> str:
        depth = state.depth_mm
        reached_mm = depth.mid if depth else self.hole.plan.depth.recess_mm
        left_mm = self.target_mm() - reached_mm
        left = write_length(abs(left_mm), self.unit, with_unit=False)
        target = write_length(self.target_mm(), self.unit, with_unit=False) + self.target_mark()
        to_go = f"{left} to go" if left_mm >= 0 else f"OVER BY {left}"
        return f"{depth_words(depth, self.unit)}   target {target}   {to_go}"

    def _facts(self, state: BurnState) -> Iterator[str]:
        def length(mm: float | None) -> str:
            return "--" if mm is None else write_length(mm, self.unit, with_unit=False)

        wear = f"wear {length(state.wear.wear_mm)} ({state.wear.ratio:.2f})"
        silent = self._is_silent
        travel = f"{length(state.travel_mm)}{' at last' if silent else ''}"
        yield f"travel {travel}   {wear if state.has_landed else NOT_LANDED}"
        feed = "--" if state.feed_mm_min is None or silent else length(state.feed_mm_min)
        yield f"feed {feed} {self.unit}/min"
        yield "depth as read last; time not known" if silent else self.time_words(state)
        yield self._stop_words(state)
        width = max(8, self.query_one("#left").size.width - 6)
        trace = feed_trace(self._feeds, width, ascii_only=ascii_only())
        yield f"feed {trace}" if self._feeds else ""
        yield self._gauge_words(state)

    def time_words(self, state: BurnState) -> str:
        """How long to the target."""
        return about_time(state.to_target_s)

    def _stop_words(self, state: BurnState) -> str:
        stop = write_length(self.hole.stop_mm, self.unit, with_unit=False) + self.hole.stop_mark()
        at_stop = state.high_mm is not None and state.high_mm >= self.hole.stop_mm - AT_STOP_MM
        return (
            f"AT THE STOP {stop}: arc off, touch off"
            if at_stop
            else f"stop {stop} on the indicator"
        )

    def _gauge_words(self, state: BurnState) -> str:
        gauge, live = self.cockpit.floor.gauge, self.hole.live
        if gauge.status is not GaugeStatus.LIVE:
            return gauge.detail or f"gauge {gauge.status}"
        rejected = live.rejects + state.rejected
        return f"gauge live, {state.readings} readings" + (
            f", {rejected} rejected" if rejected else ""
        )

    # Keys --------------------------------------------------------------------------------------

    @property
    def arc_on(self) -> bool:
        """Whether the arc clock runs."""
        return self.hole.live.arc_on

    def next_words(self) -> str:
        if self._field.text:
            return "take the reading"
        return "arc off" if self.arc_on else self.after_arc_words()

    def next(self) -> None:
        if self.arc_on:
            self._state = self.hole.arc_stops()
            self._burnt = True
        else:
            self.after_arc()

    def after_arc_words(self) -> str:
        """What the big key does while the arc is off."""
        return "arc on"

    def after_arc(self) -> None:
        """What the big key does while the arc is off."""
        self._start()

    def _start(self) -> None:
        self._state = self.hole.arc_starts()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """While the arc is on, what needs it off is not offered."""
        if action in ARC_OFF_ACTIONS and self.arc_on:
            return False
        return super().check_action(action, parameters)

    def action_again(self) -> None:
        """Start the arc clock again."""
        self.attempt(self._start)
        self.refresh_all()

    def action_electrode(self) -> None:
        """Another electrode goes into the holder."""
        self.go_on(self.hole.change_electrode)

    def action_note(self) -> None:
        """A note on this hole."""
        self.cockpit.ask_word("A note on this hole", self.hole.note)

    @on(Input.Changed)
    def _as_typed(self) -> None:
        self.refresh_next()

    @on(Input.Submitted)
    def _typed_reading(self, event: Input.Submitted) -> None:
        gauge = self.cockpit.floor.gauge
        if isinstance(gauge, TypedGauge):
            taken = gauge.type(event.value, self._field.unit)
            if isinstance(taken, Reject):
                self._field.refuse(taken.why)
            else:
                self._field.clear()


class PilotScreen(ArcScreen):
    """The first short burn: a spot to look at."""

    def begin(self) -> None:
        super().begin()
        # Whoever stepped back from looking at the spot has one, and needs no other.
        self._burnt = self.hole.has_spot()

    def target_mm(self) -> float:
        depth = self.hole.plan.depth
        return depth.recess_mm + self.hole.plan.pilot_mm

    def target_mark(self) -> str:
        return self.hole.plan.mark("pilot_mm")

    def time_words(self, state: BurnState) -> str:
        return "a short burn: watch the spot"

    def after_arc_words(self) -> str:
        if self._is_spot_burnt():
            return "guard off, look at the spot"
        return "arc on: a short pilot burn"

    def _is_spot_burnt(self) -> bool:
        """Whether there is a spot to look at: half the pilot's depth, where that is known."""
        depth, least_mm = self._state.depth_mm, self.target_mm() - self.hole.plan.pilot_mm / 2
        if not self._state.has_landed:
            return self._burnt
        return self._burnt and (depth is None or depth.mid >= least_mm)

    def after_arc(self) -> None:
        if self._is_spot_burnt():
            self.go_on(self.hole.pilot_done)
        else:
            self._start()

    def back(self) -> None:
        self.go_on(lambda: self.hole.back_to(Step.GUARD))


class BurnScreen(ArcScreen):
    """The burn to depth."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("t,T", "touch", "touch off", id="touch", tooltip="Measure the wear"),
        Binding("c,C", "clean", "clean out", id="clean", tooltip="The burn is over"),
    ]

    def after_arc_words(self) -> str:
        return {
            Step.CLEANOUT: "clean out",
            Step.TOUCH: "touch off",
            Step.ELECTRODE: "change the electrode",
            Step.BURN: "arc on",
        }[self._expected()]

    def after_arc(self) -> None:
        match self._expected():
            case Step.CLEANOUT:
                self.action_clean()
            case Step.TOUCH:
                self.action_touch()
            case Step.ELECTRODE:
                self.action_electrode()
            case _:
                self._start()

    def _expected(self) -> Step:
        """What an operator does next with the arc off: past the limit, know how far before all."""
        standing = {call.kind for call in self._state.standing}
        if CallKind.LIMIT in standing:
            return Step.TOUCH
        if CallKind.THROUGH in standing:
            return Step.CLEANOUT
        if CallKind.TARGET in standing or self._at_stop():
            return Step.TOUCH
        if CallKind.SHORT in standing:
            return Step.ELECTRODE
        return Step.BURN

    def _at_stop(self) -> bool:
        high_mm = self._state.high_mm
        return self._burnt and high_mm is not None and high_mm >= self.hole.stop_mm - AT_STOP_MM

    def action_touch(self) -> None:
        """Measure the wear."""
        self.go_on(self.hole.touch_off)

    def action_clean(self) -> None:
        """The burn is over."""
        self.go_on(self.hole.clean_out)
