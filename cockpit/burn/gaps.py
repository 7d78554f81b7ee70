"""When the arc was on and nothing was read: what nobody saw is never told as if it had been."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from statistics import median

from cockpit.burn.gate import SILENT_PERIODS, SILENT_S
from cockpit.burn.reading import STOPPING, Mark, MarkKind, Reading


def gaps(events: Sequence[Reading | Mark]) -> Iterator[tuple[float, float]]:
    """The spans of arc time (s) in which a gauge that sends by itself was silent.

    Each from the last reading, or the start of the arc, to the next reading, or its stop; silent is
    what the call of that name means by it.

    >>> at = [0.0, 0.1, 0.2, 0.3, 5.3]
    >>> list(gaps([Mark(0.0, MarkKind.START), *(Reading(t_s, 1.0) for t_s in at)]))
    [(0.3, 5.3)]
    """
    patience_s = _patience_s([event.t_s for event in events if isinstance(event, Reading)])
    arc_s = heard_s = 0.0
    is_on = False
    for event in events:
        if is_on and (isinstance(event, Reading) or event.kind in STOPPING):
            passed_s = event.t_s - heard_s
            if passed_s > patience_s:
                yield arc_s, arc_s + passed_s
            arc_s, heard_s = arc_s + passed_s, event.t_s
        if isinstance(event, Mark) and event.kind in {MarkKind.START, *STOPPING}:
            is_on, heard_s = event.kind is MarkKind.START, event.t_s


def arc_time_s(events: Sequence[Reading | Mark]) -> float:
    """The arc time in these events, s; a burn that is not ended counts to the last of them.

    >>> arc_time_s([Mark(2.0, MarkKind.START), Reading(3.0, 1.0), Mark(4.5, MarkKind.STOP)])
    2.5
    """
    arc_s, since_s = 0.0, None
    for event in events:
        if isinstance(event, Mark) and event.kind is MarkKind.START and since_s is None:
            since_s = event.t_s
        elif isinstance(event, Mark) and event.kind in STOPPING and since_s is not None:
            arc_s, since_s = arc_s + event.t_s - since_s, None
    return arc_s if since_s is None else arc_s + events[-1].t_s - since_s


def _patience_s(read_s: Sequence[float]) -> float:
    periods_s = [after_s - before_s for before_s, after_s in pairwise(read_s)]
    return max(SILENT_S, SILENT_PERIODS * median(periods_s or [0.0]))
