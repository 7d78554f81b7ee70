"""A recorded trace through the tracker that the screen uses."""

from __future__ import annotations

from dataclasses import dataclass

from cockpit.burn.aim import Aim
from cockpit.burn.calls import Call
from cockpit.burn.reading import Mark, Reading
from cockpit.burn.state import BurnState
from cockpit.burn.trace import Trace
from cockpit.burn.tracker import Tracker


@dataclass(frozen=True, slots=True)
class Replay:
    """What a replay ends with."""

    state: BurnState
    calls: tuple[Call, ...]
    rejected: int

    def as_json(self) -> dict[str, object]:
        """The object that ``replay --json`` prints; keys end in their unit."""
        state, depth = self.state, self.state.depth_mm
        return {
            "readings": state.readings,
            "rejected": self.rejected,
            "arc_s": round(state.arc_s, 3),
            "travel_mm": _mm(state.high_mm),
            "depth_mm": _mm(depth.mid if depth else None),
            "depth_low_mm": _mm(depth.low if depth else None),
            "depth_high_mm": _mm(depth.high if depth else None),
            "wear_mm": _mm(state.wear.wear_mm),
            "wear_ratio": round(state.wear.ratio, 4),
            "wear_ratio_sd": round(state.wear.ratio_sd, 4),
            "feed_mm_min": _mm(state.feed_mm_min),
            "calls": [call_json(call) for call in self.calls],
        }


def call_json(call: Call) -> dict[str, object]:
    """One call as JSON."""
    return {
        "t_s": call.t_s,
        "call": call.kind.value,
        "depth_mm": _mm(call.depth_mm),
        "text": call.text,
    }


def _mm(value: float | None) -> float | None:
    return None if value is None else round(value, 3)


def run(events: tuple[Reading | Mark, ...], aim: Aim) -> Tracker:
    """A tracker that has seen these events."""
    tracker = Tracker(aim)
    for event in events:
        tracker.take(event)
    return tracker


def replay(trace: Trace, aim: Aim) -> Replay:
    """Replay a trace; the rows that were skipped while reading count as rejected."""
    tracker = run(trace.with_arc().events, aim)
    return Replay(tracker.state(), tuple(tracker.calls), tracker.rejected + trace.skipped)
