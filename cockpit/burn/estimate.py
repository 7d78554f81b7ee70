"""How deep the hole is: travel less wear, and what measuring tells of it.

Depth is never measured directly while it burns. The tip stands on the work at a travel that is the
depth plus what the electrode has lost, so each of the three follows from the other two. Mostly the
travel is seen and the wear believed. After a change of electrode, or of the spot that is burnt,
depth and wear are believed, and the travel at which the tip lands tells how right that was.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

from cockpit.burn.aim import Aim
from cockpit.burn.falls import Fall
from cockpit.burn.landing import AT_MARK_MM
from cockpit.burn.progress import Progress
from cockpit.burn.reading import MarkKind
from cockpit.burn.state import Span
from cockpit.trade.wear import Z95, Wear

#: A tip is looked for from this many sds above where it should land (assumed).
LANDING_SDS: Final = 4.0
#: How even the face of a break is, as a sd of where the next spot begins, mm (assumed: torn).
BREAK_SD_MM: Final = 1.0
#: A figure farther off than this many sds of what was to be expected contradicts it (assumed).
CONTRADICTS_SDS: Final = 5.0
#: How much an electrode that burns on unseen may lose, as a sd, and how much deeper the hole may
#: get, mm (assumed: no bound but the machine's own sets one).
UNSEEN_SD_MM: Final = 5.0
#: The least that is not known of a depth, mm.
LEAST_SD_MM: Final = 0.001


@dataclass(frozen=True, slots=True)
class Under:
    """What lies under a tip that has yet to come down: the depth of the burn and its sd, mm."""

    depth_mm: float
    sd_mm: float

    def gauged(self, depth_mm: float, sd_mm: float) -> Under:
        """The same after the hole was gauged, ``sd_mm`` being the gauge's."""
        var_mm2 = self.sd_mm**2
        gain = var_mm2 / (var_mm2 + sd_mm**2)
        sharper_mm = math.sqrt(var_mm2 * (1 - gain))
        return Under(self.depth_mm + gain * (depth_mm - self.depth_mm), sharper_mm)


