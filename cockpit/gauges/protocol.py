"""The one small protocol that every source of readings keeps."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final, Protocol

from cockpit.burn.reading import MarkKind, believable
from cockpit.profiles import GaugeProfile
from cockpit.units import quoted

#: A reading that nobody took for so long is not what the gauge shows, s (assumed).
FRESH_S: Final = 2.0
#: Seconds, monotonic; the same clock for a gauge and for whoever asks it.
Clock = Callable[[], float]


class GaugeError(Exception):
    """A gauge that can't be set up at all: one sentence saying what, where and what to do."""


class GaugeStatus(StrEnum):
    """How a gauge is doing."""

    CLOSED = "closed"
    WAITING = "waiting for the gauge"
    LIVE = "live"
    LOST = "lost"


@dataclass(frozen=True, slots=True)
class Sample:
    """One reading that was understood.

    ``t_s``: when it arrived, on the gauge's clock. ``travel_mm``: positive down. ``raw``: what the
    gauge sent, in printable characters only.
    """

    t_s: float
    travel_mm: float
    raw: str


@dataclass(frozen=True, slots=True)
class Reject:
    """Something that came and was no reading: ``why`` says in one sentence what was wrong."""

    t_s: float
    raw: str
    why: str


@dataclass(frozen=True, slots=True)
class HoleHint:
    """The hole under the head: depth of the break, end of the broken tool, bottom if any; mm.

    ``burnt_mm`` and ``wear_mm``: how deep it is burnt already and what that cost the electrode,
    for a hole that is taken up again.
    """

    recess_mm: float
    end_mm: float
    bottom_mm: float | None = None
    burnt_mm: float | None = None
    wear_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class ArcHint:
    """Whether the arc is on."""

    on: bool


@dataclass(frozen=True, slots=True)
class TouchHint:
    """Whether the operator is bringing the tip to the reference face, or back over the hole."""

    on: bool


@dataclass(frozen=True, slots=True)
class ChangeHint:
    """The operator puts another electrode in, or moves the head to another spot of the break."""

    mark: MarkKind


@dataclass(frozen=True, slots=True)
class StopHint:
    """Where the depth stop is set, mm of travel."""

    travel_mm: float


#: What only a simulated gauge has to be told, because it has no machine to watch.
Hint = HoleHint | ArcHint | TouchHint | ChangeHint | StopHint


class Gauge(Protocol):
    """A source of readings. No method of it ever waits for the gauge."""

    @property
    def profile(self) -> GaugeProfile:
        """What the gauge is and how it talks."""

    @property
    def status(self) -> GaugeStatus:
        """How it is doing now."""

    @property
    def detail(self) -> str:
        """While it is not live: one sentence on what, where and what to do. Otherwise empty."""

    def open(self) -> None:
        """Begin to listen. Opening an open gauge changes nothing."""

    def close(self) -> None:
        """Stop listening; what came before can still be drained."""

    def drain(self) -> list[Sample | Reject]:
        """What came since the last time, in order, with times that never go back."""

    def hint(self, hint: Hint) -> None:
        """Be told what a real gauge would see for itself; real ones take no notice."""


def newest(arrived: Sequence[Sample | Reject], now_s: float) -> Sample | None:
    """The last reading of what arrived, unless it waited so long that it says nothing of now."""
    last = next((one for one in reversed(arrived) if isinstance(one, Sample)), None)
    return last if last is not None and now_s - last.t_s <= FRESH_S else None


def travel_sample(profile: GaugeProfile, t_s: float, length_mm: float, raw: str) -> Sample | Reject:
    """Turn what a gauge shows, in mm, into travel: its scale, its sense, and whether it can be."""
    travel_mm = length_mm * profile.scale * (-1.0 if profile.reverse else 1.0)
    if not believable(travel_mm):
        return Reject(t_s, raw, "No head travels that far: an overflow mark, or the wrong unit?")
    return Sample(t_s, travel_mm, raw)


def refuse_overflow(profile: GaugeProfile, text: str) -> None:
    """Raise ValueError, one sentence, if ``text`` is what the gauge shows when it is off range."""
    if text in profile.overflow:
        raise ValueError(f"{quoted(text)} is an overflow mark: the gauge is out of its range.")


def wire_bytes(profile: GaugeProfile, key: str, text: str) -> bytes:
    """The bytes that the profile's ``key`` stands for, a character each. Raises GaugeError."""
    try:
        return text.encode("latin-1")
    except UnicodeEncodeError as problem:
        raise GaugeError(
            f"Gauge profile {profile.name}: {key} holds a character that is not one byte; "
            f"write it as \\u0000 to \\u00ff."
        ) from problem
