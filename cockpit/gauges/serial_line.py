"""A gauge on a serial line: a device, or anything that pyserial can reach by a URL.

A thread of its own does all the waiting. It opens the port, listens, stamps each reading as its
bytes arrive, and puts it into an inbox; when the line breaks it says so and tries again, for ever.
"""

from __future__ import annotations

import errno
import math
import threading
from contextlib import AbstractContextManager
from typing import Final

import serial

from cockpit.gauges.conversation import Conversation, Port
from cockpit.gauges.inbox import Inbox
from cockpit.gauges.protocol import (
    Clock,
    GaugeError,
    GaugeStatus,
    Hint,
    Reject,
    Sample,
    wire_bytes,
)
from cockpit.profiles import GaugeProfile

#: A broken line is tried again after this long, s, so that a gauge is back within 2 s of its plug.
RETRY_S: Final = 1.0
#: The longest that one read waits for a byte, s.
READ_S: Final = 0.1
#: The longest that closing waits for the thread, s; a thread still busy connecting ends by itself.
CLOSE_S: Final = 0.5
#: A request that can't be written for this long means a broken line, s.
WRITE_S: Final = 1.0
#: A network line can die without a word; after this much silence it is opened afresh, s.
NETWORK_SILENCE_S: Final = 5.0
#: A gauge is live while its last reading is no older than this many periods, and 1 s.
LIVE_PERIODS, LIVE_S = 5, 1.0


class SerialGauge:
    """A gauge at ``port``, or else at its profile's port. Raises GaugeError if there is neither."""

    def __init__(self, profile: GaugeProfile, clock: Clock, port: str | None = None) -> None:
        self.profile = profile
        self._clock = clock
        self._port = _chosen_port(profile, port)
        self._url = self._port  # what pyserial calls it
        # What can't be sent at all is refused now, and not in a thread that nobody sees.
        wire_bytes(profile, "request", profile.request or "")
        wire_bytes(profile, "line_end", profile.line_end)
        self._inbox = Inbox()
        self._stopping = threading.Event()
        self._stopping.set()
        self._thread: threading.Thread | None = None
        self._trouble = ""
        self._heard_s: float | None = None
        self._refused = ""

    # For the owner: none of this waits ---------------------------------------------------------

    @property
    def status(self) -> GaugeStatus:
        """LIVE while readings come, WAITING while the line is up without them, LOST when down."""
        if self._stopping.is_set():
            return GaugeStatus.CLOSED
        if self._trouble:
            return GaugeStatus.LOST
        heard_s = self._heard_s
        fresh_s = max(LIVE_S, LIVE_PERIODS / self.profile.rate_hz)
        if heard_s is not None and self._clock() - heard_s <= fresh_s:
            return GaugeStatus.LIVE
        return GaugeStatus.WAITING

    @property
    def detail(self) -> str:
        """What is wrong, where, and what to do; empty while readings come."""
        status = self.status
        if status is GaugeStatus.LOST:
            return self._trouble
        if status is not GaugeStatus.WAITING:
            return ""
        where = f"Gauge {self.profile.name} on {self._port}"
        if self._refused:
            return f"{where} sends nothing that its profile understands: {self._refused}"
        return f"{where} says nothing: check that it is switched on and sends."

    def open(self) -> None:
        """Start listening, in the background."""
        if not self._stopping.is_set():
            return
        self._stopping = threading.Event()
        self._trouble, self._refused, self._heard_s = "", "", None
        self._thread = threading.Thread(
            target=self._keep_listening,
            args=(self._stopping,),
            name=f"gauge {self.profile.name}",
            daemon=True,
        )
        self._thread.start()

    def close(self) -> None:
        """Stop listening. A port that is just being opened is let go as soon as that is over."""
        self._stopping.set()
        if self._thread is not None:
            self._thread.join(CLOSE_S)

    def drain(self) -> list[Sample | Reject]:
        """What came since the last time. Kept for an hour at 50 Hz, then the oldest are lost."""
        return self._inbox.drain()

    def hint(self, hint: Hint) -> None:
        """A real gauge sees for itself."""

    # In the thread -----------------------------------------------------------------------------

    def _keep_listening(self, stopping: threading.Event) -> None:
        while not stopping.is_set():
            connected = False
            try:
                with self._connect() as port:
                    connected = True
                    self._trouble = ""
                    self._converse(port, stopping)
            # Whatever a driver or a URL handler raises, the gauge must go on being tried.
            except Exception as problem:  # noqa: BLE001
                if not stopping.is_set():
                    self._trouble = self._sentence(problem, connected)
            stopping.wait(RETRY_S)

    def _connect(self) -> AbstractContextManager[Port]:
        over_rfc2217 = self._port.startswith("rfc2217://")
        port: AbstractContextManager[Port] = serial.serial_for_url(
            self._url,
            baudrate=self.profile.baudrate,
            bytesize=self.profile.bytesize,
            parity=self.profile.parity,
            stopbits=self.profile.stopbits,
            timeout=READ_S,
            # pyserial's RFC 2217 client refuses to be given one.
            write_timeout=None if over_rfc2217 else WRITE_S,
            # Two readers on one line would each get half of it.
            exclusive=True,
        )
        return port

    def _take(self, arrived: list[Sample | Reject]) -> None:
        self._inbox.put(arrived)
        for item in arrived:
            if isinstance(item, Sample):
                self._heard_s = item.t_s
            else:
                self._refused = item.why

    def _converse(self, port: Port, stopping: threading.Event) -> None:
        over_network = "://" in self._port and not self._port.startswith("loop://")
        silence_s = NETWORK_SILENCE_S if over_network else math.inf
        Conversation(self.profile, self._clock, port, self._take, silence_s).listen(stopping)

    def _sentence(self, problem: Exception, connected: bool) -> str:
        what = "the line broke: check plug and power" if connected else _why_not_open(problem)
        return f"Gauge {self.profile.name} on {self._port}: {what}; it is tried again every second."


def _chosen_port(profile: GaugeProfile, port: str | None) -> str:
    chosen = port or profile.port
    if not chosen:
        raise GaugeError(
            f"Gauge profile {profile.name} names no port: give one with --port, or as port in a "
            f"profile of the shop's own."
        )
    return chosen


def _why_not_open(problem: Exception) -> str:
    """What an operator can do about a port that does not open."""
    number = getattr(problem, "errno", None)
    if number in (errno.ENOENT, errno.ENODEV, errno.ENXIO):
        return "there is no such port: plug the gauge in, or choose another port"
    if number in (errno.EACCES, errno.EPERM):
        return "this user may not open it: give the user the right to use serial ports"
    if number in (errno.EBUSY, errno.EAGAIN):
        return "another program holds it: close that program"
    reason = str(problem).rsplit("] ")[-1].rstrip(".") or type(problem).__name__
    return f"it can't be opened ({reason}): check name, plug and power"
