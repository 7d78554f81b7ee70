"""``burn-cockpit gauge``: what arrives on the ports, and which gauge profile understands it."""

from __future__ import annotations

import argparse
import time
from collections.abc import Iterator, Sequence

from cockpit.commands import CommandError
from cockpit.commands.answer import say, say_json
from cockpit.gauges.line import printable
from cockpit.gauges.listening import Listening
from cockpit.gauges.recognise import (
    Finding,
    Understanding,
    gauge_profiles,
    how_heard,
    serial_profiles,
    told,
)
from cockpit.profiles import GaugeProfile

LOOK_EVERY_S = 0.05
#: A port that can't even be opened by then is given up, s: a network may take that long.
PATIENCE_S = 15.0
#: A gauge may send but now and then: that a port says nothing is believed after so long, s.
SILENCE_S = 5.0


def run(asked: argparse.Namespace) -> None:
    """Listen to each port for a few seconds and say who understands it; list the profiles."""
    named = [asked.port] if asked.port else []
    (known, _), (usable, troubles) = gauge_profiles(), serial_profiles()
    findings = _findings(usable, named, asked.ask)
    if named and findings[0].trouble:
        raise CommandError(f"{findings[0].port}: {findings[0].trouble}.")
    if asked.json:
        say_json(
            {
                "ports": [_port_json(finding) for finding in findings],
                "profiles": [_profile_json(profile) for profile in known],
                "troubles": troubles,
            }
        )
        return
    for line in (*_port_lines(findings, asked.ask), *_profile_lines(known, troubles)):
        say(line)


def _findings(profiles: Sequence[GaugeProfile], named: Sequence[str], ask: bool) -> list[Finding]:
    """What is known of the ports once waiting longer would hardly tell more."""
    listening = Listening(profiles, named, look_for_ports=not named)
    if ask:
        listening.ask()
    listening.open()
    began_s = time.monotonic()
    try:
        while (passed_s := time.monotonic() - began_s) < PATIENCE_S:
            findings = listening.findings()
            if listening.has_looked and all(_is_told(one, passed_s) for one in findings):
                break
            time.sleep(LOOK_EVERY_S)
    finally:
        listening.close()
    return findings


def _is_told(finding: Finding, passed_s: float) -> bool:
    """Whether there is no more to wait for on this port."""
    is_silent = finding.silent_s is None and not finding.trouble
    return finding.is_settled and (passed_s >= SILENCE_S or not is_silent)


def _port_lines(findings: Sequence[Finding], asked: bool) -> Iterator[str]:
    yield "ports"
    if not findings:
        yield "  none: plug the gauge in, or name a port with --port"
    width = max((len(finding.name) for finding in findings), default=0)
    for finding in findings:
        said = told(finding) if finding.line else "does not open: check name and network"
        yield f"  {finding.name:<{width}}  {said}"
    silent = any(finding.silent_s is None and not finding.trouble for finding in findings)
    if silent and not asked:
        yield "  a gauge that only speaks when it is asked is found with --ask"


def _profile_lines(known: Sequence[GaugeProfile], troubles: Sequence[str]) -> Iterator[str]:
    yield "gauge profiles"
    for profile in known:
        notes = "; ".join(filter(None, (profile.note, how_heard(profile))))
        yield f"  {profile.name:<24}{profile.source:<10} {notes}"
    for trouble in troubles:
        yield f"  can't be used: {trouble}"


# JSON --------------------------------------------------------------------------------------------


def _port_json(finding: Finding) -> dict[str, object]:
    return {
        "port": finding.port,
        "description": finding.description,
        "says": told(finding),
        "trouble": finding.trouble or None,
        "line": finding.line,
        "raw": printable(finding.raw),
        "silent_s": finding.silent_s,
        "asked": finding.asks,
        "understood_by": [one.profile.name for one in finding.sure],
        "profiles": [_understanding_json(one) for one in finding.understood],
    }


def _understanding_json(one: Understanding) -> dict[str, object]:
    return {
        "profile": one.profile.name,
        "readings": one.readings,
        "rejects": one.rejects,
        "rate_hz": one.rate_hz,
        "travel_mm": one.last and one.last.travel_mm,
        "moved_mm": one.moved_mm,
        "why": one.why or None,
    }


def _profile_json(profile: GaugeProfile) -> dict[str, object]:
    return {
        "profile": profile.name,
        "source": profile.source,
        "note": profile.note,
        "heard_by_listening": profile.source == "serial",
        "heard_when_asked": profile.request is not None,
    }
