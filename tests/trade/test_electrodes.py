"""The two-sided window, the choice from the rack, and the reach."""

import re
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from cockpit.trade.electrodes import (
    Electrode,
    ElectrodeError,
    Rack,
    bounds_of,
    choose_electrode,
    electrodes_needed,
    judge_electrode,
    reach_mm,
    required_clearance_mm,
    window,
)
from cockpit.trade.remnants import FluteForm, Kind, remnant_in
from cockpit.trade.threads import Thread, read_thread, standard_threads


def stick(diameter_mm: float, on_hand: int = 1, length_mm: float = 200.0) -> Electrode:
    return Electrode(
        label=f"{diameter_mm:g} mm",
        diameter_mm=diameter_mm,
        bore_mm=diameter_mm / 3,
        length_mm=length_mm,
        material="copper",
        on_hand=on_hand,
    )


STOCKS = st.lists(st.floats(min_value=0.3, max_value=40).map(stick), min_size=1, max_size=8)


@given(
    st.sampled_from(standard_threads()),
    st.sampled_from(Kind),
    st.sampled_from([None, 2, 3, 4, 6]),
    st.sampled_from(FluteForm),
    STOCKS,
    st.floats(min_value=0, max_value=0.4),
    st.floats(min_value=0, max_value=1),
)
def test_within_the_allowed_offset_thread_and_web_are_always_safe(
    thread: Thread,
    kind: Kind,
    flutes: int | None,
    form: FluteForm,
    stock: list[Electrode],
    gap_mm: float,
    part_of_allowed: float,
) -> None:
    remnant = remnant_in(thread, kind, flutes=flutes, form=form)
    choice = choose_electrode(stock, bounds_of(thread, remnant, gap_mm=gap_mm))
    if not choice.fits:
        assert choice.window.allowed_offset_mm <= 0
        assert "no electrode on hand fits" in choice.why
        return
    offset_mm = part_of_allowed * choice.window.allowed_offset_mm
    burnt_radius_mm = choice.electrode.diameter_mm / 2 + gap_mm
    least_mm = max(0.25, 0.06 * thread.nominal_mm)
    assert thread.minor_min_mm / 2 - burnt_radius_mm - offset_mm >= least_mm - 1e-9
    if remnant.web_mm is not None:
        assert burnt_radius_mm - remnant.web_mm / 2 - offset_mm >= -1e-9


@given(st.sampled_from(standard_threads()), st.sampled_from(Kind), STOCKS)
def test_nothing_better_is_left_in_the_rack(
    thread: Thread, kind: Kind, stock: list[Electrode]
) -> None:
    remnant = remnant_in(thread, kind)
    bounds = bounds_of(thread, remnant, centring_mm=0.1)
    choice = choose_electrode(stock, bounds)
    rooms = {e.diameter_mm: window(e.diameter_mm, bounds).allowed_offset_mm for e in stock}
    if choice.fits and remnant.web_mm is None:
        # The largest that can be centred well enough; where none can, the one with most room.
        roomy = [d for d, room in rooms.items() if room >= 0.1]
        best_mm = max(roomy) if roomy else min(d for d, room in rooms.items() if room > 0)
        assert choice.electrode.diameter_mm == best_mm
    else:
        assert choice.window.allowed_offset_mm == max(rooms.values())


def test_the_sides_of_the_window_by_hand() -> None:
    thread = read_thread("M10x1.5")
    room = window(5.0, bounds_of(thread, remnant_in(thread, Kind.TAP, flutes=3), gap_mm=0.15))
    # hole 5.3; (8.3762 - 5.3)/2 = 1.5381, less 0.6 = 0.9381; web 4: (5.3 - 4)/2 = 0.65
    assert room.hole_mm == pytest.approx(5.3)
    assert room.thread_clearance_mm == pytest.approx(1.5381, abs=1e-4)
    assert room.required_clearance_mm == pytest.approx(0.6)
    assert room.web_margin_mm == pytest.approx(0.65)
    assert room.allowed_offset_mm == pytest.approx(0.65)


M10 = read_thread("M10x1.5")


def test_a_head_out_of_square_takes_room_at_the_deep_end_alone() -> None:
    tap = remnant_in(M10, Kind.TAP, flutes=3)
    room = window(5.0, bounds_of(M10, tap, deepest_mm=20, out_of_square=0.01))
    # 20 mm x 0.01 = 0.2 mm aside at the bottom; the web side (0.65) is the nearer
    assert room.allowed_surface_mm == pytest.approx(0.65)
    assert room.allowed_below_mm == room.allowed_offset_mm == pytest.approx(0.45)
    assert room.thread_clearance_mm == pytest.approx(room.thread_clearance_surface_mm - 0.2)


