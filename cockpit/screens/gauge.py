"""Which gauge? Plug in, move the indicator, pick: what arrives shows who understands it."""

from __future__ import annotations

import time
from collections.abc import Iterator
from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Input

from cockpit.flow import gauge_words
from cockpit.flow.gauge_list import UNHEARD, GaugeList, Line
from cockpit.flow.gauge_words import NAME_WIDTH, PORT_WIDTH
from cockpit.gauges import GaugeError
from cockpit.gauges.listening import Listening
from cockpit.gauges.recognise import serial_profiles
from cockpit.log import LogError
from cockpit.screens.shared.step import StepScreen
from cockpit.widgets.answer_input import AnswerInput
from cockpit.widgets.block_figures import BlockFigures
from cockpit.widgets.plain_text import PlainText, plain_content

#: The big key is not taken for so long after the cockpit itself has moved the choice, s.
MOVED_GUARD_S = 0.8


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
        floor = self.cockpit.floor
        self._gauges = GaugeList(floor, self._named_port)
        self._zeroed = floor.zeroed_before()
        # A port can't be opened twice; the gauge is opened again when this screen goes.
        floor.gauge.close()
        self._listen()
        self.complain(" ".join(filter(None, (self._said, self._trouble))))

    def _listen(self) -> None:
        named = self._gauges.named_port
        heard = [named] if named and not named.startswith(UNHEARD) else []
        usable, troubles = serial_profiles()
        # Else a gauge whose profile has a slip of the pen in it would just not be understood.
        self._trouble = f"Can't be used: {troubles[0]}" if troubles else ""
        self._listening = Listening(usable, heard)
        self._listening.open()
        self._gauges.hear(self._listening.findings())

    def on_unmount(self) -> None:
        if self._listening is not None:
            self._listening.close()
            self.cockpit.floor.gauge.open()

    # What is heard -----------------------------------------------------------------------------

    def look(self) -> None:
        """Bring the list up to date; the line that moves becomes the chosen one by itself."""
        if not self.is_active:
            return
        self._gauges.hear(self._listening.findings() if self._listening else [])
        if self._gauges.choose_by_itself():
            self.cockpit.gate.shut_until(time.monotonic() + MOVED_GUARD_S)
        self.show()
        self.refresh_next()

    # What is shown -----------------------------------------------------------------------------

    def heading(self) -> str:
        return "which gauge?"

    def show(self) -> None:
        gauges, chosen = self._gauges, self._gauges.chosen
        self.query_one("#asks", PlainText).update(gauge_words.asks(gauges))
        lines = [self._line(line, line is chosen) for line in gauges.lines]
        self.query_one("#list", PlainText).update(Content("\n").join(lines))
        if chosen is not None:
            at = gauges.lines.index(chosen)
            self.query_one("#lines").scroll_to(y=max(at - 2, 0), animate=False)
        figure = self.query_one("#figure", BlockFigures)
        figure.text = gauge_words.figure(chosen, self.unit)
        figure.display = bool(figure.text)
        self.query_one("#heard", PlainText).update("\n".join(self._about(chosen)))

    def _line(self, line: Line, is_chosen: bool) -> Content:
        mark = "►" if is_chosen else " "
        has_moved = self._gauges.has_moved(line)
        text = f"{mark} {gauge_words.columns(line, self.unit, has_moved=has_moved)}"
        return plain_content(text, "bold" if is_chosen else "")

    def _about(self, line: Line | None) -> Iterator[str]:
        """What is to be known of a line before it is taken."""
        yield from gauge_words.about(line, self.unit, can_ask=self._can_ask())
        if self._zeroed and line is not None and line.key != self._gauges.used_key:
            yield f"Zero it before the next arc of: {', '.join(self._zeroed)}."

    # Keys --------------------------------------------------------------------------------------

    def next_words(self) -> str:
        line = self._gauges.chosen
        if self._asks_port:
            return "listen to it" if self.is_typing else ""
        if line is None:
            return ""
        return gauge_words.takes(line, has_moved=self._gauges.has_moved(line))

    def next(self) -> None:
        line = self._gauges.chosen
        if self._asks_port:
            self._hide_port()
        elif line is not None and line.profile is not None:
            self._take(line.profile.name, line.port)
        elif line is not None:
            self.complain(gauge_words.not_taken(line))

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
        self._gauges.move(by)
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
            self._gauges.name_port(port)
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
