"""A gauge without a cable: the operator types what the indicator shows.

A gauge that types like a keyboard comes in here too: what it types is a line, and Enter. Its
profile says ``bare = "gauge"``: it does not know what unit the screen shows.
"""

from __future__ import annotations

from cockpit.gauges.inbox import Inbox
from cockpit.gauges.line import printable
from cockpit.gauges.protocol import Clock, GaugeStatus, Hint, Reject, Sample, travel_sample
from cockpit.profiles import GaugeProfile
from cockpit.units import LengthUnit, UnitsError, read_length_mm


class TypedGauge:
    """Readings typed by hand; a number without a unit is in the profile's unit, unless told."""

    def __init__(self, profile: GaugeProfile, clock: Clock) -> None:
        self.profile = profile
        self.status = GaugeStatus.CLOSED
        self._clock = clock
        self._inbox = Inbox()

    @property
    def detail(self) -> str:
        """What to do until the first reading is there."""
        waiting = self.status is GaugeStatus.WAITING
        return "Type what the indicator shows, and press Enter." if waiting else ""

    def open(self) -> None:
        """Be ready for typing."""
        if self.status is GaugeStatus.CLOSED:
            self.status = GaugeStatus.WAITING

    def close(self) -> None:
        """Take no more."""
        self.status = GaugeStatus.CLOSED

    def type(self, text: str, bare: LengthUnit | None = None) -> Sample | Reject:
        """Take what was typed; ``bare`` is the unit that the screen shows.

        The result is for the field it was typed in. It also waits in ``drain``, like a reading of
        any other gauge: whoever drains must not count the result a second time.
        """
        typed = self._read(text, self.profile.bare_unit(bare or self.profile.unit))
        self._inbox.put([typed])
        if isinstance(typed, Sample) and self.status is GaugeStatus.WAITING:
            self.status = GaugeStatus.LIVE
        return typed

    def drain(self) -> list[Sample | Reject]:
        """What was typed since the last time."""
        return self._inbox.drain()

    def hint(self, hint: Hint) -> None:
        """The operator sees for himself."""

    def _read(self, text: str, bare: LengthUnit) -> Sample | Reject:
        t_s, raw = self._clock(), printable(text.encode("utf-8", "replace"))
        try:
            length_mm = read_length_mm(text, bare)
        except UnitsError as problem:
            return Reject(t_s, raw, str(problem))
        return travel_sample(self.profile, t_s, length_mm, raw)
