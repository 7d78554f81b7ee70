"""The holes as a bench shows them: how each one stands, what it needs, who had it and why."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from cockpit import dates
from cockpit.burn.calls import CallKind
from cockpit.burn.tracker import AFTER_THE_ARC
from cockpit.flow.after_arc import after_arc
from cockpit.flow.steps import AT_THE_ARC, MID_HOLE_SET_UP, NEXT, TOUCHED_OFF_FIRST, Step
from cockpit.log.desk import Handover, HoleLeft, ShiftTotals
from cockpit.log.rows import HoleRow, Result
from cockpit.trade.electrodes import Electrode
from cockpit.units import write_clock

#: Steps from which a hole goes on with its burn, unless something was called.
BURNS_ON = AT_THE_ARC - {Step.PILOT} | {Step.GUARD}
#: What a hole needs whose burn was cut short, unless it is set up anew.
TOUCH_FIRST = "arc off, touch off"
#: What a hole needs then, by where it goes from the burn.
AFTER_ARC = {
    Step.BURN: NEXT[Step.BURN],
    Step.TOUCH: "guard on, touch off",
    Step.CLEANOUT: NEXT[Step.CLEANOUT],
    Step.ELECTRODE: NEXT[Step.ELECTRODE],
}
#: Steps of a hole that nobody has laid hands on yet.
NOT_BEGUN = frozenset({Step.TICKET, Step.PLAN})

CUT_SHORT = "CUT SHORT"
IN_HAND = "in hand"
LEFT = "left"
BEGUN = "begun"
WAITS = "waits"


@dataclass(frozen=True, slots=True)
class Lying:
    """A hole on the bench: how it ``stands`` in a word, what it ``needs`` next, and the rest.

    ``hands``: who had it, one after the other; ``told``: what else is to be known of it.
    """

    row: HoleRow
    stands: str
    needs: str
    hands: str
    told: str

    @property
    def is_closed(self) -> bool:
        """Whether nothing is left to do."""
        return self.row.step == Step.ENDED

    @property
    def is_half_done(self) -> bool:
        """Whether it was begun, and is not closed."""
        return not self.is_closed and self.row.step not in NOT_BEGUN

    @property
    def arc(self) -> str:
        """Its arc time so far."""
        return write_clock(self.row.arc_s)

    @property
    def words(self) -> str:
        """The hole and what it needs, in one line."""
        stands = f", {self.stands.lower()}" if self.stands in (CUT_SHORT, LEFT) else ""
        return f"{self.row.label}: {self.needs}{stands}"


def next_of(row: HoleRow, called: Collection[str] = ()) -> str:
    """What a hole needs next; a step that another program wrote is shown as it is.

    ``called``: what was called when it was burnt last.
    """
    if row.step in BURNS_ON:
        standing = {CallKind(call) for call in AFTER_THE_ARC.intersection(called)}
        return AFTER_ARC[after_arc(standing, at_stop=False)]
    return NEXT.get(row.step, f"at {row.step}")


def lying(
    rows: Iterable[HoleRow],
    left: Mapping[int, HoleLeft],
    in_hand: int | None,
    operator: str,
    again: Collection[int] = (),
) -> list[Lying]:
    """The holes as they lie there for this ``operator``; ``in_hand``: which one was, last.

    ``again``: those that are set up again, since another one was in hand, or another gauge reads.
    """
    return [
        _lying(row, left.get(row.id, HoleLeft()), row.id == in_hand, operator, row.id in again)
        for row in rows
    ]


def _lying(row: HoleRow, left: HoleLeft, is_in_hand: bool, operator: str, is_again: bool) -> Lying:
    is_closed = row.step == Step.ENDED
    is_cut_short = left.cut_short and row.step in TOUCHED_OFF_FIRST | MID_HOLE_SET_UP
    if is_again:
        needs = NEXT[Step.AGAIN]
    elif is_cut_short and row.step in TOUCHED_OFF_FIRST:
        needs = TOUCH_FIRST
    else:
        needs = next_of(row, left.called)
    if is_closed:
        stands = row.outcome or "ended"
    elif is_cut_short:
        stands = CUT_SHORT
    elif row.outcome == Result.LATER:
        stands = LEFT
    else:
        is_begun = row.step not in NOT_BEGUN
        stands = IN_HAND if is_in_hand else BEGUN if is_begun else WAITS
    hands, told = ", ".join(left.hands), " ".join(_told(row, left, stands, operator))
    return Lying(row, stands, needs, hands, told)


def _told(row: HoleRow, left: HoleLeft, stands: str, operator: str) -> Iterator[str]:
    if stands == CUT_SHORT:
        yield f"{CUT_SHORT}: look at the hole first."
    if left.called and row.step in BURNS_ON | MID_HOLE_SET_UP:
        called = [kind.upper() for kind in CallKind if kind in left.called & AFTER_THE_ARC]
        if called:
            yield f"{' and '.join(called)} called, nothing measured since."
    if left.why:
        yield f"Left for later: {left.why}."
    before = [one for one in dict.fromkeys(left.hands) if one != operator]
    if row.step in NOT_BEGUN:
        yield f"Taken in by {row.operator}."
    elif before:
        yield f"{' and '.join(before)} had it before."


def cut_short_words(lying: Iterable[Lying]) -> str:
    """What to do at the machine before all else, where a burn was cut short; else nothing."""
    cut = [one.row.label for one in lying if one.stands == CUT_SHORT]
    if not cut:
        return ""
    were, it = ("was", "the machine") if len(cut) == 1 else ("were", "a machine")
    return f"{', '.join(cut)} {were} cut short: {it} may burn on. Put the arc off there first."


def totals_words(waiting: int, totals: ShiftTotals, stock: Sequence[Electrode] = ()) -> str:
    """What waits and what this shift has done, in one line; above it electrodes that run out."""
    words = [
        f"{waiting} to do",
        f"{totals.closed} closed this shift",
        f"arc {write_clock(totals.arc_s)}",
        *shift_words(totals),
    ]
    few = [f"{one.label} ({one.on_hand})" for one in stock if one.is_low]
    low = f"electrodes LOW: {', '.join(few)}\n" if few else ""
    return low + "   ".join(words)


def shift_words(totals: ShiftTotals) -> Iterator[str]:
    """What else there was in a shift, beside holes and arc time."""
    if totals.calls:
        yield counted(totals.calls, "call")
    if totals.electrodes:
        yield f"{counted(totals.electrodes, 'electrode')} changed"


def counted(number: int, of: str) -> str:
    """A number of things.

    >>> counted(1, "hole"), counted(3, "call")
    ('1 hole', '3 calls')
    """
    return f"{number} {of}" if number == 1 else f"{number} {of}s"


def handover_words(left: Handover | None) -> tuple[str, str]:
    """Who had the last shift and when, and the note that it left."""
    if left is None:
        return "No shift was closed here yet.", ""
    began, ended = (dates.moment(utc) for utc in (left.began_utc, left.ended_utc))
    until = ended[11:] if began[:10] == ended[:10] else ended
    who = f"The last shift was {left.operator}'s, {began} to {until}."
    return who, f"Its note: {left.note}" if left.note else "It left no note."


def handover_note(left: Handover | None) -> str:
    """The note of the shift before, and whose it is; empty where there is none.

    >>> handover_note(Handover("MT", "2026-05-04T06:00", "2026-05-04T14:00", "pump leaks"))
    'MT left word: pump leaks'
    """
    return f"{left.operator} left word: {left.note}" if left is not None and left.note else ""


def half_done_words(half_done: Sequence[Lying]) -> Iterator[str]:
    """The holes that are left half done, a line each."""
    if half_done:
        yield "Left half done:"
    for one in half_done:
        yield f"  {one.words}; arc {one.arc}, had by {one.hands}"


def closing_words(totals: ShiftTotals, half_done: Sequence[Lying]) -> str:
    """What a shift comes to at its end, and which holes it leaves half done."""
    done = (
        f"{counted(totals.closed, 'hole')} closed",
        f"arc {write_clock(totals.arc_s)}",
        *shift_words(totals),
    )
    said = f"The shift ends: {', '.join(done)}."
    if half_done:
        first, more = half_done[0], len(half_done) - 1
        others = f" and {more} more" if more else ""
        said += f"\nHalf done: {first.words}{others}."
    return f"{said}\nA note for the next one?"
