"""The plan against what the trade does: common practice, no source, unless a test says more."""

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from cockpit.trade.current import Machine, current_for, wanted_amps
from cockpit.trade.electrodes import Rack, bounds_of, choose_electrode
from cockpit.trade.remnants import Kind, remnant_in
from cockpit.trade.threads import read_thread
from tests.outside.checks import OutsideCheck, largest_deviation

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


def shipped(kind: str) -> dict[str, Any]:
    return tomllib.loads((PROFILES / kind / "standard.toml").read_text())


def current_of_5_32() -> Iterator[tuple[float, float]]:
    rack, machine = (
        Rack.model_validate(shipped("electrodes")),
        Machine.model_validate(shipped("machine")),
    )
    electrode = next(e for e in rack.electrodes if e.label == "5/32 in")
    current = current_for(electrode, machine)
    return iter([(current.amps_low, 125.0), (current.amps_high, 150.0)])


def steps_from_half_the_diameter() -> Iterator[tuple[float, float]]:
    """How many stock steps the chosen electrode lies from half the tap's diameter, and 0."""
    rack = Rack.model_validate(shipped("electrodes"))
    for designation in ("1/4-20", "5/16-18", "3/8-16", "7/16-14", "1/2-13"):
        thread = read_thread(designation)
        for flutes in (2, 3, 4):
            bounds = bounds_of(thread, remnant_in(thread, Kind.TAP, flutes=flutes))
            chosen = choose_electrode(rack.electrodes, bounds).electrode
            yield (chosen.diameter_mm - thread.nominal_mm / 2) / STOCK_STEP_MM, 0.0


CHECKS = [
    OutsideCheck(
        "current of a 5/32 in electrode, 125 to 150 A",
        "common practice, no source",
        "A",
        0.5,
        lambda: largest_deviation(current_of_5_32()),
    ),
    OutsideCheck(
        "electrode close to half the tap's nominal diameter, 1/4 to 1/2 in",
        "common practice, from memory",
        "stock steps of 1/32 in",
        1.0 + 1e-9,
        lambda: largest_deviation(steps_from_half_the_diameter()),
    ),
]


@pytest.mark.parametrize("check", CHECKS, ids=str)
def test_practice_agrees(check: OutsideCheck) -> None:
    assert check.deviation() <= check.bound
