"""Measures how soon the page of a hole with a long trace is there; it judges nothing.

    python3 scripts/bench_page.py                       # 100,000 readings
    python3 scripts/bench_page.py --readings 10000

One invented burn at 10 readings a second, kept and folded as the cockpit does it. "Gone through" is
done once, when the page is opened: reading it from the log, the look back, the spans of silence.
Drawing is done again at every key that changes what is shown.
"""

import argparse
import sys
import tempfile
import time
from collections.abc import Callable, Iterable
from pathlib import Path
from statistics import median
from typing import TYPE_CHECKING, TypeVar

from bench_log import burn, burn_out, line
from oldest_python import require_python

if TYPE_CHECKING:
    from cockpit.burn.hindsight import Hindsight
    from cockpit.burn.reading import Mark, Reading
    from cockpit.log.questions import HolePage
    from cockpit.log.store import Store

HZ = 10
SIZES = ((80, 24), (120, 40), (200, 60))
#: What the page leaves of a terminal to the drawing, in columns and rows.
BESIDE, ABOVE = 2, 6
ROUNDS = 7

Made = TypeVar("Made")


def timed(deed: Callable[[], Made], rounds: int = 1) -> tuple[Made, float]:
    """What a deed gives, and the median of the time it takes, s."""
    took_s = []
    for _ in range(rounds):
        began = time.perf_counter()
        made = deed()
        took_s.append(time.perf_counter() - began)
    return made, median(took_s)


def keep(store: "Store", readings: int) -> "HolePage":
    """A hole with one long burn."""
    from cockpit import profiles
    from cockpit.burn.aim import Aim
    from cockpit.flow.demo import HOLES
    from cockpit.flow.past import AIM
    from cockpit.log import questions
    from cockpit.trade.plan import make_plan

    ticket = HOLES[0][1]
    shift = store.open_shift("MT", "standard", "serial-decimal")
    job = store.add_job(shift, "Harrowfield Pumps", "HP-2207", "pump casing, grey iron")
    hole = store.add_hole(shift, job, ticket, "plan")
    aim = Aim(recess_mm=1.0, target_mm=58.0, limit_mm=60.0)
    plan = make_plan(ticket, profiles.load_shop())
    store.add_plan(shift, hole, plan, AIM.dump_json(aim).decode())
    burn_out(store, shift, hole, burn(1, readings / HZ / 60), [])
    page = questions.page(store.connection, hole)
    assert page is not None
    return page


def look_again(look: "Hindsight", events: "Iterable[Reading | Mark]") -> None:
    """The tracker sees it once more, with a memory."""
    for event in events:
        look.take(event)


def measure(folder: Path, readings: int) -> None:
    """Keep a long burn, open its page, and say what that took."""
    from cockpit.burn.hindsight import Hindsight
    from cockpit.flow.hole_parts import PARTS, Told
    from cockpit.flow.past import past_aim, past_events
    from cockpit.flow.past_trace import POINTS, past_trace
    from cockpit.log.store import Store
    from cockpit.units import LengthUnit
    from cockpit.widgets.trace_plot import trace_plot

    with Store(folder / "shop.sqlite3") as store:
        store.connection.execute("PRAGMA synchronous = OFF")
        page = keep(store, readings)
        connection, hole = store.connection, page.row.id
        trace, took_s = timed(lambda: past_trace(connection, page, lambda _: True))
        assert trace is not None
        line("gone through in all", f"{took_s:.2f} s, {1e6 * took_s / readings:.1f} µs a reading")
        events, took_s = timed(lambda: past_events(connection, hole))
        line("  of that: read from the log", f"{took_s:.2f} s, {len(events):,} events")
        look = Hindsight(past_aim(connection, hole) or trace.aim, POINTS)
        _, took_s = timed(lambda: look_again(look, events))
        line("  the tracker's second look", f"{took_s:.2f} s")
        moments, took_s = timed(look.moments)
        line("  told with hindsight", f"{took_s:.2f} s, {len(moments)} moments")
    for plain in (False, True):
        for width, height in SIZES:
            size = width - BESIDE, height - ABOVE

            def draw(size: tuple[int, int] = size, plain: bool = plain) -> object:
                return trace_plot(trace, LengthUnit.MM, *size, is_plain=plain)

            _, took_s = timed(draw, ROUNDS)
            kind = "plain" if plain else "dots"
            line(f"drawn at {width} x {height}, {kind}", f"{1e3 * took_s:.1f} ms")
    told = Told(page, trace, LengthUnit.MM, 76)
    _, took_s = timed(lambda: [list(part.lines(told)) for part in PARTS], ROUNDS)
    line("all parts in words", f"{1e3 * took_s:.1f} ms")


def main() -> int:
    """Measure, in the project's own environment."""
    require_python()
    from environment import start_again  # late: it needs today's Python

    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--readings", type=int, default=100_000, help="so many (100,000)")
    parser.add_argument("--here", action="store_true", help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if not asked.here:
        return start_again(__file__, sys.argv[1:], "dev")
    with tempfile.TemporaryDirectory(prefix="bench-page-") as folder:
        print(f"page of a hole: {asked.readings:,} readings")
        measure(Path(folder), asked.readings)
    return 0


if __name__ == "__main__":
    try:
        sys.exit(main())
    except KeyboardInterrupt:
        sys.exit(130)
