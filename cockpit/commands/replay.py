"""``burn-cockpit replay``: recorded readings through the tracker that the screen uses."""

from __future__ import annotations

import argparse
import dataclasses
from collections.abc import Iterator
from pathlib import Path

from cockpit.burn.aim import HEAD_SPEED_MM_S, Aim
from cockpit.burn.replay import Replay, replay
from cockpit.burn.trace import TraceError, read_trace
from cockpit.commands import CommandError
from cockpit.commands.answer import say, say_json, sentences
from cockpit.profiles import ProfileError, load_gauge, load_shop
from cockpit.trade.wear import MeasurementNoise
from cockpit.units import LengthUnit, UnitsError, read_length_mm, write_clock, write_length


def run(asked: argparse.Namespace) -> None:
    """Print what each trace comes to, in the order of the files."""
    with sentences(ProfileError, UnitsError):
        aim = _aim(asked)
    for path in asked.files:
        with sentences(TraceError):
            trace = read_trace(path, lenient=asked.lenient)
        if asked.recess is None:
            aim = dataclasses.replace(aim, recess_mm=trace.break_mm)
            _refuse_depths(aim, f"{path}: ")
        result = replay(trace, aim)
        if asked.json:
            say_json(result.as_json())
        else:
            for line in _lines(path, result):
                say(line)


def _aim(asked: argparse.Namespace) -> Aim:
    gauge = load_gauge(asked.gauge) if asked.gauge else None
    machine = load_shop(machine=asked.machine).machine if asked.machine else None
    aim = Aim(
        recess_mm=max(_length(asked.recess) or 0.0, 0.0),
        target_mm=_length(asked.target),
        limit_mm=_length(asked.limit),
        wear_mean=asked.wear,
        wear_sd=asked.wear_sd,
        noise=gauge.noise if gauge else MeasurementNoise(),
        streaming=gauge.streaming if gauge else True,
        measures_anew=True,
        doubts_unseen=True,
        head_speed_mm_s=machine.max_head_speed_mm_s if machine else HEAD_SPEED_MM_S,
    )
    _refuse_depths(aim)
    return aim


def _refuse_depths(aim: Aim, where: str = "") -> None:
    """Refuse a target or a limit above the break, and a target below the limit."""
    for name, value_mm in (("--target", aim.target_mm), ("--limit", aim.limit_mm)):
        if value_mm is not None and value_mm <= aim.recess_mm:
            raise CommandError(
                f"{where}{name} must be deeper than the break at {aim.recess_mm:g} mm."
            )
    if aim.target_mm is not None and aim.limit_mm is not None and aim.target_mm > aim.limit_mm:
        raise CommandError(
            f"{where}--target {aim.target_mm:g} mm lies below --limit {aim.limit_mm:g} mm: "
            "give a target above the limit."
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
