"""What a job costs, planned and actual: worked out by hand, to the cent."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from cockpit.flow.pricing import NoJobError, price_job
from cockpit.flow.steps import Step
from cockpit.log.rows import Outcome, Result
from tests.flow.walk import Walk, open_floor
from tests.log.conftest import a_tally


def test_a_job_is_billed_as_it_came_out(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor)
        walk.to(Step.OUTCOME)
        walk.hole.close(Outcome(Result.DONE))
        connection = floor.store.connection
        # What it came to is said once more: 5 min 50 s of arc, two electrodes.
        floor.store.add_tally(a_tally(walk.hole.id, 1, arc_s=350.0, electrodes=2))
        other = floor.take_in_hole(walk.hole.row.job.id, walk.hole.ticket)
        priced = price_job(connection, floor.shop, "hp-2207")
        # By hand, with the standard card: set-up 40.00
        # first hole: 25.00 + 5.83 min x 2.50 = 14.575 -> 14.58 + 2 x 6.00 = 12.00: 51.58
        # The second hole is not begun: nothing yet.
        assert priced.actual.total == Decimal("91.58")
        assert [str(line.amount) for line in priced.actual.lines] == [
            "40.00",
            "25.00",
            "14.58",
            "12.00",
        ]
        assert priced.open_holes == ("flange 3",)
        assert priced.planned is not None
        # Planned, both alike: 40.00 + 2 x (25.00 + minutes x 2.50 + 6.00).
        plan = walk.hole.plan
        minutes = Decimal(repr(plan.time.median_s)) / 60
        arc = (minutes.quantize(Decimal("0.01")) * Decimal("2.50")).quantize(Decimal("0.01"))
        second = floor.take_up(other).plan
        assert second.price != plan.price  # the set-up is on the first
        assert priced.planned.lines[2].amount == arc


def test_each_part_of_a_job_has_its_set_up(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        for part in ("casing", "cover"):
            job = floor.take_in_job("Quillstone Gears", "QG-41", part)
            floor.take_in_hole(job, Walk.of(floor).hole.ticket)
        priced = price_job(floor.store.connection, floor.shop, "QG-41")
        assert priced.parts == ("casing", "cover")
        assert priced.planned is not None
        set_ups = [line.amount for line in priced.planned.lines if line.what == "set-up"]
        assert set_ups == [Decimal("40.00"), Decimal("40.00")]
        # Nobody has begun anything.
        assert priced.actual.total == Decimal("0.00")


def test_a_job_is_never_under_the_minimum(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        walk = Walk.of(floor).to(Step.PILOT)
        walk.hole.close(Outcome(Result.GIVEN_UP, why="cracked"))
        priced = price_job(floor.store.connection, floor.shop, "HP-2207")
        # 40.00 + 25.00 = 65.00, and 10.00 are missing to 75.00
        assert priced.actual.total == Decimal("75.00")
        assert priced.actual.lines[-1].what == "up to the minimum"
        assert priced.actual.lines[-1].amount == Decimal("10.00")


def test_a_job_that_nobody_has_and_one_that_two_have_are_said(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        Walk.of(floor)
        with pytest.raises(NoJobError, match='No job has the reference "HP-1"'):
            price_job(floor.store.connection, floor.shop, "HP-1")
        job = floor.take_in_job("Ostrel Boatworks", "HP-2207", "housing")
        floor.take_in_hole(job, Walk.of(floor).hole.ticket)
        with pytest.raises(NoJobError, match="Harrowfield Pumps and of Ostrel Boatworks"):
            price_job(floor.store.connection, floor.shop, "HP-2207")
        # Corrected, each has its own.
        names = ("Ostrel Boatworks", "OB-118", "housing")
        floor.store.correct_job(1, job, names, "the wrong slip")
        assert price_job(floor.store.connection, floor.shop, "ob-118").customer == names[0]
