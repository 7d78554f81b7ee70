"""Flush against the package fluids: friction factor and pressure drop within 1 %."""

from collections.abc import Iterator
from math import pi

import fluids
import pytest
from fluids.friction import friction_factor as fluids_friction_factor

from cockpit.trade.electrodes import Electrode
from cockpit.trade.flush import flush_for, friction_factor, pressure_drop_kpa
from tests.outside.checks import OutsideCheck, largest_deviation

# Water at 20 degrees C (IAPWS): density in kg/m3, viscosity in Pa s. Drawn tube (Moody): m.
DENSITY, VISCOSITY, ROUGHNESS_M = 998.2, 1.0016e-3, 1.5e-6
BORES_MM = (0.5, 0.8, 1.2, 1.6, 2.4, 3.2, 6.35)


def outside_drop_kpa(speed_m_s: float, bore_mm: float, length_mm: float) -> float:
    bore_m = bore_mm / 1000
    reynolds = fluids.Reynolds(V=speed_m_s, D=bore_m, rho=DENSITY, mu=VISCOSITY)
    friction = fluids_friction_factor(Re=reynolds, eD=ROUGHNESS_M / bore_m)
    losses = 1.5 + fluids.K_from_f(fd=friction, L=length_mm / 1000, D=bore_m)
    return float(fluids.dP_from_K(K=losses, rho=DENSITY, V=speed_m_s)) / 1000


def friction_factors() -> Iterator[tuple[float, float]]:
    """Ours over the package's, and 1."""
    for reynolds in (50, 500, 2000, 2500, 4000, 1e4, 5e4, 1e5, 1e6):
        for roughness in (0.0, 1e-4, 1e-3, 5e-3):
            outside = fluids_friction_factor(Re=reynolds, eD=roughness, Method="Colebrook")
            if reynolds < 2040:
                outside = fluids.friction.friction_laminar(reynolds)
            yield friction_factor(reynolds, roughness) / outside, 1.0


def pressure_drops() -> Iterator[tuple[float, float]]:
    for bore_mm in BORES_MM:
        for speed_m_s in (0.5, 2.0, 6.0, 15.0):
            ours = pressure_drop_kpa(speed_m_s, bore_mm, 200)
            yield ours / outside_drop_kpa(speed_m_s, bore_mm, 200), 1.0


def planned_flows() -> Iterator[tuple[float, float]]:
    """The pressure that the package asks for the planned flow, over the planned 15 psi, and 1."""
    for bore_mm in BORES_MM:
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
        yield outside_drop_kpa(speed_m_s, bore_mm, 203.2) / 103.42, 1.0


CHECKS = [
    OutsideCheck(
        "friction factor of the flush, laminar and turbulent",
        "Hagen-Poiseuille and Colebrook, as the package fluids has them",
        "ratio",
        0.01,
        lambda: largest_deviation(friction_factors()),
    ),
    OutsideCheck(
        "pressure drop through an electrode",
        "Darcy-Weisbach with entry and exit, as the package fluids has it",
        "ratio",
        0.01,
        lambda: largest_deviation(pressure_drops()),
    ),
    OutsideCheck(
        "pressure that the planned flow takes",
        "the same, from the flow back to the pressure",
        "ratio",
        0.01,
        lambda: largest_deviation(planned_flows()),
    ),
]


@pytest.mark.parametrize("check", CHECKS, ids=str)
def test_flush_agrees(check: OutsideCheck) -> None:
    assert check.deviation() <= check.bound
