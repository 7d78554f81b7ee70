"""``burn-cockpit export`` and ``import``: the whole log as lines of JSON, a log made of them."""

from __future__ import annotations

import argparse
from contextlib import closing

from cockpit import locations
from cockpit.commands.answer import data_folder, existing_log, say, sentences
from cockpit.flow.steps import Step
from cockpit.log import LogError
from cockpit.log.exporting import export_log
from cockpit.log.importing import import_log
from cockpit.log.opening import open_to_read


def run(asked: argparse.Namespace) -> None:
    """Write the log to a file; a cockpit may be at work on it meanwhile."""
    path = existing_log(asked.data, asked.demo)
    with sentences(LogError), closing(open_to_read(path)) as connection:
        rows = export_log(path, connection, asked.file)
    say(f"{asked.file}: all of {path} ({rows} rows)")


def bring_in(asked: argparse.Namespace) -> None:
    """Make a log of such a file, where there is none yet."""
    path = data_folder(asked.data, asked.demo) / locations.LOG_NAME
    with sentences(LogError):
        rows = import_log(path, asked.file, frozenset(Step))
    say(f"{path}: is now what {asked.file} holds ({rows} rows), and sound")
