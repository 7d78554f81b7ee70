"""The record for another program."""

from __future__ import annotations

import json
from dataclasses import replace
from decimal import Decimal

from cockpit.record.as_json import as_json
from cockpit.record.facts import HoleFacts, JobFacts, PriceFacts

#: The keys that stay stable.
KEYS = [
    "record",
    "hole",
    "number",
    "label",
    "customer",
    "reference",
    "part",
    "taken_in_utc",
    "taken_in_by",
    "hands",
    "broken",
    "in_thread",
    "material",
    "through",
    "bottom_mm",
    "planned",
    "checks",
    "burns",
    "arc_s",
    "centres",
    "marks",
    "calls",
    "reached",
    "width_mm",
    "outcomes",
    "notes",
    "corrections",
    "trace",
    "unread",
]
#: Numbers that need no unit: counts, and what has none.
UNITLESS = {"hole", "number", "electrodes", "zeroed_again", "wear_ratio", "taper"}


def numbers(name: str, value: object) -> list[str]:
    """The names that numbers stand under."""
    if isinstance(value, dict):
        return [found for key, held in value.items() for found in numbers(key, held)]
    if isinstance(value, list | tuple):
        return [found for held in value for found in numbers(name, held)]
    return [name] if isinstance(value, int | float) and not isinstance(value, bool) else []


def test_its_keys_stay_and_end_in_their_unit(blind: HoleFacts) -> None:
    held = json.loads(json.dumps(as_json(blind)))
    assert list(held) == KEYS
    odd = {name for name in numbers("", held) if not name.endswith(("_mm", "_s", "_a"))}
    assert odd - UNITLESS == {"amps_low", "amps_high"}
    assert held["reached"]["depth_mm"] == blind.trace[-1].depth_mm
    assert [call["arc_s"] for call in held["calls"]] == [call.arc_s for call in blind.calls]


def test_money_is_among_it_only_where_it_is_told_and_exact(blind: HoleFacts) -> None:
    assert "price" not in as_json(blind)
    priced = replace(blind, price=PriceFacts(Decimal("88.40"), Decimal("86.20"), "EUR"))
    assert as_json(priced)["price"] == {
        "planned": "88.40",
        "by_arc_time": "86.20",
        "currency": "EUR",
    }


def test_a_job_holds_its_holes(blind: HoleFacts, through: HoleFacts) -> None:
    held = as_json(JobFacts("Harrowfield Pumps", "HP-2207", ("pump casing",), (blind, through)))
    assert held["record"] == "job"
    assert [hole["label"] for hole in held["holes"]] == [blind.label, through.label]
