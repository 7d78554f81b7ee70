"""An invented shop for a long log: who works there, for whom, on what, and how its machine burns.

Everything is made up for this project. What a seed draws is drawn once: the sorts of holes that
come back again and again, and how each electrode burns in each stuff, which no operator knows.
"""

from __future__ import annotations

import time
from dataclasses import dataclass
from itertools import product
from math import exp
from random import Random
from typing import Final

from cockpit import profiles
from cockpit.flow.hole import aim_of
from cockpit.flow.past import AIM
from cockpit.gauges import make_gauge
from cockpit.trade.errors import TradeError
from cockpit.trade.plan import Plan, make_plan
from cockpit.trade.remnants import FluteForm, Kind
from cockpit.trade.ticket import Ticket
from cockpit.trade.timing import HARD_METAL_PART, REMOVAL_MM3_MIN_A, burnt_area_mm2
from cockpit.trade.wear import WearPrior

OPERATORS: Final = ("MT", "RK", "JA", "LO", "ÉV")
MACHINE: Final = "standard"
GAUGE: Final = "serial-decimal"

#: Customer, and how its references begin.
CUSTOMERS: Final = (
    ("Harrowfield Pumps", "HP-"),
    ("Ostrel Boatworks", "OB-"),
    ("Quillstone Gears", "QG-"),
    ("Tarnbeck Presses", "TP "),
    ("Vellmoor Castings", "VM/"),
    ("Söderlyng Lifts", "SL-"),
    ("Pinnock & Marl", "PM-"),
    ("Calder Weir Mills", "CW-"),
    ("Brightsund Rail", "BR."),
    ("Œuvremont Tools", "OT-"),
    ("Kestrelhay Farm Works", "KF-"),
    ("Longmire Valves", "LV-"),
    ("Duskwater Turbines", "DT-"),
    ("Ambry Looms", "AL-"),
    ("Feldspar Quarry", "FQ-"),
    ("Nørholt Dairy Plant", "ND-"),
    ("Greywether Hoists", "GH-"),
    ("Sallow Bridge Engines", "SB-"),
)
#: What parts are made of, and such parts.
PARTS: Final = {
    "cast iron": ("pump casing", "bed plate", "bearing block", "manifold", "motor foot"),
    "unalloyed steel": ("press frame", "hinge plate", "coupling", "base ring"),
    "alloy steel": ("rocker arm", "drive shaft", "die holder", "pinion"),
    "aluminium": ("gear housing", "thruster housing", "cover", "cylinder head"),
    "stainless steel": ("valve body", "mixer shaft", "flange ring"),
    "brass or bronze": ("bush", "worm wheel", "valve seat"),
}
#: Threads and bores, and the size of each in mm, for depths such as people drill.
THREADS: Final = {
    "M6": 6.0,
    "M8": 8.0,
    "M8x1": 8.0,
    "M10x1.5": 10.0,
    "M10x1.25": 10.0,
    "M12x1.75": 12.0,
    "M16x2": 16.0,
    "#10-32 UNF": 4.8,
    "1/4-20 UNC": 6.4,
    "1/4-28 UNF": 6.4,
    "5/16-18 UNC": 7.9,
    "3/8-16 UNC": 9.5,
    "1/2-13 UNC": 12.7,
    "5/8-12 UN": 15.9,
    "G1/8": 9.7,
    "G1/4": 13.2,
    "1/8-27 NPT": 10.3,
    "M10x1.5 STI": 10.0,
}
BORES: Final = {"pin 6 mm": 6.0, "pin 8 mm": 8.0, "drill 1/4": 6.4}
PLACES: Final = ("flange", "cover", "stud", "boss", "foot", "rim", "port", "corner")

#: So many sorts of holes come back again and again.
SORTS: Final = 120
#: How far apart electrodes and stuffs burn, and holes of one sort: sd of the logarithm of k, and
#: of the wear ratio (invented).
RATE_LOG_SD, HOLE_LOG_SD = 0.30, 0.20
WEAR_SD, HOLE_WEAR_SD = 0.07, 0.02
#: No electrode here wears less or more than this.
LEAST_WEAR, MOST_WEAR = 0.08, 0.5


