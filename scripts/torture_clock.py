"""Starts the cockpit with a date that is put off by what a file says, in seconds.

    torture_clock.py FILE [the cockpit's own options]

The computer's clock is left alone, and so is the cockpit's code: one method is put in place of
another, for the torture alone.
"""

import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from cockpit.cli import main
from cockpit.flow.clock import WallClock

FILE = Path(sys.argv[1])


def utc(self: WallClock) -> datetime:
    """The date, as somebody who set the clock wrong would see it."""
    del self  # as the method that it stands for
    return datetime.now(UTC) + timedelta(seconds=float(FILE.read_text("ascii") or 0))


if __name__ == "__main__":
    WallClock.utc = utc  # type: ignore[method-assign]
    sys.exit(main(sys.argv[2:]))
