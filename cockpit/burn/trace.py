"""Recorded readings as CSV: ``t_s,travel_mm,mark,value_mm``, the last two optional.

A row is a reading, a mark, or both. What a mark means, and what its length, says ``reading.Mark``.
``start`` counts before the reading of its row, every other mark after it. In a file without any
``start`` the arc is on from the first row to the last. Cells may be quoted, as spreadsheets do, but
a row is always one line.
"""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from reprlib import repr as shortly
from typing import TextIO

from cockpit.burn.reading import BARE, MEASURING, STOPPING, Mark, MarkKind, Reading, believable

HEADER = ("t_s", "travel_mm", "mark", "value_mm")

_NUMBER = re.compile(r"[-+]?(\d+\.?\d*|\.\d+)(e[-+]?\d+)?", re.ASCII | re.IGNORECASE)


class TraceError(ValueError):
    """A trace file that can't be used: says which file, which line, and what is wrong."""


@dataclass(frozen=True, slots=True)
class Trace:
    """A trace in memory. ``skipped``: bad rows passed over (only when read leniently)."""

    events: tuple[Reading | Mark, ...]
    skipped: int = 0

    def with_arc(self) -> Trace:
        """The same with the arc marked on from first to last, if nothing marks it."""
        if not self.events or any(
            isinstance(event, Mark) and event.kind is MarkKind.START for event in self.events
        ):
            return self
        first, last = self.events[0], self.events[-1]
        events = (Mark(first.t_s, MarkKind.START), *self.events, Mark(last.t_s, MarkKind.STOP))
        return Trace(events, self.skipped)

    @property
    def break_mm(self) -> float:
        """Where the burn seems to begin, if nobody says: at the first readings under the arc, mm.

        The shallowest of three, so that a single spike is not taken for the break; never above the
        surface.
        """
        under_arc, arc = list[float](), False
        for event in self.with_arc().events:
            if isinstance(event, Mark):
                arc = event.kind is MarkKind.START or (arc and event.kind not in STOPPING)
            elif arc:
                under_arc.append(event.travel_mm)
        return max(0.0, min(under_arc[:3], default=0.0))


def read_trace(path: Path, *, lenient: bool = False) -> Trace:
    """Read a trace file. Raises TraceError at the first bad row, unless ``lenient``."""
    if "\0" in str(path):
        raise TraceError(f"{path}: is no name of a file; check the name of the trace file.")
    try:
        with path.open(encoding="utf-8-sig") as file:
            return _read(path, file, lenient)
    except OSError as error:
        reason = error.strerror or "can't be read"
        raise TraceError(f"{path}: {reason}; check the name of the trace file.") from error
    except UnicodeDecodeError as error:
        raise TraceError(f"{path}: is not text; a trace is a CSV file in UTF-8.") from error


def _read(path: Path, file: TextIO, lenient: bool) -> Trace:
    columns = _columns(path, file.readline())
    events: list[Reading | Mark] = []
    skipped = 0
    last_s = -math.inf
    for number, line in enumerate(file, start=2):
        try:
            found = _events(_cells(line), columns, last_s)
        except ValueError as error:
            if not lenient:
                raise TraceError(f"{path}, line {number}: {error}") from error
            skipped += 1
            continue
        events += found
        last_s = found[-1].t_s if found else last_s
    if not events:
        raise TraceError(f"{path}: holds no reading; a trace needs at least one row.")
    marks = [event for event in events if isinstance(event, Mark)]
    if any(mark.changes for mark in marks) and MarkKind.START not in {mark.kind for mark in marks}:
        raise TraceError(
            f"{path}: marks another electrode or spot, but no arc, which would then be on all the "
            "time: mark start and stop as well."
        )
    return Trace(tuple(events), skipped)


def _cells(line: str) -> list[str]:
    """The cells of one line, stripped. Raises ValueError."""
    try:
        return [cell.strip() for cell in next(csv.reader([line], strict=True), [])]
    except csv.Error as error:
        raise ValueError(f"is not a row of a CSV file: {error}.") from error


def _columns(path: Path, line: str) -> list[str]:
    try:
        names = _cells(line)
    except ValueError:
        names = []
    if names not in (list(HEADER[:2]), list(HEADER[:3]), list(HEADER)):
        raise TraceError(
            f"{path}, line 1: the header must be {','.join(HEADER)}; the last two may be missing."
        )
    return names


def _events(row: list[str], columns: list[str], last_s: float) -> list[Reading | Mark]:
    if not any(row):
        return []
    if any(row[len(columns) :]):
        raise ValueError(f"has more than {len(columns)} cells; lengths need a decimal point.")
    cells = dict(zip(columns, row, strict=False))

    def cell(name: str) -> str:
        return cells.get(name, "")

    t_s = _number(cell("t_s"), "t_s")
    if t_s < 0:
        raise ValueError(f"t_s is {t_s:g}; a trace begins at 0 or later.")
    if t_s < last_s:
        raise ValueError(f"t_s goes back from {last_s:g} to {t_s:g}; rows must be in time order.")
    travel_mm = _travel(cell("travel_mm")) if cell("travel_mm") else None
    reading = [] if travel_mm is None else [Reading.at(t_s, travel_mm)]
    if not cell("mark"):
        if not reading:
            raise ValueError("has neither travel_mm nor mark; give one of them.")
        if cell("value_mm"):
            raise ValueError("has a value_mm without a mark that says what it is.")
        return list(reading)
    mark = _mark(t_s, cell("mark"), cell("value_mm"), travel_mm)
    return [mark, *reading] if mark.kind is MarkKind.START else [*reading, mark]


def _mark(t_s: float, name: str, value: str, travel_mm: float | None) -> Mark:
    try:
        kind = MarkKind(name.lower())
    except ValueError:
        known = ", ".join(MarkKind)
        raise ValueError(f"mark {shortly(name)} is not known; use one of {known}.") from None
    if kind in BARE and value:
        raise ValueError(f"mark {kind} has no length; leave value_mm empty.")
    if value:
        return Mark.at(t_s, kind, _travel(value, "value_mm"))
    if kind is MarkKind.TOUCH and travel_mm is not None:
        return Mark.at(t_s, kind, travel_mm)
    if kind in MEASURING:
        raise ValueError(f"mark {kind} needs a length in value_mm.")
    return Mark.at(t_s, kind)


def _number(text: str, name: str) -> float:
    if not _NUMBER.fullmatch(text):
        raise ValueError(f"{name} is {shortly(text)}; it must be a number.")
    number = float(text)
    if not math.isfinite(number):
        raise ValueError(f"{name} is {shortly(text)}; it must be finite.")
    return number


def _travel(text: str, name: str = "travel_mm") -> float:
    number = _number(text, name)
    if not believable(number):
        raise ValueError(f"{name} is {shortly(text)}; no head travels that far.")
    return number


def trace_rows(events: Iterable[Reading | Mark]) -> Iterator[tuple[str, str, str, str]]:
    """The rows of a trace file for these events, without the header."""
    for event in events:
        if isinstance(event, Reading):
            yield f"{event.t_s:.3f}", f"{event.travel_mm:.3f}", "", ""
        else:
            value = "" if event.value_mm is None else f"{event.value_mm:.3f}"
            yield f"{event.t_s:.3f}", "", event.kind.value, value


def write_trace(file: TextIO, events: Iterable[Reading | Mark]) -> None:
    """Write a trace file that ``read_trace`` reads back as the same events."""
    writer = csv.writer(file, lineterminator="\n")
    writer.writerow(HEADER)
    writer.writerows(trace_rows(events))
