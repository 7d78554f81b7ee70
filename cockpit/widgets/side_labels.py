"""The labels at the right of a side section, and the leads from the levels to them."""

from __future__ import annotations

from collections.abc import Sequence

from cockpit.units import LengthUnit
from cockpit.widgets.picture import Ink, Sheet
from cockpit.widgets.side_view import Level

LEAD_WIDTH = 3
"""The columns between the drawing and the labels: where leads bend, their end, and a space."""

# Which labels stay when there are more of them than rows: the inks in order of weight.
_WEIGHT = (Ink.TIP, Ink.TARGET, Ink.LIMIT, Ink.STOP, Ink.LABEL)

# Whether a lead comes from the left, leaves to the right, goes up, goes down.
_Joint = tuple[bool, bool, bool, bool]

_JOINTS: dict[_Joint, str] = {
    (True, True, False, False): "─",
    (True, True, True, False): "┴",
    (True, True, False, True): "┬",
    (True, True, True, True): "┼",
    (True, False, True, False): "╯",
    (True, False, False, True): "╮",
    (True, False, True, True): "┤",
    (False, True, True, False): "╰",
    (False, True, False, True): "╭",
    (False, True, True, True): "├",
    (False, False, True, True): "│",
}


def label_width(levels: Sequence[Level]) -> int:
    """Give the width of the labels: a name, a space, a figure."""
    names, figures = (len(level.name) for level in levels), (len(level.figure) for level in levels)
    return max(names) + 1 + max(figures)


def spread(rows: Sequence[int], first: int, last: int) -> list[int]:
    """Give every label a row of its own, from ``first`` to ``last``, near the row it wants.

    ``rows``: the wanted rows, ascending, no more than there is room for. Order is kept.

    >>> spread([1, 4, 8, 8, 9], first=1, last=9)
    [1, 4, 7, 8, 9]
    """
    spread_rows: list[int] = []
    free = first
    for row in rows:
        spread_rows.append(max(row, free))
        free = spread_rows[-1] + 1
    free = last
    for place in reversed(range(len(spread_rows))):
        spread_rows[place] = min(spread_rows[place], free)
        free = spread_rows[place] - 1
    return spread_rows


def heaviest(levels: Sequence[Level], room: int) -> list[Level]:
    """Keep the ``room`` weightiest levels, in the order they came."""
    by_weight = sorted(levels, key=lambda level: _WEIGHT.index(level.ink))
    return [level for level in levels if level in by_weight[: max(room, 0)]]


def draw_labels(
    sheet: Sheet,
    left: int,
    levels: Sequence[Level],
    rows: Sequence[int],
    unit: LengthUnit,
    *,
    ascii_only: bool,
) -> None:
    """Write the labels from column ``left``, and the unit over them.

    ``rows``: where the levels are in the drawing. Where figures would be cut off there are none.
    """
    label_rows = spread(rows, 1, sheet.height - 1)
    for row, joint in _joints(rows, label_rows).items():
        sheet.write(left, row, _ascii(joint) if ascii_only else _JOINTS[joint], Ink.LABEL)
    width = label_width(levels)
    has_figures = left + LEAD_WIDTH + width <= sheet.width
    for level, row in zip(levels, label_rows, strict=True):
        sheet.write(left + 1, row, "-" if ascii_only else "─", Ink.LABEL)
        figure = level.figure.rjust(width - len(level.name)) if has_figures else ""
        sheet.write(left + LEAD_WIDTH, row, level.name + figure, level.ink)
    if has_figures:
        sheet.write(left + LEAD_WIDTH, 0, unit.rjust(width), Ink.LABEL)


def _ascii(joint: _Joint) -> str:
    return {(True, True, False, False): "-", (False, False, True, True): "|"}.get(joint, "+")


def _joints(rows: Sequence[int], label_rows: Sequence[int]) -> dict[int, _Joint]:
    """Give, for each row where leads bend or pass, which way they go there."""
    spans = [sorted(pair) for pair in zip(rows, label_rows, strict=True)]
    return {
        row: (
            row in rows,
            row in label_rows,
            any(top < row <= bottom for top, bottom in spans),
            any(top <= row < bottom for top, bottom in spans),
        )
        for span in spans
        for row in range(span[0], span[1] + 1)
    }
