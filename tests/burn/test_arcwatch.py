"""What a head that is moved, rests, burns and lifts says of the arc."""

from __future__ import annotations

import math
from copy import deepcopy
from dataclasses import replace
from random import Random
from statistics import median

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cockpit.burn.arcwatch import NEW_MM, ArcWatch, Seems
from cockpit.burn.simulate import Scene, SimulatedBurn

BREAK_MM = 3.0
#: Travel of an ordinary burn, mm/s: 2.8 mm of depth a minute at a wear ratio of 0.25.
FEED_MM_S = 2.8 / 60 / 0.75
RATES_HZ = pytest.mark.parametrize("rate_hz", [2.0, 10.0, 50.0])
STEPS_MM = pytest.mark.parametrize("step_mm", [0.01, 0.0127])


class Head:
    """A head over a hole with an indicator that shakes; what the watch says is done, and kept.

    ``mark_mm`` is where the tip meets the work. It goes along while the arc clock runs.
    """

    def __init__(
        self,
        rate_hz: float = 10.0,
        *,
        high_mm: float | None = None,
        sd_mm: float = 0.01,
        step_mm: float = 0.01,
        seed: int = 1,
    ) -> None:
        self.watch = ArcWatch(BREAK_MM, step_mm)
        self.high_mm = high_mm
        self.travel_mm = -2.0
        self.t_s = 0.0
        self.on = False
        self.turned: list[tuple[Seems, float]] = []
        self._period_s, self._sd_mm, self._step_mm = 1 / rate_hz, sd_mm, step_mm
        self._chance = Random(seed)

    def read(self, off_mm: float = 0.0) -> None:
        self.t_s += self._period_s
        shaken_mm = self.travel_mm + off_mm + self._chance.gauss(0.0, self._sd_mm)
        shown_mm = round(shaken_mm / self._step_mm) * self._step_mm
        if self.on:
            self.high_mm = max(BREAK_MM if self.high_mm is None else self.high_mm, shown_mm)
        seems = self.watch.saw(round(self.t_s, 3), shown_mm, self.high_mm)
        if seems is not None:
            self.turned.append((seems, self.t_s))
            self.switch(seems is Seems.ON, by_key=False)

    def switch(self, on: bool, *, by_key: bool = True) -> None:
        self.on = on
        self.watch.switched(on, by_key=by_key)

    def rest(self, lasts_s: float) -> None:
        for _ in range(round(lasts_s / self._period_s)):
            self.read()

    def burn(self, lasts_s: float, feed_mm_s: float = FEED_MM_S) -> None:
        for _ in range(round(lasts_s / self._period_s)):
            self.travel_mm += feed_mm_s * self._period_s
            self.read()

    def move(self, to_mm: float, speed_mm_s: float = 5.0) -> None:
        while self.travel_mm != to_mm:
            way_mm = to_mm - self.travel_mm
            self.travel_mm += math.copysign(min(abs(way_mm), speed_mm_s * self._period_s), way_mm)
            self.read()

    def lift(self, height_mm: float = 3.0, rests_s: float = 1.0) -> None:
        """Lift to clear and come back."""
        down_mm = self.travel_mm
        self.move(down_mm - height_mm, 6.0)
        self.rest(rests_s)
        self.move(down_mm, 6.0)

    @property
    def said(self) -> list[Seems]:
        return [seems for seems, _ in self.turned]


# On -------------------------------------------------------------------------------------------


@STEPS_MM
@pytest.mark.parametrize(("rate_hz", "within_s"), [(2.0, 9.0), (10.0, 5.0), (50.0, 3.5)])
def test_a_burn_is_seen_within_seconds(rate_hz: float, within_s: float, step_mm: float) -> None:
    for seed in range(10):
        head = Head(rate_hz, step_mm=step_mm, seed=seed)
        head.move(BREAK_MM)
        began_s = head.t_s
        head.burn(30.0)
        ((seems, seen_s),) = head.turned
        assert seems is Seems.ON
        assert 1.5 <= seen_s - began_s <= within_s


