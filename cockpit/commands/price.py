"""``burn-cockpit price``: what a job costs by the rate card, planned and actual."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from contextlib import closing

from cockpit import profiles
from cockpit.commands.answer import existing_log, say, say_json, sentences
from cockpit.flow.pricing import NoJobError, Priced, price_job
from cockpit.flow.shop_now import log_shop
from cockpit.log import LogError
from cockpit.log.opening import open_to_read
from cockpit.profiles import ProfileError
from cockpit.trade.price import Bill, Line

#: Said under the bill, so that whoever adds it up knows why it comes out.
ROUNDED = "Each amount is rounded to 0.01, half up; the sum is the sum of the amounts."


def run(asked: argparse.Namespace) -> None:
    """Print what the job costs."""
    path = existing_log(asked.data, asked.demo)
    with sentences(LogError, ProfileError, NoJobError), closing(open_to_read(path)) as connection:
        shop = log_shop(connection, profiles.load_shop(asked.machine))
        priced = price_job(connection, shop, asked.job)
    if asked.json:
        say_json(as_json(priced))
        return
    for line in _lines(priced):
        say(line)


def as_json(priced: Priced) -> dict[str, object]:
    """The bill; money as text, so that no cent is lost on the way."""
    return {
        "customer": priced.customer,
        "reference": priced.reference,
        "parts": list(priced.parts),
        "currency": priced.actual.currency,
        "planned": None if priced.planned is None else _bill_json(priced.planned),
        "actual": _bill_json(priced.actual),
        "open_holes": list(priced.open_holes),
    }


def _bill_json(bill: Bill) -> dict[str, object]:
    lines = [
        {
            "what": line.what,
            "quantity": str(line.quantity),
            "of": line.of,
            "rate": str(line.rate),
            "amount": str(line.amount),
        }
        for line in bill.lines
    ]
    return {"total": str(bill.total), "lines": lines}


def _lines(priced: Priced) -> Iterator[str]:
    yield f"{priced.customer}, {priced.reference}"
    for part in priced.parts:
        yield f"  {part}"
    if priced.planned is None:
        yield "Planned: a hole of it can't be planned any more; burn-cockpit plan says why."
    else:
        yield from _bill("Planned", priced.planned)
    still = f", still open: {', '.join(priced.open_holes)}" if priced.open_holes else ""
    yield from _bill(f"Actual{still}", priced.actual)
    yield ROUNDED


def _bill(heading: str, bill: Bill) -> Iterator[str]:
    yield heading
    for line in bill.lines:
        yield f"  {line.what:<28} {_times(line):<22}{line.amount:>10}"
    yield f"  {'total':<28} {'':<22}{bill.total:>10} {bill.currency}"


def _times(line: Line) -> str:
    """How an amount comes about."""
    return f"{line.quantity} {line.of} x {line.rate}"
