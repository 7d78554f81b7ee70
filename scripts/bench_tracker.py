"""Measures the tracker on invented burns, and prints figures and ratios; it judges nothing.

    python3 scripts/bench_tracker.py            # all of it: minutes
    python3 scripts/bench_tracker.py --quick    # a fortieth of it

Every burn follows from its number, so all figures but the times are the same on every machine. What
the burns are like says scripts/bench_burns.py: harder than a real machine should be.

fall-through: falls missed, false calls, delay from the first reading that could show 0.15 mm of
fall, and how far off the depth of the break is. Beside it, on the same readings, a plain threshold
(0.15 mm in 0.6 s), and the break as the best offline fit finds it (ruptures, dynamic programming on
a continuous piecewise-linear model), which sees the whole fall before it says where it began.

stalls: missed, false, and after how long. depth: how often the 95 % interval holds the truth, the
error, half the interval. cost: microseconds a reading.
"""

import sys
import time
from collections.abc import Callable, Iterable, Sequence
from functools import partial
from math import ceil, inf
from typing import TYPE_CHECKING, Any

from oldest_python import require_python

if TYPE_CHECKING:
    from bench_burns import DepthSeen

#: Does something for each of many, on all cores.
Map = Callable[[Callable[..., Any], Iterable[Any]], list[Any]]

#: How many burns of each kind; the quiet ones last half an hour each.
FULL = {
    "falls": 1_100,
    "quiet": 420,
    "stalls": 1_000,
    "depth": 2_000,
    "ladders": 300,
    "fits": 400,
}
QUICK_PART = 40
#: A fall this near to six times the burn's own feed, on the slow side, is shown for itself.
SLOW_TIMES = 6.0


def percentile(figures: Iterable[float], part: float) -> float:
    """The smallest figure that this part of them does not exceed; NaN of none."""
    ordered = sorted(figures)
    return ordered[max(0, ceil(part * len(ordered)) - 1)] if ordered else float("nan")


def spread(figures: Sequence[float], unit: str, places: int = 2) -> str:
    """Median, 95 % and greatest."""
    parts = (percentile(figures, part) for part in (0.5, 0.95, 1.0))
    said = (f"{figure:.{places}f}" for figure in parts)
    return "median {} {unit}, 95 % {} {unit}, most {} {unit}".format(*said, unit=unit)


def share(count: int, of: int) -> str:
    """A count and its percentage."""
    return f"{count} of {of} ({100 * count / of:.1f} %)" if of else "none to judge"


def line(name: str, said: str) -> None:
    """One figure."""
    print(f"  {name:<38}{said}", flush=True)


def falls(pool_map: Map, counts: dict[str, int]) -> None:
    """Fall-through, and the two that it is compared with."""
    from bench_burns import fitted_break_mm, watch_fall

    seen = pool_map(watch_fall, range(counts["falls"]))
    heard = [fall for fall in seen if fall.is_heard]
    judged = [fall for fall in heard if fall.times >= SLOW_TIMES]
    slow = [fall for fall in heard if fall.times < SLOW_TIMES]
    print(f"fall-through: {len(seen)} falls of {SLOW_TIMES:g} times the burn's mean feed or more")
    line("gauge silent while it fell", f"{len(seen) - len(heard)}, not judged")
    line("missed", share(sum(fall.late_s is None for fall in judged), len(judged)))
    line("false calls before the fall", f"{sum(fall.others for fall in heard)}")
    in_time = sum(fall.is_in_time for fall in judged)
    line("within 2 readings or 0.3 s", share(in_time, len(judged)))
    late_s = [max(fall.late_s, 0.0) for fall in judged if fall.late_s is not None]
    line("delay", spread(late_s, "s"))
    off_mm = [fall.off_mm for fall in judged if fall.late_s is not None]
    line("depth of the break off by", spread(off_mm, "mm"))
    line("  within 0.25 mm", share(sum(off <= 0.25 for off in off_mm), len(judged)))
    for rate_hz in sorted({fall.rate_hz for fall in judged}):
        some = [fall for fall in judged if fall.rate_hz == rate_hz]
        line(f"  in time at {rate_hz:g} Hz", share(sum(f.is_in_time for f in some), len(some)))
    missed = sum(fall.late_s is None for fall in slow)
    times = f"{min((f.times for f in slow), default=0):.1f} to {SLOW_TIMES:g} times"
    line("of the burn's own last 20 s slower", f"{len(slow)}, {times}: {missed} missed")
    plain_missed = sum(fall.plain_late_s is None for fall in judged)
    line("plain threshold: missed", share(plain_missed, len(judged)))
    some = judged[: counts["fits"]]
    fitted = pool_map(fitted_break_mm, some)
    line("break in travel off by: this", spread([fall.travel_off_mm for fall in some], "mm", 3))
    line("  best offline fit (ruptures)", spread(fitted, "mm", 3))


