"""Target, bottom limit and stop."""

from itertools import pairwise
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from cockpit.trade.depth import DepthError, chance_deeper, depth_plan, next_stop_mm
from cockpit.trade.wear import MeasurementNoise, Wear, WearPrior

PRIORS = st.builds(
    WearPrior,
    mean=st.floats(min_value=0, max_value=0.6),
    sd=st.floats(min_value=0.005, max_value=0.3),
)
RECESSES = st.floats(min_value=0, max_value=40)
BURNS = st.floats(min_value=0.6, max_value=100)


def believed(prior: WearPrior) -> Wear:
    return Wear.prior(prior.mean, prior.sd)


def test_a_blind_hole_stops_above_the_nearest_bottom() -> None:
    plan = depth_plan(depth_mm=22, recess_mm=3, through=False, sister_depth_mm=21)
    assert plan.limit_mm == plan.target_mm == 20.5
    assert plan.burn_mm == 17.5


def test_the_end_of_the_tool_is_the_target_where_it_is_known() -> None:
    plan = depth_plan(depth_mm=22, recess_mm=3, through=False, tool_end_mm=18)
    assert plan.target_mm == 18
    assert plan.limit_mm == 21.5


def test_a_tool_that_ends_on_the_bottom_is_burnt_to_the_limit_only() -> None:
    plan = depth_plan(depth_mm=22, recess_mm=3, through=False, tool_end_mm=22)
    assert plan.target_mm == 21.5


@pytest.mark.parametrize(
    ("depth_mm", "past_mm"), [(20.4, None), (20.5, None), (20.509, None), (20.52, 0.02)]
)
def test_less_than_an_indicator_shows_is_not_below_the_limit(
    depth_mm: float, past_mm: float | None
) -> None:
    plan = depth_plan(depth_mm=22, recess_mm=3, through=False, sister_depth_mm=21)
    assert plan.past_limit_mm(depth_mm) == (past_mm and pytest.approx(past_mm))
    through = depth_plan(depth_mm=22, recess_mm=3, through=True)
    assert through.past_limit_mm(depth_mm + 10) is None


@pytest.mark.parametrize(("tool_end_mm", "target_mm"), [(None, 22), (18, 18), (24, 24)])
def test_a_through_hole_has_no_limit(tool_end_mm: float | None, target_mm: float) -> None:
    plan = depth_plan(depth_mm=22, recess_mm=3, through=True, tool_end_mm=tool_end_mm)
    assert plan.limit_mm is None
    assert plan.target_mm == target_mm
    # 1 mm past where 0.25 + 2 x 0.10 of wear needs it, and a little for the ratio's own drift
    assert 0 < plan.stops_mm[0] - (3 + (target_mm - 3) / 0.55 + 1) < 0.4
    assert len(plan.stops_mm) == 1
    assert plan.touch_offs == 0


def test_a_short_target_far_above_the_bottom_sets_the_stop_by_what_it_needs() -> None:
    plan = depth_plan(depth_mm=60, recess_mm=3, through=False, tool_end_mm=10)
    assert plan.stops_mm[0] == pytest.approx(3 + 7 / 0.55, abs=0.05)


@given(PRIORS, RECESSES, BURNS, st.floats(min_value=0.05, max_value=1))
def test_the_first_stop_is_safe_and_no_deeper_than_needed(
    prior: WearPrior, recess_mm: float, room_mm: float, part: float
) -> None:
    target_mm = recess_mm + room_mm * part
    plan = depth_plan(
        depth_mm=recess_mm + room_mm + 0.5,
        recess_mm=recess_mm,
        through=False,
        tool_end_mm=target_mm,
        wear=prior,
    )
    assert plan.limit_mm is not None
    stop_mm, wear = plan.stops_mm[0], believed(prior)
    assert chance_deeper(stop_mm, plan.limit_mm, recess_mm, wear) <= 0.01 + 1e-6
    # The largest such stop: a little deeper is either unsafe or more than two sd of wear need.
    deeper_mm = stop_mm + 0.01 * room_mm
    unsafe = chance_deeper(deeper_mm, plan.limit_mm, recess_mm, wear) > 0.01
    needed = wear.travelled(deeper_mm - recess_mm).depth_mm(deeper_mm, -2.0) >= target_mm
    # No stop is set for an electrode that loses more than 0.95 of its travel.
    farthest_mm = recess_mm + (target_mm - recess_mm) / 0.05
    assert unsafe or needed or deeper_mm > farthest_mm


