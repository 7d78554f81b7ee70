"""Which gauge profile understands what arrives on a port.

Bytes with their times in, understandings and sentences out, and nothing else but the profiles read
from where they are kept. Nothing here knows an indicator by its maker; a profile understands a port
when it makes readings of nearly all that comes, and knows it when it can say why it makes none.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from cockpit import locations, profiles
from cockpit.gauges.line import _LINE_ENDS, _TEXT, PAUSE_S, LineReader, printable
from cockpit.gauges.protocol import GaugeError, Reject, Sample, wire_bytes
from cockpit.gauges.serial_line import line_settings
from cockpit.profiles import GaugeProfile, ProfileError
from cockpit.units import LengthUnit, write_length

#: A profile that made fewer readings than this may have hit on them by chance (assumed).
ENOUGH_READINGS: Final = 3
#: The share of what comes that a profile has to read; noise may cost the rest (assumed).
SHARE: Final = 0.8
#: An indicator whose figure changed by less than this may only be unsteady in its last place, mm.
MOVES_MM: Final = 0.1
#: Where fewer of the bytes than this are text, the line is set wrong (assumed).
TEXT_SHARE: Final = 0.9
#: A port that sent something is said to be silent after this long, s.
SILENT_S: Final = 2.0
#: What came last is shown up to so many characters.
SHOWN: Final = 40

#: The sources of readings that have no port to listen to.
NO_PORT: Final = ("typed", "recorded", "simulated")
#: Said of a profile whose gauge no listening to ports finds.
NOT_HEARD: Final = "not heard by listening: choose it by name"

#: By these words of the reader's reason a line is known though it is no reading; what to do then.
_KNOWN: Final = {
    "is an overflow mark": "move the head back",
    "does not vouch": "see what the indicator itself says",
    "No head travels that far": "see what the indicator shows, and in which unit",
}


@dataclass(frozen=True, slots=True)
class Heard:
    """Bytes that arrived together, and when, s.

    ``quiet_s``: for how long before that surely nothing came.
    """

    t_s: float
    data: bytes
    quiet_s: float = 0.0


@dataclass(frozen=True, slots=True)
class Understanding:
    """What one profile makes of what was heard.

    ``rate_hz``: readings a second; 0 if too few. ``taken_in``: how many of the lines that the last
    one becomes when it loses a byte would be read all the same; the fewer, the safer. ``why``:
    where it knows nearly all lines and still makes no readings of them, the reason and what to do.
    """

    profile: GaugeProfile
    readings: int
    rejects: int
    rate_hz: float = 0.0
    taken_in: int = 0
    first: Sample | None = None
    last: Sample | None = None
    why: str = ""

    @property
    def share(self) -> float:
        """How much of what came was a reading, 0 to 1."""
        return self.readings / max(1, self.readings + self.rejects)

    @property
    def is_hopeful(self) -> bool:
        """Whether it reads nearly all that came, be that little."""
        return self.readings > 0 and self.share >= SHARE

    @property
    def is_sure(self) -> bool:
        """Whether it reads nearly all of enough."""
        return self.is_hopeful and self.readings >= ENOUGH_READINGS

    @property
    def is_kept(self) -> bool:
        """Whether the line is rightly set for this profile, be there readings or a reason."""
        return self.is_hopeful or bool(self.why)

    @property
    def moved_mm(self) -> float:
        """How far the head went while it was listened to, positive down, mm."""
        if self.first is None or self.last is None:
            return 0.0
        return self.last.travel_mm - self.first.travel_mm

    @property
    def moves(self) -> bool:
        """Whether that is more than an unsteady last place."""
        return abs(self.moved_mm) >= MOVES_MM


@dataclass(frozen=True, slots=True)
class Finding:
    """What is known of a port by now.

    ``trouble``: why it can't be listened to. ``raw``: the bytes that came last. ``line``: how it is
    set now, in words; empty before it was ever opened. ``silent_s``: since when nothing came; None
    if nothing ever did. ``understood``: what each profile makes of it, best first. ``asks``:
    whether requests are sent. ``tried``: whether all was tried once, so that waiting longer will
    hardly tell more.
    """

    port: str
    description: str = ""
    trouble: str = ""
    raw: bytes = b""
    line: str = ""
    silent_s: float | None = None
    understood: tuple[Understanding, ...] = ()
    asks: bool = False
    tried: bool = False

    @property
    def name(self) -> str:
        """The port, with what the system says it is where that says more."""
        said = printable(self.description.encode())
        return self.port if said in ("", "n/a") or said in self.port else f"{self.port} ({said})"

    @property
    def sure(self) -> tuple[Understanding, ...]:
        """The profiles that understand it, best first."""
        return tuple(one for one in self.understood if one.is_sure)

    @property
    def refused(self) -> tuple[Understanding, ...]:
        """The profiles that know what comes but can't read it, all for the same reason."""
        knowing = [one for one in self.understood if one.why]
        return tuple(one for one in knowing if one.why == knowing[0].why)

    @property
    def is_settled(self) -> bool:
        """Whether there is something to say about it."""
        if self.trouble or self.sure or self.refused:
            return True
        return self.tried and not any(one.is_hopeful for one in self.understood)


