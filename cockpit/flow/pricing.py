"""What a job costs by the rate card: as it was planned, and as it came out."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from itertools import groupby

from cockpit.log import questions
from cockpit.log.rows import HoleRow
from cockpit.trade.errors import TradeError
from cockpit.trade.plan import Plan, make_plan
from cockpit.trade.price import Bill, Work, bill
from cockpit.trade.ticket import Shop


class NoJobError(LookupError):
    """No job is called that, or more than one; a sentence."""


@dataclass(frozen=True, slots=True)
class Priced:
    """What a job costs. ``planned`` is None where a hole can't be planned any more.

    ``open_holes``: those that are not closed, which count as far as they have come, if at all.
    """

    customer: str
    reference: str
    parts: tuple[str, ...]
    planned: Bill | None
    actual: Bill
    open_holes: tuple[str, ...]


def price_job(connection: sqlite3.Connection, shop: Shop, called: str) -> Priced:
    """What the job with this reference costs. Raises NoJobError, and LogError."""
    holes = find_job(connection, called)
    parts = [list(part) for _, part in groupby(holes, key=lambda hole: hole.job.id)]
    plans = {hole.id: _plan(connection, shop, hole) for hole in holes}
    planned = [
        [_planned(hole, plan) for hole in part if (plan := plans[hole.id]) is not None]
        for part in parts
    ]
    is_whole = None not in plans.values()
    return Priced(
        customer=holes[0].job.customer,
        reference=holes[0].job.reference,
        parts=tuple(part[0].job.part for part in parts),
        planned=bill(shop.rates, planned) if is_whole else None,
        actual=bill(shop.rates, works_done(connection, holes)),
        open_holes=tuple(hole.label for hole in holes if not hole.is_closed),
    )


def works_done(connection: sqlite3.Connection, holes: list[HoleRow]) -> list[list[Work]]:
    """What the holes took, part by part; one that nobody has begun is no work yet."""
    begun = [hole for hole in holes if hole.is_closed or hole.burns]
    return [
        [_done(connection, hole) for hole in part]
        for _, part in groupby(begun, key=lambda hole: hole.job.id)
    ]


def find_job(connection: sqlite3.Connection, called: str) -> list[HoleRow]:
    """The holes of the one customer's job with this reference, in the order they were taken in.

    Whatever its case. Raises NoJobError for none, or for several customers.
    """
    wanted = called.strip().casefold()
    found = [
        hole
        for hole in questions.holes_like(connection, wanted)
        if hole.job.reference.casefold() == wanted
    ]
    if not found:
        raise NoJobError(
            f'No job has the reference "{called}": burn-cockpit log lists what there is.'
        )
    customers = sorted({hole.job.customer for hole in found})
    if len(customers) > 1:
        raise NoJobError(
            f'The reference "{called}" is one of {" and of ".join(customers)}: correct one of them '
            "on a hole's page, so that each job has its own."
        )
    return sorted(found, key=lambda hole: (hole.job.id, hole.number))


def whole_job(connection: sqlite3.Connection, hole: HoleRow) -> list[HoleRow]:
    """The holes of a hole's job: of every part that its customer has under this reference.

    In the order they were taken in, part by part. Without a reference it is the part alone.
    """
    job = hole.job
    reference = job.reference.casefold()
    if not reference:
        return questions.of_job(connection, job.id)
    found = questions.holes_like(connection, reference)
    ours = [one for one in found if one.job.customer == job.customer]
    return sorted(ours, key=lambda one: (one.job.id, one.number))


def _plan(connection: sqlite3.Connection, shop: Shop, hole: HoleRow) -> Plan | None:
    """The plan that was accepted, or else the one that the hole would get now, if any."""
    planned = questions.plan(connection, hole.id)
    if planned is not None:
        return planned[0]
    try:
        return make_plan(
            questions.ticket(connection, hole.id),
            shop,
            questions.overrides(connection, hole.id),
            first_of_part=hole.number == 1,
        )
    except TradeError:
        return None


def _planned(hole: HoleRow, plan: Plan) -> Work:
    needed = plan.electrode.needed or 1
    return Work(hole.label, plan.thread.nominal_mm, plan.time.median_s, needed)


def _done(connection: sqlite3.Connection, hole: HoleRow) -> Work:
    planned = questions.plan(connection, hole.id)
    nominal_mm = planned[0].thread.nominal_mm if planned else None
    tally = questions.tally(connection, hole.id)
    if tally is not None:
        return Work(hole.label, nominal_mm, tally.arc_s, tally.electrodes)
    return Work(hole.label, nominal_mm, hole.arc_s, questions.electrodes(connection, hole.id))
