"""The arc: what the pilot burn and the burn to depth have in common."""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Callable, Iterator
from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.widget import Widget
from textual.widgets import Input, Static

from cockpit.burn.state import BurnState
from cockpit.flow.depth_stop import is_at_stop
from cockpit.flow.steps import Step
from cockpit.gauges import Reject, TypedGauge
from cockpit.gauges.protocol import GaugeStatus
from cockpit.screens.shared import room
from cockpit.screens.shared.arc_words import ArcWords
from cockpit.screens.shared.keys import key_name
from cockpit.screens.shared.step import TYPED_WRONG
from cockpit.screens.shared.strays import WaryScreen
from cockpit.screens.shared.views import every, side_view
from cockpit.screens.shared.words import about_time
from cockpit.widgets.block_figures import BlockFigures
from cockpit.widgets.call_line import QUIET, CallLine
from cockpit.widgets.plain_text import PlainText, shown_line
from cockpit.widgets.quantity_input import QuantityInput
from cockpit.widgets.side_section import SideSection

#: The feed trace shows one figure a second, and at most so many.
FEED_EVERY, MOST_FEEDS = 10, 200
#: The big key is not taken for so long after readings switched the arc clock, s (assumed).
TURNED_GUARD_S = 1.0
#: Under a box of words the figures are brought up to date twice a second: all is drawn anew then.
COVERED_EVERY = 5


