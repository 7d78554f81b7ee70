"""What is broken in the hole, what of it has to go, and how the rest comes out."""

from enum import StrEnum
from typing import Final

from cockpit.trade.base import Frozen
from cockpit.trade.errors import TicketError
from cockpit.trade.threads import PLAIN, Thread
from cockpit.units import write_both


class Kind(StrEnum):
    """What broke."""

    TAP = "tap"
    DRILL = "drill"
    SCREW = "screw"
    PIN = "pin"


class FluteForm(StrEnum):
    """How the flutes of a tap run."""

    STRAIGHT = "straight"
    SPIRAL_POINT = "spiral-point"
    SPIRAL_FLUTE = "spiral-flute"


# Studs and inserts burn like a screw: nearly the whole core goes, a thin coil is left.
_OTHER_WORDS: Final = {
    "stud": Kind.SCREW,
    "bolt": Kind.SCREW,
    "insert": Kind.SCREW,
    "dowel": Kind.PIN,
    "spring pin": Kind.PIN,
}

# The web as a part of the tool's diameter, from memory; a like tool measured is always better.
_TAP_WEB_BY_FLUTES: Final = {2: 0.35, 3: 0.40, 4: 0.45}
_TAP_WEB_BY_FORM: Final = {FluteForm.SPIRAL_POINT: 0.45, FluteForm.SPIRAL_FLUTE: 0.40}
_DRILL_WEB: Final = 0.18
_MOST_FLUTES: Final = 12

_BLOW_OUT: Final = "Blow out the powder; eyes and face covered."
_MAGNET: Final = "Lift what is loose with a magnet."
_BLOW_AGAIN: Final = "Blow out again and look to the bottom."
_CLEANOUT: Final = {
    Kind.TAP: (
        _BLOW_OUT,
        "Break each land inward, away from the thread, with a hard pick; picks chip: face shield.",
        _MAGNET,
        _BLOW_AGAIN,
    ),
    Kind.DRILL: (
        _BLOW_OUT,
        "Break each land inward, away from the wall, with a hard pick; picks chip: face shield.",
        _MAGNET,
        _BLOW_AGAIN,
    ),
    Kind.SCREW: (
        _BLOW_OUT,
        "Collapse the thin coil inward with a pick and wind it out of the thread.",
        _MAGNET,
        _BLOW_AGAIN,
    ),
    Kind.PIN: (
        _BLOW_OUT,
        "Collapse the thin sleeve inward with a pick and draw it out.",
        _MAGNET,
        _BLOW_AGAIN,
    ),
}


class RemnantError(TicketError):
    """Something broken that does not fit its hole, or that no trade word names."""


class Remnant(Frozen):
    """The broken tool; ``web_mm`` is the core that ties its lands together.

    Screws and pins have no web: ``web_mm`` is None, and nearly the whole core goes.
    """

    kind: Kind
    flutes: int | None
    form: FluteForm
    web_mm: float | None
    web_source: str
    hard_metal: bool


def read_kind(text: str) -> Kind:
    """Read what is broken from the trade's word for it; raises RemnantError.

    >>> read_kind("Stud"), read_kind("tap")
    (<Kind.SCREW: 'screw'>, <Kind.TAP: 'tap'>)
    """
    word = " ".join(text.lower().split())
    if word in _OTHER_WORDS:
        return _OTHER_WORDS[word]
    try:
        return Kind(word)
    except ValueError:
        words = ", ".join([*Kind, *_OTHER_WORDS])
        raise RemnantError(
            f'"{word[:30]}" is not something the cockpit knows as broken: say one of {words}.',
            field="broken",
        ) from None


def remnant_in(
    thread: Thread,
    kind: Kind,
    *,
    flutes: int | None = None,
    form: FluteForm = FluteForm.STRAIGHT,
    web_mm: float | None = None,
    hard_metal: bool = False,
) -> Remnant:
    """Describe what is broken in a hole, with its web in mm, measured or by the usual part.

    A tap's web is a part of the thread's nominal diameter by flutes and form, a drill's 0.18 of
    the drilled wall (from memory). Flutes and web are left out for a screw or a pin, which have
    none. Raises RemnantError.

    >>> from cockpit.trade.threads import read_thread
    >>> remnant_in(read_thread("M10x1.5"), Kind.TAP, flutes=3).web_mm
    4.0
    """
    if kind is Kind.TAP and thread.series == PLAIN:
        raise RemnantError(
            f"A tap does not stand in a plain bore ({thread.designation}): "
            "give its thread, such as M10x1.5.",
            field="thread",
        )
    if kind in (Kind.SCREW, Kind.PIN):
        flutes, web_mm, source = None, None, f"none: the whole core of a {kind} goes"
    else:
        flutes = _sound_flutes(kind, flutes)
        tool_mm = thread.nominal_mm if kind is Kind.TAP else thread.minor_min_mm
        web_mm, source = _web(kind, tool_mm, flutes, form, web_mm)
    return Remnant(
        kind=kind,
        flutes=flutes,
        form=form,
        web_mm=web_mm,
        web_source=source,
        hard_metal=hard_metal,
    )


def cleanout_steps(remnant: Remnant) -> tuple[str, ...]:
    """Give the steps that clear the hole after the burn, by kind of what was broken.

    Source: common practice, no source.
    """
    return _CLEANOUT[remnant.kind]


def _sound_flutes(kind: Kind, flutes: int | None) -> int | None:
    """Give the number of flutes, two for a drill nobody counted; refuse what cannot be."""
    if flutes is None:
        return 2 if kind is Kind.DRILL else None
    if not 1 <= flutes <= _MOST_FLUTES:
        raise RemnantError(
            f"A {kind} does not have {flutes} flutes: count them again, or leave it empty.",
            field="flutes",
        )
    return flutes


def _web(
    kind: Kind, tool_mm: float, flutes: int | None, form: FluteForm, measured_mm: float | None
) -> tuple[float, str]:
    """Give the web in mm and where the figure comes from."""
    if measured_mm is not None:
        if not 0 < measured_mm < tool_mm:
            raise RemnantError(
                f"A web of {write_both(measured_mm)} does not go into a {kind} of "
                f"{write_both(tool_mm)}: measure the web of a like {kind}, or leave it empty.",
                field="web_mm",
            )
        return measured_mm, f"measured on a like {kind}"
    if kind is Kind.DRILL:
        return _DRILL_WEB * tool_mm, f"{_DRILL_WEB} of the drill's diameter (from memory)"
    if form in _TAP_WEB_BY_FORM:
        part = _TAP_WEB_BY_FORM[form]
        return part * tool_mm, f"{part} of the nominal diameter, {form} tap (from memory)"
    # The widest known web, so that lands nobody counted come loose in any case.
    part = _TAP_WEB_BY_FLUTES.get(flutes or 0, max(_TAP_WEB_BY_FLUTES.values()))
    counted = "flutes not counted" if flutes is None else f"{flutes} flutes"
    return part * tool_mm, f"{part} of the nominal diameter, {counted} (from memory)"
