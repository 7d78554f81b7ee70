"""Measures what a year of a busy shop takes in the log, and prints figures; it judges nothing.

    python3 scripts/bench_log.py            # all of it: 60,000 minutes of burning, minutes to run
    python3 scripts/bench_log.py --quick    # a hundredth of it

The year is invented: holes of a pilot burn and eight minutes to depth, at 10 readings a second. The
readings are those of simulated burns, and they arrive as they do over a line: half of the holes
within a millisecond or two of when they are due, half up to 16 ms late, as over an adapter that
collects bytes. They are written as the cockpit writes them and folded as it folds them.
"""

import sys
import time
from functools import partial
from pathlib import Path
from random import Random
from statistics import median
from typing import TYPE_CHECKING

from oldest_python import require_python

if TYPE_CHECKING:
    from cockpit.burn.reading import Reading
    from cockpit.log.store import Store

MINUTES = 60_000
QUICK_PART = 100
HZ = 10
#: Minutes of a pilot burn, and of one to depth.
PILOT_MIN, BURN_MIN = 0.5, 8.0
#: So many burns are simulated; a year takes them by turns.
DISTINCT = 40
#: Readings are written four times a second.
AT_ONCE = 3
CHECKS = 20


def burn(seed: int, minutes: float) -> "list[Reading]":
    """A simulated burn as it arrives."""
    from cockpit.burn.reading import Reading
    from cockpit.burn.simulate import Scene, SimulatedBurn

    chance = Random(seed)
    late_ms = partial(chance.gauss, 3, 1.5) if seed % 2 else partial(chance.uniform, 0, 16)
    simulated = SimulatedBurn(Scene(recess_mm=1.0, end_mm=60.0), seed)
    readings = []
    for _ in range(round(minutes * 60 * HZ)):
        simulated.advance(1 / HZ, True)
        t_s = simulated.t_s + max(late_ms(), 0.0) / 1000
        readings.append(Reading.at(t_s, simulated.reading_mm()))
    return readings


def work(store: "Store", holes: int, burns: "list[list[Reading]]", folds_s: list[float]) -> None:
    """So many holes from ticket to outcome."""
    from cockpit import profiles
    from cockpit.burn.aim import Aim
    from cockpit.flow.demo import HOLES
    from cockpit.flow.past import AIM
    from cockpit.log.rows import CheckResult, Outcome, Result
    from cockpit.trade.plan import make_plan

    shop = profiles.load_shop()
    planned = [(ticket, make_plan(ticket, shop)) for _, ticket in HOLES]
    aim = AIM.dump_json(Aim(recess_mm=1.0, target_mm=18.0, limit_mm=21.5)).decode()
    shift = store.open_shift("MT", "standard", "serial-decimal")
    for number in range(holes):
        ticket, plan = planned[number % len(planned)]
        job = store.add_job(shift, f"customer {number}", "HP-2207", "pump casing, grey iron")
        hole = store.add_hole(shift, job, ticket, "plan")
        store.add_plan(shift, hole, plan, aim)
        for item in range(CHECKS):
            store.add_check(
                shift, hole, f"item {item}", "What was looked at", CheckResult.CONFIRMED
            )
        burn_out(store, shift, hole, burns[number % DISTINCT], folds_s)
        store.add_outcome(shift, hole, Outcome(Result.DONE))


