"""How much room a terminal has, and what is said where that is too little."""

from __future__ import annotations

from textual.geometry import Size

#: The least terminal that a screen is laid out for.
LEAST_COLUMNS, LEAST_ROWS = 80, 24
#: The classes that a screen has by its width, and by its height, in cells.
WIDTHS = [(0, "-narrow"), (LEAST_COLUMNS, "-wide")]
TALL = 30
HEIGHTS = [(0, "-low"), (LEAST_ROWS, "-short"), (TALL, "-tall"), (40, "-high")]


def is_small(size: Size) -> bool:
    """Whether there is no room for the body of a screen."""
    return size.width < LEAST_COLUMNS or size.height < LEAST_ROWS


def too_small(size: Size) -> str:
    """What is said instead of the body."""
    return (
        f"This window is {size.width} × {size.height} characters: make it "
        f"{LEAST_COLUMNS} × {LEAST_ROWS} or larger to see everything."
    )
