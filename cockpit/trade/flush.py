"""The water through the electrode: how much should come, and what it carries off."""

from math import log10, pi, sqrt
from typing import Final

from cockpit.trade.base import Frozen
from cockpit.trade.electrodes import Electrode
from cockpit.trade.figures import Figures

# 15 psi through the electrode: common practice, no source.
FLUSH_KPA: Final = 103.42
# Voltage across the arc (assumed).
ARC_VOLTS: Final = 20.0

# Water at 20 degrees C: density and viscosity of IAPWS; heat capacity from memory.
WATER_C: Final = 20.0
_DENSITY_KG_M3: Final = 998.2
_VISCOSITY_PA_S: Final = 1.0016e-3
_HEAT_J_KG_K: Final = 4184.0

# Drawn tube (Moody, Trans. ASME 66, 1944); sharp entry 0.5 and exit 1.0 (from memory).
_ROUGHNESS_MM: Final = 0.0015
_ENTRY_AND_EXIT: Final = 1.5
# Below this Reynolds number pipe flow stays laminar (Avila et al., Science 333, 2011; from memory).
_LAMINAR_REYNOLDS: Final = 2040.0


class Flush(Frozen):
    """The flush of an electrode: kPa, l/min, ml caught in 10 s, and the water's rise in K."""

    pressure_kpa: float
    flow_l_min: float
    catch_ml_10s: float
    rise_k: float

    @property
    def boils(self) -> bool:
        """Whether the arc would bring this flow to the boil."""
        return WATER_C + self.rise_k >= 100.0


def friction_factor(reynolds: float, relative_roughness: float) -> float:
    """Give the Darcy friction factor of a pipe, without dimension.

    Laminar 64/Re (Hagen-Poiseuille); turbulent T. K. Serghides, "Estimate friction factor
    accurately", Chem. Eng. 91 (1984) 63-64, from memory, far within 1 % of Colebrook.

    >>> round(friction_factor(1000, 0.001), 3), round(friction_factor(1e5, 0.001), 4)
    (0.064, 0.0222)
    """
    if reynolds < _LAMINAR_REYNOLDS:
        return 64 / reynolds
    rough = relative_roughness / 3.7
    a = -2 * log10(rough + 12 / reynolds)
    b = -2 * log10(rough + 2.51 * a / reynolds)
    c = -2 * log10(rough + 2.51 * b / reynolds)
    return float((a - (b - a) ** 2 / (c - 2 * b + a)) ** -2)


def pressure_drop_kpa(speed_m_s: float, bore_mm: float, length_mm: float) -> float:
    """Give the pressure, in kPa, that drives water at a speed through an electrode's bore.

    rho v^2/2 (K + f L/d), K = 1.5; water at 20 degrees C.

    >>> round(pressure_drop_kpa(6.0, 1.6, 200), 1)
    100.2
    """
    reynolds = _DENSITY_KG_M3 * speed_m_s * bore_mm / 1000 / _VISCOSITY_PA_S
    friction = friction_factor(reynolds, _ROUGHNESS_MM / bore_mm) * length_mm / bore_mm
    return _DENSITY_KG_M3 * speed_m_s**2 / 2 * (_ENTRY_AND_EXIT + friction) / 1000


def flow_l_min(electrode: Electrode, pressure_kpa: float) -> float:
    """Give the flow through a new electrode at a pressure, in l/min.

    >>> stick = Electrode(label="5/32 in", diameter_mm=3.96875, bore_mm=1.6, length_mm=200,
    ...                   material="copper", on_hand=3)
    >>> round(flow_l_min(stick, 103.42), 2)
    0.74
    """
    speed_m_s = _speed_m_s(electrode.bore_mm, electrode.length_mm, pressure_kpa)
    return speed_m_s * pi / 4 * electrode.bore_mm**2 * 60 / 1000


def rise_k(flow_l_min: float, amps: float, arc_volts: float = ARC_VOLTS) -> float:
    """Give how much the arc warms the flush, in K: V I / (m c), all its power into the water.

    >>> round(rise_k(0.74, amps=137.5), 1)
    53.4
    """
    kg_s = flow_l_min / 60 / 1000 * _DENSITY_KG_M3
    return amps * arc_volts / (kg_s * _HEAT_J_KG_K)


def flush_for(
    electrode: Electrode,
    amps: float,
    pressure_kpa: float = FLUSH_KPA,
    arc_volts: float = ARC_VOLTS,
    figures: Figures | None = None,
) -> Flush:
    """Give the flow through a new electrode and how much the arc's power warms it at the most.

    >>> stick = Electrode(label="5/32 in", diameter_mm=3.96875, bore_mm=1.6, length_mm=200,
    ...                   material="copper", on_hand=3)
    >>> round(flush_for(stick, amps=137.5).catch_ml_10s)
    123
    """
    figures = figures or Figures()
    pressure_kpa = figures.take(
        "flush.pressure_kpa",
        pressure_kpa,
        "the machine's profile; 15 psi is common practice, no source",
    )
    flow = figures.take(
        "flush.flow_l_min",
        flow_l_min(electrode, pressure_kpa),
        "Bernoulli with friction (Serghides 1984), water at 20 degrees C (IAPWS)",
    )
    catch = figures.take("flush.catch_ml_10s", flow * 1000 / 6, "10 s of the flow")
    rise = figures.take(
        "flush.rise_k",
        rise_k(flow, amps, arc_volts),
        f"all the arc's power at {arc_volts:g} V into the water (volts assumed)",
    )
    return Flush(pressure_kpa=pressure_kpa, flow_l_min=flow, catch_ml_10s=catch, rise_k=rise)


def _speed_m_s(bore_mm: float, length_mm: float, pressure_kpa: float) -> float:
    """Find the speed at which friction and losses use up the pressure, by halving."""
    # Without friction it could not be faster than this, and the drop only grows with speed.
    low, high = 0.0, sqrt(2000 * pressure_kpa / _DENSITY_KG_M3 / _ENTRY_AND_EXIT)
    for _ in range(60):
        middle = (low + high) / 2
        if pressure_drop_kpa(middle, bore_mm, length_mm) < pressure_kpa:
            low = middle
        else:
            high = middle
    return (low + high) / 2
