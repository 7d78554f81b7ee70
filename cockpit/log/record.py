"""One hole told on a page, for a person to read."""

from __future__ import annotations

from collections.abc import Iterator

from cockpit.burn.state import BurnState
from cockpit.log.questions import HolePage
from cockpit.log.rows import CheckResult, OutcomeRow
from cockpit.text import printable
from cockpit.units import LengthUnit, write_clock, write_length

WIDTH = 72
#: The check by which the cautions of a material are taken on.
CAUTIONS = "cautions"


def hole_record(page: HolePage, state: BurnState | None, unit: LengthUnit) -> str:
    """The record of one hole as plain text; ``state`` is where its burn ended."""
    lines = [
        *_heading(page),
        *_plan(page, unit),
        *_checks(page),
        *_burns(page, state, unit),
        *_calls(page, unit),
        *_ending(page),
    ]
    return "\n".join(map(printable, lines)) + "\n"


def _fact(name: str, value: str) -> str:
    return f"  {name:<16}{value}"


def _heading(page: HolePage) -> Iterator[str]:
    job = page.row.job
    yield f"Hole record: {page.row.label}"
    yield "=" * WIDTH
    yield _fact("customer", f"{job.customer}, {job.reference}")
    yield _fact("part", job.part)
    yield _fact("taken in", f"{_when(page.row.at_utc)} by {page.row.operator}")
    if len(page.hands) > 1:
        yield _fact("had by", ", then ".join(page.hands))
    yield _fact("broken", _broken(page))
    yield _fact("material", page.ticket.material)


def _broken(page: HolePage) -> str:
    flutes = page.ticket.flutes
    broken = page.ticket.broken + (f", {flutes} flutes" if flutes else "")
    thread = page.plan.thread.designation if page.plan else page.row.thread
    # A bore is called after what sits in it.
    return thread if thread.startswith(broken) else f"{broken} in {thread}"


def _plan(page: HolePage, unit: LengthUnit) -> Iterator[str]:
    plan = page.plan
    if plan is None:
        return
    yield ""
    yield "Planned"
    electrode = plan.electrode
    depth, mark = plan.depth, plan.mark
    burns = f"burns {write_length(electrode.hole_mm, unit)}{mark('electrode.hole_mm')}"
    yield _fact("electrode", f"{electrode.label}{mark('electrode.label')}, {burns}")
    amps = f"{plan.arc.amps_low:.0f} to {plan.arc.amps_high:.0f} A"
    yield _fact("current", amps + mark("arc.amps_low", "arc.amps_high"))
    recess = f"{write_length(depth.recess_mm, unit)}{mark('depth.recess_mm')}"
    yield _fact("from", f"{recess} below the surface")
    yield _fact("target", write_length(depth.target_mm, unit) + mark("depth.target_mm"))
    if depth.limit_mm is not None:
        yield _fact("bottom limit", write_length(depth.limit_mm, unit) + mark("depth.limit_mm"))
    for one in plan.overrides:
        yield f"  * {one.told(unit)}"


def _checks(page: HolePage) -> Iterator[str]:
    holding = [row for row in page.checks if row.holds]
    if not holding:
        return
    skipped = [row for row in holding if row.result is CheckResult.SKIPPED]
    yield ""
    yield "Checks"
    yield _fact("answered", f"{len(holding)}, {len(skipped)} passed over")
    for row in skipped:
        yield _fact("passed over", f"{row.title}: {row.word}")
    for caution in page.plan.acknowledge if page.plan else ():
        yield _fact("caution", caution)
    for row in holding:
        if row.item == CAUTIONS and row.word:
            yield _fact("taken on by", f"{row.word}, {_when(row.at_utc)}")


def _burns(page: HolePage, state: BurnState | None, unit: LengthUnit) -> Iterator[str]:
    if not page.burns:
        return
    yield ""
    yield "Burnt"
    of_open_s = page.row.arc_s - sum(burn.arc_s for burn in page.burns)
    for number, burn in enumerate(page.burns, 1):
        is_open = burn.end_s is None
        how = f", {burn.how}" if burn.how and burn.how != "operator" else ""
        how = ", no end of it is known" if is_open else how
        arc = write_clock(of_open_s if is_open else burn.arc_s)
        yield _fact(f"burn {number}", f"{_when(burn.at_utc)}  {burn.kind}  arc {arc}{how}")
    for centre in page.centres:
        across, along = (
            f"{write_length(abs(mm), unit)} {ways[mm < 0]}"
            for mm, ways in (
                (centre.across_mm, ("right", "left")),
                (centre.along_mm, ("away", "towards")),
            )
        )
        yield _fact("centre", f"off {across}, {along}: {centre.verdict}")
    yield _fact("arc time", write_clock(page.row.arc_s))
    if state is not None and state.depth_mm is not None:
        yield from _depth(page, state, unit)


def _depth(page: HolePage, state: BurnState, unit: LengthUnit) -> Iterator[str]:
    depth = state.depth_mm
    assert depth is not None
    low, high = write_length(depth.low, unit, with_unit=False), write_length(depth.high, unit)
    if state.is_unseen:
        yield _fact("depth", f"{low} at least: nobody saw how the last burn ended")
    else:
        yield _fact("depth", f"{write_length(depth.mid, unit)} ({low} to {high}, 95 %)")
    limit_mm = page.plan.depth.limit_mm if page.plan else None
    if limit_mm is not None and depth.mid > limit_mm:
        yield _fact("BOTTOM LIMIT", f"passed by {write_length(depth.mid - limit_mm, unit)}")
    wear = write_length(state.wear.wear_mm, unit)
    electrodes = state.electrodes - page.zeroed_again
    which = "" if electrodes == 1 else f", the last of {electrodes} electrodes"
    which += ", since it was zeroed again" if page.zeroed_again else ""
    yield _fact("electrode wear", f"{wear} ({state.wear.ratio:.2f} per length of travel){which}")


def _calls(page: HolePage, unit: LengthUnit) -> Iterator[str]:
    yield ""
    yield "Calls"
    if not page.calls:
        yield "  none"
    for call in page.calls:
        at = "" if call.depth_mm is None else f" at {write_length(call.depth_mm, unit)}"
        yield _fact(call.call, f"{write_clock(call.t_s)}{at}: {call.text}")


def _ending(page: HolePage) -> Iterator[str]:
    yield ""
    yield "Outcome"
    if page.outcome is None:
        yield "  not closed yet"
    else:
        yield from _outcome(page.outcome)
    for note in page.notes:
        yield _fact("note", f"{note.text} ({note.operator})")


def _outcome(row: OutcomeRow) -> Iterator[str]:
    outcome = row.outcome
    yield _fact("result", f"{outcome.result}, {_when(row.at_utc)} by {row.operator}")
    for name, value in (
        ("thread chased", outcome.chased),
        ("gauged", outcome.gauged),
        ("bottom", outcome.bottom),
        ("marked", outcome.marked),
        ("why", outcome.why),
    ):
        if value:
            yield _fact(name, value)


def _when(utc: str) -> str:
    return utc[:16].replace("T", " ") + " UTC"
