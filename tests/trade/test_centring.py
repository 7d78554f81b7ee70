"""The pilot spot: go on, move, or stop."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cockpit.trade.centring import judge_centre
from cockpit.trade.electrodes import Window

ROOM = Window(
    hole_mm=4.27,
    required_clearance_mm=0.48,
    thread_clearance_mm=1.07,
    thread_clearance_surface_mm=1.07,
    web_margin_mm=0.55,
    web_margin_surface_mm=0.55,
)
TOO_BIG = Window(
    hole_mm=5.9,
    required_clearance_mm=0.48,
    thread_clearance_mm=0.25,
    thread_clearance_surface_mm=0.25,
    web_margin_mm=None,
    web_margin_surface_mm=None,
)
TAPERED = Window(
    hole_mm=5.0,
    required_clearance_mm=0.5,
    thread_clearance_mm=0.9,
    thread_clearance_surface_mm=1.5,
    web_margin_mm=0.7,
    web_margin_surface_mm=0.8,
)
OFFSETS = st.floats(min_value=-3, max_value=3)


def test_within_the_allowed_offset_it_goes_on() -> None:
    verdict = judge_centre(ROOM, 0.3, 0.4)
    assert verdict.verdict == "go on"
    assert verdict.offset_mm == pytest.approx(0.5)
    assert verdict.thread_clearance_mm == pytest.approx(0.57)
    assert verdict.web_margin_mm == pytest.approx(0.05)
    assert (verdict.move_across_mm, verdict.move_along_mm) == (0, 0)
    assert "0.57 mm" in verdict.text


@pytest.mark.parametrize(
    ("across_mm", "along_mm", "ways"),
    [
        (0.6, 0.0, ["0.60 mm = 0.0236 in to the left"]),
        (-0.6, 0.0, ["to the right"]),
        (0.0, 0.7, ["0.70 mm = 0.0276 in towards you"]),
        (0.0, -0.7, ["away from you"]),
        (-0.5, 0.6, ["to the right", "towards you"]),
    ],
)
def test_a_spot_that_is_off_is_moved_back_the_other_way(
    across_mm: float, along_mm: float, ways: list[str]
) -> None:
    verdict = judge_centre(ROOM, across_mm, along_mm)
    assert verdict.verdict == "move"
    assert (verdict.move_across_mm, verdict.move_along_mm) == (-across_mm, -along_mm)
    assert all(way in verdict.text for way in ways)
    assert verdict.text.count(" mm") == len(ways)


def test_a_burn_that_would_reach_the_thread_stops() -> None:
    verdict = judge_centre(ROOM, 1.2, 0)
    assert verdict.verdict == "stop"
    assert "0.13 mm" in verdict.text
    assert "into the thread" in verdict.text


def test_what_is_left_is_said_for_the_surface_and_for_the_deep_end() -> None:
    verdict = judge_centre(TAPERED, 0.3, 0.0)
    # the deep end decides: 0.9 - 0.5 = 0.4 of room, where the surface would have 0.8
    assert verdict.verdict == "go on"
    assert verdict.thread_clearance_mm == pytest.approx(0.6)
    assert verdict.thread_clearance_surface_mm == pytest.approx(1.2)
    assert verdict.web_margin_mm == pytest.approx(0.4)
    assert verdict.web_margin_surface_mm == pytest.approx(0.5)
    assert judge_centre(TAPERED, 0.5, 0.0).verdict == "move"
    assert judge_centre(TAPERED, 1.0, 0.0).verdict == "stop"


def test_what_a_plain_bore_is_left_is_left_to_its_bore() -> None:
    texts = [judge_centre(ROOM, mm, 0.0, wall="bore").text for mm in (0.3, 0.6, 1.2)]
    assert "left to the bore" in texts[0]
    assert "cut 0.13 mm = 0.0051 in into the bore" in texts[2]
    assert not any("thread" in text for text in texts)


def test_an_allowed_offset_that_a_person_set_is_the_one_that_holds() -> None:
    assert judge_centre(ROOM, 0.3, 0.0, allowed_mm=0.2).verdict == "move"
    assert judge_centre(ROOM, 0.3, 0.0, allowed_mm=0.4).verdict == "go on"


def test_a_centred_spot_of_a_too_big_electrode_goes_on_but_no_other() -> None:
    assert judge_centre(TOO_BIG, 0, 0).verdict == "go on"
    assert judge_centre(TOO_BIG, 0.1, 0).verdict == "move"
    assert judge_centre(TOO_BIG, 0.3, 0).verdict == "stop"


@given(OFFSETS, OFFSETS)
def test_a_spot_that_goes_on_keeps_every_clearance(across_mm: float, along_mm: float) -> None:
    verdict = judge_centre(ROOM, across_mm, along_mm)
    safe = (
        verdict.thread_clearance_mm >= ROOM.required_clearance_mm - 1e-9
        and verdict.web_margin_mm is not None
        and verdict.web_margin_mm >= -1e-9
    )
    if verdict.verdict == "go on":
        assert safe
    elif verdict.verdict == "move":
        again = judge_centre(
            ROOM, across_mm + verdict.move_across_mm, along_mm + verdict.move_along_mm
        )
        assert again.verdict == "go on"
    else:
        assert verdict.thread_clearance_mm < 0