@given(PRIORS, RECESSES, BURNS, st.floats(min_value=0, max_value=1))
def test_a_stop_reaches_with_certainty_no_deeper_than_itself(
    prior: WearPrior, recess_mm: float, burn_mm: float, past_mm: float
) -> None:
    stop_mm = recess_mm + burn_mm
    assert chance_deeper(stop_mm, stop_mm + past_mm, recess_mm, believed(prior)) == 0


@given(PRIORS, RECESSES, BURNS)
def test_a_deeper_stop_never_carries_less_risk(
    prior: WearPrior, recess_mm: float, burn_mm: float
) -> None:
    limit_mm = recess_mm + burn_mm
    # Up to half again; beyond, the drift of the ratio alone spreads the depth both ways.
    stops = [recess_mm + burn_mm * part for part in (0, 0.5, 1, 1.1, 1.2, 1.3, 1.4, 1.5)]
    risks = [chance_deeper(stop, limit_mm, recess_mm, believed(prior)) for stop in stops]
    assert risks[0] == risks[2] == 0
    if prior.mean + prior.sd < 0.6:
        assert risks == sorted(risks)


@given(PRIORS, st.floats(min_value=0.01, max_value=0.3), RECESSES, BURNS)
def test_more_wear_never_makes_a_deeper_promise(
    prior: WearPrior, more: float, recess_mm: float, burn_mm: float
) -> None:
    """The depth that a stop is sure not to fall short of only shrinks as the electrode wears."""
    worse = prior.model_copy(update={"mean": min(prior.mean + more, 0.9)})
    limit_mm = recess_mm + burn_mm
    stop_mm = next_stop_mm(recess_mm, believed(prior), limit_mm, limit_mm)
    depths = [
        believed(one).travelled(stop_mm - recess_mm).depth_mm(stop_mm) for one in (prior, worse)
    ]
    assert depths[1] <= depths[0]
    # ... and the stop for the same limit only moves out, since less depth comes of the same travel.
    assert next_stop_mm(recess_mm, believed(worse), limit_mm, limit_mm) >= stop_mm - 1e-9


@example(prior=WearPrior(mean=0.15625, sd=0.25), recess_mm=0.0, room_mm=0.875, part=1.0)
@given(prior=PRIORS, recess_mm=RECESSES, room_mm=BURNS, part=st.floats(min_value=0.2, max_value=1))
def test_every_stop_of_the_ladder_is_safe_from_where_the_touch_off_left_it(
    prior: WearPrior, recess_mm: float, room_mm: float, part: float
) -> None:
    plan = depth_plan(
        depth_mm=recess_mm + room_mm + 0.5,
        recess_mm=recess_mm,
        through=False,
        tool_end_mm=recess_mm + room_mm * part,
        wear=prior,
    )
    assert plan.limit_mm is not None
    assert plan.touch_offs == len(plan.stops_mm)
    wear, at_mm = believed(prior), recess_mm
    for stop_mm in plan.stops_mm:
        assert chance_deeper(stop_mm, plan.limit_mm, at_mm, wear) <= 0.01 + 1e-6
        called_mm = at_mm
        while called_mm < stop_mm and (
            wear.travelled(called_mm - at_mm).depth_mm(called_mm, 1.96) < plan.target_mm
        ):
            called_mm += 0.01
        end_mm = min(called_mm, stop_mm)
        wear, at_mm = wear.travelled(end_mm - at_mm), end_mm
        wear = wear.measured(wear.wear_mm, 0.03)


