"""Checks everything: format, lint, types, import contract, tests. Exit code 0 when all of it holds.

Makes `.venv` first when it is missing or out of date. Further arguments go to pytest.
"""

import os
import subprocess
import sys
import time
from pathlib import Path

from oldest_python import require_python

CHECKS = {
    "ruff format": ["ruff", "format", "--check", "."],
    "ruff check": ["ruff", "check", "."],
    "mypy": ["mypy"],
    "lint-imports": ["lint-imports"],
}
PYTEST = ["pytest", "--dist", "worksteal"]
#: More workers than that start up for longer than they save.
MOST_CORES = 4
#: Tests of real programs, in a real terminal and in real time: one for each core, and no more.
REAL = ["tests/terminal", "tests/scripts"]


def runs(further: "list[str]", cores: int) -> "list[list[str]]":
    """What pytest is started with: with arguments of one's own once, else in two parts.

    A test of the screens waits most of the time, so that a core is busy with three of them.

    >>> runs(["-k", "tracker"], 2)
    [['pytest', '--dist', 'worksteal', '-n', '2', '-k', 'tracker']]
    >>> [run[-1] for run in runs([], 2)]
    ['--ignore=tests/scripts', 'tests/scripts']
    """
    if further:
        return [[*PYTEST, "-n", str(cores), *further]]
    rest = [f"--ignore={folder}" for folder in REAL]
    return [[*PYTEST, "-n", str(3 * cores), *rest], [*PYTEST, "-n", str(cores), *REAL]]


def failing(checks: "dict[str, list[str]]", tools: Path, root: Path) -> "list[str]":
    """Runs every check, says how each went, and shows what a failing one said."""
    failed = []
    for name, (tool, *rest) in checks.items():
        started = time.monotonic()
        done = subprocess.run(
            [str(tools / tool), *rest],
            cwd=str(root),
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            check=False,
        )
        verdict = "FAILED" if done.returncode else "ok"
        print(f"{name:<14}{verdict} ({time.monotonic() - started:.1f} s)", flush=True)
        if done.returncode:
            print(done.stdout.decode(errors="replace"), flush=True)
            failed.append(name)
    return failed


def main() -> int:
    """Runs the checks, then the tests, whose own summary comes last."""
    require_python()
    from environment import ROOT, SetupError, prepare  # late: it needs today's Python

    try:
        tools = prepare("dev", ROOT).parent
    except SetupError as error:
        print(error, file=sys.stderr)
        return 1
    failed = failing(CHECKS, tools, ROOT)
    tests = 0
    for pytest, *options in runs(sys.argv[1:], min(os.cpu_count() or 1, MOST_CORES)):
        tests = subprocess.call([str(tools / pytest), *options], cwd=str(ROOT)) or tests
    if failed:
        print(f"Failed besides the tests: {', '.join(failed)}; see above.", flush=True)
    return tests or int(bool(failed))


if __name__ == "__main__":
    try:
        sys.exit(main())
    except KeyboardInterrupt:
        sys.exit(130)
