"""What the cockpit sees of a check, and what it doubts."""

from __future__ import annotations

import pytest

from cockpit.flow.seen import MOVED_MM, ZERO_WITHIN_MM, Watch


def watch(live: str, *readings: tuple[float, float], streams: bool = True) -> Watch:
    assert live in ("gauge", "zero")
    watching = Watch("zero" if live == "zero" else "gauge", streams=streams)
    for t_s, travel_mm in readings:
        watching.saw(t_s, travel_mm)
    return watching


@pytest.mark.parametrize("live", ["gauge", "zero"])
def test_a_gauge_that_was_never_heard_is_doubted(live: str) -> None:
    doubt = watch(live).doubt(0.0, is_still=True)
    assert doubt is not None
    assert "Nothing is heard" in doubt.sentence


@pytest.mark.parametrize("live", ["gauge", "zero"])
def test_a_gauge_that_was_heard_a_while_ago_is_silent(live: str) -> None:
    watching = watch(live, (0.0, 9.0), (0.2, 0.0), (0.4, 0.0))
    assert watching.confirms(1.0, is_still=True)
    assert not watching.confirms(5.0, is_still=True)
    assert watching.said(5.0) == "the gauge was silent"


@pytest.mark.parametrize("live", ["gauge", "zero"])
def test_what_is_typed_is_not_watched(live: str) -> None:
    typed = watch(live, (0.0, 7.0), streams=False)
    assert not typed.watches
    assert typed.doubt(0.0, is_still=False) is None
    assert not typed.confirms(0.0, is_still=True)


def test_a_check_that_is_about_no_gauge_is_not_watched() -> None:
    assert not Watch(None, streams=True).watches


@pytest.mark.parametrize("sign", [1, -1])
def test_zero_is_within_a_little(sign: int) -> None:
    on_it = [(0.0, 5.0), *((n / 5, sign * ZERO_WITHIN_MM) for n in (1, 2))]
    assert watch("zero", *on_it).confirms(0.5, is_still=True)
    off = watch("zero", (0.0, sign * (ZERO_WITHIN_MM + 0.01)))
    doubt = off.doubt(0.1, is_still=True)
    assert doubt is not None
    assert doubt.waits_for == "once it shows zero"
    assert off.said(0.1) == f"the gauge showed {sign * 0.06:.2f} mm"


def test_a_zero_that_stood_all_the_while_is_for_a_person_to_confirm() -> None:
    stands = watch("zero", *((n / 5, 0.0) for n in range(50)))
    assert not stands.confirms(9.9, is_still=True)
    assert stands.doubt(9.9, is_still=True) is None, "nothing is against it either"
    for t_s, travel_mm in ((10.0, -1.0), (10.2, -1.0), (10.4, 0.0)):
        stands.saw(t_s, travel_mm)
    assert stands.confirms(10.5, is_still=True), "lifted, and put back"


def test_a_head_that_passes_zero_is_not_zeroed() -> None:
    doubt = watch("zero", (0.0, 0.0)).doubt(0.1, is_still=False)
    assert doubt is not None
    assert doubt.waits_for == "once it is still"


def test_noise_is_no_move_however_long_it_lasts() -> None:
    noise = [(n / 5, 3.0 + (-1) ** n * MOVED_MM / 2) for n in range(500)]
    assert not watch("gauge", *noise).confirms(100.0, is_still=False)


def test_a_single_spike_is_no_move() -> None:
    readings = [(0.0, 3.0), (0.2, 9.0), (0.4, 3.0), (0.6, 9.0), (0.8, 3.0)]
    assert not watch("gauge", *readings).confirms(0.9, is_still=True)


@pytest.mark.parametrize("way", [1, -1])
def test_a_head_that_was_lifted_and_put_back_has_moved(way: int) -> None:
    lifted = 3.0 + way * 2 * MOVED_MM
    readings = [(0.0, 3.0), (0.2, lifted), (0.4, lifted), (0.6, 3.0)]
    assert watch("gauge", *readings).confirms(0.7, is_still=True)
