"""The words and figures beside a cross-section."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from cockpit.units import LengthUnit, write_length
from cockpit.widgets.cross_view import ARROWS, ASCII_ARROWS, ASCII_MARKS, NOTHING_MM, CrossView
from cockpit.widgets.picture import Ink

_SAMPLES = {
    Ink.THREAD: "⠶",
    Ink.TOOL: "⠡",
    Ink.WEB: "⢕",
    Ink.BURNT: "⠒",
    Ink.ELECTRODE: "⠐",
    Ink.KEEP: "⠤",
    Ink.ALLOWED: "⠂",
    Ink.BEFORE: "○",
    Ink.HARM: "█",
}
BEFORE_MARK = _SAMPLES[Ink.BEFORE]
"""How the pilot burn before this one is marked."""

_WORD, _SHORT = 12, 7


@dataclass(frozen=True, slots=True)
class Entry:
    """A line of the legend: a sample, what it is in full and in short, and its figure if any.

    ``word``: at most 12 characters. ``short``: at most 7; None when the entry has to be left out
    where there is no room for more. ``is_loud``: written in its ink, not as a plain label.
    ``mark``: stands behind the figure.
    """

    ink: Ink
    sample: str
    word: str
    short: str | None = None
    mm: float | None = None
    is_loud: bool = False
    mark: str = ""


@dataclass(frozen=True, slots=True)
class Table:
    """A legend ready to be placed: lines of one width, weightiest first, and a line over them."""

    width: int
    header: str
    lines: tuple[tuple[Entry, str], ...]


def legend(view: CrossView, *, ascii_only: bool = False) -> list[Entry]:
    """List what the picture shows, weightiest first: how the burn stands, then what is drawn."""
    marks = ASCII_MARKS if ascii_only else _SAMPLES
    arrows = ASCII_ARROWS if ascii_only else ARROWS

    def size(ink: Ink, word: str, short: str | None, mm: float | None) -> Iterator[Entry]:
        if mm is not None:
            yield Entry(ink, marks[ink], word, short, mm, mark=view.marks.get(ink, ""))

    entries = [*_stand(view, marks, arrows)]
    if view.allowed_offset_mm > 0:
        entries += size(Ink.ALLOWED, "off at most", "off max", view.allowed_offset_mm)
    else:
        entries.append(Entry(Ink.HARM, marks[Ink.HARM], "does not fit", "no fit", is_loud=True))
    wall = view.wall
    entries += size(Ink.THREAD, wall, wall, view.minor_mm)
    entries += size(Ink.THREAD, f"{wall} below", "below", view.lower_minor_mm)
    entries += size(Ink.WEB, "web", "web", view.web_mm)
    entries += size(Ink.BURNT, "burn", "burn", view.hole_mm)
    entries += size(Ink.KEEP, f"{wall} needs", "needs", view.required_mm or None)
    entries += size(Ink.ELECTRODE, "electrode", None, view.electrode_mm)
    return entries


def _stand(view: CrossView, marks: dict[Ink, str], arrows: str) -> Iterator[Entry]:
    """Say how the burn stands, which way it has to be moved, and what it leaves."""
    harm = [*_harms(view, marks[Ink.HARM])]
    if view.offset is None:
        yield from harm
        return
    across, along = view.offset
    if view.is_too_far_off:
        yield Entry(Ink.HARM, marks[Ink.HARM], "too far off", "too far", is_loud=True)
    elif not harm:
        word, short = ("near enough", "near ok") if view.is_off else ("on centre", "centred")
        yield Entry(Ink.ALLOWED, marks[Ink.ALLOWED], word, short, is_loud=True)
    if view.is_too_far_off or harm:
        move = "MOVE" if view.is_too_far_off else "move"
        yield from _way(Ink.MOVE, move, (-across, -along), arrows, is_loud=view.is_too_far_off)
    yield from harm
    yield from _way(Ink.CENTRE, "off", (across, along), arrows)
    if not view.touches_thread:
        yield Entry(Ink.KEEP, " ", f"{view.wall} clear", "clear", view.thread_clear_mm)
    if not view.leaves_web and view.web_margin_mm is not None:
        yield Entry(Ink.WEB, " ", "web margin", "margin", view.web_margin_mm)
    if view.before is not None:
        away_mm = math.hypot(*view.before)
        yield Entry(Ink.BEFORE, marks[Ink.BEFORE], "spot before", "before", away_mm)


def _harms(view: CrossView, mark: str) -> Iterator[Entry]:
    """Name every harm the burn does where it stands, and how much."""
    if view.touches_thread:
        depth_mm = -view.thread_clear_mm
        yield Entry(Ink.HARM, mark, f"into {view.wall}", f"{view.wall}!", depth_mm, is_loud=True)
    if view.leaves_web and view.web_margin_mm is not None:
        yield Entry(Ink.HARM, mark, "leaves web", "unburnt", -view.web_margin_mm, is_loud=True)


def _way(
    ink: Ink, word: str, way: tuple[float, float], arrows: str, *, is_loud: bool = False
) -> Iterator[Entry]:
    """Say how far across and how far along, each with its arrow; nothing for nothing."""
    across, along = way
    for mm, side, eighth in (
        (across, "right" if across > 0 else "left", 0 if across > 0 else 4),
        (along, "away" if along > 0 else "towards", 2 if along > 0 else 6),
    ):
        if abs(mm) >= NOTHING_MM:
            yield Entry(ink, arrows[eighth], f"{word} {side}", word, abs(mm), is_loud)


def wide(entries: Sequence[Entry], unit: LengthUnit) -> Table:
    """Write a legend in full, every figure with its unit."""

    def tail(figure: str) -> str:
        return f" {figure} {unit}" if figure.strip() else " " * (len(figure) + 2 + len(unit))

    return _table(entries, unit, lambda entry: entry.word.ljust(_WORD), tail, "")


def narrow(entries: Sequence[Entry], unit: LengthUnit) -> Table:
    """Write a legend in short words, the unit once over the figures."""
    short = [entry for entry in entries if entry.short is not None]
    return _table(short, unit, lambda entry: (entry.short or "").ljust(_SHORT), " {}".format, unit)


def _table(
    entries: Sequence[Entry],
    unit: LengthUnit,
    word: Callable[[Entry], str],
    tail: Callable[[str], str],
    header: str,
) -> Table:
    # A mark is hung behind the column, so that the figures stay under each other.
    hung = max((len(entry.mark) for entry in entries), default=0)
    figures = [
        ""
        if entry.mm is None
        else write_length(entry.mm, unit, with_unit=False) + entry.mark.ljust(hung)
        for entry in entries
    ]
    longest = max(map(len, figures), default=0)
    lines = [
        (entry, word(entry) + tail(figure.rjust(longest)))
        for entry, figure in zip(entries, figures, strict=True)
    ]
    width = max((2 + len(text) for _, text in lines), default=0)
    return Table(width, header.rjust(width) if header else "", tuple(lines))
