"""What is broken in the hole, what of it has to go, and how the rest comes out."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from cockpit.trade.base import Frozen
from cockpit.trade.errors import TicketError
from cockpit.trade.threads import PLAIN, Thread
from cockpit.units import quoted, write_both


class Kind(StrEnum):
    """What broke."""

    TAP = "tap"
    DRILL = "drill"
    SCREW = "screw"
    PIN = "pin"
    INSERT = "insert"


class FluteForm(StrEnum):
    """How the flutes of a tap run."""

    STRAIGHT = "straight"
    SPIRAL_POINT = "spiral-point"
    SPIRAL_FLUTE = "spiral-flute"


@dataclass(frozen=True, slots=True)
class Way:
    """What has to go of one kind, what has to stay, what is left, and how that comes out."""

    goes: str
    stays: str
    leaves: str
    out: str
    out_title: str

    @property
    def cleanout_titles(self) -> tuple[str, ...]:
        """The steps of the clean-out in a word or two each, to be read from afar."""
        return ("Blow out", self.out_title, "Lift what is loose", "Blow out and look")

    @property
    def cleanout(self) -> tuple[str, ...]:
        """The steps that clear the hole after the burn."""
        return (
            "Machine off, head up. Blow out the powder; eyes and face covered.",
            self.out,
            "Lift what is loose with a magnet.",
            "Blow out again and look to the bottom.",
        )


#: What each step of a clean-out comes to.
CLEANOUT_RIGHT: Final = (
    "No more powder comes.",
    "It came without force.",
    "Nothing loose is left.",
    "The bottom is bare.",
)

# Common practice, no source.
WAYS: Final = {
    Kind.TAP: Way(
        goes="the web, so that the lands come loose",
        stays="the minor diameter of the thread",
        leaves="the lands",
        out="Break each land inward, away from the thread, with a hard pick; picks chip: "
        "face shield.",
        out_title="Break the lands inward",
    ),
    Kind.DRILL: Way(
        goes="the web",
        stays="the drilled wall",
        leaves="the lands",
        out="Break each land inward, away from the wall, with a hard pick; picks chip: "
        "face shield.",
        out_title="Break the lands inward",
    ),
    Kind.SCREW: Way(
        goes="nearly the whole core",
        stays="the minor diameter of the thread",
        leaves="a thin coil",
        out="Collapse the thin coil inward with a pick and wind it out of the thread.",
        out_title="Wind the coil out",
    ),
    Kind.INSERT: Way(
        goes="nearly the whole insert, and what is in it",
        stays="the thread in the part, around the insert",
        leaves="a thin coil",
        out="Collapse the thin coil inward with a pick and wind it out of the part's thread.",
        out_title="Wind the coil out",
    ),
    Kind.PIN: Way(
        goes="the core",
        stays="the bore",
        leaves="a thin sleeve",
        out="Collapse the thin sleeve inward with a pick and draw it out.",
        out_title="Draw the sleeve out",
    ),
}

_OTHER_WORDS: Final = {
    "stud": Kind.SCREW,
    "bolt": Kind.SCREW,
    "threaded insert": Kind.INSERT,
    "dowel": Kind.PIN,
    "dowel pin": Kind.PIN,
    "spring pin": Kind.PIN,
    "roll pin": Kind.PIN,
}
_HARD_METAL_WORDS: Final = ("hard metal", "carbide")
# Longer spellings first.
_FORM_WORDS: Final = {
    "straight flute": FluteForm.STRAIGHT,
    "straight": FluteForm.STRAIGHT,
    "spiral point": FluteForm.SPIRAL_POINT,
    "spiral flute": FluteForm.SPIRAL_FLUTE,
}
HAS_LANDS: Final = (Kind.TAP, Kind.DRILL)

# The web as a part of the tool's diameter, from memory; a like tool measured is always better.
_TAP_WEB_BY_FLUTES: Final = {2: 0.35, 3: 0.40, 4: 0.45}
_TAP_WEB_BY_FORM: Final = {FluteForm.SPIRAL_POINT: 0.45, FluteForm.SPIRAL_FLUTE: 0.40}
_DRILL_WEB: Final = 0.18
_BY_DRILL: Final = f"{_DRILL_WEB} of the drill's diameter (from memory)"
MOST_FLUTES: Final = 12


class RemnantError(TicketError):
    """Something broken that does not fit its hole, or that no trade word names."""


class Remnant(Frozen):
    """The broken tool; ``web_mm`` is the core that ties its lands together.

    Screws, inserts and pins have no web: ``web_mm`` is None, and nearly the whole core goes.
    """

    kind: Kind
    flutes: int | None
    form: FluteForm
    web_mm: float | None
    web_source: str
    hard_metal: bool

    @property
    def web_goes_by_wall(self) -> bool:
        """Whether the web is a part of the drilled wall; a tap's goes by its nominal diameter."""
        return self.web_source == _BY_DRILL

    @property
    def way(self) -> Way:
        """What has to go, what has to stay, and how the rest comes out."""
        return WAYS[self.kind]


@dataclass(frozen=True, slots=True)
class Broken:
    """What broke, as a person says it: ``str`` gives words that read back as the same."""

    kind: Kind
    form: FluteForm = FluteForm.STRAIGHT
    hard_metal: bool = False

    def __str__(self) -> str:
        form = "" if self.form is FluteForm.STRAIGHT else f"{self.form} "
        return f"{'hard metal ' if self.hard_metal else ''}{form}{self.kind}"


