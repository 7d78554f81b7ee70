"""A gauge on an invented burn: for the demo and the rehearsal, where there is no machine."""

from __future__ import annotations

from dataclasses import replace

from cockpit.burn.reading import MarkKind
from cockpit.burn.simulate import Scene, SimulatedBurn
from cockpit.gauges.protocol import (
    ArcHint,
    ChangeHint,
    Clock,
    GaugeStatus,
    Hint,
    HoleHint,
    Reject,
    Sample,
    StopHint,
    TouchHint,
)
from cockpit.profiles import GaugeProfile

#: The hole under the head until a hint names another.
UNTOLD = Scene(recess_mm=3.0, end_mm=18.0)
#: An invented hole has at least this much of a tool in it, mm.
LEAST_TOOL_MM = 0.1


class SimulatedGauge:
    """Readings of a ``SimulatedBurn`` at the profile's rate.

    It has no thread: draining it lets the burn catch up with the clock, so the readings depend on
    seed, hints and their times alone, not on how often it is drained. A hint takes effect with the
    next reading. While the scene has it drop out it sends nothing. Each new hole has its own burn,
    and a new electrode.
    """

    def __init__(
        self, profile: GaugeProfile, clock: Clock, seed: int = 0, scene: Scene | None = None
    ) -> None:
        self.profile = profile
        self._clock = clock
        self._seed = seed
        self._scene = scene or replace(UNTOLD, resolution_mm=profile.resolution_mm)
        self._burn = SimulatedBurn(self._scene, seed)
        self._holes = 0
        self._arc_on = False
        self._waiting: list[Sample | Reject] = []
        self._opened_s: float | None = None
        self._due = 0

    @property
    def burn(self) -> SimulatedBurn:
        """The invented burn itself, which knows the truth."""
        return self._burn

    @property
    def status(self) -> GaugeStatus:
        """LIVE while it is open."""
        return GaugeStatus.CLOSED if self._opened_s is None else GaugeStatus.LIVE

    @property
    def detail(self) -> str:
        """Nothing ever goes wrong with it."""
        return ""

    def open(self) -> None:
        """Begin to read; the burn stands still while the gauge is closed."""
        if self._opened_s is None:
            self._opened_s, self._due = self._clock(), 0

    def close(self) -> None:
        """Stop reading."""
        self._catch_up()
        self._opened_s = None

    def drain(self) -> list[Sample | Reject]:
        """The readings that fell due since the last time."""
        self._catch_up()
        drained, self._waiting = self._waiting, []
        return drained

    def hint(self, hint: Hint) -> None:
        """Be told of the hole, the arc, the stop, a touch-off or a change."""
        self._catch_up()
        match hint:
            case HoleHint():
                self._begin_hole(hint)
            case ArcHint():
                self._arc_on = hint.on
            case TouchHint():
                self._burn.to_reference() if hint.on else self._burn.to_hole()
            case StopHint():
                self._burn.set_stop(hint.travel_mm)
            case ChangeHint():
                self._burn.advance(0.0, self._arc_on)
                is_spot = hint.mark is MarkKind.SPOT
                self._burn.next_spot() if is_spot else self._burn.change_electrode()

    def _begin_hole(self, hole: HoleHint) -> None:
        self._holes += 1
        self._arc_on = False
        # What is known of a hole may contradict itself; the invented one must not.
        end_mm = max(hole.end_mm, hole.recess_mm + LEAST_TOOL_MM)
        bottom_mm = None if hole.bottom_mm is None else max(hole.bottom_mm, end_mm)
        self._scene = replace(
            self._scene, recess_mm=hole.recess_mm, end_mm=end_mm, bottom_mm=bottom_mm
        )
        self._burn = SimulatedBurn(
            self._scene, self._seed + self._holes, burnt_mm=hole.burnt_mm, wear_mm=hole.wear_mm
        )

    def _catch_up(self) -> None:
        """Let the burn run up to now, a reading each period."""
        if self._opened_s is None:
            return
        now_s, period_s = self._clock(), 1 / self.profile.rate_hz
        while (due_s := self._opened_s + (self._due + 1) * period_s) <= now_s:
            self._burn.advance(period_s, self._arc_on)
            self._due += 1
            if self._burn.is_heard:
                travel_mm = self._burn.reading_mm()
                self._waiting.append(Sample(due_s, travel_mm, f"{travel_mm:+.3f} mm"))
