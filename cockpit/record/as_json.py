"""A record for another program: its facts by their names, each in the unit its name ends in."""

from __future__ import annotations

from dataclasses import asdict
from decimal import Decimal
from typing import Any

from cockpit.record.facts import HoleFacts, JobFacts


def as_json(facts: HoleFacts | JobFacts) -> dict[str, Any]:
    """The facts as JSON holds them; money is text, so that no cent is rounded.

    A price is only among them where it was asked for.
    """
    if isinstance(facts, HoleFacts):
        return {"record": "hole", **_plain(facts)}
    names = {"customer": facts.customer, "reference": facts.reference, "parts": list(facts.parts)}
    price = {} if facts.price is None else {"price": asdict(facts.price, dict_factory=_of_pairs)}
    holes = [_plain(hole) for hole in facts.holes]
    return {"record": "job", **names, **price, "holes": holes}


def _plain(facts: HoleFacts) -> dict[str, Any]:
    held = asdict(facts, dict_factory=_of_pairs)
    if facts.price is None:
        del held["price"]
    return held


def _of_pairs(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    return {name: str(value) if isinstance(value, Decimal) else value for name, value in pairs}
