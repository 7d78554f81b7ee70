"""What a person reads off the cockpit's screen: which screen it is, and what stands on it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import pairwise

from cockpit.burn.calls import CallKind

#: What covers the screen for a while, and the words by which it is known.
COVERS = {
    "help": "The keys of this screen",
    "word": "ENTER keeps it   ESC not yet",
    "palette": "╭───",
}
#: Screens without a hole, by how their title begins.
PLAIN = {
    "open a shift": "shift",
    "daily check": "daily",
    "bench": "bench",
    "take in a hole": "ticket",
    "correct ": "ticket",
    "shift log": "log",
    "hole ": "page",
    "stock": "stock",
    "what was learnt": "learnt",
    "what each burn taught": "learnt",
}
#: Screens of a hole, by how the last field of their title begins; each with its step in the log.
STEPS = {
    "plan": "plan",
    "set-up": "checks",
    "before the arc": "guard on again",
    "another electrode": "another electrode",
    "set up again": "set up again",
    "pilot burn": "pilot burn",
    "burn": "burn",
    "centre check": "centre check",
    "touch-off": "touch-off",
    "clean-out": "clean-out",
    "outcome": "outcome",
    "override": "",
}
#: Screens of which one thing after the other is confirmed.
LISTS = frozenset(
    {"daily", "set-up", "before the arc", "another electrode", "set up again", "clean-out"}
)
#: Screens on which the arc may be on.
ARC = frozenset({"pilot burn", "burn"})

#: Every call there is.
CALLS = frozenset(CallKind)

_NUMBERS = re.compile(r" (\d+) of (\d+)$")
_ITEM = re.compile(r"^ +\S+  \d+ of \d+   (.+?) *$")
_OFFER = re.compile(r"^ *(SPACE|ENTER) +(.+?) *$")
_CALL = re.compile(r" (?:■■■|▲▲|●|!+) ([A-Z]+) (?:■■■|▲▲|●|!+) ")
_MORE = re.compile(r"  also ([a-z, ]+)")
_ARC = re.compile(r" (ARC ON|ARC OFF)\b")
_CLOCK = re.compile(r" (\d+):(\d\d)\b")
_COUNT = re.compile(r"gauge live, (\d+) readings")
_TOUCH = re.compile(r"take (-?[\d.]+) mm as the touch-off")


@dataclass(frozen=True, slots=True)
class Look:
    """One look at the screen. ``kind``: which screen; "?" while it is being put up."""

    text: str
    kind: str
    label: str = ""
    at: int = 0
    of: int = 0
    item: str = ""
    offer: str = ""
    is_typing: bool = False
    keys: str = ""
    calls: frozenset[str] = frozenset()
    #: Whether more calls stand than the line has room for.
    has_more_calls: bool = False
    arc_on: bool | None = None
    clock_s: int = 0
    readings: int | None = None
    taken: bool = False

    @property
    def is_list(self) -> bool:
        """Whether one thing after the other is confirmed here."""
        return self.kind in LISTS

    @property
    def step(self) -> str:
        """The step of the hole, as the log calls it; empty on a screen without one."""
        return STEPS.get(self.kind, "")

    def finds(self, pattern: str) -> str:
        """The first group of what matches on the screen; empty if nothing does."""
        found = re.search(pattern, self.text, re.MULTILINE)
        return found[1] if found else ""


def read_screen(text: str) -> Look:
    """Take in what the screen shows."""
    rows = text.split("\n")
    title = rows[0].strip()
    kind, label = _which(title)
    covered = next((name for name, words in COVERS.items() if words in text), None)
    numbers = _NUMBERS.search(title)
    offer = next((found for row in rows[-3:] if (found := _OFFER.match(row))), None)
    arc, clock = _arc(rows) if kind in ARC else (None, None)
    count = _COUNT.search(text)
    item = _ITEM.match(rows[2]) if kind in LISTS and len(rows) > 2 else None
    return Look(
        text=text,
        kind=covered or kind,
        label=label,
        at=int(numbers[1]) if numbers else 0,
        of=int(numbers[2]) if numbers else 0,
        item=item[1] if item else "",
        offer=offer[2] if offer else "",
        is_typing=offer is not None and offer[1] == "ENTER",
        keys=rows[-1].strip(),
        calls=_calls(rows),
        has_more_calls=any("…" in row for row in rows[-6:-2]),
        arc_on=arc,
        clock_s=clock or 0,
        readings=int(count[1]) if count and arc is not None else None,
        taken=kind == "touch-off" and any(row[:6] == " Taken" for row in rows[2:3]),
    )


def offered_touch_um(look: Look) -> float | None:
    """What the big key would take as the touch-off, µm."""
    found = _TOUCH.search(look.offer)
    unit_um = 25_400 if look.finds(r"^ target [\d.]+\*? (in)\b") else 1000
    return float(found[1]) * unit_um if found else None


def _which(title: str) -> tuple[str, str]:
    """Which screen has this title, and the hole's name on it."""
    fields = re.split(r" {3,}", title)
    if fields[0].startswith("hole ") and fields[2:3] == ["correct"]:
        return "correct", ""
    if fields[0] in PLAIN:
        return PLAIN[fields[0]], ""
    if len(fields) >= 4:
        found = next((name for name in STEPS if _begins(fields[3], name)), "?")
        return found, fields[1]
    return next((name for begin, name in PLAIN.items() if title.startswith(begin)), "?"), ""


def _begins(field: str, name: str) -> bool:
    return field == name or (field.startswith(f"{name} ") and field[len(name) + 1].isdigit())


def _arc(rows: list[str]) -> tuple[bool | None, int | None]:
    """Whether the arc clock runs, and what it shows, s; it stands under the word."""
    for row, below in pairwise(rows[1:8]):
        if (word := _ARC.search(row)) and (clock := _CLOCK.search(below)):
            return word[1] == "ARC ON", 60 * int(clock[1]) + int(clock[2])
    return None, None


def _calls(rows: list[str]) -> frozenset[str]:
    """The calls that stand, as the rows above the bottom lines say."""
    for row in rows[-6:-2]:
        if found := _CALL.search(f" {row}"):
            more = _MORE.search("\n".join(rows[-6:-2]))
            others = more[1].split(", ") if more else []
            # The line may end in the middle of a word.
            return frozenset({found[1].lower(), *(one.strip() for one in others)} & CALLS)
    return frozenset()
