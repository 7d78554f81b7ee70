"""Dates as people read them: the log keeps UTC, and whoever looks has a clock on the wall.

The clock on the wall is the computer's own, with summer time as it was on that day. What is no
date, as in a log that somebody wrote into by hand, is shown as far as a date would reach.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, date, datetime, time, timedelta


def day(utc: str) -> str:
    """The day of a moment of the log."""
    return _local(utc)[:10]


def moment(utc: str) -> str:
    """The day and the time of day of a moment of the log.

    >>> len(moment("2026-05-04T09:30:12.000+00:00")), moment("some time")
    (16, 'some time')
    """
    return _local(utc)[:16].replace("T", " ")


def time_of_day(utc: str) -> str:
    """The time of day of a moment of the log, in hours and minutes."""
    return _local(utc)[11:16]


def zones(moments: Iterable[str]) -> tuple[str, ...]:
    """How far the clock on the wall was from UTC at these moments, each once: ``UTC+02:00``."""
    found = [at for at in map(_read, moments) if at is not None]
    return tuple(
        dict.fromkeys(f"UTC{at.isoformat()[-6:]}" if at.utcoffset() else "UTC" for at in found)
    )


def span(first: date | None, last: date | None) -> tuple[str, str]:
    """The moments of the log from the first of these days to the last, as from and before which.

    None for a day leaves that side open.
    """
    return (
        "" if first is None or first == date.min else _midnight(first),
        "~" if last is None or last == date.max else _midnight(last + timedelta(days=1)),
    )


def _midnight(at: date) -> str:
    try:
        return datetime.combine(at, time()).astimezone(UTC).isoformat(timespec="milliseconds")
    except (OverflowError, OSError, ValueError):
        # Nobody's log is that old, and no zone is a day off.
        return at.isoformat()


def _local(utc: str) -> str:
    at = _read(utc)
    return utc if at is None else at.isoformat(timespec="minutes")


def _read(utc: str) -> datetime | None:
    """A moment by the clock on the wall; None for what is no date."""
    try:
        at = datetime.fromisoformat(utc)
        return (at if at.tzinfo else at.replace(tzinfo=UTC)).astimezone()
    except (OverflowError, OSError, ValueError):
        return None
