"""Flush against the package fluids: friction factor and pressure drop within 1 %."""

from math import pi

import fluids
import pytest
from fluids.friction import friction_factor as fluids_friction_factor

from cockpit.trade.electrodes import Electrode
from cockpit.trade.flush import flush_for, friction_factor, pressure_drop_kpa

# Water at 20 degrees C (IAPWS): density in kg/m3, viscosity in Pa s. Drawn tube (Moody): m.
DENSITY, VISCOSITY, ROUGHNESS_M = 998.2, 1.0016e-3, 1.5e-6
BORES_MM = (0.5, 0.8, 1.2, 1.6, 2.4, 3.2, 6.35)


@pytest.mark.parametrize("reynolds", [50, 500, 2000, 2500, 4000, 1e4, 5e4, 1e5, 1e6])
@pytest.mark.parametrize("roughness", [0.0, 1e-4, 1e-3, 5e-3])
def test_friction_factor_is_that_of_colebrook(reynolds: float, roughness: float) -> None:
    outside = fluids_friction_factor(Re=reynolds, eD=roughness, Method="Colebrook")
    if reynolds < 2040:
        outside = fluids.friction.friction_laminar(reynolds)
    assert friction_factor(reynolds, roughness) == pytest.approx(outside, rel=0.01)


@pytest.mark.parametrize("bore_mm", BORES_MM)
@pytest.mark.parametrize("speed_m_s", [0.5, 2.0, 6.0, 15.0])
def test_pressure_drop_through_an_electrode(bore_mm: float, speed_m_s: float) -> None:
    assert pressure_drop_kpa(speed_m_s, bore_mm, 200) == pytest.approx(
        outside_drop_kpa(speed_m_s, bore_mm, 200), rel=0.01
    )


@pytest.mark.parametrize("bore_mm", BORES_MM)
def test_the_planned_flow_costs_the_planned_pressure(bore_mm: float) -> None:
    electrode = Electrode(
        label="x",
        diameter_mm=bore_mm * 2,
        bore_mm=bore_mm,
        length_mm=203.2,
        material="copper",
        on_hand=1,
    )
    flush = flush_for(electrode, amps=100)
    speed_m_s = flush.flow_l_min / 60_000 / (pi / 4 * (bore_mm / 1000) ** 2)
    assert outside_drop_kpa(speed_m_s, bore_mm, 203.2) == pytest.approx(103.42, rel=0.01)


def outside_drop_kpa(speed_m_s: float, bore_mm: float, length_mm: float) -> float:
    bore_m = bore_mm / 1000
    reynolds = fluids.Reynolds(V=speed_m_s, D=bore_m, rho=DENSITY, mu=VISCOSITY)
    friction = fluids_friction_factor(Re=reynolds, eD=ROUGHNESS_M / bore_m)
    losses = 1.5 + fluids.K_from_f(fd=friction, L=length_mm / 1000, D=bore_m)
    return float(fluids.dP_from_K(K=losses, rho=DENSITY, V=speed_m_s)) / 1000
