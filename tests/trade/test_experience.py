"""What a shop has learnt: nothing at first, then more with every burn, and never nonsense."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from math import exp, log

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cockpit.trade.current import AMPS_PER_MM_HIGH, AMPS_PER_MM_LOW
from cockpit.trade.errors import TradeError
from cockpit.trade.experience import (
    Experience,
    kind_named,
    learnt_from,
    log_rate,
    variance_of_a_burn,
    weight_beside,
)
from cockpit.trade.figures import Override
from cockpit.trade.learning import Learnt, Lesson, Like, Sums, grouped
from cockpit.trade.plan import make_plan
from cockpit.trade.remnants import Kind
from cockpit.trade.ticket import Shop, Ticket
from cockpit.trade.timing import assumed_removal
from cockpit.trade.wear import WearPrior

TAP = Like(5.556, "tap", "cast iron")
TICKET = Ticket.model_validate(
    {
        "hole": "1",
        "thread": "M10x1.5",
        "broken": "tap",
        "flutes": 3,
        "depth_mm": 22,
        "recess_mm": 3,
        "material": "cast iron",
    }
)


def taught(lesson: Lesson, *burns: tuple[Like, float]) -> Experience:
    return Experience(taught={lesson: grouped((like, value, 1.0) for like, value in burns)})


def test_a_cold_start_is_the_assumed_priors() -> None:
    cold = Experience(WearPrior(mean=0.3, sd=0.08), gap_mm=0.2)
    rate = cold.belief(Lesson.RATE, TAP)
    assumed = assumed_removal()
    assert rate.median == pytest.approx(assumed.median)
    assert rate.quantile(0.05) == pytest.approx(assumed.low)
    assert rate.quantile(0.95) == pytest.approx(assumed.high)
    wear = cold.belief(Lesson.WEAR, TAP)
    assert wear.median == 0.3
    assert wear.sd_at(0.99) == pytest.approx(0.08)
    assert cold.belief(Lesson.GAP, TAP).median == 0.2
    current = cold.belief(Lesson.CURRENT, TAP)
    assert current.quantile(0.05) == pytest.approx(AMPS_PER_MM_LOW)
    assert current.quantile(0.95) == pytest.approx(AMPS_PER_MM_HIGH)
    # ... for a kind and a size that nobody knows as for any.
    assert cold.belief(Lesson.RATE, Like()) == rate


def test_a_plan_without_a_log_is_what_it_always_was(shop: Shop) -> None:
    plan = make_plan(TICKET, shop)
    assert (plan.time.burns_known, plan.wear and plan.wear.burns_known) == (0, 0)
    assert plan.wear is not None
    assert plan.wear.prior.mean == shop.wear.mean
    assert plan.electrode.gap_mm == shop.gap_mm


def test_burns_like_this_one_count_for_more_than_others() -> None:
    fast, slow = log(0.6), log(0.15)
    known = taught(
        Lesson.RATE,
        *[(TAP, fast)] * 6,
        *[(Like(5.556, "drill", "alloy steel"), slow)] * 6,
    )
    like_it, other = known.belief(Lesson.RATE, TAP), known.belief(Lesson.RATE, Like(5.556, "pin"))
    assert 0.45 < like_it.median < 0.6
    assert 0.15 < other.median < 0.45
    assert like_it.scale < other.scale
    assert (like_it.burns, like_it.alike) == (12, 6)
    assert (other.burns, other.alike) == (12, 0)


def test_what_is_learnt_of_an_electrode_moves_its_own_plan(shop: Shop) -> None:
    cold = make_plan(TICKET, shop)
    size_mm = cold.electrode.diameter_mm
    burns = [
        (Like(round(size_mm, 3), "tap", "cast iron"), 0.35 + 0.01 * n, 1.0) for n in (-1, 0, 1, 0)
    ]
    known = replace(shop.experience, taught={Lesson.WEAR: grouped(burns)})
    plan = make_plan(TICKET, replace(shop, experience=known))
    assert plan.electrode.label == cold.electrode.label
    assert plan.wear is not None
    assert 0.28 < plan.wear.ratio < 0.35
    assert plan.wear.ratio_sd < 0.10
    assert plan.sources["wear.ratio"].endswith("learnt from 4 burns, 4 of them alike")
    # More wear than was thought: the stop that can't pass the limit goes deeper.
    assert plan.depth.stops_mm[0] > cold.depth.stops_mm[0]
    of_another = make_plan(
        TICKET.model_copy(update={"material": "aluminium", "broken": Kind.SCREW}),
        replace(shop, experience=known),
    )
    assert of_another.wear is not None
    assert of_another.wear.ratio_sd > plan.wear.ratio_sd


def test_hard_metal_is_a_kind_of_its_own_and_half_as_fast() -> None:
    assert kind_named("tap", hard_metal=False) == "tap"
    plain, hard = (log_rate(100.0, 150.0, 300.0, hard_metal=one) for one in (False, True))
    assert exp(hard - plain) == pytest.approx(2.0)
    known = taught(Lesson.RATE, *[(TAP, log(0.3))] * 5)
    usual, harder = known.removal(TAP, hard_metal=False), known.removal(TAP, hard_metal=True)
    assert harder.median == pytest.approx(usual.median / 2)


def test_one_burn_unlike_the_others_is_pointed_out_and_makes_the_next_less_sure() -> None:
    burns = [(TAP, 0.25 + 0.01 * (n % 3)) for n in range(12)]
    calm = taught(Lesson.WEAR, *burns)
    assert calm.belief(Lesson.WEAR, TAP).is_unlike(0.7)
    assert not calm.belief(Lesson.WEAR, TAP).is_unlike(0.28)
    upset = taught(Lesson.WEAR, *burns, (TAP, 0.7))
    before, after = calm.wear_for(TAP), upset.wear_for(TAP)
    assert after.sd > before.sd
    # The stop goes by the least wear that may be: one wild figure never sets it deeper.
    assert after.quantile(0.01) < before.quantile(0.01)


LEVELS = st.builds(
    Like,
    st.sampled_from([3.0, 4.0, 5.556]),
    st.sampled_from(["tap", "drill"]),
    st.sampled_from(["cast iron", "aluminium", "cast iron + zinc plated"]),
)


@given(
    st.lists(st.tuples(LEVELS, st.floats(0.0, 0.95)), min_size=1, max_size=60),
    st.sampled_from([WearPrior(), WearPrior(mean=0.0, sd=0.5), WearPrior(mean=0.9, sd=0.01)]),
)
def test_any_burns_give_a_wear_that_a_plan_can_use(
    burns: list[tuple[Like, float]], prior: WearPrior
) -> None:
    known = Experience(
        prior, taught={Lesson.WEAR: grouped((like, value, 1.0) for like, value in burns)}
    )
    for like in (burns[0][0], Like(), Like(99.0, "insert", "titanium")):
        wear = known.wear_for(like)
        assert 0 <= wear.mean <= 0.9
        assert 0.02 <= wear.sd <= 0.5


@given(st.lists(st.tuples(LEVELS, st.floats(-3, 1)), min_size=1, max_size=30))
def test_the_order_of_the_burns_makes_no_difference(burns: list[tuple[Like, float]]) -> None:
    one = taught(Lesson.RATE, *burns).belief(Lesson.RATE, TAP)
    other = taught(Lesson.RATE, *burns[::-1]).belief(Lesson.RATE, TAP)
    assert one.location == pytest.approx(other.location, abs=1e-9)
    assert one.scale == pytest.approx(other.scale, rel=1e-6)


@given(st.lists(st.floats(-1e3, 1e3), min_size=2, max_size=50), st.floats(-1e3, 1e3))
def test_sums_are_the_mean_and_the_squares_about_it(values: list[float], off: float) -> None:
    sums = Sums()
    for value in values:
        sums = sums.with_one(value + off)
    mean = sum(value + off for value in values) / len(values)
    assert sums.mean == pytest.approx(mean, abs=1e-9)
    squares = sum((value + off - mean) ** 2 for value in values)
    assert sums.squares == pytest.approx(squares, rel=1e-6, abs=1e-6)
    assert sums.burns == len(values)


def test_a_figure_that_was_measured_badly_counts_for_less() -> None:
    assumed = Experience().assumed[Lesson.GAP]
    variance = variance_of_a_burn(assumed)
    assert weight_beside(variance, 0.0) == 1.0
    assert 0.0 < weight_beside(variance, 0.1) < weight_beside(variance, 0.01) < 1.0
    sure = Learnt(assumed, grouped([(TAP, 0.3, 1.0)])).belief(TAP)
    unsure = Learnt(assumed, grouped([(TAP, 0.3, 0.1)])).belief(TAP)
    assert assumed.mean < unsure.median < sure.median < 0.3


def test_it_is_said_what_a_figure_rests_on() -> None:
    known = taught(Lesson.WEAR, (TAP, 0.25), (TAP, 0.26), (Like(4.0, "tap", "cast iron"), 0.2))
    said = learnt_from(known.belief(Lesson.WEAR, TAP))
    assert said == "learnt from 3 burns, 2 of them alike"
    assert learnt_from(known.belief(Lesson.WEAR, Like(1.0))).endswith("none of them alike")


@pytest.mark.parametrize("thread", ["M5", "M6", "M8"])
def test_no_electrode_is_burnt_with_by_the_wear_of_another(shop: Shop, thread: str) -> None:
    """However the gaps that were learnt turn the choice, the stop goes by what was chosen."""
    sizes = {one.label: round(one.diameter_mm, 3) for one in shop.stock}
    assumed = shop.experience.assumed
    planned = 0
    for web_mm in (None, 2.4, 2.8, 3.2):
        ticket = TICKET.model_copy(update={"thread": thread, "web_mm": web_mm})
        try:
            first = make_plan(ticket, shop).electrode.label
        except TradeError:
            continue
        labels = list(sizes)
        near = labels[max(0, labels.index(first) - 1) : labels.index(first) + 2]
        for gaps_mm in product((0.05, 0.15, 0.35), repeat=len(near)):
            wears: list[tuple[Like, float, float]] = []
            gaps: list[tuple[Like, float, float]] = []
            for label, gap_mm, ratio in zip(near, gaps_mm, (0.4, 0.25, 0.1), strict=False):
                like = Like(sizes[label], "tap", "cast iron")
                wears += [(like, ratio, 1.0)] * 6
                gaps += [
                    (like, gap_mm, weight_beside(variance_of_a_burn(assumed[Lesson.GAP]), 0.03))
                ] * 6
            taught = {Lesson.WEAR: grouped(wears), Lesson.GAP: grouped(gaps)}
            known = replace(shop.experience, taught=taught)
            try:
                plan = make_plan(ticket, replace(shop, experience=known))
            except TradeError:
                continue
            own = known.wear_for(ticket.like._replace(electrode_mm=plan.electrode.diameter_mm))
            assert plan.wear is not None
            assert plan.wear.ratio == pytest.approx(own.mean, abs=1e-12)
            assert plan.wear.ratio_sd == pytest.approx(own.sd, abs=1e-12)
            assert plan.fits or any("fit" in one or "near" in one for one in plan.warnings)
            planned += 1
    assert planned > 20


def test_an_electrode_that_a_person_named_says_what_it_stands_instead_of(shop: Shop) -> None:
    burns = [(Like(4.763, "tap", "cast iron"), 0.2, 1.0)] * 4
    known = replace(shop.experience, taught={Lesson.WEAR: grouped(burns)})
    override = Override(
        figure="electrode.label", value="3/16 in", who="MT", at_utc="2026-11-02T08:15", why="only"
    )
    plan = make_plan(TICKET, replace(shop, experience=known), [override])
    assert plan.electrode.label == "3/16 in"
    assert plan.overrides[0].instead_of == "7/32 in"
    assert plan.wear is not None
    assert plan.wear.ratio < 0.25


def test_a_gap_that_no_arc_leaves_refuses_no_plan(shop: Shop) -> None:
    burns = [(Like(5.556, "tap", "cast iron"), 0.0, 1.0)] * 40
    known = replace(shop.experience, taught={Lesson.GAP: grouped(burns)})
    plan = make_plan(TICKET, replace(shop, experience=known))
    assert plan.electrode.gap_mm >= 0.02
