"""``burn-cockpit rehearse``: one whole invented hole, without a screen or a person."""

from __future__ import annotations

import argparse
import tempfile
from pathlib import Path

from cockpit.burn.calls import Call, CallKind
from cockpit.burn.replay import call_json
from cockpit.commands import CommandError
from cockpit.commands.answer import say, say_json, sentences
from cockpit.flow.rehearsal import RehearsalError, Rehearsed, rehearse
from cockpit.gauges import GaugeError
from cockpit.log.store import LogError
from cockpit.profiles import ProfileError
from cockpit.record.text import hole_record
from cockpit.units import LengthUnit


def run(asked: argparse.Namespace) -> None:
    """Rehearse in a folder of its own, or in the one that was named, and print the record."""
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as passing:
        folder = asked.data or Path(passing)
        with sentences(GaugeError, LogError, ProfileError):
            try:
                rehearsed = rehearse(folder, asked.seed, asked.speed)
            except RehearsalError as error:
                raise CommandError(f"The rehearsal stopped: {error}") from error
    if asked.json:
        say_json(_as_json(rehearsed))
    else:
        for line in hole_record(rehearsed.page, rehearsed.state, LengthUnit.MM).splitlines():
            say(line)


def _as_json(rehearsed: Rehearsed) -> dict[str, object]:
    page, state, depth = rehearsed.page, rehearsed.state, rehearsed.state.depth_mm
    return {
        "hole": page.row.label,
        "thread": page.row.thread,
        "broken": page.row.broken,
        "target_mm": page.plan and page.plan.depth.target_mm,
        "depth_mm": depth and depth.mid,
        "depth_low_mm": depth and depth.low,
        "depth_high_mm": depth and depth.high,
        "arc_s": sum(burn.arc_s for burn in page.burns),
        "burns": len(page.burns),
        "readings": state.readings,
        "checks": len(page.checks),
        "calls": [call_json(Call(row.t_s, CallKind(row.call), row.depth_mm)) for row in page.calls],
        "outcome": page.outcome and page.outcome.outcome.result,
    }
