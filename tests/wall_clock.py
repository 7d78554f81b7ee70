"""The clock on the wall, as the tests and their pictures have it."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager

import pytest

#: Windows gives all that runs the one zone of the computer: a test of another one has nothing to
#: set it with there, and all else is tested there too.
needs_zone = pytest.mark.skipif(
    not hasattr(time, "tzset"), reason="Windows can't give one program a zone of its own"
)


@contextmanager
def clock_of(zone: str) -> Iterator[None]:
    """Times are told by the clock of this zone, as POSIX writes it, wherever the tests run."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("TZ", zone)
        _look()
        yield
    _look()


def _look() -> None:
    # Without it the zone stays the computer's, as above.
    if hasattr(time, "tzset"):
        time.tzset()
