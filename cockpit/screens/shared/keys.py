"""Keys as they are bound, as they stand on the keyboard, and what they type."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from textual.binding import Binding
from textual.dom import DOMNode
from textual.events import Key
from textual.keys import REPLACED_KEYS, key_to_character

_KEY_NAMES = {"escape": "ESC", "pageup": "PAGE UP", "pagedown": "PAGE DOWN"}


def key_name(key: str) -> str:
    """A key as it stands on the keyboard; letters are bound with and without Shift.

    >>> key_name("question_mark"), key_name("t,T"), key_name("backspace"), key_name("pagedown")
    ('?', 'T', 'BACKSPACE', 'PAGE DOWN')
    """
    first = key.partition(",")[0]
    if first in _KEY_NAMES:
        return _KEY_NAMES[first]
    return (key_letter(first).strip() or first).upper()


def key_letter(key: str) -> str:
    """What a key types; nothing for one that types nothing.

    >>> key_letter("b"), key_letter("minus"), key_letter("full_stop"), key_letter("backspace")
    ('b', '-', '.', '')
    """
    letter = key_to_character(REPLACED_KEYS.get(key, key)) or ""
    return letter if letter.isprintable() else ""


def types_nothing(event: Key) -> bool:
    """Whether a key writes nothing, as a pedal's F5; Enter takes what is written."""
    return not event.is_printable and event.key != "enter"


def written(bindings: Iterable[Binding], *, muted: bool) -> tuple[tuple[str, str], ...]:
    """The keys of a line, each with what it does now."""
    now = {"mute": "sound on"} if muted else {}
    return tuple(
        (key_name(one.key), now.get(one.action, one.description)) for one in bindings if one.show
    )


def bindings_of(kind: type[DOMNode]) -> Iterator[Binding]:
    """The keys of a screen and of what it is made from, its own first; not the library's own."""
    for one in kind.__mro__:
        for binding in one.__dict__.get("BINDINGS", ()):
            if isinstance(binding, Binding) and binding.id:
                yield binding
