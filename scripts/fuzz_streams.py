"""Byte streams as a bad line brings them, and the reader held to what each has to give.

Every stream goes to the reader of one shipped profile in one chunk, in several, and in several with
long pauses between them. What comes out is compared with `fuzz_oracle.py`.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache
from itertools import pairwise
from random import Random
from typing import Final

from fuzz_oracle import Due, due
from gauge_forms import FORMS, Form

from cockpit.gauges import Reject, Sample
from cockpit.gauges.line import PAUSE_S, LineReader
from cockpit.profiles import GaugeProfile, load_gauge, profile_paths
from cockpit.units import LengthUnit

#: No more than this is held back between two chunks, bytes of memory: a line, and room to grow.
MOST_HELD_BYTES: Final = 1_000

# Streams -----------------------------------------------------------------------------------------

_LIKELY: Final = b"0123456789+-.,AEmnio \r\n"
_INSERTED: Final = (
    b"\x00",
    b"\xff",
    b"\r",
    b"\n",
    b"\r\n",
    b" ",
    b".",
    b",",
    b"-",
    b"9",
    b"\xb1",
    b"0" * 20,
)


def stream(random: Random) -> bytes:
    """A stream: by turns random bytes, and lines of the forms, most of them whole."""
    if random.random() < 0.5:
        return _noise(random, random.randrange(400))
    form = random.choice(list(FORMS.values()))
    damage = random.choice((0.0, 0.1, 0.5))
    return b"".join(_piece(random, form, damage) for _ in range(random.randrange(30)))


def _noise(random: Random, length: int) -> bytes:
    if random.random() < 0.5:
        return random.randbytes(length)
    return bytes(random.choices(_LIKELY, k=length))


def _piece(random: Random, form: Form, damage: float) -> bytes:
    """A line of the form; with the chance of ``damage``, what became of it."""
    line = _line(random, form)
    if random.random() >= damage:
        return line
    return random.choice((_with_a_byte_spoilt, _with_its_end_spoilt, _displaced))(random, line)


def _with_a_byte_spoilt(random: Random, line: bytes) -> bytes:
    at = random.randrange(len(line))
    match random.randrange(5):
        case 0:
            return line[:at] + line[at + 1 :]
        case 1:
            return line[:at] + bytes([line[at] ^ (1 << random.randrange(8))]) + line[at + 1 :]
        case 2:
            return line[:at] + random.choice(_INSERTED) + line[at:]
        case 3:
            return line[:at]
        case _:
            return line[at:]


def _with_its_end_spoilt(random: Random, line: bytes) -> bytes:
    return line.rstrip(b"\r\n") + random.choice((b"", b"\r", b"\n", b"\r\r\n", b"\n\r"))


def _displaced(random: Random, line: bytes) -> bytes:
    match random.randrange(4):
        case 0:
            return line * 2
        case 1:
            return _line(random, random.choice(list(FORMS.values())))
        case 2:
            return random.choice((b"1", b" ", b"\xaa", b"+12.34 ")) * random.randrange(300)
        case _:
            return _noise(random, random.randrange(40))


def _line(random: Random, form: Form) -> bytes:
    if random.random() < 0.05:
        return random.choice([form.overflow, form.doubt, ""]).encode("ascii") + b"\r\n"
    travel_mm = random.choice((random.gauss(0.0, 20.0), random.uniform(-2500.0, 2500.0)))
    inch = form.knows_inches and random.random() < 0.5
    return form.line(travel_mm, LengthUnit.INCH if inch else LengthUnit.MM)


def cuts(random: Random, length: int) -> list[int]:
    """Where a stream of this length is cut into chunks; now and then between all its bytes."""
    if random.random() < 0.1:
        return list(range(1, length))
    return sorted(random.randrange(length + 1) for _ in range(random.randrange(12)))


# The reader, held to it --------------------------------------------------------------------------


class FindingError(Exception):
    """Something that the reader should not have done, in one sentence."""


@dataclass
class Figures:
    """What was seen. ``fed_bytes``: a stream counts once for each time that it was fed.

    ``finding``: what was wrong, and how to see it again; empty when nothing was.
    """

    streams: int = 0
    fed_bytes: int = 0
    readings: int = 0
    rejects: int = 0
    most_held_bytes: int = 0
    finding: str = ""

    def add(self, other: Figures) -> None:
        """Add what was seen elsewhere."""
        self.streams += other.streams
        self.fed_bytes += other.fed_bytes
        self.readings += other.readings
        self.rejects += other.rejects
        self.most_held_bytes = max(self.most_held_bytes, other.most_held_bytes)
        self.finding = self.finding or other.finding


@cache
def shipped(name: str) -> GaugeProfile:
    """A gauge profile, read once."""
    return load_gauge(name)


@cache
def serial_profiles() -> tuple[str, ...]:
    """The names of the shipped profiles that read lines."""
    return tuple(name for name in profile_paths("gauge") if shipped(name).source == "serial")


def hold(name: str, data: bytes, cut_at: list[int], figures: Figures, *, midway: bool) -> None:
    """Hold one profile's reader to one stream. Raises FindingError."""
    longest = shipped(name).max_line
    chunks = [data[a:b] for a, b in pairwise([0, *cut_at, len(data)]) if a < b]
    whole = _fed(name, [data], figures, midway=midway)
    _compare(whole, due(name, data, longest, midway=midway))
    if _fed(name, chunks, figures, midway=midway) != whole:
        raise FindingError("in chunks it is read otherwise than as a whole")
    pauses = (*cut_at, len(data))
    paused = _fed(name, chunks, figures, midway=midway, pausing=True)
    _compare(paused, due(name, data, longest, midway=midway, pauses=pauses))
    figures.readings += sum(isinstance(item, Sample) for item in whole)
    figures.rejects += sum(isinstance(item, Reject) for item in whole)


