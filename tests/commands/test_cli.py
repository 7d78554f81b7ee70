"""What the command line says of itself."""

from __future__ import annotations

import argparse
from collections.abc import Iterator

from cockpit.cli import make_parser


def options(parser: argparse.ArgumentParser) -> Iterator[tuple[str, argparse.Action]]:
    """Every option and word of a command and of the commands under it."""
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            for command in action.choices.values():
                yield from options(command)
        else:
            name = action.option_strings[0] if action.option_strings else str(action.metavar)
            yield f"{parser.prog} {name}", action


def test_every_option_of_every_command_has_a_sentence_of_help() -> None:
    found = dict(options(make_parser()))
    assert {"burn-cockpit --demo", "burn-cockpit gauge watch --port"} <= set(found)
    assert [name for name, action in found.items() if not (action.help or "").strip()] == []
