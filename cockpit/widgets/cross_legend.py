"""The words and figures beside a cross-section."""

from __future__ import annotations

from dataclasses import dataclass

from cockpit.units import LengthUnit, write_length
from cockpit.widgets.cross_view import ARROWS, ASCII_ARROWS, ASCII_MARKS, CrossView
from cockpit.widgets.picture import Ink

WIDE = 24
"""The width of a legend with figures, with a column's distance from the picture."""

NARROW = 12
"""The width of a legend of words alone."""

_SAMPLES = {
    Ink.THREAD: "⠶",
    Ink.WEB: "⢕",
    Ink.BURNT: "⠒",
    Ink.ELECTRODE: "⠐",
    Ink.ALLOWED: "⠂",
    Ink.HARM: "⣿",
}


@dataclass(frozen=True, slots=True)
class Entry:
    """A line of the legend: a sample of the ink, then words in full and in at most nine cells."""

    ink: Ink
    sample: str
    wide: str
    narrow: str


def legend(view: CrossView, unit: LengthUnit, *, ascii_only: bool = False) -> list[Entry]:
    """List what the picture shows and, when there is a burn, how it stands."""
    marks = ASCII_MARKS if ascii_only else _SAMPLES
    sizes = [
        (Ink.THREAD, "thread", view.minor_mm),
        (Ink.WEB, "web", view.web_mm),
        (Ink.BURNT, "burn", view.hole_mm),
        (Ink.ELECTRODE, "electrode", view.electrode_mm),
    ]
    entries = [
        Entry(ink, marks[ink], _in_columns(word, write_length(mm, unit)), word)
        for ink, word, mm in sizes
        if mm is not None
    ]
    fits = view.allowed_offset_mm > 0
    allowed = write_length(view.allowed_offset_mm, unit) if fits else "none"
    entries.append(
        Entry(Ink.ALLOWED, marks[Ink.ALLOWED], _in_columns("may be off", allowed), "allowed")
    )
    if view.offset is not None:
        entries += _offset(view.offset, unit, ASCII_ARROWS if ascii_only else ARROWS)
    return entries + _harms(view, marks[Ink.HARM])


def _in_columns(word: str, figure: str) -> str:
    return f"{word:<11}{figure}"


def _offset(offset: tuple[float, float], unit: LengthUnit, arrows: str) -> list[Entry]:
    """Say how far off the burn is, and which way, across and along."""
    across, along = offset
    ways = (
        (across, "right", arrows[0]) if across >= 0 else (across, "left", arrows[4]),
        (along, "away", arrows[2]) if along >= 0 else (along, "towards", arrows[6]),
    )
    return [
        Entry(
            Ink.CENTRE,
            arrow,
            _in_columns(word, write_length(abs(mm), unit)),
            write_length(abs(mm), unit, with_unit=False),
        )
        for mm, word, arrow in ways
    ]


def _harms(view: CrossView, mark: str) -> list[Entry]:
    """Name every harm the burn does where it stands."""
    harms = []
    if view.touches_thread:
        harms.append(Entry(Ink.HARM, mark, "touches the thread", "thread!"))
    if view.leaves_web:
        harms.append(Entry(Ink.HARM, mark, "leaves some web", "web left"))
    if view.is_too_far_off and not harms:
        harms.append(Entry(Ink.HARM, mark, "too far off", "too far"))
    return harms
