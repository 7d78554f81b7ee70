"""What a record says of a hole, as figures: lengths in mm, times in s, dates UTC in ISO 8601.

The names of the fields are the keys of the record in JSON.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from cockpit.burn.calls import CallKind
from cockpit.burn.hindsight import Moment
from cockpit.burn.reading import STOPPING, Mark, MarkKind, Reading
from cockpit.burn.state import BurnState
from cockpit.log.questions import HolePage
from cockpit.log.rows import BurnEnd, BurnRow, CheckResult, CheckRow
from cockpit.trade.figures import Value
from cockpit.trade.plan import Plan
from cockpit.trade.remnants import FluteForm

#: The check by which the cautions of a material are taken on.
CAUTIONS: Final = "cautions"
#: So many moments of a burn are kept for its picture, two for each millimetre of paper.
POINTS: Final = 300

# The figures of a plan that a record shows; behind those that a person moved stands a mark.
_SHOWN: Final = (
    "electrode.label",
    "electrode.hole_mm",
    "arc.amps_low",
    "arc.amps_high",
    "depth.recess_mm",
    "depth.target_mm",
    "depth.limit_mm",
    "price",
)


@dataclass(frozen=True, slots=True)
class ThreadFacts:
    """The thread, or the bore where ``has_thread`` is False; ``minor`` are its least and most."""

    designation: str
    standard: str
    has_thread: bool
    nominal_mm: float
    minor_min_mm: float
    minor_max_mm: float | None
    taper: float


@dataclass(frozen=True, slots=True)
class OverriddenFacts:
    """A figure that a person put in place of the plan's, and what the plan would have said."""

    figure: str
    value: Value
    instead_of: Value | None
    who: str
    at_utc: str
    why: str


@dataclass(frozen=True, slots=True)
class PlannedFacts:
    """What was planned. ``limit_mm``: None where the hole goes through.

    ``moved``: the figures that were overridden, or moved by an override, by their names in a plan.
    ``tool_end_mm``: where the broken tool ends, None where nobody knows.
    """

    thread: ThreadFacts
    electrode: str
    electrode_mm: float
    hole_mm: float
    amps_low: float
    amps_high: float
    break_mm: float
    target_mm: float
    limit_mm: float | None
    tool_end_mm: float | None
    cautions: tuple[str, ...]
    moved: tuple[str, ...]
    overridden: tuple[OverriddenFacts, ...]


@dataclass(frozen=True, slots=True)
class CheckFacts:
    """The last answer to one check.

    ``holds``: nobody was asked again since, as one is for a stop that has to be set anew.
    ``answer``: confirmed, seen by the cockpit, or passed over. ``against_gauge``: the gauge showed
    something else; the word says what.
    """

    check: str
    title: str
    answer: str
    word: str
    against_gauge: bool
    holds: bool
    at_utc: str
    who: str


@dataclass(frozen=True, slots=True)
class BurnFacts:
    """One burn. ``ended``: by the operator, cut short, or None: no end of it is known."""

    kind: str
    at_utc: str
    arc_s: float
    ended: str | None


@dataclass(frozen=True, slots=True)
class CentreFacts:
    """Where the spot of a pilot burn sat, seen from the operator: right and away are positive."""

    across_mm: float
    along_mm: float
    verdict: str
    at_utc: str


@dataclass(frozen=True, slots=True)
class MarkFacts:
    """One thing measured or changed at ``arc_s`` of the hole's arc time.

    ``what``: touch, wear, depth, electrode, spot, or zeroed again: the same electrode anew.
    """

    what: str
    value_mm: float | None
    arc_s: float
    at_utc: str
    who: str


@dataclass(frozen=True, slots=True)
class CallFacts:
    """One call, at ``arc_s`` of the hole's arc time."""

    call: str
    text: str
    depth_mm: float | None
    arc_s: float
    at_utc: str


@dataclass(frozen=True, slots=True)
class ReachedFacts:
    """How deep the hole is, with its 95 % interval, and what the electrode has lost.

    ``through_mm``: where it fell through, None where it did not. ``at_least``: nobody saw how the
    last burn ended, so it may be deeper. ``past_limit_mm``: so far below the bottom limit.
    ``electrodes``: how many were burnt with; ``zeroed_again``: how often one was put back.
    """

    depth_mm: float
    depth_low_mm: float
    depth_high_mm: float
    at_least: bool
    through_mm: float | None
    past_limit_mm: float | None
    wear_mm: float
    wear_ratio: float
    electrodes: int
    zeroed_again: int


