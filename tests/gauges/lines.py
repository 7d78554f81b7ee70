"""Real lines for the tests: pseudo-terminals, network ports, and a way to wait for what comes."""

from __future__ import annotations

import os
import select
import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

import pytest
import serial
import serial.rfc2217

from cockpit.gauges import Gauge, GaugeStatus, Reject, Sample, SerialGauge, make_gauge
from cockpit.profiles import GaugeProfile

DECIMAL = r"\s*(?P<sign>[-+])?\s*(?P<value>\d+(?:\.\d+)?)\s*(?P<unit>\w+)?\s*"

#: pyserial 3.5 does not close the socket of a peer that reset the connection, as one does that is
#: gone while a question is on its way; Python then does, and complains.
peer_may_reset = pytest.mark.filterwarnings("ignore:unclosed <socket:ResourceWarning")


def serial_profile(**changes: object) -> GaugeProfile:
    """A gauge that sends a signed decimal number by itself."""
    held: dict[str, object] = {"name": "bench", "source": "serial", "pattern": DECIMAL}
    return GaugeProfile.model_validate(held | changes)


def status_of(gauge: Gauge) -> GaugeStatus:
    """Its status now; asked through a function, since it changes behind a type checker's back."""
    return gauge.status


def until(done: Callable[[], bool], timeout_s: float = 5.0) -> float:
    """Wait until it is done; return how long that took, s. Fails when it takes too long."""
    began_s = time.monotonic()
    while not done():
        assert time.monotonic() - began_s < timeout_s, "it did not happen in time"
        time.sleep(0.005)
    return time.monotonic() - began_s


class PtyCable:
    """The gauge's end of a pseudo-terminal; ``path`` stays the same from plug to plug."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._ends: tuple[int, ...] = ()

    def plug(self) -> None:
        """Make the port appear."""
        import pty

        self._ends = pty.openpty()
        self.path.symlink_to(os.ttyname(self._ends[1]))

    def unplug(self) -> None:
        """Make the port disappear, as when its plug is pulled."""
        self.path.unlink(missing_ok=True)
        for end in self._ends:
            os.close(end)
        self._ends = ()

    def send(self, data: bytes) -> None:
        """Send as the gauge would."""
        os.write(self._ends[0], data)

    def heard(self, timeout_s: float = 1.0) -> bytes:
        """What the cockpit sent."""
        ready, _, _ = select.select([self._ends[0]], [], [], timeout_s)
        return os.read(self._ends[0], 4096) if ready else b""


class TcpGauge:
    """A gauge on a network port of this computer."""

    def __init__(self, port: int = 0) -> None:
        self._server = socket.create_server(("127.0.0.1", port))
        self._server.settimeout(10.0)
        self.port: int = self._server.getsockname()[1]
        self.url = f"socket://127.0.0.1:{self.port}"
        self._listeners: list[socket.socket] = []

    def accept(self) -> None:
        """Wait for a listener."""
        self._listeners.append(self._server.accept()[0])

    def send(self, data: bytes) -> None:
        """Send to the newest listener."""
        self._listeners[-1].sendall(data)

    def heard(self) -> bytes:
        """What the newest listener sent, once it did."""
        self._listeners[-1].settimeout(10.0)
        return self._listeners[-1].recv(4096)

    def hang_up(self) -> None:
        """Close everything."""
        for listener in self._listeners:
            listener.close()
        self._listeners.clear()
        self._server.close()


class Rfc2217Loop:
    """A network port server as of RFC 2217, with a serial port behind it that echoes.

    ``raised``: once it was hung up, which control lines the listener had raised at the end.
    """

    def __init__(self) -> None:
        self._server = socket.create_server(("127.0.0.1", 0))
        self.url = f"rfc2217://127.0.0.1:{self._server.getsockname()[1]}"
        self.raised: list[tuple[str, bool]] = []
        self._thread = threading.Thread(target=self._serve)
        self._thread.start()

    def _serve(self) -> None:
        connection, _ = self._server.accept()
        with connection, serial.serial_for_url("loop://", timeout=0) as behind:
            self._talk(connection, behind)
            self.raised += [("dtr", behind.dtr), ("rts", behind.rts)]

    @staticmethod
    def _talk(connection: socket.socket, behind: serial.SerialBase) -> None:
        """Pass bytes both ways, and do what the telnet options in them ask."""

        class Wire:
            def write(self, data: bytes) -> None:
                connection.sendall(data)

        # Its stubs ask for two real serial ports; it needs no more than these.
        port_manager: Any = serial.rfc2217.PortManager
        manager = port_manager(behind, Wire())
        with suppress(ConnectionError):
            while data := connection.recv(4096):
                behind.write(b"".join(manager.filter(data)))
                connection.sendall(b"".join(manager.escape(behind.read(4096))))

    def hang_up(self) -> None:
        """End, once the listener is gone."""
        self._thread.join(10.0)
        self._server.close()


class Collected:
    """What a gauge handed over so far."""

    def __init__(self, gauge: Gauge) -> None:
        self._gauge = gauge
        self.all: list[Sample | Reject] = []

    def _drain(self) -> None:
        self.all += self._gauge.drain()

    @property
    def samples(self) -> list[Sample]:
        """The readings."""
        self._drain()
        return [item for item in self.all if isinstance(item, Sample)]

    @property
    def rejects(self) -> list[Reject]:
        """What was no reading."""
        self._drain()
        return [item for item in self.all if isinstance(item, Reject)]

    @property
    def travels_mm(self) -> list[float]:
        """The readings' travels, mm."""
        return [sample.travel_mm for sample in self.samples]


@contextmanager
def listening(profile: GaugeProfile, port: str) -> Iterator[tuple[SerialGauge, Collected]]:
    """A gauge that is open, and what comes from it."""
    gauge = make_gauge(profile, time.monotonic, port)
    assert isinstance(gauge, SerialGauge)
    gauge.open()
    try:
        yield gauge, Collected(gauge)
    finally:
        gauge.close()
