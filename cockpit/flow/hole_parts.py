"""What is told of a hole of the log, part by part, as lines for a person to read."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Final

from cockpit import dates
from cockpit.burn.reading import Mark, MarkKind
from cockpit.flow.past_trace import PastTrace, Stretch, mark_words
from cockpit.log.questions import HolePage
from cockpit.log.rows import BurnEnd, CheckResult, OutcomeRow, SwitchedBy
from cockpit.record.text import hole_record
from cockpit.trade.plan import Plan
from cockpit.trade.wear import GREATEST_RATIO, Z95
from cockpit.units import LengthUnit, write_clock, write_length

#: Lengths that differ by less are written alike.
_SAME_MM: Final = 0.005


@dataclass(frozen=True, slots=True)
class Told:
    """A hole as it is told: what the log knows of it, in which unit, on how many columns.

    ``trace``: None while no plan was accepted.
    """

    page: HolePage
    trace: PastTrace | None
    unit: LengthUnit
    width: int

    def length(self, mm: float) -> str:
        """A length in the operator's unit."""
        return write_length(mm, self.unit)

    def hung(self, head: str, text: str) -> Iterator[str]:
        """A line whose text goes on under itself where it is longer than the screen is wide."""
        room = max(self.width - len(head), 20)
        first, *more = textwrap.wrap(text, room) or [""]
        yield f"{head}{first}".rstrip()
        for line in more:
            yield " " * len(head) + line


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a hole's page. ``lines`` gives nothing where there is nothing to tell."""

    name: str
    words: str
    nothing: str
    lines: Callable[[Told], Iterator[str]]


def facts(told: Told) -> str:
    """How the burn went, in one line; empty before anything was burnt."""
    trace = told.trace
    if trace is None or not trace.burns:
        return ""
    burns = len(trace.burns)
    words = [f"arc {write_clock(trace.end_s)} in {_counted(burns, 'burn')}"]
    touched = len(trace.marks_of(MarkKind.TOUCH))
    words += [_counted(touched, "touch-off")] if touched else []
    depth = _reached(told)
    return "   ".join([f"depth {depth}" if depth else "no depth is known", *words])


def _counted(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}"


def _reached(told: Told) -> str:
    """The depth that was reached, with its interval; empty where nobody knows."""
    state = told.trace and told.trace.state
    if not state or state.depth_mm is None:
        return ""
    depth = state.depth_mm
    low = write_length(depth.low, told.unit, with_unit=False)
    if state.is_unseen:
        return f"{low} {told.unit} at least"
    high = write_length(depth.high, told.unit, with_unit=False)
    return f"{told.length(depth.mid)} ({low} to {high})"


# The plan beside what it came to -----------------------------------------------------------------

_Row = tuple[str, str, str]
"""What it is, what was planned, what it came to."""


def _plan(told: Told) -> Iterator[str]:
    plan = told.page.plan
    if plan is None:
        return
    rows = [("", "planned", "came to"), *_beside(told, plan)]
    first, second = (max(len(row[column]) for row in rows) + 3 for column in (0, 1))
    for name, planned, actual in rows:
        yield from told.hung(f"{name:<{first}}{planned:<{second}}", actual)
    if plan.overrides:
        yield ""
        yield "* put in place of the plan's, or moved by that:"
    for one in plan.overrides:
        yield from told.hung("  ", one.told(told.unit))


def _beside(told: Told, plan: Plan) -> Iterator[_Row]:
    trace, electrode, depth = told.trace, plan.electrode, plan.depth
    state = trace.state if trace is not None and trace.burns else None
    label = f"{electrode.label}{plan.mark('electrode.label')}"
    needed = "too short" if electrode.needed is None else f"{electrode.needed} needed"
    used = "" if state is None else f"{state.electrodes - told.page.zeroed_again} burnt with"
    yield "electrode", f"{label}, {needed}{plan.mark('electrode.needed')}", used
    target = told.length(depth.target_mm) + plan.mark("depth.target_mm")
    yield "depth", target, _reached(told)
    if depth.limit_mm is None:
        yield "bottom limit", "none: it falls through", ""
    else:
        limit = told.length(depth.limit_mm) + plan.mark("depth.limit_mm")
        yield "bottom limit", limit, _against(told, depth.limit_mm)
    time = plan.time
    planned = f"{write_clock(time.median_s)} ({write_clock(time.low_s)} to "
    planned += f"{write_clock(time.high_s)}){plan.mark('time.median_s')}"
    burns = _counted(len(told.page.burns), "burn")
    arc = f"{write_clock(told.page.row.arc_s)} in {burns}" if told.page.burns else ""
    yield "arc time", planned, arc
    yield from _worn(told, plan)
    allowed = f"{told.length(electrode.allowed_offset_mm)} at most"
    yield "off centre", allowed + plan.mark("electrode.allowed_offset_mm"), _off_centre(told)
    if told.page.width_mm is not None:
        width = told.length(told.page.width_mm)
        yield "burnt hole", told.length(electrode.hole_mm) + plan.mark("electrode.hole_mm"), width
    tally = told.page.tally
    paid = "" if tally is None or tally.price is None else f"{tally.price} {tally.currency}"
    yield "price", f"{plan.price} {plan.currency}{plan.mark('price')}", paid


