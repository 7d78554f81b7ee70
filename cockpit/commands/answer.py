"""How a command answers."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from cockpit import locations
from cockpit.commands import CommandError
from cockpit.text import printable, rounded


@contextmanager
def sentences(*refusals: type[Exception]) -> Iterator[None]:
    """Turn what the rooms below refuse into what the person reads."""
    try:
        yield
    except refusals as error:
        raise CommandError(str(error)) from error


def say(line: str) -> None:
    """Print one line of the answer, whatever names and notes are in it."""
    sys.stdout.write(printable(line) + "\n")
    sys.stdout.flush()


def say_wrong(sentence: object) -> None:
    """Say on stderr, in one line, what could not be done."""
    sys.stderr.write(printable(str(sentence)) + "\n")


def say_json(answer: object) -> None:
    """Print one JSON object on one line; in ASCII, so that any text is exact and steers nothing."""
    say(json.dumps(rounded(answer)))


def data_folder(data: Path | None, demo: bool) -> Path:
    """The folder of the log that was asked for."""
    if data is not None:
        return data
    return locations.demo_data() if demo else locations.shop_data()


def existing_log(data: Path | None, demo: bool) -> Path:
    """The log that was asked for; CommandError if nothing was logged there yet."""
    path = data_folder(data, demo) / locations.LOG_NAME
    if not path.is_file():
        raise CommandError(f"{path}: there is no log yet; open the cockpit first, or name --data.")
    return path
