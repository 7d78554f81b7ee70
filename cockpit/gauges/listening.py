"""Listens to ports before it is known what is on them, and says what was found.

Nothing here makes its owner wait, and nothing is sent to a port before ``ask`` was called: what is
at its other end may be anything. Each port has a thread of its own.
"""

from __future__ import annotations

import math
import os
import threading
import time
from collections import deque
from collections.abc import Iterable, Sequence
from contextlib import suppress
from typing import Any, Final, NamedTuple

import serial

from cockpit.gauges import ports
from cockpit.gauges.conversation import Conversation, Tap
from cockpit.gauges.protocol import Clock
from cockpit.gauges.recognise import Finding, Heard, Understanding, line_words, understandings
from cockpit.gauges.serial_line import CLOSE_S, RETRY_S, connect, line_settings, why_not_open
from cockpit.profiles import GaugeProfile

#: A line that nobody understands is set otherwise after so long, s.
DWELL_S: Final = 1.2
#: What is judged: the last so many seconds, but not less than the last so many bytes, and not more.
WINDOW_S: Final = 3.0
LEAST_BYTES, MOST_BYTES = 512, 2048
#: What came longer ago than this says nothing about the gauge of now, s.
FORGET_S: Final = 10.0
#: So many of the last bytes are kept to be shown.
TAIL_BYTES: Final = 64
#: A finding is brought up to date this often, s.
TELL_S: Final = 0.2
#: Ports that come and go are looked for this often, s.
LOOK_S: Final = 1.0
#: How a line is set where no profile says how.
PLAIN: Final = GaugeProfile(name="none", source="serial")


class Settings(NamedTuple):
    """One way to set a line and ask: ``like`` is a profile that does so, ``line`` says how."""

    like: GaugeProfile
    line: dict[str, Any]
    request: str | None


class PortListener:
    """Listens to one port, set as each of the profiles would have it in turn.

    It stays with the settings at which a profile understands what comes, or while nothing comes.
    """

    def __init__(
        self,
        port: str,
        profiles: Sequence[GaugeProfile],
        clock: Clock = time.monotonic,
        description: str = "",
    ) -> None:
        self._port = port
        self._profiles = profiles
        self._clock = clock
        self._description = description
        # A polled profile's line is listened to as well: it shows what comes, if anything does.
        self._listened = _settings(_unasked(profile) for profile in profiles or [PLAIN])
        self._asked = _settings(profile for profile in profiles if profile.request)
        self._now = self._listened[0]
        self._heard: deque[Heard] = deque()
        self._heard_s: float | None = None
        # Between these two nothing came: since the last byte, or since listening began with these
        # settings, until the last look that found nothing. A busy computer is no silence.
        self._quiet_since_s, self._quiet_until_s = math.inf, -math.inf
        self._tail = b""
        self._told_s = 0.0
        self._tried_listening = self._tried_asking = False
        self._asking = threading.Event()
        self._stopping = threading.Event()
        self._thread: threading.Thread | None = None
        self.finding = Finding(port, description)

    # For the owner: none of this waits ---------------------------------------------------------

    def open(self) -> None:
        """Start listening, in the background."""
        self._thread = threading.Thread(
            target=self._keep_listening, name=f"listens to {self._port}", daemon=True
        )
        self._thread.start()

    def ask(self) -> None:
        """From now on send the requests of the polled profiles, while the port is silent."""
        self._asking.set()

    def stop(self) -> None:
        """Let the thread come to its end."""
        self._stopping.set()

    def close(self) -> None:
        """Stop, and wait a moment for the port to be free."""
        self.stop()
        if self._thread is not None:
            self._thread.join(CLOSE_S)

    # In the thread -----------------------------------------------------------------------------

    def _keep_listening(self) -> None:
        while not self._stopping.is_set():
            try:
                with connect(self._port, self._listened[0].like) as port:
                    self._forget()
                    while not self._stopping.is_set():
                        self._go_round(port)
            # Whatever a driver or a URL handler raises, the port must go on being tried.
            except Exception as problem:  # noqa: BLE001
                self._tell(trouble=f"can't be listened to: {why_not_open(problem)}")
            self._stopping.wait(RETRY_S)

    def _go_round(self, port: serial.Serial) -> None:
        """Try all settings once; it lasts as long as some are understood, or nothing comes."""
        for settings in self._listened:
            self._try(port, settings)
            if self._asking.is_set():
                # What sends by itself need not be asked.
                if not self._heard:
                    self._go_round_asking(port)
                self._tried_asking = True
        self._tried_listening = True
        self._tell()

    def _go_round_asking(self, port: serial.Serial) -> None:
        for settings in self._asked:
            self._try(port, settings)

    def _try(self, port: serial.Serial, settings: Settings) -> None:
        """Listen, or ask, with these settings until others are likely to do better."""
        if settings != self._now:
            self._now = settings
            self._forget()
        port.apply_settings(settings.line)
        tap = Tap(port, self._hear)
        conversation = Conversation(settings.like, self._clock, tap, lambda _: None)
        until_s = self._clock() + DWELL_S
        while not self._stopping.is_set():
            self._turn(conversation)
            if self._clock() - self._told_s < TELL_S:
                continue
            self._tell()
            if self._clock() >= until_s and not self._is_to_stay(settings):
                return

    def _turn(self, conversation: Conversation) -> None:
        """Listen for a moment, and note whether anything came."""
        began_s, heard_s = self._clock(), self._heard_s
        conversation.turn(self._stopping)
        if self._heard_s == heard_s:
            self._quiet_until_s = began_s

    def _is_to_stay(self, settings: Settings) -> bool:
        """Whether no other settings promise more: no line is too fast or slow for silence."""
        if any(one.is_kept for one in self.finding.understood):
            return True
        if self._heard or settings.request or self._asking.is_set():
            return False
        self._tried_listening = True
        return True

    # What was heard ----------------------------------------------------------------------------

    def _hear(self, data: bytes) -> None:
        self._tail = (self._tail + data)[-TAIL_BYTES:]
        self._heard_s = self._clock()
        quiet_s = max(0.0, self._quiet_until_s - self._quiet_since_s)
        self._heard.append(Heard(self._heard_s, data, quiet_s))
        self._quiet_since_s = self._heard_s

    def _forget(self) -> None:
        """Begin afresh; what comes next may come from the middle of a line."""
        self._heard.clear()
        self._quiet_since_s = self._clock()

    def _understood(self) -> tuple[Understanding, ...]:
        """What the profiles make of what was heard lately."""
        now_s, held = self._clock(), sum(len(one.data) for one in self._heard)
        while self._heard:
            age_s, after = now_s - self._heard[0].t_s, held - len(self._heard[0].data)
            old = age_s > WINDOW_S and after >= LEAST_BYTES
            silent = now_s - self._heard[-1].t_s > FORGET_S
            if not (old or silent or held > MOST_BYTES):
                break
            self._heard.popleft()
            held = after
        return understandings(self._heard, self._now.line, self._profiles, self._now.request)

    def _silent_s(self) -> float | None:
        """Since when nothing came, whatever the line was set to."""
        return None if self._heard_s is None else self._clock() - self._heard_s

    def _tell(self, trouble: str = "") -> None:
        """Bring the finding up to date."""
        self._told_s = self._clock()
        if trouble or (self._silent_s() or 0.0) > FORGET_S:
            self._heard_s = None
        understood = () if trouble else self._understood()
        asks = self._asking.is_set() and bool(self._asked)
        self.finding = Finding(
            self._port,
            self._description,
            trouble,
            self._tail,
            line_words(self._now.like),
            self._silent_s(),
            understood,
            asks,
            self._tried_listening and (self._tried_asking or not asks),
        )


