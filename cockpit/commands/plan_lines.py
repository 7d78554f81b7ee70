"""What a plan says to a person, line by line: the same on the screen as from the command."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from cockpit.trade.plan import (
    CATCH_RESTS_ON,
    HOLE_RESTS_ON,
    OFFSET_RESTS_ON,
    STOP_RESTS_ON,
    TIME_RESTS_ON,
    Plan,
)
from cockpit.units import LengthUnit, write_both, write_clock, write_length

#: The line that goes first where there is no room for all of them: the sources say it too.
WEAR_FROM = "  wear from"

_Line = tuple[str, ...]
"""A name, a value, and the figures that the value rests on."""


def plan_lines(plan: Plan, unit: LengthUnit | None = None) -> Iterator[tuple[str, str]]:
    """Give name and value of each figure of a plan, marked where it rests on an overruled one.

    Lengths are in ``unit``, or in both where it is None.
    """
    for name, value, *figures in _figures(plan, unit):
        yield name, value + plan.mark(*figures)


def way_lines(plan: Plan) -> Iterator[tuple[str, str]]:
    """Give what the burn takes of the broken tool, what it spares and what is left over."""
    way = plan.remnant.way
    yield "burnt away", way.goes
    yield "spared", way.stays
    yield "left over", way.leaves


def choice_lines(plan: Plan) -> Iterator[tuple[str, str]]:
    """Give why this electrode was taken, and why its neighbours in the rack were not."""
    if plan.electrode.why:
        yield "chosen", plan.electrode.why
    for loser in plan.electrode.neighbours:
        yield f"not {loser.label}", loser.why


def _figures(plan: Plan, unit: LengthUnit | None) -> Iterator[_Line]:
    time = plan.time
    if plan.remnant.web_mm is not None:
        yield "web", _length(plan.remnant.web_mm, unit), "remnant.web_mm"
    yield from _of_electrode(plan, unit)
    yield from _of_arc(plan)
    yield from _of_depth(plan, unit)
    yield "pilot burn", _length(plan.pilot_mm, unit), "pilot_mm"
    spread = f"{write_clock(time.low_s)} to {write_clock(time.high_s)}"
    yield "arc time", f"{write_clock(time.median_s)} ({spread})", *TIME_RESTS_ON
    yield "  from", _burns(time.burns_known, time.alike), "time.alike"
    if plan.wear is not None:
        yield WEAR_FROM, _burns(plan.wear.burns_known, plan.wear.alike), "wear.alike"
    yield "price", f"{plan.price} {plan.currency}", "price", "time.median_s"


def _of_electrode(plan: Plan, unit: LengthUnit | None) -> Iterator[_Line]:
    electrode = plan.electrode
    yield "electrode", electrode.label, "electrode.label"
    yield "burns", f"{_length(electrode.hole_mm, unit)} wide", *HOLE_RESTS_ON
    off = f"{_length(electrode.allowed_offset_mm, unit)} at most"
    yield "off centre", off if plan.fits else "does not fit", *OFFSET_RESTS_ON
    ends_mm = (electrode.allowed_surface_mm, electrode.allowed_below_mm)
    ends = "electrode.allowed_surface_mm", "electrode.allowed_below_mm"
    yield "  top, bottom", _lengths(ends_mm, unit), *ends
    if electrode.allowed_out_of_square is not None:
        square = f"{100 * electrode.allowed_out_of_square:.2f} per 100, centred"
        yield "out of square", square, "electrode.allowed_out_of_square"
    needed = "too short" if electrode.needed is None else f"{electrode.needed} needed"
    yield "electrodes", needed, "electrode.needed", "electrode.reach_mm"


def _of_arc(plan: Plan) -> Iterator[_Line]:
    arc, flush = plan.arc, plan.flush
    amps = f"{arc.amps_low:.0f} to {arc.amps_high:.0f} A"
    yield (
        "heat range",
        f"{arc.range}{plan.mark('arc.range')}, {amps}",
        "arc.amps_low",
        "arc.amps_high",
    )
    yield "flush catch", f"{flush.catch_ml_10s:.0f} ml in 10 s", *CATCH_RESTS_ON
    yield "flush warms", f"by {flush.rise_k:.0f} degrees C", "flush.rise_k"


def _of_depth(plan: Plan, unit: LengthUnit | None) -> Iterator[_Line]:
    depth = plan.depth
    first_mm, *later_mm = depth.stops_mm
    yield "break at", _length(depth.recess_mm, unit), "depth.recess_mm"
    at_limit = ", the limit" if depth.target_mm == depth.limit_mm else ""
    yield "target", _length(depth.target_mm, unit) + at_limit, "depth.target_mm"
    limit = "none: it falls through" if depth.limit_mm is None else _length(depth.limit_mm, unit)
    yield "limit", limit, "depth.limit_mm"
    yield "first stop", f"{_length(first_mm, unit)} on indicator", *STOP_RESTS_ON
    if later_mm:
        yield "  once worn", _lengths(later_mm, unit), *STOP_RESTS_ON
    if depth.touch_offs:
        times = "once" if depth.touch_offs == 1 else f"{depth.touch_offs} times"
        yield "touch off", times, "depth.touch_offs"


def _burns(known: int, alike: int) -> str:
    """How many burns of the log a figure goes by, in as many letters as a narrow screen has.

    >>> _burns(23, 5), _burns(1, 0), _burns(1, 1)
    ('23 burns, 5 alike', '1 burn, not alike', '1 burn, alike')
    """
    if known <= 1:
        return f"1 burn, {'alike' if alike else 'not alike'}" if known else "no burn known yet"
    return f"{known} burns, {alike or 'none'} alike"


def _length(mm: float, unit: LengthUnit | None) -> str:
    return write_both(mm) if unit is None else write_length(mm, unit)


def _lengths(lengths_mm: Iterable[float], unit: LengthUnit | None) -> str:
    """Several lengths; in one unit it is named once, at the end."""
    if unit is None:
        return ", ".join(map(write_both, lengths_mm))
    return f"{', '.join(write_length(mm, unit, with_unit=False) for mm in lengths_mm)} {unit}"