def _fed(
    name: str, chunks: list[bytes], figures: Figures, *, midway: bool, pausing: bool = False
) -> list[Sample | Reject]:
    """What the reader makes of chunks, with nothing after each if pausing; all times set to 0."""
    reader = LineReader(shipped(name), joined_midway=midway)
    found: list[Sample | Reject] = []
    for number, chunk in enumerate(chunks):
        t_s = number * 4 * PAUSE_S
        try:
            found += reader.feed(chunk, t_s)
            if pausing:
                found += reader.feed(b"", t_s + 2 * PAUSE_S)
        except Exception as problem:
            raise FindingError(f"{type(problem).__name__} is raised: {problem}") from problem
        held = held_bytes(reader)
        figures.most_held_bytes = max(figures.most_held_bytes, held)
        if held > MOST_HELD_BYTES:
            raise FindingError(f"{held} bytes are held back")
    figures.fed_bytes += sum(map(len, chunks))
    if any(before.t_s > after.t_s for before, after in pairwise(found)):
        raise FindingError("times go back")
    return [replace(item, t_s=0.0) for item in found]


def held_bytes(reader: LineReader) -> int:
    """What a reader holds on to, whatever it calls it: bytes of memory."""
    kept = (one for one in vars(reader).values() if isinstance(one, bytes | bytearray | str | list))
    return sum(sys.getsizeof(one) for one in kept)


def _compare(found: list[Sample | Reject], wanted: Due) -> None:
    """Raise FindingError unless every reading is one that was sent, and none is missing."""
    readings = [(_sent(item.raw), item.travel_mm) for item in found if isinstance(item, Sample)]
    for (line, travel_mm), (sent, sent_mm) in zip(readings, wanted.readings, strict=False):
        if line != sent or not math.isclose(travel_mm, sent_mm, abs_tol=1e-9):
            raise FindingError(f"{line!r} is read as {travel_mm} mm where {sent!r} was sent")
    if len(readings) != len(wanted.readings):
        raise FindingError(f"{len(readings)} readings where {len(wanted.readings)} were sent")
    rejects = len(found) - len(readings)
    if wanted.rejects is not None and rejects != wanted.rejects:
        raise FindingError(f"{rejects} rejects where {wanted.rejects} were due")
    if not all(item.raw.isprintable() and item.raw.isascii() for item in found):
        raise FindingError("what was sent is shown with bytes that steer a terminal")


def _sent(raw: str) -> bytes:
    """The bytes behind what is shown of them."""
    return raw.encode("ascii").decode("unicode_escape").encode("latin-1")


def run_stream(seed: int, number: int, figures: Figures) -> None:
    """Make one stream and hold every profile to it. Raises FindingError, which shows the bytes."""
    random = Random(f"{seed} {number}")
    data = stream(random)
    cut_at = cuts(random, len(data))
    midway = random.random() < 0.5
    figures.streams += 1
    for name in serial_profiles():
        try:
            hold(name, data, cut_at, figures, midway=midway)
        except FindingError as finding:
            raise FindingError(f"{name}: {finding}, in {data!r} cut at {cut_at}") from finding


def run_streams(seed: int, numbers: range) -> Figures:
    """Hold the reader to the streams of these numbers, up to the first finding."""
    figures = Figures()
    for number in numbers:
        try:
            run_stream(seed, number, figures)
        except FindingError as finding:
            again = f"To see it again: fuzz_reader.py --seed {seed} --only {number}"
            figures.finding = f"{finding}.\n{again}"
            break
    return figures


def run_input(data: bytes, figures: Figures) -> None:
    """Hold the reader to what a guided run thought of: a profile, where to cut, and the bytes."""
    if len(data) < 2:
        return
    names = serial_profiles()
    head, tail = data[:2], data[2:]
    random = Random(head[1])
    figures.streams += 1
    hold(names[head[0] % len(names)], tail, cuts(random, len(tail)), figures, midway=head[1] > 127)


# What one damaged byte can do --------------------------------------------------------------------


@dataclass
class Damage:
    """Lines of a form with one byte damaged: how many, and how many are read as another travel."""

    lines: int = 0
    misread: int = 0


def one_byte_lost(form: Form) -> Damage:
    """Every byte of many lines lost, one at a time."""
    return _damaged(form, lambda line, at: [line[:at] + line[at + 1 :]])


def one_bit_turned(form: Form) -> Damage:
    """Every bit of many lines turned over, one at a time."""

    def turned(line: bytes, at: int) -> list[bytes]:
        return [line[:at] + bytes([line[at] ^ (1 << bit)]) + line[at + 1 :] for bit in range(8)]

    return _damaged(form, turned)


def _damaged(form: Form, spoil: Callable[[bytes, int], list[bytes]]) -> Damage:
    random = Random("travels between -20 and 120 mm")
    damage = Damage()
    for _ in range(100):
        line = form.line(random.uniform(-20.0, 120.0))
        ((_, travel_mm),) = due(form.profile, line, shipped(form.profile).max_line).readings
        for at in range(len(line)):
            for spoilt in spoil(line, at):
                found = LineReader(shipped(form.profile)).feed(spoilt, 0.0)
                damage.lines += 1
                damage.misread += any(
                    isinstance(item, Sample) and item.travel_mm != travel_mm for item in found
                )
    return damage