def _worn(told: Told, plan: Plan) -> Iterator[_Row]:
    trace = told.trace
    if trace is None:
        return
    aim, burnt = trace.aim, bool(trace.burns)
    wear, state = trace.state.wear, trace.state
    ratio = _within(wear.ratio, wear.ratio_sd) if burnt else ""
    is_last = "" if state.electrodes == 1 or not burnt else ", last one"
    yield "wear ratio", _within(aim.wear_mean, aim.wear_sd), ratio + is_last
    if burnt:
        yield "electrode lost", "", told.length(wear.wear_mm) + is_last
    touched = str(len(trace.marks_of(MarkKind.TOUCH))) if burnt else ""
    yield "touch-offs", f"{plan.depth.touch_offs}{plan.mark('depth.touch_offs')}", touched


def _within(ratio: float, sd: float) -> str:
    """A wear ratio with its 95 % interval, as the other figures have it."""
    low, high = max(ratio - Z95 * sd, 0.0), min(ratio + Z95 * sd, GREATEST_RATIO)
    return f"{ratio:.2f} ({low:.2f} to {high:.2f})"


def _against(told: Told, limit_mm: float) -> str:
    """How the depth that was reached stands against the limit."""
    depth = None if told.trace is None else told.trace.state.depth_mm
    if depth is None:
        return ""
    if abs(depth.mid - limit_mm) < _SAME_MM:
        return "reached"
    if depth.mid > limit_mm:
        return f"PASSED by {told.length(depth.mid - limit_mm)}"
    kept = f"{told.length(limit_mm - depth.mid)} to it"
    return f"{kept}; may be passed" if depth.high > limit_mm else kept


def _off_centre(told: Told) -> str:
    """What the last look at the spot found."""
    if not told.page.centres:
        return ""
    last = told.page.centres[-1]
    return f"{told.length(math.hypot(last.across_mm, last.along_mm))}: {last.verdict}"


# Checks, burns, calls ----------------------------------------------------------------------------

_ANSWERS: Final = {
    CheckResult.CONFIRMED: "confirmed",
    CheckResult.SEEN: "seen by the gauge",
    CheckResult.SKIPPED: "PASSED OVER",
}


def _checks(told: Told) -> Iterator[str]:
    day = ""
    for row in told.page.checks:
        if dates.day(row.at_utc) != day:
            day = dates.day(row.at_utc)
            yield day
        word = f": {row.word}" if row.word else ""
        again = "" if row.holds else "   (asked again later)"
        head = f"  {dates.time_of_day(row.at_utc)}  {row.operator:<4}  {_ANSWERS[row.result]:<19}"
        yield from told.hung(head, row.title + word + again)


def _burns(told: Told) -> Iterator[str]:
    if told.trace is None:
        return
    for stretch in told.trace.burns:
        yield from _burn(told, stretch)
        for arc_s, mark in told.trace.marks:
            if stretch.begin_s < arc_s <= stretch.end_s:
                yield from _mark(told, arc_s, mark)
    for centre in told.page.centres:
        sides = ("right", "left"), ("away", "towards")
        lengths = zip((centre.across_mm, centre.along_mm), sides, strict=True)
        off = ", ".join(f"{told.length(abs(mm))} {ways[mm < 0]}" for mm, ways in lengths)
        head = f"spot looked at   {dates.time_of_day(centre.at_utc)}   "
        yield from told.hung(head, f"off {off}: {centre.verdict}")


