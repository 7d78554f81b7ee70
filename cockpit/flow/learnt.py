"""What the shop's burns taught, made ready for people; and what one of them is not to teach."""

from __future__ import annotations

import sqlite3
from collections import deque
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import exp
from typing import Final

from cockpit.log import lessons, questions
from cockpit.log.lessons import Aside, Taught
from cockpit.log.store import LogError, Store
from cockpit.text import one_line
from cockpit.trade.errors import TradeError
from cockpit.trade.experience import Experience, rate_part, variance_of_a_burn, weight_beside
from cockpit.trade.learning import Belief, Lesson, Like
from cockpit.units import quoted

#: What each figure is called by people.
WORDS: Final = {
    Lesson.RATE: "burn rate",
    Lesson.WEAR: "wear ratio",
    Lesson.GAP: "arc gap",
    Lesson.CURRENT: "current",
}
#: So many burns are listed; at most half of them for being unlike, a quarter for being set aside.
MOST_LISTED: Final = 200
NO_SHIFT: Final = "No shift is open: open one in the cockpit, so that the log knows who says this."
# No figure of a burn is less than nothing.
_LEAST = 0.0


class LessonError(TradeError):
    """Something about what is learnt that can't be: one sentence."""


@dataclass(frozen=True, slots=True)
class Span:
    """What the next burn gives: half of them more, half less; 9 of 10 from ``low`` to ``high``."""

    median: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Level:
    """One electrode, kind or material that burns had: what is believed of it, from how many."""

    like: Like
    now: Span
    burns: int


@dataclass(frozen=True, slots=True)
class Figure:
    """One of the four figures: what was assumed, what is believed now, from how many burns."""

    lesson: Lesson
    assumed: Span
    now: Span
    burns: int
    levels: tuple[Level, ...]

    @property
    def words(self) -> str:
        """What it is called."""
        return WORDS[self.lesson]


@dataclass(frozen=True, slots=True)
class Burn:
    """A figure of one burn, what all the others say of it, and whether it is unlike them."""

    hole_id: int
    label: str
    at_utc: str
    lesson: Lesson
    like: Like
    value: float
    believed: Belief
    is_unlike: bool
    aside: Aside | None

    @property
    def words(self) -> str:
        """What the figure is called."""
        return WORDS[self.lesson]

    @property
    def others(self) -> Span:
        """Where the others would have it, as well as this one was measured."""
        return span(self.believed, self.lesson, self.like.kind)


def span(belief: Belief, lesson: Lesson, kind: str | None = None) -> Span:
    """Give a belief in figures: those of the next burn, of this ``kind`` of tool."""
    part = rate_part(kind) if lesson is Lesson.RATE else 1.0
    low, high = (max(belief.quantile(chance), _LEAST) for chance in (0.05, 0.95))
    return Span(max(belief.median, _LEAST) * part, low * part, high * part)


def figures(experience: Experience) -> list[Figure]:
    """The four figures by what the shop has learnt; without a burn, as they are assumed."""
    found = []
    for lesson, before in experience.assumed.items():
        assumed = Span(*(max(before.quantile(chance), _LEAST) for chance in (0.5, 0.05, 0.95)))
        known = experience.learnt(lesson).burns
        now = span(experience.belief(lesson, Like()), lesson) if known else assumed
        levels = tuple(_levels(experience, lesson))
        found.append(Figure(lesson, assumed, now, known, levels))
    return found


def _levels(experience: Experience, lesson: Lesson) -> Iterator[Level]:
    groups = experience.learnt(lesson).groups
    sizes_mm = sorted({like.electrode_mm for like in groups if like.electrode_mm})
    kinds = sorted({like.kind for like in groups if like.kind})
    materials = sorted({like.material for like in groups if like.material})
    likes = (
        *(Like(electrode_mm=size_mm) for size_mm in sizes_mm),
        *(Like(kind=kind) for kind in kinds),
        *(Like(material=material) for material in materials),
    )
    for like in likes:
        belief = experience.belief(lesson, like)
        yield Level(like, span(belief, lesson, like.kind), belief.alike)


def burns(connection: sqlite3.Connection, experience: Experience) -> Iterator[Burn]:
    """Every figure of every burn, the oldest first, each held against all the others.

    One that is set aside is held against all that count. Raises LogError.
    """
    jury = _Jury(experience)
    for one in lessons.taught(connection):
        yield jury.judged(one)


