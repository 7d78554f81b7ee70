"""The labels at the right of a side section, and the leads from the levels to them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cockpit.widgets.picture import Ink, Sheet
from cockpit.widgets.side_frame import Frame
from cockpit.widgets.side_view import Level, SideView

LEAD_WIDTH = 3
"""The columns between the drawing and the labels: where leads bend, their end, and a space."""

NARROWEST = 9
"""The fewest columns for the drawing beside labels."""

# The columns of the longest heading: "width ×0.9 mm".
_HEADING = 13

# A drawing gives up one row in so many at most, to give labels room.
_MOST_SPARE = 5

# Which labels stay when there are more of them than rows: the inks in order of weight.
_WEIGHT = (Ink.TIP, Ink.TARGET, Ink.LIMIT, Ink.STOP, Ink.LABEL, Ink.LATER)

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


@dataclass(frozen=True, slots=True)
class Labels:
    """The levels that get a label, and how wide their names and their figures are.

    ``figure_width``: 0 where there are names alone.
    """

    levels: tuple[Level, ...] = ()
    name_width: int = 0
    figure_width: int = 0

    @property
    def text_width(self) -> int:
        """The columns of a label."""
        if not self.figure_width:
            return self.name_width
        return max(self.name_width + 1 + self.figure_width, _HEADING)

    @property
    def width(self) -> int:
        """The columns that the labels take, with their leads."""
        return LEAD_WIDTH + self.text_width if self.levels else 0


def fit(
    view: SideView, width: int, height: int, *, ascii_only: bool = False
) -> tuple[Labels, Frame]:
    """Choose labels and scales so that target and limit have their labels on their own rows.

    For that the drawing gives up some rows at its foot, and stops to come lose their labels; so do
    those that would have to share a row. The tip does not count: as it goes down the rest has to
    stand still.
    """
    levels = heaviest(view.levels, height - 1)
    coming = [level for level in levels if level.ink is Ink.LATER]
    for dropped in range(len(coming) + 1):
        kept = [level for level in levels if level not in coming[len(coming) - dropped :]]
        labels = _fit_width(kept, width)
        for spare in range(height // _MOST_SPARE + 1):
            frame = Frame(view, width - labels.width, height, spare, ascii_only=ascii_only)
            if _is_straight(labels.levels, frame):
                return labels, frame
    return labels, Frame(view, width - labels.width, height, ascii_only=ascii_only)


def _fit_width(levels: Sequence[Level], width: int) -> Labels:
    """Choose names and figures, names, or nothing."""
    names = max((len(level.name) for level in levels), default=0)
    figures = max((len(level.figure) for level in levels), default=0)
    for figure_width in (figures, 0):
        labels = Labels(tuple(levels), names, figure_width)
        if labels.width + NARROWEST <= width:
            return labels
    return Labels()


def _is_straight(levels: Sequence[Level], frame: Frame) -> bool:
    """Whether the leads of target, limit and stops to come are straight, the tip aside."""
    still = Labels(tuple(level for level in levels if level.ink is not Ink.TIP))
    return all(
        placed.row == placed.label_row
        for placed in place(still, frame)
        if placed.level.ink in (Ink.TARGET, Ink.LIMIT, Ink.LATER)
    )


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


@dataclass(frozen=True, slots=True)
class Placed:
    """A level with the row it is in and the row of its label.

    ``is_led``: a lead goes from one to the other. A stop to come counts least, and its lead
    would only cross the others: it has none when it would have to bend or is off the drawing.
    """

    level: Level
    row: int
    label_row: int
    is_led: bool


def place(labels: Labels, frame: Frame) -> list[Placed]:
    """Give every label its row."""
    rows = [frame.row(level.depth_mm) for level in labels.levels]
    placed = zip(labels.levels, rows, spread(rows, 1, frame.height - 1), strict=True)
    return [
        Placed(
            level,
            row,
            label_row,
            level.ink is not Ink.LATER or (row == label_row and not frame.is_below(level.depth_mm)),
        )
        for level, row, label_row in placed
    ]


def draw_labels(
    sheet: Sheet,
    left: int,
    labels: Labels,
    placed: Sequence[Placed],
    heading: tuple[str, str],
    *,
    ascii_only: bool,
) -> None:
    """Write the labels from column ``left``; ``heading``: what stands over names, over figures."""
    led = [place for place in placed if place.is_led]
    joints = _joints([place.row for place in led], [place.label_row for place in led])
    for row, joint in joints.items():
        sheet.write(left, row, _ascii(joint) if ascii_only else _JOINTS[joint], Ink.LABEL)
    lead, below = ("-", "v") if ascii_only else ("─", "↓")
    for place in placed:
        level, row = place.level, place.label_row
        sheet.write(left + 1, row, lead if place.is_led else below, Ink.LABEL)
        text = level.name
        if labels.figure_width:
            text += level.figure.rjust(labels.text_width - len(text))
        sheet.write(left + LEAD_WIDTH, row, text, level.ink)
    if labels.figure_width:
        note, unit = heading
        over = f"{note:<{labels.text_width - len(unit) - 1}} {unit}"
        sheet.write(left + LEAD_WIDTH, 0, over, Ink.LABEL)


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
