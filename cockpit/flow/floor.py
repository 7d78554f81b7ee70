"""The shop floor: log, profiles, gauge and shift in one place; holes are taken up from here."""

from __future__ import annotations

from contextlib import AbstractContextManager, suppress
from pathlib import Path
from types import TracebackType
from typing import Self

from cockpit import locations, profiles
from cockpit.flow.bench import Lying, lying
from cockpit.flow.clock import Clock, WallClock
from cockpit.flow.corrections import Corrections
from cockpit.flow.hole import Desk, HoleInHand
from cockpit.flow.learnt import set_aside
from cockpit.flow.shop_now import ShopNow
from cockpit.flow.steps import AT_THE_ARC, BEFORE_THE_ARC, ON_ITS_SET_UP, Step
from cockpit.flow.stocktake import Said, Size, enter, note_profile, sizes
from cockpit.flow.tally import tally_up
from cockpit.gauges import make_gauge
from cockpit.gauges.protocol import Gauge, Sample, newest
from cockpit.log import desk, questions
from cockpit.log.desk import Handover, ShiftTotals
from cockpit.log.rows import CheckResult, HoleRow, Job, Shift
from cockpit.log.store import LogError, Store
from cockpit.text import one_line
from cockpit.trade.checks import CheckItem
from cockpit.trade.learning import Lesson
from cockpit.trade.plan import make_plan
from cockpit.trade.stock import OnHand
from cockpit.trade.ticket import Shop, Ticket
from cockpit.units import LengthUnit

