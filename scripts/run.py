"""Starts the cockpit on the demo shop; without a terminal, rehearses a hole and prints its record.

Makes `.venv` first when it is missing or out of date. Further arguments go to the cockpit.
"""

import subprocess
import sys

from oldest_python import require_python


def arguments(in_terminal: bool, further: "list[str]") -> "list[str]":
    """What the cockpit is started with.

    >>> arguments(True, ["--gauge", "typed"])
    ['--demo', '--gauge', 'typed']
    >>> arguments(False, [])
    ['rehearse']
    """
    return ["--demo" if in_terminal else "rehearse", *further]


def main() -> int:
    """Runs the cockpit and gives back its exit code."""
    require_python()
    from environment import ROOT, SetupError, prepare  # late: it needs today's Python

    in_terminal = sys.stdin.isatty() and sys.stdout.isatty()
    try:
        python = prepare(root=ROOT)
    except SetupError as error:
        print(error, file=sys.stderr)
        return 1
    return subprocess.call([str(python), "-m", "cockpit", *arguments(in_terminal, sys.argv[1:])])


if __name__ == "__main__":
    try:
        sys.exit(main())
    except KeyboardInterrupt:
        sys.exit(130)
