"""``burn-cockpit plan``: the plan for one hole, or for several from a CSV file."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from datetime import UTC, datetime

from cockpit import profiles
from cockpit.commands import UsageError
from cockpit.commands.answer import printable, say, say_json, sentences
from cockpit.commands.ticket_words import NEEDED, WordsError, ticket_from
from cockpit.profiles import ProfileError
from cockpit.trade.errors import TradeError
from cockpit.trade.figures import Override, figure_named, read_override
from cockpit.trade.plan import (
    CATCH_RESTS_ON,
    HOLE_RESTS_ON,
    OFFSET_RESTS_ON,
    STOP_RESTS_ON,
    TIME_RESTS_ON,
    Plan,
    make_plan,
)
from cockpit.trade.remnants import Broken
from cockpit.trade.ticket import Ticket
from cockpit.trade.timing import BurnTime
from cockpit.units import UnitsError, write_both, write_clock

#: The options that say more of one hole, under the names of a file's columns.
_OPTIONS = ("recess", "sister", "tool_end", "web", "flutes", "material")


def run(asked: argparse.Namespace) -> None:
    """Print the plan, or those of a file."""
    if asked.holes is not None:
        _refuse_with_file(asked)
        from cockpit.commands.plan_file import run as run_file

        run_file(asked)
        return
    _refuse_without_file(asked)
    with sentences(ProfileError, TradeError, UnitsError, WordsError):
        shop = profiles.load_shop(asked.machine or profiles.STANDARD)
        plan = make_plan(_ticket(asked), shop, list(_overrides(asked)))
    if asked.json:
        say_json(plan.model_dump(mode="json"))
        return
    for line in _lines(plan):
        say(line)
    if asked.sources:
        for figure, source in plan.sources.items():
            say(f"  {figure}: {source}")


def _refuse_with_file(asked: argparse.Namespace) -> None:
    """Refuse what would say something about one hole; the file says it for each."""
    of_one_hole = (*NEEDED, *_OPTIONS, "through", "override", "why", "sources")
    said = [name.replace("_", "-") for name in of_one_hole if getattr(asked, name)]
    if said:
        raise UsageError(
            f"burn-cockpit plan: --from has the holes in its file: leave out {', '.join(said)}."
        )


def _refuse_without_file(asked: argparse.Namespace) -> None:
    needed = {"THREAD": asked.thread, "--broken": asked.broken, "--depth": asked.depth}
    if missing := [name for name, value in needed.items() if value is None]:
        raise UsageError(
            f"burn-cockpit plan: needs {', '.join(missing)}, or --from with a file of holes; "
            "see burn-cockpit plan --help."
        )
    if asked.override and not (asked.why or "").strip():
        raise UsageError("burn-cockpit plan: --override needs --why: say in a word why.")


def _ticket(asked: argparse.Namespace) -> Ticket:
    said = {name: getattr(asked, name) for name in (*NEEDED, *_OPTIONS)}
    words = {name: str(value) for name, value in said.items() if value is not None}
    words["through"] = "yes" if asked.through else "no"
    return ticket_from(words, hole="asked", special=asked.special)


def _overrides(asked: argparse.Namespace) -> Iterator[Override]:
    now = datetime.now(UTC).isoformat(timespec="seconds")
    seen: set[str] = set()
    for text in asked.override:
        name, _, value = text.partition("=")
        figure = figure_named(name.strip())
        if figure.name in seen:
            raise UsageError(f"burn-cockpit plan: overrides {figure.words} twice; say it once.")
        seen.add(figure.name)
        yield Override(
            figure=figure.name,
            value=read_override(figure.name, value),
            who=printable(asked.by),
            at_utc=now,
            why=printable(asked.why),
        )


def _lines(plan: Plan) -> Iterator[str]:
    """The plan for a person; what somebody overruled has a mark, and is told at the end."""
    remnant = plan.remnant
    yield f"{plan.thread.designation}  {Broken(remnant.kind, remnant.form, remnant.hard_metal)}"
    for name, value, *figures in _figures(plan):
        yield f"  {name:<16}{value}{plan.mark(*figures)}"
    for one in plan.overrides:
        yield f"* {one.told()}"
    for warning in plan.warnings:
        yield f"! {warning}"
    for caution in plan.cautions:
        yield f"! {caution}"


def _figures(plan: Plan) -> Iterator[tuple[str, ...]]:
    """What a plan says, in lines: a name, a value, and the figures that it rests on."""
    way = plan.remnant.way
    yield "goes", way.goes
    yield "stays", way.stays
    if plan.remnant.web_mm is not None:
        yield "web", write_both(plan.remnant.web_mm), "remnant.web_mm"
    yield from _of_electrode(plan)
    yield from _of_arc(plan)
    yield from _of_depth(plan)
    yield "pilot burn", write_both(plan.pilot_mm), "pilot_mm"
    yield "arc time", _arc_time(plan.time), *TIME_RESTS_ON
    yield "price", f"{plan.price} {plan.currency}", "price", "time.median_s"


def _of_electrode(plan: Plan) -> Iterator[tuple[str, ...]]:
    electrode = plan.electrode
    yield "electrode", electrode.label, "electrode.label"
    yield "  burns", write_both(electrode.hole_mm), *HOLE_RESTS_ON
    needed = "too short" if electrode.needed is None else f"{electrode.needed}"
    yield "how many", needed, "electrode.needed", "electrode.reach_mm"
    off = write_both(electrode.allowed_offset_mm) if plan.fits else "does not fit"
    yield "allowed offset", off, *OFFSET_RESTS_ON
    yield "  at surface", write_both(electrode.allowed_surface_mm)
    yield "  at bottom", write_both(electrode.allowed_below_mm)
    if electrode.allowed_out_of_square is not None:
        yield "out of square", f"{100 * electrode.allowed_out_of_square:.2f} in 100 if centred"
    for loser in electrode.neighbours:
        yield f"not {loser.label}", loser.why


def _of_arc(plan: Plan) -> Iterator[tuple[str, ...]]:
    amps = f"{plan.arc.amps_low:.0f} to {plan.arc.amps_high:.0f} A"
    yield "current", amps, "arc.amps_low", "arc.amps_high"
    yield "heat range", plan.arc.range, "arc.range"
    yield "catch test", f"{plan.flush.catch_ml_10s:.0f} ml in 10 s", *CATCH_RESTS_ON
    yield "water warms by", f"{plan.flush.rise_k:.0f} K", "flush.rise_k"


def _of_depth(plan: Plan) -> Iterator[tuple[str, ...]]:
    depth = plan.depth
    yield "break at", write_both(depth.recess_mm), "depth.recess_mm"
    yield "target", write_both(depth.target_mm), "depth.target_mm"
    if depth.limit_mm is not None:
        yield "bottom limit", write_both(depth.limit_mm), "depth.limit_mm"
    yield "first stop", f"{write_both(depth.stops_mm[0])} on the indicator", *STOP_RESTS_ON
    for number, stop_mm in enumerate(depth.stops_mm[1:], 2):
        yield f"  then stop {number}", f"about {write_both(stop_mm)}, after touching off"
    if depth.touch_offs:
        yield "touch-offs", f"{depth.touch_offs} expected"


def _arc_time(time: BurnTime) -> str:
    low, high = write_clock(time.low_s), write_clock(time.high_s)
    return f"{write_clock(time.median_s)} ({low} to {high})"