#: Steps at which a hole may have been zeroed, and the arc has yet to come.
ZEROED = BEFORE_THE_ARC | AT_THE_ARC | {Step.CENTRE}


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
        shop = profiles.load_shop(machine, gauge=gauge)
        self.clock: Clock = clock or WallClock()
        self.machine_name, self.gauge_name = one_line(machine), one_line(gauge)
        self.gauge_port = port or profile.port
        self.gauge: Gauge = make_gauge(profile, self.clock.s, port, seed)
        self.store = Store(folder / locations.LOG_NAME, self.clock.utc)
        self.shop = shop
        #: What could not be kept, for the next screen to say: a copy of the log, a choice of gauge.
        self.notice = ""
        shift = self.shift
        if shift is not None:
            # A shift may stay open for days, and from one version to the next.
            with suppress(LogError):
                note_profile(self.store, shift.id, self._shop_now.counts)
            if not self.store.has_copy_of_today():
                self._keep_copy()
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
        """Close gauge and log, with a copy of what was done; everything is on disk already."""
        self.gauge.close()
        with suppress(LogError):
            if self.shift is not None:
                self._keep_copy()
        self.store.close()

    # Gauge -------------------------------------------------------------------------------------

    def streams(self, gauge: str) -> bool | None:
        """Whether the gauge of this name sends by itself; None where its profile is gone."""
        try:
            return profiles.load_gauge(gauge).streaming
        except profiles.ProfileError:
            return None

    def use_gauge(self, name: str, port: str | None = None) -> None:
        """Read with this gauge from now on; only while no hole is in hand.

        ``port`` overrules the gauge profile's. Raises ProfileError or GaugeError, and then the
        gauge stays as it was.
        """
        profile = profiles.load_gauge(name)
        gauge = make_gauge(profile, self.clock.s, port)
        shop = profiles.load_shop(self.machine_name, gauge=name)
        self.gauge.close()
        self.gauge, self.shop = gauge, shop
        self.gauge_name, self.gauge_port = name, port or profile.port
        self.gauge.open()

    def change_gauge(self, name: str, port: str | None = None) -> None:
        """The same, by somebody's decision: in a shift its daily check is to be made once more.

        What was seen of the gauge before says nothing about this one. Raises LogError as well.
        """
        if self.shift is not None:
            # First, so that a log that refuses it leaves the gauge as it was.
            with self.store.together():
                for item in self.checklist.daily:
                    if item.live is not None:
                        self.reopen_daily(item)
        self.use_gauge(name, port)

    def zeroed_before(self) -> list[str]:
        """The holes that were, or may have been, zeroed with the gauge of now, by their labels.

        Another gauge knows nothing of that zero.
        """
        return [row.label for row in self.waiting() if row.step in ZEROED]

    # Shop --------------------------------------------------------------------------------------

    @property
    def shop(self) -> Shop:
        """The shop by its profiles and by what the log says of now. Raises LogError."""
        return self._shop_now.shop

    @shop.setter
    def shop(self, profiles: Shop) -> None:
        self._shop_now = ShopNow(self.store.connection, profiles)

    @property
    def rack(self) -> dict[str, OnHand]:
        """What is left of each size of electrode, by its label. Raises LogError."""
        return self._shop_now.rack

    def sizes(self) -> list[Size]:
        """Every size of electrode with what is left of it. Raises LogError."""
        return sizes(self.shop.stock, self.rack)

    def enter_stock(self, said: Said) -> None:
        """Somebody counted a size, or put some of it into the rack. Raises LogError."""
        enter(self.store, self._shop_now.counts, [said])

    def set_aside(self, hole_id: int, lesson: Lesson, why: str, *, is_aside: bool) -> None:
        """Learn a figure from a hole no more, or again. Raises LessonError, LogError."""
        set_aside(self.store, hole_id, lesson, why, is_aside=is_aside)

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
        with self.store.together():
            shift_id = self.store.open_shift(initials, self.machine_name, self.gauge_name)
            note_profile(self.store, shift_id, self._shop_now.counts)
        self._keep_copy()
        return self._shift()

    def last_handover(self) -> Handover | None:
        """What the shift that was closed last left behind."""
        return desk.last_handover(self.store.connection)

    def close_shift(self, handover: str = "") -> None:
        """End the shift with a note for the next."""
        self.store.close_shift(self._shift().id, one_line(handover))
        self._keep_copy()

    def _keep_copy(self) -> None:
        """Keep a copy of the log, and fold what is left to fold; a shift does not wait for that."""
        self.notice = ""
        try:
            # The copy is checked: a log that turns out to be damaged is not folded.
            self.store.keep_copy()
            self.store.fold_all()
            tally_up(self.store, self.shop)
        except LogError as error:
            self.notice = str(error)

    def glance(self) -> Sample | None:
        """What the gauge shows, for a look at it without a hole in hand."""
        return newest(self.gauge.drain(), self.clock.s())

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

    def corrections(self, hole_id: int, unit: LengthUnit) -> Corrections:
        """What of a hole can be corrected, and how; a bare length is in ``unit``."""
        return Corrections(self.store, self._shift().id, hole_id, self.shop.materials, unit)

    # Holes -------------------------------------------------------------------------------------

    def last_taken_in(self) -> tuple[Job, Ticket] | None:
        """The job and ticket of the hole taken in last: the next is likely to be like it."""
        return questions.last_taken_in(self.store.connection)

    def known_names(self) -> dict[str, tuple[str, ...]]:
        """Customers, references and parts that were here before: the next may be one of them."""
        # They are only offered: a log that can't be read is said elsewhere.
        with suppress(LogError):
            return desk.known_names(self.store.connection)
        return {}

    def waiting(self) -> list[HoleRow]:
        """Holes that need something."""
        return questions.unfinished(self.store.connection)

    def last_in_hand(self) -> int | None:
        """The hole that was worked on last, which is likely to be gone on with."""
        return questions.last_in_hand(self.store.connection, Step.PLAN)

    def lying(self) -> list[Lying]:
        """The holes on the bench: those that need something, then those closed in this shift."""
        rows = [*self.waiting(), *self.done_this_shift()]
        left = desk.left(self.store.connection, [row.id for row in rows])
        again = {row.id for row in rows if row.step in ON_ITS_SET_UP and self._is_unset(row.id)}
        return lying(rows, left, self.last_in_hand(), self._shift().operator, again)

    def _is_unset(self, hole_id: int) -> bool:
        """Whether another hole was in hand since this one was, or another gauge reads."""
        connection = self.store.connection
        sittings = questions.sittings(connection, hole_id)
        is_other = bool(sittings) and sittings[-1][1] not in (None, self.gauge.profile.name)
        return is_other or bool(questions.jobs_since(connection, hole_id))

    def half_done(self) -> list[Lying]:
        """The holes that were begun and are not closed, whoever has them."""
        rows = self.waiting()
        left = desk.left(self.store.connection, [row.id for row in rows])
        found = lying(rows, left, self.last_in_hand(), "")
        return [one for one in found if one.is_half_done]

    def totals(self) -> ShiftTotals:
        """What was done in this shift so far."""
        return desk.shift_totals(self.store.connection, self._shift().id)

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

    def take_in(self, part: int | tuple[str, ...], ticket: Ticket) -> int:
        """Take in a hole of a job, by its id, or of another one: customer, reference and part.

        Both or neither, and the hole's id. Raises TradeError, and LogError.
        """
        with self.store.together():
            job_id = part if isinstance(part, int) else self._here(*part) or self.take_in_job(*part)
            return self.take_in_hole(job_id, ticket)

    def _here(self, *names: str) -> int | None:
        """The part of these names that lies on the bench: it is set up, and charged, once."""
        wanted = tuple(map(one_line, names))
        jobs = [row.job for row in (*self.waiting(), *self.done_this_shift())]
        found = [job.id for job in jobs if (job.customer, job.reference, job.part) == wanted]
        return max(found, default=None)

    def take_up(self, hole_id: int) -> HoleInHand:
        """Take a hole in hand where it stands."""
        return HoleInHand(self._desk(), hole_id)

    def _desk(self) -> Desk:
        return Desk(self.store, self.shop, self.checklist, self.gauge, self.clock, self._shift().id)
