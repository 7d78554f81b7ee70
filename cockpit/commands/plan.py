"""``burn-cockpit plan``: the plan for one hole, or for several from a CSV file."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from datetime import UTC, datetime

from cockpit.commands import UsageError
from cockpit.commands.answer import say, say_json, sentences
from cockpit.commands.plan_lines import choice_lines, plan_lines, way_lines
from cockpit.commands.shop import shop_of
from cockpit.commands.ticket_words import NEEDED, WordsError, ticket_from
from cockpit.text import one_line
from cockpit.trade.errors import TradeError
from cockpit.trade.figures import Override, figure_named, read_override
from cockpit.trade.plan import Plan, make_plan
from cockpit.trade.remnants import Broken
from cockpit.trade.ticket import Ticket
from cockpit.units import UnitsError

#: Who overrides a figure, where the computer does not say.
SOMEBODY = "somebody"
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
    shop = shop_of(asked)
    with sentences(TradeError, UnitsError, WordsError):
        plan = make_plan(_ticket(asked), shop, list(_overrides(asked)))
    if asked.json:
        say_json(plan.model_dump(mode="json", exclude={"unmoved"}))
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
    if asked.override and not one_line(asked.why or ""):
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
            who=one_line(asked.by) or SOMEBODY,
            at_utc=now,
            why=one_line(asked.why),
        )


def _lines(plan: Plan) -> Iterator[str]:
    """The plan for a person; what somebody overruled has a mark, and is told at the end."""
    remnant = plan.remnant
    yield f"{plan.thread.designation}  {Broken(remnant.kind, remnant.form, remnant.hard_metal)}"
    for name, value in (*way_lines(plan), *plan_lines(plan), *choice_lines(plan)):
        yield f"  {name:<16}{value}"
    for one in plan.overrides:
        yield f"* {one.told()}"
    for warning in plan.warnings:
        yield f"! {warning}"
    for caution in plan.cautions:
        yield f"! {caution}"
