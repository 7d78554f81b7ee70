"""How a command answers."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from cockpit import locations
from cockpit.commands import CommandError
from cockpit.text import printable, rounded

#: From so many on a log takes seconds to be looked through, or copied.
LARGE_MB = 200


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


def ask_for_patience(path: Path, does: str) -> None:
    """Say on stderr what takes a moment, where the log at ``path`` is so large that it does."""
    with suppress(OSError):
        size_mb = path.stat().st_size / 1e6
        if size_mb >= LARGE_MB:
            say_wrong(f"{path}: {size_mb:,.0f} MB; {does} takes a moment.")


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
