"""An invented shop, so that the cockpit can be tried without a machine, a part or a broken tap.

Customers, parts and holes are made up for this project.
"""

from __future__ import annotations

from datetime import datetime

from cockpit.flow.clock import FastClock
from cockpit.flow.floor import ShopFloor
from cockpit.log import questions
from cockpit.trade.remnants import FluteForm, Kind
from cockpit.trade.ticket import Ticket

OPERATOR = "MT"
GAUGE = "simulated"
#: A demo burn in this many times real time: minutes are long when nothing is at stake.
SPEED = 6.0

#: Customer, customer's reference, part.
JOBS = (
    ("Harrowfield Pumps", "HP-2207", "pump casing, grey iron"),
    ("Ostrel Boatworks", "OB-118", "thruster housing, die-cast"),
    ("Quillstone Gears", "QG-41", "forged rocker arm"),
)

#: Which job, and the hole.
HOLES = (
    (
        0,
        Ticket(
            hole="flange 3",
            thread="M10x1.5",
            broken=Kind.TAP,
            flutes=3,
            depth_mm=22.0,
            recess_mm=3.0,
            tool_end_mm=18.0,
            material="cast iron",
        ),
    ),
    (
        1,
        Ticket(
            hole="cover 1",
            thread="1/4-20 UNC",
            broken=Kind.TAP,
            flutes=2,
            form=FluteForm.SPIRAL_POINT,
            depth_mm=16.0,
            recess_mm=2.0,
            through=True,
            material="aluminium",
        ),
    ),
    (
        0,
        Ticket(
            hole="stud 2",
            thread="M12x1.75",
            broken=Kind.SCREW,
            depth_mm=24.0,
            recess_mm=0.0,
            material="cast iron",
        ),
    ),
    (
        2,
        Ticket(
            hole="pivot",
            thread="pin 8 mm",
            broken=Kind.PIN,
            depth_mm=20.0,
            recess_mm=1.0,
            through=True,
            material="alloy steel",
        ),
    ),
)


def go_on(floor: ShopFloor, clock: FastClock) -> None:
    """Let the dates go on from the log's last, which a fast clock got ahead of the wall's."""
    last = questions.last_utc(floor.store.connection)
    if last:
        clock.goes_on_from(datetime.fromisoformat(last))


def stock(floor: ShopFloor) -> None:
    """Put the invented holes on the bench of a log that holds nothing yet."""
    if floor.shift is not None or floor.waiting():
        return
    floor.open_shift(OPERATOR)
    jobs = [floor.take_in_job(*job) for job in JOBS]
    for job, ticket in HOLES:
        floor.take_in_hole(jobs[job], ticket)
