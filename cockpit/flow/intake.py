"""Taking in a hole: a few questions, most of them answered by the hole before.

A draft holds what was said so far. Each question reads what a person types and shows how it was
understood; what can't be understood is refused with one sentence beside the question.
"""

from __future__ import annotations

from collections.abc import Callable
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field

from cockpit.log.rows import Job
from cockpit.text import MOST_LETTERS, one_line
from cockpit.trade.cautions import Material, find_material
from cockpit.trade.errors import TradeError
from cockpit.trade.remnants import HAS_LANDS, MOST_FLUTES, Broken, Kind, read_broken
from cockpit.trade.threads import read_thread
from cockpit.trade.ticket import Ticket
from cockpit.units import LengthUnit, read_length_mm, write_both, write_length

Answer = str | int | float | bool | None


@dataclass(frozen=True, slots=True)
class Question:
    """One question of the ticket: ``key`` names its field, digits stand for ``choices``.

    ``unknown`` says what it means to have no answer; such a question may be passed by.
    """

    key: str
    asks: str
    read: Callable[[str, LengthUnit], Answer]
    choices: tuple[str, ...] = ()
    hint: str = ""
    unknown: str = ""


def _text(text: str, _unit: LengthUnit) -> str:
    said = one_line(text)
    if not said:
        raise ValueError("Say it in a word.")
    if len(said) > MOST_LETTERS:
        raise ValueError(f"Say it in {MOST_LETTERS} characters at most; these are {len(said)}.")
    return said


def _thread(text: str, _unit: LengthUnit) -> str:
    return read_thread(text).designation


def _length(text: str, unit: LengthUnit) -> float:
    return read_length_mm(text, unit)


def _length_if_known(text: str, unit: LengthUnit) -> float | None:
    return None if text.strip() in ("", "-", "?") else read_length_mm(text, unit)


def _broken(text: str, _unit: LengthUnit) -> str:
    return str(read_broken(text))


def _yes_no(text: str, _unit: LengthUnit) -> bool:
    word = text.strip().lower()
    if word in ("through", "t", "yes", "y"):
        return True
    if word in ("blind", "b", "no", "n"):
        return False
    raise ValueError("Say through or blind.")


def _flutes(text: str, _unit: LengthUnit) -> int | None:
    word = text.strip()
    if word in ("", "-", "?"):
        return None
    is_count = word.isascii() and word.isdigit() and len(word) < 4
    if not is_count or not 1 <= int(word) <= MOST_FLUTES:
        raise ValueError("Count the flutes: a whole number, or - when they can't be counted.")
    return int(word)


def _material_of(names: tuple[str, ...]) -> Callable[[str, LengthUnit], str]:
    known = tuple(Material(name=name) for name in names)
    return lambda text, _: find_material(known, text).name


def questions(materials: tuple[str, ...]) -> tuple[Question, ...]:
    """The questions of a ticket in the order an operator knows the answers."""
    return (
        Question("customer", "customer", _text),
        Question("reference", "their reference", _text),
        Question("part", "part", _text),
        Question("hole", "hole", _text, hint="as the shop would call it, such as flange 3"),
        Question("thread", "thread or bore", _thread, hint="M10x1.5, 1/4-20, pin 8 mm"),
        Question("broken", "what is broken", _broken, choices=tuple(Kind)),
        Question(
            "flutes",
            "flutes",
            _flutes,
            hint="- when they can't be counted",
            unknown="not counted",
        ),
        Question(
            "web_mm",
            "web of a like tool",
            _length_if_known,
            hint="measured; - when none is at hand",
            unknown="not measured",
        ),
        Question("through", "through or blind", _yes_no, choices=("blind", "through")),
        Question("depth_mm", "depth of the hole", _length, hint="from the print, or measured"),
        Question(
            "sister_depth_mm",
            "depth of sister hole",
            _length_if_known,
            hint="a like hole beside it, measured; - when there is none",
            unknown="not measured",
        ),
        Question("recess_mm", "break below surface", _length, hint="0 when it is flush"),
        Question(
            "tool_end_mm",
            "tool ends at",
            _length_if_known,
            hint="depth of its end from the surface; - when nobody knows",
            unknown="not known",
        ),
        Question("material", "part material", _material_of(materials), choices=materials),
    )


#: What only the hole itself can tell is never carried over to the next.
OF_THIS_HOLE = frozenset({"hole", "recess_mm", "tool_end_mm"})
#: A change of one of these makes it another part; what stands after it is asked anew.
OF_THE_JOB = ("customer", "reference", "part")
#: What a carried answer rests on: with another tool or thread it says nothing any more.
RESTS_ON_TOOL = frozenset({"flutes", "web_mm", "sister_depth_mm"})


@dataclass
class Draft:
    """A ticket being filled in. ``carried`` marks the answers that come from the hole before."""

    questions: tuple[Question, ...]
    answers: dict[str, Answer] = field(default_factory=dict)
    carried: set[str] = field(default_factory=set)

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
            return write_both(value) if both else write_length(value, unit)
        if question.key == "through":
            return "through" if value else "blind"
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
