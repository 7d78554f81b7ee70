"""A gauge that plays the readings of a recorded trace, at the pace they were recorded."""

from __future__ import annotations

from pathlib import Path

from cockpit import locations
from cockpit.burn.reading import Reading
from cockpit.burn.trace import TraceError, read_trace
from cockpit.gauges.protocol import (
    Clock,
    GaugeError,
    GaugeStatus,
    Hint,
    Reject,
    Sample,
    travel_sample,
)
from cockpit.profiles import GaugeProfile


class RecordedGauge:
    """Plays ``file``, or else the profile's own, from its first reading when it is opened.

    Raises GaugeError when there is no such file, or it holds no trace. The marks in it are passed
    over: arc and touch-off are the operator's, here as with any gauge.
    """

    def __init__(self, profile: GaugeProfile, clock: Clock, file: Path | None = None) -> None:
        self.profile = profile
        self._clock = clock
        self._path = _found(profile, file)
        self._readings = _readings(self._path)
        self._next = 0
        self._offset_s: float | None = None

    @property
    def status(self) -> GaugeStatus:
        """LIVE while it plays, LOST when it has come to its end."""
        if self._offset_s is None:
            return GaugeStatus.CLOSED
        over = self._clock() > self._readings[-1].t_s + self._offset_s
        return GaugeStatus.LOST if over else GaugeStatus.LIVE

    @property
    def detail(self) -> str:
        """That the recording is over, once it is."""
        over = self.status is GaugeStatus.LOST
        return f"The recording {self._path} is over: choose another gauge." if over else ""

    def open(self) -> None:
        """Begin to play. Opened again after closing, it begins again."""
        if self._offset_s is None:
            self._offset_s = self._clock() - self._readings[0].t_s
            self._next = 0

    def close(self) -> None:
        """Stop playing."""
        self._offset_s = None

    def drain(self) -> list[Sample | Reject]:
        """The readings that fell due since the last time."""
        if self._offset_s is None:
            return []
        now_s, due = self._clock(), list[Sample | Reject]()
        while self._next < len(self._readings):
            reading = self._readings[self._next]
            t_s = reading.t_s + self._offset_s
            if t_s > now_s:
                break
            raw = f"{reading.travel_mm:+.3f} mm"
            due.append(travel_sample(self.profile, t_s, reading.travel_mm, raw))
            self._next += 1
        return due

    def hint(self, hint: Hint) -> None:
        """A recording goes on as it was recorded."""


def _found(profile: GaugeProfile, file: Path | None) -> Path:
    """The trace to play; a bare name in a profile is looked for beside the profiles too."""
    path = file or profile.file
    if path is None:
        raise GaugeError(f"Gauge profile {profile.name} names no file: give it the trace to play.")
    folders = (Path(), locations.user_profiles() / "gauge", locations.shipped_profiles() / "gauge")
    return next((folder / path for folder in folders if (folder / path).is_file()), path)


def _readings(path: Path) -> list[Reading]:
    try:
        events = read_trace(path).events
    except TraceError as problem:
        raise GaugeError(str(problem)) from problem
    readings = [event for event in events if isinstance(event, Reading)]
    if not readings:
        raise GaugeError(f"{path}: holds marks and no reading; choose a trace with readings.")
    return readings
