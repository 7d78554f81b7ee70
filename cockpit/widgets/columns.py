"""Words set out in the room there is: columns that share a width, and names that flow on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

GAP = 3


def share(wanted: Sequence[int], room: int, least: int = 4) -> list[int]:
    """Share ``room`` among columns that want so much: who wants little gets it, the rest is equal.

    No column gets less than ``least``, unless it wants less.

    >>> share([5, 20, 30], 60), share([5, 20, 30], 45), share([5, 20, 30], 25)
    ([5, 20, 30], [5, 20, 20], [5, 10, 10])
    """
    widths = [0] * len(wanted)
    left = room
    by_want = sorted(range(len(wanted)), key=wanted.__getitem__)
    for done, column in enumerate(by_want):
        fair = left // (len(wanted) - done)
        widths[column] = min(wanted[column], max(fair, least))
        left -= widths[column]
    return widths


def flow(names: Sequence[str], width: int) -> Iterator[str]:
    """Set names one after the other, as many to a line as fit; none is broken in two.

    >>> list(flow(["1 cast iron", "2 brass", "3 titanium"], 24))
    ['1 cast iron   2 brass', '3 titanium']
    """
    line = ""
    for name in names:
        longer = f"{line}{' ' * GAP}{name}" if line else name
        if line and len(longer) > width:
            yield line
            longer = name
        line = longer
    if line:
        yield line
