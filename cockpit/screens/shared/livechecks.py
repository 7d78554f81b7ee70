"""Checks that the cockpit sees for itself: the gauge is live, the indicator is zeroed."""

from __future__ import annotations

import time
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.widgets import Static

from cockpit.flow.seen import Doubt, Watch
from cockpit.gauges.protocol import Sample
from cockpit.log.rows import ALL_THE_SAME, CheckResult
from cockpit.screens.shared.checks import ChecksScreen
from cockpit.screens.shared.words import PLACES_AFAR
from cockpit.trade.checks import CheckItem
from cockpit.units import write_length
from cockpit.widgets.block_figures import BlockFigures

#: A live item is read before it confirms itself, s of the person who reads (assumed).
READ_FIRST_S = 1.5
#: After a live item has confirmed itself the key is not taken for so long, s: it was meant for it.
LIVE_GUARD_S = 1.5


class LiveChecksScreen(ChecksScreen):
    """An item that is seen to be right confirms itself; one that is seen not to be is doubted."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("a,A", "all_the_same", "take it all the same", id="doubted", tooltip="I am sure"),
    ]

    LOOK_EVERY_S = 0.2

    def begin(self) -> None:
        self._stepped_back = False
        #: When the item came up, s.
        self._since_s = 0.0
        self._doubt: Doubt | None = None
        self._latest: Sample | None = None
        self._watch = Watch(None, streams=False)
        super().begin()

    def arrived(self, item: CheckItem, *, back: bool = False) -> None:
        self._stepped_back = back
        self._since_s = self.cockpit.floor.clock.s()
        self._doubt = None
        self._watch = Watch(item.live, streams=self.cockpit.floor.gauge.profile.streaming)
        if self._latest is not None:
            # From before the item came up: whoever lifts the head at once has moved it.
            self._watch.saw(self._latest.t_s, self._latest.travel_mm)

    def next_words(self) -> str:
        words, doubt = super().next_words(), self._doubted_now()
        if doubt is None or words != "confirm":
            return words
        return f"{'confirm' if self.by_key() else 'wait: confirms itself'} {doubt.waits_for}"

    def by_key(self) -> bool:
        """Whether an item waits for the key even where it is seen to be right.

        Whoever stepped back wants to look again.
        """
        return self._stepped_back

    def confirm(self, item: CheckItem) -> None:
        self._doubt = self._doubted_now()
        if self._doubt is None:
            super().confirm(item)
            return
        sure = " A takes it all the same." if self.may_insist(item) else ""
        raise ValueError(f"{self._doubt.sentence}{sure}")

    def may_insist(self, item: CheckItem) -> bool:
        """Whether this check may be taken against what the gauge shows."""
        return True

    def show_figure(self, item: CheckItem) -> None:
        super().show_figure(item)
        if self._watch.watches:
            reading = self._reading()
            figure = self.query_one("#item-figure", BlockFigures)
            figure.text, figure.display = reading, True
            note = (
                f"{self.unit} on the indicator now" if reading else "nothing heard from the gauge"
            )
            own = self.note(item)
            self.query_one("#item-note", Static).update(f"{note}\n{own}" if own else note)

    def sample(self) -> Sample | None:
        """The newest reading of the gauge since the last look."""
        return None

    def is_still(self) -> bool:
        """Whether the indicator stands still."""
        return True

    def look(self) -> None:
        if not self.is_current:
            # Something lies over it, and what nobody can read confirms nothing.
            return
        item, sample, now_s = self.item, self.sample(), self.cockpit.floor.clock.s()
        if sample is not None:
            self._latest = sample
            self._watch.saw(sample.t_s, sample.travel_mm)
        if item is None or not self._watch.watches:
            return
        read_s = (now_s - self._since_s) / self.cockpit.floor.clock.speed
        waits = self.asks_word or self.by_key() or read_s < READ_FIRST_S
        if not waits and self._watch.confirms(now_s, is_still=self.is_still()):
            reading_mm = self._watch.reading_mm(now_s) or 0.0
            reads = f"the gauge reads {write_length(reading_mm, self.unit)}"
            self.cockpit.gate.shut_until(time.monotonic() + LIVE_GUARD_S)
            self.attempt(lambda: self.answered(item, CheckResult.SEEN, reads))
            if self.is_active:
                self.refresh_all()
        else:
            self.show_figure(item)
            self.refresh_next()

    def _reading(self) -> str:
        """What the gauge shows now, large; empty while it is silent."""
        reading_mm = self._watch.reading_mm(self.cockpit.floor.clock.s())
        if reading_mm is None:
            return ""
        return write_length(reading_mm, self.unit, PLACES_AFAR[self.unit], with_unit=False)

    def _doubted_now(self) -> Doubt | None:
        return self._watch.doubt(self.cockpit.floor.clock.s(), is_still=self.is_still())

    def action_all_the_same(self) -> None:
        """Take an item against what the gauge shows; the log says what it showed."""
        item = self.item
        if item is not None and self._doubt is not None:
            said = f"{ALL_THE_SAME}: {self._watch.said(self.cockpit.floor.clock.s())}"
            self.attempt(lambda: self.answered(item, CheckResult.CONFIRMED, said))
            if self.is_active:
                self.refresh_all()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """What was not doubted is taken by the big key."""
        if action == "all_the_same":
            return self._doubt is not None and self.item is not None and self.may_insist(self.item)
        return super().check_action(action, parameters)
