"""The time. A burn runs on a monotonic clock; dates in the log are UTC."""

from __future__ import annotations

import sys
import time
from datetime import UTC, datetime, timedelta
from typing import Protocol


class Clock(Protocol):
    """Seconds that only go forward, and the date that belongs to them."""

    @property
    def speed(self) -> float:
        """How many of these seconds pass in one of those of the person who looks on."""

    def s(self) -> float:
        """Seconds since some moment; never goes back, whatever happens to the wall clock."""

    def utc(self) -> datetime:
        """The date and time, UTC."""


class WallClock:
    """The computer's own clocks."""

    speed = 1.0

    def s(self) -> float:
        """Seconds of the monotonic clock; those that the computer slept count where it knows them.

        The machine burns on while a lid is closed.
        """
        if sys.platform == "linux":
            return time.clock_gettime(time.CLOCK_BOOTTIME)
        return time.monotonic()

    def utc(self) -> datetime:
        """The wall clock, UTC."""
        return datetime.now(UTC)


class FastClock:
    """Time that runs ``speed`` times as fast from now on: for the demo, never for a real burn."""

    def __init__(self, speed: float) -> None:
        self.speed = speed
        self._began_s = time.monotonic()
        self._began_utc = datetime.now(UTC)

    def goes_on_from(self, utc: datetime) -> None:
        """Never be behind ``utc``, where an earlier clock as fast as this one has got to."""
        self._began_utc += max(timedelta(), utc - self.utc())

    def s(self) -> float:
        """Seconds since it was made, times the speed."""
        return (time.monotonic() - self._began_s) * self.speed

    def utc(self) -> datetime:
        """The date it was made, plus those seconds."""
        return self._began_utc + timedelta(seconds=self.s())


class HandClock:
    """Time that stands still until somebody moves it on: for the rehearsal."""

    speed = 1.0

    def __init__(self, began_utc: datetime) -> None:
        self._began_utc = began_utc
        self._s = 0.0

    def advance(self, dt_s: float) -> None:
        """Let ``dt_s`` seconds pass."""
        self._s += dt_s

    def s(self) -> float:
        """Seconds that were let pass."""
        return self._s

    def utc(self) -> datetime:
        """The date it began, plus those seconds."""
        return self._began_utc + timedelta(seconds=self._s)
