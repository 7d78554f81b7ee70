"""The serial ports that this computer has."""

from __future__ import annotations

from typing import NamedTuple

from serial.tools import list_ports as system


class PortInfo(NamedTuple):
    """A port: the name to open it by, and what the system says it is."""

    device: str
    description: str


def list_ports() -> list[PortInfo]:
    """The ports that are plugged in now, by name."""
    found = (PortInfo(str(port.device), str(port.description)) for port in system.comports())
    return sorted(found)
