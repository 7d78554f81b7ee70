"""The two-sided window, the choice from the rack, and the reach."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from cockpit.trade.electrodes import (
    Electrode,
    ElectrodeError,
    Rack,
    choose_electrode,
    electrodes_needed,
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
    choice = choose_electrode(stock, thread, remnant, gap_mm)
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
    choice = choose_electrode(stock, thread, remnant)
    rooms = {e.diameter_mm: window(e, thread, remnant).allowed_offset_mm for e in stock}
    if choice.fits and remnant.web_mm is None:
        assert choice.electrode.diameter_mm == max(d for d, room in rooms.items() if room > 0)
    else:
        assert choice.window.allowed_offset_mm == max(rooms.values())


def test_the_sides_of_the_window_by_hand() -> None:
    thread = read_thread("M10x1.5")
    room = window(stick(5), thread, remnant_in(thread, Kind.TAP, flutes=3), gap_mm=0.15)
    # hole 5.3; (8.3762 - 5.3)/2 = 1.5381, less 0.6 = 0.9381; web 4: (5.3 - 4)/2 = 0.65
    assert room.hole_mm == pytest.approx(5.3)
    assert room.thread_clearance_mm == pytest.approx(1.5381, abs=1e-4)
    assert room.required_clearance_mm == pytest.approx(0.6)
    assert room.web_margin_mm == pytest.approx(0.65)
    assert room.allowed_offset_mm == pytest.approx(0.65)


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
    choice = choose_electrode([stick(diameter_mm)], thread, remnant_in(thread, Kind.TAP, flutes=3))
    # 9: required 0.6 - (8.3762 - 9.3)/2 = 1.0619; 2: (4 - 2.3)/2 = 0.85
    assert not choice.fits
    assert fault in choice.why
    assert amount in choice.why


def test_an_electrode_that_is_used_up_is_not_chosen() -> None:
    thread = read_thread("M10x1.5")
    tap = remnant_in(thread, Kind.TAP, flutes=3)
    best = choose_electrode([stick(5, on_hand=0), stick(6)], thread, tap).electrode
    assert best.diameter_mm == 6


@pytest.mark.parametrize("stock", [[], [stick(5, on_hand=0)]])
def test_an_empty_rack_is_refused(stock: list[Electrode]) -> None:
    thread = read_thread("M10x1.5")
    with pytest.raises(ElectrodeError, match="No electrode is on hand"):
        choose_electrode(stock, thread, remnant_in(thread, Kind.TAP))


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
