"""What a plan is made from: the ticket of one hole, and the shop it will be burnt in."""

from dataclasses import dataclass, field, replace
from enum import Enum
from typing import Final, Self

from cockpit.trade.base import Frozen
from cockpit.trade.cautions import Material
from cockpit.trade.current import Machine
from cockpit.trade.electrodes import ARC_GAP_MM, Electrode, Rack
from cockpit.trade.experience import Experience, kind_named
from cockpit.trade.learning import Lesson, Like
from cockpit.trade.price import RateCard
from cockpit.trade.remnants import FluteForm, Kind
from cockpit.trade.wear import MeasurementNoise, WearPrior
from cockpit.units import Millimetres

GAP_SOURCE: Final = "the rack's profile (assumed)"


class Ticket(Frozen):
    """What was asked about one hole; lengths in mm, or as text with a unit.

    ``depth_mm`` is the print's depth, or the part's thickness where the hole goes through;
    ``recess_mm`` is how far below the surface the break sits. ``material`` may be several, with a
    ``+`` between them: what the part is made of, what it is plated with, what it held.
    """

    hole: str
    thread: str
    broken: Kind
    depth_mm: Millimetres
    recess_mm: Millimetres = 0.0
    flutes: int | None = None
    form: FluteForm = FluteForm.STRAIGHT
    web_mm: Millimetres | None = None
    hard_metal: bool = False
    through: bool = False
    sister_depth_mm: Millimetres | None = None
    tool_end_mm: Millimetres | None = None
    material: str = "unalloyed steel"
    special: bool = False

    @property
    def bottom_mm(self) -> float:
        """Where the bottom has to be reckoned with, or the far side of a through hole is, mm.

        A sister hole says how deep a blind hole is; a through hole is as deep as its part is thick.
        """
        if self.through or self.sister_depth_mm is None:
            return self.depth_mm
        return min(self.depth_mm, self.sister_depth_mm)

    @property
    def like(self) -> Like:
        """What of burns is like this one, whatever electrode it gets."""
        kind = kind_named(self.broken.value, self.hard_metal)
        return Like(kind=kind, material=self.material.casefold())


class About(Enum):
    """How a plan came to the electrode whose own wear and gap it goes by."""

    CHOSEN = "chosen, as long as it fits"
    BOUND = "chosen, whether it fits or not"
    NAMED = "named by a person"


@dataclass(frozen=True, slots=True)
class Shop:
    """What the shop has and believes, as far as a plan depends on it.

    ``noise`` is how well the wear can be measured, by the gauge that the burn is watched with.
    ``gap_mm`` and ``wear`` are those for the hole that is planned, from ``experience`` if there is
    any; ``about``: the label of the electrode that they are those of, where the plan chose it;
    ``is_bound``: no other one is to be chosen.
    """

    machine: Machine
    stock: tuple[Electrode, ...]
    materials: tuple[Material, ...]
    rates: RateCard
    gap_mm: float = ARC_GAP_MM
    wear: WearPrior = field(default_factory=WearPrior)
    noise: MeasurementNoise = field(default_factory=MeasurementNoise)
    experience: Experience = field(default_factory=Experience)
    gap_source: str = GAP_SOURCE
    about: str | None = None
    is_bound: bool = False

    @classmethod
    def of(
        cls, machine: Machine, rack: Rack, materials: tuple[Material, ...], rates: RateCard
    ) -> Self:
        """Put a shop together from its profiles; gap and wear are those of the rack."""
        experience = Experience(rack.wear, rack.gap_mm)
        return cls(
            machine,
            rack.electrodes,
            materials,
            rates,
            rack.gap_mm,
            rack.wear,
            experience=experience,
        )

    def for_hole(
        self, ticket: Ticket, label: str | None = None, about: About | None = None
    ) -> Self:
        """The same shop with the wear and the gap that it has learnt for such a hole.

        ``label``: the electrode that they are to be those of, and how it came to that.
        """
        experience, like = self.experience, ticket.like
        if label is not None:
            size_mm = next(one.diameter_mm for one in self.stock if one.label == label)
            like = like._replace(electrode_mm=size_mm)
        gap_mm, gap_source = self.gap_mm, self.gap_source
        if experience.knows(Lesson.GAP):
            gap_mm, gap_source = experience.gap_for(like)
        wear = experience.wear_for(like) if experience.knows(Lesson.WEAR) else self.wear
        learnt = replace(self, gap_mm=gap_mm, gap_source=gap_source, wear=wear)
        # One that a person named is an override, which the plan tells from its own choice.
        is_told = about is not None and about is not About.NAMED
        return replace(learnt, about=label if is_told else None, is_bound=about is About.BOUND)
