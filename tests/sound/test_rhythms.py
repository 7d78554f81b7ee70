from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cockpit.burn.calls import CallKind
from cockpit.sound.rhythms import (
    BEAT_S,
    DEFAULTS,
    MOST_BEATS,
    STOCK,
    RhythmError,
    all_apart,
    bells_s,
    read_rhythm,
)


def test_every_call_has_a_rhythm_of_its_own_that_begins_at_once() -> None:
    assert set(DEFAULTS) == set(CallKind)
    times = [bells_s(rhythm) for rhythm in DEFAULTS.values()]
    assert len(set(times)) == len(CallKind)
    assert all(one[0] == 0.0 for one in times)


def test_what_one_can_choose_from_can_be_played_and_holds_more_than_there_are_calls() -> None:
    assert [read_rhythm(one) for one in STOCK] == list(STOCK)
    assert len(set(STOCK)) == len(STOCK) > len(CallKind)


@pytest.mark.parametrize("text", ["", " ", "-", "-x", "x-", "x x", "xo", "x\n-x", "x" * 17, "✗"])
def test_what_is_no_rhythm_is_one_sentence(text: str) -> None:
    with pytest.raises(RhythmError) as refused:
        read_rhythm(text)
    assert "rhythm" in str(refused.value) or f"{MOST_BEATS} beats" in str(refused.value)


@given(st.text("x-", max_size=20))
def test_a_rhythm_sounds_once_for_every_x_a_beat_or_more_apart(text: str) -> None:
    try:
        rhythm = read_rhythm(text)
    except RhythmError:
        assert not text or text[0] != "x" or text[-1] != "x" or len(text) > MOST_BEATS
        return
    times = bells_s(rhythm)
    assert len(times) == text.count("x")
    assert all(b - a >= BEAT_S * 0.999 for a, b in pairwise(times))


@given(st.dictionaries(st.sampled_from(CallKind), st.sampled_from(STOCK)))
def test_all_rhythms_are_apart_whichever_are_given(bells: dict[CallKind, str]) -> None:
    if len(set(bells.values())) < len(bells):
        with pytest.raises(RhythmError, match="would sound alike"):
            all_apart(bells)
        return
    whole = all_apart(bells)
    assert list(whole) == list(CallKind)
    assert len(set(whole.values())) == len(CallKind)
    assert whole.items() >= bells.items()
