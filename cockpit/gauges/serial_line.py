"""A gauge on a serial line: a device, or anything that pyserial can reach by a URL.

A thread of its own does all the waiting. It opens the port, listens, stamps each reading as its
bytes arrive, and puts it into an inbox; when the line breaks it says so and tries again, for ever.
"""

from __future__ import annotations

import errno
import math
import threading
from collections.abc import Callable
from contextlib import AbstractContextManager
from typing import Any, ClassVar, Final

import serial

from cockpit.gauges.conversation import Conversation, Port, SilentLineError, Tap
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
#: So much silence is the most that is waited for where less has turned out to be too little, s.
LONGEST_SILENCE_S: Final = 60.0
#: What a port on a network begins with. Behind any other URL is a plug of this computer.
NETWORK_SCHEMES: Final = ("socket", "rfc2217")
#: A gauge is live while its last reading is no older than this many periods, and 1 s.
LIVE_PERIODS, LIVE_S = 5, 1.0
#: The keys of a profile that say how the line is set, by pyserial's own names.
LINE_KEYS: Final = ("baudrate", "bytesize", "parity", "stopbits")


class SerialGauge:
    """A gauge at ``port``, or else at its profile's port. Raises GaugeError if there is neither.

    ``overhear`` may be set before it is opened: it is handed, in the gauge's own thread, every byte
    that comes, understood or not. A Modbus gauge takes no notice; its rejects show what came.
    """

    #: The least silence that counts as a dead network line, s.
    network_silence_s: ClassVar[float] = NETWORK_SILENCE_S

    def __init__(self, profile: GaugeProfile, clock: Clock, port: str | None = None) -> None:
        self.profile = profile
        self._clock = clock
        self._port = _chosen_port(profile, port)
        self._url = self._port  # what pyserial calls it
        self.overhear: Callable[[bytes], None] | None = None
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
        self._least_silence_s = max(self.network_silence_s, LIVE_PERIODS / profile.rate_hz)
        self._silence_s = self._least_silence_s

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
        return connect(self._url, self.profile)

    def _take(self, arrived: list[Sample | Reject]) -> None:
        self._inbox.put(arrived)
        for item in arrived:
            if isinstance(item, Sample):
                if self._heard_s is not None and item.t_s - self._heard_s < self._least_silence_s:
                    self._silence_s = self._least_silence_s
                self._heard_s, self._refused = item.t_s, ""
            else:
                self._refused = item.why

    def _converse(self, port: Port, stopping: threading.Event) -> None:
        silence_s = self._silence_s if on_network(self._port) else math.inf
        heard = port if self.overhear is None else Tap(port, self.overhear)
        try:
            Conversation(self.profile, self._clock, heard, self._take, silence_s).listen(stopping)
        except SilentLineError:
            if not self.profile.request:
                # Or else one that sends by itself, but seldom, would never be heard.
                longest_s = max(LONGEST_SILENCE_S, self._least_silence_s)
                self._silence_s = min(2 * silence_s, longest_s)
            raise

    def _sentence(self, problem: Exception, connected: bool) -> str:
        what = why_broken(problem) if connected else why_not_open(problem)
        return f"Gauge {self.profile.name} on {self._port}: {what}; it is tried again every second."


def _chosen_port(profile: GaugeProfile, port: str | None) -> str:
    chosen = port or profile.port
    if not chosen:
        raise GaugeError(
            f"Gauge profile {profile.name} names no port: give one with --port, or as port in a "
            f"profile of the shop's own."
        )
    return chosen


def on_network(port: str) -> bool:
    """Whether ``port`` is reached over a network, where a line can die without a word.

    >>> on_network("socket://indicator:4001"), on_network("hwgrep://0403:6001"), on_network("COM3")
    (True, False, False)
    """
    scheme, parted, _ = port.partition("://")
    return bool(parted) and scheme.lower() in NETWORK_SCHEMES


def line_settings(profile: GaugeProfile) -> dict[str, Any]:
    """How the line is set for a gauge, by pyserial's own names."""
    return {key: getattr(profile, key) for key in LINE_KEYS}


def connect(port: str, profile: GaugeProfile) -> serial.Serial:
    """Open ``port``, a device or a URL, as the profile says. Raises whatever the port raises."""
    over_rfc2217 = port.startswith("rfc2217://")
    opened = serial.serial_for_url(
        port,
        **line_settings(profile),
        timeout=READ_S,
        # pyserial's RFC 2217 client refuses to be given one.
        write_timeout=None if over_rfc2217 else WRITE_S,
        # Two readers on one line would each get half of it.
        exclusive=True,
        do_not_open=True,
    )
    # Said before it is opened, so that a line that is to be low is not raised first.
    opened.dtr, opened.rts = profile.dtr, profile.rts
    opened.open()
    return opened


def why_broken(problem: Exception) -> str:
    """What an operator can do about a port that was open, and at which something went wrong."""
    if isinstance(problem, SilentLineError):
        return f"{problem}, so the network line is made anew: check that the gauge is on and sends"
    if isinstance(problem, OSError):  # pyserial's own are such
        return "the line broke: check plug and power"
    words = f"{type(problem).__name__}: {problem}".rstrip(": .")
    return f"a fault of this program, not of the gauge ({words}): report it with these words"


def why_not_open(problem: Exception) -> str:
    """What an operator can do about a port that does not open."""
    match getattr(problem, "errno", None) or _told_errno(str(problem)):
        case errno.ENOENT | errno.ENODEV | errno.ENXIO:
            return "there is no such port: plug the gauge in, or choose another port"
        case errno.EACCES | errno.EPERM:
            return "this user may not open it: give the user the right to use serial ports"
        case errno.EBUSY | errno.EAGAIN:
            return "another program holds it: close that program"
    reason = str(problem).rsplit("] ")[-1].rstrip(".") or type(problem).__name__
    return f"it can't be opened ({reason}): check name, plug and power"


def _told_errno(told: str) -> int | None:
    """On Windows pyserial hands on in words alone what the system said.

    There a port that another program holds is one to which access is denied.
    """
    if "FileNotFoundError" in told:
        return errno.ENOENT
    return errno.EBUSY if "PermissionError" in told else None
