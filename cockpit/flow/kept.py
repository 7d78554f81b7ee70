"""Small files beside the log that hold what a person chose: read, and kept, whole or not at all."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path
from typing import TypeVar

from pydantic import ValidationError

from cockpit.trade.base import Frozen

Choice = TypeVar("Choice", bound=Frozen)


class KeptError(ValueError):
    """A choice that can't be read or kept: one sentence, what, where, what to do."""


def read_kept(path: Path, kind: type[Choice], holds: str, so: str) -> Choice | None:
    """The choice in this file; None if there is none yet. Raises KeptError.

    ``holds``: what should stand in it; ``so``: what follows when it can't be read.
    """
    try:
        if path.exists() and not path.is_file():
            # Reading from a pipe would wait for whoever writes into it.
            raise KeptError(f"{path}: this is no file, {so}")
        return kind.model_validate_json(path.read_bytes())
    except FileNotFoundError:
        return None
    except OSError as error:
        raise KeptError(f"{path}: {error.strerror or 'it can not be read'}, {so}") from error
    except ValidationError as error:
        why = _own_words(error) or f"it does not hold {holds}"
        raise KeptError(f"{path}: {why}, {so}") from error


def keep(path: Path, choice: Frozen, so: str) -> None:
    """Keep the choice for the next start. Raises KeptError, with what follows: ``so``."""
    passing = path.with_suffix(".new")
    try:
        with passing.open("w", encoding="utf-8") as file:
            file.write(choice.model_dump_json(indent=2) + "\n")
            file.flush()
            os.fsync(file.fileno())
        # All of it or none: a power cut leaves the choice before.
        passing.replace(path)
    except OSError as error:
        with suppress(OSError):
            passing.unlink()
        raise KeptError(f"{path}: {error.strerror}; {so}") from error


def _own_words(error: ValidationError) -> str:
    """What a rule of ours says of the first thing that is wrong; empty where it is another's."""
    said = error.errors()[0].get("ctx", {}).get("error")
    return str(said) if isinstance(said, ValueError) else ""
