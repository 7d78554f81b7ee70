"""Fills a log with the invented history of a shop over five years, and prints what it takes.

    python3 scripts/fill_log.py --holes 100000 --data FOLDER
    python3 scripts/fill_log.py --holes 300 --seed 7        # looked at and thrown away

The same seed makes the same history. Shifts of several operators with handovers, customers and
parts, threads of several series, plans, checks, burns with their readings, touch-offs, outcomes and
tallies; some holes are left, given up, damaged or corrected. `--readings` is how many a hole has on
average: few, so that the log stays small where its traces are not what is looked at.
"""

import argparse
import os
import sys
import time
from pathlib import Path
from typing import TYPE_CHECKING

from oldest_python import require_python
from process_time import most_memory_mb

if TYPE_CHECKING:
    from cockpit.log.store import Store

#: Progress is told after so many holes.
TOLD_EVERY = 10_000


def fill(path: Path, holes: int, seed: int, readings: int) -> None:
    """Write the history into the log at ``path``, which must not be there yet."""
    from random import Random

    from invented_history import History

    from cockpit.log.store import Store

    began = time.perf_counter()
    history = History(Random(seed), readings)
    with Store(path, history.utc) as store:
        # What breaks off is made anew; nothing here has to reach the disk at once.
        store.connection.execute("PRAGMA synchronous = OFF")
        store.connection.execute("PRAGMA cache_size = -32000")
        told = 0
        for done in history.write(store, holes):
            if done - told >= TOLD_EVERY:
                told = done
                took_s = time.perf_counter() - began
                print(f"  {done:,} holes after {took_s:.0f} s", file=sys.stderr, flush=True)
        store.connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        tell(store, path, time.perf_counter() - began)


def tell(store: "Store", path: Path, took_s: float) -> None:
    """Print the figures."""
    ask = store.connection.execute
    (holes,) = ask("SELECT count(*) FROM holes").fetchone()
    readings, folded = ask("SELECT sum(readings), sum(length(body)) FROM traces").fetchone()
    (plans,) = ask("SELECT sum(length(body)) FROM plans").fetchone()
    first, last = ask("SELECT min(began_utc), max(began_utc) FROM shifts").fetchone()
    (shifts,) = ask("SELECT count(*) FROM shifts").fetchone()
    (tallies,) = ask("SELECT count(DISTINCT hole_id) FROM tallies").fetchone()
    size = path.stat().st_size
    print(f"log: {holes:,} holes in {shifts:,} shifts from {first[:10]} to {last[:10]}")
    _line("closed", f"{tallies:,}")
    _line("readings", f"{readings or 0:,}, {(readings or 0) / holes:.0f} a hole")
    _line("bytes a reading", f"{(folded or 0) / max(readings or 0, 1):.2f}")
    _line("file", f"{size / 1e6:.1f} MB, of that plans {plans / 1e6:.1f} MB")
    _line("bytes a hole", f"{size / holes:,.0f}")
    most_mb = most_memory_mb(os.getpid())
    _line("most memory", "not told" if most_mb is None else f"{most_mb:.0f} MB")
    _line("time", f"{took_s:.1f} s, {1000 * took_s / holes:.2f} ms a hole")


def _line(name: str, said: str) -> None:
    print(f"  {name:<18}{said}", flush=True)


def arguments() -> argparse.Namespace:
    """What was asked for."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    add = parser.add_argument
    add("--holes", type=_number, required=True, metavar="N", help="how many holes")
    add("--seed", type=int, default=0, help="which history (0)")
    add("--data", type=Path, metavar="DIR", help="the folder of the log; else it is thrown away")
    add("--readings", type=int, default=300, metavar="K", help="of a hole on average (300)")
    add("--here", action="store_true", help=argparse.SUPPRESS)
    return parser.parse_args()


def _number(text: str) -> int:
    if not text.isdecimal() or int(text) < 1:
        raise argparse.ArgumentTypeError(f"{text!r} is not a number over 0")
    return int(text)


def main() -> int:
    """Fill it, in the project's own environment."""
    require_python()
    from environment import ROOT, start_again  # late: it needs today's Python

    asked = arguments()
    if not asked.here:
        return start_again(__file__, sys.argv[1:], "dev")
    from tempfile import TemporaryDirectory

    sys.path.insert(0, str(ROOT))
    from cockpit import locations

    with TemporaryDirectory() as passing:
        path = (asked.data or Path(passing)) / locations.LOG_NAME
        if path.exists():
            print(f"{path}: is there already; name another folder with --data.", file=sys.stderr)
            return 1
        fill(path, asked.holes, asked.seed, asked.readings)
    return 0


if __name__ == "__main__":
    try:
        sys.exit(main())
    except KeyboardInterrupt:
        sys.exit(130)
