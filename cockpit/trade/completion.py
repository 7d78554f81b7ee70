"""What may be meant by what was typed so far: a standard thread, or one of a few names.

Only offered, never taken for a person: ``M10`` may be M10x1.25 as well, and 1/4 has no pitch at
all. What is offered reads back as what it says.
"""

import re
from collections.abc import Iterator, Sequence
from difflib import get_close_matches
from functools import cache
from itertools import chain
from typing import Final, NamedTuple

from cockpit.trade.designations import PlainText, ThreadError, read_designation
from cockpit.trade.series import (
    Row,
    metric_rows,
    parallel_pipe_rows,
    taper_pipe_rows,
    unified_rows,
)

#: More than these nobody reads while typing.
MOST_OFFERED: Final = 6

# The usual ones first: coarse before fine, and a series of constant pitch last of all.
_USUAL: Final = ("metric coarse", "UNC", "metric fine", "UNF", "UNEF", "G", "NPT")
# How much of a name has to be the same for it to be near, of 1 (assumed).
_NEAR: Final = 0.7
_SIZE: Final = re.compile(r"(M[\d.]+|G.+|.+?(?=-))")


class _Entry(NamedTuple):
    """A standard thread with the ways it may be begun; ``order`` puts the usual one first.

    ``sizes``: its size as people write it. The first of the ``spellings`` is the whole of it.
    """

    designation: str
    sizes: tuple[str, ...]
    spellings: tuple[str, ...]
    order: tuple[float, ...]


def complete_thread(text: str) -> tuple[str, ...]:
    """Give the standard designations that begin like this; of a whole size, those of that size.

    The usual ones first, no more than ``MOST_OFFERED``, and none that is there in full already.

    >>> complete_thread("m10")
    ('M10x1.5', 'M10x1.25', 'M10x1', 'M10x0.75')
    >>> complete_thread("1/4")
    ('1/4-20 UNC', '1/4-28 UNF', '1/4-32 UNEF', 'G1/4', '1/4-18 NPT')
    >>> complete_thread("pin 8")
    ('pin 8 mm', 'pin 8 in')
    """
    typed = _key(text)
    if not re.search(r"\d", typed):
        return ()
    found = [
        entry
        for entry in _entries()
        if typed != entry.spellings[0] and any(one.startswith(typed) for one in entry.spellings)
    ]
    found = [entry for entry in found if typed in entry.sizes] or found
    offered = (entry.designation for entry in sorted(found, key=lambda entry: entry.order))
    return tuple(chain(_with_unit(text), offered))[:MOST_OFFERED]


def complete_name(names: Sequence[str], text: str) -> tuple[str, ...]:
    """Give the names that begin like this; else those with a word that does; else those near it.

    >>> complete_name(("cast iron", "cast steel", "brass"), "CAST")
    ('cast iron', 'cast steel')
    >>> complete_name(("cast iron", "cast steel", "brass"), "steel")
    ('cast steel',)
    >>> complete_name(("cast iron", "cast steel", "brass"), "brsas")
    ('brass',)
    """
    typed = " ".join(text.lower().split())
    if not typed:
        return ()
    by_name = {name.lower(): name for name in names}
    found = [name for name in by_name if name.startswith(typed)]
    found = found or [name for name in by_name if f" {typed}" in name]
    found = found or get_close_matches(typed, by_name, MOST_OFFERED, _NEAR)
    return tuple(by_name[name] for name in found[:MOST_OFFERED])


def _key(text: str) -> str:
    """What is compared: capitals and digits, without what people leave out or put in."""
    return re.sub(r"[\s-]+", "", text.upper().translate({0xD7: "X", ord("*"): "X", ord(","): "."}))


def _with_unit(text: str) -> Iterator[str]:
    """A plain bore that lacks its unit, with either."""
    try:
        said, _ = read_designation(text)
    except ThreadError:
        return
    if isinstance(said, PlainText) and not said.unit and "/" not in said.number:
        yield from (f"{said.word} {said.number} {unit}" for unit in ("mm", "in"))


@cache
def _entries() -> tuple[_Entry, ...]:
    rows = chain(unified_rows(), metric_rows(), parallel_pipe_rows(), taper_pipe_rows())
    return tuple(map(_entry, rows))


def _entry(row: Row) -> _Entry:
    full, series = _key(row.designation), row.series.rpartition("-")[2]
    found = _SIZE.match(row.designation)
    assert found is not None
    size = _key(found[1])
    bare = size.lstrip("#MG")
    begun = {full.lstrip("#MG")}
    if not row.series.startswith("metric"):
        begun |= {f"{bare}{series}", f"{series}{size}"}
    rank = _USUAL.index(row.series) if row.series in _USUAL else len(_USUAL)
    return _Entry(row.designation, (size, bare), (full, *begun), (rank, row.size, -row.pitch))