def test_a_taper_thread_is_judged_where_it_is_narrowest() -> None:
    taper = M10.model_copy(update={"taper": 1 / 16})
    room = window(5.0, bounds_of(taper, remnant_in(M10, Kind.SCREW), deepest_mm=16))
    # 16 mm down the wall is 1 mm less across: 0.5 mm on each side
    assert room.thread_clearance_surface_mm == pytest.approx(1.5381, abs=1e-4)
    assert room.allowed_offset_mm == pytest.approx(0.9381 - 0.5, abs=1e-4)


def test_the_neighbours_say_why_they_lose() -> None:
    bounds = bounds_of(M10, remnant_in(M10, Kind.TAP, flutes=3))
    stock = [stick(d) for d in (3.0, 4.5, 5.2, 6.0, 7.5, 8.0)]
    choice = choose_electrode(stock, bounds)
    assert choice.electrode.diameter_mm == 5.2
    smaller, larger = choice.neighbours
    assert (smaller.label, larger.label) == ("4.5 mm", "6 mm")
    # 4.5: web side (4.8 - 4)/2 = 0.4; 6: thread side (8.3762 - 6.3)/2 - 0.6 = 0.438
    assert smaller.why == "off by 0.40 mm = 0.0157 in at most: its web side is nearer"
    assert larger.why == "off by 0.44 mm = 0.0172 in at most: its thread side is nearer"
    assert choose_electrode(stock[2:3], bounds).neighbours == ()


def test_a_neighbour_that_does_not_fit_says_which_side_fails() -> None:
    bounds = bounds_of(M10, remnant_in(M10, Kind.TAP, flutes=3))
    smaller, larger = choose_electrode([stick(3), stick(5), stick(8)], bounds).neighbours
    assert smaller.why == "leaves 0.35 mm = 0.0138 in of the web on each side"
    assert larger.why == "burns 0.56 mm = 0.0221 in too near the thread on each side"


def test_one_that_is_too_short_loses_to_one_that_reaches() -> None:
    bounds = bounds_of(M10, remnant_in(M10, Kind.TAP, flutes=3))
    stock = [stick(5.2, length_mm=50), stick(4.9, length_mm=200)]
    choice = choose_electrode(stock, bounds, lambda one: one.length_mm > 100)
    assert choice.electrode.diameter_mm == 4.9
    assert [loser.why for loser in choice.neighbours] == [
        "too short for this hole, or too few of them"
    ]


def test_a_core_takes_the_largest_that_can_still_be_centred() -> None:
    bounds = bounds_of(M10, remnant_in(M10, Kind.SCREW), centring_mm=0.1)
    # 6.87 would be the largest at all, and leave 0.003 mm to be off by
    stock = [stick(6.0), stick(6.5), stick(6.87)]
    assert choose_electrode(stock, bounds).electrode.diameter_mm == 6.5
    assert choose_electrode(stock[2:], bounds).fits
    smaller, larger = choose_electrode(stock, bounds).neighbours
    assert smaller.why == "leaves a shell 0.25 mm = 0.0098 in thicker"
    assert larger.why == "off by 0.00 mm = 0.0001 in at most: its thread side is nearer"


@pytest.mark.parametrize(
    ("diameter_mm", "gap_mm", "helps"),
    [
        # window of diameters at a gap of 0.15: web 4 - 0.3 = 3.7 up to 8.3762 - 1.2 - 0.3 = 6.876
        (9.0, 0.15, "13/64 in would fit"),
        (2.0, 0.15, "13/64 in would fit, or measure the web of a like tool"),
        # 6.9 fits as soon as the gap is under (7.1762 - 6.9)/2
        (6.9, 0.15, "an arc gap under 0.14 mm = 0.0054 in would do"),
    ],
)
def test_when_nothing_fits_it_says_what_would_help(
    diameter_mm: float, gap_mm: float, helps: str
) -> None:
    bounds = bounds_of(M10, remnant_in(M10, Kind.TAP, flutes=3), gap_mm=gap_mm)
    choice = choose_electrode([stick(diameter_mm)], bounds)
    assert not choice.fits
    assert helps in choice.why


def test_a_web_too_wide_for_any_electrode_is_to_be_measured() -> None:
    bounds = bounds_of(M10, remnant_in(M10, Kind.TAP, web_mm=7.5))
    why = choose_electrode([stick(5)], bounds).why
    assert "measure the web of a like tool: one under 7.18 mm = 0.2825 in" in why


