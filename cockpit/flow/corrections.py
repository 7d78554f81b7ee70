"""What somebody got wrong about a hole, said again: the log keeps both, with who and why.

Measurements are not corrected but made again, at the machine; the one that can be made when the
part is on the bench is the width of the burnt hole.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from cockpit.flow.proofs import PROOFS
from cockpit.log import questions
from cockpit.log.questions import HolePage
from cockpit.log.rows import Outcome, Result
from cockpit.log.store import Store
from cockpit.text import one_line
from cockpit.trade.cautions import TOGETHER, Material, find_materials
from cockpit.trade.electrodes import LEAST_GAP_MM
from cockpit.units import LengthUnit, quoted, read_length_mm, write_both, write_length

#: What a closed hole can have come to; left for later is no end.
ENDS = tuple(result.value for result in Result if result is not Result.LATER)
#: What is typed where an answer should be empty.
NOTHING = "-"
#: A burnt hole is no wider than the electrode by more than this, mm (assumed), nor narrower.
MOST_WIDER_MM = 2.0


@dataclass(frozen=True, slots=True)
class Entry:
    """Something that can be corrected: its words, what it says now, and how another is kept.

    ``is_length``: it is typed with a unit. ``may_be_empty``: ``NOTHING`` makes it empty.
    ``choices``: the usual answers, by number. ``check`` says how an answer is kept, or raises
    ValueError for what can't be, before anybody has said why. ``about``: what to know of an answer
    then, a line each. ``keep`` raises ValueError too, and LogError.
    """

    words: str
    now: str
    keep: Callable[[str, str], None]
    is_length: bool = False
    may_be_empty: bool = False
    choices: tuple[str, ...] = ()
    check: Callable[[str], str] = one_line
    about: Callable[[str], tuple[str, ...]] = lambda _: ()

    def read(self, text: str) -> str:
        """What somebody means by what they typed. Raises ValueError for what it can't be."""
        word = text.strip()
        if self.choices and word.isascii() and word.isdigit():
            if not 1 <= int(word) <= len(self.choices):
                raise ValueError(f"{quoted(word)} is not one of the numbers above.")
            word = self.choices[int(word) - 1]
        return word if self.may_be_empty and word == NOTHING else self.check(word)


