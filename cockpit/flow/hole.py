"""The hole in hand: what was decided about it, where it stands, what comes next.

Every method that the operator's key leads to has written to the log before it returns; the screen
then shows what is on disk.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from itertools import takewhile

from cockpit.burn.aim import Aim
from cockpit.burn.calls import CallKind
from cockpit.burn.reading import MarkKind
from cockpit.burn.state import BurnState
from cockpit.burn.tracker import Tracker
from cockpit.flow.after_arc import holds_electrode
from cockpit.flow.as_left import SET_AT, answers_as_before, knows_zero
from cockpit.flow.clock import Clock
from cockpit.flow.corrections import keep_width
from cockpit.flow.live import LiveBurn
from cockpit.flow.past import AIM
from cockpit.flow.proofs import Ending
from cockpit.flow.steps import (
    AT_THE_ARC,
    MID_HOLE_SET_UP,
    ON_ITS_SET_UP,
    TOUCHED_OFF_FIRST,
    Step,
)
from cockpit.flow.tally import closed_hole, worn_mm
from cockpit.gauges.protocol import ChangeHint, Gauge, HoleHint
from cockpit.log import questions
from cockpit.log.desk import is_cut_short
from cockpit.log.rows import (
    BurnKind,
    CheckResult,
    CheckRow,
    HoleRow,
    Outcome,
    Result,
)
from cockpit.log.store import LogError, Store, micrometres
from cockpit.text import one_line
from cockpit.trade.centring import CentreVerdict, judge_centre
from cockpit.trade.checks import CheckItem, Checklist
from cockpit.trade.depth import TARGET_WITHIN_MM, NextStop, depth_at_stop_mm, next_stop
from cockpit.trade.errors import TradeError
from cockpit.trade.figures import Override, Value
from cockpit.trade.fit import length_needed_mm
from cockpit.trade.plan import STOP_RESTS_ON, Plan, make_plan
from cockpit.trade.stock import StockEntry
from cockpit.trade.ticket import Shop, Ticket
from cockpit.trade.timing import fastest_s
from cockpit.trade.wear import Wear, WearPrior
from cockpit.units import quoted, write_both

#: How far beyond the possible a measured wear may lie: the gauge's own error, mm (assumed).
WEAR_SLACK_MM = 0.3
#: So much of what another electrode passes on its way down may have been burnt, mm (assumed).
UNNOTICED_MM = 1.0
#: A touch-off that is typed may lie this far from what the indicator shows, mm (assumed).
APART_MM = 0.3
#: A measurement this many standard deviations, and this many mm for its own error, off what is
#: believed is asked about (assumed).
UNLIKELY_SDS = 3.0
UNLIKELY_MM = 0.4

# Why more is asked than the guard.
OTHER_GAUGE = "Another gauge reads now, and knows nothing of the zero"
CUT_SHORT = "The burn was cut short"
#: What is asked then.
ZERO_AGAIN = "zero again on the reference face before the arc"
NOT_SET_UP = "Not set up again yet"
#: How the note on a plan that was taken on begins.
TAKEN_ON = "Plan taken on against its warning by"
#: The longest initials, letters; as in a shift.
MOST_INITIALS = 12

# What to look at when a measurement is doubted.
_LOOK_AT = {
    MarkKind.TOUCH: "is the tip on the reference face?",
    MarkKind.WEAR: "is it measured from its length when new?",
    MarkKind.DEPTH: "does the gauge stand on the bottom of the burn?",
}
# And where nobody saw how the burn ended.
MAY_BE = dict.fromkeys((MarkKind.TOUCH, MarkKind.WEAR), "did it burn on, or is the zero gone: Z?")
MAY_BE[MarkKind.DEPTH] = "did it burn on?"


class UnlikelyError(ValueError):
    """A measurement that can be, but hardly: taken only when the operator is sure."""


@dataclass(frozen=True, slots=True)
class Desk:
    """What every hole in this shift has in common."""

    store: Store
    shop: Shop
    checklist: Checklist
    gauge: Gauge
    clock: Clock
    shift_id: int


def wear_of(plan: Plan, shop: Shop) -> WearPrior:
    """The wear ratio that a plan reckoned with, whatever was learnt since."""
    return shop.wear if plan.wear is None else plan.wear.prior


def aim_of(plan: Plan, shop: Shop, gauge: Gauge) -> Aim:
    """What the tracker of this plan aims at."""
    # Travel runs ahead of depth by the wear: as fast as the plan can think both.
    wear = wear_of(plan, shop)
    # However alike a shop's burns were, one that is as fast as any shop's is no way through air.
    least_s = min(plan.time.low_s, fastest_s(plan.time.median_s))
    fastest_mm_s = plan.depth.burn_mm / least_s / (1 - wear.quantile(0.95))
    return Aim(
        recess_mm=plan.depth.recess_mm,
        target_mm=plan.depth.target_mm,
        limit_mm=plan.depth.limit_mm,
        wear_mean=wear.mean,
        wear_sd=wear.sd,
        noise=shop.noise,
        streaming=gauge.profile.streaming,
        measures_anew=True,
        doubts_unseen=True,
        head_speed_mm_s=shop.machine.max_head_speed_mm_s,
        fastest_mm_s=fastest_mm_s,
        longest_s=plan.time.high_s,
        reach_mm=plan.electrode.length_mm - shop.machine.holder_mm,
        # Where no number of them is known to be enough, each is used up.
        electrodes=plan.electrode.needed or 2,
    )


def _step(desk: Desk, row: HoleRow) -> Step:
    try:
        return Step(row.step)
    except ValueError:
        raise LogError(
            f"Hole {row.label} stands at {quoted(row.step)} in {desk.store.path}, which this "
            "cockpit does not know; update the cockpit."
        ) from None


def _check_initials(what: str, initials: str) -> None:
    """Refuse what is nobody's initials: a key alone takes nothing on."""
    if not initials:
        raise ValueError(f"{what}: somebody has to take it on with their initials.")
    is_name = initials.replace(" ", "").replace(".", "").isalpha()
    if not is_name or len(initials) > MOST_INITIALS:
        raise ValueError(f"{quoted(initials)}: initials are letters, {MOST_INITIALS} at most.")