def burn_out(
    store: "Store", shift: int, hole: int, readings: "list[Reading]", folds_s: list[float]
) -> None:
    """A pilot burn and one to depth, each folded when it is over."""
    from cockpit.burn.calls import Call, CallKind
    from cockpit.burn.reading import Mark, MarkKind
    from cockpit.log.rows import BurnEnd, BurnKind

    seq, spot = 0, round(PILOT_MIN * 60 * HZ)
    for kind, some in ((BurnKind.PILOT, readings[:spot]), (BurnKind.BURN, readings[spot:])):
        start, stop = Mark(some[0].t_s, MarkKind.START), Mark(some[-1].t_s, MarkKind.STOP)
        burn_id = store.open_burn(shift, hole, kind, seq, start)
        placed = list(enumerate(some, seq + 1))
        for at in range(0, len(placed), AT_ONCE):
            store.add_readings(hole, placed[at : at + AT_ONCE])
        seq += len(some) + 2
        store.close_burn(shift, hole, burn_id, BurnEnd.OPERATOR, seq - 1, stop)
        store.add_calls(shift, hole, [Call(stop.t_s, CallKind.TARGET, 18.0)])
        store.add_step(shift, hole, "burn")
        began = time.perf_counter()
        while store.fold(hole):
            pass
        folds_s.append(time.perf_counter() - began)


def line(name: str, said: str) -> None:
    """One figure."""
    print(f"  {name:<36}{said}", flush=True)


def measure(folder: Path, minutes: float) -> None:
    """Fill a log, and say what it takes."""
    from cockpit.log.store import Store

    path = folder / "shop.sqlite3"
    times = MINUTES / minutes
    holes = max(1, round(minutes / (PILOT_MIN + BURN_MIN)))
    burns = [burn(seed, PILOT_MIN + BURN_MIN) for seed in range(DISTINCT)]
    folds_s: list[float] = []
    began = time.perf_counter()
    with Store(path) as store:
        # The disk's own time is not what is measured here.
        store.connection.execute("PRAGMA synchronous = OFF")
        work(store, holes, burns, folds_s)
        print(f"log: {holes:,} holes, {minutes:,.0f} minutes of burning at {HZ} Hz")
        line("written in", f"{time.perf_counter() - began:.0f} s")
        ask = store.connection.execute
        traces, readings = ask("SELECT sum(length(body)), sum(readings) FROM traces").fetchone()
        plans = ask("SELECT sum(length(body)) FROM plans").fetchone()[0]
    line("traces", f"{traces / 1e6:.2f} MB, {traces / readings:.3f} bytes a reading")
    line("traces in a year", f"{traces / 1e6 * times:.1f} MB   (aim: under 50)")
    line("folding a burn", f"median {1e3 * median(folds_s):.1f} ms, most {1e3 * max(folds_s):.1f}")
    size = path.stat().st_size
    line("whole file", f"{size / 1e6:.2f} MB, of that plans {plans / 1e6:.2f} MB")
    line("whole file in a year", f"{size / 1e6 * times:.1f} MB")
    use(path)


def use(path: Path) -> None:
    """How long it takes to check, read and copy it."""
    from contextlib import closing

    from cockpit.flow.steps import Step
    from cockpit.log import backups, questions, soundness
    from cockpit.log.opening import open_to_read

    with closing(open_to_read(path)) as connection:
        began = time.perf_counter()
        faults = sum(len(found) for _, found in soundness.faults(connection, frozenset(Step)))
        line("verify", f"{time.perf_counter() - began:.1f} s, {faults} faults")
        began = time.perf_counter()
        events = len(questions.events(connection, 1))
        took_ms = 1e3 * (time.perf_counter() - began)
        line("reading a hole's trace", f"{took_ms:.1f} ms, {events:,} readings and marks")
        began = time.perf_counter()
        backups.copy(path, connection, path.with_name("copy.sqlite3"))
        line("copying and checking", f"{time.perf_counter() - began:.2f} s")


def main() -> int:
    """Run it in a folder of its own."""
    require_python()
    from environment import ROOT, start_again  # late: it needs today's Python

    if set(sys.argv[1:]) - {"--quick", "--here"}:
        print("usage: bench_log.py [--quick]")
        return 2
    if "--here" not in sys.argv:
        return start_again(__file__, sys.argv[1:], "dev")
    from tempfile import TemporaryDirectory

    sys.path.insert(0, str(ROOT))
    with TemporaryDirectory() as folder:
        measure(Path(folder), MINUTES / QUICK_PART if "--quick" in sys.argv else MINUTES)
    return 0


if __name__ == "__main__":
    sys.exit(main())