@pytest.mark.parametrize(("feed_mm_s", "within_s"), [(0.01, 30.0), (0.02, 16.0), (0.2, 4.0)])
def test_a_slow_burn_is_seen_later_and_a_fast_one_too(feed_mm_s: float, within_s: float) -> None:
    head = Head()
    head.move(BREAK_MM)
    began_s = head.t_s
    head.burn(60.0, feed_mm_s)
    ((_, seen_s),) = head.turned
    assert NEW_MM / feed_mm_s * 0.7 <= seen_s - began_s <= within_s


@RATES_HZ
def test_going_on_from_the_mark_is_seen_and_coming_down_to_it_is_not(rate_hz: float) -> None:
    head = Head(rate_hz, high_mm=9.0, sd_mm=0.003)
    for speed_mm_s in (0.2, 0.4, 2.0, 10.0):
        head.move(-3.0)
        head.rest(10.0)
        head.move(8.0)
        head.move(9.0, speed_mm_s)
        head.rest(20.0)
    assert head.turned == []
    head.burn(15.0)
    assert head.said == [Seems.ON]


@pytest.mark.parametrize("speed_mm_s", [0.6, 1.0, 2.0, 10.0])
@RATES_HZ
def test_a_hand_is_too_fast_where_the_break_lies_deeper_than_told(
    rate_hz: float, speed_mm_s: float
) -> None:
    head = Head(rate_hz, sd_mm=0.003)
    for deep_mm in (0.2, 0.5, 1.0, 4.0):
        head.move(BREAK_MM - 1.0)
        head.move(BREAK_MM + deep_mm, speed_mm_s)
        head.rest(15.0)
    assert head.turned == []


def test_a_head_pushed_along_in_steps_is_no_burn() -> None:
    head = Head(high_mm=5.0, sd_mm=0.003)
    head.move(5.0)
    for _ in range(20):
        head.move(head.travel_mm + 0.4, 2.0)
        head.rest(3.0)
    assert head.turned == []


@RATES_HZ
@STEPS_MM
def test_a_head_that_shakes_at_rest_is_no_burn(rate_hz: float, step_mm: float) -> None:
    head = Head(rate_hz, sd_mm=0.03, step_mm=step_mm)
    head.move(BREAK_MM + 0.5)
    head.rest(3_000.0 / rate_hz**0.5)
    assert head.turned == []


def test_touching_off_is_no_burn_where_the_break_is_at_the_surface_either() -> None:
    head = Head(high_mm=None)
    head.watch = ArcWatch(break_mm=0.0)
    for _ in range(20):
        head.move(-6.0)
        head.move(0.0, 2.0)
        head.rest(10.0)
    assert head.turned == []


def test_one_wild_reading_neither_makes_a_burn_nor_hides_one_for_long() -> None:
    head = Head(high_mm=5.0)
    head.move(5.0)
    for off_mm in (0.2, 0.5, 4.0, -4.0, 80.0):
        head.rest(10.0)
        head.read(off_mm)
    head.rest(10.0)
    assert head.turned == []
    head.burn(2.0)
    head.read(3.0)
    head.burn(8.0)
    assert head.said == [Seems.ON]


def test_readings_from_before_a_gap_do_not_count() -> None:
    head = Head(high_mm=5.0)
    head.move(5.0)
    head.burn(1.8)
    head.t_s += 3.0
    head.rest(30.0)
    assert head.turned == []


# Off ------------------------------------------------------------------------------------------


def burning(rate_hz: float = 10.0, deep_mm: float = 10.0) -> Head:
    """A head whose arc was seen on, so deep in the hole."""
    head = Head(rate_hz, high_mm=BREAK_MM + deep_mm)
    head.move(BREAK_MM + deep_mm)
    head.burn(12.0)
    assert head.said == [Seems.ON]
    return head


@RATES_HZ
@pytest.mark.parametrize("deep_mm", [0.5, 10.0])
def test_a_head_lifted_to_clear_is_not_off(rate_hz: float, deep_mm: float) -> None:
    head = burning(rate_hz, deep_mm)
    for rests_s in (0.2, 1.0, 2.0, 4.0):
        head.lift(rests_s=rests_s)
        head.burn(20.0)
    assert head.said == [Seems.ON]


