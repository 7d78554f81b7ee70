"""Which keys can be a foot pedal's: a pedal is a keyboard that types one key."""

from __future__ import annotations

from collections.abc import Iterator

from textual.binding import Binding
from textual.keys import Keys

from cockpit.screens.shared.keys import key_letter, key_name
from cockpit.screens.shared.step import StepScreen
from cockpit.units import quoted
from cockpit.widgets.quantity_input import LENGTH_STARTS

#: The big keys that there always are: Enter also takes what is typed.
ALWAYS = ("space", "enter")

#: What the terminal library calls the keys that type nothing.
_KNOWN = frozenset(key.value for key in Keys)

_MEANS = {
    "escape": "goes back",
    "backspace": "steps back",
    "tab": "goes to the next field",
    "shift+tab": "goes to the field before",
    "up": "chooses a line",
    "down": "chooses a line",
    **dict.fromkeys(("left", "right", "home", "end", "delete"), "is for what is being typed"),
}
#: Many pedals type these; where a screen scrolls at one, an arrow does the same.
_ARROWS_DO_IT = frozenset({"pageup", "pagedown"})


def why_not(key: str) -> str:
    """Why this key can't be the pedal's, in a sentence; empty when it can.

    >>> why_not("f5"), why_not("pagedown"), why_not("enter")
    ('', '', '')
    >>> why_not("7")
    '7 answers a question or begins a length: let the pedal type another key, such as F5.'
    >>> why_not("bananas")
    '"bananas" is no key: press the pedal in the preferences.'
    """
    name = key.rpartition("+")[2]
    if not key_letter(key) and len(name) > 1 and name not in _KNOWN:
        return f"{quoted(key)} is no key: press the pedal in the preferences."
    means = _MEANS.get(key) or _begins(key) or _bound(key)
    if not means and key.startswith("ctrl+"):
        means = "is for the keyboard"
    return f"{key_name(key)} {means}: let the pedal type another key, such as F5." if means else ""


def _begins(key: str) -> str:
    letter = key_letter(key)
    if letter.isdigit():
        return "answers a question or begins a length"
    return "begins a length" if letter and letter in LENGTH_STARTS else ""


def _bound(key: str) -> str:
    """What a screen does at this key; of a letter, with Shift or without."""
    if key in _ARROWS_DO_IT:
        return ""
    keys = {key, key.lower(), key.upper()} if len(key) == 1 else {key}
    for binding in _bindings(StepScreen):
        if keys & set(binding.key.split(",")):
            return f"means {binding.description!r} on a screen".replace("'", '"')
    return ""


def _bindings(kind: type[StepScreen]) -> Iterator[Binding]:
    """The keys of every screen there is."""
    yield from (one for one in kind.__dict__.get("BINDINGS", ()) if isinstance(one, Binding))
    for derived in kind.__subclasses__():
        yield from _bindings(derived)
