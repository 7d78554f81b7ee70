"""Which gauge this shop chose, kept beside its log: whoever picked once need not pick again."""

from __future__ import annotations

from pathlib import Path

from pydantic import Field

from cockpit import locations
from cockpit.flow.kept import keep, read_kept
from cockpit.trade.base import Frozen

_UNKNOWN = "so which gauge was picked is not known; pick it again."
_LOST = "the gauge is used now, but has to be picked again at the next start."


class GaugeChoice(Frozen):
    """A gauge profile by its name, and the port that goes with it; None for the profile's own."""

    profile: str = Field(min_length=1)
    port: str | None = Field(default=None, min_length=1)


def remembered(folder: Path) -> GaugeChoice | None:
    """The choice kept in the folder of a log; None if there is none yet. Raises KeptError."""
    path = folder / locations.GAUGE_CHOICE_NAME
    return read_kept(path, GaugeChoice, "profile and port", _UNKNOWN)


def remember(folder: Path, choice: GaugeChoice) -> None:
    """Keep the choice for the next start. Raises KeptError."""
    keep(folder / locations.GAUGE_CHOICE_NAME, choice, _LOST)