def understandings(
    heard: Sequence[Heard],
    line: dict[str, object],
    candidates: Iterable[GaugeProfile],
    request: str | None = None,
) -> tuple[Understanding, ...]:
    """What each of the candidates makes of it, best first; ties stay in the order given.

    Only profiles that set the line as it was set when it was heard, and send the ``request`` that
    it was the answer to (none, where nobody asked): another one would hear something else.
    """
    apt = (p for p in candidates if p.request == request and line_settings(p) == line)
    found = sorted((understanding(profile, heard) for profile in apt), key=_best_first)
    if not any(one.is_kept for one in found):
        found = [replace(one, why=_other_end(one.profile, heard)) for one in found]
    return tuple(found)


def understanding(profile: GaugeProfile, heard: Sequence[Heard]) -> Understanding:
    """What a profile makes of what was heard, which may have begun in the middle of a line.

    Not so after a pause that no gauge makes within a line: else of a gauge that sends but now and
    then the only line would be lost.
    """
    whole = bool(heard) and heard[0].quiet_s > PAUSE_S
    reader = LineReader(profile, joined_midway=not whole)
    found = [item for one in heard for item in reader.feed(one.data, one.t_s)]
    samples = [item for item in found if isinstance(item, Sample)]
    rejects = [item for item in found if isinstance(item, Reject)]
    return Understanding(
        profile,
        len(samples),
        len(rejects),
        rate_hz(samples),
        _taken_in(profile, samples[-1].raw) if samples else 0,
        first=samples[0] if samples else None,
        last=samples[-1] if samples else None,
        why=_why(rejects, len(found)),
    )


def _why(rejects: Iterable[Reject], lines: int) -> str:
    """Why lines that are known are no readings, and what to do; empty unless nearly all are."""
    reasons = Counter(one.why for one in rejects)
    known = {why: do for why in reasons for words, do in _KNOWN.items() if words in why}
    strange = sum(times for why, times in reasons.items() if why not in known)
    if not known or lines < ENOUGH_READINGS or lines - strange < SHARE * lines:
        return ""
    why = max(known, key=lambda one: reasons[one])
    return f"{why[:1].lower()}{why[1:].rstrip('.?')}; {known[why]}"


def _other_end(profile: GaugeProfile, heard: Sequence[Heard]) -> str:
    """What to write into the profile where it would read what comes, but for the line ends."""
    for sent, written, called in _LINE_ENDS:
        other = profile.model_copy(update={"line_end": sent.decode("ascii")})
        if understanding(other, heard).is_sure:
            return (
                f'its lines end in {called}; write line_end = "{written}" in a profile of its own'
            )
    return ""


def _taken_in(profile: GaugeProfile, raw: str) -> int:
    """How many of this line's damaged kin, each a byte short, the profile takes for readings."""
    line, end = raw.encode("ascii"), wire_bytes(profile, "line_end", profile.line_end)
    short = (line[:at] + line[at + 1 :] for at in range(len(line)))
    found = (item for one in short for item in LineReader(profile).feed(one + end, 0.0))
    return sum(isinstance(item, Sample) for item in found)


def rate_hz(samples: Sequence[Sample]) -> float:
    """Readings a second over these; 0 for fewer than two, or such as came all at once."""
    if len(samples) < 2 or samples[-1].t_s <= samples[0].t_s:
        return 0.0
    return (len(samples) - 1) / (samples[-1].t_s - samples[0].t_s)


def _best_first(one: Understanding) -> tuple[float, int, int, int]:
    """By the share read, by readings, by how strict it is, by how well it knows the rate."""
    octaves = math.log2(one.rate_hz / one.profile.rate_hz) if one.rate_hz else 0.0
    return (-one.share, -one.readings, one.taken_in, abs(round(octaves)))


# Profiles ----------------------------------------------------------------------------------------


def serial_profiles() -> tuple[list[GaugeProfile], list[str]]:
    """The profiles that can be recognised on a port, and a sentence for each that can't be used."""
    known, troubles = gauge_profiles()
    usable = []
    for profile in known:
        try:
            if profile.source == "serial":
                wire_bytes(profile, "request", profile.request or "")
                wire_bytes(profile, "line_end", profile.line_end)
                usable.append(profile)
        except GaugeError as problem:
            troubles.append(str(problem))
    return usable, troubles


