"""What can be read with, as a list to choose from: the gauge that moves is the one at the head."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from cockpit.flow.floor import ShopFloor
from cockpit.gauges.recognise import NO_PORT, Finding, Understanding, gauge_profiles
from cockpit.profiles import GaugeProfile

#: Ports with these names can't be listened to: what is there speaks only when it is asked.
UNHEARD = "tcp://"

Key = tuple[str, str]
"""Port and profile of a line; either may be empty."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the list: a gauge profile, with the port on which it understands what comes.

    Without a profile it is a port that nobody understands; without a finding, a profile that no
    listening finds, on the port that was named for it, if one was.
    """

    profile: GaugeProfile | None = None
    finding: Finding | None = None
    heard: Understanding | None = None
    named_port: str | None = None

    @property
    def key(self) -> Key:
        """What stays the same while the figures of the line change."""
        port = self.finding.port if self.finding else ""
        return port, self.profile.name if self.profile else ""

    @property
    def port(self) -> str | None:
        """The port to open, where that is known."""
        return self.finding.port if self.finding else self.named_port


class GaugeList:
    """The lines there are, and the one that is chosen: by hand, or because its figure moves."""

    def __init__(self, floor: ShopFloor, named_port: str | None) -> None:
        """``named_port``: a port that was named, be it there or not."""
        known, _ = gauge_profiles()
        typed = [one for one in known if one.source == "typed"]
        self._typed = [Line(one) for one in sorted(typed, key=lambda one: one.bare == "gauge")]
        self._by_name = [Line(one) for one in known if one.source not in (*NO_PORT, "serial")]
        self.used_key = self._chosen_key = _key_in_use(floor)
        if named_port is None and floor.gauge.profile.source == "modbus":
            named_port = floor.gauge_port
        self.named_port = named_port
        self._chosen_by_hand = False
        self._moved: set[Key] = set()
        self.lines: list[Line] = []

    def hear(self, findings: Sequence[Finding]) -> None:
        """Take in what the ports say now."""
        lines = list(self._typed)
        for finding in findings:
            # What is used already stays what it is, where others read the same.
            sure = sorted(finding.sure, key=lambda one: one.profile.name != self.used_key[1])
            understood = [Line(one.profile, finding, one) for one in _unlike(sure)]
            lines += understood or [Line(finding=finding)]
        named = self.named_port
        if any(line.heard and line.port == named for line in lines):
            # It is another gauge's.
            named = None
        self.lines = [*lines, *(replace(one, named_port=named) for one in self._by_name)]

    def choose_by_itself(self) -> bool:
        """Choose the line that moves, or else the port that was named; whether that is another."""
        moving = [line for line in self.lines if line.heard and line.heard.moves]
        self._moved |= {line.key for line in moving}
        of_port = [line for line in self.lines if line.heard and line.port == self.named_port]
        # Without a movement to tell, a port that was named is meant.
        meant = moving or of_port
        if not meant or self._chosen_by_hand or self.chosen in meant:
            return False
        self._chosen_key = meant[0].key
        return True

    @property
    def chosen(self) -> Line | None:
        """The line that is to be taken; None while the one that was chosen is not there."""
        return next((line for line in self.lines if line.key == self._chosen_key), None)

    def has_moved(self, line: Line) -> bool:
        """Whether its figure was seen to move."""
        return line.key in self._moved

    def move(self, by: int) -> None:
        """Choose the line so many above or below."""
        keys = [line.key for line in self.lines]
        at = keys.index(self._chosen_key) + by if self._chosen_key in keys else 0
        self._chosen_key = keys[min(max(at, 0), len(keys) - 1)]
        self._chosen_by_hand = True

    def name_port(self, port: str) -> None:
        """A port was typed: it is meant, until something moves."""
        self.named_port, self._chosen_by_hand = port, False


def _unlike(sure: Sequence[Understanding]) -> Iterator[Understanding]:
    """Of the profiles that read a port alike, the best alone: the choice would be none."""
    told = set()
    for one in sure:
        travel_mm = one.last and one.last.travel_mm
        if travel_mm not in told:
            told.add(travel_mm)
            yield one


def _key_in_use(floor: ShopFloor) -> Key:
    """The line of the gauge that is read with so far."""
    is_heard = floor.gauge.profile.source == "serial"
    return (floor.gauge_port or "") if is_heard else "", floor.gauge_name
