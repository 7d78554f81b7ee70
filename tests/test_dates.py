"""Dates by the clock on the wall, in several zones."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta

import pytest

from cockpit import dates
from tests.wall_clock import clock_of, needs_zone

#: West and east of Greenwich, with summer time and without, by half an hour, a day ahead: as POSIX
#: writes zones (IEEE Std 1003.1, 8.3), and the hours from UTC in January and in July.
ZONES = {
    "UTC0": (0.0, 0.0),
    "CST6CDT,M3.2.0,M11.1.0": (-6.0, -5.0),
    "CET-1CEST,M3.5.0,M10.5.0/3": (1.0, 2.0),
    "IST-5:30": (5.5, 5.5),
    "NZST-12NZDT,M9.5.0,M4.1.0/3": (13.0, 12.0),
}

pytestmark = needs_zone


@pytest.fixture(params=ZONES)
def hours(request: pytest.FixtureRequest) -> Iterator[tuple[float, float]]:
    """A shop in a zone, and how many hours that is from UTC in January and in July."""
    with clock_of(request.param):
        yield ZONES[request.param]


def logged(at: datetime) -> str:
    """A moment as the log has it."""
    return at.astimezone(UTC).isoformat(timespec="milliseconds")


@pytest.mark.parametrize("hour", range(0, 24, 3))
def test_a_moment_is_told_by_the_zone_of_the_shop(hours: tuple[float, float], hour: int) -> None:
    for month, off in zip((1, 7), hours, strict=True):
        at = datetime(2026, month, 1, hour, 47, 9, tzinfo=UTC)
        wall = at + timedelta(hours=off)
        assert dates.moment(logged(at)) == f"{wall:%Y-%m-%d %H:%M}"
        assert dates.day(logged(at)) == f"{wall:%Y-%m-%d}"
        assert dates.time_of_day(logged(at)) == f"{wall:%H:%M}"


def test_the_zone_is_told_as_it_was_then(hours: tuple[float, float]) -> None:
    told = dates.zones(f"2026-{month:02}-05T12:00:00+00:00" for month in (1, 2, 7, 8))
    wanted = {
        (0.0, 0.0): ("UTC",),
        (-6.0, -5.0): ("UTC-06:00", "UTC-05:00"),
        (1.0, 2.0): ("UTC+01:00", "UTC+02:00"),
        (5.5, 5.5): ("UTC+05:30",),
        (13.0, 12.0): ("UTC+13:00", "UTC+12:00"),
    }
    assert told == wanted[hours]


@pytest.mark.usefixtures("hours")
def test_every_hour_of_a_year_is_in_the_span_of_its_day_alone() -> None:
    for hour in range(24 * 366):
        utc = logged(datetime(2028, 1, 1, tzinfo=UTC) + timedelta(hours=hour))
        day = date.fromisoformat(dates.day(utc))
        for off in (-1, 0, 1):
            first, before = dates.span(day + timedelta(days=off), day + timedelta(days=off))
            assert (first <= utc < before) == (off == 0)


def test_an_open_side_holds_all() -> None:
    assert dates.span(None, None) == dates.span(date.min, date.max) == ("", "~")
    first, before = dates.span(date(1, 1, 2), date(9999, 12, 30))
    assert first < "2026-05-04T09:30:00.000+00:00" < before


@pytest.mark.parametrize("text", ["", "yesterday", "2026-13-40T00:00", "0001-01-01T00:00:00", "é"])
def test_what_is_no_date_is_shown_as_it_is(text: str) -> None:
    assert text.startswith(dates.day(text))
    assert len(dates.moment(text)) <= 16
    assert dates.zones([text]) in ((), ("UTC",))