@RATES_HZ
def test_a_head_that_stays_lifted_is_off_after_some_seconds(rate_hz: float) -> None:
    head = burning(rate_hz)
    lifted_s = head.t_s
    head.move(head.travel_mm - 3.0)
    head.rest(20.0)
    assert head.said == [Seems.ON, Seems.OFF]
    assert 6.0 <= head.turned[-1][1] - lifted_s <= 7.5


@RATES_HZ
def test_a_head_far_out_of_the_hole_is_off_soon(rate_hz: float) -> None:
    head = burning(rate_hz)
    head.move(-20.0, 10.0)
    out_s = head.t_s
    head.rest(5.0)
    assert head.said == [Seems.ON, Seems.OFF]
    assert head.turned[-1][1] - out_s <= 2.5


def test_a_stall_is_not_off_however_long() -> None:
    head = burning()
    head.rest(600.0)
    assert head.said == [Seems.ON]


def test_a_fall_is_not_off() -> None:
    head = burning()
    head.move(head.travel_mm + 3.0, 6.0)
    head.rest(60.0)
    assert head.said == [Seems.ON]


def test_a_gauge_that_fell_silent_says_nothing_of_what_was_between() -> None:
    head = burning()
    head.travel_mm -= 3.0
    head.rest(3.0)
    head.t_s += 60.0
    head.rest(3.0)
    assert head.said == [Seems.ON]


# The key wins -----------------------------------------------------------------------------------


def test_off_by_key_stays_off_until_the_head_was_lifted_clear() -> None:
    head = burning()
    head.switch(False)
    head.burn(60.0)
    head.lift()
    head.burn(60.0)
    assert head.said == [Seems.ON]
    down_mm = head.high_mm = head.travel_mm
    head.move(-4.0)
    head.rest(3.0)
    head.move(down_mm)
    head.burn(10.0)
    assert head.said == [Seems.ON, Seems.ON]


def test_on_by_key_stays_on_until_an_advance_was_seen() -> None:
    head = Head()
    head.switch(True)
    head.rest(60.0)
    head.move(BREAK_MM)
    head.rest(60.0)
    head.move(-4.0)
    head.rest(60.0)
    assert head.turned == []
    head.move(BREAK_MM)
    head.burn(20.0)
    head.move(-4.0)
    head.rest(10.0)
    assert head.said == [Seems.OFF]


def test_what_is_said_stands_until_it_is_done() -> None:
    watch = ArcWatch(BREAK_MM)
    said = [watch.saw(n / 10, BREAK_MM + FEED_MM_S * n / 10, None) for n in range(200)]
    first = said.index(Seems.ON)
    assert set(said[:first]) == {None}
    assert set(said[first:]) == {Seems.ON}


# Whatever is read ---------------------------------------------------------------------------------

moves = st.lists(
    st.tuples(st.floats(0.001, 5.0), st.floats(-60.0, 60.0), st.integers(1, 40)), max_size=12
)


def readings(way: list[tuple[float, float, int]]) -> list[tuple[float, float]]:
    """Times and travels of a head that goes through a way, in stretches of even readings."""
    read, t_s, travel_mm = [(0.0, 0.0)], 0.0, 0.0
    for lasts_s, goal_mm, parts in way:
        read += [
            (t_s + lasts_s * n / parts, travel_mm + (goal_mm - travel_mm) * n / parts)
            for n in range(1, parts + 1)
        ]
        t_s, travel_mm = t_s + lasts_s, goal_mm
    return read


@given(way=moves, cut=st.integers(0, 400))
def test_it_does_not_matter_in_what_batches_readings_come(
    way: list[tuple[float, float, int]], cut: int
) -> None:
    whole, first = ArcWatch(BREAK_MM), ArcWatch(BREAK_MM)
    read = readings(way)
    answers = [whole.saw(t_s, mm, 9.0) for t_s, mm in read]
    before = [first.saw(t_s, mm, 9.0) for t_s, mm in read[:cut]]
    later = deepcopy(first)
    assert before + [later.saw(t_s, mm, 9.0) for t_s, mm in read[cut:]] == answers


