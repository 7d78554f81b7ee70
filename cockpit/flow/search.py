"""The holes of the log, searched as somebody types: read once, looked through at every key."""

from __future__ import annotations

from collections.abc import Iterable

from cockpit.log.questions import words_of
from cockpit.log.rows import HoleRow


class HoleSearch:
    """Holes, and what each is found by."""

    def __init__(self, rows: Iterable[HoleRow]) -> None:
        self._rows = tuple(rows)
        self._words = tuple(map(words_of, self._rows))

    def find(self, text: str) -> list[HoleRow]:
        """The holes that have this text in them, in whatever case; all of them for none."""
        wanted = text.casefold()
        if not wanted:
            return list(self._rows)
        return [row for row, words in zip(self._rows, self._words, strict=True) if wanted in words]
