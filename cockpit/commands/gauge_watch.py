"""``burn-cockpit gauge watch NAME``: what a gauge sends, raw and understood, as it comes."""

from __future__ import annotations

import argparse
import signal
import threading
import time
from collections import Counter, deque
from collections.abc import Iterator

from cockpit import profiles
from cockpit.commands import CommandError
from cockpit.commands.answer import say, sentences
from cockpit.gauges import Gauge, GaugeError, Reject, Sample, SerialGauge, make_gauge
from cockpit.gauges.line import printable
from cockpit.gauges.protocol import GaugeStatus
from cockpit.gauges.recognise import rate_hz
from cockpit.profiles import ProfileError

LOOK_EVERY_S = 0.05
#: Bytes that have made no line for so long are shown as they are, s.
UNFINISHED_S = 1.0
#: The rate is that of the last so many readings.
RATE_OVER = 20


def run(asked: argparse.Namespace) -> None:
    """Print each reading raw and understood, and a summary when it ends. Raises CommandError."""
    with sentences(GaugeError, ProfileError):
        gauge = make_gauge(profiles.load_gauge(asked.name), time.monotonic, asked.port)
        watch = Watch(gauge, time.monotonic())
        gauge.open()
    stopping = threading.Event()
    # An interrupt at any odd moment ends it, and in no middle of a line.
    before = signal.signal(signal.SIGINT, lambda *_: stopping.set())
    try:
        while not stopping.is_set() and (asked.seconds is None or watch.passed_s < asked.seconds):
            for line in watch.look():
                say(line)
            stopping.wait(LOOK_EVERY_S)
    finally:
        signal.signal(signal.SIGINT, before)
        gauge.close()
    for line in (*watch.look(), *watch.summary()):
        say(line)
    if not watch.readings:
        raise CommandError(
            watch.trouble or f"{asked.name}: no reading came; check cable and profile."
        )


class Watch:
    """What a gauge sent since ``began_s``, line by line."""

    def __init__(self, gauge: Gauge, began_s: float) -> None:
        self.readings = 0
        self.trouble = ""
        self._gauge = gauge
        self._began_s = began_s
        self._latest: deque[Sample] = deque(maxlen=RATE_OVER)
        self._rejects: Counter[str] = Counter()
        self._overheard: deque[bytes] = deque()
        self._unread = b""
        self._unread_s = began_s
        if isinstance(gauge, SerialGauge):
            gauge.overhear = self._overheard.append

    @property
    def passed_s(self) -> float:
        """How long it was watched, s."""
        return time.monotonic() - self._began_s

    def look(self) -> Iterator[str]:
        """A line for everything that came since the last look."""
        arrived = self._gauge.drain()
        yield from map(self._told, arrived)
        self._keep_unread(bool(arrived))
        if self._unread and time.monotonic() - self._unread_s >= UNFINISHED_S:
            yield from self.unfinished()
        detail = self._gauge.detail
        if detail and detail != self.trouble and self._gauge.status is GaugeStatus.LOST:
            yield f"! {detail}"
        self.trouble = detail or self.trouble

    def _told(self, item: Sample | Reject) -> str:
        at = f"{item.t_s - self._began_s:8.3f}"
        if isinstance(item, Reject):
            self._rejects[item.why] += 1
            return f"{at}  {'rejected':>10}                {item.raw}  ({item.why})"
        self.readings += 1
        self._latest.append(item)
        rate = f"{rate_hz(self._latest):6.1f} /s"
        return f"{at}  {item.travel_mm:10.3f} mm {rate}   {item.raw}"

    # Bytes that make no line -------------------------------------------------------------------

    def _keep_unread(self, made_lines: bool) -> None:
        """Keep the bytes that belong to no line yet: those after the last line end, if any."""
        came = b"".join(self._overheard.popleft() for _ in range(len(self._overheard)))
        if not self._unread or made_lines:
            self._unread_s = time.monotonic()
        self._unread += came
        if made_lines:
            end = self._gauge.profile.line_end.encode("latin-1")
            before, _, after = self._unread.rpartition(end)
            self._unread = after if before else b""

    def unfinished(self) -> Iterator[str]:
        """A line for the bytes that made none so far, if there are any."""
        if self._unread:
            at = f"{self._unread_s - self._began_s:8.3f}"
            yield f"{at}  {'unfinished':>10}                {printable(self._unread)}"
            self._unread = b""

    # At the end --------------------------------------------------------------------------------

    def summary(self) -> Iterator[str]:
        """Readings, rate, and rejects by reason; what made no line, where nothing made any."""
        if not self.readings:
            yield from self.unfinished()
        passed_s, rejected = self.passed_s, self._rejects.total()
        rate = self.readings / passed_s
        yield (
            f"{self.readings} readings in {passed_s:.1f} s, {rate:.1f} a second; "
            f"{rejected} rejected" + (":" if rejected else "")
        )
        for why, times in self._rejects.most_common():
            yield f"{times:6d} times  {why}"
