"""The record of a hole, or of its job, in a file for the customer: from command and screen."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Sequence
from contextlib import suppress
from decimal import Decimal
from pathlib import Path
from typing import Final

from cockpit.flow import pricing
from cockpit.flow.past import past_events, past_gaps, past_look
from cockpit.log import LogError, questions
from cockpit.log.questions import HolePage
from cockpit.record.as_json import as_json
from cockpit.record.facts import (
    POINTS,
    HoleFacts,
    JobFacts,
    JobPriceFacts,
    Look,
    PriceFacts,
    hole_facts,
)
from cockpit.record.html import as_html
from cockpit.record.markdown import as_markdown
from cockpit.record.sheet import Sheet, hole_sheet, job_sheet
from cockpit.record.text import as_text
from cockpit.text import rounded
from cockpit.trade.plan import Plan
from cockpit.trade.price import RateCard, bill, price_hole
from cockpit.units import LengthUnit

#: The forms that are set from sheets, by the ending of the file.
FORMS: Final[dict[str, Callable[..., str]]] = {
    ".html": as_html,
    ".md": as_markdown,
    ".txt": as_text,
}
PDF, JSON = ".pdf", ".json"
ENDINGS: Final = (".html", PDF, ".md", JSON, ".txt")


def job_facts(
    connection: sqlite3.Connection,
    path: Path,
    hole_id: int,
    rates: RateCard | None = None,
    *,
    whole_job: bool = False,
) -> JobFacts:
    """What the log at ``path`` says of a hole, or of its whole job. Raises LogError.

    ``rates``: what a hole that is not closed yet is priced by; None where no price is to be told.
    """
    row = questions.hole(connection, hole_id)
    if row is None:
        raise LogError(
            f"There is no hole {hole_id} in {path}; burn-cockpit log lists those that are."
        )
    rows = pricing.whole_job(connection, row) if whole_job else [row]
    holes = tuple(_facts(connection, one.id, rates) for one in rows)
    price = None
    if rates is not None and whole_job:
        done = bill(rates, pricing.works_done(connection, rows))
        price = JobPriceFacts(done.total, done.currency)
    parts = tuple(dict.fromkeys(hole.part for hole in holes))
    return JobFacts(row.job.customer, row.job.reference, parts, holes, price)


def _facts(connection: sqlite3.Connection, hole_id: int, rates: RateCard | None) -> HoleFacts:
    page = questions.page(connection, hole_id)
    assert page is not None, "the log lists it"
    seen = past_look(connection, hole_id, POINTS)
    look = Look()
    if seen is not None:
        # Which gauge sends by itself, the aim of the hole says.
        unread = past_gaps(connection, hole_id, lambda _: None)
        events = past_events(connection, hole_id)
        look = Look(seen.tracker.state(), seen.moments(), events, unread)
    electrodes = questions.electrodes(connection, hole_id)
    return hole_facts(page, look, _price(page, electrodes, rates))


def _price(page: HolePage, electrodes: int, rates: RateCard | None) -> PriceFacts | None:
    """What a hole that was burnt with so many electrodes costs; None where it is not to be told."""
    if rates is None or page.plan is None:
        return None
    if page.tally is not None and page.tally.price is not None:
        # As it was when it was closed; the rate card may be another one by now.
        currency = page.tally.currency or rates.currency
        return PriceFacts(_planned(page.plan, currency), page.tally.price, currency)
    if not (page.burns or page.row.is_closed):
        return PriceFacts(_planned(page.plan, rates.currency), None, rates.currency)
    price = price_hole(
        rates,
        arc_s=page.row.arc_s,
        electrodes=electrodes,
        nominal_mm=page.plan.thread.nominal_mm,
        first_of_part=page.row.number == 1,
    )
    return PriceFacts(_planned(page.plan, rates.currency), price, rates.currency)


def _planned(plan: Plan, currency: str) -> Decimal | None:
    return plan.price if plan.currency == currency else None


def record_form(
    ending: str,
    facts: JobFacts,
    unit: LengthUnit,
    *,
    head: Sequence[str] = (),
    whole_job: bool = False,
) -> bytes:
    """The record in the form that an ending of ``ENDINGS`` stands for.

    ``head``: whose record it is, the name of the shop first.
    """
    if ending == JSON:
        held = as_json(facts if whole_job else facts.holes[0]) | {"head": list(head)}
        return (json.dumps(rounded(held), indent=1) + "\n").encode("ascii")
    sheets = [hole_sheet(hole, unit) for hole in facts.holes]
    if whole_job:
        sheets.insert(0, job_sheet(facts, unit))
    sheets = [sheet.headed(head) for sheet in sheets]
    return _pdf(sheets) if ending == PDF else FORMS[ending](*sheets).encode("utf-8", "replace")


def _pdf(sheets: list[Sheet]) -> bytes:
    # Only here: no other form pays for what makes a PDF.
    from cockpit.record.pdf import as_pdf

    return as_pdf(*sheets)


def put_in_place(file: Path, held: bytes) -> None:
    """Put a whole file in its place, or leave what is there. Raises LogError if it can't be."""
    passing = file.with_name(f".{file.name}.new")
    try:
        try:
            passing.write_bytes(held)
            passing.replace(file)
        finally:
            with suppress(OSError):
                passing.unlink(missing_ok=True)
    except OSError as error:
        raise LogError(
            f"{file}: the record can't be written there ({error.strerror}): name another file."
        ) from error
    except ValueError:
        raise LogError(f"{file}: is no name of a file; name another.") from None
