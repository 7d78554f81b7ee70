"""Starts the cockpit on the demo shop; without a terminal, rehearses a hole and prints its record.

Makes `.venv` first when it is missing or out of date. Further arguments go to the cockpit.
"""

import contextlib
import subprocess
import sys
from collections.abc import Callable, Iterator

from oldest_python import require_python

#: Reports of mouse, paste, keys and size off, lines that wrap, cursor on, colours off, the first
#: screen back (ECMA-48, xterm), and a line of its own for what is said then.
LEAVES = (
    "\x1b[?1000l\x1b[?1003l\x1b[?1006l\x1b[?1015l\x1b[?1016l\x1b[?1004l\x1b[?2004l"
    "\x1b[?2048l\x1b[<u\x1b[?7h\x1b[?25h\x1b[0m\x1b[?1049l\r\n"
)
KILLED = (
    "The cockpit was killed. Put the arc off at the machine first; then start it again, as before. "
    "The log has the hole, with all but the last half second of its readings."
)


def arguments(in_terminal: bool, further: "list[str]") -> "list[str]":
    """What the cockpit is started with.

    >>> arguments(True, ["--gauge", "typed"])
    ['--demo', '--gauge', 'typed']
    >>> arguments(False, [])
    ['rehearse']
    """
    return ["--demo" if in_terminal else "rehearse", *further]


@contextlib.contextmanager
def as_it_was() -> "Iterator[Callable[[], None]]":
    """Gives what puts the terminal right, that a killed cockpit leaves with its last screen."""
    try:
        import termios
    except ImportError:  # Windows has consoles
        yield lambda: None
        return
    held = termios.tcgetattr(sys.stdin)

    def put_right() -> None:
        termios.tcsetattr(sys.stdin, termios.TCSADRAIN, held)
        sys.stdout.write(LEAVES)
        sys.stdout.flush()

    yield put_right


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
    command = [str(python), "-m", "cockpit", *arguments(in_terminal, sys.argv[1:])]
    if not in_terminal:
        return subprocess.call(command)
    with as_it_was() as put_right:
        code = subprocess.call(command)
        if code < 0:
            put_right()
            print(KILLED, file=sys.stderr)
    return code


if __name__ == "__main__":
    try:
        sys.exit(main())
    except KeyboardInterrupt:
        sys.exit(130)