@dataclass(frozen=True, slots=True)
class OutcomeFacts:
    """How it ended, and what was proved; empty where nobody said."""

    result: str
    chased: str
    gauged: str
    bottom: str
    marked: str
    why: str
    at_utc: str
    who: str


@dataclass(frozen=True, slots=True)
class NoteFacts:
    """A note on the hole."""

    text: str
    at_utc: str
    who: str


@dataclass(frozen=True, slots=True)
class CorrectionFacts:
    """Something that was said wrongly at first: ``what`` it is, what it ``was``, who said why.

    A length stands in ``was_mm`` and ``now_mm`` as well; else both are None.
    """

    what: str
    was: str
    now: str
    was_mm: float | None
    now_mm: float | None
    who: str
    at_utc: str
    why: str


@dataclass(frozen=True, slots=True)
class PointFacts:
    """One moment of the burn, with the 95 % interval of its depth as it looks by now."""

    arc_s: float
    travel_mm: float | None
    depth_mm: float
    depth_low_mm: float
    depth_high_mm: float


@dataclass(frozen=True, slots=True)
class PriceFacts:
    """What the hole costs by the rate card: as planned, and for the arc time that it took.

    ``planned`` is None where it was planned in another currency, ``by_arc_time`` for a hole that
    nobody has begun.
    """

    planned: Decimal | None
    by_arc_time: Decimal | None
    currency: str


@dataclass(frozen=True, slots=True)
class HoleFacts:
    """The record of one hole.

    ``hole``: its number in the log; ``number``: its number within the job. ``bottom_mm``: where the
    bottom is, or the far side of the part where the hole goes ``through``. ``unread``: the spans of
    arc time, s, in which the gauge was silent. ``width_mm``: how wide the burnt hole was measured.
    ``outcomes``: the last one counts.
    """

    hole: int
    number: int
    label: str
    customer: str
    reference: str
    part: str
    taken_in_utc: str
    taken_in_by: str
    hands: tuple[str, ...]
    broken: str
    in_thread: str
    material: str
    through: bool
    bottom_mm: float
    planned: PlannedFacts | None
    checks: tuple[CheckFacts, ...]
    burns: tuple[BurnFacts, ...]
    arc_s: float
    centres: tuple[CentreFacts, ...]
    marks: tuple[MarkFacts, ...]
    calls: tuple[CallFacts, ...]
    reached: ReachedFacts | None
    width_mm: float | None
    outcomes: tuple[OutcomeFacts, ...]
    notes: tuple[NoteFacts, ...]
    corrections: tuple[CorrectionFacts, ...]
    trace: tuple[PointFacts, ...]
    unread: tuple[tuple[float, float], ...]
    price: PriceFacts | None

    @property
    def outcome(self) -> OutcomeFacts | None:
        """The outcome in force."""
        return self.outcomes[-1] if self.outcomes else None

    @property
    def told_utc(self) -> tuple[str, ...]:
        """Every date that the record tells, from the first to the last."""
        moments = (
            self.taken_in_utc,
            *(one.at_utc for one in (self.planned.overridden if self.planned else ())),
            *(one.at_utc for one in self.checks),
            *(one.at_utc for one in self.burns),
            *(one.at_utc for one in self.marks),
            *(one.at_utc for one in self.outcomes),
            *(one.at_utc for one in self.notes),
            *(one.at_utc for one in self.corrections),
        )
        return tuple(sorted(moments))

    @property
    def last_utc(self) -> str:
        """When anything was last said of the hole: the date of its record."""
        return self.told_utc[-1]


@dataclass(frozen=True, slots=True)
class JobPriceFacts:
    """What a job costs by the rate card of now: its parts' set-ups and the minimum once each."""

    by_arc_time: Decimal
    currency: str


@dataclass(frozen=True, slots=True)
class JobFacts:
    """The record of a job: its names, those of its parts, and the record of each of its holes."""

    customer: str
    reference: str
    parts: tuple[str, ...]
    holes: tuple[HoleFacts, ...]
    #: What all of it costs; None where no price is to be told.
    price: JobPriceFacts | None = None


@dataclass(frozen=True, slots=True)
class Look:
    """A burn looked back at: where it ended, its moments, its trace, and where nobody read."""

    state: BurnState | None = None
    moments: Sequence[Moment] = ()
    events: Sequence[Reading | Mark] = ()
    unread: Sequence[tuple[float, float]] = ()


