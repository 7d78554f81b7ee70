"""Taking in a hole: a few questions, most of them answered by the hole before.

A draft holds what was said so far. Each question reads what a person types and shows how it was
understood; what can't be understood is refused with one sentence beside the question.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from cockpit.log.rows import Job
from cockpit.trade.errors import TradeError
from cockpit.trade.plan import Ticket
from cockpit.trade.remnants import Kind, read_kind
from cockpit.trade.threads import read_thread
from cockpit.units import LengthUnit, read_length_mm, write_both, write_length

Answer = str | int | float | bool | Kind | None


@dataclass(frozen=True, slots=True)
class Question:
    """One question of the ticket: ``key`` names its field, digits stand for ``choices``."""

    key: str
    asks: str
    read: Callable[[str, LengthUnit], Answer]
    choices: tuple[str, ...] = ()
    hint: str = ""


def _text(text: str, _unit: LengthUnit) -> str:
    if not text.strip():
        raise ValueError("Say it in a word.")
    return " ".join(text.split())


def _thread(text: str, _unit: LengthUnit) -> str:
    return read_thread(text).designation


def _length(text: str, unit: LengthUnit) -> float:
    return read_length_mm(text, unit)


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
    if not (word.isascii() and word.isdigit()) or not 1 <= int(word) <= 12:
        raise ValueError("Count the flutes: a whole number, or ? when they can't be counted.")
    return int(word)


def questions(materials: tuple[str, ...]) -> tuple[Question, ...]:
    """The questions of a ticket in the order an operator knows the answers."""
    return (
        Question("customer", "customer", _text),
        Question("reference", "their reference", _text),
        Question("part", "part", _text),
        Question("hole", "hole", _text, hint="as the shop would call it, such as flange 3"),
        Question("thread", "thread or bore", _thread, hint="M10x1.5, 1/4-20, pin 8 mm"),
        Question(
            "broken",
            "what is broken",
            lambda text, _: read_kind(text),
            choices=tuple(Kind),
        ),
        Question("flutes", "flutes", _flutes, hint="? when they can't be counted"),
        Question("through", "through or blind", _yes_no, choices=("blind", "through")),
        Question("depth_mm", "depth of the hole", _length, hint="from the print; a sister hole"),
        Question("recess_mm", "break below surface", _length, hint="0 when it is flush"),
        Question(
            "material",
            "part material",
            lambda text, _: _one_of(text, materials),
            choices=materials,
        ),
    )


def _one_of(text: str, names: tuple[str, ...]) -> str:
    word = " ".join(text.lower().split())
    fitting = [name for name in names if name.lower().startswith(word)] if word else []
    if len(fitting) == 1 or word in fitting:
        return word if word in fitting else fitting[0]
    raise ValueError(f"Say one of: {', '.join(fitting or names)}.")


#: A change of one of these makes it another part.
OF_THE_JOB = frozenset({"customer", "reference", "part"})


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
            known = last.model_dump()
            names = (question.key for question in questions)
            answers |= {name: known[name] for name in names if name in known and name != "hole"}
        return cls(questions, answers, set(answers))

    def asked(self) -> tuple[Question, ...]:
        """The questions that this hole needs: only a tap or a drill has flutes."""
        has_flutes = self.answers.get("broken", Kind.TAP) in (Kind.TAP, Kind.DRILL)
        return tuple(item for item in self.questions if item.key != "flutes" or has_flutes)

    def answer(self, question: Question, text: str, unit: LengthUnit) -> None:
        """Take what was typed; a digit stands for its choice. Raises ValueError."""
        word = text.strip()
        if question.choices and word.isdecimal() and 1 <= int(word) <= len(question.choices):
            word = question.choices[int(word) - 1]
        answer = question.read(word, unit)
        if question.key in OF_THE_JOB and answer != self.answers.get(question.key):
            self._forget_carried()
        self.answers[question.key] = answer
        self.carried.discard(question.key)

    def _forget_carried(self) -> None:
        """Another part: what was said of the last one says nothing about its holes."""
        for key in self.carried:
            del self.answers[key]
        self.carried.clear()

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
        return "not counted" if value is None else str(value)

    def ticket(self) -> Ticket:
        """The finished ticket. Raises TradeError when a question is still open."""
        open_question = self.missing()
        if open_question is not None:
            raise TradeError(f"{open_question.asks.capitalize()}: not said yet.", open_question.key)
        names = {name for name in Ticket.model_fields if name in self.answers}
        asked = {question.key for question in self.asked()}
        return Ticket.model_validate({name: self.answers[name] for name in names & asked})

    def same_job(self, job: Job | None) -> bool:
        """Whether the hole belongs to this part."""
        return job is not None and (job.customer, job.reference, job.part) == tuple(
            self.answers.get(name) for name in ("customer", "reference", "part")
        )
