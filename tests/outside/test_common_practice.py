"""The plan against what the trade does: common practice, no source, unless a test says more."""

import tomllib
from pathlib import Path

import pytest

from cockpit.trade.current import Machine, current_for, wanted_amps
from cockpit.trade.electrodes import Rack, bounds_of, choose_electrode
from cockpit.trade.remnants import Kind, remnant_in
from cockpit.trade.threads import read_thread

PROFILES = Path(__file__).parents[2] / "profiles"
STOCK_STEP_MM = 25.4 / 32


@pytest.fixture(scope="module")
def rack() -> Rack:
    return Rack.model_validate(tomllib.loads((PROFILES / "electrodes/standard.toml").read_text()))


@pytest.fixture(scope="module")
def machine() -> Machine:
    return Machine.model_validate(tomllib.loads((PROFILES / "machine/standard.toml").read_text()))


@pytest.mark.parametrize("flutes", [None, 2, 3, 4])
def test_a_5_16_18_tap_is_burnt_with_a_5_32_electrode(rack: Rack, flutes: int | None) -> None:
    thread = read_thread("5/16-18")
    choice = choose_electrode(
        rack.electrodes, bounds_of(thread, remnant_in(thread, Kind.TAP, flutes=flutes))
    )
    assert choice.fits
    assert choice.electrode.label == "5/32 in"


def test_a_5_32_electrode_is_burnt_at_125_to_150_amperes(rack: Rack, machine: Machine) -> None:
    electrode = next(e for e in rack.electrodes if e.label == "5/32 in")
    assert wanted_amps(electrode) == pytest.approx((125, 150), abs=0.5)
    current = current_for(electrode, machine)
    assert (current.amps_low, current.amps_high) == pytest.approx((125, 150), abs=0.5)
    heat = next(heat for heat in machine.ranges if heat.position == current.range)
    assert heat.amps_low <= 125 < 150 <= heat.amps_high


@pytest.mark.parametrize("designation", ["1/4-20", "5/16-18", "3/8-16", "7/16-14", "1/2-13"])
@pytest.mark.parametrize("flutes", [2, 3, 4])
def test_the_electrode_is_near_half_the_nominal_diameter(
    rack: Rack, designation: str, flutes: int
) -> None:
    """From memory: close to half the tap's nominal diameter, within one stock step."""
    thread = read_thread(designation)
    choice = choose_electrode(
        rack.electrodes, bounds_of(thread, remnant_in(thread, Kind.TAP, flutes=flutes))
    )
    assert choice.fits
    half_mm = thread.nominal_mm / 2
    assert choice.electrode.diameter_mm == pytest.approx(half_mm, abs=STOCK_STEP_MM + 1e-9)