class Listening:
    """Listens to all ports of this computer as they come and go, or to some that were named."""

    def __init__(
        self,
        profiles: Sequence[GaugeProfile],
        named: Iterable[str] = (),
        *,
        look_for_ports: bool = True,
    ) -> None:
        self._profiles = profiles
        self._lock = threading.Lock()
        self._listeners: dict[str, PortListener] = {}
        self._named: set[str] = set()
        self._look_for_ports = look_for_ports
        self._asks = False
        self._stopping = threading.Event()
        self._looked = threading.Event()
        for port in named:
            self.listen_to(port)

    def open(self) -> None:
        """Look for ports from now on, in the background."""
        if not self._look_for_ports:
            self._looked.set()
            return
        threading.Thread(target=self._keep_looking, name="looks for ports", daemon=True).start()

    def listen_to(self, port: str) -> None:
        """Listen to this port too, a device or a URL, whether it is there or not."""
        self._named.add(_identity(port))
        self._add(port, "")

    def ask(self) -> None:
        """From now on send the requests of the polled profiles to ports that are silent."""
        with self._lock:
            self._asks = True
            for listener in self._listeners.values():
                listener.ask()

    @property
    def asks(self) -> bool:
        """Whether requests are sent."""
        return self._asks

    @property
    def has_looked(self) -> bool:
        """Whether the ports that are there are known by now."""
        return self._looked.is_set()

    def findings(self) -> list[Finding]:
        """What is known of each port by now, those first that were heard of first."""
        with self._lock:
            return [listener.finding for listener in self._listeners.values()]

    def close(self) -> None:
        """Stop listening, and wait a moment for the ports to be free."""
        self._stopping.set()
        with self._lock:
            listeners = list(self._listeners.values())
            self._listeners.clear()
        _close(listeners)

    # In the thread that looks ------------------------------------------------------------------

    def _keep_looking(self) -> None:
        while not self._stopping.is_set():
            # A plug that goes while it is looked at makes pyserial raise whatever it likes; the
            # ports stay as they were, and the next look tells.
            with suppress(Exception):
                self._look()
            self._stopping.wait(LOOK_S)

    def _look(self) -> None:
        found = ports.list_ports()
        for port in found:
            self._add(port.device, port.description)
        self._drop({_identity(port.device) for port in found} | self._named)
        self._looked.set()

    def _add(self, port: str, description: str) -> None:
        with self._lock:
            identity = _identity(port)
            if identity in self._listeners or self._stopping.is_set():
                return
            listener = PortListener(port, self._profiles, description=description)
            if self._asks:
                listener.ask()
            self._listeners[identity] = listener
            listener.open()

    def _drop(self, there: set[str]) -> None:
        with self._lock:
            gone = [self._listeners.pop(port) for port in set(self._listeners) - there]
        _close(gone)


def _close(listeners: Sequence[PortListener]) -> None:
    """All are told before any is waited for."""
    for listener in listeners:
        listener.stop()
    for listener in listeners:
        listener.close()


def _identity(port: str) -> str:
    """Two names of one device are one port: it can't be opened twice."""
    return port if "://" in port else os.path.realpath(port)


def _unasked(profile: GaugeProfile) -> GaugeProfile:
    """The same line, with nothing ever sent on it."""
    return profile.model_copy(update={"request": None})


def _settings(profiles: Iterable[GaugeProfile]) -> list[Settings]:
    """The different ways in which these profiles set a line and ask, in their order."""
    found: list[Settings] = []
    for profile in profiles:
        line = line_settings(profile)
        if all((one.line, one.request) != (line, profile.request) for one in found):
            found.append(Settings(profile, line, profile.request))
    return found
