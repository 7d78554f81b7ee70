"""What a side section shows, and the levels that are pointed out in it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace

from cockpit.units import LengthUnit, write_length
from cockpit.widgets.picture import Ink

# A tool that ends this near to the target ends at the target.
_SAME_MM = 0.05


@dataclass(frozen=True, slots=True)
class SideView:
    """A hole cut open. Lengths in millimetres, depths from the part's surface, positive down.

    ``recess_mm``: depth of the break. ``tip_mm``: depth of the burn so far, somewhere between
    ``low_mm`` and ``high_mm``; None before there is a burn. ``tip``: what that level is called:
    the tip stands there only while it burns. ``pilot_mm``: how deep the pilot burn that is going on
    is to be. ``stop_mm``: where the tip is believed
    to stand with the head on the depth stop. ``limit_mm``: None for a through hole. ``bottom_mm``:
    bottom of the hole, or the far side of a part it goes through; None when nobody knows.
    ``unit``: what the figures are written in.

    ``stops_mm``: the same for the ladder of stops; those deeper than ``stop_mm`` are still to come,
    and the first is ``stop_mm`` when that is None. ``tool_end_mm``: where the tool ends; the
    target when None.

    Diameters: ``bore_mm`` of the hole at the surface, ``lower_bore_mm`` at the target when it is
    another, ``hole_mm`` of the burn, ``web_mm``, ``electrode_mm``. Without ``bore_mm`` the drawing
    is a sketch across. ``offset_mm``: how far right of the hole's axis the burn's stands at the
    surface, in the plane of the drawing; None as long as nobody looked. ``lean``: how much further
    right it gets with depth, mm per mm.

    ``marks``: what stands behind the figure of a level, by its name.
    """

    recess_mm: float
    target_mm: float
    through: bool
    unit: LengthUnit = LengthUnit.MM
    tip_mm: float | None = None
    low_mm: float | None = None
    high_mm: float | None = None
    stop_mm: float | None = None
    limit_mm: float | None = None
    bottom_mm: float | None = None
    stops_mm: tuple[float, ...] = ()
    tool_end_mm: float | None = None
    bore_mm: float | None = None
    hole_mm: float | None = None
    web_mm: float | None = None
    electrode_mm: float | None = None
    lower_bore_mm: float | None = None
    offset_mm: float | None = None
    lean: float = 0.0
    tip: str = "tip"
    pilot_mm: float | None = None
    marks: Mapping[str, str] = field(default_factory=dict)

    @property
    def end_mm(self) -> float:
        """The depth where the tool ends."""
        return self.target_mm if self.tool_end_mm is None else self.tool_end_mm

    @property
    def set_stop_mm(self) -> float | None:
        """The depth that the depth stop lets the tip come to, or will first."""
        return self.stop_mm if self.stop_mm is not None or not self.stops_mm else self.stops_mm[0]

    @property
    def burn_mm(self) -> tuple[float, float] | None:
        """The depths that the burn goes from and to: as it is, or as it would be where it stands.

        None when there is nothing to be drawn as burnt.
        """
        if self.tip_mm is None and self.offset_mm is None:
            return None
        end_mm = self.target_mm if self.tip_mm is None else self.tip_mm
        return (self.recess_mm, end_mm) if end_mm > self.recess_mm else None

    def bore_at_mm(self, depth_mm: float) -> float:
        """The diameter of the hole at a depth: the same all the way, or narrowing evenly."""
        bore_mm = self.bore_mm or 0.0
        if self.lower_bore_mm is None or self.target_mm <= 0:
            return bore_mm
        return bore_mm + (self.lower_bore_mm - bore_mm) * depth_mm / self.target_mm

    def shift_at_mm(self, depth_mm: float) -> float:
        """How far right of the hole's axis the burn's stands at a depth."""
        return (self.offset_mm or 0.0) + self.lean * depth_mm

    def worst_wall(self) -> Worst | None:
        """Where the burn comes nearest to the wall, and what is left there; negative in the wall.

        None when there is no burn, or no diameters to judge by.
        """
        if self.bore_mm is None:
            return None
        return self._worst(lambda at_mm, hole_mm: self.bore_at_mm(at_mm) - hole_mm)

    def worst_web(self) -> Worst | None:
        """Where the burn reaches least past the web, and how far; negative when web is left.

        None when there is no burn, no web, or no diameters to judge by.
        """
        web_mm = self.web_mm
        if web_mm is None or self.bore_mm is None:
            return None
        return self._worst(lambda _, hole_mm: hole_mm - web_mm)

    def _worst(self, room_mm: Callable[[float, float], float]) -> Worst | None:
        """All is straight, so the worst is at an end of the burn; ``room_mm`` is on both sides."""
        if self.burn_mm is None or self.hole_mm is None:
            return None
        places = [
            Worst(at_mm, room_mm(at_mm, self.hole_mm) / 2 - abs(self.shift_at_mm(at_mm)))
            for at_mm in self.burn_mm
        ]
        return min(places, key=lambda place: place.left_mm)

    def drawable(self) -> SideView:
        """The same view with every diameter that the drawing needs, made up where not known."""
        if self.bore_mm is None:
            known = replace(self, bore_mm=2.0, hole_mm=1.0, electrode_mm=1.0, web_mm=None)
            kept = None if self.offset_mm is None else 0.0
            return replace(known, lower_bore_mm=None, offset_mm=kept, lean=0.0)
        hole_mm = self.hole_mm or self.electrode_mm or self.bore_mm / 2
        return replace(self, hole_mm=hole_mm, electrode_mm=self.electrode_mm or hole_mm)

    @property
    def deepest_mm(self) -> float:
        """The depth of the deepest thing to be shown; of the stops, only the first counts."""
        return max(level.depth_mm for level in self.levels if level.ink is not Ink.LATER)

    @property
    def levels(self) -> tuple[Level, ...]:
        """The levels to be pointed out, from the surface down."""
        # A mark is hung behind the column, so that the figures stay under each other.
        hung = max(map(len, self.marks.values()), default=0)
        levels = (
            Level(
                name,
                depth_mm,
                ink,
                write_length(depth_mm, self.unit, with_unit=False)
                + self.marks.get(name, "").ljust(hung),
            )
            for name, depth_mm, ink in self._named()
            if depth_mm is not None
        )
        return tuple(sorted(levels, key=lambda level: level.depth_mm))

    def _named(self) -> Iterator[tuple[str, float | None, Ink]]:
        yield "surface", 0.0, Ink.LABEL
        yield "break", self.recess_mm, Ink.LABEL
        yield self.tip, self.tip_mm, Ink.TIP
        yield "pilot", self.pilot_mm, Ink.TARGET
        yield "target", self.target_mm, Ink.TARGET
        if abs(self.end_mm - self.target_mm) > _SAME_MM:
            yield "tool end", self.end_mm, Ink.LABEL
        yield "limit", self.limit_mm, Ink.LIMIT
        yield "far side" if self.through else "bottom", self.bottom_mm, Ink.LABEL
        set_mm = self.set_stop_mm
        yield "at stop", set_mm, Ink.STOP
        for number, stop_mm in enumerate(self.stops_mm, start=1):
            if set_mm is not None and stop_mm > set_mm:
                yield f"at stop {number}", stop_mm, Ink.LATER


@dataclass(frozen=True, slots=True)
class Worst:
    """The depth where a burn leaves least, and what it leaves there."""

    depth_mm: float
    left_mm: float


@dataclass(frozen=True, slots=True)
class Level:
    """A depth with a name. ``figure``: the depth as the operator reads it, without its unit."""

    name: str
    depth_mm: float
    ink: Ink
    figure: str
