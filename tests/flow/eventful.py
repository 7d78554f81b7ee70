"""A hole to which much happened, burnt as everything else here is: a gauge, a log, time by hand."""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING

from cockpit.flow.steps import Step
from cockpit.log.rows import Outcome, Result
from tests.flow.walk import Walk

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cockpit.flow.floor import ShopFloor
    from cockpit.gauges.protocol import Sample

#: How long the gauge is silent under the arc, s.
SILENT_S = 40.0


@contextmanager
def silent(floor: ShopFloor) -> Iterator[None]:
    """Nothing that the gauge sends arrives."""
    gauge = floor.gauge
    sends = gauge.drain

    def nothing() -> list[Sample]:
        sends()
        return []

    setattr(gauge, "drain", nothing)  # noqa: B010  # of this one alone
    try:
        yield
    finally:
        setattr(gauge, "drain", sends)  # noqa: B010


def burn_with_events(floor: ShopFloor, hole_id: int) -> None:
    """A figure overruled, a silence, touch-offs, two electrodes, notes, an outcome corrected."""
    hole = floor.take_up(hole_id)
    walk = Walk(floor, hole)
    hole.override("remnant.web_mm", 4.2, "measured on the stub")
    walk.to(Step.BURN)
    hole.arc_starts()
    walk.wait(80.0)
    with silent(floor):
        walk.wait(SILENT_S)
    walk.wait(30.0)
    hole.arc_stops()
    walk.touches_off()
    hole.note("flush grey, nozzle turned")
    hole.burn_on()
    walk.to(Step.BURN)
    hole.change_electrode()
    walk.to(Step.CLEANOUT)
    walk.to(Step.OUTCOME)
    hole.close(Outcome(Result.LATER, why="no taps left"))
    floor.take_up(hole_id).close(Outcome(Result.DONE, chased="by hand", gauged="go passes"))
    assert hole.live.state().electrodes == 2