def test_the_ladder_of_a_usual_hole_by_hand() -> None:
    plan = depth_plan(depth_mm=22, recess_mm=3, through=False)
    # Gaussian wear of 0.25 +- 0.10 over 18.8 mm: 3 + 18.8 - 4.7 deep, 2.326 sd of 1.9 mm = 21.5.
    assert plan.stops_mm[0] == pytest.approx(21.79, abs=0.01)
    # After one touch-off: 16.9 mm deep, wear known to 0.03 mm; 25 % of what is left is worn.
    assert plan.stops_mm[1] == pytest.approx(21.79 + (21.5 - 17.09) / 0.75 - 0.27, abs=0.05)
    assert plan.touch_offs == len(plan.stops_mm) == 3


def test_a_gauge_that_measures_badly_ends_the_ladder_where_it_gains_nothing() -> None:
    for touch_sd_mm in (0.1, 0.3, 0.5):
        noise = MeasurementNoise(touch_sd_mm=touch_sd_mm)
        plan = depth_plan(depth_mm=22, recess_mm=3, through=False, noise=noise)
        assert plan.touch_offs is None
        gains = [after - before for before, after in pairwise(plan.stops_mm)]
        assert min(gains) >= 0.05, "no stop that is not worth a burn"
        better = depth_plan(depth_mm=22, recess_mm=3, through=False)
        assert better.touch_offs == len(better.stops_mm)


@given(PRIORS, st.floats(min_value=0.06, max_value=0.999))
def test_a_quantile_of_the_wear_ratio_is_a_ratio_that_can_be(
    prior: WearPrior, chance: float
) -> None:
    assert 0 <= prior.quantile(chance) <= 0.95
    assert prior.quantile(0.5) == pytest.approx(prior.mean)


def test_after_a_touch_off_the_next_stop_starts_from_what_is_known() -> None:
    # 12 mm deep at 15 mm of travel. After 12.13 mm more: 9.0975 mm deeper, and the ratio's sd of
    # 0.01 with its drift of 0.005 a root mm make 2.326 x 0.172 = 0.400 of doubt.
    wear = Wear(3.0, 0.25, 0.0, 0.0, 0.01**2)
    stop_mm = next_stop_mm(15, wear, 21.5, 21.5)
    assert stop_mm == pytest.approx(27.13, abs=0.01)


def test_at_the_bottom_the_stop_stays_where_it_is() -> None:
    wear = Wear(6.4, 0.25, 0.0, 0.0, 0.01)
    assert next_stop_mm(28, wear, 21.5, 21.5) == 28
    assert chance_deeper(28, 21.5, 28, wear) == 1.0


@pytest.mark.parametrize(
    ("given_depths", "field"),
    [
        ({"depth_mm": 0, "recess_mm": 0}, "depth_mm"),
        ({"depth_mm": -5, "recess_mm": 0}, "depth_mm"),
        ({"depth_mm": 22, "recess_mm": -1}, "recess_mm"),
        ({"depth_mm": 22, "recess_mm": 22}, "recess_mm"),
        ({"depth_mm": 22, "recess_mm": 30}, "recess_mm"),
        ({"depth_mm": 22, "recess_mm": 21.6}, "recess_mm"),
        ({"depth_mm": 22, "recess_mm": 3, "sister_depth_mm": 0}, "sister_depth_mm"),
        ({"depth_mm": 22, "recess_mm": 3, "sister_depth_mm": 3.2}, "recess_mm"),
        ({"depth_mm": 22, "recess_mm": 3, "tool_end_mm": 23}, "tool_end_mm"),
        ({"depth_mm": 22, "recess_mm": 3, "tool_end_mm": 0}, "tool_end_mm"),
        ({"depth_mm": 22, "recess_mm": 3, "tool_end_mm": 2}, "tool_end_mm"),
    ],
)
def test_depths_that_contradict_each_other_are_refused_beside_their_field(
    given_depths: dict[str, Any], field: str
) -> None:
    with pytest.raises(DepthError, match=r"^[^\n]+ mm = [^\n]+\.$") as refusal:
        depth_plan(through=False, **given_depths)
    assert refusal.value.field == field
