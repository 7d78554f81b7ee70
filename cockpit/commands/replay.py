"""``burn-cockpit replay``: recorded readings through the tracker that the screen uses."""

from __future__ import annotations

import argparse
import dataclasses
from collections.abc import Iterator
from pathlib import Path

from cockpit.burn.aim import Aim
from cockpit.burn.replay import Replay, replay
from cockpit.burn.trace import TraceError, read_trace
from cockpit.commands import CommandError
from cockpit.commands.answer import say, say_json, sentences
from cockpit.units import LengthUnit, UnitsError, read_length_mm, write_clock, write_length


def run(asked: argparse.Namespace) -> None:
    """Print what each trace comes to, in the order of the files."""
    with sentences(UnitsError):
        aim = _aim(asked)
    for path in asked.files:
        try:
            trace = read_trace(path, lenient=asked.lenient)
        except TraceError as error:
            raise CommandError(str(error)) from error
        if asked.recess is None:
            aim = dataclasses.replace(aim, recess_mm=trace.break_mm)
        result = replay(trace, aim)
        if asked.json:
            say_json(result.as_json())
        else:
            for line in _lines(path, result):
                say(line)


def _aim(asked: argparse.Namespace) -> Aim:
    target_mm, limit_mm = _length(asked.target), _length(asked.limit)
    recess_mm = _length(asked.recess) or 0.0
    for name, value_mm in (("--target", target_mm), ("--limit", limit_mm)):
        if value_mm is not None and value_mm <= max(recess_mm, 0.0):
            raise CommandError(f"{name} must be deeper than the break at {recess_mm:g} mm.")
    return Aim(
        recess_mm=recess_mm,
        target_mm=target_mm,
        limit_mm=limit_mm,
        wear_mean=asked.wear,
        wear_sd=asked.wear_sd,
        measures_anew=True,
    )


def _length(text: str | None) -> float | None:
    return None if text is None else read_length_mm(text)


def _lines(path: Path, result: Replay) -> Iterator[str]:
    """The result for a person."""
    state, mm = result.state, LengthUnit.MM
    yield f"{path}: {state.readings} readings, {result.rejected} rejected"
    yield f"  arc time        {write_clock(state.arc_s)}"
    if state.depth_mm is not None and state.high_mm is not None:
        low, high = write_length(state.depth_mm.low, mm), write_length(state.depth_mm.high, mm)
        yield f"  travel          {write_length(state.high_mm, mm)}"
        yield f"  depth           {write_length(state.depth_mm.mid, mm)} ({low} to {high}, 95 %)"
    yield f"  wear ratio      {state.wear.ratio:.3f} ± {state.wear.ratio_sd:.3f}"
    for call in result.calls:
        at = "" if call.depth_mm is None else f" at {write_length(call.depth_mm, mm)}"
        yield f"  {call.kind:<16}{write_clock(call.t_s)}{at}: {call.text}"
