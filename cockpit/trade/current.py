"""The current, and the heat-range position that gives it."""

from typing import Final, Self

from pydantic import Field, model_validator

from cockpit.trade.base import Frozen
from cockpit.trade.electrodes import Electrode
from cockpit.trade.figures import FigureError, Figures
from cockpit.trade.flush import ARC_VOLTS, FLUSH_KPA
from cockpit.units import Amperes, Kilopascals, Millimetres, quoted

# 125 to 150 A for a 5/32 in electrode is common practice, no source; scaled by diameter (assumed).
AMPS_PER_MM_LOW: Final = 31.5
AMPS_PER_MM_HIGH: Final = 37.8
_ASSUMED: Final = "assumed, from 125 to 150 A at 5/32 in, common practice, no source"


class HeatRange(Frozen):
    """One position of the machine's heat switch, and the amperes it gives."""

    position: str
    amps_low: Amperes = Field(gt=0)
    amps_high: Amperes = Field(gt=0)

    @model_validator(mode="after")
    def _low_first(self) -> Self:
        if self.amps_low >= self.amps_high:
            raise ValueError(f"heat range {self.position} must go from its low to its high amperes")
        return self


class Machine(Frozen):
    """What the plan has to know of a machine; lengths in mm, currents in A.

    ``grip_mm`` is the electrode length inside the holder, ``stand_off_mm`` the least between
    holder and part. ``core_washed`` says that the slug inside a hollow electrode is worn away as
    well, so that the full disc is burnt and not a ring. ``out_of_square`` is how far the head
    leans, in mm for each mm of depth; ``centring_mm`` how near its mark a person gets it (assumed).
    """

    name: str
    rating_a: Amperes = Field(gt=0, validation_alias="rating")
    grip_mm: Millimetres = Field(ge=0, validation_alias="grip")
    stand_off_mm: Millimetres = Field(ge=0, validation_alias="stand_off")
    arc_volts: float = Field(default=ARC_VOLTS, gt=0)
    flush_kpa: Kilopascals = Field(default=FLUSH_KPA, gt=0, validation_alias="flush")
    out_of_square: float = Field(default=0.0, ge=0, le=0.05)
    centring_mm: Millimetres = Field(default=0.1, ge=0, validation_alias="centring")
    max_head_speed_mm_s: float = Field(default=25.0, gt=0)
    core_washed: bool = True
    ranges: tuple[HeatRange, ...] = Field(min_length=1)

    @property
    def holder_mm(self) -> float:
        """The electrode length that never gets into the part, mm."""
        return self.grip_mm + self.stand_off_mm


class AmpsPerMm(Frozen):
    """The current for each mm of an electrode's diameter, in A, and where that comes from."""

    low: float = AMPS_PER_MM_LOW
    high: float = AMPS_PER_MM_HIGH
    source: str = _ASSUMED

    def __str__(self) -> str:
        return f"{self.low:.1f} to {self.high:.1f} A per mm of electrode ({self.source})"


class Current(Frozen):
    """The current to burn with, in A, and the position of the heat switch."""

    amps_low: float
    amps_high: float
    range: str

    @property
    def amps(self) -> float:
        """The middle of the two, in A."""
        return (self.amps_low + self.amps_high) / 2


def wanted_amps(electrode: Electrode, per_mm: AmpsPerMm | None = None) -> tuple[float, float]:
    """Give the current an electrode is burnt with, lowest and highest, in A.

    31.5 to 37.8 A per mm of diameter (assumed, from 125 to 150 A at 5/32 in, common practice),
    unless the shop has learnt another.

    >>> five_32 = Electrode(label="5/32 in", diameter_mm=3.96875, bore_mm=1.6, length_mm=200,
    ...                     material="copper", on_hand=3)
    >>> [round(amps) for amps in wanted_amps(five_32)]
    [125, 150]
    """
    per_mm = per_mm or AmpsPerMm()
    return per_mm.low * electrode.diameter_mm, per_mm.high * electrode.diameter_mm


def current_for(
    electrode: Electrode,
    machine: Machine,
    figures: Figures | None = None,
    per_mm: AmpsPerMm | None = None,
) -> Current:
    """Give the current for an electrode and the machine's position that covers most of it.

    Held within what the machine gives: never under its lowest range, never above its rating.
    Raises FigureError for an override that the machine has not got.
    """
    figures, per_mm = figures or Figures(), per_mm or AmpsPerMm()
    source = f"{per_mm}, within what the machine gives"
    lowest = min(heat.amps_low for heat in machine.ranges)
    highest = min(machine.rating_a, max(heat.amps_high for heat in machine.ranges))
    low, high = (min(max(amps, lowest), highest) for amps in wanted_amps(electrode, per_mm))
    low = figures.take("arc.amps_low", low, source)
    high = figures.take("arc.amps_high", high, source)
    if high > machine.rating_a:
        raise FigureError(
            f"{high:.0f} A is over the machine's rating of {machine.rating_a:.0f} A: give less.",
            field="arc.amps_high",
        )
    if low > high:
        raise FigureError(
            f"The least current, {low:.0f} A, is over the most, {high:.0f} A: override both.",
            field="arc.amps_low",
        )
    position = figures.take(
        "arc.range",
        _position(low, high, machine),
        "the machine's profile: the position that covers most of the current",
    )
    known = [heat.position for heat in machine.ranges]
    if position not in known:
        raise FigureError(
            f"The machine has no heat range {quoted(position)}: say one of {', '.join(known)}.",
            field="arc.range",
        )
    return Current(amps_low=low, amps_high=high, range=position)


def _position(low: float, high: float, machine: Machine) -> str:
    """Give the position of the heat switch that covers most of a span of current."""

    def covered(heat: HeatRange) -> tuple[float, float]:
        # Where two positions cover as much, or the wish has shrunk to one figure: the nearer.
        overlap = min(high, heat.amps_high) - max(low, heat.amps_low)
        return overlap, -abs(heat.amps_low + heat.amps_high - low - high)

    return max(machine.ranges, key=covered).position
