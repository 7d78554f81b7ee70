"""``burn-cockpit plan``: the plan for one hole."""

from __future__ import annotations

import argparse
from collections.abc import Iterator

from cockpit import profiles
from cockpit.commands.answer import say, say_json, sentences
from cockpit.log.record import clock
from cockpit.profiles import ProfileError
from cockpit.trade.errors import TradeError
from cockpit.trade.plan import Plan, Ticket, make_plan
from cockpit.trade.remnants import read_kind
from cockpit.units import UnitsError, read_length_mm, write_both


def run(asked: argparse.Namespace) -> None:
    """Print the plan."""
    with sentences(ProfileError, TradeError, UnitsError):
        shop = profiles.load_shop(asked.machine or profiles.STANDARD)
        plan = make_plan(_ticket(asked), shop)
    if asked.json:
        say_json(plan.model_dump(mode="json"))
        return
    for line in _lines(plan):
        say(line)


def _ticket(asked: argparse.Namespace) -> Ticket:
    held: dict[str, object] = {
        "hole": "asked",
        "thread": asked.thread,
        "broken": read_kind(asked.broken),
        "flutes": asked.flutes,
        "depth_mm": read_length_mm(asked.depth),
        "recess_mm": read_length_mm(asked.recess),
        "through": asked.through,
        "web_mm": None if asked.web is None else read_length_mm(asked.web),
        "special": asked.special,
    }
    if asked.material is not None:
        held["material"] = asked.material
    return Ticket.model_validate(held)


def _lines(plan: Plan) -> Iterator[str]:
    """The plan for a person, each figure with where it comes from."""
    electrode, depth, time = plan.electrode, plan.depth, plan.time
    yield f"{plan.thread.designation}  {plan.remnant.kind}"
    yield _line("electrode", f"{electrode.label}, burns {write_both(electrode.hole_mm)}")
    yield _line("allowed offset", write_both(electrode.allowed_offset_mm))
    yield _line(
        "current", f"{plan.arc.amps_low:.0f} to {plan.arc.amps_high:.0f} A, {plan.arc.range}"
    )
    yield _line("catch test", f"{plan.flush.catch_ml_10s:.0f} ml in 10 s")
    yield _line("from, to", f"{write_both(depth.recess_mm)}, {write_both(depth.target_mm)}")
    if depth.limit_mm is not None:
        yield _line("bottom limit", write_both(depth.limit_mm))
    yield _line("first stop", f"{write_both(depth.stops_mm[0])} on the indicator")
    yield _line("arc time", f"{clock(time.median_s)} ({clock(time.low_s)} to {clock(time.high_s)})")
    yield _line("price", f"{plan.price} {plan.currency}")
    for warning in plan.warnings:
        yield f"! {warning}"
    for caution in plan.cautions:
        yield f"! {caution}"


def _line(name: str, value: str) -> str:
    return f"  {name:<16}{value}"
