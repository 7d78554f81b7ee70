"""A record in words, in one unit of length, in the order that one reads it.

Every form of a record is set from this sheet, and adds and leaves out nothing.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Final

from cockpit.burn.reading import MarkKind
from cockpit.dates import moment, zones
from cockpit.log.rows import BurnEnd
from cockpit.record.drawing import Drawing
from cockpit.record.facts import (
    CAUTIONS,
    CheckFacts,
    HoleFacts,
    JobFacts,
    MarkFacts,
    OutcomeFacts,
    OverriddenFacts,
    PlannedFacts,
    ReachedFacts,
)
from cockpit.record.section import section
from cockpit.record.trace import letter, trace
from cockpit.text import printable
from cockpit.trade.figures import figure_named
from cockpit.trade.plan import OVERRIDE_MARK
from cockpit.units import LengthUnit, write_clock, write_length

_NOT_SAID: Final = "not said"
# Answers that say nothing where there is nothing to be looked at.
_NO_NEWS: Final = ("", "clean", "not looked at", "not gauged", "no thread")


@dataclass(frozen=True, slots=True)
class Fact:
    """One thing that is said, and what it is called."""

    name: str
    value: str


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of cells under the names of their columns; the last column holds the longest words."""

    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a sheet under its heading; ``key`` is what the forms know it by."""

    key: str
    heading: str
    facts: tuple[Fact, ...] = ()
    table: Table | None = None


@dataclass(frozen=True, slots=True)
class Sheet:
    """One page of a record. ``date_utc``: when anything was last said of it.

    ``times``: by which clock its times are. ``head``: whose record it is, line by line.
    """

    title: str
    parts: tuple[Part, ...]
    drawings: tuple[Drawing, ...]
    date_utc: str
    times: str
    head: tuple[str, ...] = ()

    def headed(self, lines: Iterable[str]) -> Sheet:
        """The same under the name of the shop."""
        return replace(self, head=tuple(map(shown, lines)))


def hole_sheet(facts: HoleFacts, unit: LengthUnit) -> Sheet:
    """Put the record of one hole in words."""
    parts = (
        Part("hole", "Hole", tuple(_hole(facts))),
        Part("planned", "Planned", tuple(_planned(facts, unit))),
        Part("burnt", "Burnt", tuple(_burnt(facts, unit)), _burn_table(facts)),
        Part("measured", "Measured and changed", (), _mark_table(facts, unit)),
        Part("calls", "Calls", _none(facts.calls), _call_table(facts, unit)),
        Part("outcome", "Outcome", tuple(_outcome(facts))),
        Part("notes", "Notes", (), _note_table(facts)),
        Part("corrected", "Corrected", tuple(_corrected(facts, unit))),
        Part("checks", "Checks", tuple(_checks(facts)), _check_table(facts)),
    )
    drawings = (section(facts, unit), trace(facts, unit))
    return _clean(
        Sheet(
            f"Hole record: {facts.label}",
            tuple(part for part in parts if part.facts or part.table),
            tuple(drawing for drawing in drawings if drawing is not None),
            facts.last_utc,
            _times(facts),
        )
    )


def job_sheet(facts: JobFacts, unit: LengthUnit) -> Sheet:
    """Put what a job came to in words: one line a hole."""
    holes = facts.holes
    names = (
        Fact("customer", facts.customer),
        Fact("reference", facts.reference),
        Fact("part" if len(facts.parts) == 1 else "parts", ", ".join(facts.parts)),
        Fact("holes", str(len(holes))),
        Fact("arc time", write_clock(sum(hole.arc_s for hole in holes))),
        *_job_price(facts),
    )
    rows = (
        (
            hole.part if len(facts.parts) > 1 else "",
            str(hole.number),
            hole.label,
            hole.in_thread,
            hole.broken,
            write_clock(hole.arc_s),
            hole.outcome.result if hole.outcome else "not closed yet",
            _depth(hole.reached, unit) if hole.reached else "not burnt",
        )
        for hole in holes
    )
    columns = ("part", "no.", "hole", "thread", "broken", "arc time", "result", "depth")
    table = _table(columns, rows)
    return _clean(
        Sheet(
            f"Job record: {facts.reference}",
            (Part("job", "Job", names), Part("holes", "Holes", (), table)),
            (),
            max((hole.last_utc for hole in holes), default=""),
            _times(*holes),
        )
    )


def _times(*holes: HoleFacts) -> str:
    """By which clock the times of these holes are told; two where summer time began meanwhile.

    Of every one of them: what was taken in and corrected in winter may be burnt in summer.
    """
    found = zones(sorted(utc for hole in holes for utc in hole.told_utc))
    return f"times are {', then '.join(found) or 'UTC'}"


def _job_price(facts: JobFacts) -> Iterator[Fact]:
    price = facts.price
    if price is not None:
        told = f"{price.by_arc_time} {price.currency}, by the arc time that the holes took"
        yield Fact("price", told)


def _none(rows: tuple[object, ...]) -> tuple[Fact, ...]:
    return () if rows else (Fact("", "none"),)


# The hole and its plan -------------------------------------------------------------------------


def _hole(facts: HoleFacts) -> Iterator[Fact]:
    yield Fact("customer", facts.customer)
    yield Fact("reference", facts.reference)
    yield Fact("part", facts.part)
    yield Fact("hole", f"{facts.label}, no. {facts.number} of the job, {facts.hole} in the log")
    yield Fact("taken in", f"{moment(facts.taken_in_utc)} by {facts.taken_in_by}")
    if len(facts.hands) > 1:
        yield Fact("had by", ", then ".join(facts.hands))
    # A bore is called after what sits in it.
    is_named = facts.in_thread.startswith(facts.broken)
    yield Fact("broken", facts.in_thread if is_named else f"{facts.broken} in {facts.in_thread}")
    yield Fact("material", facts.material)


def _planned(facts: HoleFacts, unit: LengthUnit) -> Iterator[Fact]:
    planned = facts.planned
    if planned is None:
        return

    def length(mm: float, figure: str) -> str:
        return write_length(mm, unit) + _mark(planned, figure)

    yield Fact("thread", _thread(planned, unit))
    label = planned.electrode + _mark(planned, "electrode.label")
    yield Fact("electrode", f"{label}, burns {length(planned.hole_mm, 'electrode.hole_mm')}")
    amps = f"{planned.amps_low:.0f} to {planned.amps_high:.0f} A"
    yield Fact("current", amps + _mark(planned, "arc.amps_low", "arc.amps_high"))
    yield Fact("break", f"{length(planned.break_mm, 'depth.recess_mm')} below the surface")
    yield Fact("target", length(planned.target_mm, "depth.target_mm"))
    if planned.limit_mm is not None:
        yield Fact("bottom limit", length(planned.limit_mm, "depth.limit_mm"))
    bottom = write_length(facts.bottom_mm, unit)
    yield Fact("bottom", f"none: through a part {bottom} thick" if facts.through else bottom)
    if facts.price is not None and facts.price.planned is not None:
        price, mark = facts.price, _mark(planned, "price")
        yield Fact("price", f"{price.planned}{mark} {price.currency}")
    for one in planned.overridden:
        yield Fact(OVERRIDE_MARK, _overridden(one, unit))
    for caution in planned.cautions:
        yield Fact("caution", caution)


def _thread(planned: PlannedFacts, unit: LengthUnit) -> str:
    thread = planned.thread
    if not thread.has_thread:
        return f"none: a bore of {write_length(thread.nominal_mm, unit)}"
    low = write_length(thread.minor_min_mm, unit, with_unit=thread.minor_max_mm is None)
    high = "" if thread.minor_max_mm is None else f" to {write_length(thread.minor_max_mm, unit)}"
    at = " at the surface" if thread.taper else ""
    return f"{thread.designation} ({thread.standard}), minor diameter {low}{high}{at}"


def _mark(planned: PlannedFacts, *figures: str) -> str:
    return OVERRIDE_MARK if set(figures) & set(planned.moved) else ""


def _overridden(one: OverriddenFacts, unit: LengthUnit) -> str:
    figure = figure_named(one.figure)
    was = "none" if one.instead_of is None else figure.write(one.instead_of, unit)
    said = f"{figure.words} {figure.write(one.value, unit)}, not {was}"
    return f"{said}; {one.who}, {moment(one.at_utc)}: {one.why}"


# What was checked, burnt and measured ------------------------------------------------------------


def _checks(facts: HoleFacts) -> Iterator[Fact]:
    if not facts.checks:
        return
    over = [one for one in facts.checks if one.answer == "passed over"]
    against = [one for one in facts.checks if one.against_gauge]
    told = f", {len(against)} against the gauge" if against else ""
    yield Fact("answered", f"{len(facts.checks)}, {len(over)} passed over{told}")
    for one in over:
        yield Fact("passed over", f"{one.title}: {one.word} ({_signed(one)})")
    for one in against:
        yield Fact("AGAINST GAUGE", f"{one.title}: {one.word} ({_signed(one)})")
    for one in facts.checks:
        if one.check == CAUTIONS and one.word:
            yield Fact("taken on by", f"{one.word}, {moment(one.at_utc)}")


def _signed(one: CheckFacts) -> str:
    return f"{one.who}, {moment(one.at_utc)}"


def _check_table(facts: HoleFacts) -> Table | None:
    plain = [one for one in facts.checks if one.answer != "passed over" and not one.against_gauge]
    return _table(
        ("when", "by", "check"),
        ((moment(one.at_utc), one.who, _answer(one)) for one in plain),
    )


def _answer(one: CheckFacts) -> str:
    word = f"{one.title}: {one.word}" if one.word else one.title
    return word if one.holds else f"{word}; asked again since"


def _burn_table(facts: HoleFacts) -> Table | None:
    rows = []
    for number, burn in enumerate(facts.burns, 1):
        ended = "no end of it is known" if burn.ended is None else burn.ended
        ended = "" if ended == BurnEnd.OPERATOR else ended
        rows.append((str(number), moment(burn.at_utc), burn.kind, write_clock(burn.arc_s), ended))
    return _table(("burn", "begun", "kind", "arc time", "ended"), rows)


def _burnt(facts: HoleFacts, unit: LengthUnit) -> Iterator[Fact]:
    if not facts.burns:
        return
    yield Fact("arc time", write_clock(facts.arc_s))
    for centre in facts.centres:
        found = _off(centre.across_mm, centre.along_mm, unit)
        yield Fact("centre", f"{found}: {centre.verdict}")
    if facts.reached is not None:
        yield from _depth_facts(facts.reached, unit)
    if facts.width_mm is not None:
        yield Fact("burnt hole", f"{write_length(facts.width_mm, unit)} wide, measured")
    price = facts.price
    if price is not None and price.by_arc_time is not None:
        yield Fact("price", f"{price.by_arc_time} {price.currency}, by the arc time that it took")
    if facts.unread:
        gone = write_clock(sum(end_s - begin_s for begin_s, end_s in facts.unread))
        yield Fact("gauge silent", f"for {gone} of the arc: nothing was read then")


def _off(across_mm: float, along_mm: float, unit: LengthUnit) -> str:
    # The log can't tell an offset that was measured to be nothing from one that was only seen.
    if not (across_mm or along_mm):
        return "found centred"
    ways = ((across_mm, "right", "left"), (along_mm, "away", "towards"))
    return "off " + ", ".join(
        f"{write_length(abs(mm), unit)} {back if mm < 0 else on}" for mm, on, back in ways
    )


def _depth_facts(reached: ReachedFacts, unit: LengthUnit) -> Iterator[Fact]:
    yield Fact("depth", _depth(reached, unit))
    if reached.past_limit_mm is not None:
        yield Fact("BOTTOM LIMIT", f"passed by {write_length(reached.past_limit_mm, unit)}")
    many = reached.electrodes
    which = "" if many == 1 else f", the last of {many} electrodes"
    which += ", since it was zeroed again" if reached.zeroed_again else ""
    wear = write_length(reached.wear_mm, unit)
    ratio = f"{reached.wear_ratio:.2f} per {unit} of travel"
    yield Fact("electrode wear", f"{wear} ({ratio}){which}")


def _depth(reached: ReachedFacts, unit: LengthUnit) -> str:
    if reached.through_mm is not None:
        return f"through at {write_length(reached.through_mm, unit)}"
    low = write_length(reached.depth_low_mm, unit, with_unit=False)
    if reached.at_least:
        return f"{low} {unit} at least: nobody saw how the last burn ended"
    high = write_length(reached.depth_high_mm, unit)
    return f"{write_length(reached.depth_mm, unit)} ({low} to {high}, 95 %)"


def _mark_table(facts: HoleFacts, unit: LengthUnit) -> Table | None:
    return _table(
        ("mark", "when", "by", "arc time", "what"),
        (
            (
                letter(place),
                moment(one.at_utc),
                one.who,
                write_clock(one.arc_s),
                _told(one, unit),
            )
            for place, one in enumerate(facts.marks)
        ),
    )


def _told(one: MarkFacts, unit: LengthUnit) -> str:
    value = "" if one.value_mm is None else write_length(one.value_mm, unit)
    match one.what:
        case MarkKind.TOUCH:
            return f"touch-off {value}"
        case MarkKind.WEAR:
            return f"electrode {value} shorter"
        case MarkKind.DEPTH:
            return f"depth gauged: {value}"
        case MarkKind.ELECTRODE:
            return "another electrode"
        case MarkKind.SPOT:
            return "another spot"
    return "same electrode, zeroed again"


def _call_table(facts: HoleFacts, unit: LengthUnit) -> Table | None:
    return _table(
        ("no.", "arc time", "depth", "call", "what it says"),
        (
            (
                str(number),
                write_clock(one.arc_s),
                "" if one.depth_mm is None else write_length(one.depth_mm, unit),
                one.call,
                # What it told the operator to do then is no matter of the customer's.
                one.text.partition(":")[0],
            )
            for number, one in enumerate(facts.calls, 1)
        ),
    )


# How it ended ------------------------------------------------------------------------------------


def _outcome(facts: HoleFacts) -> Iterator[Fact]:
    for earlier in facts.outcomes[:-1]:
        why = f": {earlier.why}" if earlier.why else ""
        yield Fact("before", f"{earlier.result}, {moment(earlier.at_utc)} by {earlier.who}{why}")
    outcome = facts.outcome
    if outcome is None:
        yield Fact("", "not closed yet")
        return
    yield Fact("result", f"{outcome.result}, {moment(outcome.at_utc)} by {outcome.who}")
    yield from _proved(facts, outcome)
    if outcome.why:
        yield Fact("why", outcome.why)


def _proved(facts: HoleFacts, outcome: OutcomeFacts) -> Iterator[Fact]:
    """What was proved; what there is not is said to be not there."""
    has_thread = facts.planned is None or facts.planned.thread.has_thread
    chased = outcome.chased or _NOT_SAID
    yield Fact("thread chased", chased if has_thread else "not applicable: a bore has no thread")
    is_ungauged = not has_thread and outcome.gauged in _NO_NEWS
    gauged = "not applicable: no thread" if is_ungauged else outcome.gauged
    yield Fact("gauged", gauged or _NOT_SAID)
    is_open = facts.through and outcome.bottom in _NO_NEWS
    yield Fact("bottom", "none: it goes through" if is_open else outcome.bottom or _NOT_SAID)
    yield Fact("marked on part", outcome.marked or _NOT_SAID)


def _note_table(facts: HoleFacts) -> Table | None:
    rows = ((moment(note.at_utc), note.who, note.text) for note in facts.notes)
    return _table(("when", "by", "note"), rows)


def _corrected(facts: HoleFacts, unit: LengthUnit) -> Iterator[Fact]:
    for one in facts.corrections:
        was, now = one.was, one.now
        if one.was_mm is not None and one.now_mm is not None:
            was, now = write_length(one.was_mm, unit), write_length(one.now_mm, unit)
        said = f"{now or 'nothing'}, was {was or 'nothing'}"
        yield Fact(one.what, f"{said}; {one.who}, {moment(one.at_utc)}: {one.why}")


# What a form may have of it ----------------------------------------------------------------------


def _table(columns: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> Table | None:
    """A table without the columns that nothing stands in; None without rows."""
    held = tuple(rows)
    filled = [place for place in range(len(columns)) if any(row[place] for row in held)]
    if not held:
        return None
    return Table(
        tuple(columns[place] for place in filled),
        tuple(tuple(row[place] for place in filled) for row in held),
    )


def _clean(sheet: Sheet) -> Sheet:
    """The sheet with nothing in its words but what is for showing."""
    return Sheet(
        shown(sheet.title),
        tuple(
            Part(
                part.key,
                part.heading,
                tuple(Fact(shown(fact.name), shown(fact.value)) for fact in part.facts),
                part.table
                and Table(
                    part.table.columns,
                    tuple(tuple(map(shown, row)) for row in part.table.rows),
                ),
            )
            for part in sheet.parts
        ),
        sheet.drawings,
        sheet.date_utc,
        sheet.times,
    )


def shown(text: str) -> str:
    """One line of what can be shown: composed letters, and no character that no page may hold.

    Unicode's noncharacters are for no interchange; XML 1.0 and HTML forbid them.

    >>> shown("a\\ufffe\\n\\u202eb"), shown("e\\u0301") == "\\u00e9"
    ('a? ?b', True)
    """
    kept = "".join("?" if _is_no_character(one) else one for one in text)
    return unicodedata.normalize("NFC", printable(kept))


def _is_no_character(character: str) -> bool:
    code = ord(character)
    return 0xFDD0 <= code <= 0xFDEF or code & 0xFFFE == 0xFFFE
