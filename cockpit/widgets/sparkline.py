"""A trace of the last values in one line of characters."""

from collections.abc import Sequence

BLOCKS = "▁▂▃▄▅▆▇█"
"""Eight levels, least first."""

ASCII_LEVELS = "_.:-=+*#"
"""Eight levels in plain ASCII, least first."""


def feed_trace(
    values: Sequence[float | None],
    width: int,
    *,
    top: float | None = None,
    ascii_only: bool = False,
) -> str:
    """Draw the last ``width`` values, newest at the right, from nought up to ``top``.

    ``top`` is the greatest value shown unless given. None (nothing known) is a gap; what is less
    than nought is drawn as nought, what is over the top as the top. Always ``width`` characters.

    >>> feed_trace([0, 1, 2, None, 4], 6)
    ' ▁▃▅ █'
    """
    levels = ASCII_LEVELS if ascii_only else BLOCKS
    shown = values[-width:] if width > 0 else ()
    if top is None:
        top = max((value for value in shown if value is not None), default=0.0)
    marks = (" " if value is None else levels[_level(value, top)] for value in shown)
    return "".join(marks).rjust(max(width, 0))


def _level(value: float, top: float) -> int:
    """Give the level, 0 to 7, of a value between nought and the top."""
    if top <= 0:
        return 0
    return min(max(int(value / top * 7 + 0.5), 0), 7)