class Estimate:
    """Travel and wear of one hole. Lengths mm, times s."""

    def __init__(self, aim: Aim) -> None:
        self.progress = Progress(aim.recess_mm, aim.fastest_mm_s)
        self._aim = aim
        self._under: Under | None = None
        self._ungauged: Under | None = None
        #: What the indicator showed with this electrode, when new, on the reference face.
        self.on_face_mm = 0.0
        self._wear = Wear.prior(aim.wear_mean, aim.wear_sd)
        if aim.measures_anew:
            # The indicator was zeroed as well as anybody touches off.
            self._wear = self._wear.renewed(0.0, aim.noise.touch_sd_mm)
        self._wear_unmeasured = self._wear_before_fall = self._wear
        self._measured_here: dict[MarkKind, float] = {}
        #: Whether the tip may stand deeper than it was ever seen, and how far it was seen, mm.
        self.is_unseen = False
        self._seen_mm = 0.0
        #: Whether the electrode may have lost more than anybody has measured since.
        self.wear_is_lost = False
        #: How often something told of the wear but travel: a measurement, or a tip that landed.
        self.told = 0
        # Whether anything was measured of this electrode.
        self._was_told = False
        # The sd of the wear that a way down adds, below where the work was looked for, mm.
        self._doubt_mm = 0.0
        #: New travel into material with this electrode, mm; what may yet be a fall is not in it.
        self.worn_travel_mm = 0.0
        self._new_travel_mm = 0.0

    # Burning -----------------------------------------------------------------------------------

    def burn(self, travel_mm: float, dt_s: float) -> Fall | None:
        """Take a travel, read ``dt_s`` after the one before with the arc on; tell a fall."""
        before_mm, had_landed = self.progress.high_mm, self.progress.has_landed
        new_mm = self.progress.advance(travel_mm, dt_s)
        if self.progress.high_mm != before_mm:
            self._measured_here.clear()
        if self._under is not None:
            self._look_for_landing(self._under)
        elif not had_landed:
            self._come_down(self.progress.passed_mm)
        elif new_mm > 0:
            self._wear = self._wear.travelled(new_mm)
            self._new_travel_mm += new_mm
        if self.progress.fall is not None:
            # What was fallen has worn nothing.
            self._wear, self._new_travel_mm = self._wear_before_fall, self.worn_travel_mm
        elif self.progress.is_quiet:
            self._hold()
        return self.progress.fall

    def _come_down(self, passed_mm: float) -> None:
        """The first electrode on its way down, by ``passed_mm`` below where the break should be.

        Where the break lies deeper that was air, and where it burns faster than can be thought it
        was material. So it may have worn nothing, or by the whole ratio: the variance is that of
        anything in between, seen from nothing. Without it, a touch-off would put all of that wear
        down to the little travel that is known, and the ratio would come out far too great.
        """
        before_mm = self._doubt_mm
        self._doubt_mm += self._wear.within_reason.ratio * passed_mm / math.sqrt(3)
        doubt_mm2 = self._doubt_mm**2 - before_mm**2
        self._wear = replace(self._wear, var_wear=self._wear.var_wear + doubt_mm2)
        self.told += self.progress.has_landed

    def _hold(self) -> None:
        """Whatever falls from here on, this much has been worn."""
        self._wear_before_fall, self.worn_travel_mm = self._wear, self._new_travel_mm

    def depth_at_fall_mm(self, fall: Fall) -> float:
        """The depth at which it began."""
        return max(fall.from_high_mm - self._wear.wear_mm, self._aim.recess_mm)

    # Another electrode, another spot -----------------------------------------------------------

    def change_electrode(self, on_face_mm: float) -> None:
        """Another electrode, whose tip touches the reference face at ``on_face_mm``.

        The hole is as deep as it was. The first electrode of a hole is no change.
        """
        high_mm, wear = self.contact()
        self._wear = wear.renewed(on_face_mm, self._aim.noise.touch_sd_mm)
        self.on_face_mm = on_face_mm
        self._was_told = False
        self._doubt_mm = 0.0
        self.worn_travel_mm = self._new_travel_mm = 0.0
        self.wear_is_lost = False
        self._begin_measuring()
        if high_mm is not None:
            self._await(Under(wear.depth_mm(high_mm), wear.sd_mm))
            self._seen_mm = wear.depth_mm(high_mm) + on_face_mm
        else:
            start_mm = self._aim.recess_mm + on_face_mm
            self.progress = Progress(start_mm, self._aim.fastest_mm_s)

    def change_spot(self) -> None:
        """Another spot: the burn begins at the break again, with the electrode as it is."""
        high_mm, _ = self.contact()
        if high_mm is not None:
            self.is_unseen = False
            self._await(Under(self._aim.recess_mm, BREAK_SD_MM))

    def lose_sight(self) -> None:
        """Nobody looks any more, and the arc burns on: hole and wear may be more than was seen.

        What the electrode has lost by then is measured, and the tip that lands tells the rest.
        """
        high_mm, _ = self.contact()
        self._seen_mm = self._aim.recess_mm + self.on_face_mm if high_mm is None else high_mm
        self.is_unseen = self.wear_is_lost = True
        self._await(self._seen())

    def _seen(self) -> Under:
        """The hole as deep as the tip was seen at least, with the wear that is believed now."""
        depth_mm = max(self._wear.depth_mm(self._seen_mm), self._aim.recess_mm)
        return Under(depth_mm, max(self._wear.sd_mm, LEAST_SD_MM))

    def _await(self, under: Under) -> None:
        """The tip is to come down on this, through what is burnt already, which wears nothing."""
        self._ungauged = under
        self._begin_measuring()
        self._look_out_for(under)

    def _look_out_for(self, under: Under) -> None:
        self._under = under
        sd_mm = math.hypot(under.sd_mm, self._wear.sd_mm)
        lands_at_mm = under.depth_mm + self._wear.wear_mm
        self.progress.expect_landing(lands_at_mm - LANDING_SDS * sd_mm - AT_MARK_MM)

    def _look_for_landing(self, under: Under) -> None:
        """Where the tip stands, depth and wear add up to the travel."""
        if self.progress.has_landed and self.progress.high_mm is not None:
            self._under = None
            if self.is_unseen:
                self._land_unseen(self.progress.high_mm)
                return
            self.wear_is_lost = False
            worn_mm = self.progress.high_mm - under.depth_mm
            sd_mm = max(under.sd_mm, LEAST_SD_MM)
            off_mm = abs(worn_mm - self._wear.wear_mm)
            # Where the depth turns out to be another, the tip that stands there is believed.
            if off_mm <= CONTRADICTS_SDS * math.hypot(self._wear.sd_mm, sd_mm):
                self._wear = self._wear.measured(worn_mm, sd_mm)
            self.told += 1
            self._begin_measuring()

    def _land_unseen(self, high_mm: float) -> None:
        """The tip stands where nobody saw it come to: depth is what it came less the wear."""
        if self.wear_is_lost and high_mm > self._seen_mm:
            # Nobody has measured what it lost on the way.
            self._wear = self._wear.travelled(high_mm - self._seen_mm)
        self._new_travel_mm += max(0.0, high_mm - self._seen_mm)
        self.is_unseen = self.wear_is_lost = False
        self.told += 1
        self._begin_measuring()

    # Measuring ---------------------------------------------------------------------------------

    def measure(self, kind: MarkKind, value_mm: float) -> None:
        """Take a touch-off, a length lost or a depth gauged."""
        high_mm = self.progress.high_mm
        if kind is MarkKind.DEPTH and self._under is not None:
            if self.is_unseen:
                # It may be any deeper than it was seen: the gauge alone is believed.
                self.is_unseen = False
                self._ungauged = Under(value_mm, UNSEEN_SD_MM)
                self._look_out_for(self._ungauged)
            under = self._ungauged if self._aim.measures_anew and self._ungauged else self._under
            self._under = under.gauged(value_mm, self._noise_mm(kind))
            return
        if kind is MarkKind.WEAR:
            value_mm += self.on_face_mm
        if kind is MarkKind.DEPTH:
            if high_mm is None:
                return
            value_mm = high_mm - value_mm
        if self.wear_is_lost:
            # What it came unseen is in no travel, so the wear says nothing of the ratio.
            self._wear = replace(self._wear, var_wear=UNSEEN_SD_MM**2, cov=0.0)
            self.wear_is_lost = False
        if not self._measured_here:
            self._wear_unmeasured = self._wear
        self._wear = self._told(self.wear_without(kind), value_mm, self._noise_mm(kind))
        self._was_told = True
        self._doubt_mm = 0.0
        self._measured_here[kind] = value_mm
        self._hold()
        self.told += 1
        if self.is_unseen:
            self._ungauged = self._seen()
            self._look_out_for(self._ungauged)

    def _told(self, wear: Wear, wear_mm: float, sd_mm: float) -> Wear:
        """The belief after a measurement, which may contradict one before.

        Then one of the two is wrong, and the new one was looked at twice: the wear is as measured,
        and of the ratio nothing is known but what the plan believed.
        """
        told = wear.measured(wear_mm, sd_mm)
        if not self._aim.measures_anew:
            return told
        if self._was_told and abs(wear_mm - wear.wear_mm) > CONTRADICTS_SDS * math.hypot(
            wear.sd_mm, sd_mm
        ):
            aim = self._aim
            told = Wear(wear_mm, aim.wear_mean, told.var_wear, 0.0, aim.wear_sd * aim.wear_sd)
        return told.within_reason

    def contact_without(self, kind: MarkKind) -> tuple[float | None, Wear]:
        """``contact`` as it would be without a measurement of this kind at this travel."""
        high_mm, wear = self.contact()
        if self._under is None:
            return high_mm, self.wear_without(kind)
        if kind is not MarkKind.DEPTH or high_mm is None:
            return high_mm, self._wear
        under = self._ungauged or self._under
        worn_mm = high_mm - under.depth_mm
        return high_mm, replace(wear, wear_mm=worn_mm, var_wear=under.sd_mm**2)

    def wear_without(self, kind: MarkKind) -> Wear:
        """What is believed of the wear without a measurement of this kind at this travel.

        A second one takes the place of the first: it was measured again because the first was
        doubted, so the two are not averaged.
        """
        if not self._measured_here or not self._aim.measures_anew:
            return self._wear
        wear = self._wear_unmeasured
        for other, wear_mm in self._measured_here.items():
            if other is not kind:
                wear = self._told(wear, wear_mm, self._noise_mm(other))
        return wear

    def _begin_measuring(self) -> None:
        """What was measured before holds for another travel."""
        self._measured_here.clear()
        self._wear_unmeasured = self._wear
        self._hold()

    def _noise_mm(self, kind: MarkKind) -> float:
        noise = self._aim.noise
        match kind:
            case MarkKind.TOUCH:
                return noise.touch_sd_mm
            case MarkKind.WEAR:
                return noise.length_sd_mm
            case _:
                return noise.gauged_sd_mm

    @property
    def wear(self) -> Wear:
        """What is believed of the wear of this electrode."""
        return self._wear

    @property
    def travelled_mm(self) -> float:
        """New travel into material with this electrode, with what may yet turn out to be a fall."""
        return self._new_travel_mm

    @property
    def is_landed(self) -> bool:
        """Whether the tip has stood on the work since electrode or spot were changed."""
        return self._under is None

    # What is believed --------------------------------------------------------------------------

    def contact(self) -> tuple[float | None, Wear]:
        """The travel at which the tip stands on the work, and the wear that goes with it.

        Depth is the one less the other. None before anything was burnt. Until a tip that is awaited
        has landed, its travel is as uncertain as the depth: the wear's variance stands for that.
        """
        if self._under is None:
            return self.progress.high_mm, self._wear
        high_mm = self._under.depth_mm + self._wear.wear_mm
        return high_mm, replace(self._wear, var_wear=self._under.sd_mm**2, cov=0.0)

    def depth(self) -> Span | None:
        """Depth and its 95 % interval."""
        high_mm, wear = self.contact()
        if high_mm is None:
            return None
        mid_mm, half_mm = wear.depth_mm(high_mm), Z95 * wear.sd_mm
        return Span(*(self.possible(mid_mm + off_mm) for off_mm in (-half_mm, 0.0, half_mm)))

    def possible(self, depth_mm: float) -> float:
        """The nearest depth that can be: not above the break, nor below what has lost nothing."""
        depth_mm = max(depth_mm, self._aim.recess_mm)
        if self._under is not None or self.progress.high_mm is None:
            return depth_mm
        return min(depth_mm, self.progress.high_mm - self.on_face_mm)