@given(way=moves, mark_mm=st.floats(60.0, 90.0))
def test_above_the_mark_nothing_is_ever_on(
    way: list[tuple[float, float, int]], mark_mm: float
) -> None:
    watch = ArcWatch(BREAK_MM)
    assert {watch.saw(t_s, mm, mark_mm) for t_s, mm in readings(way)} == {None}


@given(way=moves)
def test_at_the_work_nothing_is_ever_off(way: list[tuple[float, float, int]]) -> None:
    watch, deepest_mm = ArcWatch(BREAK_MM), 0.0
    watch.switched(True, by_key=False)
    for t_s, mm in readings(way):
        deepest_mm = max(deepest_mm, mm - 0.9)
        assert watch.saw(t_s, max(mm, deepest_mm), deepest_mm + 0.9) is None


# Invented burns -----------------------------------------------------------------------------------

SCENE = Scene(recess_mm=BREAK_MM, end_mm=40.0)


def watched(scene: Scene, seed: int, rate_hz: float, burn_s: float) -> tuple[list[float], int]:
    """Burn, idle and burn again: how late each arc was seen on and off (s), and how often."""
    burn, watch = SimulatedBurn(scene, seed), ArcWatch(scene.recess_mm, scene.resolution_mm)
    late_s, turns, is_on, high_mm, n = [], 0, False, scene.recess_mm, 0
    for arc_on, lasts_s in ((False, 60.0), (True, burn_s)) * 2 + ((False, 60.0),):
        # The head comes down for two and a half seconds before anything can be seen.
        since_s, turned = n / rate_hz + (2.5 if arc_on else 0.0), False
        for _ in range(round(lasts_s * rate_hz)):
            n += 1
            burn.advance(1 / rate_hz, arc_on)
            travel_mm = burn.reading_mm()
            high_mm = max(high_mm, travel_mm) if is_on else high_mm
            if watch.saw(round(n / rate_hz, 3), travel_mm, high_mm) is not None:
                is_on = not is_on
                watch.switched(is_on, by_key=False)
                turns += 1
                if is_on is arc_on and not turned:
                    late_s.append(n / rate_hz - since_s)
                    turned = True
    return late_s, turns


@pytest.mark.parametrize(
    ("rate_hz", "vibration_mm", "half_within_s"),
    [(2.0, 0.01, 6.5), (2.0, 0.03, 6.5), (10.0, 0.01, 4.0), (10.0, 0.03, 4.0), (50.0, 0.03, 3.0)],
)
def test_burns_with_lifts_are_seen_on_once_and_off_once(
    rate_hz: float, vibration_mm: float, half_within_s: float
) -> None:
    scene = replace(SCENE, vibration_mm=vibration_mm, resolution_mm=0.0127)
    on_s = []
    for seed in range(5):
        late_s, turns = watched(scene, seed, rate_hz, 200.0)
        assert turns == len(late_s) == 4
        on_s += late_s[::2]
        assert all(6.0 <= late <= 7.0 for late in late_s[1::2])
    # Those that lift to clear before they were seen take longer.
    assert all(1.5 <= late <= 12.0 for late in on_s)
    assert median(on_s) <= half_within_s


def test_heads_moved_by_hand_for_hours_are_no_burn() -> None:
    for seed, rate_hz, lasts_s in ((1, 2.0, 7_200.0), (2, 10.0, 3_600.0)):
        chance, head = Random(seed), Head(rate_hz, high_mm=9.0, sd_mm=0.03, seed=seed)
        while head.t_s < lasts_s:
            goal_mm = 9.0 if chance.random() < 0.5 else chance.uniform(-15.0, 9.0)
            head.move(goal_mm, chance.uniform(0.7, 10.0))
            head.rest(chance.uniform(0.5, 30.0))
        assert head.turned == []
