"""Where a hole can stand, in the order an operator meets it."""

from __future__ import annotations

from enum import StrEnum

from cockpit.log.desk import ZEROED_AGAIN


class Step(StrEnum):
    """One step of a hole; the log keeps these names."""

    TICKET = "ticket"
    PLAN = "plan"
    CHECKS = "checks"
    PILOT = "pilot burn"
    CENTRE = "centre check"
    GUARD = "guard on again"
    BURN = "burn"
    TOUCH = "touch-off"
    ELECTRODE = "another electrode"
    AGAIN = ZEROED_AGAIN
    CLEANOUT = "clean-out"
    OUTCOME = "outcome"
    ENDED = "ended"


#: What the bench says a hole needs next.
NEXT: dict[str, str] = {
    Step.TICKET: "plan it",
    Step.PLAN: "plan it",
    Step.CHECKS: "set it up",
    Step.PILOT: "guard on, pilot burn",
    Step.CENTRE: "centre check",
    Step.GUARD: "guard on, then burn",
    Step.BURN: "guard on, then burn",
    Step.TOUCH: "guard on, then burn",
    Step.ELECTRODE: "set up another electrode",
    Step.AGAIN: "set it up again",
    Step.CLEANOUT: "clean it out",
    Step.OUTCOME: "prove and close it",
    Step.ENDED: "nothing",
}

#: Steps at which things are checked before the arc.
BEFORE_THE_ARC = frozenset({Step.CHECKS, Step.GUARD, Step.ELECTRODE, Step.AGAIN})
#: Steps in mid hole at which what the depth rests on is set up anew; the same electrode may be put
#: back, or another one put in.
MID_HOLE_SET_UP = frozenset({Step.ELECTRODE, Step.AGAIN})
#: Steps at which the arc may be on; a hole taken up again there begins with the guard.
AT_THE_ARC = frozenset({Step.PILOT, Step.BURN, Step.TOUCH})
#: Steps at which a hole whose burn was cut short is touched off before anything else.
TOUCHED_OFF_FIRST = AT_THE_ARC | {Step.GUARD}
#: Steps that rest on the electrode, the zero and the stop that were set up.
ON_ITS_SET_UP = AT_THE_ARC | {Step.GUARD, Step.CENTRE}
