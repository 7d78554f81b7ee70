"""Where readings come from: serial, Modbus, typed, recorded, simulated. One small protocol.

- protocol.py: what a gauge is, what it hands over, what it may be told
- serial_line.py: a gauge on a serial port or URL, in a thread of its own
- conversation.py: one connection of it
- modbus.py: a gauge whose position is in Modbus registers, on such a port or on the network
- modbus_conversation.py: one connection of that
- line.py: bytes into readings
- inbox.py: what came and was not collected yet
- typed.py: the operator types
- recorded.py: a trace played back
- simulated.py: an invented burn
- ports.py: the serial ports of this computer
- recognise.py: which profile understands what arrives
- listening.py: listens to ports before it is known what is on them
"""

from __future__ import annotations

from pathlib import Path

from cockpit.gauges.modbus import ModbusGauge
from cockpit.gauges.protocol import (
    ArcHint,
    Clock,
    Gauge,
    GaugeError,
    GaugeStatus,
    Hint,
    HoleHint,
    Reject,
    Sample,
    StopHint,
    TouchHint,
)
from cockpit.gauges.recorded import RecordedGauge
from cockpit.gauges.serial_line import SerialGauge
from cockpit.gauges.simulated import SimulatedGauge
from cockpit.gauges.typed import TypedGauge
from cockpit.profiles import GaugeProfile

__all__ = [
    "ArcHint",
    "Clock",
    "Gauge",
    "GaugeError",
    "GaugeStatus",
    "Hint",
    "HoleHint",
    "ModbusGauge",
    "RecordedGauge",
    "Reject",
    "Sample",
    "SerialGauge",
    "SimulatedGauge",
    "StopHint",
    "TouchHint",
    "TypedGauge",
    "make_gauge",
]


def make_gauge(
    profile: GaugeProfile, clock: Clock, port: str | None = None, seed: int = 0
) -> Gauge:
    """The gauge that a profile describes, not yet open.

    ``port``: a device, a URL, or for a recorded gauge the trace file; it wins over the profile's.
    ``seed``: for a simulated one. Raises GaugeError, one sentence, for one that can't be set up.
    """
    match profile.source:
        case "serial":
            return SerialGauge(profile, clock, port)
        case "modbus":
            return ModbusGauge(profile, clock, port)
        case "typed":
            return TypedGauge(profile, clock)
        case "recorded":
            return RecordedGauge(profile, clock, Path(port) if port else None)
        case "simulated":
            return SimulatedGauge(profile, clock, seed)
