"""The history of an invented shop, written into a log hole by hole, as the cockpit would have.

Each hole is burnt by what its electrode does there in truth: the depth goes on with the removal
rate, the travel runs ahead of it by the wear, a touch-off finds that wear, and the tally is what
came of it. A hole that is left half done is taken up again in a later shift, by whoever is there.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from functools import cached_property
from math import exp, pi, sin
from random import Random
from typing import Final

from invented_shop import (
    CUSTOMERS,
    GAUGE,
    HOLE_LOG_SD,
    HOLE_WEAR_SD,
    MACHINE,
    OPERATORS,
    PARTS,
    PLACES,
    InventedShop,
    Sort,
    worn,
)

from cockpit.burn.calls import Call, CallKind
from cockpit.burn.reading import Mark, MarkKind
from cockpit.flow.steps import Step
from cockpit.log.folding import fold
from cockpit.log.rows import BurnEnd, BurnKind, CheckResult, Outcome, Result, SwitchedBy, Tally
from cockpit.log.store import Store
from cockpit.trade.centring import judge_centre
from cockpit.trade.checks import CheckItem
from cockpit.trade.plan import Plan
from cockpit.trade.price import price_hole

BEGAN: Final = datetime(2021, 1, 4, 6, 0, tzinfo=UTC)
YEARS: Final = 5
#: Shifts begin so many hours apart, on so many days a week; the first ones of a week.
SHIFT_H, SHIFTS_A_DAY, DAYS_A_WEEK = 8, 3, 5
#: No shift has fewer holes than this, more or less, so that a small log has shifts worth reading.
LEAST_A_SHIFT: Final = 4
#: Of a gauge with a hundredth of a millimetre, µm.
GRAIN_UM: Final = 10

#: How often what happens, of all holes (invented).
OUTLIER, CUT_SHORT, CHANGED, STALLED, LEFT, GIVEN_UP, DAMAGED = (
    0.01,
    0.01,
    0.03,
    0.05,
    0.03,
    0.02,
    0.01,
)
TAKEN_UP: Final = 0.5  # of the holes that wait, in each shift
NOTED, CORRECTED, RELABELLED, MEASURED, GAUGED = 0.1, 0.01, 0.02, 0.05, 0.1

NOTES: Final = (
    "flushes slowly, bore blown out",
    "sits tight, two electrodes wide of the clamp",
    "break is not flat, began slowly",
    "part gets warm; waited",
    "marked with paint, as asked",
    "=see print, sheet 2",
    "très dur au début",
)
WHY: Final = {
    Result.LATER: ("customer brings the print", "shift is over", "no gauge of this size here"),
    Result.GIVEN_UP: ("wall too thin below", "tool is welded in", "customer wants a new part"),
    Result.DAMAGED: ("first two threads touched", "slag in the thread, repaired with an insert"),
}
HANDOVERS: Final = ("", "", "tank is due", "5/32 in are getting few", "clamp at the back slips")


@dataclass
class _Hole:
    """A hole at the machine. ``t_s``: its clock; ``worn_mm``: what the electrode in it has lost."""

    id: int
    sort: Sort
    plan: Plan
    is_first: bool
    rate: float
    ratio: float
    seq: int = 0
    t_s: float = 0.0
    arc_s: float = 0.0
    depth_mm: float = 0.0
    worn_mm: float = 0.0
    electrodes: int = 1
    touched: list[tuple[float, float]] = field(default_factory=list)


class History:
    """Writes holes into ``store``, which is dated by ``utc``; ``readings`` of each on average."""

    def __init__(self, chance: Random, readings: int) -> None:
        self._chance = chance
        self._readings = readings
        self._shop = InventedShop(chance)
        self._waiting: list[Iterator[None]] = []
        self.at = BEGAN
        self.shift = 0

    def utc(self) -> datetime:
        """What the clock on the wall says."""
        return self.at

    def write(self, store: Store, holes: int) -> Iterator[int]:
        """All the shifts that so many holes take; how many holes are there after each."""
        slots = YEARS * 52 * DAYS_A_WEEK * SHIFTS_A_DAY
        a_shift = max(LEAST_A_SHIFT, -(-holes // slots))
        shifts, done = -(-holes // a_shift), 0
        self._store = store
        for number in range(shifts):
            week, place = divmod(number * slots // shifts, DAYS_A_WEEK * SHIFTS_A_DAY)
            day, turn = divmod(place, SHIFTS_A_DAY)
            begins = BEGAN + timedelta(weeks=week, days=day, hours=SHIFT_H * turn)
            self.at = max(self.at + timedelta(seconds=30), begins)
            some = min(a_shift, holes - done)
            with store.together():
                self._work(some, OPERATORS[(number + week) % len(OPERATORS)])
            done += some
            yield done

    def _work(self, holes: int, operator: str) -> None:
        """One shift: what was left is taken up, new parts come in, a note for the next one."""
        self.shift = self._store.open_shift(operator, MACHINE, GAUGE)
        for item in self._shop.checklist.daily:
            self._check(None, item)
        waiting, self._waiting = self._waiting, []
        for hole in waiting:
            if self._happens(TAKEN_UP):
                self._go_on(hole)
            else:
                self._waiting.append(hole)
        while holes:
            many = min(holes, self._chance.choice((1, 1, 1, 2, 3, 4, 6)))
            self._job(many)
            holes -= many
        self._store.close_shift(self.shift, self._chance.choice(HANDOVERS))

    def _go_on(self, hole: Iterator[None]) -> None:
        """Work on a hole to its end, or to where it is left."""
        for _ in hole:
            self._waiting.append(hole)
            return

    def _job(self, many: int) -> None:
        pick = self._chance
        customer, begins = pick.choice(CUSTOMERS)
        material = pick.choice(tuple(PARTS))
        part, reference = pick.choice(PARTS[material]), f"{begins}{pick.randint(100, 9999)}"
        job = self._store.add_job(self.shift, customer, reference, f"{part}, {material}")
        if pick.random() < CORRECTED:
            self._store.connection.execute(
                "INSERT INTO job_corrections (job_id, shift_id, at_utc, customer, reference, part, "
                "correction) VALUES (?, ?, ?, ?, ?, ?, ?)",
                (job, self.shift, self._date(), customer, f"{reference}-A", part, "misread"),
            )
        sort, place = pick.choice(self._shop.sorts[material]), pick.choice(PLACES)
        for number in range(many):
            label = f"{place} {number + 1}" if many > 1 else place
            self._go_on(self._hole(job, sort, label, is_first=number == 0))

    # One hole ----------------------------------------------------------------------------------

    def _hole(self, job: int, sort: Sort, label: str, is_first: bool) -> Iterator[None]:
        """A hole from ticket to tally; stops where it is left for a later shift."""
        hole = self._take_in(job, sort, label, is_first)
        self._set_up(hole)
        self._pilot(hole)
        result, last_mm = self._ending(hole)
        many = 1 if last_mm - hole.depth_mm < 4.0 else self._chance.choice((1, 2, 2, 3))
        legs_mm = [hole.depth_mm + (last_mm - hole.depth_mm) * n / many for n in range(1, many + 1)]
        is_left, changes = self._happens(LEFT), self._happens(CHANGED)
        for number, to_mm in enumerate(legs_mm, 1):
            is_last = number == many
            self._burn(
                hole,
                BurnKind.BURN,
                to_mm,
                self._said(hole, is_last and result is not Result.GIVEN_UP, changes),
            )
            if changes and not is_last:
                self._change_electrode(hole)
            else:
                self._touch_off(hole)
            changes = False
            if is_left and (not is_last or many == 1):
                self._leave(hole)
                yield
                self._store.add_sitting(self.shift, hole.id, hole.t_s, GAUGE)
                is_left = False
            if not is_last:
                self._step(hole, Step.BURN)
        self._clean_out(hole)
        self._close(hole, result)

    def _take_in(self, job: int, sort: Sort, label: str, is_first: bool) -> _Hole:
        store, pick = self._store, self._chance
        self._pass(20, 60)
        ticket = sort.ticket.model_copy(update={"hole": label})
        hole_id = store.add_hole(self.shift, job, ticket, Step.PLAN)
        if self._happens(RELABELLED):
            self._pass(5, 20)
            ticket = ticket.model_copy(update={"hole": f"{label}, left"})
            store.correct_ticket(self.shift, hole_id, ticket)
        rate = sort.rate_mm3_min_a * exp(pick.gauss(0, HOLE_LOG_SD))
        if self._happens(OUTLIER):
            rate *= pick.choice((1 / 3, 2.5))
        ratio = worn(sort.wear_ratio + pick.gauss(0, HOLE_WEAR_SD))
        plan = sort.plans[0 if is_first else 1]
        return _Hole(hole_id, sort, plan, is_first, rate, ratio, depth_mm=sort.ticket.recess_mm)

    def _set_up(self, hole: _Hole) -> None:
        self._pass(10, 40)
        self._store.add_plan(self.shift, hole.id, hole.plan, hole.sort.aim)
        self._store.add_sitting(self.shift, hole.id, 0.0, GAUGE)
        self._step(hole, Step.CHECKS)
        for item in self._shop.checklist.setup:
            if item.shows != "cautions" or hole.plan.cautions:
                self._check(hole, item)
        self._step(hole, Step.PILOT)

    def _pilot(self, hole: _Hole) -> None:
        store, plan = self._store, hole.plan
        to_mm = plan.depth.recess_mm + plan.pilot_mm
        self._burn(hole, BurnKind.PILOT, to_mm, ((CallKind.PILOT, 1.0),))
        self._step(hole, Step.CENTRE)
        self._pass(15, 40, hole)
        room_mm = plan.electrode.allowed_offset_mm / 2
        across_mm, along_mm = (round(self._chance.uniform(-room_mm, room_mm), 2) for _ in range(2))
        window, wall = plan.electrode.window, plan.thread.wall
        verdict = judge_centre(window, across_mm, along_mm, plan.electrode.allowed_offset_mm, wall)
        store.add_centre(self.shift, hole.id, verdict)
        self._step(hole, Step.GUARD)
        for item in self._shop.checklist.setup:
            if item.again_after_pilot:
                self._check(hole, item)
        self._step(hole, Step.BURN)

    def _ending(self, hole: _Hole) -> tuple[Result, float]:
        """How the hole will end, and how deep, mm."""
        target_mm, turn = hole.plan.depth.target_mm, self._chance.random()
        if turn < GIVEN_UP:
            part = self._chance.uniform(0.3, 0.9)
            return Result.GIVEN_UP, hole.depth_mm + part * (target_mm - hole.depth_mm)
        last_mm = target_mm + max(min(self._chance.gauss(-0.03, 0.06), 0.2), -0.2)
        return (Result.DAMAGED if turn < GIVEN_UP + DAMAGED else Result.DONE), last_mm

    def _said(self, hole: _Hole, ends: bool, changes: bool) -> tuple[tuple[CallKind, float], ...]:
        """What is called in a burn, and after how much of it."""
        said = [(CallKind.STALLED, 0.4)] if self._happens(STALLED) else []
        if ends:
            at_end = CallKind.THROUGH if hole.sort.ticket.through else CallKind.TARGET
            said += [(CallKind.NEAR, 0.9), (at_end, 1.0)]
        elif changes:
            said.append((CallKind.SHORT, 1.0))
        return tuple(said)

    # The arc -----------------------------------------------------------------------------------

    def _burn(
        self, hole: _Hole, kind: BurnKind, to_mm: float, said: tuple[tuple[CallKind, float], ...]
    ) -> None:
        """Burn to a depth: the marks, the readings folded as they are after a burn, the calls."""
        store, from_mm, worn_mm = self._store, hole.depth_mm, hole.worn_mm
        self._pass(4, 10, hole)
        lasts_s = round(60 * (to_mm - from_mm) / hole.sort.feed_mm_min(hole.rate), 3)
        pilot_mm = hole.plan.pilot_mm if kind is BurnKind.PILOT else None
        start = Mark.at(hole.t_s, MarkKind.START, pilot_mm)
        burn = store.open_burn(self.shift, hole.id, kind, hole.seq, start, SwitchedBy.KEY)
        hole.depth_mm = to_mm
        hole.worn_mm += (to_mm - from_mm) * hole.ratio / (1 - hole.ratio)
        rows = self._trace(hole, lasts_s, from_mm + worn_mm, to_mm + hole.worn_mm)
        for call, part in said:
            t_s, depth_mm = hole.t_s + part * lasts_s, from_mm + part * (to_mm - from_mm)
            store.add_calls(self.shift, hole.id, [Call(t_s, call, depth_mm)])
        hole.seq += len(rows) + 2
        hole.arc_s += lasts_s
        self._moves(lasts_s, hole)
        how = BurnEnd.CUT_SHORT if self._happens(CUT_SHORT) else BurnEnd.OPERATOR
        stop = Mark.at(hole.t_s, MarkKind.STOP)
        by = SwitchedBy.KEY if how is BurnEnd.OPERATOR else None
        store.close_burn(self.shift, hole.id, burn, how, hole.seq - 1, stop, by)
        if rows:
            store.connection.execute(
                "INSERT INTO traces (hole_id, first_seq, last_seq, readings, body) "
                "VALUES (?, ?, ?, ?, ?)",
                (hole.id, rows[0][0], rows[-1][0], len(rows), fold(rows)),
            )

    def _trace(
        self, hole: _Hole, lasts_s: float, from_mm: float, to_mm: float
    ) -> list[tuple[int, int, int]]:
        """Readings of a burn from one travel to another: place, ms, µm.

        The feed wanders, slow and fast by turns, and the last places shake.
        """
        many = round(self._readings * lasts_s / self._usual_s)
        begin_ms, step_ms = round(1000 * hole.t_s), (1000 * lasts_s - 1) / max(many, 1)
        way_um, from_um = 1000 * (to_mm - from_mm), 1000 * from_mm
        wander, turns = self._chance.uniform(0.0, 0.08), self._chance.choice((2, 4, 6))
        shake = self._chance.random
        rows, sway = [], wander / (turns * pi)
        for n in range(1, many + 1):
            part = n / many
            um = from_um + way_um * (part + sway * sin(turns * pi * part)) + 8 * (shake() - 0.5)
            rows.append(
                (hole.seq + n, begin_ms + int(n * step_ms), GRAIN_UM * round(um / GRAIN_UM))
            )
        return rows

    @cached_property
    def _usual_s(self) -> float:
        """Arc time of a hole, on average, s."""
        sorts = [sort for some in self._shop.sorts.values() for sort in some]
        times_s = [
            60 * sort.plans[0].depth.burn_mm / sort.feed_mm_min(sort.rate_mm3_min_a)
            for sort in sorts
        ]
        return sum(times_s) / len(times_s)

    def _touch_off(self, hole: _Hole) -> None:
        self._step(hole, Step.TOUCH)
        self._pass(6, 15, hole)
        value_mm = max(hole.worn_mm + self._chance.gauss(0, 0.02), 0.0)
        hole.touched.append((hole.depth_mm + hole.worn_mm, value_mm))
        self._mark(hole, MarkKind.TOUCH, value_mm)
        if self._happens(GAUGED):
            self._pass(10, 30, hole)
            self._mark(hole, MarkKind.DEPTH, hole.depth_mm + self._chance.gauss(0, 0.05))

    def _change_electrode(self, hole: _Hole) -> None:
        self._step(hole, Step.ELECTRODE)
        for item in self._shop.checklist.setup:
            if item.by_electrode:
                self._check(hole, item)
        self._mark(hole, MarkKind.ELECTRODE, None)
        hole.electrodes += 1
        hole.worn_mm = 0.0
        hole.touched.clear()

    def _mark(self, hole: _Hole, kind: MarkKind, value_mm: float | None) -> None:
        mark = Mark.at(hole.t_s, kind, value_mm)
        self._store.add_mark(self.shift, hole.id, hole.seq, mark)
        hole.seq += 1

    # The end -----------------------------------------------------------------------------------

    def _leave(self, hole: _Hole) -> None:
        self._pass(10, 30)
        why = self._chance.choice(WHY[Result.LATER])
        self._store.add_outcome(self.shift, hole.id, Outcome(Result.LATER, why=why))

    def _clean_out(self, hole: _Hole) -> None:
        self._step(hole, Step.CLEANOUT)
        for number, text in enumerate(hole.plan.remnant.way.cleanout, 1):
            self._pass(8, 30, hole)
            item = f"clean-out {number}"
            self._store.add_check(self.shift, hole.id, item, text, CheckResult.CONFIRMED)
        self._step(hole, Step.OUTCOME)

    def _close(self, hole: _Hole, result: Result) -> None:
        if self._happens(NOTED):
            self._pass(5, 20)
            self._store.add_note(self.shift, hole.id, self._chance.choice(NOTES))
        if self._happens(MEASURED):
            width_um = round(1000 * (hole.plan.electrode.hole_mm + self._chance.gauss(0, 0.05)))
            self._store.connection.execute(
                "INSERT INTO widths (hole_id, shift_id, at_utc, width_um) VALUES (?, ?, ?, ?)",
                (hole.id, self.shift, self._date(), width_um),
            )
        gauged = "go passes, no-go stops"
        if self._happens(CORRECTED):
            self._end(hole, self._outcome(result, "not gauged"))
            self._pass(60, 900)
        self._end(hole, self._outcome(result, gauged))

    def _outcome(self, result: Result, gauged: str) -> Outcome:
        if result is Result.DONE:
            return Outcome(result, "by hand to the old depth", gauged, "clean", "yes")
        return Outcome(result, why=self._chance.choice(WHY[result]))

    def _end(self, hole: _Hole, outcome: Outcome) -> None:
        self._pass(10, 60)
        self._store.add_outcome(self.shift, hole.id, outcome)
        self._step(hole, Step.ENDED)
        self._store.add_tally(self._tally(hole))

    def _tally(self, hole: _Hole) -> Tally:
        store, plan, ticket = self._store, hole.plan, hole.sort.ticket
        last = store.connection.execute
        (outcome_id,) = last("SELECT max(id) FROM outcomes").fetchone()
        (plan_id,) = last("SELECT max(id) FROM plans WHERE hole_id = ?", [hole.id]).fetchone()
        travel_mm, touched_mm = hole.touched[-1]
        new_mm = travel_mm - plan.depth.recess_mm
        is_known = hole.electrodes == 1 and new_mm > 1.0
        arc_s = round(hole.arc_s, 3)
        price = price_hole(
            self._shop.shop.rates,
            arc_s=arc_s,
            electrodes=hole.electrodes,
            first_of_part=hole.is_first,
        )
        return Tally(
            hole_id=hole.id,
            outcome_id=outcome_id,
            plan_id=plan_id,
            kind=ticket.broken,
            material=ticket.material,
            hard_metal=ticket.hard_metal,
            electrode=plan.electrode.label,
            electrode_mm=plan.electrode.diameter_mm,
            electrodes=hole.electrodes,
            arc_s=arc_s,
            depth_mm=travel_mm - touched_mm,
            depth_sd_mm=0.03,
            burnt_mm=travel_mm - touched_mm - plan.depth.recess_mm,
            worn_mm=touched_mm,
            area_mm2=hole.sort.area_mm2,
            amps=plan.arc.amps,
            amps_said=False,
            wear_ratio=round(touched_mm / new_mm, 4) if is_known else None,
            wear_ratio_sd=round(0.03 / new_mm, 4) if is_known else None,
            price=price,
            currency=self._shop.shop.rates.currency,
        )

    # Time, and what is written often -----------------------------------------------------------

    def _happens(self, chance: float) -> bool:
        return self._chance.random() < chance

    def _pass(self, least_s: float, most_s: float, hole: _Hole | None = None) -> None:
        self._moves(round(self._chance.uniform(least_s, most_s), 3), hole)

    def _moves(self, dt_s: float, hole: _Hole | None) -> None:
        self.at += timedelta(seconds=dt_s)
        if hole is not None:
            hole.t_s = round(hole.t_s + dt_s, 3)

    def _date(self) -> str:
        return self.at.isoformat(timespec="milliseconds")

    def _step(self, hole: _Hole, step: Step) -> None:
        self._store.add_step(self.shift, hole.id, step)

    def _check(self, hole: _Hole | None, item: CheckItem) -> None:
        self._pass(3, 12, hole)
        seen = CheckResult.SEEN if item.live else CheckResult.CONFIRMED
        self._store.add_check(self.shift, hole.id if hole else None, item.key, item.title, seen)
