"""Target, bottom limit and stop."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cockpit.trade.depth import DepthError, WearPrior, chance_deeper, depth_plan, next_stop_mm

PRIORS = st.builds(
    WearPrior,
    mean=st.floats(min_value=0, max_value=0.6),
    sd=st.floats(min_value=0.005, max_value=0.3),
)
RECESSES = st.floats(min_value=0, max_value=40)
BURNS = st.floats(min_value=0.6, max_value=100)


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


@pytest.mark.parametrize(("tool_end_mm", "target_mm"), [(None, 22), (18, 18), (24, 24)])
def test_a_through_hole_has_no_limit(tool_end_mm: float | None, target_mm: float) -> None:
    plan = depth_plan(depth_mm=22, recess_mm=3, through=True, tool_end_mm=tool_end_mm)
    assert plan.limit_mm is None
    assert plan.target_mm == target_mm
    # upper wear 0.25 + 2 x 0.10, and 1 mm to break clear
    assert plan.stops_mm[0] == pytest.approx(3 + (target_mm - 3) / 0.55 + 1)


def test_a_short_target_far_above_the_bottom_sets_the_stop_by_what_it_needs() -> None:
    plan = depth_plan(depth_mm=60, recess_mm=3, through=False, tool_end_mm=10)
    assert plan.stops_mm[0] == pytest.approx(3 + 7 / 0.55)


@given(PRIORS, RECESSES, BURNS, st.floats(min_value=0.05, max_value=1))
def test_the_first_stop_is_safe_and_no_deeper_than_needed(
    wear: WearPrior, recess_mm: float, room_mm: float, part: float
) -> None:
    bottom_mm = recess_mm + room_mm + 0.5
    plan = depth_plan(
        depth_mm=bottom_mm,
        recess_mm=recess_mm,
        through=False,
        tool_end_mm=recess_mm + room_mm * part,
        wear=wear,
    )
    assert plan.limit_mm is not None
    stop_mm, needed_mm = plan.stops_mm[0], recess_mm + plan.burn_mm / (1 - wear.upper)
    chance = chance_deeper(stop_mm, plan.limit_mm, recess_mm, recess_mm, wear)
    assert chance <= 0.01 + 1e-9
    assert stop_mm <= needed_mm + 1e-9
    # The largest such stop: a little deeper is either unsafe or more than is needed.
    deeper_mm = stop_mm + 0.01 * room_mm
    unsafe = chance_deeper(deeper_mm, plan.limit_mm, recess_mm, recess_mm, wear) > 0.01
    assert unsafe or deeper_mm > needed_mm


@given(PRIORS, RECESSES, BURNS, st.floats(min_value=0, max_value=1))
def test_a_stop_reaches_with_certainty_no_deeper_than_itself(
    wear: WearPrior, recess_mm: float, burn_mm: float, past_mm: float
) -> None:
    stop_mm = recess_mm + burn_mm
    assert chance_deeper(stop_mm, stop_mm + past_mm, recess_mm, recess_mm, wear) == 0


@given(PRIORS, RECESSES, BURNS)
def test_a_deeper_stop_never_carries_less_risk(
    wear: WearPrior, recess_mm: float, burn_mm: float
) -> None:
    limit_mm = recess_mm + burn_mm
    stops = [recess_mm + burn_mm * part for part in (0, 0.5, 1, 1.1, 1.5, 2, 4, 40)]
    risks = [chance_deeper(stop, limit_mm, recess_mm, recess_mm, wear) for stop in stops]
    assert risks == sorted(risks)
    assert risks[0] == risks[2] == 0


@given(PRIORS, st.floats(min_value=0.001, max_value=0.999))
def test_quantile_and_chance_undo_each_other(wear: WearPrior, chance: float) -> None:
    ratio = wear.quantile(chance)
    assert 0 <= ratio <= 0.95
    assert wear.chance_below(ratio) == pytest.approx(chance, abs=1e-9)


def test_after_a_touch_off_the_next_stop_starts_from_what_is_known() -> None:
    sharp = WearPrior(mean=0.25, sd=0.01, source="touched off")
    # 12 mm deep at 15 mm of travel; the least wear to reckon with is 0.25 - 2.326 x 0.01
    stop_mm = next_stop_mm(15, 12, 21.5, 21.5, sharp)
    assert stop_mm == pytest.approx(15 + 9.5 / (1 - 0.22674), abs=0.001)


def test_at_the_bottom_the_stop_stays_where_it_is() -> None:
    assert next_stop_mm(28, 21.6, 21.5, 21.5, WearPrior()) == 28
    assert chance_deeper(28, 21.5, 28, 21.6, WearPrior()) == 1.0


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
        ({"depth_mm": 22, "recess_mm": 3, "tool_end_mm": 2}, "recess_mm"),
    ],
)
def test_depths_that_contradict_each_other_are_refused_beside_their_field(
    given_depths: dict[str, Any], field: str
) -> None:
    with pytest.raises(DepthError, match=r"^[^\n]+ mm = [^\n]+\.$") as refusal:
        depth_plan(through=False, **given_depths)
    assert refusal.value.field == field
