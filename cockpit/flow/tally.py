"""What a hole came to, made out once, when it is closed: for lists, prices and the next plans."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass, replace
from math import sqrt

from pydantic import ValidationError

from cockpit.burn.aim import Aim
from cockpit.burn.calls import CallKind
from cockpit.burn.replay import run
from cockpit.burn.state import BurnState
from cockpit.burn.tracker import Tracker
from cockpit.flow.past import AIM, past_events
from cockpit.log import questions
from cockpit.log.asking import unreadable
from cockpit.log.rows import Tally
from cockpit.log.store import LogError, Store, milliseconds
from cockpit.trade.plan import Plan
from cockpit.trade.price import price_hole
from cockpit.trade.ticket import Shop, Ticket
from cockpit.trade.wear import RATIO_DRIFT_SD, Z95

#: No more holes of an earlier cockpit than this are made out at once: a trace takes its time.
MOST_AT_ONCE = 50


@dataclass(frozen=True, slots=True)
class Closed:
    """A hole that was closed, and what there is to make out what it came to."""

    hole_id: int
    outcome_id: int
    is_first_of_part: bool
    ticket: Ticket
    plan_id: int
    plan: Plan
    aim: Aim
    tracker: Tracker
    #: How many were burnt with.
    electrodes: int

    @property
    def _state(self) -> BurnState:
        return self.tracker.state()

    def tally(self, shop: Shop) -> Tally:
        """What it came to, priced by the rate card of now."""
        state, plan, ticket = self._state, self.plan, self.ticket
        depth_mm, depth_sd_mm = self._depth()
        ratio, ratio_sd = measured_ratio(self.tracker, self.aim)
        # As the log keeps it: by what is left of a sum of floats a bill would be a cent off.
        arc_s, arc = milliseconds(state.arc_s) / 1000, plan.arc
        price = price_hole(
            shop.rates,
            arc_s=arc_s,
            electrodes=self.electrodes,
            nominal_mm=plan.thread.nominal_mm,
            first_of_part=self.is_first_of_part,
        )
        is_said = any(plan.overridden(name) for name in ("arc.amps_low", "arc.amps_high"))
        return Tally(
            hole_id=self.hole_id,
            outcome_id=self.outcome_id,
            plan_id=self.plan_id,
            kind=ticket.broken.value,
            material=ticket.material,
            hard_metal=ticket.hard_metal,
            electrode=plan.electrode.label,
            electrode_mm=plan.electrode.diameter_mm,
            electrodes=self.electrodes,
            arc_s=arc_s,
            depth_mm=depth_mm,
            depth_sd_mm=depth_sd_mm,
            burnt_mm=None if depth_mm is None else depth_mm - plan.depth.recess_mm,
            worn_mm=None if depth_mm is None else worn_mm(self.tracker),
            area_mm2=plan.time.area_mm2,
            amps=arc.amps,
            amps_said=is_said,
            wear_ratio=ratio,
            wear_ratio_sd=ratio_sd,
            price=price,
            currency=shop.rates.currency,
        )

    def _depth(self) -> tuple[float | None, float | None]:
        """Where the burn ended and its standard deviation, mm; None where nobody knows."""
        state = self._state
        if state.depth_mm is None or state.is_unseen:
            return None, None
        sd_mm = (state.depth_mm.high - state.depth_mm.low) / (2 * Z95)
        falls = [call for call in self.tracker.calls if call.kind is CallKind.THROUGH]
        is_through = self.ticket.through and self.tracker.has_fallen
        if is_through and falls and falls[-1].depth_mm is not None:
            # Past the far side nothing is burnt.
            return falls[-1].depth_mm, sd_mm
        return state.depth_mm.mid, sd_mm


def worn_mm(tracker: Tracker) -> float:
    """What the electrode in the holder has lost since it was zeroed, mm; never less than none."""
    estimate = tracker.estimate
    return max(estimate.wear.wear_mm - estimate.on_face_mm, 0.0)


def measured_ratio(tracker: Tracker, aim: Aim) -> tuple[float | None, float | None]:
    """The wear ratio that measuring in this hole told, and its standard deviation.

    What the plan believed is taken out of what is believed now: the precisions of independent
    normal beliefs add up, and so do the means weighted by them. None where nothing was measured,
    or what was measured is lost.
    """
    estimate = tracker.estimate
    if estimate.wear_is_lost:
        return None, None
    wear = estimate.wear
    # The ratio drifts as it goes; without that a little would seem to be known of it.
    before = aim.wear_sd**2 + RATIO_DRIFT_SD**2 * estimate.travelled_mm
    told = 1 / wear.var_ratio - 1 / before if wear.var_ratio > 0 else 0.0
    if told <= 1e-6 / before:
        return None, None
    ratio = (wear.ratio / wear.var_ratio - aim.wear_mean / before) / told
    return ratio, 1 / sqrt(told)


def closed_hole(connection: sqlite3.Connection, hole_id: int, tracker: Tracker | None) -> Closed:
    """A hole that was closed, as the log has it; its trace is played again without a ``tracker``.

    Raises LookupError for a hole without an outcome or an accepted plan, and LogError.
    """
    row, planned = questions.hole(connection, hole_id), questions.plan(connection, hole_id)
    outcome_id = questions.outcome_id(connection, hole_id)
    plan_id = questions.plan_id(connection, hole_id)
    if row is None or planned is None or plan_id is None or outcome_id is None:
        raise LookupError(f"hole {hole_id} was not burnt, or is not closed")
    plan = planned[0]
    try:
        aim = AIM.validate_json(planned[1])
    except ValidationError as error:
        raise unreadable(f"the aim of hole {hole_id} in the log can't be read") from error
    return Closed(
        hole_id=hole_id,
        outcome_id=outcome_id,
        is_first_of_part=row.number == 1,
        ticket=questions.ticket(connection, hole_id),
        plan_id=plan_id,
        plan=plan,
        aim=aim,
        tracker=tracker or run(past_events(connection, hole_id), aim),
        electrodes=questions.electrodes(connection, hole_id),
    )


def tally_up(store: Store, shop: Shop) -> int:
    """Make out holes that an earlier cockpit closed; return how many. Raises LogError at the end.

    One that can't be read holds up none of the others.
    """
    trouble: LogError | None = None
    made = 0
    for hole_id in questions.without_tally(store.connection, MOST_AT_ONCE):
        try:
            tally = closed_hole(store.connection, hole_id, None).tally(shop)
        except LogError as error:
            trouble = error
            continue
        # What it cost then, nobody knows.
        store.add_tally(replace(tally, price=None, currency=None))
        made += 1
    if trouble is not None:
        raise trouble
    return made