def hole_facts(page: HolePage, look: Look, price: PriceFacts | None = None) -> HoleFacts:
    """Take down what the log says of a hole; ``price`` only where it may be told."""
    clock = _ArcClock(page)
    job, row = page.row.job, page.row
    return HoleFacts(
        hole=row.id,
        number=row.number,
        label=row.label,
        customer=job.customer,
        reference=job.reference,
        part=job.part,
        taken_in_utc=row.at_utc,
        taken_in_by=row.operator,
        hands=page.hands,
        broken=_broken(page),
        in_thread=page.plan.thread.designation if page.plan else row.thread,
        material=page.ticket.material,
        through=page.ticket.through,
        bottom_mm=page.ticket.bottom_mm,
        planned=_planned(page.plan, page.ticket.tool_end_mm) if page.plan else None,
        checks=_checks(page),
        burns=tuple(_burn(one, clock) for one in page.burns),
        arc_s=row.arc_s,
        centres=_centres(page),
        marks=_marks(page, clock),
        calls=_calls(page, clock),
        reached=_reached(page, look.state),
        width_mm=page.width_mm,
        outcomes=_outcomes(page),
        notes=tuple(NoteFacts(one.text, one.at_utc, one.operator) for one in page.notes),
        corrections=_corrections(page),
        trace=_trace(look, _end_mm(page)),
        unread=tuple(look.unread),
        price=price,
    )


class _ArcClock:
    """The arc's own clock: how long it was on, up to a moment of the hole's clock."""

    def __init__(self, page: HolePage) -> None:
        # A burn that nobody ended counts as far as it is known.
        self._of_open_s = page.row.arc_s - sum(burn.arc_s for burn in page.burns)
        self._spans = [(burn.start_s, burn.start_s + self.length_s(burn)) for burn in page.burns]

    def length_s(self, burn: BurnRow) -> float:
        return self._of_open_s if burn.end_s is None else burn.arc_s

    def arc_s(self, t_s: float) -> float:
        return sum(max(0.0, min(t_s, end_s) - start_s) for start_s, end_s in self._spans)


def _broken(page: HolePage) -> str:
    ticket = page.ticket
    form = "" if ticket.form is FluteForm.STRAIGHT else f"{ticket.form} "
    flutes = f", {ticket.flutes} flutes" if ticket.flutes else ""
    return f"{'carbide ' if ticket.hard_metal else ''}{form}{ticket.broken}{flutes}"


def _planned(plan: Plan, tool_end_mm: float | None) -> PlannedFacts:
    thread, electrode, depth = plan.thread, plan.electrode, plan.depth
    return PlannedFacts(
        thread=ThreadFacts(
            thread.designation,
            thread.standard,
            thread.pitch_mm is not None,
            thread.nominal_mm,
            thread.minor_min_mm,
            thread.minor_max_mm,
            thread.taper,
        ),
        electrode=electrode.label,
        electrode_mm=electrode.diameter_mm,
        hole_mm=electrode.hole_mm,
        amps_low=plan.arc.amps_low,
        amps_high=plan.arc.amps_high,
        break_mm=depth.recess_mm,
        target_mm=depth.target_mm,
        limit_mm=depth.limit_mm,
        tool_end_mm=tool_end_mm,
        cautions=plan.acknowledge,
        moved=tuple(figure for figure in _SHOWN if plan.mark(figure)),
        overridden=tuple(
            OverriddenFacts(one.figure, one.value, one.instead_of, one.who, one.at_utc, one.why)
            for one in plan.overrides
        ),
    )


def _checks(page: HolePage) -> tuple[CheckFacts, ...]:
    """What holds, and what was answered and is to be answered anew if the hole is gone on with.

    What was passed over, or taken against the gauge, is told even if it was answered well later:
    something may have been burnt in between.
    """
    last = {row.item: row for row in page.checks}
    return tuple(
        _check(row)
        for row in page.checks
        if row.holds
        or row is last[row.item]
        or row.is_against_the_gauge
        or row.result is CheckResult.SKIPPED
    )


def _check(row: CheckRow) -> CheckFacts:
    answer = "passed over" if row.result is CheckResult.SKIPPED else str(row.result)
    return CheckFacts(
        row.item,
        row.title,
        answer,
        row.word,
        row.is_against_the_gauge,
        row.holds,
        row.at_utc,
        row.operator,
    )


def _burn(row: BurnRow, clock: _ArcClock) -> BurnFacts:
    ended = None if row.end_s is None else (row.how or BurnEnd.OPERATOR)
    return BurnFacts(row.kind, row.at_utc, clock.length_s(row), ended)


