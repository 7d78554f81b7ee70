"""Taking in a hole: a few questions, most of them answered by the hole before.

A draft holds what was said so far. Each question reads what a person types and shows how it was
understood; what can't be understood is refused with one sentence beside the question.
"""

from __future__ import annotations

from collections.abc import Mapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field

from cockpit.flow.ticket_questions import Answer, Question
from cockpit.log.rows import Job
from cockpit.trade.depth import DEEPEST_MM, refuse_depths
from cockpit.trade.errors import TradeError
from cockpit.trade.remnants import HAS_LANDS, Broken, Kind, read_broken, refuse_web
from cockpit.trade.threads import read_thread
from cockpit.trade.ticket import Ticket
from cockpit.units import LengthUnit, write_both, write_length

#: What only the hole itself can tell is never carried over to the next.
OF_THIS_HOLE = frozenset({"hole", "recess_mm", "tool_end_mm"})
#: A change of one of these makes it another part; what stands after it is asked anew.
OF_THE_JOB = ("customer", "reference", "part")
#: What a carried answer rests on: with another tool or thread it says nothing any more.
RESTS_ON_TOOL = frozenset({"flutes", "web_mm", "sister_depth_mm"})
#: Depths that have to fit each other.
DEPTHS = frozenset({"depth_mm", "sister_depth_mm", "recess_mm"})


