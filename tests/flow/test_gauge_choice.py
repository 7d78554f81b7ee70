"""Which gauge was picked: kept, read again, refused in a sentence; and the change itself."""

from __future__ import annotations

from pathlib import Path

import pytest

from cockpit import locations
from cockpit.flow.floor import ShopFloor
from cockpit.flow.gauge_choice import GaugeChoice, remember, remembered
from cockpit.flow.kept import KeptError
from cockpit.flow.steps import Step
from cockpit.gauges import GaugeError, GaugeStatus
from cockpit.log.rows import CheckResult
from cockpit.profiles import ProfileError
from tests.log.conftest import TICKET


def test_a_choice_is_read_as_it_was_kept(tmp_path: Path) -> None:
    assert remembered(tmp_path) is None
    for choice in (GaugeChoice(profile="typed"), GaugeChoice(profile="mine", port="loop://")):
        remember(tmp_path, choice)
        assert remembered(tmp_path) == choice
    assert [path.name for path in tmp_path.iterdir()] == [locations.GAUGE_CHOICE_NAME]


@pytest.mark.parametrize(
    "held",
    [b"", b"\xff\xfe\x00", b"{", b"[]", b'{"port": "x"}', b'{"profile": "", "port": null}',
     b'{"profile": "typed", "speed": 3}', b'{"profile": 7}'],
)  # fmt: skip
def test_a_choice_that_can_not_be_read_is_one_sentence(tmp_path: Path, held: bytes) -> None:
    path = tmp_path / locations.GAUGE_CHOICE_NAME
    path.write_bytes(held)
    with pytest.raises(KeptError) as refused:
        remembered(tmp_path)
    assert str(refused.value).startswith(f"{path}: ")
    assert str(refused.value).endswith("pick it again.")
    assert "\n" not in str(refused.value)


def test_a_choice_that_can_not_be_kept_is_one_sentence_and_leaves_nothing(tmp_path: Path) -> None:
    (tmp_path / locations.GAUGE_CHOICE_NAME).mkdir()
    with pytest.raises(KeptError, match="has to be picked again at the next start"):
        remember(tmp_path, GaugeChoice(profile="typed"))
    assert [path.name for path in tmp_path.iterdir()] == [locations.GAUGE_CHOICE_NAME]
    with pytest.raises(KeptError, match="is not known"):
        remembered(tmp_path)


# The change --------------------------------------------------------------------------------------


def own_profile(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, text: str) -> str:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    path = locations.user_profiles() / "gauge" / "bench.toml"
    assert path.is_relative_to(tmp_path)
    path.parent.mkdir(parents=True)
    path.write_text(text, encoding="utf-8")
    return path.stem


def test_another_gauge_is_opened_and_the_shop_goes_by_its_noise(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    held = 'source = "serial"\nport = "loop://"\ntouch_sd = "0.11 mm"\n'
    name = own_profile(tmp_path, monkeypatch, held)
    with ShopFloor(tmp_path) as floor:
        before = floor.gauge
        assert floor.shop.noise.touch_sd_mm != 0.11
        floor.change_gauge(name)
        assert before.status is GaugeStatus.CLOSED
        assert floor.gauge.status is GaugeStatus.WAITING
        assert (floor.gauge_name, floor.gauge_port) == ("bench", "loop://")
        assert floor.shop.noise.touch_sd_mm == 0.11
        assert floor.open_shift("MT").gauge == "bench"


@pytest.mark.parametrize(
    ("name", "port", "error"),
    [
        ("nobodys", None, ProfileError),
        ("serial-decimal", None, GaugeError),
        ("recorded", "none.csv", GaugeError),
    ],
)
def test_a_gauge_that_can_not_be_had_leaves_the_one_before(
    tmp_path: Path, name: str, port: str | None, error: type[Exception]
) -> None:
    with ShopFloor(tmp_path) as floor:
        before, shop = floor.gauge, floor.shop
        with pytest.raises(error):
            floor.change_gauge(name, port)
        assert floor.gauge is before
        assert floor.shop is shop
        assert floor.gauge_name == "typed"
        assert before.status is GaugeStatus.WAITING


def test_in_a_shift_the_daily_check_of_the_gauge_is_made_once_more(tmp_path: Path) -> None:
    with ShopFloor(tmp_path) as floor:
        floor.open_shift("MT")
        for item in floor.daily_left():
            floor.answer_daily(item, CheckResult.CONFIRMED)
        floor.change_gauge("serial-decimal", "loop://")
        assert [item.live for item in floor.daily_left()] == ["gauge"]


def test_holes_that_may_have_been_zeroed_with_the_gauge_before_are_known(tmp_path: Path) -> None:
    with ShopFloor(tmp_path) as floor:
        floor.open_shift("MT")
        job = floor.take_in_job("Elderbeck Forge", "EF-31", "bearing block")
        hole = floor.take_up(floor.take_in_hole(job, TICKET))
        assert floor.zeroed_before() == []
        hole.accept_plan()
        assert hole.step is Step.CHECKS
        assert floor.zeroed_before() == [TICKET.hole]