def _centres(page: HolePage) -> tuple[CentreFacts, ...]:
    return tuple(
        CentreFacts(one.across_mm, one.along_mm, one.verdict, one.at_utc) for one in page.centres
    )


def _marks(page: HolePage, clock: _ArcClock) -> tuple[MarkFacts, ...]:
    # An electrode that went in before the first arc is simply the electrode.
    first_s = page.burns[0].start_s if page.burns else float("inf")
    return tuple(
        MarkFacts(
            "zeroed again" if one.zeroed_again else str(one.mark),
            one.value_mm,
            clock.arc_s(one.t_s),
            one.at_utc,
            one.operator,
        )
        for one in page.marks
        if not (one.mark is MarkKind.ELECTRODE and one.t_s < first_s)
    )


def _calls(page: HolePage, clock: _ArcClock) -> tuple[CallFacts, ...]:
    return tuple(
        CallFacts(one.call, one.text, one.depth_mm, clock.arc_s(one.t_s), one.at_utc)
        for one in page.calls
    )


def _corrections(page: HolePage) -> tuple[CorrectionFacts, ...]:
    return tuple(
        CorrectionFacts(
            one.what, one.was, one.now, one.was_mm, one.now_mm, one.operator, one.at_utc, one.why
        )
        for one in page.corrections
    )


def _outcomes(page: HolePage) -> tuple[OutcomeFacts, ...]:
    """Each outcome that was right in its time: what was wrong stands among the corrections.

    What was corrected is told as it was corrected, by whom and when as it was said at first.
    """
    found: list[OutcomeFacts] = []
    first = None
    followers = (*(row.is_correction for row in page.outcomes[1:]), False)
    for row, was_wrong in zip(page.outcomes, followers, strict=False):
        first = first or row
        if not was_wrong:
            said = row.outcome
            answers = (said.chased, said.gauged, said.bottom, said.marked, said.why)
            found.append(OutcomeFacts(said.result, *answers, first.at_utc, first.operator))
            first = None
    return tuple(found)


def _reached(page: HolePage, state: BurnState | None) -> ReachedFacts | None:
    if state is None or state.depth_mm is None or not page.burns:
        return None
    depth = state.depth_mm
    end_mm = _end_mm(page)
    return ReachedFacts(
        depth_mm=min(depth.mid, end_mm),
        depth_low_mm=min(depth.low, end_mm),
        depth_high_mm=min(depth.high, end_mm),
        at_least=state.is_unseen,
        through_mm=_through_mm(page),
        past_limit_mm=page.plan.depth.past_limit_mm(depth.mid) if page.plan else None,
        wear_mm=state.wear.wear_mm,
        wear_ratio=state.wear.ratio,
        electrodes=state.electrodes - page.zeroed_again,
        zeroed_again=page.zeroed_again,
    )


def _end_mm(page: HolePage) -> float:
    """No hole is deeper than its part: beyond the far side there is only travel."""
    return page.ticket.bottom_mm if page.ticket.through else float("inf")


def _through_mm(page: HolePage) -> float | None:
    """Where a through hole fell through at the spot where it is burnt now, mm."""
    spots_s = [one.t_s for one in page.marks if one.mark is MarkKind.SPOT]
    since_s = max(spots_s, default=float("-inf"))
    through = [
        one.depth_mm
        for one in page.calls
        if one.call == CallKind.THROUGH and one.depth_mm is not None and one.t_s >= since_s
    ]
    return through[-1] if through and page.ticket.through else None


def _trace(look: Look, end_mm: float) -> tuple[PointFacts, ...]:
    readings = list(_with_the_arc_on(look.events))
    at_s = [reading.t_s for reading in readings]
    return tuple(
        PointFacts(
            moment.arc_s,
            _at(readings, bisect_right(at_s, moment.t_s) - 1),
            min(moment.depth.mid, end_mm),
            min(moment.depth.low, end_mm),
            min(moment.depth.high, end_mm),
        )
        for moment in _thinned(look.moments)
    )


def _with_the_arc_on(events: Sequence[Reading | Mark]) -> Iterator[Reading]:
    is_on = False
    for event in events:
        if isinstance(event, Reading):
            if is_on:
                yield event
        elif event.kind in (MarkKind.START, *STOPPING):
            is_on = event.kind is MarkKind.START


def _at(readings: Sequence[Reading], place: int) -> float | None:
    return readings[place].travel_mm if place >= 0 else None


def _thinned(moments: Sequence[Moment]) -> Iterable[Moment]:
    """Moments at which the arc's clock has gone on; the last of those that share a time."""
    return {moment.arc_s: moment for moment in moments}.values()
