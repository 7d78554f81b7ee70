"""A ticket from words: what stands behind the options of ``plan``, or in a row of a file."""

from __future__ import annotations

from collections.abc import Mapping

from cockpit.text import MOST_LETTERS, one_line, printable
from cockpit.trade.remnants import read_broken
from cockpit.trade.ticket import Ticket
from cockpit.units import UnitsError, quoted, read_length_mm

NEEDED = ("thread", "broken", "depth")
OPTIONAL = ("part", "hole", "flutes", "recess", "through", "sister", "tool_end", "web", "material")

#: The lengths among them, and the field of the ticket that each one fills.
_LENGTHS = {
    "depth": "depth_mm",
    "recess": "recess_mm",
    "sister": "sister_depth_mm",
    "tool_end": "tool_end_mm",
    "web": "web_mm",
}
_YES, _NO = ("yes", "y", "true", "1", "x", "through"), ("no", "n", "false", "0", "blind")


class WordsError(ValueError):
    """Words that make no ticket: one sentence."""


def ticket_from(words: Mapping[str, str], hole: str, *, special: bool = False) -> Ticket:
    """Read a ticket from words by their names; ``hole`` is what it is called unless they say.

    A bare length is in mm. Raises WordsError, UnitsError or TradeError.
    """
    said = {name: text for name, text in words.items() if text}
    if broken_up := [name for name, text in said.items() if "\n" in text or "\r" in text]:
        raise WordsError(f"has a line break in {broken_up[0]}: is a quote left open?")
    # What can't be shown is not passed over: as a question mark it is refused where it matters.
    said = {name: printable(text) for name, text in said.items()}
    if len(said.get("hole", "")) > MOST_LETTERS:
        raise WordsError(f"hole: call it something of {MOST_LETTERS} characters at most.")
    for name in NEEDED:
        if name not in said:
            raise WordsError(f"says no {name}.")
    broken = read_broken(said["broken"])
    held: dict[str, object] = {
        "hole": one_line(said.get("hole", "")) or hole,
        "thread": said["thread"],
        "broken": broken.kind,
        "form": broken.form,
        "hard_metal": broken.hard_metal,
        "special": special,
    }
    held |= {field: _mm(name, said[name]) for name, field in _LENGTHS.items() if name in said}
    if "flutes" in said:
        held["flutes"] = _flutes(said["flutes"])
    if "through" in said:
        held["through"] = _yes(said["through"])
    if "material" in said:
        held["material"] = said["material"]
    return Ticket.model_validate(held)


def _mm(name: str, text: str) -> float:
    try:
        return read_length_mm(text)
    except UnitsError as error:
        raise UnitsError(f"{name}: {error}") from error


def _flutes(text: str) -> int | None:
    if text in ("-", "?"):
        return None
    if not (text.isascii() and text.isdigit() and len(text) < 4):
        raise WordsError(
            f"flutes: {quoted(text)} is not a number of flutes; leave it empty if unknown."
        )
    return int(text)


def _yes(text: str) -> bool:
    word = text.lower()
    if word not in (*_YES, *_NO):
        raise WordsError(f"through: {quoted(text)} is neither yes nor no.")
    return word in _YES