def _rests_on(plan: Plan, item: CheckItem) -> tuple[object, ...]:
    """What of a plan a check was answered for: what it shows, and the electrode in the holder."""
    held = (plan.electrode.label,) if item.by_electrode else ()
    return (*held, *_shown(plan, item))


def _places_the_burn(item: CheckItem) -> bool:
    """Whether it says where the burn goes: zero, centre, stop, and what is in the holder."""
    return _is_centre(item) or item.live == "zero" or item.shows in ("stop", "electrode")


def _is_centre(item: CheckItem) -> bool:
    is_untold = item.by_electrode and item.shows is None and item.live is None
    return is_untold or item.shows == "centre"


def _shown(plan: Plan, item: CheckItem) -> tuple[object, ...]:
    match item.shows:
        case "stop":
            return plan.depth.stops_mm[:1]
        case "electrode":
            return plan.electrode.label, plan.electrode.length_mm
        case "current":
            return plan.arc.range, plan.arc.amps_low, plan.arc.amps_high
        case "flush":
            return (plan.flush.catch_ml_10s,)
        case "cautions":
            return plan.cautions
        case "centre" | "square" | None:
            # As well as a person gets it, whatever there is room for.
            return ()


class HoleInHand:
    """One hole from its plan to its outcome, in one operator's hands."""

    def __init__(self, desk: Desk, hole_id: int) -> None:
        """Take the hole up where the log left it. Raises LogError."""
        row = questions.hole(desk.store.connection, hole_id)
        if row is None:
            raise LogError(f"There is no hole {hole_id} in {desk.store.path}.")
        self.id = hole_id
        self.row: HoleRow = row
        self.step = _step(desk, row)
        self._came_from: Step | None = None
        self._desk = desk
        self.ticket: Ticket = questions.ticket(desk.store.connection, hole_id)
        self.taken_back = ""
        #: What has to be said before anything else, once it was taken up.
        self.asks_first = ""
        self.plan: Plan = self._accepted() or self._planned()
        self._live: LiveBurn | None = None
        self._stop: NextStop | None = None
        # The stop before the one that a change of electrode asks for.
        self._stop_kept: NextStop | None = None
        # Marked once, however often the log refuses the step that follows.
        self._is_change_marked = self.step in MID_HOLE_SET_UP and questions.is_electrode_marked(
            desk.store.connection, hole_id
        )
        # The checks that were answered by saying that all is as it was left.
        self._left_as: tuple[str, ...] = ()
        #: How far the stop moved with the last measurement, mm.
        self.stop_moves_mm = 0.0
        # Set where the last measurement asks for it, however the log takes it.
        self._is_stop_set = True
        #: What was answered so far of how it ended, by the key of the question.
        self.said: dict[str, str] = {}
        if self.step not in (Step.TICKET, Step.PLAN):
            self._take_up()

    def _accepted(self) -> Plan | None:
        """The plan that was accepted, once the hole is past it, whatever the shop is by now."""
        if self.step in (Step.TICKET, Step.PLAN):
            return None
        planned = questions.plan(self._desk.store.connection, self.id)
        return None if planned is None else planned[0]

    def _planned(self) -> Plan:
        """The plan as it comes out now, with what this shop's people have overruled in it.

        An override that has lapsed, because the rack or the machine is another by now, is left out
        and said: a hole is never out of reach for a figure.
        """
        overrides = questions.overrides(self._desk.store.connection, self.id)
        try:
            return self._plan_with(overrides)
        except TradeError as error:
            if not overrides:
                raise
            plan, lapsed = self._plan_without_the_lapsed(overrides)
            left_out = "; ".join(map(str, lapsed))
            warnings = (f"Left out: {left_out}. {error}", *plan.warnings)
            return plan.model_copy(update={"warnings": warnings})

    def _plan_without_the_lapsed(
        self, overrides: Sequence[Override]
    ) -> tuple[Plan, Sequence[Override]]:
        """Keep every override that a plan can be made with, and give those that are left out."""
        kept: list[Override] = []
        # Twice, since one may hold only together with another that comes after it.
        for _ in range(2):
            for one in overrides:
                if one not in kept:
                    with suppress(TradeError):
                        self._plan_with([*kept, one])
                        kept.append(one)
        return self._plan_with(kept), [one for one in overrides if one not in kept]

    def _plan_with(self, overrides: Sequence[Override]) -> Plan:
        first_of_part = self.row.number == 1
        return make_plan(self.ticket, self._desk.shop, overrides, first_of_part=first_of_part)

    def _take_up(self) -> None:
        """Go by the plan that was accepted, not by one made anew; the arc waits for the guard."""
        planned = questions.plan(self._desk.store.connection, self.id)
        if planned is None:
            self._go(Step.PLAN)
            return
        self.plan, kept = planned
        connection = self._desk.store.connection
        jobs = questions.jobs_since(connection, self.id)
        why_again = self._why_again()
        # Together: what was in between is not seen any more once this sitting is in the log.
        with self._desk.store.together():
            self._begin_live(self._with_this_gauge(AIM.validate_json(kept)))
            if jobs and self.step in (*ON_ITS_SET_UP, *MID_HOLE_SET_UP, Step.CHECKS):
                self._set_up_again(is_other_part=jobs != {self.row.job.id}, why_again=why_again)
            elif why_again == OTHER_GAUGE:
                self._zero_again()
            elif why_again:
                self._touch_off_first()
            elif self.step is Step.AGAIN:
                cut_short = f"{CUT_SHORT}. " if self.wear_is_lost else ""
                self.asks_first = self._unless_as_left(f"{cut_short}{NOT_SET_UP}")
            elif self.step in AT_THE_ARC:
                self._go(Step.GUARD)

    def _why_again(self) -> str:
        """Why more is asked than the guard; empty if all is as good as it was."""
        connection = self._desk.store.connection
        sittings = questions.sittings(connection, self.id)
        gauge = sittings[-1][1] if sittings else None
        is_set_up = self.step in (*ON_ITS_SET_UP, *MID_HOLE_SET_UP, Step.CHECKS)
        if is_set_up and gauge not in (None, self._desk.gauge.profile.name):
            return OTHER_GAUGE
        was_burning = self.step in TOUCHED_OFF_FIRST
        return CUT_SHORT if was_burning and is_cut_short(connection, self.id) else ""

    def _touch_off_first(self) -> None:
        """Ask how much of the electrode is left: how far it burnt on by itself nobody knows."""
        self.touch_off()
        self.asks_first = f"{CUT_SHORT}: arc off at the machine, then touch off."

    def zero_is_gone(self) -> None:
        """Ask for a fresh zero, and for what rests on it, before the arc."""
        self._reopen(
            item for item in self._desk.checklist.setup if item.live or item.shows == "stop"
        )
        self._to_again()

    def _zero_again(self) -> None:
        """Another gauge has none."""
        self.zero_is_gone()
        self.asks_first = self._unless_as_left(f"{OTHER_GAUGE}: {ZERO_AGAIN}")

    def _to_again(self) -> None:
        """Before the arc it is set up again; an electrode that is out is set up anyway."""
        is_in = self.step is Step.ELECTRODE and not self._is_electrode_out()
        if self.step in ON_ITS_SET_UP or is_in:
            self._to_set_up(Step.AGAIN)

    def _unless_as_left(self, asks: str) -> str:
        """What is asked, and how an operator says that nothing of it has changed."""
        if not self.may_be_as_left():
            return f"{asks}."
        return f"{asks}. L if part, electrode, zero and stop are all as they were."

    def _set_up_again(self, *, is_other_part: bool, why_again: str) -> None:
        """Another hole was in hand: its part, electrode, zero and stop may be on the machine.

        For the tracker an electrode that is put back and zeroed anew is another one; for the
        record it is not.
        """
        all_of_it = [item for item in self._desk.checklist.setup if not item.again_after_pilot]
        self._reopen(all_of_it if is_other_part else self._of_the_electrode())
        self._to_again()
        is_begun = questions.hole_checks(self._desk.store.connection, self.id)
        if self.step in MID_HOLE_SET_UP or is_begun:
            asks = "Another hole was in hand since: set this one up again"
            self.asks_first = self._unless_as_left(f"{why_again}. {asks}" if why_again else asks)

    def _with_this_gauge(self, aim: Aim) -> Aim:
        """The aim of the plan for the gauge of now: the last one may have been typed by hand.

        The noise stays that of the gauge before, since it is in what was measured so far.
        """
        desk = self._desk
        if aim.streaming == desk.gauge.profile.streaming:
            return aim
        aim = replace(aim, streaming=desk.gauge.profile.streaming)
        desk.store.add_plan(desk.shift_id, self.id, self.plan, AIM.dump_json(aim).decode())
        return aim

    def _begin_live(self, aim: Aim) -> None:
        desk = self._desk
        self._live = LiveBurn(desk.store, desk.shift_id, self.id, aim, desk.gauge, desk.clock)
        set_at = self._live.when_stop_was_set
        self._stop = None if set_at is None else self._stop_for(set_at)
        if self.step in MID_HOLE_SET_UP:
            self._suppose_electrode(self._live)
        self._hint_hole(self._live.state())

    def _hint_hole(self, state: BurnState) -> None:
        """Tell a simulated gauge which hole is under the head, and with what electrode."""
        depth = self.plan.depth
        is_new = self.step in MID_HOLE_SET_UP and self._is_electrode_out()
        self._desk.gauge.hint(
            HoleHint(
                depth.recess_mm,
                # A tool whose end nobody knows may well sit on the bottom.
                self.ticket.tool_end_mm or max(self.ticket.bottom_mm, depth.target_mm),
                bottom_mm=None if self.ticket.through else self.ticket.bottom_mm,
                burnt_mm=state.depth_mm.mid if state.depth_mm else None,
                wear_mm=0.0 if is_new else state.wear.wear_mm,
            )
        )

    @property
    def stop_mm(self) -> float:
        """Where the depth stop is to stand, as an indicator reading, mm; the plan's at first."""
        return self.plan.depth.stops_mm[0] if self._stop is None else self._stop.travel_mm

    @property
    def stop_gap_mm(self) -> float:
        """The gap under the head for that, with the tip on the reference face, mm.

        The indicator reads the wear there, unless it was zeroed with what is in the holder now.
        """
        state = self._state_at_stop()
        return self.stop_mm - (state.wear.wear_mm if state is not None else 0.0)

    @property
    def length_needed_mm(self) -> float | None:
        """How long an electrode has to be for this hole, mm; None where it takes several."""
        plan, shop = self.plan, self._desk.shop
        if plan.electrode.needed != 1:
            return None
        wear = wear_of(plan, shop)
        return length_needed_mm(plan.electrode, plan.depth, shop.machine.holder_mm, wear)

    @property
    def stop_depth_mm(self) -> float:
        """The depth at which the tip is believed to stand there, mm."""
        return self.depth_at_stop_mm(self.stop_mm, self._state_at_stop())

    def _state_at_stop(self) -> BurnState | None:
        """The burn that goes on with what is in the holder as the stop is set; None before any."""
        if self._live is None or self.step is Step.CHECKS:
            return None
        if self.step in MID_HOLE_SET_UP:
            return self.live.supposing(MarkKind.ELECTRODE)
        return self.live.state()

    @property
    def stop_why(self) -> NextStop | None:
        """What holds the stop there; None at first, when the plan says it."""
        return self._stop

    @property
    def live_or_none(self) -> LiveBurn | None:
        """The burn, where there is one."""
        return self._live

    @property
    def live(self) -> LiveBurn:
        """The burn; there is one from the accepted plan on."""
        if self._live is None:
            raise LogError(f"Hole {self.row.number} has no accepted plan yet; accept one first.")
        return self._live

    def _go(self, step: Step) -> None:
        if self._live is not None:
            # No step is in the log before what led to it, and other screens don't send what waits.
            self._live.settle()
        self._desk.store.add_step(self._desk.shift_id, self.id, step)
        self._came_from, self.step = self.step, step
        if self._live is not None:
            # Anywhere else the arc is off, or the guard is.
            at_the_arc = step in (Step.PILOT, Step.BURN)
            if at_the_arc:
                self._live.stop_at(self.stop_mm)
            self._live.arc_by_readings(*(self._this_burn() if at_the_arc else (None,)))

    def leave(self) -> None:
        """Put the hole down as it stands: the arc clock stops, nothing is lost."""
        if self._live is not None:
            self._live.close()

    def keep(self) -> None:
        """Put what came until now into the log; nobody put the arc off, so a burn is cut short.

        Raises LogError while that can't be written.
        """
        if self._live is not None:
            self._live.pump()
            self._live.settle()

    # Plan and checks ---------------------------------------------------------------------------

    def accept_plan(self, initials: str = "") -> None:
        """The operator will burn by this plan.

        Against a warning of danger somebody takes it on with their ``initials``, kept as a note.
        Raises ValueError without them.
        """
        desk, plan = self._desk, self.plan
        if plan.is_to_be_taken_on:
            _check_initials("This plan", initials)
        aim = aim_of(plan, desk.shop, desk.gauge)
        with desk.store.together():
            desk.store.add_plan(desk.shift_id, self.id, plan, AIM.dump_json(aim).decode())
            if plan.is_to_be_taken_on:
                against = next(iter(plan.warnings), "it does not fit")
                self._note_once(f"{TAKEN_ON} {one_line(initials)}: {against}")
        self._begin_live(aim)
        self.taken_back = ""
        self._go(Step.CHECKS)

    def has_override(self, figure: str) -> bool:
        """Whether an override of this figure stands in the log, lapsed or not."""
        held = questions.overrides(self._desk.store.connection, self.id)
        return any(one.figure == figure for one in held)

    def _overrides_in_force(self) -> list[Override]:
        held = questions.overrides(self._desk.store.connection, self.id)
        return [one for one in held if self.plan.overridden(one.figure) is not None]

    def correct(self, ticket: Ticket) -> None:
        """Another ticket for this hole, as long as its plan is not accepted; raises TradeError.

        What was overruled was overruled for the hole as it was told before, so it is taken back,
        and said in ``taken_back``; another name or material leaves it as it is.
        """
        self._refuse_once_accepted()
        desk = self._desk
        make_plan(ticket, desk.shop)
        same = {"hole": "", "material": ""}
        is_same = ticket.model_copy(update=same) == self.ticket.model_copy(update=same)
        held = [] if is_same else questions.overrides(desk.store.connection, self.id)
        desk.store.correct_ticket(desk.shift_id, self.id, ticket, [one.figure for one in held])
        self.taken_back = ", ".join(one.said for one in held)
        self.ticket = ticket
        self.row = questions.hole(desk.store.connection, self.id) or self.row
        self.plan = self._planned()

    def _refuse_once_accepted(self) -> None:
        if self.step not in (Step.TICKET, Step.PLAN):
            raise ValueError("The plan is accepted: step back to it first, then correct.")

    def override(self, figure: str, value: Value | None, why: str) -> None:
        """Put a value in place of a figure of the plan, with a word why; None takes that back.

        Raises TradeError, and keeps nothing, when the hole can't be planned with it; ValueError
        once the plan is accepted.
        """
        self._refuse_once_accepted()
        why = one_line(why)
        if not why:
            raise ValueError("Say in a word why.")
        desk = self._desk
        if value is not None:
            # Those that have lapsed are left out here as they are in the plan.
            others = [one for one in self._overrides_in_force() if one.figure != figure]
            trial = Override(figure=figure, value=value, who="?", at_utc="now", why=why)
            self._plan_with([*others, trial])
        desk.store.add_override(desk.shift_id, self.id, figure, value, why)
        self.plan = self._planned()

    def _of_the_electrode(self) -> list[CheckItem]:
        """What another electrode has to be checked for."""
        setup = self._desk.checklist.setup
        return [item for item in setup if item.by_electrode or item.shows == "electrode"]

    def checks_left(self) -> list[CheckItem]:
        """What is still to be checked before the arc, in order."""
        setup = self._desk.checklist.setup
        rows = questions.hole_checks(self._desk.store.connection, self.id)
        left = [item for item in setup if not self._is_answered(item, rows)]
        if self.step is not Step.GUARD:
            return left
        # A stop that was to be set anew after a touch-off, and was not yet.
        unset = [item for item in self._stop_items() if item in left or not self._is_stop_set]
        return [*unset, *(item for item in setup if item.again_after_pilot)]

    def checks_held(self) -> int:
        """How many of the checks of this step are answered and hold."""
        if self.step is Step.CHECKS:
            return len(self._desk.checklist.setup) - len(self.checks_left())
        if self.step not in MID_HOLE_SET_UP:
            return 0
        connection = self._desk.store.connection
        held = {row.item for row in questions.hole_checks(connection, self.id) if row.holds}
        return len(held & questions.answered_at_step(connection, self.id))

    def may_be_as_left(self) -> bool:
        """Whether somebody may say that what is to be set up again is as it was left.

        Not once something of the set-up was answered, nor where two gauges were used.
        """
        if self.step is not Step.AGAIN or self._is_answered_now(self._desk.checklist.setup):
            return False
        sittings = questions.sittings(self._desk.store.connection, self.id)
        return knows_zero(sittings, self._desk.gauge.profile.name)

    def passed_over(self) -> tuple[tuple[str, str], ...]:
        """What says where the burn goes and was passed over, each with the word why.

        A zero, centre, stop or electrode that nobody saw to be right, or that was taken against
        what the gauge showed.
        """
        rows = questions.hole_checks(self._desk.store.connection, self.id)
        keys = {item.key for item in self._desk.checklist.setup if _places_the_burn(item)}
        if self._arc_step() is Step.BURN:
            # Whether it is centred the spot has shown by then.
            keys -= {item.key for item in self._desk.checklist.setup if _is_centre(item)}
        held = {row.item: row for row in rows if row.holds and row.item in keys}
        return tuple(
            (row.title, row.word)
            for row in held.values()
            if row.result is CheckResult.SKIPPED or row.is_against_the_gauge
        )

    def skipped(self) -> tuple[tuple[str, str], ...]:
        """Every check that was passed over in this set-up, each with the word why."""
        rows = questions.hole_checks(self._desk.store.connection, self.id)
        held = {row.item: row for row in rows if row.holds}
        return tuple(
            (row.title, row.word) for row in held.values() if row.result is CheckResult.SKIPPED
        )

    def _is_answered(self, item: CheckItem, rows: Sequence[CheckRow]) -> bool:
        """Whether an item is answered for this plan.

        What shows a figure of the plan was confirmed for the figure it showed then; with another
        figure, or another electrode, it is asked again. So the last answer counts alone: whoever
        went to another plan and back has set the machine for the other one.
        """
        mine = [row for row in rows if row.item == item.key and row.holds]
        now = _rests_on(self.plan, item)
        if not mine or not now:
            return bool(mine)
        plan_id = mine[-1].plan_id
        if plan_id is None:
            return False
        plans = questions.plans(self._desk.store.connection, self.id)
        return _rests_on(plans[plan_id], item) == now

    def needs_initials(self, item: CheckItem) -> bool:
        """Whether this check takes on a caution of this hole, which a key alone can't."""
        return item.shows == "cautions" and bool(self.plan.acknowledge)

    def answer_check(self, item: CheckItem, result: CheckResult, word: str = "") -> None:
        """Keep the answer to one check. A safety check can't be passed over."""
        word = one_line(word)
        if result is CheckResult.SKIPPED and self._depth_rests_on(item):
            raise ValueError(f"{item.title}: the depth rests on it, it can't be passed over.")
        if item.safety and result is CheckResult.SKIPPED:
            raise ValueError(f"{item.title}: matters for safety and can't be passed over.")
        if result is CheckResult.CONFIRMED and self.needs_initials(item):
            _check_initials(item.title, word)
        if result is CheckResult.SKIPPED and not word:
            raise ValueError(f"{item.title}: say in a word why it is passed over.")
        if item.shows == "stop" and result is CheckResult.CONFIRMED:
            self._set_stop(item)
        else:
            self._keep_check(item.key, item.title, result, word)

    def _set_stop(self, item: CheckItem) -> None:
        self._keep_check(item.key, item.title, CheckResult.CONFIRMED, self._stop_word())
        self._is_stop_set = True

    def _stop_word(self) -> str:
        """What the log says of a stop that is set where it is to stand now."""
        return SET_AT + write_both(self.stop_mm)

    def comes_to(self, item: CheckItem) -> None:
        """The operator comes to this check; only a demo listens, which has no hands of its own."""
        is_zero = item.live == "zero"
        if is_zero and self.step in MID_HOLE_SET_UP and not self._is_electrode_out():
            self._desk.gauge.hint(ChangeHint(MarkKind.ELECTRODE))
        self.live.touching(is_zero or item.shows == "stop")

    def may_skip(self, item: CheckItem) -> bool:
        """Whether this check may be passed over, with a word why."""
        return not (item.safety or self._depth_rests_on(item))

    def _depth_rests_on(self, item: CheckItem) -> bool:
        """What is not zeroed tells a wrong depth, and a wrong stop."""
        return item.live == "zero"

    def reopen_check(self, key: str) -> None:
        """The operator stepped back to a check: it is to be looked at once more."""
        self._desk.store.reopen_check(self._desk.shift_id, self.id, key)

    def step_back(self) -> bool:
        """Look once more at what was answered last since the hole came to its step, if anything.

        Whoever left in the middle of a list, and came again, has it before the first that is left;
        what comes after that one stays as it is.
        """
        connection = self._desk.store.connection
        answered = questions.answered_at_step(connection, self.id)
        held = {row.item for row in questions.hole_checks(connection, self.id) if row.holds}
        left = {item.key for item in self.checks_left()}
        keys = [item.key for item in self._desk.checklist.setup]
        before = list(takewhile(lambda key: key not in left, keys))
        last = next((key for key in reversed(before) if key in answered & held), None)
        if last is not None:
            self.reopen_check(last)
        return last is not None

    def _keep_check(self, key: str, title: str, result: CheckResult, word: str = "") -> None:
        desk = self._desk
        is_first = self.step in MID_HOLE_SET_UP and not self._is_electrode_out()
        desk.store.add_check(desk.shift_id, self.id, key, title, result, word)
        if is_first:
            desk.gauge.hint(ChangeHint(MarkKind.ELECTRODE))

    def checks_done(self) -> None:
        """Everything is answered: on to the arc. Raises ValueError while something is not."""
        left = self.checks_left()
        if self.step is Step.GUARD:
            left = [item for item in left if not item.again_after_pilot]
        if left:
            raise ValueError(f"{left[0].title}: not answered yet.")
        if self.step in MID_HOLE_SET_UP:
            if not self._is_change_marked:
                self._mark_change(self.live)
            self._go(Step.GUARD)
            self._is_change_marked = False
        else:
            self._go(self._arc_step() if self.step is Step.GUARD else Step.PILOT)

    def _mark_change(self, live: LiveBurn) -> None:
        """What is in the holder is zeroed anew: another electrode, or the same one as it is.

        Another one takes the place of one that is used up.
        """
        estimate = live.tracker.estimate
        lost_um, has_burnt = micrometres(worn_mm(live.tracker)), estimate.travelled_mm > 0
        live.changed(MarkKind.ELECTRODE)
        self._is_change_marked = True
        # The mark is what the depth hangs on; a stock that is wrong by one is counted again.
        with suppress(LogError):
            if self.step is not Step.ELECTRODE:
                self._keep_stock(StockEntry.WORN, lost_um)
            elif has_burnt:
                self._keep_stock(StockEntry.USED_UP, 1)

    def _arc_step(self) -> Step:
        """To depth once a spot was found centred, else the pilot burn (again)."""
        centres = questions.centres(self._desk.store.connection, self.id)
        return Step.BURN if centres and centres[-1].verdict == "go on" else Step.PILOT

    # The arc -----------------------------------------------------------------------------------

    def arc_starts(self) -> BurnState:
        """The operator has started the arc."""
        return self.live.arc_starts(*self._this_burn())

    def _this_burn(self) -> tuple[BurnKind, float | None]:
        """The burn of this step, and how deep it goes when it is a pilot burn, mm."""
        if self.step is Step.PILOT:
            return BurnKind.PILOT, self.plan.depth.recess_mm + self.plan.pilot_mm
        return BurnKind.BURN, None

    def arc_stops(self) -> BurnState:
        """The operator has stopped the arc."""
        return self.live.arc_stops()

    def change_electrode(self) -> None:
        """Arc off: another electrode goes into the holder, and is set up like the first one.

        It counts from when its checks are done; until then the operator may step back.
        """
        if self.step is Step.AGAIN and self._is_electrode_out():
            raise ValueError("Finish these checks; then E at the burn puts another one in.")
        self._reopen(self._of_the_electrode())
        self._to_set_up(Step.ELECTRODE)

    def _to_set_up(self, step: Step) -> None:
        """To a set-up in mid hole, with the stop that goes with an electrode zeroed anew."""
        is_begun = self.step in MID_HOLE_SET_UP
        self._go(step)
        self._left_as = ()
        if not is_begun:
            self._suppose_electrode(self.live)

    def _reopen(self, items: Iterable[CheckItem]) -> None:
        for item in items:
            self.reopen_check(item.key)

    def _suppose_electrode(self, live: LiveBurn) -> None:
        self._stop_kept = self._stop
        self._stop = self._stop_for(live.supposing(MarkKind.ELECTRODE))

    def _is_electrode_out(self) -> bool:
        """Whether anything was answered about another electrode since it was asked for."""
        return self._is_answered_now(self._of_the_electrode())

    def _is_answered_now(self, items: Iterable[CheckItem]) -> bool:
        """Whether one of these checks was answered since the hole came to its step."""
        answered = questions.answered_at_step(self._desk.store.connection, self.id)
        return any(item.key in answered for item in items)

    def keep_electrode(self) -> None:
        """The electrode is not changed after all: back to the guard, or to the set-up before it.

        Raises ValueError once the first check is done: from then on the old one may be out of the
        holder and the indicator zeroed on another.
        """
        if self._is_electrode_out():
            raise ValueError("Another electrode may be in the holder by now: finish its checks.")
        if questions.step_before(self._desk.store.connection, self.id) == Step.AGAIN:
            self._go(Step.AGAIN)
        else:
            self._keep_set_up()

    def as_left(self) -> None:
        """All is as it was left, says the operator: nothing of it has to be set up again.

        Raises ValueError where nobody can say that.
        """
        if not self.may_be_as_left():
            raise ValueError("The zero may be another by now: finish these checks.")
        self._left_as = self._keep_set_up()
        if self.wear_is_lost:
            # Where it stands is as it was left; what it has lost since nobody has seen.
            self.touch_off()

    def not_as_left(self) -> None:
        """It is to be set up again after all."""
        for key in self._left_as:
            self.reopen_check(key)
        self._to_set_up(Step.AGAIN)

    def _keep_set_up(self) -> tuple[str, ...]:
        """To the guard with electrode, zero and stop as before; gives what holds again."""
        desk, was, new_stop = self._desk, self.step, self._stop
        self._stop = self._stop_kept
        rows = questions.hole_checks(desk.store.connection, self.id)
        asked = [item.key for item in desk.checklist.setup]
        stops = [item.key for item in self._stop_items()]
        taken_on = [item.key for item in desk.checklist.setup if item.shows == "cautions"]
        again = [*answers_as_before(rows, asked, stops, self._stop_word(), taken_on)]
        try:
            with desk.store.together():
                for row, result, word in again:
                    desk.store.add_check(desk.shift_id, self.id, row.item, row.title, result, word)
                self._go(Step.GUARD)
        except LogError:
            # Refused, the stop stays that of the electrode that is being set up.
            self.step, self._stop = was, new_stop
            raise
        self._hint_hole(self.live.state())
        return tuple(row.item for row, _, _ in again)

    def has_spot(self) -> bool:
        """Whether there is a spot to look at: one that nobody has, or that stopped the hole."""
        centres = questions.centres(self._desk.store.connection, self.id)
        has_stopped = bool(centres) and centres[-1].verdict == "stop"
        return has_stopped or questions.has_new_spot(self._desk.store.connection, self.id)

    def is_spot_too_deep(self) -> bool:
        """Whether the spot is too deep for the electrode to be moved to another one."""
        depth, plan = self.live.state().depth_mm, self.plan
        return depth is not None and holds_electrode(
            depth.low - plan.depth.recess_mm - plan.pilot_mm
        )

    def pilot_done(self) -> None:
        """The spot is burnt: look at it."""
        self._go(Step.CENTRE)

    def judge_centre(self, across_mm: float, along_mm: float) -> CentreVerdict:
        """What an offset of the spot means; nothing is kept."""
        electrode, wall = self.plan.electrode, self.plan.thread.wall
        allowed_mm = electrode.allowed_offset_mm
        return judge_centre(electrode.window, across_mm, along_mm, allowed_mm, wall)

    @property
    def out_of_square(self) -> float:
        """How far this machine's head leans, mm for each mm of depth."""
        return self._desk.shop.machine.out_of_square

    def spot_before(self) -> tuple[float, float] | None:
        """Where the spot before this one sat (across, along; mm), if there was one."""
        return questions.spot_before(self._desk.store.connection, self.id)

    def centre_checked(self, across_mm: float, along_mm: float) -> CentreVerdict:
        """Keep where the spot sat; the guard comes next, then the burn or another pilot."""
        verdict = self.judge_centre(across_mm, along_mm)
        if verdict.verdict == "move":
            # Before the verdict: marked twice, should that fail, it does no harm.
            self.live.changed(MarkKind.SPOT)
        self._desk.store.add_centre(self._desk.shift_id, self.id, verdict)
        if verdict.verdict == "move":
            self._desk.gauge.hint(ChangeHint(MarkKind.SPOT))
        if verdict.verdict == "go on" and self._is_deep_already():
            self.touch_off()
        elif verdict.verdict != "stop":
            self._go(Step.GUARD)
        return verdict

    def _is_deep_already(self) -> bool:
        """Whether a pilot went on until nothing is known of its depth but by a touch-off."""
        called = {call.kind for call in self.live.standing}
        deep = {CallKind.LIMIT, CallKind.TARGET, CallKind.AT_STOP}
        return self.is_spot_too_deep() and not called.isdisjoint(deep)

    def touch_off(self) -> None:
        """Arc off, to the reference face."""
        self._go(Step.TOUCH)
        self.live.touching(True)

    def measured(
        self,
        kind: MarkKind,
        value_mm: float,
        *,
        shown_mm: float | None = None,
        sure: bool = False,
    ) -> BurnState:
        """Take a measurement (mm), sharpen the estimate with it, and set the next stop from that.

        ``shown_mm`` is what the indicator shows meanwhile, where there is one at the face. Raises
        ValueError for a figure that can't be, UnlikelyError for one that hardly can unless
        ``sure``; neither changes anything.
        """
        self._refuse_impossible(kind, value_mm)
        if not sure:
            self._doubt(kind, value_mm, shown_mm)
        before_mm = self.stop_mm
        state = self.live.measured(kind, value_mm)
        self._stop = self.next_stop()
        self.stop_moves_mm = self._stop.travel_mm - before_mm
        self._unset_stop()
        return state

    def _unset_stop(self) -> None:
        """The stop is to be set anew, and to be confirmed before the arc."""
        self._is_stop_set = False
        # The measurement is taken all the same: what the log takes later is no reason to doubt it.
        with suppress(LogError):
            self._reopen(self._stop_items())

    def _stop_items(self) -> list[CheckItem]:
        return [item for item in self._desk.checklist.setup if item.shows == "stop"]

    def stop_is_set(self) -> None:
        """The stop stands where the last measurement asks for it: guard, then arc."""
        if not self._is_stop_set:
            for item in self._stop_items():
                self._set_stop(item)
        self.burn_on()

    @property
    def wear_is_lost(self) -> bool:
        """Whether nobody has measured what a burn that was cut short took of the electrode."""
        return self.live.tracker.estimate.wear_is_lost

    def _wear_by(self, kind: MarkKind, value_mm: float) -> tuple[float, float]:
        """The wear that a measurement says, and the travel that it is from; mm."""
        high_mm = self.live.state().high_mm
        if high_mm is None:
            raise ValueError("Nothing has been burnt yet, so there is no wear to measure.")
        return (high_mm - value_mm if kind is MarkKind.DEPTH else value_mm), high_mm

    def _refuse_impossible(self, kind: MarkKind, value_mm: float) -> None:
        wear_mm, high_mm = self._wear_by(kind, value_mm)
        state = self.live.state()
        if state.is_unseen or (kind is MarkKind.DEPTH and not state.has_landed):
            # What was travelled sets no bound.
            self._refuse_beyond(kind, value_mm)
            return
        most_mm = high_mm - self.plan.depth.recess_mm
        if state.electrodes > 1:
            # What others have travelled wore them, and not the one that is measured.
            most_mm = min(most_mm, self.live.tracker.estimate.travelled_mm + UNNOTICED_MM)
        if not -WEAR_SLACK_MM <= wear_mm <= most_mm + WEAR_SLACK_MM:
            raise ValueError(
                f"{write_both(value_mm)} can't be: the electrode would have lost "
                f"{write_both(wear_mm)} of {write_both(most_mm)} travelled. Measure again."
            )

    def _refuse_beyond(self, kind: MarkKind, value_mm: float) -> None:
        """Refuse what not even an electrode burnt up by itself can have come to."""
        length_mm, recess_mm = self.plan.electrode.length_mm, self.plan.depth.recess_mm
        least_mm = recess_mm if kind is MarkKind.DEPTH else 0.0
        if value_mm > length_mm:
            raise ValueError(
                f"{write_both(value_mm)} can't be: the electrode was {write_both(length_mm)} long. "
                "Measure again."
            )
        if value_mm < least_mm - WEAR_SLACK_MM and kind is MarkKind.DEPTH:
            raise ValueError(
                f"{write_both(value_mm)} can't be: the burn began at {write_both(recess_mm)}. "
                "Gauge again."
            )
        if value_mm < least_mm - WEAR_SLACK_MM:
            raise ValueError(
                f"{write_both(value_mm)} can't be wear: the zero is gone. Z zeroes it anew."
            )

    def _doubt(self, kind: MarkKind, value_mm: float, shown_mm: float | None) -> None:
        """Doubt what is not what the indicator shows, and what is far from what is believed."""
        doubts = []
        if shown_mm is not None and abs(value_mm - shown_mm) > APART_MM:
            doubts.append(f"not the {write_both(shown_mm)} that the indicator shows")
        wear_mm, high_mm = self._wear_by(kind, value_mm)
        _, believed = self.live.tracker.estimate.contact_without(kind)
        off_mm = abs(wear_mm - believed.wear_mm)
        if off_mm > UNLIKELY_MM + UNLIKELY_SDS * believed.sd_mm:
            depth_mm = believed.depth_mm(high_mm)
            expected_mm = depth_mm if kind is MarkKind.DEPTH else believed.wear_mm
            look_at = MAY_BE[kind] if self.live.state().is_unseen else _LOOK_AT[kind]
            doubts.append(f"far from the {write_both(expected_mm)} expected ({look_at})")
        if doubts:
            why = " and ".join(doubts)
            raise UnlikelyError(f"{write_both(value_mm)} is {why}. Measure again, or A takes it.")

    def burn_on(self) -> None:
        """Back over the hole: guard, then arc."""
        self.live.touching(False)
        self._go(Step.GUARD)

    def at_target(self) -> bool:
        """Whether so little is left that the burn is done."""
        to_go_mm = self.live.state().to_go_mm
        return to_go_mm is not None and to_go_mm <= TARGET_WITHIN_MM

    def finished(self) -> bool:
        """Whether the burn is done: it fell through, or is at its target above a bottom limit.

        Without a limit, as in a through hole, it goes on until it falls through: there is no bottom
        to save.
        """
        has_limit = self.plan.depth.limit_mm is not None
        return self.fell_through() or (has_limit and self.at_target())

    def fell_through(self) -> bool:
        """Whether a fall-through has been called at this spot."""
        return self.live.tracker.has_fallen

    def ending(self) -> Ending:
        """What the log says of how the hole ended."""
        depth = self.live.state().depth_mm
        is_past = depth is not None and self.plan.depth.past_limit_mm(depth.mid) is not None
        centres = questions.centres(self._desk.store.connection, self.id)
        return Ending(
            has_thread=self.plan.thread.pitch_mm is not None,
            is_past_limit=is_past,
            may_be_past_limit=any(call.kind is CallKind.LIMIT for call in self.live.standing),
            is_measured=self.live.is_measured and not self.live.state().is_unseen,
            is_off_centre=bool(centres and centres[-1].verdict == "stop"),
            is_through_hole=self.ticket.through,
            fell_through=self.fell_through(),
            at_target=self.at_target(),
        )

    def next_stop(self) -> NextStop:
        """Where to set the depth stop now, as an indicator reading, and why there."""
        return self._stop_for(self.live.state())

    def depth_at_stop_mm(self, stop_mm: float, state: BurnState | None = None) -> float:
        """The depth at which the tip is believed to stand with the head on a stop, mm."""
        if state is None or state.high_mm is None:
            prior = wear_of(self.plan, self._desk.shop)
            wear, travel_mm = Wear.prior(prior.mean, prior.sd), self.plan.depth.recess_mm
        else:
            wear, travel_mm = state.wear, state.high_mm
        return depth_at_stop_mm(stop_mm, travel_mm, wear)

    def stop_mark(self) -> str:
        """The mark of a stop that rests on a figure somebody overruled; else nothing."""
        return self.plan.mark(*STOP_RESTS_ON)

    def _stop_for(self, state: BurnState) -> NextStop:
        depth = self.plan.depth
        if state.depth_mm is None or state.high_mm is None:
            return NextStop(travel_mm=depth.stops_mm[0], by_limit=depth.limit_mm is not None)
        # It may have burnt on to the target: no wear is added that may have been there already.
        high_mm = depth.target_mm + state.wear.wear_mm if state.is_unseen else state.high_mm
        return next_stop(high_mm, state.wear, depth.target_mm, depth.limit_mm)

    # After the arc -------------------------------------------------------------------------------

    def clean_out(self) -> None:
        """The burn is over; get out what is left."""
        self.live.touching(False)
        self._go(Step.CLEANOUT)

    def cleanout_left(self) -> list[tuple[str, str]]:
        """The clean-out steps still to do, each with its key in the log."""
        done = self._cleaned_out()
        return [step for step in self._cleanout() if step[0] not in done]

    def _cleanout(self) -> list[tuple[str, str]]:
        steps = self.plan.remnant.way.cleanout
        return [(f"clean-out {n}", text) for n, text in enumerate(steps, 1)]

    def _cleaned_out(self) -> list[str]:
        """The keys of the clean-out steps that are done since the last burn, in order."""
        rows = questions.hole_checks(self._desk.store.connection, self.id)
        done = {row.item for row in rows if row.holds}
        return [key for key, _ in self._cleanout() if key in done]

    def step_back_cleaning(self) -> bool:
        """Look once more at the clean-out step that was done last, if one was."""
        done = self._cleaned_out()
        if done:
            self.reopen_check(done[-1])
        return bool(done)

    def cleaned(self, key: str, text: str) -> None:
        """One step of the clean-out is done."""
        self._keep_check(key, text, CheckResult.CONFIRMED)

    def prove(self) -> None:
        """Clean: ask for outcome and gauge result."""
        self._go(Step.OUTCOME)

    def back_from_outcome(self) -> None:
        """To what came before the questions: the spot that stopped the hole, or the clean-out."""
        off_centre = self.ending().is_off_centre
        self.back_to(Step.CENTRE if off_centre else Step.CLEANOUT)

    def before_guard(self) -> Step | None:
        """The step to go back to from the guard; None where only the bench is left.

        Not to a spot that was moved: the head stands over another one since.
        """
        if self._came_from is Step.AGAIN:
            return Step.AGAIN if self._left_as else None
        if self._came_from is Step.CENTRE:
            centres = questions.centres(self._desk.store.connection, self.id)
            return Step.CENTRE if centres and centres[-1].verdict == "go on" else None
        return Step.TOUCH if self._came_from is Step.TOUCH else None

    def back_to(self, step: Step) -> None:
        """The operator steps back; what was kept stays kept, and the plan is open again."""
        if step is Step.PLAN:
            self.plan = self._planned()
        if step is Step.CLEANOUT and (done := self._cleaned_out()):
            self.reopen_check(done[-1])
        self._go(step)

    def last_note(self) -> str:
        """The last note that somebody wrote, and whose it is; empty where there is none."""
        found = questions.notes(self._desk.store.connection, self.id)
        last = next((one for one in reversed(found) if not one.text.startswith(TAKEN_ON)), None)
        return f"Note by {last.operator}: {last.text}" if last else ""

    def _note_once(self, text: str) -> None:
        """Keep a note of the cockpit's own, unless it stands there already."""
        found = questions.notes(self._desk.store.connection, self.id)
        if all(one.text != text for one in found):
            self.note(text)

    @property
    def width_mm(self) -> float | None:
        """How wide the burnt hole was measured, mm; None where nobody did."""
        return questions.width_mm(self._desk.store.connection, self.id)

    def burnt_width(self, width_mm: float) -> None:
        """The burnt hole was measured across. Raises ValueError for what no arc leaves."""
        page = questions.page(self._desk.store.connection, self.id)
        if page is not None:
            keep_width(self._desk.store, self._desk.shift_id, page, width_mm)

    def note(self, text: str) -> None:
        """Keep a note on the hole."""
        self._desk.store.add_note(self._desk.shift_id, self.id, one_line(text))

    def close(self, outcome: Outcome) -> None:
        """Keep how the hole ended. Left for later, it stays where it stands."""
        outcome = replace(outcome, why=one_line(outcome.why))
        if outcome.result is not Result.DONE and not outcome.why:
            raise ValueError(f"{outcome.result.capitalize()}: say in a word why.")
        self.leave()
        # Half closed it would be waiting on the bench, and counted as closed.
        desk = self._desk
        with desk.store.together():
            desk.store.add_outcome(desk.shift_id, self.id, outcome)
            if outcome.result is not Result.LATER:
                self._go(Step.ENDED)
                if self._live is not None:
                    self._tally_up(self._live.tracker)

    def _tally_up(self, tracker: Tracker) -> None:
        """What it came to, and what that took of the rack."""
        desk = self._desk
        closed = closed_hole(desk.store.connection, self.id, tracker)
        desk.store.add_tally(closed.tally(desk.shop))
        self._keep_stock(StockEntry.WORN, micrometres(worn_mm(tracker)))

    def _keep_stock(self, entry: StockEntry, number: int) -> None:
        """Something that this hole took of the rack; nothing for a number of 0."""
        desk, label = self._desk, self.plan.electrode.label
        if number:
            desk.store.add_stock(desk.shift_id, label, entry, number, hole_id=self.id)
