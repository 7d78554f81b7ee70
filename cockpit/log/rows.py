"""What the log gives back: one frozen class a thing, lengths in millimetres, times in seconds."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from cockpit.burn.reading import MarkKind

#: How the word of a check begins that was taken against what the gauge showed.
ALL_THE_SAME = "all the same"


class CheckResult(StrEnum):
    """How a check was answered: by the operator, by the cockpit itself, or passed over."""

    CONFIRMED = "confirmed"
    SEEN = "seen"
    SKIPPED = "skipped"


class BurnKind(StrEnum):
    """The first short burn, or one to depth."""

    PILOT = "pilot"
    BURN = "burn"


class BurnEnd(StrEnum):
    """Who ended the arc clock: the operator, or a stop of the program that nobody marked.

    An operator who lifted the head out, so that the readings ended it, has ended it too.
    """

    OPERATOR = "operator"
    CUT_SHORT = "cut short"


class SwitchedBy(StrEnum):
    """What started or stopped the arc clock."""

    KEY = "key"
    READINGS = "readings"


class Result(StrEnum):
    """How a hole ended."""

    DONE = "done"
    LATER = "left for later"
    GIVEN_UP = "given up"
    DAMAGED = "damaged"


@dataclass(frozen=True, slots=True)
class Shift:
    """An open or closed shift."""

    id: int
    began_utc: str
    operator: str
    machine: str
    gauge: str


@dataclass(frozen=True, slots=True)
class Job:
    """A part of a customer's."""

    id: int
    customer: str
    reference: str
    part: str


@dataclass(frozen=True, slots=True)
class HoleRow:
    """A hole as the bench and the shift log list it."""

    id: int
    number: int
    job: Job
    at_utc: str
    operator: str
    label: str
    thread: str
    broken: str
    step: str
    outcome: str | None
    arc_s: float
    burns: int
    calls: int

    @property
    def is_closed(self) -> bool:
        """Whether nothing is left to do."""
        return self.outcome is not None and self.outcome != Result.LATER

    @property
    def stands(self) -> str:
        """How it ended, or at which step it stands."""
        return self.outcome or f"at {self.step}"

    @property
    def what(self) -> str:
        """What is stuck in what, in a few words.

        A bore has no thread to name it by, and is named by what is in it: "pin 8 mm".
        """
        is_named = self.broken in self.thread.split()
        return self.thread if is_named else f"{self.thread} {self.broken}"


@dataclass(frozen=True, slots=True)
class CheckRow:
    """One answered check. ``plan_id``: the plan that was in force; None before there was one.

    ``holds`` until somebody steps back to it: then it is to be looked at once more.
    """

    at_utc: str
    operator: str
    item: str
    title: str
    result: CheckResult
    word: str
    plan_id: int | None = None
    holds: bool = True

    @property
    def is_against_the_gauge(self) -> bool:
        """Whether the gauge showed something else, and the operator took it all the same."""
        return self.word.startswith(ALL_THE_SAME)


@dataclass(frozen=True, slots=True)
class BurnRow:
    """One burn on the hole's clock. ``end_s`` is None while it is open.

    ``started_by``, ``ended_by``: key or readings; None where the log does not know.
    """

    id: int
    kind: BurnKind
    at_utc: str
    start_s: float
    end_s: float | None
    how: str | None
    started_by: str | None = None
    ended_by: str | None = None

    @property
    def arc_s(self) -> float:
        """Arc time, s; 0 while the burn is open."""
        return 0.0 if self.end_s is None else self.end_s - self.start_s


@dataclass(frozen=True, slots=True)
class CallRow:
    """One call as it was raised."""

    at_utc: str
    t_s: float
    call: str
    depth_mm: float | None
    text: str


@dataclass(frozen=True, slots=True)
class MarkRow:
    """One thing that was measured or changed: what the mark says, and who made it.

    ``zeroed_again``: the electrode that was in the holder already, put back and zeroed anew.
    """

    at_utc: str
    operator: str
    t_s: float
    mark: MarkKind
    value_mm: float | None
    zeroed_again: bool = False


@dataclass(frozen=True, slots=True)
class CentreRow:
    """One centre check."""

    at_utc: str
    across_mm: float
    along_mm: float
    verdict: str


@dataclass(frozen=True, slots=True)
class NoteRow:
    """A note on a hole."""

    id: int
    at_utc: str
    operator: str
    text: str


@dataclass(frozen=True, slots=True)
class Outcome:
    """How a hole ended and what was proved. Empty text: not asked or not answered."""

    result: Result
    chased: str = ""
    gauged: str = ""
    bottom: str = ""
    marked: str = ""
    why: str = ""


@dataclass(frozen=True, slots=True)
class OutcomeRow:
    """An outcome with who and when.

    ``is_correction``: the one before it was said wrongly; else it was right in its time.
    """

    id: int
    at_utc: str
    operator: str
    outcome: Outcome
    is_correction: bool = False


@dataclass(frozen=True, slots=True)
class Tally:
    """What a hole came to, written when it is closed; the last one of a hole counts.

    ``kind``, ``material``, ``hard_metal``: of the ticket. ``electrode``: its label, and its
    diameter in mm; ``electrodes``: how many were burnt with. ``depth_mm`` with its standard
    deviation is where the burn ended, ``burnt_mm`` how far that lies below the break, ``worn_mm``
    what the electrode in the holder had lost; None where nobody knows. ``area_mm2``: the area that
    the plan says is burnt away. ``amps``: the middle of the plan's span of current, and whether a
    person said so (``amps_said``) or the plan. ``wear_ratio`` with its standard deviation: what
    measuring told of this burn alone, None where nothing was measured. ``price``: by the rate card
    of that day, as a decimal number, in ``currency``.
    """

    hole_id: int
    outcome_id: int
    plan_id: int | None
    kind: str
    material: str
    hard_metal: bool
    electrode: str
    electrode_mm: float
    electrodes: int
    arc_s: float
    depth_mm: float | None
    depth_sd_mm: float | None
    burnt_mm: float | None
    worn_mm: float | None
    area_mm2: float | None
    amps: float | None
    amps_said: bool
    wear_ratio: float | None
    wear_ratio_sd: float | None
    price: Decimal | None
    currency: str | None
