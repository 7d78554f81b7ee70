"""What is handed over: which holes are a job's, and what it says they cost."""

from __future__ import annotations

from pathlib import Path

from cockpit.flow.handing_over import job_facts
from cockpit.flow.pricing import price_job
from cockpit.flow.steps import Step
from cockpit.log.rows import Outcome, Result
from cockpit.record.facts import JobFacts
from cockpit.record.sheet import job_sheet
from cockpit.units import LengthUnit
from tests.flow.walk import Walk, open_floor
from tests.log.conftest import TICKET


def holes_of(facts: JobFacts) -> list[int]:
    return [hole.hole for hole in facts.holes]


def test_a_job_is_all_that_its_customer_has_under_that_reference(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        store = floor.store

        def take_in(customer: str, reference: str, part: str) -> int:
            return floor.take_in_hole(floor.take_in_job(customer, reference, part), TICKET)

        casing = take_in("Quillstone Gears", "QG-41", "casing")
        other = take_in("Elderbeck Forge", "QG-41", "casing")
        cover = take_in("Quillstone Gears", "qg-41", "cover")
        nameless = take_in("Quillstone Gears", "", "arm")
        take_in("Quillstone Gears", "", "arm")
        again = take_in("Quillstone Gears", "QG-41", "casing")

        whole = job_facts(store.connection, store.path, cover, whole_job=True)
        assert holes_of(whole) == [casing, cover, again]
        assert whole.parts == ("casing", "cover")
        for hole in (other, nameless):
            assert holes_of(job_facts(store.connection, store.path, hole, whole_job=True)) == [hole]
        assert holes_of(job_facts(store.connection, store.path, cover)) == [cover]

        (names, table) = job_sheet(whole, LengthUnit.MM).parts
        assert [one.value for one in names.facts if one.name == "parts"] == ["casing, cover"]
        assert table.table is not None
        assert [row[:3] for row in table.table.rows] == [
            ("casing", "1", "flange 3"),
            ("cover", "1", "flange 3"),
            ("casing", "1", "flange 3"),
        ]


def test_a_record_of_a_job_costs_what_its_price_is(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor)
        walk.to(Step.OUTCOME)
        walk.hole.close(Outcome(Result.DONE))
        job = walk.hole.row.job
        cover = floor.take_in_job(job.customer, job.reference, "cover")
        second = Walk(floor, floor.take_up(floor.take_in_hole(cover, TICKET))).to(Step.OUTCOME)
        second.hole.close(Outcome(Result.DONE))
        store, rates = floor.store, floor.shop.rates
        facts = job_facts(store.connection, store.path, second.hole.id, rates, whole_job=True)
        priced = price_job(store.connection, floor.shop, job.reference)
        assert facts.price is not None
        assert len([line for line in priced.actual.lines if line.what == "set-up"]) == 2
        assert facts.price.by_arc_time == priced.actual.total


def test_a_hole_that_nobody_has_begun_costs_nothing_yet(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        hole = Walk.of(floor).to(Step.CHECKS).hole
        store, rates = floor.store, floor.shop.rates
        facts = job_facts(store.connection, store.path, hole.id, rates, whole_job=True)
        price = facts.holes[0].price
        assert price is not None
        assert facts.price is not None
        assert (price.planned, price.by_arc_time) == (hole.plan.price, None)
        assert facts.price.by_arc_time == 0


def test_an_electrode_that_was_not_burnt_with_yet_is_not_paid_for(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor).to(Step.BURN)
        walk.hole.arc_starts()
        walk.wait(60.0)
        walk.hole.arc_stops()
        walk.touches_off()
        walk.hole.burn_on()
        walk.to(Step.BURN)
        walk.hole.change_electrode()
        walk.to(Step.GUARD)
        connection, rates = floor.store.connection, floor.shop.rates
        facts = job_facts(connection, floor.store.path, walk.hole.id, rates)
        price = facts.holes[0].price
        assert price is not None
        # The one hole of its job, with the set-up: as much as the job.
        billed = price_job(connection, floor.shop, "HP-2207").actual.total
        assert price.by_arc_time == billed
