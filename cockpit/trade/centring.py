"""The pilot spot: is it centred enough to go on?

Offsets are seen from the operator: across is positive to the right, along is positive away.
"""

from math import hypot
from typing import Literal

from cockpit.trade.base import Frozen
from cockpit.trade.electrodes import Window
from cockpit.units import write_both

Verdict = Literal["go on", "move", "stop"]


class CentreVerdict(Frozen):
    """What an offset of the pilot spot leaves, in mm, and what to do about it.

    ``thread_clearance_mm`` and ``web_margin_mm`` (None without a web) are what is left at the deep
    end of the burn, where it is least; ``..._surface_mm`` what is left at the surface. Under 0 the
    burn reaches the thread, or leaves that much of the web.
    """

    across_mm: float
    along_mm: float
    offset_mm: float
    thread_clearance_mm: float
    thread_clearance_surface_mm: float
    web_margin_mm: float | None
    web_margin_surface_mm: float | None
    verdict: Verdict
    move_across_mm: float
    move_along_mm: float
    text: str


def judge_centre(
    window: Window,
    across_mm: float,
    along_mm: float,
    allowed_mm: float | None = None,
    wall: str = "thread",
) -> CentreVerdict:
    """Judge a pilot spot by its offset from the hole's axis; all in mm.

    Go on while the offset is within the allowed one, that of the window unless told (a centred
    spot cannot be bettered, even with an electrode that does not fit); stop when a burn there would
    reach the thread; else move back by the offset. Clearance and margin left are those of a centred
    burn less the offset. ``wall``: the word for what the burn must not reach.

    >>> room = Window(hole_mm=4.27, required_clearance_mm=0.48, thread_clearance_mm=1.07,
    ...               thread_clearance_surface_mm=1.07, web_margin_mm=0.55,
    ...               web_margin_surface_mm=0.55)
    >>> judge_centre(room, 0.3, -0.6).text
    'Move the electrode 0.30 mm = 0.0118 in to the left and 0.60 mm = 0.0236 in away from you, \
then burn another spot.'
    """
    offset_mm = hypot(across_mm, along_mm)
    allowed_mm = window.allowed_offset_mm if allowed_mm is None else allowed_mm
    clearance_mm = window.thread_clearance_mm - offset_mm
    verdict: Verdict = "move"
    if clearance_mm < 0:
        verdict = "stop"
    elif offset_mm <= max(allowed_mm, 0.0):
        verdict = "go on"
    moves = verdict != "go on"
    return CentreVerdict(
        across_mm=across_mm,
        along_mm=along_mm,
        offset_mm=offset_mm,
        thread_clearance_mm=clearance_mm,
        thread_clearance_surface_mm=window.thread_clearance_surface_mm - offset_mm,
        web_margin_mm=_less(window.web_margin_mm, offset_mm),
        web_margin_surface_mm=_less(window.web_margin_surface_mm, offset_mm),
        verdict=verdict,
        move_across_mm=-across_mm if moves else 0.0,
        move_along_mm=-along_mm if moves else 0.0,
        text=_text(verdict, across_mm, along_mm, clearance_mm, wall),
    )


def _less(room_mm: float | None, offset_mm: float) -> float | None:
    return None if room_mm is None else room_mm - offset_mm


def _text(
    verdict: Verdict, across_mm: float, along_mm: float, clearance_mm: float, wall: str
) -> str:
    """Say in one sentence what to do."""
    if verdict == "go on":
        return f"Go on: {write_both(clearance_mm)} are left to the {wall} on the near side."
    move = _move(across_mm, along_mm)
    if verdict == "stop":
        depth = write_both(-clearance_mm)
        return f"Stop: the spot may have cut {depth} into the {wall}. Look at it before all else."
    return f"{move[:1].upper()}{move[1:]}then burn another spot."


def _move(across_mm: float, along_mm: float) -> str:
    """Say which way the electrode has to go: against the offset."""
    ways = []
    if across_mm:
        ways.append(f"{write_both(abs(across_mm))} to the {'left' if across_mm > 0 else 'right'}")
    if along_mm:
        ways.append(f"{write_both(abs(along_mm))} {'towards' if along_mm > 0 else 'away from'} you")
    return f"move the electrode {' and '.join(ways)}, " if ways else ""
