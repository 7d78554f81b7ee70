"""``burn-cockpit record``: the record of a hole, or of its job, in a file for the customer."""

from __future__ import annotations

import argparse
from contextlib import closing
from pathlib import Path

from cockpit.commands import UsageError
from cockpit.commands.answer import existing_log, say, sentences
from cockpit.flow.bench import counted
from cockpit.flow.handing_over import ENDINGS, job_facts, put_in_place, record_form
from cockpit.log import LogError
from cockpit.log.opening import open_to_read
from cockpit.profiles import ProfileError, load_letterhead, load_shop
from cockpit.units import LengthUnit, quoted


def run(asked: argparse.Namespace) -> None:
    """Write the record that was asked for: all of it, or nothing."""
    file: Path = asked.to
    ending = file.suffix.lower()
    if ending not in ENDINGS:
        raise UsageError(
            f"{quoted(file.name)} ends in no form of a record: name a file that ends in "
            f"{', '.join(ENDINGS[:-1])} or {ENDINGS[-1]}."
        )
    path = existing_log(asked.data, asked.demo)
    unit = LengthUnit.INCH if asked.inch else LengthUnit.MM
    with sentences(LogError, ProfileError), closing(open_to_read(path)) as connection:
        rates = load_shop().rates if asked.prices else None
        facts = job_facts(connection, path, asked.hole, rates, whole_job=asked.job)
        head = load_letterhead().told
        held = record_form(ending, facts, unit, head=head, whole_job=asked.job)
        put_in_place(file, held)
    holes = counted(len(facts.holes), "hole")
    what = f"job {facts.reference}, {holes}" if asked.job else f"hole {asked.hole}"
    say(f"{file}: the record of {what}")