@given(
    st.sampled_from(standard_threads()),
    st.sampled_from(Kind),
    st.floats(min_value=0, max_value=0.4),
    st.floats(min_value=0, max_value=0.01),
    st.floats(min_value=1, max_value=40),
)
def test_the_size_that_is_said_to_fit_does(
    thread: Thread, kind: Kind, gap_mm: float, out_of_square: float, deepest_mm: float
) -> None:
    bounds = bounds_of(
        thread,
        remnant_in(thread, kind),
        deepest_mm=deepest_mm,
        gap_mm=gap_mm,
        out_of_square=out_of_square,
    )
    why = choose_electrode([stick(60)], bounds).why
    if found := re.search(r"[;,] (\d+/\d+|\d+) in would fit", why):
        room = window(float(Fraction(found[1])) * 25.4, bounds)
        assert room.allowed_offset_mm > 0


def test_an_electrode_that_a_person_names_is_judged_as_it_is() -> None:
    bounds = bounds_of(M10, remnant_in(M10, Kind.TAP, flutes=3))
    assert judge_electrode(stick(5), bounds).fits
    poor = judge_electrode(stick(8), bounds)
    assert not poor.fits
    assert poor.why.startswith("8 mm does not fit: it burns 0.56 mm")


def test_required_clearance_has_a_floor() -> None:
    assert [required_clearance_mm(d) for d in (3, 20)] == [0.25, pytest.approx(1.2)]


@pytest.mark.parametrize(
    ("diameter_mm", "fault", "amount"),
    [(9.0, "too near the thread", "1.06 mm"), (2.0, "of the web", "0.85 mm")],
)
def test_the_least_bad_says_which_side_fails_and_by_how_much(
    diameter_mm: float, fault: str, amount: str
) -> None:
    thread = read_thread("M10x1.5")
    bounds = bounds_of(thread, remnant_in(thread, Kind.TAP, flutes=3))
    choice = choose_electrode([stick(diameter_mm)], bounds)
    # 9: required 0.6 - (8.3762 - 9.3)/2 = 1.0619; 2: (4 - 2.3)/2 = 0.85
    assert not choice.fits
    assert fault in choice.why
    assert amount in choice.why


def test_an_electrode_that_is_used_up_is_not_chosen() -> None:
    thread = read_thread("M10x1.5")
    tap = remnant_in(thread, Kind.TAP, flutes=3)
    best = choose_electrode([stick(5, on_hand=0), stick(6)], bounds_of(thread, tap)).electrode
    assert best.diameter_mm == 6


@pytest.mark.parametrize("stock", [[], [stick(5, on_hand=0)]])
def test_an_empty_rack_is_refused(stock: list[Electrode]) -> None:
    thread = read_thread("M10x1.5")
    with pytest.raises(ElectrodeError, match="No electrode is on hand"):
        choose_electrode(stock, bounds_of(thread, remnant_in(thread, Kind.TAP)))


def test_reach_leaves_grip_and_wear_out() -> None:
    # 200 - 35 - 5 = 160 usable, of which 0.6 deepens the hole: 5 + 96
    assert reach_mm(stick(5), 5, 35, 0.4) == pytest.approx(101)
    assert reach_mm(stick(5, length_mm=30), 5, 35, 0.4) == 5


@given(
    st.floats(min_value=20, max_value=300),
    st.floats(min_value=0, max_value=50),
    st.floats(min_value=1, max_value=100),
    st.floats(min_value=0, max_value=0.9),
)
def test_one_electrode_is_enough_exactly_when_it_reaches(
    length_mm: float, start_mm: float, burn_mm: float, wear_ratio: float
) -> None:
    electrode, target_mm = stick(5, length_mm=length_mm), start_mm + burn_mm
    needed = electrodes_needed(electrode, start_mm, target_mm, 35, wear_ratio)
    assert (needed == 1) == (reach_mm(electrode, start_mm, 35, wear_ratio) >= target_mm)
    # The holder cannot go into the hole, however many electrodes are used.
    assert needed is None or target_mm <= length_mm - 35 + 1e-9


def test_several_electrodes_go_on_where_the_last_was_used_up() -> None:
    # 100 - 40 = 60: 10 -> 40 -> 52 -> 56.8 at r = 0.4
    needed = [electrodes_needed(stick(5, length_mm=100), 10, t, 40, 0.4) for t in (40, 52, 56, 61)]
    assert needed == [1, 2, 3, None]


def test_a_bore_wider_than_the_electrode_is_refused() -> None:
    with pytest.raises(ValidationError, match="narrower"):
        Electrode(label="x", diameter_mm=3, bore_mm=3, length_mm=100, material="copper", on_hand=1)


def test_the_shipped_rack_is_read_in_the_units_it_is_written_in(rack: Rack) -> None:
    sizes = {electrode.label: electrode.diameter_mm for electrode in rack.electrodes}
    assert sizes["5/32 in"] == 3.96875
    assert len(sizes) == len(rack.electrodes)
    assert rack.gap_mm == 0.15
    assert (rack.wear.mean, rack.wear.sd) == (0.25, 0.10)
