"""Recorded readings as CSV: ``t_s,travel_mm,mark,value_mm``, the last two optional.

A row is a reading, a mark, or both. ``start`` counts before the reading of its row, every other
mark after it. In a file without any ``start`` the arc is on from the first row to the last.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TextIO

from cockpit.burn.reading import Mark, MarkKind, Reading, believable

HEADER = ("t_s", "travel_mm", "mark", "value_mm")


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


def read_trace(path: Path, *, lenient: bool = False) -> Trace:
    """Read a trace file. Raises TraceError at the first bad row, unless ``lenient``."""
    try:
        with path.open(encoding="utf-8-sig", newline="") as file:
            return _read(path, file, lenient)
    except OSError as error:
        reason = error.strerror or "can't be read"
        raise TraceError(f"{path}: {reason}; check the name of the trace file.") from error
    except UnicodeDecodeError as error:
        raise TraceError(f"{path}: is not text; a trace is a CSV file in UTF-8.") from error


def _read(path: Path, file: TextIO, lenient: bool) -> Trace:
    rows = csv.reader(file)
    columns = _columns(path, next(rows, []))
    events: list[Reading | Mark] = []
    skipped = 0
    last_s = -math.inf
    while True:
        try:
            row = next(rows, None)
            if row is None:
                break
            found = _events(row, columns, last_s) if any(map(str.strip, row)) else []
        except (ValueError, csv.Error) as error:
            if not lenient:
                raise TraceError(f"{path}, line {rows.line_num}: {error}") from error
            skipped += 1
            continue
        events += found
        last_s = found[-1].t_s if found else last_s
    if not events:
        raise TraceError(f"{path}: holds no reading; a trace needs at least one row.")
    return Trace(tuple(events), skipped)


def _columns(path: Path, header: list[str]) -> dict[str, int]:
    names = [name.strip() for name in header]
    if names[:2] != list(HEADER[:2]) or not set(names) <= set(HEADER):
        raise TraceError(f"{path}, line 1: the header must be {','.join(HEADER)}.")
    return {name: place for place, name in enumerate(names)}


def _events(row: list[str], columns: dict[str, int], last_s: float) -> list[Reading | Mark]:
    def cell(name: str) -> str:
        place = columns.get(name, len(row))
        return row[place].strip() if place < len(row) else ""

    t_s = _number(cell("t_s"), "t_s")
    if t_s < last_s:
        raise ValueError(f"t_s goes back from {last_s:g} to {t_s:g}; rows must be in time order.")
    travel_mm = _travel(cell("travel_mm")) if cell("travel_mm") else None
    reading = [] if travel_mm is None else [Reading.at(t_s, travel_mm)]
    if not cell("mark"):
        if not reading:
            raise ValueError("has neither travel_mm nor mark; give one of them.")
        return list(reading)
    mark = _mark(t_s, cell("mark"), cell("value_mm"), travel_mm)
    return [mark, *reading] if mark.kind is MarkKind.START else [*reading, mark]


def _mark(t_s: float, name: str, value: str, travel_mm: float | None) -> Mark:
    try:
        kind = MarkKind(name.lower())
    except ValueError:
        known = ", ".join(MarkKind)
        raise ValueError(f"mark {name!r} is not known; use one of {known}.") from None
    if kind in (MarkKind.START, MarkKind.STOP):
        return Mark.at(t_s, kind)
    if value:
        return Mark.at(t_s, kind, _travel(value, "value_mm"))
    if kind is MarkKind.TOUCH and travel_mm is not None:
        return Mark.at(t_s, kind, travel_mm)
    raise ValueError(f"mark {kind} needs a length in value_mm.")


def _number(text: str, name: str) -> float:
    try:
        number = float(text)
    except ValueError:
        raise ValueError(f"{name} is {text!r}; it must be a number.") from None
    if not math.isfinite(number):
        raise ValueError(f"{name} is {text!r}; it must be finite.")
    return number


def _travel(text: str, name: str = "travel_mm") -> float:
    number = _number(text, name)
    if not believable(number):
        raise ValueError(f"{name} is {text}; no head travels that far.")
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