class ArcScreen(WaryScreen):
    """State, depth and target in figures to be read from afar; the big key is the arc's."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("a,A", "again", "arc on", id="again", tooltip="Start the arc clock again"),
        Binding("e,E", "electrode", "electrode", id="electrode", tooltip="Put another one in"),
        Binding("n,N", "note", "note", id="note", tooltip="A note on this hole"),
    ]

    LOOK_EVERY_S = 0.1
    #: What needs the arc off, and is not offered while it is on.
    NEEDS_ARC_OFF: ClassVar[frozenset[str]] = frozenset(
        {"again", "touch", "electrode", "clean", "back", "bench"}
    )
    #: What the depth that this burn goes to is called.
    GOAL: ClassVar[str] = "target"

    def body(self) -> Iterator[Widget]:
        with Horizontal():
            with Vertical(id="left"):
                for name, widest in (("arc", "ARC OFF"), ("depth", "88.88"), ("target", "88.88")):
                    with Horizontal(id=f"{name}-row", classes="large"):
                        yield BlockFigures(id=name, widest=widest)
                        yield PlainText(id=f"beside-{name}", classes="beside")
                yield PlainText(id="facts")
                yield QuantityInput("indicator", id="reading")
            yield SideSection(id="side")

    def begin(self) -> None:
        self._burnt = False
        self._rung = len(self.hole.live.calls)
        self._trouble = ""
        self._feeds: deque[float | None] = deque(maxlen=MOST_FEEDS)
        self._pumps = 0
        self._typed = isinstance(self.cockpit.floor.gauge, TypedGauge)
        self._state = self.hole.live.state()
        over = "; ".join(f"{title} ({word})" for title, word in self.hole.passed_over())
        self.query_one(CallLine).quiet = shown_line(f"NOT SEEN: {over}") if over else QUIET
        self._field.display = self._typed
        self.query_one("#left").set_class(self._typed, "-typed")
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
        self._pumps += 1
        if self._pumps % FEED_EVERY == 0 and self._state.arc_on:
            self._feeds.append(None if self._words().is_silent else self._state.feed_mm_min or 0.0)
        self.cockpit.heard.follow(self._state, self.target_mm())
        self._ring()
        if self.is_active or self._pumps % COVERED_EVERY == 0:
            self.show()
            self.show_section()
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

    def _ring(self) -> None:
        calls = self.hole.live.calls
        for call in calls[self._rung :]:
            self.cockpit.heard.ring(call)
        if len(calls) != self._rung:
            self._rung = len(calls)
            self.refresh_next()

    # What is shown -----------------------------------------------------------------------------

    def show(self) -> None:
        words = self._words()
        for name in ("arc", "depth", "target"):
            self.query_one(f"#{name}", BlockFigures).text = getattr(words, name)()
            self._say(f"beside-{name}", getattr(words, f"beside_{name}")())
        self._say("facts", "\n".join(self._facts(words)))
        self._say("small", "\n".join((*words.small(), room.too_small(self.app.size))))
        self._field.unit = self.cockpit.floor.gauge.profile.bare_unit(self.unit)
        if self._typed:
            self._field.ask(f"{self._state.readings or 'none'} taken: type one, then ENTER")
        if self.query_one(SideSection).view is None:
            self.show_section()
        line = self.query_one(CallLine)
        line.calls, line.arc_on = self.hole.live.standing, self.arc_on

    def show_section(self) -> None:
        """Draw the hole now and then; another unit's figures do not wait for their drawing."""
        section = self.query_one(SideSection)
        is_due = self._pumps % every(section.size) == 0 or not self._state.arc_on
        if is_due or section.view is None or section.view.unit is not self.unit:
            section.view = side_view(self.hole, self.unit, self._state)

    def _say(self, widget_id: str, words: str) -> None:
        """Show words in a widget whose size does not hang on them."""
        self.query_one(f"#{widget_id}", Static).update(words, layout=False)

    def _words(self) -> ArcWords:
        goal_mm, mark = self.target_mm(), self.target_mark()
        return ArcWords.of(self.hole, self._state, self.unit, self.GOAL, goal_mm, mark)

    def target_mm(self) -> float:
        """The depth that this burn goes to, mm."""
        return self.hole.plan.depth.target_mm

    def target_mark(self) -> str:
        """The mark of a target that somebody overruled."""
        return self.hole.plan.mark("depth.target_mm")

    def _facts(self, words: ArcWords) -> Iterator[str]:
        live, gauge = self.hole.live, self.cockpit.floor.gauge
        heard = words.heard(gauge, live.rejects, live.arc_by)
        is_live = gauge.status is GaugeStatus.LIVE
        width = self.query_one("#facts").content_size.width
        time_left = self.time_words(self._state)
        return words.facts(time_left, heard, tuple(self._feeds), width, is_live=is_live)

    def time_words(self, state: BurnState) -> str:
        """How long to the target."""
        return about_time(state.to_target_s)

    def at_stop(self) -> bool:
        """Whether a burn of this sitting ended on the stop."""
        return self._burnt and is_at_stop(self._state.high_mm, self.hole.stop_mm)

    # Keys --------------------------------------------------------------------------------------

    @property
    def arc_on(self) -> bool:
        """Whether the arc clock runs."""
        return self.hole.live.arc_on

    def next_words(self) -> str:
        if self._field.text:
            return TYPED_WRONG if self._field.understood.is_wrong else "take the reading"
        return "arc off: stop the clock" if self.arc_on else self.after_arc_words()

    def next(self) -> None:
        if self.arc_on:
            self._state = self.hole.arc_stops()
            self._burnt = True
        else:
            self.after_arc()

    def after_arc_words(self) -> str:
        """What the big key does while the arc is off."""
        return "arc on: start the clock"

    def after_arc(self) -> None:
        """What the big key does while the arc is off."""
        self.start()

    def back(self) -> None:
        """Back to the guard, the last thing before the arc."""
        self.go_on(lambda: self.hole.back_to(Step.GUARD))

    def needs_room(self) -> bool:
        """The arc clock is stopped whatever can be seen."""
        return not self.arc_on

    def start(self) -> None:
        """Start the arc clock."""
        self._state = self.hole.arc_starts()

    def offers(self, action: str) -> bool:
        """What needs the arc off is not offered while it is on, nor what the big key does now."""
        is_big = not self.arc_on and action == self.big_action()
        return (
            not (self.arc_on and action in self.NEEDS_ARC_OFF)
            and not is_big
            and super().offers(action)
        )

    def big_action(self) -> str:
        """What the big key does with the arc off, by the name of the key that does it as well."""
        return "again" if self.after_arc_words().startswith("arc on") else ""

    def with_arc_off(self, deed: Callable[[], None]) -> None:
        """Do ``deed``, unless the arc clock runs: then say so."""
        if self.arc_on:
            big_key = key_name(self.cockpit.big_keys[0])
            self.complain(
                f"The arc clock runs: put the arc off at the machine, then here with {big_key}."
            )
        else:
            deed()

    def action_back(self) -> None:
        """Step back, with the arc off."""
        self.with_arc_off(super().action_back)

    def action_bench(self) -> None:
        """To the bench, with the arc off."""
        self.with_arc_off(super().action_bench)

    def take_typed(self) -> None:
        """With the arc on a pedal puts it off, whatever is being typed."""
        if self.arc_on:
            self.take_next()
        else:
            super().take_typed()

    def action_again(self) -> None:
        """Start the arc clock again; not sooner after the last check than the big key does."""
        if not self.cockpit.gate.is_shut(time.monotonic()):
            self.with_arc_off(self.again)
            self.refresh_all()

    def again(self) -> None:
        """What the key for the arc does with the arc off."""
        self.attempt(self.start)

    def action_electrode(self) -> None:
        """Another electrode goes into the holder."""
        self.with_arc_off(lambda: self.go_on(self.hole.change_electrode))

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
