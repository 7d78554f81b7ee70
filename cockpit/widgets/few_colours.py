"""Lines for a terminal that has no colours, or sixteen: what stood out by colour still stands out.

Textual draws everything in 16 million colours and leaves the rest to the terminal library, which
writes greys where ``NO_COLOR`` asks for no colour at all, and the nearest of sixteen colours
where there are no more, wherever that ends.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

from rich.color import Color as RichColor
from rich.color import ColorSystem
from rich.segment import Segment
from rich.style import Style
from textual.color import Color
from textual.filter import LineFilter

#: A patch that differs from the ground of the screen by so much in brightness, of 1, stands out
#: (assumed; what only parts a table's rows, or a title from what is under it, differs by less).
STANDS_OUT = 0.15
#: The sixteen, as the terminal library counts them: VGA's, with which the Linux console begins.
SIXTEEN = (
    *("#000000", "#aa0000", "#00aa00", "#aa5500", "#0000aa", "#aa00aa", "#00aaaa", "#aaaaaa"),
    *("#555555", "#ff5555", "#55ff55", "#ffff55", "#5555ff", "#ff55ff", "#55ffff", "#ffffff"),
)
#: The first so many of them are dark; the others are the same ones, bright.
DARK_COLOURS = 8


class NoColours(LineFilter):
    """Takes all colour out of a line; what stood out from the ground is reversed instead.

    ``ground``: gives the ground of the screen as it is now.
    """

    def __init__(self, ground: Callable[[], Color]) -> None:
        super().__init__()
        self._ground = ground

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:
        """Give the segments of a line without a colour."""
        ground = self._ground()
        return [
            one
            if one.style is None
            else Segment(one.text, _without_colours(one.style, ground), one.control)
            for one in segments
        ]


class SixteenColours(LineFilter):
    """Puts a line into sixteen colours as a text console shows them.

    That console has the dark eight alone for a ground, writes what is bold in the bright colour of
    its kind, and turns bright writing dark when it is reversed (Linux, from memory).
    So nothing is reversed here, a ground is always dark, and dark writing is not bold.
    """

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:
        """Give the segments of a line in sixteen colours."""
        return [
            one if one.style is None else Segment(one.text, _in_sixteen(one.style), one.control)
            for one in segments
        ]


def _ink_and_ground(style: Style) -> tuple[RichColor | None, RichColor | None]:
    """What a style writes in and on, a reversed one too."""
    pair = style.color, style.bgcolor
    return (pair[1], pair[0]) if style.reverse else pair


@lru_cache(1024)
def _without_colours(style: Style, ground: Color) -> Style:
    _, own = _ink_and_ground(style)
    stands_out = (
        own is not None
        and not own.is_default
        and abs(Color.from_rich_color(own).brightness - ground.brightness) >= STANDS_OUT
    )
    return style.without_color + Style(reverse=stands_out, meta=style.meta)


@lru_cache(1024)
def _in_sixteen(style: Style) -> Style:
    ink, ground = (_number(colour) for colour in _ink_and_ground(style))
    changed = Style(
        # By their values: what lies under a box comes past here twice, and must come out the same.
        color=None if ink is None else RichColor.parse(SIXTEEN[ink]),
        bgcolor=None if ground is None else RichColor.parse(SIXTEEN[ground % DARK_COLOURS]),
        bold=bool(style.bold) and (ink is None or ink >= DARK_COLOURS),
        reverse=False,
    )
    return style + changed


def _number(colour: RichColor | None) -> int | None:
    """The nearest of the sixteen colours; None where the terminal's own is meant."""
    return None if colour is None else colour.downgrade(ColorSystem.STANDARD).number
