"""The bottom lines: what the big key does now, and the other keys of the screen."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.content import Content
from textual.reactive import reactive
from textual.widget import Widget

#: Between the keys; the narrow one where it saves a key.
_GAPS = ("   ", "  ")
#: What somebody who is lost looks for.
WAYS_BACK = frozenset({"BACKSPACE", "ESC"})

Key = tuple[str, str]
"""A key as the operator calls it, and what it does."""


def fit_keys(keys: Sequence[Key], width: int) -> str:
    """Write as many keys as a line holds, first ones first. The last one stays, then the ways back.

    The last is the key that shows all the others, so that nothing is lost where room is short.

    >>> fit_keys([("T", "touch off"), ("N", "note"), ("?", "keys")], 30)
    'T touch off   N note   ? keys'
    >>> fit_keys([("T", "touch off"), ("N", "note"), ("?", "keys")], 22)
    'T touch off   ? keys'
    >>> fit_keys([("N", "note"), ("ESC", "bench"), ("M", "mute"), ("?", "keys")], 30)
    'N note   ESC bench   ? keys'
    """
    left = list(keys)
    while True:
        words = [f"{key} {does}" for key, does in left]
        fitting = (line for gap in _GAPS if len(line := gap.join(words)) <= width)
        if (line := next(fitting, "")) or len(left) < 2:
            return line or "".join(words[-1:])
        spare = [one for one in left[:-1] if one[0] not in WAYS_BACK] or left[:-1]
        left.remove(spare[-1])


class NextLine(Widget):
    """Two lines: the big key and what it does now, then the other keys.

    ``does``: what the big key does, in words; empty when it does nothing. ``big_key``: its name.
    ``keys``: the other keys, the one for help last.
    """

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "next-line--key",
        "next-line--does",
        "next-line--others",
    }
    DEFAULT_CSS = """
    NextLine {
        height: 2;
        width: 1fr;
        padding: 0 1;
        text-wrap: nowrap;
        & > .next-line--key { color: $background; background: $foreground; text-style: bold; }
        & > .next-line--does { color: $foreground; text-style: bold; }
        & > .next-line--others { color: $text-muted; }
    }
    """

    does = reactive("")
    big_key = reactive("SPACE")
    keys: reactive[tuple[Key, ...]] = reactive(())

    def __init__(
        self,
        does: str = "",
        keys: Sequence[Key] = (),
        *,
        big_key: str = "SPACE",
        id: str | None = None,  # noqa: A002
    ) -> None:
        super().__init__(id=id)
        self.set_reactive(NextLine.does, does)
        self.set_reactive(NextLine.keys, tuple(keys))
        self.set_reactive(NextLine.big_key, big_key)

    def render(self) -> Content:
        others = fit_keys(self.keys, self.content_size.width)
        return Content.assemble(
            *self._big_key_line(),
            "\n",
            (others, self.get_visual_style("next-line--others")),
        )

    def _big_key_line(self) -> list[Content]:
        if not self.does:
            return []
        key = Content.styled(f" {self.big_key} ", self.get_visual_style("next-line--key"))
        does = Content.styled(f" {self.does}", self.get_visual_style("next-line--does"))
        return [key, does]
