"""The electrode: wide enough to cut the web, narrow enough to leave the thread alone."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Self

from pydantic import Field, model_validator

from cockpit.trade.base import Frozen
from cockpit.trade.depth import WearPrior
from cockpit.trade.errors import TradeError
from cockpit.trade.remnants import Remnant
from cockpit.trade.threads import Thread
from cockpit.units import Millimetres, write_both

# How much wider than the electrode the arc cuts, on each side (assumed; measured holes teach it).
ARC_GAP_MM: Final = 0.15

# Clearance to the thread on each side: this much, or this part of the nominal diameter if that
# is more (assumed).
_LEAST_CLEARANCE_MM: Final = 0.25
_CLEARANCE_PART: Final = 0.06

# An electrode that would gain less than this before the holder is down is used up (assumed).
_LEAST_GAIN_MM: Final = 0.5


class ElectrodeError(TradeError):
    """A rack that no electrode can be chosen from."""


class Electrode(Frozen):
    """A hollow electrode as it stands in the rack: lengths in mm, and how many are on hand."""

    label: str
    diameter_mm: Millimetres = Field(gt=0, validation_alias="diameter")
    bore_mm: Millimetres = Field(gt=0, validation_alias="bore")
    length_mm: Millimetres = Field(gt=0, validation_alias="length")
    material: str
    on_hand: int = Field(ge=0)

    @model_validator(mode="after")
    def _bore_inside(self) -> Self:
        if self.bore_mm >= self.diameter_mm:
            raise ValueError("the bore must be narrower than the electrode: check both figures")
        return self


class Rack(Frozen):
    """The electrodes a shop keeps, with what it takes for their arc gap and wear."""

    name: str
    gap_mm: Millimetres = Field(default=ARC_GAP_MM, ge=0, validation_alias="gap")
    wear: WearPrior = WearPrior()
    electrodes: tuple[Electrode, ...]


@dataclass(frozen=True, slots=True)
class Window:
    """The room an electrode has between thread and web, with its burn centred; all in mm.

    ``allowed_offset_mm`` is how far the burn's axis may stand from the hole's before either side
    is short: negative when even a centred burn is. ``web_margin_mm`` is None without a web.
    """

    hole_mm: float
    required_clearance_mm: float
    thread_clearance_mm: float
    web_margin_mm: float | None
    allowed_offset_mm: float


@dataclass(frozen=True, slots=True)
class Choice:
    """The electrode taken from the rack, the room it has, and why; it may still not fit."""

    electrode: Electrode
    window: Window
    fits: bool
    why: str


def required_clearance_mm(nominal_mm: float) -> float:
    """Give the clearance a burn must leave to the thread on each side, in mm.

    max(0.25 mm, 0.06 D) (assumed).

    >>> required_clearance_mm(4), required_clearance_mm(10)
    (0.25, 0.6)
    """
    return max(_LEAST_CLEARANCE_MM, _CLEARANCE_PART * nominal_mm)


def window(
    electrode: Electrode, thread: Thread, remnant: Remnant, gap_mm: float = ARC_GAP_MM
) -> Window:
    """Work out the two-sided window of an electrode in a hole; lengths in mm.

    Burnt hole d = electrode + 2 gap. Thread side: (D1 min - d)/2 must keep the required clearance;
    web side: (d - web)/2 must not fall under 0, or a sliver still ties lands together.

    >>> from cockpit.trade.remnants import Kind, remnant_in
    >>> from cockpit.trade.threads import read_thread
    >>> five_32 = Electrode(label="5/32 in", diameter_mm=3.96875, bore_mm=1.6, length_mm=200,
    ...                     material="copper", on_hand=3)
    >>> tap = read_thread("5/16-18")
    >>> room = window(five_32, tap, remnant_in(tap, Kind.TAP, flutes=3))
    >>> round(room.hole_mm, 3), round(room.allowed_offset_mm, 3)
    (4.269, 0.547)
    """
    hole_mm = electrode.diameter_mm + 2 * gap_mm
    required_mm = required_clearance_mm(thread.nominal_mm)
    thread_clearance_mm = (thread.minor_min_mm - hole_mm) / 2
    web_margin_mm = None if remnant.web_mm is None else (hole_mm - remnant.web_mm) / 2
    thread_side_mm = thread_clearance_mm - required_mm
    return Window(
        hole_mm=hole_mm,
        required_clearance_mm=required_mm,
        thread_clearance_mm=thread_clearance_mm,
        web_margin_mm=web_margin_mm,
        allowed_offset_mm=(
            thread_side_mm if web_margin_mm is None else min(thread_side_mm, web_margin_mm)
        ),
    )


def choose_electrode(
    stock: Sequence[Electrode], thread: Thread, remnant: Remnant, gap_mm: float = ARC_GAP_MM
) -> Choice:
    """Choose the best electrode on hand for a hole; raises ElectrodeError when there is none.

    Where there is a web: the one with the largest allowed offset. A screw or a pin has no web, and
    the largest that fits leaves the thinnest shell. When nothing fits, the least bad is given with
    ``fits`` False, and ``why`` says which side fails and by how much.
    """
    on_hand = [electrode for electrode in stock if electrode.on_hand > 0]
    if not on_hand:
        raise ElectrodeError("No electrode is on hand: fill the rack, or correct its profile.")
    rooms = [(electrode, window(electrode, thread, remnant, gap_mm)) for electrode in on_hand]
    fitting = [pair for pair in rooms if pair[1].allowed_offset_mm > 0]
    if fitting and remnant.web_mm is None:
        best, room = max(fitting, key=lambda pair: pair[0].diameter_mm)
        return Choice(best, room, True, f"{best.label} is the largest on hand that spares the wall")
    best, room = max(rooms, key=lambda pair: pair[1].allowed_offset_mm)
    if not fitting:
        return Choice(best, room, False, _what_fails(best, room))
    return Choice(best, room, True, f"{best.label} leaves the most room to be off centre")


def reach_mm(electrode: Electrode, start_mm: float, holder_mm: float, wear_ratio: float) -> float:
    """Give the depth from the surface that one electrode burns to, in mm, from ``start_mm`` down.

    ``holder_mm`` is what stays above the surface: grip and stand-off. Of the usable length U below
    that and above ``start_mm``, travel U turns into U (1 - r) of depth, r the wear ratio.

    >>> stick = Electrode(label="4 mm", diameter_mm=4, bore_mm=1.6, length_mm=100,
    ...                   material="copper", on_hand=1)
    >>> reach_mm(stick, start_mm=10, holder_mm=40, wear_ratio=0.4)
    40.0
    """
    usable_mm = electrode.length_mm - holder_mm - start_mm
    return start_mm + max(usable_mm, 0.0) * (1 - wear_ratio)


def electrodes_needed(
    electrode: Electrode, start_mm: float, target_mm: float, holder_mm: float, wear_ratio: float
) -> int | None:
    """Give how many electrodes burn from ``start_mm`` to ``target_mm``; None when none are enough.

    Each goes on where the last was used up, so the next always gains less than the one before.

    >>> stick = Electrode(label="4 mm", diameter_mm=4, bore_mm=1.6, length_mm=100,
    ...                   material="copper", on_hand=1)
    >>> electrodes_needed(stick, 10, 45, holder_mm=40, wear_ratio=0.4)
    2
    >>> electrodes_needed(stick, 10, 60, holder_mm=40, wear_ratio=0.4) is None
    True
    """
    needed, depth_mm = 0, start_mm
    while depth_mm < target_mm:
        next_mm = reach_mm(electrode, depth_mm, holder_mm, wear_ratio)
        if next_mm - depth_mm < _LEAST_GAIN_MM and next_mm < target_mm:
            return None
        needed, depth_mm = needed + 1, next_mm
    return needed


def _what_fails(electrode: Electrode, room: Window) -> str:
    """Say which side of the window fails, and by how much, for the least bad electrode."""
    faults = []
    short_mm = room.required_clearance_mm - room.thread_clearance_mm
    if short_mm >= 0:
        faults.append(f"burns {write_both(short_mm)} too near the thread on each side")
    if room.web_margin_mm is not None and room.web_margin_mm <= 0:
        faults.append(f"leaves {write_both(-room.web_margin_mm)} of the web on each side")
    return f"no electrode on hand fits: {electrode.label}, the least bad, {' and '.join(faults)}"
