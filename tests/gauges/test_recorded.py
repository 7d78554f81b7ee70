"""A recorded trace played back as a gauge."""

from __future__ import annotations

from pathlib import Path

import pytest

from cockpit.gauges import GaugeError, GaugeStatus, RecordedGauge, Sample, make_gauge
from cockpit.profiles import GaugeProfile, load_gauge
from tests.gauges.lines import status_of

TRACE = "t_s,travel_mm,mark,value_mm\n5.0,1.0,,\n5.1,1.1,start,\n5.1,,touch,0.5\n5.4,1.2,stop,\n"


class Clock:
    now_s = 100.0

    def __call__(self) -> float:
        return self.now_s


@pytest.fixture
def trace(tmp_path: Path) -> Path:
    path = tmp_path / "burn.csv"
    path.write_text(TRACE, encoding="utf-8")
    return path


def profile(file: Path) -> GaugeProfile:
    return GaugeProfile(name="played", source="recorded", file=file)


def test_readings_come_at_the_pace_they_were_recorded_and_marks_do_not(trace: Path) -> None:
    clock = Clock()
    gauge = RecordedGauge(profile(trace), clock)
    assert status_of(gauge) is GaugeStatus.CLOSED
    assert gauge.drain() == []
    gauge.open()
    assert status_of(gauge) is GaugeStatus.LIVE
    assert gauge.drain() == [Sample(100.0, 1.0, "+1.000 mm")]
    clock.now_s = 100.2
    (second,) = gauge.drain()
    assert second.t_s == pytest.approx(100.1)
    clock.now_s = 101.0
    assert [item.raw for item in gauge.drain()] == ["+1.200 mm"]
    assert status_of(gauge) is GaugeStatus.LOST
    assert gauge.detail == f"The recording {trace} is over: choose another gauge."


def test_opened_again_it_begins_again(trace: Path) -> None:
    clock = Clock()
    gauge = RecordedGauge(profile(trace), clock)
    gauge.open()
    clock.now_s = 200.0
    assert len(gauge.drain()) == 3
    gauge.close()
    gauge.open()
    assert len(gauge.drain()) == 1


def test_another_file_can_be_named_in_place_of_the_port(trace: Path) -> None:
    gauge = make_gauge(profile(Path("elsewhere.csv")), Clock(), str(trace))
    gauge.open()
    assert len(gauge.drain()) == 1


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (None, "check the name"),
        ("t_s,travel_mm\n0.0,one\n", "line 2"),
        ("t_s,travel_mm,mark,value_mm\n0.0,,start,\n", "no reading"),
    ],
)
def test_a_trace_that_can_not_be_played_is_one_sentence(
    tmp_path: Path, text: str | None, words: str
) -> None:
    path = tmp_path / "bad.csv"
    if text is not None:
        path.write_text(text, encoding="utf-8")
    with pytest.raises(GaugeError, match=words):
        RecordedGauge(profile(path), Clock())


def test_the_shipped_recording_is_a_whole_burn() -> None:
    clock = Clock()
    gauge = make_gauge(load_gauge("recorded"), clock)
    gauge.open()
    clock.now_s += 3600.0
    readings = [item.travel_mm for item in gauge.drain() if isinstance(item, Sample)]
    assert len(readings) > 500
    assert readings[0] == pytest.approx(0.0, abs=3.1)
    assert max(readings) > 10.0
