"""Measures what the cockpit costs, and prints figures and ratios; it judges nothing.

    python3 scripts/benchmark.py              # all of it
    python3 scripts/benchmark.py cold-start   # one of them

cold-start: how long `plan` takes from nothing, against what pydantic and pint alone take.
imports: what each import of `plan` costs, the dearest first.
"""

import subprocess
import sys
import time
from collections.abc import Callable
from statistics import median

from oldest_python import require_python

BASELINE = ["-c", "import pydantic, pint; pint.UnitRegistry()"]
PLAN = ["-m", "cockpit", "plan", "M10x1.5", "--broken", "tap", "--depth", "22 mm", "--json"]
ROUNDS = 15


def seconds(python: str, words: list[str], root: str) -> float:
    """Run a command once; give the time it took, s."""
    began = time.perf_counter()
    subprocess.run([python, *words], cwd=root, check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - began


def cold_start(python: str, root: str) -> None:
    """Time both by turns, so that a noisy machine is as unkind to one as to the other."""
    for words in (BASELINE, PLAN):
        seconds(python, words, root)
    rounds = [(seconds(python, BASELINE, root), seconds(python, PLAN, root)) for _ in range(ROUNDS)]
    baseline, plan = zip(*rounds, strict=True)
    print(f"cold-start: {ROUNDS} rounds, by turns")
    print(f"  pydantic and pint   median {median(baseline):.3f} s   least {min(baseline):.3f} s")
    print(f"  plan --json         median {median(plan):.3f} s   least {min(plan):.3f} s")
    ratios = [second / first for first, second in rounds]
    print(
        f"  ratio               median {median(ratios):.2f}     of the least "
        f"{min(plan) / min(baseline):.2f}   (aim: under 1.5)"
    )


def imports(python: str, root: str) -> None:
    """List what `plan` imports by what it costs, with all that comes with it."""
    done = subprocess.run(
        [python, "-X", "importtime", *PLAN], cwd=root, check=True, capture_output=True, text=True
    )
    costs = []
    for line in done.stderr.splitlines():
        *_, cumulative, name = line.removeprefix("import time:").split("|")
        if cumulative.strip().isdigit():
            costs.append((int(cumulative), name.strip()))
    print(f"imports: {len(costs)} modules; ms with all that comes with each")
    for microseconds, name in sorted(costs, reverse=True)[:25]:
        print(f"  {microseconds / 1000:8.1f}  {name}")
    print(f"  textual imported: {any(name.startswith('textual') for _, name in costs)}")


BENCHMARKS: dict[str, Callable[[str, str], None]] = {"cold-start": cold_start, "imports": imports}


def main() -> int:
    """Run the benchmarks that were asked for, or all of them."""
    require_python()
    from environment import ROOT, SetupError, prepare  # late: it needs today's Python

    asked = sys.argv[1:] or list(BENCHMARKS)
    if unknown := [name for name in asked if name not in BENCHMARKS]:
        print(f"{unknown[0]}: no such benchmark; there are {', '.join(BENCHMARKS)}.")
        return 2
    try:
        python = prepare("dev", ROOT)
    except SetupError as error:
        print(error, file=sys.stderr)
        return 1
    for name in asked:
        BENCHMARKS[name](str(python), str(ROOT))
    return 0


if __name__ == "__main__":
    sys.exit(main())
