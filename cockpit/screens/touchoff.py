"""How much of the electrode is gone? Each measurement sharpens the depth at once."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.widget import Widget
from textual.widgets import Input, Static

from cockpit.burn.calls import CallKind
from cockpit.burn.reading import MarkKind
from cockpit.burn.state import BurnState
from cockpit.flow.hole import UnlikelyError
from cockpit.flow.stillness import STILL_WITHIN_MM
from cockpit.gauges import TypedGauge
from cockpit.gauges.protocol import GaugeStatus
from cockpit.screens.shared.step import TYPED_WRONG
from cockpit.screens.shared.strays import WaryScreen
from cockpit.screens.shared.views import side_view
from cockpit.screens.shared.words import depth_words
from cockpit.trade.wear import Z95
from cockpit.units import write_both, write_length
from cockpit.widgets.block_figures import BlockFigures
from cockpit.widgets.call_line import CallLine
from cockpit.widgets.plain_text import PlainText
from cockpit.widgets.quantity_input import QuantityInput
from cockpit.widgets.side_section import SideSection

ASKS = {
    MarkKind.TOUCH: "Arc off. Tip on the reference face:\nwhat does the indicator read?",
    MarkKind.WEAR: "How much shorter is the electrode\nthan when this hole began with it?",
    MarkKind.DEPTH: "How deep is the burn, gauged in the hole from the surface?",
}


#: What is to be known of a hole whose last burn nobody saw the end of.
THEN_DEPTH = "It may have burnt on: depth comes after."
MAY_BE_DEEPER = "Depth shows as the tip lands; D: gauge it."
#: Why its stop is no deeper.
AS_DEEP_BY_NOW = "it may be as deep by now"
#: A stop that moves by less than this stays where it is, mm (assumed: nobody sets one finer).
STAYS_MM = 0.05
#: Calls that ask for a touch-off, and have had one.
DONE_BY_A_TOUCH = frozenset({CallKind.TARGET, CallKind.SLIPPED, CallKind.AT_STOP, CallKind.NEAR})


class TouchScreen(WaryScreen):
    """Space takes the reading; a figure can be typed instead, or another measurement chosen."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("t,T", "measure('touch')", "touch-off", id="by-touch", tooltip="Tip on the face"),
        Binding("l,L", "measure('wear')", "length lost", id="by-length", tooltip="By its length"),
        Binding("d,D", "measure('depth')", "depth gauged", id="by-depth", tooltip="Hole gauged"),
        Binding("a,A", "all_the_same", "take it all the same", id="unlikely", tooltip="I am sure"),
        Binding("z,Z", "zero", "zero is gone", id="zero-gone", tooltip="Zero it anew, set it up"),
        Binding("c,C", "clean", "clean out", id="clean", tooltip="The burn is over"),
    ]

    LOOK_EVERY_S = 0.2

    def body(self) -> Iterator[Widget]:
        with Horizontal():
            with Vertical(id="left"):
                yield PlainText(id="asks", classes="question")
                yield BlockFigures(id="figure", widest="88.88")
                yield QuantityInput("or type it", id="value")
                yield PlainText(id="facts")
            yield SideSection()

    def begin(self) -> None:
        self._kind = MarkKind.TOUCH
        self._measured = False
        self._unlikely: float | None = None
        self._state = self.hole.live.state()
        self._passed_over = self.hole.passed_over()
        # How far it burnt on by itself the hole tells, not the electrode.
        self._may_be_deeper = self._state.is_unseen
        self._field.focus_field()

    @property
    def _field(self) -> QuantityInput:
        return self.query_one(QuantityInput)

    def heading(self) -> str:
        cut_short = ", burn cut short" if self._may_be_deeper else ""
        return f"{self.cockpit.hole_name()}   touch-off{cut_short}"

    def look(self) -> None:
        if self.cockpit.hole is not None and self.is_current:
            self._state = self.hole.live.pump()
            self.show()
            self.refresh_next()

    def show(self) -> None:
        state, unit = self._state, self.unit
        self.query_one("#asks", Static).update(self._asks())
        self._field.display = not self._measured
        gauge = self.cockpit.floor.gauge.profile
        self._field.unit = gauge.bare_unit(unit) if self._kind is MarkKind.TOUCH else unit
        self.query_one("#figure", BlockFigures).text = self._figure()
        self.query_one("#facts", Static).update("\n".join(self._facts(state)))
        self.query_one(SideSection).view = side_view(self.hole, unit, state)
        calls, line = self.hole.live.standing, self.query_one(CallLine)
        line.arc_on = state.arc_on
        # What it asks for is done.
        line.calls = tuple(
            call for call in calls if not (self._measured and call.kind in DONE_BY_A_TOUCH)
        )

    @property
    def _sets_stop(self) -> bool:
        """Whether the stop is to be set now."""
        return self._measured and not self.hole.finished()

    def _asks(self) -> str:
        if not self._measured:
            return ASKS[self._kind]
        # Only what is in the log is said to be taken without a word more.
        taken = "Taken, and not in the log yet." if self.hole.live.has_unkept_marks else "Taken."
        if self._sets_stop:
            return f"{taken}\nTip on the face: set the stop to this gap:"
        return f"{taken} The burn is done. Its depth, {self.unit}:"

    def _facts(self, state: BurnState) -> Iterator[str]:
        unit, depth = self.unit, state.depth_mm
        if self._may_be_deeper and self._kind is not MarkKind.DEPTH:
            yield THEN_DEPTH if self.hole.wear_is_lost else MAY_BE_DEEPER
        if self._sets_stop:
            # The gap stands large, as in the set-up: one figure, one way to set it.
            yield f"indicator there {write_both(self.hole.stop_mm, unit)}{self.hole.stop_mark()}"
            yield self._stop_moves()
        if depth is not None:
            least = "at least " if state.is_unseen else ""
            mid = write_length(depth.mid, unit, with_unit=False)
            yield f"depth {least}{mid} {depth_words(depth, unit)}"
        target = write_length(self.hole.plan.depth.target_mm, unit)
        yield f"target {target}{self.hole.plan.mark('depth.target_mm')}"
        limit_mm = self.hole.plan.depth.limit_mm
        if depth is not None and limit_mm is not None and depth.mid > limit_mm:
            yield f"BOTTOM LIMIT PASSED by {write_length(depth.mid - limit_mm, unit)}"
        of = ", this electrode" if state.electrodes > 1 else ""
        ratio = f"{state.wear.ratio:.2f} ± {Z95 * state.wear.ratio_sd:.2f} per {unit}"
        yield f"wear {write_length(state.wear.wear_mm, unit)}{of}   {ratio}"
        for title, word in self._passed_over:
            yield f"NOT SEEN: {title} ({word})"

    def _stop_moves(self) -> str:
        """How far the stop moves with this measurement, and why."""
        moves_mm, stop = self.hole.stop_moves_mm, self.hole.stop_why
        if stop is None:
            return ""
        how_far = write_length(abs(moves_mm), self.unit)
        way = f"stop {how_far} {'lower' if moves_mm > 0 else 'higher'} than it was"
        if abs(moves_mm) < STAYS_MM:
            way = "it stays"
        why = stop.why(self.unit, self.hole.plan.depth.limit_mm)
        return f"{way}: {AS_DEEP_BY_NOW if self._state.is_unseen else why}"

    def _figure(self) -> str:
        """The indicator while it is read, then the gap of the stop; the depth once it is done."""
        if self._sets_stop:
            return write_length(self.hole.stop_gap_mm, self.unit, with_unit=False)
        depth = self._state.depth_mm
        shown = depth.mid if depth and self._measured else None
        if not self._measured and self._kind is MarkKind.TOUCH:
            shown = self._state.travel_mm
        return "" if shown is None else write_length(shown, self.unit, with_unit=False)

    # Keys --------------------------------------------------------------------------------------

    def next_words(self) -> str:
        if self._measured:
            return "the stop is set" if self._sets_stop else "clean out"
        if self._field.text:
            return TYPED_WRONG if self._field.understood.is_wrong else "take it"
        if self._reading() is None or self._is_doubted:
            return ""
        if not self._is_live:
            return "take it, once the gauge is back; or type it"
        if not self.hole.live.is_still:
            return "take it, once the indicator stands still"
        if self._unlikely is not None:
            return "go by the indicator instead"
        return f"take {self._figure()} {self.unit} as the touch-off"

    @property
    def _is_live(self) -> bool:
        return self.cockpit.floor.gauge.status is GaugeStatus.LIVE

    def _reading(self) -> float | None:
        """The indicator's reading where it is what is asked for."""
        typed = isinstance(self.cockpit.floor.gauge, TypedGauge)
        return None if typed or self._kind is not MarkKind.TOUCH else self._state.travel_mm

    def next(self) -> None:
        if self._measured:
            self.go_on(self.hole.stop_is_set if self._sets_stop else self.hole.clean_out)
            return
        value_mm = self._reading()
        if value_mm is not None and self._is_live and self.hole.live.is_still:
            if self._unlikely is not None and not self._is_doubted:
                # It was another figure that was meant: what is taken now is shown first.
                doubted, self._unlikely = self._unlikely, None
                raise ValueError(f"{write_both(doubted, self.unit)} is not taken.")
            self._take(value_mm)

    @property
    def _is_doubted(self) -> bool:
        """Whether the indicator still shows what was doubted: only A takes that."""
        doubted_mm, shown_mm = self._unlikely, self._reading()
        return (
            doubted_mm is not None
            and shown_mm is not None
            and abs(shown_mm - doubted_mm) < STILL_WITHIN_MM
        )

    def _take(self, value_mm: float, *, sure: bool = False) -> None:
        try:
            self._state = self.hole.measured(
                self._kind, value_mm, shown_mm=self._reading(), sure=sure
            )
        except UnlikelyError:
            self._unlikely = value_mm
            self._field.clear()  # a letter would be typed on there, and A is asked for
            raise
        self._unlikely = None
        self._measured = True
        self._field.clear()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        if action == "all_the_same":
            return self._unlikely is not None
        if action == "zero":
            return self._may_be_deeper and not self._measured
        if action == "measure":
            return self._offers(MarkKind(str(parameters[0])))
        return super().check_action(action, parameters)

    def _offers(self, kind: MarkKind) -> bool:
        """Whether this may be measured instead; a depth that nobody saw burnt after the wear."""
        if kind is MarkKind.DEPTH and self._may_be_deeper:
            return self._kind is not kind and not self.hole.wear_is_lost
        return not self._measured and kind is not self._kind

    def action_measure(self, kind: str) -> None:
        """Measure in another way."""
        self._kind = MarkKind(kind)
        self._unlikely = None
        self._measured = False
        self.refresh_all()
        self._field.focus_field()

    def action_all_the_same(self) -> None:
        """Take an unlikely figure."""
        value_mm = self._unlikely
        if value_mm is not None:
            self.attempt(lambda: self._take(value_mm, sure=True))
            self.refresh_all()

    def action_zero(self) -> None:
        """The indicator was off or zeroed meanwhile: what it reads says nothing of the wear."""
        self.go_on(self.hole.zero_is_gone)

    def action_clean(self) -> None:
        """The burn is over."""
        self.go_on(self.hole.clean_out)

    def back(self) -> None:
        if self._measured:
            self._measured = False
            self.refresh_all()
            self._field.focus_field()
        elif self._kind is MarkKind.DEPTH and self._may_be_deeper:
            # The wear is in the log: back to where the stop is set by it.
            self._kind, self._measured = MarkKind.TOUCH, True
            self.refresh_all()
        else:
            self.go_on(self.hole.burn_on)

    @on(Input.Changed)
    def _as_typed(self) -> None:
        if self._field.text:
            self.complain("")  # it was about what stood there before
        self.refresh_next()

    @on(Input.Submitted)
    def _typed(self) -> None:
        value_mm = self._field.understood.mm
        if value_mm is not None:
            self.attempt(lambda: self._take(value_mm))
            self.refresh_all()