def read_broken(text: str) -> Broken:
    """Read what is broken from the trade's words for it; raises RemnantError.

    >>> print(read_broken("Stud"), read_broken("carbide spiral point tap"), sep=", ")
    screw, hard metal spiral-point tap
    """
    words = " ".join(text.lower().replace("-", " ").split())
    words = words.replace("fluted ", "flute ").replace("pointed ", "point ")
    hard_metal = False
    for hard in _HARD_METAL_WORDS:
        if words.startswith(f"{hard} "):
            words, hard_metal = words.removeprefix(f"{hard} "), True
    form = FluteForm.STRAIGHT
    for spelling, meant in _FORM_WORDS.items():
        if words.startswith(f"{spelling} "):
            words, form = words.removeprefix(f"{spelling} "), meant
            break
    kind = _kind(words, text)
    if form is not FluteForm.STRAIGHT and kind is not Kind.TAP:
        raise RemnantError(
            f"A {kind} has no {form} form: only a tap has; say {kind} alone.", field="broken"
        )
    return Broken(kind, form, hard_metal)


def _kind(word: str, text: str) -> Kind:
    if word in _OTHER_WORDS:
        return _OTHER_WORDS[word]
    try:
        return Kind(word)
    except ValueError:
        words = ", ".join([*Kind, *_OTHER_WORDS])
        raise RemnantError(
            f"{quoted(text.strip())} is not something the cockpit knows as broken: "
            f"say one of {words}.",
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
    the drilled wall (from memory). Flutes and web are left out for a screw, an insert or a pin,
    which have none. Raises RemnantError.

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
    if kind is Kind.INSERT and thread.series == PLAIN:
        raise RemnantError(
            f"An insert does not stand in a plain bore ({thread.designation}): give the thread "
            "in the part that the insert sits in.",
            field="thread",
        )
    if kind not in HAS_LANDS:
        flutes, web_mm, source = None, None, f"none: the core of {_a(kind)} goes"
    else:
        flutes = _sound_flutes(kind, flutes)
        web_mm, source = _web(kind, thread, flutes, form, web_mm)
    return Remnant(
        kind=kind,
        flutes=flutes,
        form=form,
        web_mm=web_mm,
        web_source=source,
        hard_metal=hard_metal,
    )


def refuse_web(kind: Kind, thread: Thread, web_mm: float) -> None:
    """Refuse a web, in mm, that does not go into the tool that broke; raises RemnantError.

    >>> from cockpit.trade.threads import read_thread
    >>> refuse_web(Kind.DRILL, read_thread("M8"), 6.6)
    >>> refuse_web(Kind.DRILL, read_thread("M8"), 7.0)
    Traceback (most recent call last):
    cockpit.trade.remnants.RemnantError: A web of 7.00 mm = 0.2756 in does not go into a drill of \
6.65 mm = 0.2617 in: measure the web of a like drill, or do without.
    """
    tool_mm = _tool_mm(kind, thread)
    if not 0 < web_mm < tool_mm:
        raise RemnantError(
            f"A web of {write_both(web_mm)} does not go into a {kind} of {write_both(tool_mm)}: "
            f"measure the web of a like {kind}, or do without.",
            field="web_mm",
        )


def is_web_guessed(remnant: Remnant, measured_mm: float | None) -> bool:
    """Whether nobody measured the web and none is known of a tap with so many flutes.

    >>> from cockpit.trade.threads import read_thread
    >>> is_web_guessed(remnant_in(read_thread("M20"), Kind.TAP, flutes=6), None)
    True
    """
    is_straight = remnant.kind is Kind.TAP and remnant.form is FluteForm.STRAIGHT
    is_known = remnant.flutes is None or remnant.flutes in _TAP_WEB_BY_FLUTES
    return is_straight and measured_mm is None and not is_known


def _tool_mm(kind: Kind, thread: Thread) -> float:
    """Give the diameter of a tap or a drill by the hole that it made, in mm."""
    return thread.nominal_mm if kind is Kind.TAP else thread.minor_min_mm


def _a(kind: Kind) -> str:
    return f"an {kind}" if kind is Kind.INSERT else f"a {kind}"


def _sound_flutes(kind: Kind, flutes: int | None) -> int | None:
    """Give the number of flutes, two for a drill nobody counted; refuse what cannot be."""
    if flutes is None:
        return 2 if kind is Kind.DRILL else None
    if not 1 <= flutes <= MOST_FLUTES:
        raise RemnantError(
            f"A {kind} does not have {flutes} flutes: count them again, or leave it empty.",
            field="flutes",
        )
    return flutes


def _web(
    kind: Kind, thread: Thread, flutes: int | None, form: FluteForm, measured_mm: float | None
) -> tuple[float, str]:
    """Give the web in mm and where the figure comes from."""
    if measured_mm is not None:
        refuse_web(kind, thread, measured_mm)
        return measured_mm, f"measured on a like {kind}"
    tool_mm = _tool_mm(kind, thread)
    if kind is Kind.DRILL:
        return _DRILL_WEB * tool_mm, _BY_DRILL
    if form in _TAP_WEB_BY_FORM:
        part = _TAP_WEB_BY_FORM[form]
        return part * tool_mm, f"{part} of the nominal diameter, {form} tap (from memory)"
    # The widest known web, so that lands nobody counted come loose; more than four are doubted.
    part = _TAP_WEB_BY_FLUTES.get(flutes or 0, max(_TAP_WEB_BY_FLUTES.values()))
    counted = "flutes not counted" if flutes is None else f"{flutes} flutes"
    return part * tool_mm, f"{part} of the nominal diameter, {counted} (from memory)"
