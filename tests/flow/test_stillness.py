"""When a figure may be read off the indicator."""

import pytest

from cockpit.flow.stillness import Stillness


def after(*readings: tuple[float, float]) -> bool:
    head = Stillness()
    for t_s, travel_mm in readings:
        head.saw(t_s, travel_mm)
    return head.is_still(readings[-1][0] if readings else 0.0)


def at_rate(rate_hz: float, speed_mm_s: float, shake_mm: float = 0.0, lasts_s: float = 2.0) -> bool:
    """A head at one speed that shakes, seen at one rate."""
    times = [n / rate_hz for n in range(int(lasts_s * rate_hz) + 1)]
    return after(*((t_s, speed_mm_s * t_s + shake_mm * (n % 2)) for n, t_s in enumerate(times)))


@pytest.mark.parametrize("rate_hz", [2.0, 5.0, 10.0, 50.0])
def test_a_head_at_rest_is_still_and_one_fed_by_hand_is_not(rate_hz: float) -> None:
    assert at_rate(rate_hz, 0.0)
    assert at_rate(rate_hz, 0.0, shake_mm=0.02), "vibration and resolution are no movement"
    assert not at_rate(rate_hz, 0.2)
    assert not at_rate(rate_hz, -8.0)


def test_nothing_is_still_before_it_was_seen_for_half_a_second() -> None:
    assert not after()
    assert not after((0.0, 1.0))
    assert not after((0.0, 1.0), (0.3, 1.0))
    assert after((0.0, 1.0), (0.5, 1.0))


def test_a_head_that_has_just_come_to_rest_is_still_half_a_second_later() -> None:
    way = [(0.1 * n, 5.0 - n) for n in range(5)]
    assert not after(*way, (0.5, 1.0))
    assert not after(*way, (0.5, 1.0), (0.8, 1.0))
    assert after(*way, (0.5, 1.0), (0.8, 1.0), (1.0, 1.0))


def test_an_indicator_that_has_fallen_silent_is_not_still() -> None:
    head = Stillness()
    for n in range(20):
        head.saw(0.1 * n, 1.0)
    assert head.is_still(2.5)
    assert not head.is_still(10.0)
