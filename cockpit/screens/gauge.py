"""Which gauge? Plug in, move the indicator, pick: what arrives shows who understands it."""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Input

from cockpit.flow.floor import ShopFloor
from cockpit.gauges import GaugeError
from cockpit.gauges.listening import Listening
from cockpit.gauges.recognise import (
    NO_PORT,
    SILENT_S,
    Finding,
    Understanding,
    gauge_profiles,
    serial_profiles,
    told,
)
from cockpit.log import LogError
from cockpit.profiles import GaugeProfile
from cockpit.screens.step import StepScreen
from cockpit.units import LengthUnit, write_length
from cockpit.widgets.answer_input import AnswerInput
from cockpit.widgets.block_figures import BlockFigures
from cockpit.widgets.plain_text import PlainText, plain_content

#: The big key is not taken for so long after the cockpit itself has moved the choice, s.
MOVED_GUARD_S = 0.8
#: Ports with these names can't be listened to: what is there speaks only when it is asked.
UNHEARD = "tcp://"
#: The columns of the list: a profile's name, a port.
NAME_WIDTH, PORT_WIDTH = 18, 24

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


class GaugeScreen(StepScreen):
    """Lists what can be read with; the one whose figure moves is the indicator at the head."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("a,A", "ask", "ask silent ports", id="ask", tooltip="Ask each silent port for one"),
        Binding("p,P", "port", "type a port", id="port", tooltip="Listen to a port or URL"),
        Binding("up", "move(-1)", "up", id="up", show=False, tooltip="Choose the line above"),
        Binding("down", "move(1)", "down", id="down", show=False, tooltip="Choose the line below"),
    ]

    LOOK_EVERY_S = 0.2

    def __init__(self, port: str | None = None, said: str = "") -> None:
        """Listen to ``port`` too, be it there or not. ``said``: what to know before the choice."""
        super().__init__()
        self._named_port = port
        self._said = said
        self._trouble = ""
        self._listening: Listening | None = None
        self._lines: list[Line] = []
        self._chosen_key: Key | None = None
        self._chosen_by_hand = False
        self._moved_s: dict[Key, float] = {}

    def body(self) -> Iterator[Widget]:
        yield PlainText(id="asks", classes="question")
        head = f"  {'gauge':<{NAME_WIDTH}} {'port':<{PORT_WIDTH}} {'reads':<12}arrows choose"
        yield PlainText(head, classes="label")
        with VerticalScroll(id="lines", can_focus=False):
            yield PlainText(id="list")
        yield AnswerInput(id="port", placeholder="a port or URL, such as socket://host:4001")
        yield BlockFigures(id="figure", widest="-888.88")
        yield PlainText(id="heard")

    def begin(self) -> None:
        self.query_one("#port").display = False
        floor, (known, _) = self.cockpit.floor, gauge_profiles()
        typed = [one for one in known if one.source == "typed"]
        self._typed = [Line(one) for one in sorted(typed, key=lambda one: one.bare == "gauge")]
        self._by_name = [Line(one) for one in known if one.source not in (*NO_PORT, "serial")]
        self._used_key = self._chosen_key = _key_in_use(floor)
        self._zeroed = floor.zeroed_before()
        if self._named_port is None and floor.gauge.profile.source == "modbus":
            self._named_port = floor.gauge_port
        # A port can't be opened twice; the gauge is opened again when this screen goes.
        floor.gauge.close()
        self._listen()
        self.complain(" ".join(filter(None, (self._said, self._trouble))))

    def _listen(self) -> None:
        named = self._named_port
        heard = [named] if named and not named.startswith(UNHEARD) else []
        usable, troubles = serial_profiles()
        # Else a gauge whose profile has a slip of the pen in it would just not be understood.
        self._trouble = f"Can't be used: {troubles[0]}" if troubles else ""
        self._listening = Listening(usable, heard)
        self._listening.open()
        self._lines = self._read_lines()

    def on_unmount(self) -> None:
        if self._listening is not None:
            self._listening.close()
            self.cockpit.floor.gauge.open()

    # What is heard -----------------------------------------------------------------------------

    def look(self) -> None:
        """Bring the list up to date; the line that moves becomes the chosen one by itself."""
        if not self.is_current:
            return
        self._lines = self._read_lines()
        now_s = time.monotonic()
        moving = [line for line in self._lines if line.heard and line.heard.moves]
        self._moved_s |= {line.key: now_s for line in moving}
        of_port = [line for line in self._lines if line.heard and line.port == self._named_port]
        # Without a movement to tell, a port that was named is meant.
        meant = moving or of_port
        if meant and not self._chosen_by_hand and self._chosen() not in meant:
            self._chosen_key = meant[0].key
            self.cockpit.gate.shut_until(now_s + MOVED_GUARD_S)
        self.show()
        self.refresh_next()

    def _read_lines(self) -> list[Line]:
        lines = list(self._typed)
        for finding in self._listening.findings() if self._listening else []:
            # What is used already stays what it is, where others read the same.
            sure = sorted(finding.sure, key=lambda one: one.profile.name != self._used_key[1])
            understood = [Line(one.profile, finding, one) for one in _unlike(sure)]
            lines += understood or [Line(finding=finding)]
        named = self._named_port
        if any(line.heard and line.port == named for line in lines):
            # It is another gauge's.
            named = None
        return [*lines, *(replace(one, named_port=named) for one in self._by_name)]

    def _chosen(self) -> Line | None:
        """The line that the big key takes; None while the one that was chosen is not there."""
        return next((line for line in self._lines if line.key == self._chosen_key), None)

    def _has_moved(self, line: Line) -> bool:
        return line.key in self._moved_s

    # What is shown -----------------------------------------------------------------------------

    def heading(self) -> str:
        return "which gauge?"

    def show(self) -> None:
        self.query_one("#asks", PlainText).update(self._asks())
        chosen = self._chosen()
        lines = [self._line(line, line is chosen) for line in self._lines]
        self.query_one("#list", PlainText).update(Content("\n").join(lines))
        if chosen is not None:
            at = self._lines.index(chosen)
            self.query_one("#lines").scroll_to(y=max(at - 2, 0), animate=False)
        figure = self.query_one("#figure", BlockFigures)
        figure.text = _figure(chosen, self.unit)
        figure.display = bool(figure.text)
        self.query_one("#heard", PlainText).update("\n".join(self._about(chosen)))

    def _asks(self) -> str:
        """What to do now, at the machine."""
        chosen = self._chosen()
        if chosen is not None and chosen.heard is not None and self._has_moved(chosen):
            return "Does the indicator show the figure below? Then it is the gauge at the head."
        if any(line.heard for line in self._lines):
            return "Move the head: the figure that moves with it is the gauge at the head."
        if any(line.finding and not line.finding.trouble for line in self._lines):
            return "Switch the indicator on and let it send; what arrives shows below."
        return "Plug the indicator in: its port shows below. Without a cable, type readings."

    def _line(self, line: Line, is_chosen: bool) -> Content:
        mark = "►" if is_chosen else " "
        name = line.profile.name if line.profile else "?"
        port = _shortened(line.port or "", PORT_WIDTH)
        text = f"{mark} {name:<{NAME_WIDTH}} {port:<{PORT_WIDTH}} {self._reads(line)}"
        return plain_content(text, "bold" if is_chosen else "")

    def _reads(self, line: Line) -> str:
        """What a line reads, in the few words that there is room for."""
        finding, heard = line.finding, line.heard
        if finding is None:
            if line.profile is None or line.profile.source != "typed":
                return "not heard by listening"
            by_hand = line.profile.bare == "screen"
            return "what you type by hand" if by_hand else "what the gauge itself types"
        if finding.trouble:
            return "can't be listened to"
        if finding.silent_s is None:
            silent = "does not answer" if finding.asks else "says nothing"
            return silent if finding.tried else "is listened to"
        if finding.silent_s > SILENT_S:
            return f"silent for {finding.silent_s:.0f} s"
        if heard is None or heard.last is None:
            if any(one.is_hopeful for one in finding.understood):
                return "let it send more"
            if finding.refused:
                return "known, not read"
            return "not understood" if finding.tried else "is listened to"
        moves = "moves" if heard.moves else "moved" if self._has_moved(line) else ""
        return f"{write_length(heard.last.travel_mm, self.unit):>11}  {moves}".rstrip()

    def _about(self, line: Line | None) -> Iterator[str]:
        """What is to be known of a line before it is taken."""
        if line is None:
            yield "Choose a line with the arrow keys up and down."
        elif line.finding is not None:
            yield f"{line.finding.name} {told(line.finding, self.unit)}."
            if line.finding.silent_s is None and self._can_ask():
                yield "A asks it for a reading; only where no machine is on a silent port."
            if line.heard is not None and line.heard.moves:
                yield _moved(line.heard, self.unit)
        elif line.profile is not None:
            note = line.profile.note or line.profile.name
            yield f"{note[:1].upper()}{note[1:]}."
            if line.profile.source not in NO_PORT and not (line.port or line.profile.port):
                yield "P takes the port that it is on."
        if self._zeroed and line is not None and line.key != self._used_key:
            yield f"Zero it before the next arc of: {', '.join(self._zeroed)}."

    # Keys --------------------------------------------------------------------------------------

    def next_words(self) -> str:
        line = self._chosen()
        if self._asks_port:
            return "listen to it" if self.is_typing else ""
        if line is None or line.profile is None:
            return ""
        name = line.profile.name
        if line.finding is None:
            if line.profile.source != "typed":
                return f"use {name} on {line.port}" if line.port else f"use {name}"
            by = "by hand" if line.profile.bare == "screen" else "by the gauge"
            return f"go on, with readings typed {by}"
        unseen = "" if self._has_moved(line) else ", not seen to move"
        return f"use {name} on {_shortened(line.finding.port, PORT_WIDTH)}{unseen}"

    def next(self) -> None:
        line = self._chosen()
        if self._asks_port:
            self._hide_port()
        elif line is not None and line.profile is not None:
            self._take(line.profile.name, line.port)
        elif line is not None:
            self.complain(_not_taken(line))

    def _take(self, name: str, port: str | None) -> None:
        """Use this gauge from now on; refused, go on listening."""
        if self._listening is not None:
            self._listening.close()
        try:
            self.cockpit.pick_gauge(name, port)
        except (GaugeError, LogError, ValueError):
            self._listen()
            raise

    def back(self) -> None:
        if self._asks_port:
            self._hide_port()
        else:
            self.cockpit.to_bench()

    def action_move(self, by: int) -> None:
        """Choose the line above or below."""
        keys = [line.key for line in self._lines]
        at = keys.index(self._chosen_key) + by if self._chosen_key in keys else 0
        self._chosen_key = keys[min(max(at, 0), len(keys) - 1)]
        self._chosen_by_hand = True
        self.complain(self._trouble)
        self.refresh_all()

    def action_ask(self) -> None:
        """Send the requests of the polled profiles to the ports that are silent."""
        if self._listening is not None:
            self._listening.ask()
        self.refresh_all()

    def _can_ask(self) -> bool:
        return self._listening is not None and not self._listening.asks

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """There is nothing to ask twice, and no bench before the shift."""
        if action == "ask":
            return self._can_ask()
        if action == "bench" and self.cockpit.floor.shift is None:
            return False
        return super().check_action(action, parameters)

    # A port that is typed ----------------------------------------------------------------------

    @property
    def _asks_port(self) -> bool:
        """Whether a port is being typed; nothing is picked until that is over."""
        return self.query_one("#port").display

    def action_port(self) -> None:
        """Ask for a port that this computer does not list, such as one on the network."""
        field = self.query_one("#port", AnswerInput)
        field.display = True
        field.focus()
        self.refresh_next()

    @on(Input.Submitted, "#port")
    def _port_typed(self, event: Input.Submitted) -> None:
        port = event.value.strip()
        if port and self._listening is not None:
            self._named_port, self._chosen_by_hand = port, False
            if not port.startswith(UNHEARD):
                self._listening.listen_to(port)
        self._hide_port()
        self.refresh_all()

    @on(Input.Changed, "#port")
    def _as_typed(self) -> None:
        self.refresh_next()

    def _hide_port(self) -> None:
        field = self.query_one("#port", AnswerInput)
        field.value = ""
        field.display = False
        self.set_focus(None)


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


def _not_taken(line: Line) -> str:
    """Why a port without a profile can't be read from."""
    if line.finding is not None and line.finding.refused:
        return "This gauge is known, but nothing it sends is a reading: see why, above."
    return "No gauge profile understands this port, so it can't be read from."


def _figure(line: Line | None, unit: LengthUnit) -> str:
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


def _shortened(text: str, width: int) -> str:
    """A text that fits; of a long one the end, which tells ports apart.

    >>> _shortened("socket://gauge.shop.example:4001", 16)
    '...example:4001'
    """
    return text if len(text) <= width else f"...{text[3 - width :]}"