@dataclass
class Draft:
    """A ticket being filled in. ``carried`` marks the answers that come from the hole before.

    ``typed``: what was being typed, and for which question, when the ticket was left.
    """

    questions: tuple[Question, ...]
    answers: dict[str, Answer] = field(default_factory=dict)
    carried: set[str] = field(default_factory=set)
    typed: tuple[str, str] = ("", "")

    @classmethod
    def after(cls, questions: tuple[Question, ...], job: Job | None, last: Ticket | None) -> Draft:
        """A draft that carries over what the last hole of the same job said."""
        answers: dict[str, Answer] = {}
        if job is not None:
            answers |= {"customer": job.customer, "reference": job.reference, "part": job.part}
        if last is not None:
            broken = Broken(last.broken, last.form, last.hard_metal)
            known = last.model_dump() | {"broken": str(broken)}
            names = {question.key for question in questions} - OF_THIS_HOLE
            answers |= {name: known[name] for name in names if name in known}
            if last.broken not in HAS_LANDS:
                del answers["flutes"]
        carried = {key for key, answer in answers.items() if answer is not None}
        draft = cls(questions, answers, carried)
        draft.pass_by_what_may_be_unknown()
        return draft

    @classmethod
    def of(cls, questions: tuple[Question, ...], job: Job, ticket: Ticket) -> Draft:
        """A draft of a ticket that is to be corrected: every answer as it was given."""
        draft = cls.after(questions, job, ticket)
        known = ticket.model_dump()
        draft.answers |= {key: known[key] for key in OF_THIS_HOLE}
        draft.carried.clear()
        return draft

    def pass_by_what_may_be_unknown(self) -> None:
        """Answer with nothing what may stay unknown, until somebody says more."""
        for question in self.questions:
            if question.unknown and question.key != "flutes":
                self.answers.setdefault(question.key, None)

    @property
    def is_begun(self) -> bool:
        """Whether a person has said something that is in no hole yet."""
        own = set(self.answers) - self.carried
        return bool(self.typed[1]) or any(self.answers[key] is not None for key in own)

    @property
    def _kind(self) -> Kind | None:
        broken = self.answers.get("broken")
        return None if broken is None else read_broken(str(broken)).kind

    def asked(self) -> tuple[Question, ...]:
        """The questions that this hole needs.

        Only a tap or a drill has flutes and a web; a sister hole tells how deep a blind one is.
        """
        idle: set[str] = set()
        if self._kind not in (None, *HAS_LANDS):
            idle |= {"flutes", "web_mm"}
        if self.answers.get("through"):
            idle.add("sister_depth_mm")
        return tuple(item for item in self.questions if item.key not in idle)

    def answer(self, question: Question, text: str, unit: LengthUnit) -> None:
        """Take what was typed; a digit stands for its choice. Raises ValueError."""
        word = text.strip()
        if question.choices and word.isdecimal() and 1 <= int(word) <= len(question.choices):
            word = question.choices[int(word) - 1]
        answer = question.read(word, unit)
        if question.key in DEPTHS:
            self._refuse_depths({question.key: answer})
        if question.key == "web_mm" and answer is not None:
            self._refuse_web(float(answer))
        if answer != self.answers.get(question.key):
            if question.key in OF_THE_JOB:
                before = OF_THE_JOB[: OF_THE_JOB.index(question.key)]
                self._forget(self.carried.difference(before))
            elif question.key in ("thread", "broken"):
                if self._kind not in (None, *HAS_LANDS):
                    # Nobody has counted the flutes of what had none.
                    self.answers.pop("flutes", None)
                of_size = {"depth_mm"} if question.key == "thread" else set()
                self._forget(self.carried & (RESTS_ON_TOOL | of_size))
        self.answers[question.key] = answer
        self.carried.discard(question.key)

    def _refuse_depths(self, also: Mapping[str, Answer]) -> None:
        """Refuse depths that can't be together, as soon as they are said. Raises DepthError."""
        known = {key: mm for key, mm in {**self.answers, **also}.items() if mm is not None}
        depth_mm, recess_mm = known.get("depth_mm", DEEPEST_MM), known.get("recess_mm", 0.0)
        sister_mm = known.get("sister_depth_mm")
        refuse_depths(
            float(depth_mm), float(recess_mm), None if sister_mm is None else float(sister_mm)
        )

    def _refuse_web(self, web_mm: float) -> None:
        """Refuse a web that does not go into the tool, as soon as it is said. Raises TradeError."""
        thread, kind = self.answers.get("thread"), self._kind
        if thread is not None and kind is not None:
            refuse_web(kind, read_thread(str(thread)), web_mm)

    def leave(self, question: Question) -> None:
        """Leave a question without an answer; one that needs an answer raises ValueError."""
        if not question.unknown:
            raise ValueError(f"{question.asks.capitalize()}: this has to be said.")
        self.answers.setdefault(question.key, None)

    def next_open(self, at: int) -> int:
        """The place of the next question, after the one ``at`` a place, that wants a look.

        It has no answer yet, or only the hole itself can tell. Behind the last if there is none.
        """
        asked = self.asked()
        for place in range(at + 1, len(asked)):
            key = asked[place].key
            if key not in self.answers or (key in OF_THIS_HOLE and self.answers[key] is None):
                return place
        return len(asked)

    def _forget(self, keys: AbstractSet[str]) -> None:
        """Carried answers that say nothing about this hole are asked anew."""
        for key in keys:
            del self.answers[key]
        self.carried -= keys
        self.pass_by_what_may_be_unknown()

    def missing(self) -> Question | None:
        """The first question without an answer."""
        return next((item for item in self.asked() if item.key not in self.answers), None)

    def show(self, question: Question, unit: LengthUnit, *, both: bool = False) -> str:
        """An answer as it was understood; empty while there is none."""
        if question.key not in self.answers:
            return ""
        value = self.answers[question.key]
        if question.key.endswith("_mm") and isinstance(value, int | float):
            return write_both(value, unit) if both else write_length(value, unit)
        if question.key == "through":
            return "through" if value else "blind"
        if question.key == "thread" and both:
            return f"{value}, {write_both(read_thread(str(value)).nominal_mm, unit)} across"
        return question.unknown if value is None else str(value)

    def ticket(self) -> Ticket:
        """The finished ticket. Raises TradeError when a question is still open."""
        open_question = self.missing()
        if open_question is not None:
            raise TradeError(f"{open_question.asks.capitalize()}: not said yet.", open_question.key)
        names = {name for name in Ticket.model_fields if name in self.answers}
        asked = {question.key for question in self.asked()}
        broken = read_broken(str(self.answers["broken"]))
        return Ticket.model_validate(
            {name: self.answers[name] for name in names & asked}
            | {"broken": broken.kind, "form": broken.form, "hard_metal": broken.hard_metal}
        )

    def same_job(self, job: Job | None) -> bool:
        """Whether the hole belongs to this part."""
        return job is not None and (job.customer, job.reference, job.part) == tuple(
            self.answers.get(name) for name in ("customer", "reference", "part")
        )
