"""What an operator is told of the gauges there are to choose from."""

from __future__ import annotations

from collections.abc import Iterator

from cockpit.flow.gauge_list import GaugeList, Line
from cockpit.gauges.recognise import NO_PORT, SILENT_S, Finding, Understanding, told
from cockpit.units import LengthUnit, write_length

#: The columns of the list: a profile's name, a port.
NAME_WIDTH, PORT_WIDTH = 18, 24


def asks(gauges: GaugeList) -> str:
    """What to do now, at the machine."""
    chosen = gauges.chosen
    if chosen is not None and chosen.heard is not None and gauges.has_moved(chosen):
        return "Does the indicator show the figure below? Then it is the gauge at the head."
    if any(line.heard for line in gauges.lines):
        return "Move the head: the figure that moves with it is the gauge at the head."
    if any(line.finding and not line.finding.trouble for line in gauges.lines):
        return "Switch the indicator on and let it send; what arrives shows below."
    return "Plug the indicator in: its port shows below. Without a cable, type readings."


def columns(line: Line, unit: LengthUnit, *, has_moved: bool) -> str:
    """A line of the list: name, port, and what it reads."""
    name = line.profile.name if line.profile else "?"
    port = shortened(line.port or "", PORT_WIDTH)
    reads = _reads(line, unit, has_moved=has_moved)
    return f"{name:<{NAME_WIDTH}} {port:<{PORT_WIDTH}} {reads}"


def _reads(line: Line, unit: LengthUnit, *, has_moved: bool) -> str:
    """What a line reads, in the few words that there is room for."""
    finding, heard = line.finding, line.heard
    if finding is None:
        if line.profile is None or line.profile.source != "typed":
            return "not heard by listening"
        by_hand = line.profile.bare == "screen"
        return "what you type by hand" if by_hand else "what the gauge itself types"
    if heard is None or heard.last is None or finding.trouble or _is_silent(finding):
        return _why_nothing(finding)
    moves = "moves" if heard.moves else "moved" if has_moved else ""
    return f"{write_length(heard.last.travel_mm, unit):>11}  {moves}".rstrip()


def _is_silent(finding: Finding) -> bool:
    return finding.silent_s is None or finding.silent_s > SILENT_S


def _why_nothing(finding: Finding) -> str:
    """Why nothing is read on a port."""
    if finding.trouble:
        return "can't be listened to"
    if finding.silent_s is None:
        silent = "does not answer" if finding.asks else "says nothing"
        return silent if finding.tried else "is listened to"
    if _is_silent(finding):
        return f"silent for {finding.silent_s:.0f} s"
    if any(one.is_hopeful for one in finding.understood):
        return "let it send more"
    if finding.refused:
        return "known, not read"
    return "not understood" if finding.tried else "is listened to"


def about(line: Line | None, unit: LengthUnit, *, can_ask: bool) -> Iterator[str]:
    """What is to be known of a line before it is taken. ``can_ask``: silent ports can be asked."""
    if line is None:
        yield "Choose a line with the arrow keys up and down."
    elif line.finding is not None:
        yield f"{line.finding.name} {told(line.finding, unit)}."
        if line.finding.silent_s is None and can_ask:
            yield "A asks it for a reading; only where no machine is on a silent port."
        if line.heard is not None and line.heard.moves:
            yield _moved(line.heard, unit)
    elif line.profile is not None:
        note = line.profile.note or line.profile.name
        yield f"{note[:1].upper()}{note[1:]}."
        if line.profile.source not in NO_PORT and not (line.port or line.profile.port):
            yield "P takes the port that it is on."


def takes(line: Line, *, has_moved: bool) -> str:
    """What taking a line means; empty for one that can't be taken."""
    if line.profile is None:
        return ""
    name = line.profile.name
    if line.finding is None:
        if line.profile.source != "typed":
            return f"use {name} on {line.port}" if line.port else f"use {name}"
        by = "by hand" if line.profile.bare == "screen" else "by the gauge"
        return f"go on, with readings typed {by}"
    unseen = "" if has_moved else ", not seen to move"
    return f"use {name} on {shortened(line.finding.port, PORT_WIDTH)}{unseen}"


def not_taken(line: Line) -> str:
    """Why a port without a profile can't be read from."""
    if line.finding is not None and line.finding.refused:
        return "This gauge is known, but nothing it sends is a reading: see why, above."
    return "No gauge profile understands this port, so it can't be read from."


def figure(line: Line | None, unit: LengthUnit) -> str:
    """What a line reads now, to be shown large; empty for one that reads nothing."""
    if line is None or line.heard is None or line.heard.last is None:
        return ""
    return write_length(line.heard.last.travel_mm, unit, with_unit=False)


def _moved(heard: Understanding, unit: LengthUnit) -> str:
    way = "down" if heard.moved_mm > 0 else "up"
    how_far = write_length(abs(heard.moved_mm), unit)
    return (
        f"It moved {how_far} {way}, as its profile counts. If the head went the other way, "
        "its profile needs reverse = true."
    )


def shortened(text: str, width: int) -> str:
    """A text that fits; of a long one the end, which tells ports apart.

    >>> shortened("socket://gauge.shop.example:4001", 16)
    '...example:4001'
    """
    return text if len(text) <= width else f"...{text[3 - width :]}"
