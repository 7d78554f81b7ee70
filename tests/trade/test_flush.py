"""Water through the electrode."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cockpit.trade.electrodes import Electrode
from cockpit.trade.flush import flush_for, pressure_drop_kpa


def stick(bore_mm: float, length_mm: float = 200) -> Electrode:
    return Electrode(
        label="x",
        diameter_mm=bore_mm * 2.5,
        bore_mm=bore_mm,
        length_mm=length_mm,
        material="copper",
        on_hand=1,
    )


@given(
    st.floats(min_value=0.3, max_value=6),
    st.floats(min_value=50, max_value=300),
    st.floats(min_value=20, max_value=700),
)
def test_the_flow_uses_up_the_pressure(bore_mm: float, length_mm: float, kpa: float) -> None:
    flush = flush_for(stick(bore_mm, length_mm), 100, kpa)
    speed_m_s = flush.flow_l_min / 60 / 1000 / (3.141592653589793 / 4 * (bore_mm / 1000) ** 2)
    below = pressure_drop_kpa(speed_m_s * 0.999, bore_mm, length_mm)
    above = pressure_drop_kpa(speed_m_s * 1.001, bore_mm, length_mm)
    assert below <= kpa <= above


def test_the_catch_is_the_flow_in_ten_seconds() -> None:
    flush = flush_for(stick(1.6), 137.5)
    assert flush.catch_ml_10s == pytest.approx(flush.flow_l_min * 1000 / 6)


def test_a_longer_or_narrower_electrode_gives_less() -> None:
    usual = flush_for(stick(1.6), 137.5).flow_l_min
    assert flush_for(stick(1.6, 400), 137.5).flow_l_min < usual
    assert flush_for(stick(1.2), 137.5).flow_l_min < usual
    assert flush_for(stick(1.6), 137.5, 200).flow_l_min > usual


def test_the_rise_carries_all_the_arc_power() -> None:
    flush = flush_for(stick(1.6), 137.5, arc_volts=20)
    kg_s = flush.flow_l_min / 60 * 0.9982
    assert kg_s * 4184 * flush.rise_k == pytest.approx(137.5 * 20)
    assert not flush.boils


def test_a_thin_trickle_boils() -> None:
    assert flush_for(stick(0.5), 137.5).boils
