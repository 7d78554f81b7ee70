"""Readings typed by hand."""

from __future__ import annotations

import pytest

from cockpit.gauges import GaugeStatus, Reject, Sample, TypedGauge
from cockpit.profiles import GaugeProfile, load_gauge
from cockpit.units import LengthUnit
from tests.gauges.lines import status_of


def typed_gauge(**changes: object) -> TypedGauge:
    held: dict[str, object] = {"name": "hand", "source": "typed"}
    gauge = TypedGauge(GaugeProfile.model_validate(held | changes), lambda: 7.0)
    gauge.open()
    return gauge


def test_what_is_typed_is_a_reading_and_waits_to_be_drained() -> None:
    gauge = typed_gauge()
    assert status_of(gauge) is GaugeStatus.WAITING
    assert gauge.detail == "Type what the indicator shows, and press Enter."
    sample = gauge.type("12.34")
    assert sample == Sample(7.0, 12.34, "12.34")
    assert status_of(gauge) is GaugeStatus.LIVE
    assert gauge.drain() == [sample]
    assert gauge.drain() == []


@pytest.mark.parametrize(
    ("text", "bare", "travel_mm"),
    [
        ("1/2", LengthUnit.INCH, 12.7),
        ("1/2 in", None, 12.7),
        ("-0.5", None, -0.5),
        ("0012.34 mm\r\n", LengthUnit.INCH, 12.34),
    ],
)
def test_units_are_those_of_the_operator(
    text: str, bare: LengthUnit | None, travel_mm: float
) -> None:
    sample = typed_gauge().type(text, bare)
    assert isinstance(sample, Sample)
    assert sample.travel_mm == pytest.approx(travel_mm)


def test_the_sense_of_the_profile_holds_for_typing_too() -> None:
    assert typed_gauge(reverse=True, unit="in").type("-1") == Sample(7.0, 25.4, "-1")


def test_a_gauge_that_types_is_in_its_own_unit_whatever_the_screen_shows() -> None:
    shipped = load_gauge("typed-by-gauge")
    for profile in (shipped, shipped.model_copy(update={"unit": LengthUnit.INCH})):
        gauge = TypedGauge(profile, lambda: 7.0)
        in_mm = 25.4 if profile.unit is LengthUnit.INCH else 1.0
        for shown in LengthUnit:
            assert gauge.type("+1.00\r\n", shown) == Sample(7.0, in_mm, r"+1.00\r\n")
            assert gauge.type("1.00 in", shown) == Sample(7.0, 25.4, "1.00 in")
            assert gauge.type("1.00 mm", shown) == Sample(7.0, 1.0, "1.00 mm")


@pytest.mark.parametrize("text", ["", "twelve", "1,5", "nan", "9999 in", "\x1b[2J\ud800"])
def test_what_is_no_reading_says_why_and_leaves_the_gauge_waiting(text: str) -> None:
    gauge = typed_gauge()
    reject = gauge.type(text)
    assert isinstance(reject, Reject)
    assert reject.why.endswith((".", "?"))
    assert reject.raw.isascii()
    assert status_of(gauge) is GaugeStatus.WAITING
    assert gauge.drain() == [reject]