class Corrections:
    """What of one hole can be corrected, by whoever has the shift."""

    def __init__(
        self,
        store: Store,
        shift_id: int,
        hole_id: int,
        materials: tuple[Material, ...],
        unit: LengthUnit,
    ) -> None:
        self._store, self._shift_id, self._hole_id = store, shift_id, hole_id
        self._materials, self._unit = materials, unit
        page = questions.page(store.connection, hole_id)
        if page is None:
            raise LookupError(f"hole {hole_id} is not in the log")
        self._page: HolePage = page

    def entries(self) -> Iterator[Entry]:
        """Everything that can be, in the order of the page."""
        job, ticket = self._page.row.job, self._page.ticket
        for name in ("customer", "reference", "part"):
            keep = partial(self._keep_name, name)
            yield Entry(name, getattr(job, name), keep, check=_said, about=self._whole_part)
        yield Entry("hole", ticket.hole, partial(self._keep_ticket, "hole"), check=_said)
        if self._page.row.is_closed:
            yield Entry(
                "material",
                ticket.material,
                partial(self._keep_ticket, "material"),
                check=self._material,
                about=self._cautions,
            )
            yield from self._outcome()
        if self._page.plan is not None and self._page.burns:
            width_mm = self._page.width_mm
            now = "not measured" if width_mm is None else write_length(width_mm, self._unit)
            yield Entry("width of burnt hole", now, self._keep_width, is_length=True)
        for note in self._page.notes:
            yield Entry("note", note.text, partial(self._keep_note, note.id), check=_said)

    def _outcome(self) -> Iterator[Entry]:
        if self._page.outcome is None:
            return
        outcome = self._page.outcome.outcome
        yield Entry("result", outcome.result, self._keep_result, choices=ENDS, check=_end)
        answers = {proof.key: proof.answers for proof in PROOFS}
        for name, words in (
            ("chased", "thread chased"),
            ("gauged", "gauged"),
            ("bottom", "bottom"),
            ("marked", "marked"),
            ("why", "why it ended so"),
        ):
            keep = partial(self._keep_answer, name)
            choices = answers.get(name, ())
            yield Entry(words, getattr(outcome, name), keep, may_be_empty=True, choices=choices)

    # What to know before it is kept ------------------------------------------------------------

    def _whole_part(self, text: str) -> tuple[str, ...]:
        """A name of the job is that of every hole of the part."""
        del text
        holes = questions.of_job(self._store.connection, self._page.row.job.id)
        return (f"This is said of all {len(holes)} holes of the part.",) if len(holes) > 1 else ()

    def _material(self, text: str) -> str:
        return TOGETHER.join(one.name for one in self._found(text))

    def _found(self, text: str) -> tuple[Material, ...]:
        return find_materials(self._materials, _said(text))

    def _cautions(self, text: str) -> tuple[str, ...]:
        """What another material would have been taken on with: it was burnt without."""
        cautions = [one.caution for one in self._found(text) if one.caution]
        if not cautions or text == self._page.ticket.material:
            return ()
        head = f"Burnt as {self._page.ticket.material}, without these cautions of {text}:"
        return (head, *cautions)

    # How each is kept --------------------------------------------------------------------------

    def _keep_name(self, name: str, text: str, why: str) -> None:
        job = self._page.row.job
        names = {one: getattr(job, one) for one in ("customer", "reference", "part")}
        names[name] = _said(text)
        now = (names["customer"], names["reference"], names["part"])
        self._store.correct_job(self._shift_id, job.id, now, _why(why))

    def _keep_ticket(self, name: str, text: str, why: str) -> None:
        said = _said(text)
        if name == "material":
            said = self._material(said)
        ticket = self._page.ticket.model_copy(update={name: said})
        why = _why(why)
        with self._store.together():
            self._store.correct_ticket(self._shift_id, self._hole_id, ticket, correction=why)
            tally = self._page.tally
            if tally is not None and tally.material != ticket.material:
                # What was learnt is learnt of another material.
                self._store.add_tally(replace(tally, material=ticket.material))

    def _keep_result(self, text: str, why: str) -> None:
        result = _end(text)
        why = _why(why)
        outcome = self._now()
        # Whoever says that it was not done after all has said why; why it was not is no news of a
        # hole that was done after all.
        reason = outcome.why or why
        if result is Result.DONE:
            reason = outcome.why if outcome.result is Result.DONE else ""
        self._keep_outcome(replace(outcome, result=result, why=reason), why)

    def _keep_answer(self, name: str, text: str, why: str) -> None:
        outcome = self._now()
        said = "" if text.strip() == NOTHING else one_line(text)
        changed: dict[str, Any] = {name: said}
        if name == "why" and not said and outcome.result is not Result.DONE:
            raise ValueError(f"{outcome.result.capitalize()}: say in a word why.")
        self._keep_outcome(replace(outcome, **changed), _why(why))

    def _now(self) -> Outcome:
        assert self._page.outcome is not None
        return self._page.outcome.outcome

    def _keep_outcome(self, outcome: Outcome, why: str) -> None:
        self._store.add_outcome(self._shift_id, self._hole_id, outcome, correction=why)

    def _keep_width(self, text: str, why: str) -> None:
        del why  # it was measured: nobody has to say why
        keep_width(self._store, self._shift_id, self._page, read_length_mm(text, self._unit))

    def _keep_note(self, note_id: int, text: str, why: str) -> None:
        self._store.correct_note(self._shift_id, note_id, _said(text), _why(why))


def keep_width(store: Store, shift_id: int, page: HolePage, width_mm: float) -> None:
    """How wide the burnt hole was measured, mm. Raises ValueError for what no arc leaves."""
    plan = page.plan
    if plan is None:
        raise ValueError("Nothing was burnt here yet.")
    electrode_mm = plan.electrode.diameter_mm
    least_mm = electrode_mm + 2 * LEAST_GAP_MM
    if not least_mm <= width_mm <= electrode_mm + MOST_WIDER_MM:
        raise ValueError(
            f"{write_both(width_mm)} can't be: the electrode is {write_both(electrode_mm)}, and an "
            "arc burns a little wider than that. Measure the burnt hole again."
        )
    store.add_width(shift_id, page.row.id, width_mm)


def _said(text: str) -> str:
    said = one_line(text)
    if not said:
        raise ValueError("Say what it should be; nothing is no correction.")
    return said


def _end(text: str) -> Result:
    said = _said(text).casefold()
    if said not in ENDS:
        raise ValueError(f"{quoted(text)} is no end of a hole: say {', '.join(ENDS)}.")
    return Result(said)


def _why(why: str) -> str:
    said = one_line(why)
    if not said:
        raise ValueError("Say in a word why it is corrected.")
    return said
