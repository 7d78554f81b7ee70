from pathlib import Path

import pytest

from cockpit.screens.shared import keygate
from cockpit.screens.shared.keygate import SETTLE_S, KeyGate, Press
from tests.screens.hands import cockpit_on


def counted(times: list[float], gate: KeyGate | None = None) -> int:
    """How many of these presses count, each waiting one settled as the screen does it."""
    gate = gate or KeyGate()
    count = 0
    for place, t_s in enumerate(times):
        match gate.press(t_s):
            case Press.TAKEN:
                count += 1
            case Press.WAITING:
                due_s = t_s + SETTLE_S + 0.01
                if place + 1 == len(times) or times[place + 1] > due_s:
                    count += gate.settle(due_s)
            case Press.DROPPED:
                pass
    return count


@pytest.mark.parametrize("gap_s", [0.0, 0.005, 0.05, 0.19])
def test_a_bouncing_key_counts_once(gap_s: float) -> None:
    assert counted([10.0, 10.0 + gap_s, 10.0 + 2 * gap_s]) == 1


@pytest.mark.parametrize("delay_s", [0.25, 0.4, 0.5, 0.66, 0.8, 1.0])
@pytest.mark.parametrize("period_s", [0.02, 0.033, 0.09, 0.1])
def test_a_held_key_counts_once_whatever_the_repeat_delay(delay_s: float, period_s: float) -> None:
    repeats = [10.0 + delay_s + n * period_s for n in range(60)]
    assert counted([10.0, *repeats]) == 1


@pytest.mark.parametrize("gap_s", [0.3, 0.5, 0.9, 1.0, 1.2, 5.0])
def test_two_honest_presses_count_twice(gap_s: float) -> None:
    assert counted([10.0, 10.0 + gap_s]) == 2


def test_a_press_that_waits_does_not_count_before_it_is_settled() -> None:
    gate = KeyGate()
    assert gate.press(10.0) is Press.TAKEN
    assert gate.press(10.5) is Press.WAITING
    assert not gate.settle(10.5 + SETTLE_S / 2)
    assert gate.settle(10.5 + SETTLE_S + 0.01)
    assert not gate.settle(11.0)


def test_what_comes_beside_another_key_counts_only_where_it_puts_the_arc_off() -> None:
    gate = KeyGate()
    gate.saw(10.0, "u")
    gate.saw(10.001)
    assert gate.verdict() is Press.DROPPED
    gate.saw(20.0, "u")
    gate.saw(20.001)
    assert gate.verdict(is_stop=True) is Press.TAKEN


def test_a_press_before_the_gate_opens_is_dropped_and_one_after_it_is_not() -> None:
    gate = KeyGate()
    gate.shut_until(20.0)
    gate.shut_until(15.0)
    assert gate.press(19.99) is Press.DROPPED
    assert counted([25.0], gate) == 1


async def test_a_bouncing_key_answers_one_check_only(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Longer than it is, so that on a slow computer these presses still are a bounce.
    monkeypatch.setattr(keygate, "BOUNCE_S", 60.0)
    async with cockpit_on(tmp_path, daily_done=False) as hands:
        left = len(hands.floor.daily_left())
        await hands.press(*["space"] * 5)
        assert len(hands.floor.daily_left()) == left - 1
