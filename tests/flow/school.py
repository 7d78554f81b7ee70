"""Holes that were burnt, closed and made out, put into a log without burning them."""

from __future__ import annotations

from typing import Any, Final

from cockpit.log import questions
from cockpit.log.rows import Outcome, Result
from cockpit.log.store import Store
from tests.log.conftest import TICKET, a_tally

#: Nine burns much alike, and one that took four times as long as they did.
TAUGHT: Final[tuple[dict[str, Any], ...]] = (
    *(
        {"arc_s": 420.0 + 9 * one, "wear_ratio": 0.20 + 0.004 * one, "width_mm": 5.86 + 0.01 * one}
        for one in range(9)
    ),
    {"arc_s": 1700.0, "wear_ratio": 0.22, "amps_said": True},
)


def teach(store: Store, taught: tuple[dict[str, Any], ...]) -> list[int]:
    """Close a hole for each of these, with what it came to; gives the holes."""
    shift = questions.open_shift(store.connection)
    assert shift is not None
    job = store.add_job(shift.id, "Harrowfield Pumps", "HP-2207", "pump casing")
    holes = []
    with store.together():
        for number, said in enumerate(taught, 1):
            changes = dict(said)
            ticket = TICKET.model_copy(update={"hole": f"flange {number}"})
            hole_id = store.add_hole(shift.id, job, ticket, "ended")
            outcome_id = store.add_outcome(shift.id, hole_id, Outcome(Result.DONE))
            width_mm = changes.pop("width_mm", None)
            if width_mm is not None:
                store.add_width(shift.id, hole_id, width_mm)
            store.add_tally(a_tally(hole_id, outcome_id, **changes))
            holes.append(hole_id)
    return holes