def _burn(told: Told, stretch: Stretch) -> Iterator[str]:
    lasted = write_clock(stretch.end_s - stretch.begin_s)
    span = f"arc {write_clock(stretch.begin_s)} to {write_clock(stretch.end_s)}, {lasted}"
    row, ends = stretch.row, ""
    if row is not None:
        ends = "no end of it is known" if row.end_s is None else ""
        ends = "cut short: nobody saw its end" if row.how == BurnEnd.CUT_SHORT else ends
        by = {row.started_by, row.ended_by}
        ends = ends or ("by the readings" if SwitchedBy.READINGS in by else "")
    when = "" if row is None else f"{dates.moment(row.at_utc)}   "
    told_ends = f"   {ends}" if ends else ""
    yield from told.hung(f"{stretch.name:<10}", f"{when}{span}{told_ends}")


def _mark(told: Told, arc_s: float, mark: Mark) -> Iterator[str]:
    words = mark_words(mark.kind)
    if mark.kind in (MarkKind.START, MarkKind.STOP, MarkKind.UNSEEN):
        return
    value = "" if mark.value_mm is None else told.length(mark.value_mm)
    if mark.kind in (MarkKind.TOUCH, MarkKind.ELECTRODE) and value:
        value = f"indicator {value} on the reference face"
    yield from told.hung(f"   {write_clock(arc_s):>7}   {words:<16}", value)


def _calls(told: Told) -> Iterator[str]:
    calls = told.page.calls
    for call in calls:
        clock = write_clock(told.trace.arc.arc_s(call.t_s)) if told.trace else ""
        at = "" if call.depth_mm is None else told.length(call.depth_mm)
        yield from told.hung(f"{clock:>7}   {call.call:<10}{at:>10}   ", call.text)


# What people said --------------------------------------------------------------------------------


def _notes(told: Told) -> Iterator[str]:
    for note in told.page.notes:
        yield from told.hung(f"{dates.moment(note.at_utc)}  {note.operator:<4}  ", note.text)


def _outcomes(told: Told) -> Iterator[str]:
    """The outcome in force, then what it took the place of."""
    newest_first = tuple(reversed(told.page.outcomes))
    for place, row in enumerate(newest_first):
        before = newest_first[place + 1] if place + 1 < len(newest_first) else None
        if place:
            yield ""
            yield "said before, no longer in force:"
        yield from _outcome(told, row)
        if before is not None:
            said = f"{before.outcome.result}, said by {before.operator}"
            yield from told.hung(f"{'in place of':<16}", f"{said}, {dates.moment(before.at_utc)}")
    corrections = told.page.corrections
    if corrections:
        yield ""
        yield "corrected:"
    for one in corrections:
        yield from told.hung(f"{dates.moment(one.at_utc)}  ", one.told(told.unit))


def _outcome(told: Told, row: OutcomeRow) -> Iterator[str]:
    outcome = row.outcome
    yield f"{'result':<16}{outcome.result}, {dates.moment(row.at_utc)} by {row.operator}"
    for name, value in (
        ("thread chased", outcome.chased),
        ("gauged", outcome.gauged),
        ("bottom", outcome.bottom),
        ("marked", outcome.marked),
        ("why", outcome.why),
    ):
        if value:
            yield from told.hung(f"{name:<16}", value)


def _record(told: Told) -> Iterator[str]:
    state = told.trace.state if told.trace else None
    yield from hole_record(told.page, state, told.unit).splitlines()


def _drawn(told: Told) -> Iterator[str]:
    line = facts(told)
    if line:
        yield line


def has_more(part: Part, told: Told) -> bool:
    """Whether there is anything in a part."""
    return any(True for _ in part.lines(told))


TRACE: Final = Part("trace", "how the burn went", "Nothing was burnt yet.", _drawn)

PARTS: Final[tuple[Part, ...]] = (
    TRACE,
    Part("plan", "plan and what it came to", "No plan was accepted yet.", _plan),
    Part("checks", "the checks", "No check was answered yet.", _checks),
    Part("burns", "the burns", "Nothing was burnt yet.", _burns),
    Part("calls", "the calls", "Nothing was called.", _calls),
    Part("notes", "the notes", "Nobody left a note.", _notes),
    Part("outcome", "how it ended", "Not closed yet.", _outcomes),
    Part("record", "the record", "", _record),
)
"""The parts in the order that the big key leads through them."""


def next_part(place: int, filled: Iterable[int]) -> int | None:
    """The next part after a place that there is anything in; None behind the last.

    >>> next_part(0, [1, 3]), next_part(3, [1, 3])
    (1, None)
    """
    return next((one for one in sorted(filled) if one > place), None)