def gauge_profiles() -> tuple[list[GaugeProfile], list[str]]:
    """All gauge profiles, the shop's own first, and a sentence for each that can't be used.

    Each under the name that it is loaded by, which is that of its file.
    """
    paths = profiles.profile_paths("gauge").values()
    own = locations.user_profiles()
    known: list[GaugeProfile] = []
    troubles: list[str] = []
    for path in sorted(paths, key=lambda path: not path.is_relative_to(own)):
        try:
            profile = profiles.read_profile(path, GaugeProfile)
            known.append(profile.model_copy(update={"name": path.stem}))
        except ProfileError as problem:
            troubles.append(str(problem))
    return known, troubles


def how_heard(profile: GaugeProfile) -> str:
    """What to know about finding a gauge by listening; empty for one that is simply heard."""
    if profile.source in NO_PORT:
        return ""
    if profile.source != "serial":
        return NOT_HEARD
    return "" if profile.request is None else "heard only when asked"


def line_words(profile: GaugeProfile) -> str:
    """How a profile sets the line, as people write it.

    >>> line_words(GaugeProfile(name="bench", source="serial"))
    '9600 8N1'
    """
    return f"{profile.baudrate} {profile.bytesize}{profile.parity}{profile.stopbits:g}"


# Sentences ---------------------------------------------------------------------------------------


def told(finding: Finding, unit: LengthUnit = LengthUnit.MM) -> str:
    """What arrives on a port and who understands it, in one sentence without its end."""
    if finding.trouble:
        return finding.trouble
    if finding.silent_s is None:
        if not finding.tried:
            return "is listened to"
        asked = "does not answer" if finding.asks else "says nothing"
        return f"{asked}: check that the gauge is switched on and sends"
    verb = "sends"
    if finding.silent_s > SILENT_S:
        verb = f"is silent for {finding.silent_s:.0f} s, sent"
    if finding.sure:
        return f"{verb} {sends(finding)}: {_understood(finding.sure, unit)}"
    return f"{verb} {sends(finding)}: {_not_understood(finding)}"


def sends(finding: Finding) -> str:
    """What came last in printable characters, and how often it comes."""
    best = finding.sure[0] if finding.sure else None
    if best is None or best.last is None:
        return printable(finding.raw)[-SHOWN:]
    return f"{best.last.raw[-SHOWN:]} {rate_words(best.rate_hz)}".rstrip()


def rate_words(rate_hz: float) -> str:
    """How often, as it is said; empty if that is not known.

    >>> rate_words(9.97), rate_words(0.5)
    ('10 times a second', '0.5 times a second')
    """
    return f"{float(f'{rate_hz:.2g}'):g} times a second" if rate_hz else ""


def _understood(sure: Sequence[Understanding], unit: LengthUnit) -> str:
    shown = {one.profile.name: one.last.travel_mm for one in sure if one.last}
    if max(shown.values()) - min(shown.values()) < MOVES_MM:
        verb = "understands" if len(shown) == 1 else "understand"
        return f"{' and '.join(shown)} {verb} it"
    each = ", ".join(f"{name} reads {write_length(mm, unit)}" for name, mm in shown.items())
    return f"{each}; right is the one that shows what the indicator shows"


def _refused(refused: Sequence[Understanding]) -> str:
    """Why those who know what comes make no reading of it, and what to do."""
    names = " and ".join(one.profile.name for one in refused)
    know, do = ("knows", "does") if len(refused) == 1 else ("know", "do")
    return f"{names} {know} it but {do} not read it: {refused[0].why}"


def _not_understood(finding: Finding) -> str:
    """Why nobody understands a port that does send something, and what to do."""
    best = next((one for one in finding.understood if one.readings or one.rejects), None)
    if best is None and not finding.tried:
        return "that is too little to tell yet"
    if best is not None and best.is_hopeful:
        return f"{best.profile.name} understands it, as far as so little tells; let it send more"
    if finding.refused:
        return _refused(finding.refused)
    if best is not None and best.readings:
        of = best.readings + best.rejects
        return (
            f"{best.profile.name} reads only {best.readings} of {of} lines; "
            "it needs a gauge profile of its own"
        )
    text = sum(map(len, _TEXT.findall(finding.raw)))
    if text < TEXT_SHARE * len(finding.raw):
        return f"no text at {finding.line}, which is likely the wrong baud rate or framing"
    return "no profile understands it; it needs a gauge profile of its own"
