"""The wear with hindsight: what must hold of it whatever was travelled and measured."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cockpit.trade.smoothing import History, Node, smoothed, with_hindsight
from cockpit.trade.wear import RATIO_DRIFT_SD, Wear

# Steps of a burn: new travel (mm), or a measured wear (mm) with its standard deviation (mm).
Step = tuple[float] | tuple[float, float]

priors = st.builds(Wear.prior, st.floats(0.0, 0.8), st.floats(0.01, 0.4))
travels = st.one_of(st.just(0.0), st.floats(1e-6, 30.0))
measurements = st.tuples(st.floats(-0.3, 20.0), st.floats(0.01, 0.3))
burns = st.lists(st.one_of(st.tuples(travels), measurements), max_size=12)


def history_of(prior: Wear, steps: list[Step]) -> History:
    history = History(prior)
    for step in steps:
        feed(history, step)
    return history


def feed(history: History, step: Step) -> None:
    if len(step) == 1:
        history.travelled(step[0])
    else:
        history.measured(*step)


def figures(wear: Wear) -> tuple[float, ...]:
    return wear.wear_mm, wear.ratio, wear.var_wear, wear.cov, wear.var_ratio


def agrees(one: Wear, other: Wear) -> bool:
    return figures(one) == pytest.approx(figures(other), rel=1e-9, abs=1e-9)


@given(prior=priors, steps=burns)
def test_the_filter_inside_is_the_filter(prior: Wear, steps: list[Step]) -> None:
    wear = prior
    for step in steps:
        wear = wear.travelled(step[0]) if len(step) == 1 else wear.measured(*step)
    history = history_of(prior, steps)
    assert history.now.wear == wear
    assert history.now.travel_mm == pytest.approx(math.fsum(s[0] for s in steps if len(s) == 1))


@given(prior=priors, steps=burns)
def test_hindsight_ends_where_the_filter_stands(prior: Wear, steps: list[Step]) -> None:
    history = history_of(prior, steps)
    assert history.smoothed()[-1] == history.now
    assert history.smoothed_at([history.now.travel_mm]) == [history.now.wear]


@given(prior=priors, steps=burns)
def test_hindsight_never_widens_and_never_goes_below_zero(prior: Wear, steps: list[Step]) -> None:
    live, history = History(prior), history_of(prior, steps)
    places_mm, beliefs = [0.0], [prior]
    for step in steps:
        feed(live, step)
        places_mm.append(live.now.travel_mm)
        beliefs.append(live.now.wear)
    for told, believed in zip(history.smoothed_at(places_mm), beliefs, strict=True):
        assert 0.0 <= told.var_wear <= believed.var_wear * (1 + 1e-9)
        assert 0.0 <= told.var_ratio <= believed.var_ratio * (1 + 1e-9)
        assert told.cov**2 <= told.var_wear * told.var_ratio * (1 + 1e-9)


@given(prior=priors, steps=burns, cuts=st.lists(st.integers(1, 7), min_size=12, max_size=12))
def test_cutting_the_travel_into_readings_changes_nothing(
    prior: Wear, steps: list[Step], cuts: list[int]
) -> None:
    merged, cut = history_of(prior, steps), History(prior)
    for step, pieces in zip(steps, cuts, strict=False):
        if len(step) == 1:
            for _ in range(pieces):
                cut.travelled(step[0] / pieces)
        else:
            cut.measured(*step)
    share = [n / 10 for n in range(11)]
    one = merged.smoothed_at([part * merged.now.travel_mm for part in share])
    other = cut.smoothed_at([part * cut.now.travel_mm for part in share])
    assert all(map(agrees, one, other))


@given(prior=priors, steps=burns)
def test_a_node_where_nothing_was_measured_changes_nothing(prior: Wear, steps: list[Step]) -> None:
    """The whole smoother over a node at every step, against the sparse nodes of a history."""
    live, nodes = History(prior), [Node(0.0, prior)]
    for step in steps:
        feed(live, step)
        if nodes[-1].travel_mm == live.now.travel_mm:
            nodes.pop()
        nodes.append(live.now)
    told = live.smoothed_at([node.travel_mm for node in nodes])
    assert all(agrees(node.wear, wear) for node, wear in zip(smoothed(nodes), told, strict=True))


@given(prior=priors, steps=burns)
def test_a_new_electrode_has_lost_nothing_whatever_is_found_later(
    prior: Wear, steps: list[Step]
) -> None:
    start = history_of(prior, [(1.0,), *steps]).smoothed()[0].wear
    assert (start.wear_mm, start.var_wear, start.cov) == (0.0, 0.0, 0.0)


@given(wear=priors, ahead_mm=st.floats(0.0, 30.0))
def test_nothing_found_later_leaves_the_belief_as_it_is(wear: Wear, ahead_mm: float) -> None:
    here = wear.travelled(3.0)
    assert agrees(with_hindsight(here, ahead_mm, here.travelled(ahead_mm)), here)


@pytest.mark.parametrize("drift_sd", [0.0, 1e-160, RATIO_DRIFT_SD])
@pytest.mark.parametrize("ahead_mm", [0.0, 1e-12, 1e-3, 30.0])
def test_every_start_gives_figures(drift_sd: float, ahead_mm: float) -> None:
    """A certain start, a new electrode, and one of known ratio: none can be inverted."""
    for here in (Wear(0.0, 0.25), Wear.prior(0.25, 0.1), Wear(0.0, 0.25, 0.04)):
        found = here.travelled(ahead_mm, drift_sd).measured(0.25 * ahead_mm + 0.01, 0.03)
        told = with_hindsight(here, ahead_mm, found, drift_sd)
        assert all(math.isfinite(figure) for figure in figures(told))
        assert 0.0 <= told.var_wear <= here.var_wear + 1e-12
        assert 0.0 <= told.var_ratio <= here.var_ratio + 1e-12


def test_between_two_touch_offs_the_interval_is_narrower_than_the_filters() -> None:
    history = history_of(Wear.prior(0.25, 0.10), [(10.0,), (2.6, 0.03), (10.0,)])
    live = {mm: history.smoothed_at([mm])[0].sd_mm for mm in (12.0, 15.0, 18.0)}
    history.measured(5.1, 0.03)
    for travel_mm, live_sd_mm in live.items():
        told = history.smoothed_at([travel_mm])[0]
        assert 0.0 < told.sd_mm < live_sd_mm
    # Each touch-off is good to 0.03 mm, and the ratio drifts by about 0.01 in 5 mm: the middle of
    # the two is known to some hundredths, and lies on the way from one to the other.
    assert told.sd_mm < 0.04
    assert history.smoothed_at([15.0])[0].wear_mm == pytest.approx((2.6 + 5.1) / 2, abs=0.02)


@given(
    prior=priors,
    steps=st.lists(st.one_of(st.tuples(travels), measurements), min_size=1, max_size=10),
    touch=st.tuples(st.floats(0.0, 10.0), st.floats(1e-4, 1e-3)),
)
def test_where_the_wear_was_measured_well_it_is_what_was_measured(
    prior: Wear, steps: list[Step], touch: tuple[float, float]
) -> None:
    """A touch-off far better than all else holds, whatever is found later."""
    history = history_of(prior, [(5.0,), touch, (5.0,), *steps])
    told = history.smoothed_at([5.0])[0]
    assert told.sd_mm <= touch[1] * (1 + 1e-6)
    assert told.wear_mm == pytest.approx(touch[0], abs=0.05)


def test_a_measurement_made_again_takes_the_place_of_the_first() -> None:
    once = history_of(Wear.prior(0.25, 0.10), [(8.0,), (2.4, 0.03), (8.0,)])
    again = history_of(Wear.prior(0.25, 0.10), [(8.0,)])
    unmeasured = again.now.wear
    again.measured(7.0, 0.03)
    again.believed(unmeasured.measured(2.4, 0.03))
    again.travelled(8.0)
    assert again.smoothed() == once.smoothed()


def test_outside_of_the_history_its_ends_count() -> None:
    history = history_of(Wear.prior(0.25, 0.10), [(8.0,), (2.4, 0.03), (1.0,)])
    start, *_, end = history.smoothed()
    assert history.smoothed_at([-1.0, 99.0]) == [start.wear, end.wear]
    empty = History(Wear.prior(0.25, 0.10))
    assert empty.smoothed() == [Node(0.0, Wear.prior(0.25, 0.10))]
    assert empty.smoothed_at([0.0, 1.0]) == [Wear.prior(0.25, 0.10)] * 2
