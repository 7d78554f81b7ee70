"""An invented burn: what a head, an electrode and a broken tool do, so that nothing has to burn.

The demo, the rehearsal, the tests and the gauge simulator all watch this one. It is pure: time is
passed in, chance comes from the seed, and the truth does not depend on how often it is looked at.

The head hangs over the hole. With the arc on it comes down to the break and burns: the feed wanders
slowly about its mean, the electrode wears, every so often the head lifts to clear and returns fast.
Where the broken tool ends the electrode falls through, and then rests or meets the bottom of the
hole. On a depth stop, if one is set, the head rests whatever is under the tip. With the arc off the
tip stays where it is for a moment and then lifts clear; the electrode can be changed, and the head
moved to another spot. The scene can make all this harder than life: soft layers, a fall at the pace
of a hand, a gauge with spikes and drop-outs.

Zero of the indicator: the tip of a new electrode on the reference face, which is the part's
surface. Positive is down. All figures here are assumed: they look like a burn, and they are
nobody's machine.
"""

from __future__ import annotations

import math
from collections import deque
from enum import Enum
from itertools import pairwise
from random import Random

from cockpit.burn.scene import Scene
from cockpit.burn.simulate_chance import DropOuts, SoftLayers, Spikes, Wander

__all__ = ["Scene", "SimulatedBurn"]

#: How fast the head comes down to the work with the arc on, mm/s.
APPROACH_MM_S = 2.0
#: How fast the head is moved by hand with the arc off, mm/s.
HAND_MM_S = 10.0
#: With the arc off the tip stays in contact for this long, s, and then lifts by this much, mm.
REST_S = 0.3
CLEAR_MM = 5.0
#: Feed and wear ratio are drawn anew after each such stretch of burning, s.
STRETCH_S = 0.5
#: How long the feed remembers what it was, s.
FEED_MEMORY_S = 15.0
#: The speed of an uneven fall is drawn anew so often, s, and remembers what it was for so long, s.
FALL_STRETCH_S = 0.05
FALL_MEMORY_S = 0.3
#: A burn's own feed is taken over this much burning, s.
OWN_FEED_S = 20.0
#: What is left of the vibration with the arc off.
IDLE_VIBRATION = 0.1
#: A lift to clear: the share of its time spent going up, and coming back.
LIFT_UP, LIFT_DOWN = 0.4, 0.25
#: Two points of time (s) or of depth (mm) closer than this are the same.
_TINY = 1e-9


class _Path:
    """A length over time that never goes back, straight between its corners.

    ``kept_s``: what is older than this before the last corner may be forgotten.
    """

    def __init__(self, kept_s: float = math.inf) -> None:
        self._corners: deque[tuple[float, float]] = deque()
        self._kept_s = kept_s

    def turn(self, at_s: float, mm: float) -> None:
        """From here on the path may go by another speed."""
        self._corners.append((at_s, mm))
        while len(self._corners) > 1 and self._corners[1][0] <= at_s - self._kept_s:
            self._corners.popleft()

    @property
    def begins_s(self) -> float:
        """When it begins; infinity if it has not."""
        return self._corners[0][0] if self._corners else math.inf

    def mm_at(self, at_s: float) -> float:
        """The length at a time between its first corner and its last."""
        for (from_s, from_mm), (to_s, to_mm) in pairwise(self._corners):
            if at_s < to_s:
                return from_mm + (to_mm - from_mm) * (at_s - from_s) / (to_s - from_s)
        return self._corners[-1][1]

    def s_at(self, mm: float) -> float:
        """When it came to a length, at least its first; infinity if it has not."""
        for (from_s, from_mm), (to_s, to_mm) in pairwise(self._corners):
            if mm <= to_mm:
                part = (mm - from_mm) / (to_mm - from_mm) if to_mm > from_mm else 0.0
                return from_s + (to_s - from_s) * part
        return math.inf