@dataclass(frozen=True, slots=True)
class Sort:
    """A sort of hole: what is asked, the plans for the first one of a part and for others.

    ``aim``: what its tracker aims at, as JSON. ``area_mm2``: what burns away. ``rate_mm3_min_a``,
    ``wear_ratio``: how this electrode burns such tools in such stuff in truth.
    """

    ticket: Ticket
    plans: tuple[Plan, Plan]
    aim: str
    area_mm2: float
    rate_mm3_min_a: float
    wear_ratio: float

    def feed_mm_min(self, rate_mm3_min_a: float) -> float:
        """How fast it burns deeper at this rate, mm/min."""
        return rate_mm3_min_a * self.plans[0].arc.amps / self.area_mm2


class InventedShop:
    """What a seed makes of the shop."""

    def __init__(self, chance: Random) -> None:
        self.shop = profiles.load_shop(MACHINE, gauge=GAUGE)
        self.checklist = profiles.load_checklist()
        self._chance = chance
        self._gauge = make_gauge(profiles.load_gauge(GAUGE), time.monotonic, "none")
        self._truths: dict[tuple[str, str, str], tuple[float, float]] = {}
        self.sorts = {material: list[Sort]() for material in PARTS}
        wanted = [*product(THREADS, (Kind.TAP, Kind.SCREW, Kind.DRILL), PARTS)]
        wanted += [*product(BORES, (Kind.PIN,), PARTS)]
        chance.shuffle(wanted)
        for thread, kind, material in wanted:
            if sum(map(len, self.sorts.values())) == SORTS:
                break
            self._add(self._ticket(thread, kind, material))
        assert all(self.sorts.values())

    def _ticket(self, thread: str, kind: Kind, material: str) -> Ticket:
        pick = self._chance
        size_mm = (THREADS | BORES)[thread]
        is_tap, is_drill = kind is Kind.TAP, "drill" in thread or kind is Kind.DRILL
        depth_mm = round(pick.uniform(1.2, 2.2) * size_mm * 2) / 2
        return Ticket(
            hole="",
            thread=thread,
            broken=Kind.DRILL if is_drill else kind,
            flutes=pick.choice((2, 3, 4)) if is_tap else None,
            form=pick.choice(tuple(FluteForm)) if is_tap else FluteForm.STRAIGHT,
            hard_metal=is_tap and pick.random() < 0.1,
            through=pick.random() < 0.3,
            depth_mm=depth_mm,
            recess_mm=round(pick.choice((0.0, 0.5, 1.0, 1.5, 2.0)) * size_mm / 8, 1),
            tool_end_mm=round(0.85 * depth_mm, 1) if pick.random() < 0.4 else None,
            material=material,
        )

    def _add(self, ticket: Ticket) -> None:
        """A sort for this ticket, unless a careful shop would not take it on."""
        try:
            first, other = (
                make_plan(ticket, self.shop, first_of_part=one) for one in (True, False)
            )
        except TradeError:
            return
        if first.electrode.needed != 1 or first.is_to_be_taken_on:
            return
        rate, wear = self._truth(first, ticket)
        self.sorts[ticket.material].append(
            Sort(
                ticket=ticket,
                plans=(first, other),
                aim=AIM.dump_json(aim_of(first, self.shop, self._gauge)).decode(),
                area_mm2=self._area_mm2(first),
                rate_mm3_min_a=rate * (HARD_METAL_PART if ticket.hard_metal else 1.0),
                wear_ratio=wear,
            )
        )

    def _truth(self, plan: Plan, ticket: Ticket) -> tuple[float, float]:
        """Removal rate and wear ratio, drawn once for each electrode, kind and material."""
        key = (plan.electrode.label, ticket.broken.value, ticket.material)
        if key not in self._truths:
            rate = REMOVAL_MM3_MIN_A * exp(self._chance.gauss(0, RATE_LOG_SD))
            self._truths[key] = rate, worn(self._chance.gauss(WearPrior().mean, WEAR_SD))
        return self._truths[key]

    def _area_mm2(self, plan: Plan) -> float:
        electrode = next(one for one in self.shop.stock if one.label == plan.electrode.label)
        return burnt_area_mm2(
            plan.electrode.hole_mm,
            electrode.bore_mm,
            plan.electrode.gap_mm,
            self.shop.machine.core_washed,
        )


def worn(ratio: float) -> float:
    """A wear ratio such as there is here.

    >>> worn(-0.1), worn(0.3), worn(0.9)
    (0.08, 0.3, 0.5)
    """
    return min(max(ratio, LEAST_WEAR), MOST_WEAR)
