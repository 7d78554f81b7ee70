"""A gauge whose position is in registers: Modbus RTU on a serial line, Modbus TCP on a network.

The open standard: MODBUS Application Protocol V1.1b3, MODBUS over Serial Line V1.02. The line
itself is a serial gauge's, with its thread, its patience and its sentences; what is said on it is
in modbus_conversation.py. That needs the library pymodbus, the program's extra ``modbus``, and
loads it only when such a gauge has its line.
"""

from __future__ import annotations

import importlib.util
import math
import threading
from typing import Final
from urllib.parse import urlsplit

from cockpit.gauges.conversation import Port, SilentLineError
from cockpit.gauges.protocol import Clock, GaugeError, GaugeStatus
from cockpit.gauges.serial_line import SerialGauge
from cockpit.profiles import GaugeProfile

#: The port of Modbus TCP where none is named, as registered for it.
TCP_PORT: Final = 502
#: The devices that can be asked over a serial line (MODBUS over Serial Line V1.02, addressing).
SERIAL_DEVICES: Final = range(1, 248)


class ModbusGauge(SerialGauge):
    """A gauge at ``port``: a serial device, or ``tcp://host:port``. Raises GaugeError."""

    def __init__(self, profile: GaugeProfile, clock: Clock, port: str | None = None) -> None:
        super().__init__(profile, clock, port)
        if profile.modbus is None:
            raise GaugeError(f"Gauge profile {profile.name} has no table [modbus]: add one.")
        if importlib.util.find_spec("pymodbus") is None:
            raise GaugeError(
                f"Gauge profile {profile.name} speaks Modbus, which takes the library pymodbus: "
                f"install the cockpit with it, by pip install '.[modbus]' in the cockpit's folder."
            )
        self._registers = profile.modbus
        self._over_network = "://" in self._port
        if self._over_network:
            self._url = _socket_url(self._port)
        elif self._registers.device_id not in SERIAL_DEVICES:
            raise GaugeError(
                f"Gauge profile {profile.name}: device_id {self._registers.device_id} can't be on "
                f"a serial line: use 1 to 247, as the indicator is set."
            )

    @property
    def detail(self) -> str:
        """What is wrong, where, and what to do; empty while readings come."""
        if self.status is GaugeStatus.WAITING and self._refused:
            return f"Gauge {self.profile.name} on {self._port}: {self._refused}"
        return super().detail

    def _sentence(self, problem: Exception, connected: bool) -> str:
        if connected and self._refused and isinstance(problem, SilentLineError):
            # Nobody pulled a plug: a network line is made anew when the device stays silent.
            return f"Gauge {self.profile.name} on {self._port}: {self._refused}"
        return super()._sentence(problem, connected)

    def _converse(self, port: Port, stopping: threading.Event) -> None:
        # Here, because whoever has no such gauge need not have the library, nor wait for it.
        from cockpit.gauges.modbus_conversation import ModbusConversation

        ModbusConversation(
            self.profile,
            self._registers,
            self._clock,
            port,
            self._take,
            over_network=self._over_network,
            silence_s=self._silence_s if self._over_network else math.inf,
        ).listen(stopping)


def _socket_url(port: str) -> str:
    """What pyserial calls ``tcp://host:port``. Raises GaugeError for any other URL.

    >>> _socket_url("tcp://indicator"), _socket_url("tcp://[::1]:5020")
    ('socket://indicator:502', 'socket://[::1]:5020')
    """
    try:
        parts = urlsplit(port)
        number = parts.port or TCP_PORT
        usable = parts.scheme == "tcp" and bool(parts.hostname)
    except ValueError:  # brackets that don't match, or no number that a port can have
        usable = False
    if not usable or any((parts.path.strip("/"), parts.query, parts.fragment, parts.username)):
        raise GaugeError(
            f"Port {port} is none that a Modbus gauge can have: give a serial device such as "
            f"/dev/ttyUSB0 or COM3, or tcp://host:port for a network."
        )
    host = f"[{parts.hostname}]" if ":" in str(parts.hostname) else parts.hostname
    return f"socket://{host}:{number}"