class _Jury:
    """Holds burns against the others; quick, because a log may have very many of them."""

    def __init__(self, experience: Experience) -> None:
        self._learnt = {lesson: experience.learnt(lesson) for lesson in Lesson}
        assumed = experience.assumed
        self._variances = {lesson: variance_of_a_burn(assumed[lesson]) for lesson in Lesson}

    def is_unlike(self, one: Taught) -> bool:
        """Whether one that counts is unlike all the others."""
        weight = weight_beside(self._variances[one.lesson], one.sd)
        return self._learnt[one.lesson].is_unlike(one.like, one.value, weight)

    def judged(self, one: Taught) -> Burn:
        """One with what the others say of it."""
        weight = weight_beside(self._variances[one.lesson], one.sd)
        learnt = self._learnt[one.lesson]
        if one.aside is None:
            believed = learnt.without(one.like, one.value, weight)
        else:
            believed = learnt.belief(one.like, weight)
        value = one.value
        if one.lesson is Lesson.RATE:
            value = exp(value) * rate_part(one.like.kind)
        return Burn(
            hole_id=one.hole_id,
            label=one.label,
            at_utc=one.at_utc,
            lesson=one.lesson,
            like=one.like,
            value=value,
            believed=believed,
            is_unlike=believed.is_unlike_held(one.value),
            aside=one.aside,
        )


@dataclass(frozen=True, slots=True)
class Listed:
    """Some of the burns, and how many there are of them all."""

    burns: Sequence[Burn]
    of: int
    unlike: int
    aside: int


def listed(
    connection: sqlite3.Connection,
    experience: Experience,
    only: Lesson | None = None,
    most: int = MOST_LISTED,
) -> Listed:
    """The burns that are worth a look: unlike ones, those set aside, then the rest.

    The newest first of each. Raises LogError.
    """
    unlike: deque[Taught] = deque(maxlen=most // 2)
    aside: deque[Taught] = deque(maxlen=most // 4)
    rest: deque[Taught] = deque(maxlen=most)
    many, many_unlike, many_aside, jury = 0, 0, 0, _Jury(experience)
    for one in lessons.taught(connection):
        if only not in (None, one.lesson):
            continue
        many += 1
        if one.aside is not None:
            many_aside += 1
            aside.append(one)
        elif jury.is_unlike(one):
            many_unlike += 1
            unlike.append(one)
        else:
            rest.append(one)
    shown = [*reversed(unlike), *reversed(aside), *reversed(rest)][:most]
    return Listed([jury.judged(one) for one in shown], many, many_unlike, many_aside)


def lesson_named(words: str) -> Lesson:
    """Read the name of a figure, such as ``wear`` or ``wear ratio``. Raises LessonError.

    >>> lesson_named("Wear ratio").value, lesson_named("rate").value
    ('wear', 'rate')
    """
    wanted = " ".join(words.casefold().replace("_", " ").split())
    for lesson, said in WORDS.items():
        if wanted in (lesson.value, said):
            return lesson
    known = ", ".join(lesson.value for lesson in Lesson)
    raise LessonError(f"{quoted(words)} is not learnt from burns: say one of {known}.")


def set_aside(
    store: Store, hole_id: int, lesson: Lesson, why: str, *, is_aside: bool = True
) -> None:
    """Learn a figure from this hole no more; or again, where ``is_aside`` is False.

    In the open shift, with a word why. Raises LessonError, LogError.
    """
    shift = questions.open_shift(store.connection)
    if shift is None:
        raise LogError(NO_SHIFT)
    word = one_line(why)
    if not word:
        raise LessonError("Say in a word why: whoever looks at it later has to know.")
    figure = WORDS[lesson]
    taught = [one for one in lessons.taught(store.connection, hole_id) if one.lesson is lesson]
    if not taught:
        raise LessonError(f"Hole {hole_id} teaches no {figure}: look at learnt --holes.")
    if (taught[0].aside is not None) is is_aside:
        stands = "is set aside already" if is_aside else "counts as it is"
        raise LessonError(f"The {figure} of hole {hole_id} {stands}: nothing is to be done.")
    store.set_aside(shift.id, hole_id, lesson, word, is_aside=is_aside)
