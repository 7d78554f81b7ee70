"""The clock on the wall, as the tests and their pictures have it."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager

import pytest


@contextmanager
def clock_of(zone: str) -> Iterator[None]:
    """Times are told by the clock of this zone, as POSIX writes it, wherever the tests run."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("TZ", zone)
        _look()
        yield
    _look()


def _look() -> None:
    # Windows has one zone for all that runs.
    if hasattr(time, "tzset"):
        time.tzset()
