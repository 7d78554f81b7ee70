"""Measures how long it takes to look at what a long log teaches: figures, which nobody judges.

    python3 scripts/bench_learnt.py            # 100,000 holes
    python3 scripts/bench_learnt.py --quick    # a hundredth of them

The holes are invented by lot: six sizes, three kinds, five materials, and one in five hundred that
is far off. What each came to is written as the cockpit writes it when a hole is closed.
"""

import resource
import sys
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING, TypeVar

from oldest_python import require_python

if TYPE_CHECKING:
    from cockpit.log.store import Store

HOLES = 100_000
QUICK_PART = 100
SIZES = ("3/32 in", "1/8 in", "5/32 in", "7/32 in", "1/4 in", "5/16 in")
KINDS = ("tap", "drill", "screw")
MATERIALS = ("cast iron", "aluminium", "alloy steel", "stainless steel", "unalloyed steel")
ODD_ONE_IN = 500

Found = TypeVar("Found")


def fill(store: "Store", holes: int) -> None:
    """So many holes, closed and made out."""
    from cockpit import profiles
    from cockpit.flow.demo import HOLES as TICKETS
    from cockpit.log.rows import Outcome, Result, Tally
    from cockpit.trade.stock import StockEntry

    chance, size_mm = Random(1), {one.label: one.diameter_mm for one in profiles.load_shop().stock}
    shift = store.open_shift("MT", "standard", "serial-decimal")
    job = store.add_job(shift, "Harrowfield Pumps", "HP-2207", "pump casing, grey iron")
    ticket = TICKETS[0][1]
    with store.together():
        for _ in range(holes):
            label, kind, material = map(chance.choice, (SIZES, KINDS, MATERIALS))
            hole = store.add_hole(shift, job, ticket, "ended")
            outcome = store.add_outcome(shift, hole, Outcome(Result.DONE))
            odd = 5.0 if chance.random() < 1 / ODD_ONE_IN else 1.0
            tally = Tally(
                hole_id=hole,
                outcome_id=outcome,
                plan_id=None,
                kind=kind,
                material=material,
                hard_metal=chance.random() < 0.1,
                electrode=label,
                electrode_mm=size_mm[label],
                electrodes=1,
                arc_s=420.0 * odd * chance.lognormvariate(0.0, 0.2),
                depth_mm=18.0,
                depth_sd_mm=0.03,
                burnt_mm=15.0,
                worn_mm=4.0,
                area_mm2=26.9,
                amps=192.5,
                amps_said=True,
                wear_ratio=min(max(chance.gauss(0.25, 0.03), 0.02), 0.6),
                wear_ratio_sd=0.01,
                price=None,
                currency=None,
            )
            store.add_width(shift, hole, size_mm[label] + chance.gauss(0.30, 0.04))
            store.add_tally(tally)
            store.add_stock(shift, label, StockEntry.WORN, 4_000, hole_id=hole)


def timed(name: str, deed: Callable[[], Found]) -> Found:
    """Do it, and print how long it took."""
    began = time.perf_counter()
    found = deed()
    print(f"  {name:<44}{time.perf_counter() - began:>7.2f} s", flush=True)
    return found


def measure(folder: Path, holes: int) -> None:
    """Fill a log, and look at what it teaches as the screens and the commands do."""
    from cockpit import profiles
    from cockpit.flow import learnt
    from cockpit.flow.shop_now import ShopNow, log_shop
    from cockpit.flow.stocktake import sizes
    from cockpit.log.opening import open_to_read
    from cockpit.log.store import Store
    from cockpit.trade.learning import Lesson

    path, shop = folder / "shop.sqlite3", profiles.load_shop()
    with Store(path) as store:
        # The disk's own time is not what is measured here.
        store.connection.execute("PRAGMA synchronous = OFF")
        print(f"log: {holes:,} holes")
        timed("written", lambda: fill(store, holes))
        now = ShopNow(store.connection, shop)
        timed("the rack counted", lambda: sizes(shop.stock, now.rack))
        experience = timed("learning from all of them, once", lambda: now.shop).experience
        timed("the figures, with their levels", lambda: learnt.figures(experience))
        found = timed(
            "every burn held against the others, listed",
            lambda: learnt.listed(store.connection, experience),
        )
        print(f"  {found.of:,} figures, {found.unlike:,} unlike, {len(found.burns)} listed")
        one = found.burns[0]
        timed(
            "one of them set aside",
            lambda: learnt.set_aside(store, one.hole_id, one.lesson, "invented"),
        )
        timed("learning anew after that", lambda: now.shop)
        timed("the shop, once nothing is new", lambda: now.shop)
    with closing(open_to_read(path)) as connection:
        rate = timed("a shop for one plan, read only", lambda: log_shop(connection, shop))
    assert rate.experience.knows(Lesson.RATE)
    print(f"  most memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")


def main() -> int:
    """Run it in a folder of its own."""
    require_python()
    from environment import ROOT, start_again  # late: it needs today's Python

    if set(sys.argv[1:]) - {"--quick", "--here"}:
        print("usage: bench_learnt.py [--quick]")
        return 2
    if "--here" not in sys.argv:
        return start_again(__file__, sys.argv[1:], "dev")
    from tempfile import TemporaryDirectory

    sys.path.insert(0, str(ROOT))
    with TemporaryDirectory() as folder:
        measure(Path(folder), HOLES // QUICK_PART if "--quick" in sys.argv else HOLES)
    return 0


if __name__ == "__main__":
    sys.exit(main())
