"""The electrode: wide enough to cut the web, narrow enough to leave the thread alone."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, Self

from pydantic import Field, model_validator

from cockpit.trade.base import Frozen
from cockpit.trade.errors import TradeError
from cockpit.trade.remnants import Remnant
from cockpit.trade.series import mixed_number
from cockpit.trade.threads import Thread
from cockpit.trade.wear import WearPrior
from cockpit.units import Millimetres, read_length_mm, write_both

# How much wider than the electrode the arc cuts, on each side (assumed; to be learnt from measured
# holes, which is not done yet).
ARC_GAP_MM: Final = 0.15

# No arc leaves less on each side (assumed).
LEAST_GAP_MM: Final = 0.02

# Clearance to the thread on each side: this much, or this part of the nominal diameter if that
# is more (assumed).
LEAST_CLEARANCE_MM: Final = 0.25
_CLEARANCE_PART: Final = 0.06

# An electrode that would gain less than this before the holder is down is used up (assumed).
_LEAST_GAIN_MM: Final = 0.5

# No hollow electrode is thinner than this (assumed).
_THINNEST_MM: Final = 0.5
# Without a web an electrode smaller than the largest by this leaves a shell that is no thinner.
_SHELL_STEP_MM: Final = 1.0


class ElectrodeError(TradeError):
    """A rack that no electrode can be chosen from."""


class Electrode(Frozen):
    """A hollow electrode as it stands in the rack: lengths in mm, and how many are on hand.

    ``reorder_at``: that many, or fewer, and it is time to order (assumed unless the profile says).
    """

    label: str
    diameter_mm: Millimetres = Field(gt=0, validation_alias="diameter")
    bore_mm: Millimetres = Field(gt=0, validation_alias="bore")
    length_mm: Millimetres = Field(gt=0, validation_alias="length")
    material: str
    on_hand: int = Field(ge=0)
    reorder_at: int = Field(default=1, ge=0)

    @property
    def is_low(self) -> bool:
        """Whether it is time to order."""
        return self.on_hand <= self.reorder_at

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
class Bounds:
    """What a burn has to stay within; all in mm but ``wall``, the word for what it must not reach.

    ``wall_mm`` is the least diameter of the thread or bore at the surface, ``wall_below_mm`` at the
    deepest the burn may get (less than that in a taper thread). ``lean_mm`` is how far a head out
    of square carries the burn aside down there, ``centring_mm`` how near its mark a person gets it.
    """

    wall_mm: float
    wall_below_mm: float
    web_mm: float | None
    required_clearance_mm: float
    gap_mm: float = ARC_GAP_MM
    lean_mm: float = 0.0
    centring_mm: float = 0.0
    wall: str = "thread"


@dataclass(frozen=True, slots=True)
class Window:
    """The room an electrode has between thread and web, with its burn centred; all in mm.

    ``thread_clearance_mm`` and ``web_margin_mm`` (None without a web) are those at the deepest the
    burn may get, where they are least; ``..._surface_mm`` those at the surface.
    """

    hole_mm: float
    required_clearance_mm: float
    thread_clearance_mm: float
    thread_clearance_surface_mm: float
    web_margin_mm: float | None
    web_margin_surface_mm: float | None

    @property
    def allowed_surface_mm(self) -> float:
        """How far off the burn may stand as far as the surface goes, mm."""
        return self._allowed(self.thread_clearance_surface_mm, self.web_margin_surface_mm)

    @property
    def allowed_below_mm(self) -> float:
        """How far off the burn may start as far as its deep end goes, mm."""
        return self._allowed(self.thread_clearance_mm, self.web_margin_mm)

    @property
    def allowed_offset_mm(self) -> float:
        """How far off the burn may stand before either side is short at either end, mm.

        Negative when even a centred burn is short.
        """
        return min(self.allowed_surface_mm, self.allowed_below_mm)

    def _allowed(self, clearance_mm: float, margin_mm: float | None) -> float:
        thread_side_mm = clearance_mm - self.required_clearance_mm
        return thread_side_mm if margin_mm is None else min(thread_side_mm, margin_mm)


class Loser(Frozen):
    """An electrode on hand that was not taken though it is next in size, and why."""

    label: str
    allowed_offset_mm: float
    why: str


@dataclass(frozen=True, slots=True)
class Choice:
    """The electrode taken from the rack, the room it has, and why; it may still not fit."""

    electrode: Electrode
    window: Window
    fits: bool
    why: str
    neighbours: tuple[Loser, ...] = ()


def required_clearance_mm(nominal_mm: float) -> float:
    """Give the clearance a burn must leave to the thread on each side, in mm.

    max(0.25 mm, 0.06 D) (assumed).

    >>> required_clearance_mm(4), required_clearance_mm(10)
    (0.25, 0.6)
    """
    return max(LEAST_CLEARANCE_MM, _CLEARANCE_PART * nominal_mm)


def bounds_of(
    thread: Thread,
    remnant: Remnant,
    *,
    deepest_mm: float = 0.0,
    required_mm: float | None = None,
    gap_mm: float = ARC_GAP_MM,
    out_of_square: float = 0.0,
    centring_mm: float = 0.0,
) -> Bounds:
    """Give what a burn in a thread has to stay within, ``deepest_mm`` deep at the most.

    ``out_of_square`` is how far the head leans, in mm for each mm of depth.
    """
    if required_mm is None:
        required_mm = required_clearance_mm(thread.nominal_mm)
    return Bounds(
        wall_mm=thread.minor_min_mm,
        wall_below_mm=thread.minor_at_mm(deepest_mm),
        web_mm=remnant.web_mm,
        required_clearance_mm=required_mm,
        gap_mm=gap_mm,
        lean_mm=out_of_square * deepest_mm,
        centring_mm=centring_mm,
        wall=thread.wall,
    )


def window(diameter_mm: float, bounds: Bounds) -> Window:
    """Work out the two-sided window of an electrode of a diameter; lengths in mm.

    Burnt hole d = electrode + 2 gap. Thread side: (wall - d)/2 must keep the required clearance;
    web side: (d - web)/2 must not fall under 0, or a sliver still ties lands together. What the
    head leans goes off both at the deep end.

    >>> from cockpit.trade.remnants import Kind, remnant_in
    >>> from cockpit.trade.threads import read_thread
    >>> thread = read_thread("5/16-18")
    >>> room = window(3.96875, bounds_of(thread, remnant_in(thread, Kind.TAP, flutes=3)))
    >>> round(room.hole_mm, 3), round(room.allowed_offset_mm, 3)
    (4.269, 0.547)
    """
    return window_of_hole(diameter_mm + 2 * bounds.gap_mm, bounds)


def window_of_hole(hole_mm: float, bounds: Bounds) -> Window:
    """Work out the window of a burnt hole of a diameter; lengths in mm."""
    margin_mm = None if bounds.web_mm is None else (hole_mm - bounds.web_mm) / 2
    return Window(
        hole_mm=hole_mm,
        required_clearance_mm=bounds.required_clearance_mm,
        thread_clearance_mm=(bounds.wall_below_mm - hole_mm) / 2 - bounds.lean_mm,
        thread_clearance_surface_mm=(bounds.wall_mm - hole_mm) / 2,
        web_margin_mm=None if margin_mm is None else margin_mm - bounds.lean_mm,
        web_margin_surface_mm=margin_mm,
    )


def judge_electrode(electrode: Electrode, bounds: Bounds) -> Choice:
    """Give the room of an electrode that a person named, whether it fits or not."""
    room = window(electrode.diameter_mm, bounds)
    if room.allowed_offset_mm > 0:
        return Choice(electrode, room, True, "named by a person")
    why = f"{electrode.label} does not fit: it {_fault(room, bounds)}"
    return Choice(electrode, room, False, f"{why}; {_what_helps(electrode, bounds)}")


def _any_length(_electrode: Electrode) -> bool:
    return True


def choose_electrode(
    stock: Sequence[Electrode], bounds: Bounds, reaches: Callable[[Electrode], bool] = _any_length
) -> Choice:
    """Choose the best electrode on hand for a hole; raises ElectrodeError when there is none.

    One that ``reaches`` the target goes before one that does not. Where there is a web: the one
    with the largest allowed offset. Without a web the largest leaves the thinnest shell, as long
    as it leaves the room that centring takes. When nothing fits, the least bad is given with
    ``fits`` False, and ``why`` says which side fails, by how much, and what would help.
    """
    on_hand = [electrode for electrode in stock if electrode.on_hand > 0]
    if not on_hand:
        raise ElectrodeError(
            "No electrode is on hand: count the rack (S on the bench), or correct its profile."
        )
    rooms = [(electrode, window(electrode.diameter_mm, bounds)) for electrode in on_hand]
    fitting = [pair for pair in rooms if pair[1].allowed_offset_mm > 0]
    if not fitting:
        best, room = max(rooms, key=lambda pair: pair[1].allowed_offset_mm)
        why = f"no electrode on hand fits: {best.label}, the least bad, {_fault(room, bounds)}"
        return Choice(best, room, False, f"{why}; {_what_helps(best, bounds)}")

    def merit(pair: tuple[Electrode, Window]) -> tuple[bool, bool, float]:
        electrode, room = pair
        if bounds.web_mm is not None:
            return reaches(electrode), True, room.allowed_offset_mm
        roomy = room.allowed_offset_mm >= bounds.centring_mm
        size_mm = electrode.diameter_mm
        return reaches(electrode), roomy, size_mm if roomy else -size_mm

    best, room = max(fitting, key=merit)
    why = _why(best, room, fitting, bounds)
    return Choice(best, room, True, why, _neighbours(best, room, rooms, bounds, reaches))


def _why(
    best: Electrode,
    room: Window,
    fitting: Sequence[tuple[Electrode, Window]],
    bounds: Bounds,
) -> str:
    """Say what the electrode that was taken has over the others that fit."""
    if bounds.web_mm is not None:
        roomier = any(its.allowed_offset_mm > room.allowed_offset_mm for _, its in fitting)
        those = " of those that reach the target" if roomier else ""
        return f"{best.label} leaves the most room to be off centre{those}"
    if room.allowed_offset_mm < bounds.centring_mm:
        return f"{best.label} leaves the most room to its wall, if little"
    larger = any(other.diameter_mm > best.diameter_mm for other, _ in fitting)
    those = ", can be centred well enough and reaches the target" if larger else ""
    return f"{best.label} is the largest on hand that spares the wall{those}"


def _neighbours(
    best: Electrode,
    room: Window,
    rooms: Sequence[tuple[Electrode, Window]],
    bounds: Bounds,
    reaches: Callable[[Electrode], bool],
) -> tuple[Loser, ...]:
    """Say why the next smaller and the next larger electrode on hand are not taken."""
    smaller = [pair for pair in rooms if pair[0].diameter_mm < best.diameter_mm]
    larger = [pair for pair in rooms if pair[0].diameter_mm > best.diameter_mm]

    def size_mm(pair: tuple[Electrode, Window]) -> float:
        return pair[0].diameter_mm

    near = [*([max(smaller, key=size_mm)] if smaller else [])]
    near += [min(larger, key=size_mm)] if larger else []
    return tuple(
        Loser(
            label=other.label,
            allowed_offset_mm=its.allowed_offset_mm,
            why=_why_not(its, room, bounds, reaches(other)),
        )
        for other, its in near
    )


def _why_not(its: Window, room: Window, bounds: Bounds, reaches: bool) -> str:
    """Say what an electrode lacks against the one that was taken."""
    if its.allowed_offset_mm <= 0:
        return _fault(its, bounds)
    if not reaches:
        return "too short for this hole, or too few of them"
    if bounds.web_mm is None and its.hole_mm < room.hole_mm:
        shell_mm = (room.hole_mm - its.hole_mm) / 2
        return f"leaves a shell {write_both(shell_mm)} thicker"
    allowed = write_both(max(its.allowed_offset_mm, 0.0))
    side = bounds.wall if its.hole_mm > room.hole_mm else "web"
    return f"off by {allowed} at most: its {side} side is nearer"


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


def wear_ratio_of_reach(
    reach_mm: float, length_mm: float, start_mm: float, holder_mm: float
) -> float | None:
    """Give the wear ratio at which an electrode burns from ``start_mm`` to ``reach_mm``.

    None where it is too short to get to ``start_mm``. Lengths in mm.

    >>> wear_ratio_of_reach(40, length_mm=100, start_mm=10, holder_mm=40)
    0.4
    """
    usable_mm = length_mm - holder_mm - start_mm
    return None if usable_mm <= 0 else 1 - (reach_mm - start_mm) / usable_mm


def length_for_reach_mm(
    reach_mm: float, start_mm: float, holder_mm: float, wear_ratio: float
) -> float:
    """Give the length, in mm, of an electrode that burns from ``start_mm`` to ``reach_mm``.

    >>> length_for_reach_mm(40, start_mm=10, holder_mm=40, wear_ratio=0.4)
    100.0
    """
    return holder_mm + start_mm + (reach_mm - start_mm) / (1 - wear_ratio)


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


def _fault(room: Window, bounds: Bounds) -> str:
    """Say which sides of the window fail, and by how much."""
    faults = []
    short_mm = room.required_clearance_mm - room.thread_clearance_mm
    if short_mm >= 0:
        faults.append(f"burns {write_both(short_mm)} too near the {bounds.wall} on each side")
    if room.web_margin_mm is not None and room.web_margin_mm <= 0:
        faults.append(f"leaves {write_both(-room.web_margin_mm)} of the web on each side")
    return " and ".join(faults)


def _what_helps(electrode: Electrode, bounds: Bounds) -> str:
    """Say what would make a hole fit: another size, a smaller gap, a web that was measured."""
    wall_mm = min(bounds.wall_mm, bounds.wall_below_mm - 2 * bounds.lean_mm)
    widest_mm = wall_mm - 2 * bounds.required_clearance_mm
    narrowest_mm = 0.0 if bounds.web_mm is None else bounds.web_mm + 2 * bounds.lean_mm
    if widest_mm <= narrowest_mm:
        if bounds.web_mm is None or widest_mm <= 0:
            return "the hole is too small for the required clearance to its wall"
        most_mm = widest_mm - 2 * bounds.lean_mm
        return f"measure the web of a like tool: one under {write_both(most_mm)} could be burnt out"
    gap_mm = (widest_mm - electrode.diameter_mm) / 2
    # Without a web the largest is wanted, for the thinnest shell.
    over_mm = narrowest_mm if bounds.web_mm is not None else widest_mm - _SHELL_STEP_MM
    helps = [_size_between(over_mm - 2 * bounds.gap_mm, widest_mm - 2 * bounds.gap_mm)]
    if 0 < gap_mm < bounds.gap_mm and electrode.diameter_mm + 2 * gap_mm > narrowest_mm:
        helps.append(f"an arc gap under {write_both(gap_mm)} would do")
    if bounds.web_mm is not None and electrode.diameter_mm + 2 * bounds.gap_mm <= narrowest_mm:
        helps.append("or measure the web of a like tool")
    return ", ".join(helps)


def _size_between(over_mm: float, under_mm: float) -> str:
    """Name an electrode to get: the 1/64 in size nearest the middle, or the span itself."""
    if under_mm <= _THINNEST_MM:
        return "no electrode is thin enough at this arc gap"
    over_mm = max(over_mm, _THINNEST_MM)
    step_mm = read_length_mm("1/64 in")
    sixty_fourths = round((over_mm + under_mm) / 2 / step_mm)
    if sixty_fourths > 0 and over_mm < sixty_fourths * step_mm < under_mm:
        return f"{mixed_number(Fraction(sixty_fourths, 64))} in would fit"
    return f"one from {write_both(over_mm)} to {write_both(under_mm)} would fit"
