"""One connection to a serial gauge, from when it is made to when it breaks."""

from __future__ import annotations

import math
import threading
import time
from collections.abc import Callable
from typing import Final, Protocol

from cockpit.gauges.line import LineReader, printable
from cockpit.gauges.protocol import Clock, Reject, Sample, wire_bytes
from cockpit.profiles import GaugeProfile

#: A polled gauge that does not answer is asked again after this long, s.
REPLY_S: Final = 0.5
#: No more than this is read at once, bytes.
MOUTHFUL: Final = 4096
#: So much of what came unasked is shown, bytes.
SHOWN: Final = 64

Take = Callable[[list[Sample | Reject]], None]


class SilentLineError(TimeoutError):
    """A network line on which nothing came for so long that it may be dead."""

    def __init__(self, silence_s: float) -> None:
        super().__init__(f"nothing came for {silence_s:g} s")


class Port(Protocol):
    """The part of an open pyserial port that a conversation needs."""

    @property
    def in_waiting(self) -> int:
        """How many bytes can be read at once."""

    def read(self, size: int) -> bytes:
        """Read up to ``size`` bytes; none when the port's own timeout is over."""

    def write(self, data: bytes) -> int | None:
        """Send bytes."""


class Tap:
    """A port that hands on a copy of what is read: bytes that make no reading can be shown too."""

    def __init__(self, port: Port, overhear: Callable[[bytes], None]) -> None:
        self._port = port
        self._overhear = overhear

    @property
    def in_waiting(self) -> int:
        """As the port's own."""
        return self._port.in_waiting

    def read(self, size: int) -> bytes:
        """As the port's own; the copy is handed on before it returns."""
        data = self._port.read(size)
        if data:
            self._overhear(data)
        return data

    def write(self, data: bytes) -> int | None:
        """As the port's own."""
        return self._port.write(data)


class Conversation:
    """Listens to ``port``, asking if the profile says so, and hands what comes to ``take``.

    A port that is silent for ``silence_s`` counts as broken (infinity: never).
    """

    def __init__(
        self,
        profile: GaugeProfile,
        clock: Clock,
        port: Port,
        take: Take,
        silence_s: float = math.inf,
    ) -> None:
        self._profile = profile
        self._clock = clock
        self._port = port
        self._take = take
        self._silence_s = silence_s
        self._request = wire_bytes(profile, "request", profile.request or "")
        self._period_s = 1 / profile.rate_hz
        self._reader = LineReader(profile, joined_midway=not self._request)
        self._asked = False
        self._heard_s = time.monotonic()

    def listen(self, stopping: threading.Event) -> None:
        """Go on until ``stopping`` is set. Raises whatever the port raises when it breaks."""
        while not stopping.is_set():
            self.turn(stopping)

    def turn(self, stopping: threading.Event) -> None:
        """Ask once and wait for the answer, or listen for a moment."""
        if self._request:
            self._ask(stopping)
        else:
            self._read_some()

    def _ask(self, stopping: threading.Event) -> None:
        """Ask for one reading, and let a period pass.

        What is not answered within a period, or REPLY_S if that is longer, is asked again.
        """
        asked_s = time.monotonic()
        self._drop_unasked()
        if self._port.in_waiting:
            return  # An answer would be behind it: the next turn takes more of it away first.
        self._port.write(self._request)
        give_up_s = asked_s + max(self._period_s, REPLY_S)
        while not self._read_some() and time.monotonic() < give_up_s and not stopping.is_set():
            pass
        stopping.wait(max(0.0, asked_s + self._period_s - time.monotonic()))

    def _drop_unasked(self) -> None:
        """Take away the lines that came since the last answer: they say where the head was.

        No more than a mouthful at once: who sends without end must not hold this up for ever. A
        line that has begun goes on: with its beginning lost, its tail could be taken for a reading.
        """
        if not self._asked:
            # Who is not silent before the first question may be in the middle of a line.
            self._reader = LineReader(self._profile, joined_midway=bool(self._read()))
            self._asked = True
        heard = b""
        while self._port.in_waiting and len(heard) < MOUTHFUL:
            heard += self._read()
        if heard and self._reader.feed(heard, self._clock()):
            shown = printable(heard[:SHOWN]) + (" ..." if len(heard) > SHOWN else "")
            why = (
                f"This came unasked: late answers, or a gauge that sends by itself; for such a one "
                f"take request out of gauge profile {self._profile.name}."
            )
            self._take([Reject(self._clock(), shown, why)])

    def _read(self) -> bytes:
        """Read what is there, or wait a moment for it."""
        data = self._port.read(min(max(1, self._port.in_waiting), MOUTHFUL))
        if data:
            self._heard_s = time.monotonic()
        return data

    def _read_some(self) -> bool:
        """Read what is there, or wait a moment for it; say whether it completed a line."""
        data = self._read()
        if not data and time.monotonic() - self._heard_s > self._silence_s:
            raise SilentLineError(self._silence_s)
        arrived = self._reader.feed(data, self._clock())
        self._take(arrived)
        return bool(data and arrived)
