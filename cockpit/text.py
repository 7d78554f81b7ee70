"""Text from people, profiles, files and gauges: what is kept of it, and how it is shown.

A text can hold more than letters: sequences that steer a terminal, marks that turn the writing
round, line breaks, characters that nobody sees. ``one_line`` is what is kept of what somebody said;
``printable`` is a line as a terminal or a screen may have it; ``cell`` is what a spreadsheet may
have. Letters, accents and emoji of every alphabet stay as they are.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterator

#: A name or a word why is no longer than this, in characters; a note is no longer than that.
MOST_LETTERS, MOST_NOTE_LETTERS = 80, 400
#: More marks than this on one letter are a flood. Unicode's stream-safe text (UAX #15) has up to
#: 30; no spelling needs more than a handful (assumed).
MOST_MARKS = 8

# Not printable to Python, but harmless: other blanks, private use, and what is newer than Python.
_HARMLESS = frozenset({"Zs", "Co", "Cn"})
# Zero-width joiners shape letters of other alphabets and hold emoji together; anywhere else they
# only make two names look alike.
_JOINERS = "\u200c\u200d"
_STRAY_JOINER = re.compile(
    rf"(?<![^\x00-\x7f\s{_JOINERS}])[{_JOINERS}]|[{_JOINERS}](?![^\x00-\x7f\s{_JOINERS}])"
)
# No marks are in the blocks of Latin letters, nor in those of signs, lines and braille.
_COULD_BE_FLOOD = re.compile(rf"[^\x00-\u02ff\u2100-\u2bff]{{{MOST_MARKS + 1}}}")

# What a spreadsheet takes for the start of a formula (OWASP ASVS, requirement 1.2.10; full-width
# forms from memory). The tabs, line ends and nulls that OWASP names too are gone by then. Where
# columns are parted by semicolons, one inside a text begins a cell as well.
_FORMULA = re.compile(r'((?:^|;)["\s]*)(?=[=+\-@＝＋－＠])')


def one_line(text: str) -> str:
    r"""What is kept of what somebody typed or pasted: one line, trimmed, of visible characters.

    >>> one_line("  flange\n\t3\x1b[2J\u202e "), one_line("Ångström 工具 👨‍👩‍👧")
    ('flange 3[2J', 'Ångström 工具 👨\u200d👩\u200d👧')
    """
    return " ".join(visible(text).split())


def visible(text: str) -> str:
    """The same while it is still being typed: blanks stay, line breaks become blanks."""
    return mended(text, lambda character: " " if character.isspace() else "")


def printable(text: str) -> str:
    r"""A text as one line of a terminal: what would steer it is shown as a question mark.

    >>> printable("two\nlines\x1b[1m  \x9b31m")
    'two lines?[1m  ?31m'
    """
    return mended(text, lambda character: " " if character.isspace() else "?")


def page(text: str) -> str:
    r"""The same of several lines, whose ends are meant.

    >>> page("depth\n  12\x07")
    'depth\n  12?'
    """
    return "\n".join(map(printable, text.split("\n")))


def cell(value: object) -> object:
    """A cell that no spreadsheet takes for a formula; a number stays one.

    >>> cell("=1+1"), cell("a; -1"), cell("M8 - left"), cell(-0.3)
    ("'=1+1", "a; '-1", 'M8 - left', -0.3)
    """
    return _FORMULA.sub(r"\1'", one_line(value)) if isinstance(value, str) else value


def mended(text: str, instead: Callable[[str], str]) -> str:
    """Put ``instead`` in the place of each character that is not for showing; end floods of marks.

    Nothing is left to mend in what comes back.
    """
    if not text.isprintable():
        text = "".join(one if _is_for_showing(one) else instead(one) for one in text)
        text = _STRAY_JOINER.sub(lambda joiner: instead(joiner.group()), text)
    return "".join(_without_floods(text)) if _COULD_BE_FLOOD.search(text) else text


def _is_for_showing(character: str) -> bool:
    return (
        character.isprintable()
        or character in _JOINERS
        or unicodedata.category(character) in _HARMLESS
    )


def _without_floods(text: str) -> Iterator[str]:
    marks = 0
    for character in text:
        marks = marks + 1 if unicodedata.category(character).startswith("M") else 0
        if marks <= MOST_MARKS:
            yield character


#: Figures in JSON are rounded to this many places: a hundredth of a micrometre.
PLACES = 5


def rounded(answer: object) -> object:
    """The same with every float rounded to ``PLACES``.

    >>> rounded({"depth_mm": 0.1 + 0.2, "calls": [1.0]})
    {'depth_mm': 0.3, 'calls': [1.0]}
    """
    if isinstance(answer, float):
        return round(answer, PLACES)
    if isinstance(answer, dict):
        return {key: rounded(value) for key, value in answer.items()}
    if isinstance(answer, list | tuple):
        return [rounded(value) for value in answer]
    return answer
