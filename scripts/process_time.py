"""Processor time and memory of a process, as the system tells it."""

from __future__ import annotations

import os
import re
import subprocess
from pathlib import Path

PROC = Path("/proc")


def processor_s(pid: int) -> float:
    """Processor time that a process has had in all, s; to a hundredth.

    From the files that Linux keeps, elsewhere from `ps`.
    """
    stat = PROC / str(pid) / "stat"
    if stat.exists():
        fields = stat.read_text(encoding="utf-8").rpartition(")")[2]
        ticks = fields.split()[11:13]
        return sum(map(int, ticks)) / os.sysconf("SC_CLK_TCK")
    command = ["ps", "-o", "time=", "-p", str(pid)]
    return clock_s(subprocess.run(command, capture_output=True, text=True, check=True).stdout)


def waited_s(pid: int) -> float | None:
    """How long the threads of a process have been ready while others had the processor, s.

    None where the system does not tell.
    """
    files = list((PROC / str(pid) / "task").glob("*/schedstat"))
    if not files:
        return None
    return sum(int(file.read_text(encoding="ascii").split()[1]) for file in files) / 1e9


def most_memory_mb(pid: int) -> float | None:
    """The most memory that a process has had resident until now, MB; None where nobody tells."""
    try:
        status = (PROC / str(pid) / "status").read_text(encoding="ascii", errors="replace")
    except OSError:
        return None
    found = re.search(r"^VmHWM:\s+(\d+) kB", status, re.MULTILINE)
    return None if found is None else int(found[1]) / 1024


def clock_s(text: str) -> float:
    """A time as `ps` writes it, s.

    >>> clock_s("0:03.25"), clock_s("1-02:03:04")
    (3.25, 93784.0)
    """
    days, _, clock = text.strip().rpartition("-")
    seconds = 86400.0 * float(days or 0)
    for place, part in enumerate(reversed(re.split(":", clock))):
        seconds += float(part) * 60**place
    return seconds