def quiet(pool_map: Map, counts: dict[str, int]) -> None:
    """False calls."""
    from bench_burns import watch_quiet

    seen = pool_map(watch_quiet, range(counts["quiet"]))
    arc_h = sum(one.arc_h for one in seen)
    print(f"no fall and no stall: {arc_h:.0f} arc-hours")
    for name, count in (
        ("false falls", sum(one.falls for one in seen)),
        ("  of a feed over 3 times its own", sum(one.softer for one in seen)),
        ("false stalls", sum(one.stalls for one in seen)),
        ("plain threshold: false falls", sum(one.plain for one in seen)),
    ):
        # Of a Poisson count, 95 % upper: 3 where nothing was seen.
        bound = f", so fewer than {3 / arc_h:.3f} an arc-hour (95 %)" if not count else ""
        line(name, f"{count}: {count / arc_h:.3f} an arc-hour{bound}")


def stalls(pool_map: Map, counts: dict[str, int]) -> None:
    """Stalls."""
    from bench_burns import watch_stall

    seen = pool_map(watch_stall, range(counts["stalls"]))
    print(f"stalls: {len(seen)}; due after 3 times the likely time, or 12 s and the last 0.05 mm")
    line("missed", share(sum(one.after_s is None for one in seen), len(seen)))
    line("false calls before", f"{sum(one.others for one in seen)}")
    over_s = [one.after_s - one.due_s for one in seen if one.after_s is not None]
    line("called when due, or 1 s later", share(sum(over <= 1 for over in over_s), len(seen)))
    line("later than due", spread([max(over, 0.0) for over in over_s], "s"))


def depth(pool_map: Map, counts: dict[str, int]) -> None:
    """Depth and its interval."""
    from bench_burns import ladder, watch_depth

    for words, touched in (("nobody touched off", False), ("touched off once", True)):
        seen = pool_map(partial(watch_depth, touched=touched), range(counts["depth"]))
        print(f"depth, {words}: {len(seen)} burns, wear ratios 0.05 to 0.6")
        _depth_lines(seen)
    rungs = [one for many in pool_map(ladder, range(counts["ladders"])) for one in many]
    print(f"depth, touched off each 7 mm of travel: {counts['ladders']} burns, 22 mm deep")
    _depth_lines(rungs)


def _depth_lines(seen: "Sequence[DepthSeen]") -> None:
    line("95 % interval holds the truth", share(sum(one.holds for one in seen), len(seen)))
    for rate_hz in sorted({one.rate_hz for one in seen}):
        some = [one for one in seen if one.rate_hz == rate_hz]
        line(f"  at {rate_hz:g} Hz", share(sum(one.holds for one in some), len(some)))
    line("error", spread([abs(one.error_mm) for one in seen], "mm"))
    line("half the interval", spread([one.half_mm for one in seen], "mm"))


def cost() -> None:
    """Time a reading takes, of the tracker alone: the same readings, by turns of rates."""
    from bench_burns import readings_of_a_burn, track

    print("cost: tracker alone, least of 5 rounds")
    for rate_hz in (2.0, 10.0, 50.0):
        readings = readings_of_a_burn(rate_hz, 20_000)
        best_s = inf
        for _ in range(5):
            began = time.perf_counter()
            track(readings)
            best_s = min(best_s, time.perf_counter() - began)
        line(f"at {rate_hz:g} Hz", f"{1e6 * best_s / len(readings):.1f} µs a reading")


def main() -> int:
    """Run all of it, on as many cores as there are."""
    require_python()
    from environment import start_again  # late: it needs today's Python

    if set(sys.argv[1:]) - {"--quick", "--here"}:
        print("usage: bench_tracker.py [--quick]")
        return 2
    if "--here" not in sys.argv:
        return start_again(__file__, sys.argv[1:], "dev")
    from multiprocessing import Pool

    part = QUICK_PART if "--quick" in sys.argv else 1
    counts = {name: max(count // part, 1) for name, count in FULL.items()}
    with Pool() as pool:
        pool_map = partial(pool.map, chunksize=4)
        for measure in (falls, quiet, stalls, depth):
            measure(pool_map, counts)
    cost()
    return 0


if __name__ == "__main__":
    sys.exit(main())
