"""The cautions to show: general practice. The shop's rules and local codes come first."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from cockpit.trade.base import Frozen
from cockpit.trade.completion import complete_name
from cockpit.trade.errors import TicketError
from cockpit.trade.remnants import Remnant
from cockpit.units import quoted

GENERAL: Final = (
    "Ground before arc. Cover and guard on before arc on; arc off before hands in.",
    "Eyes and hearing protected; ventilation on: metal vapour and mist.",
)
_HARD_METAL: Final = (
    "Hard metal is bound with cobalt: keep mist and powder off skin and out of the air you breathe."
)
#: Common practice, no source.
_BEHIND: Final = (
    "It falls through: look behind the hole; nothing there that electrode or water may spoil."
)


#: What stands between several materials of one part.
TOGETHER: Final = " + "


class Material(Frozen):
    """What a part is made of, or what it held; ``acknowledge`` asks for a person's word."""

    name: str
    caution: str | None = None
    acknowledge: bool = False


class MaterialList(Frozen):
    """The materials a shop knows."""

    name: str
    materials: tuple[Material, ...]


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution to show; ``acknowledge`` when it must be confirmed before the arc."""

    text: str
    acknowledge: bool


def find_material(materials: Sequence[Material], name: str) -> Material:
    """Find a material by its name or a beginning that no other one has, in any case.

    Raises TicketError naming those that it may be, those that are near, or all there are.

    >>> stock = [Material(name="cast iron"), Material(name="cast steel"), Material(name="brass")]
    >>> find_material(stock, "Cast Iron").name, find_material(stock, "b").name
    ('cast iron', 'brass')
    >>> find_material(stock, "cast")
    Traceback (most recent call last):
    cockpit.trade.errors.TicketError: Say one of cast iron, cast steel: "cast" may be any of them.
    """
    wanted = " ".join(name.lower().split())
    found = [material for material in materials if material.name.lower() == wanted] or [
        material for material in materials if wanted and material.name.lower().startswith(wanted)
    ]
    if len(found) == 1:
        return found[0]
    names = [material.name for material in materials]
    may_be = [material.name for material in found]
    near = () if found else complete_name(names, wanted)
    known = may_be or near or names
    if len(known) == 1:
        raise TicketError(f"Say {known[0]}: {quoted(wanted)} is not known here.", field="material")
    which = "may be any" if may_be else "is none"
    raise TicketError(
        f"Say one of {', '.join(known)}: {quoted(wanted)} {which} of them.", field="material"
    )


def find_materials(materials: Sequence[Material], names: str) -> tuple[Material, ...]:
    """Find what a part is made of and what it held, put together with ``+``; each of them once.

    A number stands for the place in the list. Raises TicketError, as ``find_material`` does.

    >>> stock = [Material(name="aluminium"), Material(name="cast iron"), Material(name="held fuel")]
    >>> [material.name for material in find_materials(stock, "alu + 3")]
    ['aluminium', 'held fuel']
    """
    by_number = {str(number): material for number, material in enumerate(materials, 1)}
    whole = " ".join(names.lower().split())
    is_name = any(material.name.lower() == whole for material in materials)
    found = [
        by_number.get(name.strip()) or find_material(materials, name)
        for name in ([names] if is_name else names.split(TOGETHER.strip()))
    ]
    return tuple(dict.fromkeys(found))


def cautions_for(
    materials: Sequence[Material], remnant: Remnant, *, through: bool = False
) -> tuple[Caution, ...]:
    """Give the cautions of a hole: of its materials, of hard metal, of a fall, then the general.

    ``through``: the electrode comes out at the far side.
    """
    cautions = [
        Caution(material.caution, material.acknowledge)
        for material in materials
        if material.caution
    ]
    if remnant.hard_metal:
        cautions.append(Caution(_HARD_METAL, True))
    if through:
        cautions.append(Caution(_BEHIND, False))
    return (*cautions, *(Caution(text, False) for text in GENERAL))
