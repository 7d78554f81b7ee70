"""One burn held against all the others: by arithmetic, and by learning anew without it."""

from __future__ import annotations

from math import sqrt
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cockpit.trade.learning import Assumed, Learnt, Like, grouped

ASSUMED = Assumed(0.25, 0.10)

likes = st.builds(
    Like,
    st.sampled_from((3.0, 4.0, 5.5)),
    st.sampled_from(("tap", "drill")),
    st.sampled_from(("cast iron", "steel", "")),
)
burns = st.lists(
    st.tuples(likes, st.floats(0.0, 0.9), st.floats(0.05, 1.0)), min_size=1, max_size=12
)


@given(burns)
def test_without_one_burn_is_what_the_others_alone_say(
    taught: list[tuple[Like, float, float]],
) -> None:
    (like, value, weight), *others = taught
    found = Learnt(ASSUMED, grouped(taught)).without(like, value, weight)
    alone = Learnt(ASSUMED, grouped(others))
    wanted = alone.belief(like)
    assert found.location == pytest.approx(wanted.location, abs=1e-9)
    assert (found.dof, found.burns, found.alike) == (wanted.dof, wanted.burns, wanted.alike)
    # That it was measured badly is added to what the others say.
    noise = alone._scale**2 * (1 / weight - 1)
    is_unlike = Learnt(ASSUMED, grouped(taught)).is_unlike(like, value, weight)
    assert is_unlike == found.is_unlike_held(value)
    assert found.scale == pytest.approx(sqrt(wanted.scale**2 + noise), rel=1e-6)


def test_one_burn_that_is_far_off_is_unlike_even_among_few() -> None:
    like, chance = Like(4.0, "tap", "cast iron"), Random(3)
    taught = [(like, chance.gauss(0.22, 0.02), 1.0) for _ in range(12)]
    odd = (like, 0.85, 1.0)
    learnt = Learnt(ASSUMED, grouped([*taught, odd]))
    assert learnt.is_unlike(*odd)
    assert learnt.without(*odd).is_unlike(odd[1])
    assert not any(learnt.is_unlike(*one) for one in taught)
    assert not any(learnt.without(*one).is_unlike(one[1]) for one in taught)
    # It has widened the belief that holds it, which is why it is judged by the others.
    assert learnt.without(*odd).scale < learnt.belief(like).scale / 2
