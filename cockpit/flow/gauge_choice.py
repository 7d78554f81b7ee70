"""Which gauge this shop chose, kept beside its log: whoever picked once need not pick again."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path

from pydantic import Field, ValidationError

from cockpit import locations
from cockpit.trade.base import Frozen


class ChoiceError(ValueError):
    """A choice that can't be read or kept: one sentence, what, where, what to do."""


class GaugeChoice(Frozen):
    """A gauge profile by its name, and the port that goes with it; None for the profile's own."""

    profile: str = Field(min_length=1)
    port: str | None = Field(default=None, min_length=1)


def remembered(folder: Path) -> GaugeChoice | None:
    """The choice kept in the folder of a log; None if there is none yet. Raises ChoiceError."""
    path = folder / locations.GAUGE_CHOICE_NAME
    try:
        return GaugeChoice.model_validate_json(path.read_bytes())
    except FileNotFoundError:
        return None
    except OSError as error:
        raise ChoiceError(_unreadable(path, error.strerror or "it can't be read")) from error
    except ValidationError as error:
        raise ChoiceError(_unreadable(path, "it does not hold profile and port")) from error


def remember(folder: Path, choice: GaugeChoice) -> None:
    """Keep the choice for the next start. Raises ChoiceError."""
    path = folder / locations.GAUGE_CHOICE_NAME
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
        raise ChoiceError(
            f"{path}: {error.strerror}; the gauge is used now, but has to be picked again at the "
            "next start."
        ) from error


def _unreadable(path: Path, why: str) -> str:
    return f"{path}: {why}, so which gauge was picked is not known; pick it again."
