"""The questions of a ticket: how each answer is read, what is offered, what no answer means."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from cockpit.text import MOST_LETTERS, one_line
from cockpit.trade.cautions import TOGETHER, Material, find_materials
from cockpit.trade.completion import complete_name, complete_thread
from cockpit.trade.remnants import MOST_FLUTES, Kind, read_broken
from cockpit.trade.threads import read_thread
from cockpit.units import LengthUnit, read_length_mm

Answer = str | int | float | bool | None


@dataclass(frozen=True, slots=True)
class Question:
    """One question of the ticket: ``key`` names its field, digits stand for ``choices``.

    ``unknown`` says what it means to have no answer; such a question may be left empty. ``offers``
    gives what a text that is being typed may become; nobody has to take it.
    """

    key: str
    asks: str
    read: Callable[[str, LengthUnit], Answer]
    choices: tuple[str, ...] = ()
    hint: str = ""
    unknown: str = ""
    offers: Callable[[str], tuple[str, ...]] = lambda _: ()

    @property
    def told(self) -> str:
        """What is asked, what helps to answer, and whether it may be left empty."""
        needed = "" if self.unknown else "(needed)"
        return f"{self.asks}?   {' '.join(filter(None, (self.hint, needed)))}"


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
        raise ValueError(
            "Count the flutes: a whole number, or leave it - or empty when they can't be counted."
        )
    return int(word)


def _material_of(names: tuple[str, ...]) -> Callable[[str, LengthUnit], str]:
    known = tuple(Material(name=name) for name in names)
    return lambda text, _: TOGETHER.join(one.name for one in find_materials(known, text))


def _one_of(names: Sequence[str]) -> Callable[[str], tuple[str, ...]]:
    return lambda text: complete_name(names, text)


def _last_of(names: Sequence[str]) -> Callable[[str], tuple[str, ...]]:
    """Completes the last of several names that stand together."""

    def offered(text: str) -> tuple[str, ...]:
        before, plus, last = text.rpartition(TOGETHER.strip())
        first = f"{before.strip()}{TOGETHER}" if plus else ""
        return tuple(first + name for name in complete_name(names, last))

    return offered


def questions(
    materials: tuple[str, ...], known: Mapping[str, Sequence[str]] | None = None
) -> tuple[Question, ...]:
    """The questions of a ticket in the order an operator knows the answers.

    ``known``: customers and parts that were here before, by the question's key.
    """
    return (
        *_of_the_job(known or {}),
        Question("hole", "hole", _text, hint="as the shop would call it, such as flange 3"),
        Question(
            "thread",
            "thread or bore",
            _thread,
            hint="such as M10x1.5, 1/4-20, pin 8 mm",
            offers=complete_thread,
        ),
        *_of_the_tool(),
        *_of_the_depth(),
        Question(
            "material",
            "part material",
            _material_of(materials),
            choices=materials,
            hint="number or name; several as 4+14",
            offers=_last_of(materials),
        ),
    )


def _of_the_job(known: Mapping[str, Sequence[str]]) -> Iterator[Question]:
    for key, asks, hint in (
        ("customer", "customer", "whose part it is"),
        ("reference", "their reference", "their order or drawing number"),
        ("part", "part", "such as pump casing"),
    ):
        yield Question(key, asks, _text, hint=hint, offers=_one_of(known.get(key, ())))


def _of_the_tool() -> Iterator[Question]:
    kinds = tuple(Kind)
    yield Question(
        "broken",
        "what is broken",
        _broken,
        choices=kinds,
        hint="number, or such as carbide spiral point tap, stud",
        offers=_one_of(kinds),
    )
    yield Question(
        "flutes",
        "flutes",
        _flutes,
        hint="- or empty when they can't be counted",
        unknown="not counted",
    )
    yield Question(
        "web_mm",
        "web of the tool",
        _length_if_known,
        hint="measured on one like it; - or empty when none",
        unknown="not measured",
    )


def _of_the_depth() -> Iterator[Question]:
    ways = ("blind", "through")
    hint = "its number or its word"
    yield Question(
        "through", "through or blind", _yes_no, choices=ways, hint=hint, offers=_one_of(ways)
    )
    yield Question("depth_mm", "depth of the hole", _length, hint="from the print, or measured")
    yield Question(
        "sister_depth_mm",
        "depth of sister hole",
        _length_if_known,
        hint="a like hole, measured; - or empty when none",
        unknown="not measured",
    )
    yield Question("recess_mm", "break below surface", _length, hint="0 when it is flush")
    yield Question(
        "tool_end_mm",
        "tool ends at",
        _length_if_known,
        hint="its end from the surface; - or empty when not known",
        unknown="not known",
    )
