"""The shop floor: log, profiles, gauge and shift in one place; holes are taken up from here."""

from __future__ import annotations

from contextlib import AbstractContextManager
from pathlib import Path
from types import TracebackType
from typing import Self

from cockpit import locations, profiles
from cockpit.flow.clock import Clock, WallClock
from cockpit.flow.hole import Desk, HoleInHand
from cockpit.flow.steps import Step
from cockpit.gauges import make_gauge
from cockpit.gauges.protocol import Gauge
from cockpit.log import questions
from cockpit.log.rows import CheckResult, HoleRow, Job, Shift
from cockpit.log.store import LogError, Store
from cockpit.text import one_line
from cockpit.trade.checks import CheckItem
from cockpit.trade.plan import make_plan
from cockpit.trade.ticket import Ticket


class ShopFloor(AbstractContextManager["ShopFloor"]):
    """What is there before any hole is: opened once, closed once."""

    def __init__(
        self,
        folder: Path,
        *,
        machine: str = profiles.STANDARD,
        gauge: str = "typed",
        port: str | None = None,
        clock: Clock | None = None,
        seed: int = 0,
    ) -> None:
        """Read the profiles, open the log in ``folder``, open the gauge.

        ``port`` overrules the gauge profile's. Raises ProfileError, LogError, GaugeError.
        """
        self.checklist = profiles.load_checklist()
        profile = profiles.load_gauge(gauge)
        self.shop = profiles.load_shop(machine, gauge=gauge)
        self.clock: Clock = clock or WallClock()
        self.machine_name, self.gauge_name = one_line(machine), one_line(gauge)
        self.gauge: Gauge = make_gauge(profile, self.clock.s, port, seed)
        self.store = Store(folder / locations.LOG_NAME, self.clock.utc)
        #: Why today's copy of the log could not be made; empty when it was.
        self.no_copy = ""
        self.gauge.open()

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        at: TracebackType | None,
    ) -> None:
        """Close gauge and log."""
        self.close()

    def __enter__(self) -> Self:
        """Open for the length of a with-block."""
        return self

    def close(self) -> None:
        """Close gauge and log; everything is on disk already."""
        self.gauge.close()
        self.store.close()

    # Shift -------------------------------------------------------------------------------------

    @property
    def shift(self) -> Shift | None:
        """The open shift, if there is one."""
        return questions.open_shift(self.store.connection)

    def open_shift(self, operator: str) -> Shift:
        """Begin a shift under the operator's initials. Raises ValueError without any."""
        initials = one_line(operator)
        if not initials:
            raise ValueError("The shift needs the operator's initials.")
        self.store.open_shift(initials, self.machine_name, self.gauge_name)
        self._keep_copy()
        return self._shift()

    def close_shift(self, handover: str = "") -> None:
        """End the shift with a note for the next."""
        self.store.close_shift(self._shift().id, one_line(handover))
        self._keep_copy()

    def _keep_copy(self) -> None:
        """Fold what is left to fold, and keep a copy of the log; a shift does not wait for that."""
        self.no_copy = ""
        try:
            self.store.fold_all()
            self.store.keep_copy()
        except LogError as error:
            self.no_copy = str(error)

    def daily_left(self) -> list[CheckItem]:
        """The daily checks not yet answered in this shift."""
        rows = questions.daily_checks(self.store.connection, self._shift().id)
        answered = {row.item for row in rows if row.holds}
        return [item for item in self.checklist.daily if item.key not in answered]

    def answer_daily(self, item: CheckItem, result: CheckResult, word: str = "") -> None:
        """Keep the answer to a daily check."""
        said = one_line(word)
        self.store.add_check(self._shift().id, None, item.key, item.title, result, said)

    def reopen_daily(self, item: CheckItem) -> None:
        """Somebody stepped back to a daily check: it is to be looked at once more."""
        self.store.reopen_check(self._shift().id, None, item.key)

    def _shift(self) -> Shift:
        shift = self.shift
        if shift is None:
            raise LogError("No shift is open; open one with the operator's initials first.")
        return shift

    # Holes -------------------------------------------------------------------------------------

    def last_taken_in(self) -> tuple[Job, Ticket] | None:
        """The job and ticket of the hole taken in last: the next is likely to be like it."""
        return questions.last_taken_in(self.store.connection)

    def waiting(self) -> list[HoleRow]:
        """Holes that need something."""
        return questions.unfinished(self.store.connection)

    def last_in_hand(self) -> int | None:
        """The hole that was worked on last, which is likely to be gone on with."""
        return questions.last_in_hand(self.store.connection, Step.PLAN)

    def done_this_shift(self) -> list[HoleRow]:
        """Holes that were brought to an end since the shift began."""
        return questions.finished_in(self.store.connection, self._shift().id)

    def take_in_job(self, customer: str, reference: str, part: str) -> int:
        """Take in a part; return its id."""
        return self.store.add_job(self._shift().id, *map(one_line, (customer, reference, part)))

    def check(self, ticket: Ticket) -> None:
        """Raise TradeError, with the ``field`` at fault, if the hole can't be planned."""
        make_plan(ticket, self.shop)

    def take_in_hole(self, job_id: int, ticket: Ticket) -> int:
        """Take in a hole that can be planned; return its id. Raises TradeError if it can't be."""
        self.check(ticket)
        return self.store.add_hole(self._shift().id, job_id, ticket, Step.PLAN)

    def take_up(self, hole_id: int) -> HoleInHand:
        """Take a hole in hand where it stands."""
        return HoleInHand(self._desk(), hole_id)

    def _desk(self) -> Desk:
        return Desk(self.store, self.shop, self.checklist, self.gauge, self.clock, self._shift().id)
