"""``burn-cockpit gauge``: ports and gauge profiles; ``gauge watch NAME``: what a gauge sends."""

from __future__ import annotations

import argparse
import time

from cockpit import profiles
from cockpit.commands import CommandError
from cockpit.commands.answer import say, sentences
from cockpit.gauges import GaugeError, Reject, Sample, make_gauge
from cockpit.gauges.ports import list_ports
from cockpit.gauges.protocol import GaugeStatus
from cockpit.profiles import ProfileError

LOOK_EVERY_S = 0.05


def run(_asked: argparse.Namespace) -> None:
    """List the serial ports and the gauge profiles."""
    say("ports")
    for device, description in list_ports():
        say(f"  {device:<24}{description}")
    say("gauge profiles")
    for name, path in profiles.profile_paths("gauge").items():
        with sentences(GaugeError, ProfileError):
            profile = profiles.read_profile(path, profiles.GaugeProfile)
        say(f"  {name:<24}{profile.source:<10} {profile.note}")


def watch(asked: argparse.Namespace) -> None:
    """Print each reading raw and understood, and the rate when it ends."""
    with sentences(GaugeError, ProfileError):
        gauge = make_gauge(profiles.load_gauge(asked.name), time.monotonic, asked.port)
        gauge.open()
    began_s = time.monotonic()
    readings = rejects = 0
    said = ""
    try:
        while asked.seconds is None or time.monotonic() - began_s < asked.seconds:
            for item in gauge.drain():
                readings += isinstance(item, Sample)
                rejects += isinstance(item, Reject)
                say(_line(item, began_s))
            if gauge.status is GaugeStatus.LOST and gauge.detail != said:
                said = gauge.detail
                say(f"! {said}")
            time.sleep(LOOK_EVERY_S)
    except KeyboardInterrupt:
        pass
    finally:
        gauge.close()
    passed_s = time.monotonic() - began_s
    rate = readings / passed_s
    say(f"{readings} readings in {passed_s:.1f} s, {rate:.1f} a second; {rejects} rejected")
    if not readings:
        raise CommandError(
            gauge.detail or said or f"{asked.name}: no reading came; check cable and profile."
        )


def _line(item: Sample | Reject, began_s: float) -> str:
    if isinstance(item, Sample):
        return f"{item.t_s - began_s:8.3f}  {item.travel_mm:10.3f} mm  {item.raw}"
    return f"{item.t_s - began_s:8.3f}  {'rejected':>10}     {item.raw}  ({item.why})"