class _Under(Enum):
    """What the tip has under it at the bottom of the burn."""

    SOLID = "solid"
    AIR = "air"
    NOTHING_MORE = "nothing more: the head rests"


class SimulatedBurn:
    """The burning of one hole, from the first approach on.

    Truth at any moment, all mm: ``travel_mm`` is where the head is (a reading without noise),
    ``depth_mm`` the deepest the tip has been in the hole, ``wear_mm`` the electrode length lost,
    and ``depth_mm`` is always the high-water travel less ``wear_mm``, since the electrode or the
    spot was last changed. Touching off reads ``wear_mm``: a worn electrode has to come that much
    further down to touch the face. Times are the burn's own, s since it began.

    >>> burn = SimulatedBurn(Scene(recess_mm=3, end_mm=18), seed=1)
    >>> burn.advance(60.0, arc_on=True)
    >>> 5 < burn.depth_mm < 7, burn.fallen
    (True, False)
    """

    def __init__(
        self,
        scene: Scene,
        seed: int = 0,
        *,
        burnt_mm: float | None = None,
        wear_mm: float = 0.0,
    ) -> None:
        """``burnt_mm`` and ``wear_mm``: depth and wear of a burn that goes on, not of a new one."""
        self.scene = scene
        self._chance = Random(f"burn {seed}")
        self._noise = Random(f"noise {seed}")
        self._soft_chance = Random(f"soft {seed}")
        self._fall_chance = Random(f"fall {seed}")
        self._spikes = Spikes(scene, Random(f"spikes {seed}"))
        self._drop_outs = DropOuts(scene, Random(f"drop-outs {seed}"))
        self._t_s = 0.0
        self._arc_on = False
        self._at_reference = False
        self._depth_mm = max(scene.recess_mm, burnt_mm or 0.0)
        self._wear_mm = wear_mm
        self._stop_mm = math.inf
        self._travel_mm = self._contact_mm - CLEAR_MM
        self._rest_left_s = 0.0
        self._lifting_s: float | None = None
        self._lift_due_s = self._next_lift_s()
        self._stall_left_s = 0.0
        self._ratio = scene.wear_ratio
        self._log_feed = Wander(scene.feed_noise, FEED_MEMORY_S, STRETCH_S, self._chance)
        self._stretch_left_s = STRETCH_S
        self._stretch_began_mm = self._contact_mm
        self._burning_s = self._burnt_mm = 0.0
        self._burnt = _Path(OWN_FEED_S)
        self._burnt.turn(0.0, 0.0)
        self._begin_spot()

    def _begin_spot(self) -> None:
        """Take the hole as one where all is still to come: layers, a stall, the fall."""
        scene = self.scene
        self._layers = SoftLayers(scene, self._soft_chance)
        self._stall_due_mm = math.inf if scene.stall_at_mm is None else scene.stall_at_mm
        self._log_fall = Wander(scene.fall_noise, FALL_MEMORY_S, FALL_STRETCH_S, self._fall_chance)
        self._fall_stretch_left_s = FALL_STRETCH_S if scene.fall_noise else math.inf
        self._falling = _Path()
        self._survey()

    # The truth ---------------------------------------------------------------------------------

    @property
    def t_s(self) -> float:
        """The burn's own time: all that it was advanced, s."""
        return self._t_s

    @property
    def travel_mm(self) -> float:
        """Where the head is: what a perfect indicator would read, mm."""
        return self._travel_mm

    @property
    def depth_mm(self) -> float:
        """The deepest the tip has been below the surface, mm."""
        return self._depth_mm

    @property
    def wear_mm(self) -> float:
        """Electrode length lost so far, mm."""
        return self._wear_mm

    @property
    def wear_ratio(self) -> float:
        """Electrode lost per millimetre of travel into material, as it is now."""
        return self._ratio

    @property
    def feed_mm_s(self) -> float:
        """Feed of depth that the arc gives where the tip is, mm/s; lifts and stalls apart."""
        return self._feed_mm_s

    @property
    def own_feed_mm_s(self) -> float:
        """Mean feed of travel over the last 20 s of burning, or as many as there were, mm/s.

        Burning is what the tip does on solid: a stall is, a lift, an approach and a fall are not.
        0 before there was any.
        """
        since_s = max(0.0, self._burning_s - OWN_FEED_S)
        burning_s = self._burning_s - since_s
        if burning_s <= _TINY:
            return 0.0
        return (self._burnt_mm - self._burnt.mm_at(since_s)) / burning_s

    @property
    def fallen(self) -> bool:
        """Whether the electrode has come through the end of the broken tool into the open."""
        return self.scene.floor_mm > self.scene.end_mm and self._depth_mm >= self.scene.end_mm

    @property
    def fell_at_s(self) -> float:
        """When the fall at this spot began, s; infinity before."""
        return self._falling.begins_s

    def fall_shown_s(self, fall_mm: float) -> float:
        """When the tip had passed ``fall_mm`` (mm, at least 0) beyond the tool's end in its fall.

        Seconds, infinity before. It is exact, however seldom time was advanced.
        """
        return self._falling.s_at(self.scene.end_mm + fall_mm)

    @property
    def is_heard(self) -> bool:
        """Whether the gauge is heard now, or one of the scene's drop-outs is on."""
        return self._drop_outs.hears(self._t_s)

    # What happens ------------------------------------------------------------------------------

    def advance(self, dt_s: float, arc_on: bool) -> None:
        """Let ``dt_s`` seconds pass with the arc on or off. Raises ValueError for a time < 0."""
        if not 0 <= dt_s < math.inf:
            raise ValueError(f"Time must go forward by a finite step, not by {dt_s} s.")
        if arc_on != self._arc_on:
            self._switch_arc(arc_on)
        step = self._burning_step if arc_on else self._idle_step
        end_s, left_s = self._t_s + dt_s, dt_s
        while left_s > _TINY:
            left_s -= step(left_s)
            self._t_s = end_s - left_s
        self._t_s = end_s

    def to_reference(self) -> None:
        """With the arc off, send the head to where the tip touches the reference face.

        It gets there at ``HAND_MM_S`` as time passes, and then the indicator reads the wear.
        """
        self._at_reference = True

    def to_hole(self) -> None:
        """Send the head back over the hole, clear of the work."""
        self._at_reference = False

    def change_electrode(self) -> None:
        """Put in a new electrode and zero the indicator with its tip on the reference face.

        Then the head goes back over the hole as time passes. Raises ValueError with the arc on.
        """
        self._refuse_with_arc_on("change the electrode")
        self._stretch_began_mm -= self._wear_mm  # the zero has moved, and nothing was burnt
        self._wear_mm = 0.0
        self._travel_mm = 0.0
        self._rest_left_s = 0.0

    def set_stop(self, travel_mm: float) -> None:
        """Set the depth stop: the arc brings the head no further down than this travel, mm."""
        self._stop_mm = travel_mm

    def next_spot(self) -> None:
        """Move the head aside, to where the break has not been burnt yet.

        The head is raised at once by no more than it takes for the tip to be out of the old hole,
        and then lifts clear as time passes. Raises ValueError with the arc on.
        """
        self._refuse_with_arc_on("move to the next spot")
        self._stretch_began_mm -= self._depth_mm - self.scene.recess_mm  # nothing was burnt
        self._depth_mm = self.scene.recess_mm
        self._travel_mm = min(self._travel_mm, self._contact_mm)
        self._rest_left_s = 0.0
        self._at_reference = False
        self._begin_spot()

    def stall(self) -> None:
        """Let nothing advance on solid any more, until the arc goes off."""
        self._turn()
        self._stall_left_s = math.inf

    def spike(self, off_mm: float) -> None:
        """Have the next reading off by ``off_mm``. Raises ValueError for what is no length."""
        self._spikes.ask(off_mm)

    def reading_mm(self) -> float:
        """What the indicator shows now: travel with vibration, in steps of its resolution, mm.

        A spike spoils one reading. Whether the reading is heard, ``is_heard`` says.
        """
        sd_mm = self.scene.vibration_mm * (1.0 if self._arc_on else IDLE_VIBRATION)
        shaken_mm = self._travel_mm + self._noise.gauss(0.0, sd_mm)
        shaken_mm += self._spikes.off_mm(self._t_s)
        step_mm = self.scene.resolution_mm
        return round(round(shaken_mm / step_mm) * step_mm, 6) if step_mm else shaken_mm

    # Arc off -----------------------------------------------------------------------------------

    def _switch_arc(self, on: bool) -> None:
        self._arc_on = on
        self._lifting_s = None
        if on:
            self._at_reference = False
        else:
            self._rest_left_s = REST_S
            self._stall_left_s = 0.0
            self._turn()

    def _refuse_with_arc_on(self, what: str) -> None:
        if self._arc_on:
            raise ValueError(f"Nobody can {what} with the arc on.")

    def _idle_step(self, left_s: float) -> float:
        if self._rest_left_s > _TINY and not self._at_reference:
            used_s = min(left_s, self._rest_left_s)
            self._rest_left_s -= used_s
            return used_s
        goal_mm = self._wear_mm if self._at_reference else self._contact_mm - CLEAR_MM
        return self._move(goal_mm, HAND_MM_S, left_s)

    def _move(self, goal_mm: float, speed_mm_s: float, left_s: float) -> float:
        """Move the head towards a travel; return the time it took, all of it when it is there."""
        way_mm = goal_mm - self._travel_mm
        needed_s = abs(way_mm) / speed_mm_s
        if needed_s > left_s:
            self._travel_mm += math.copysign(speed_mm_s * left_s, way_mm)
            return left_s
        self._travel_mm = goal_mm
        return needed_s if needed_s > _TINY else left_s

    # Arc on ------------------------------------------------------------------------------------

    @property
    def _contact_mm(self) -> float:
        """The travel at which the tip touches the bottom of the burn: the high-water mark."""
        return self._depth_mm + self._wear_mm

    def _burning_step(self, left_s: float) -> float:
        if self._lifting_s is not None:
            return self._lift(self._lifting_s, left_s)
        lowest_mm = min(self._contact_mm, self._stop_mm)
        if self._travel_mm < lowest_mm - _TINY:
            return self._move(lowest_mm, APPROACH_MM_S, left_s)
        if self._contact_mm >= self._stop_mm - _TINY:
            return left_s
        if self._under is _Under.SOLID:
            return self._burn(left_s)
        return self._fall(left_s) if self._under is _Under.AIR else left_s

    def _survey(self) -> None:
        """See what lies under the tip, how it burns, and down to which depth it stays so."""
        depth_mm, scene = self._depth_mm, self.scene
        if depth_mm < scene.end_mm:
            self._under = _Under.SOLID
        elif depth_mm < scene.floor_mm:
            self._under = _Under.AIR
        else:
            self._under = _Under.SOLID if scene.solid_under_floor else _Under.NOTHING_MORE
        times, layer_mm = self._layers.at(depth_mm)
        changes_mm = (scene.end_mm, self._stall_due_mm, layer_mm)
        self._change_mm = min((mm for mm in changes_mm if mm > depth_mm), default=math.inf)
        # The log-normal's mean, not its median, is the scene's feed.
        tilt = self._log_feed.value - scene.feed_noise**2 / 2
        self._feed_mm_s = scene.feed_mm_min / 60 * math.exp(tilt) * times

    def _burn(self, left_s: float) -> float:
        """Burn until the first of: time is up, a stretch is over, a lift, a change, the stop."""
        change_s = self._stall_left_s or (self._change_mm - self._depth_mm) / self._feed_mm_s
        used_s = min(left_s, self._stretch_left_s, self._lift_due_s, change_s)
        if not self._stall_left_s:
            travel_mm_s = self._feed_mm_s / (1 - self._ratio)
            used_s = min(used_s, (self._stop_mm - self._contact_mm) / travel_mm_s)
        self._burning_s += used_s
        if not self._stall_left_s:
            self._deepen(self._feed_mm_s * used_s)
        elif used_s == change_s:
            self._stall_left_s = 0.0
            self._turn()
        else:
            self._stall_left_s -= used_s
        self._stretch_left_s -= used_s
        self._lift_due_s -= used_s
        if self._stretch_left_s <= _TINY:
            self._begin_stretch()
        if self._lift_due_s <= _TINY:
            self._lifting_s = 0.0
        return used_s

    def _deepen(self, gained_mm: float) -> None:
        """Burn away ``gained_mm`` of depth; the electrode loses its part of the travel."""
        worn_mm = gained_mm * self._ratio / (1 - self._ratio)
        self._depth_mm += gained_mm
        self._wear_mm += worn_mm
        self._burnt_mm += gained_mm + worn_mm
        if self._depth_mm >= self._change_mm - _TINY:
            self._depth_mm = self._change_mm
            if self._depth_mm == self._stall_due_mm:
                self._stall_due_mm, self._stall_left_s = math.inf, self.scene.stall_s
            self._survey()
            self._turn()
        self._travel_mm = self._depth_mm + self._wear_mm

    def _turn(self) -> None:
        """Note that the feed may be another from here on."""
        self._burnt.turn(self._burning_s, self._burnt_mm)

    def _fall(self, left_s: float) -> float:
        """Fall until the first of: time is up, the speed changes, the floor or the stop."""
        speed_mm_s = self.scene.fall_mm_s * math.exp(self._log_fall.value)
        needed_s = (self.scene.floor_mm - self._depth_mm) / speed_mm_s
        to_stop_s = (self._stop_mm - self._contact_mm) / speed_mm_s
        used_s = min(left_s, self._fall_stretch_left_s, needed_s, to_stop_s)
        self._falling.turn(self._t_s, self._depth_mm)
        if used_s == needed_s:
            self._depth_mm = self.scene.floor_mm
            self._survey()
        else:
            self._depth_mm += speed_mm_s * used_s
        self._falling.turn(self._t_s + used_s, self._depth_mm)
        self._travel_mm = self._contact_mm
        self._fall_stretch_left_s -= used_s
        if self._fall_stretch_left_s <= _TINY:
            self._log_fall.step()
            self._fall_stretch_left_s = FALL_STRETCH_S
        return used_s

    def _lift(self, lifted_s: float, left_s: float) -> float:
        """Up, a pause at the top, and fast back to the mark."""
        used_s = min(left_s, self.scene.lift_s - lifted_s)
        self._lifting_s = lifted_s + used_s
        share = self._lifting_s / self.scene.lift_s
        height = max(0.0, min(share / LIFT_UP, 1.0, (1.0 - share) / LIFT_DOWN))
        self._travel_mm = self._contact_mm - self.scene.lift_mm * height
        if self._lifting_s >= self.scene.lift_s - _TINY:
            self._travel_mm = self._contact_mm
            self._lifting_s = None
            self._lift_due_s = self._next_lift_s()
        return used_s

    # Chance ------------------------------------------------------------------------------------

    def _begin_stretch(self) -> None:
        """Draw feed and wear ratio (a random walk) for what comes."""
        self._log_feed.step()
        gone_mm = self._contact_mm - self._stretch_began_mm
        drifted = self._ratio + self._chance.gauss(0.0, self.scene.wear_drift) * math.sqrt(gone_mm)
        self._ratio = min(max(drifted, 0.0), 0.9)
        self._stretch_left_s = STRETCH_S
        self._stretch_began_mm = self._contact_mm
        self._survey()
        self._turn()

    def _next_lift_s(self) -> float:
        return self.scene.lift_every_s * self._chance.uniform(0.8, 1.2)
