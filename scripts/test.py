"""Checks everything: format, lint, types, import contract, tests. Exit code 0 when all of it holds.

Makes `.venv` first when it is missing or out of date. Further arguments go to pytest.
"""

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
TESTS = ["pytest", "-n", "2", "--dist", "worksteal"]


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
    pytest, *options = TESTS
    tests = subprocess.call([str(tools / pytest), *options, *sys.argv[1:]], cwd=str(ROOT))
    if failed:
        print(f"Failed besides the tests: {', '.join(failed)}; see above.", flush=True)
    return tests or int(bool(failed))


if __name__ == "__main__":
    try:
        sys.exit(main())
    except KeyboardInterrupt:
        sys.exit(130)
