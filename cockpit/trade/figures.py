"""The figures of a plan: where each one comes from, and who has overruled it, when and why.

A plan is worked out in one pass. Whatever it decides it hands to ``Figures.take``, which notes the
source and gives the figure back, or the one a person has put in its place; all that is worked out
afterwards goes by that one. So an overridden web moves the margins, and with them the electrode.

A figure is marked when it was overruled itself, or rests on an overruled figure; ``RESTS_ON`` says
what rests on what.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import Final, TypeVar

from cockpit import dates
from cockpit.trade.base import Frozen
from cockpit.trade.errors import TradeError
from cockpit.units import (
    LengthUnit,
    UnitsError,
    quoted,
    read_current_a,
    read_length_mm,
    read_pressure_kpa,
    read_time_s,
    write_clock,
    write_length,
)

Value = float | str
"""What is kept of an override: mm, A, kPa, s, K, l/min, ml or a count; words and money as text."""

Computed = TypeVar("Computed")


class FigureError(TradeError):
    """An override that cannot be: ``field`` is the figure's name."""


class Override(Frozen):
    """A figure that a person put in place of the plan's; ``at_utc`` as ISO 8601."""

    figure: str
    value: Value
    who: str
    at_utc: str
    why: str

    def __str__(self) -> str:
        return f"{self.said}; {self.signed}"

    @property
    def said(self) -> str:
        """Which figure, and what was put in its place."""
        figure = figure_named(self.figure)
        return f"{figure.words} {figure.write(self.value)}"

    @property
    def signed(self) -> str:
        """Who, when and why."""
        return f"{self.who}, {dates.moment(self.at_utc)}: {self.why}"


class Overridden(Override):
    """An override as a plan took it, with what the plan would have said; None where nothing."""

    instead_of: Value | None

    def told(self, unit: LengthUnit = LengthUnit.MM) -> str:
        """Say what stands instead of what, and who put it there, when and why."""
        figure = figure_named(self.figure)
        was = "none" if self.instead_of is None else figure.write(self.instead_of, unit)
        value = figure.write(self.value, unit)
        return f"{figure.words} {value}, not {was}; {self.signed}"


@dataclass(frozen=True, slots=True)
class Measure:
    """How one kind of figure is read from what a person types, and how it is shown."""

    read: Callable[[str, LengthUnit], Value]
    write: Callable[[Value, LengthUnit], str]


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure that can be overruled: its name in the plan, its words, what kind it is of."""

    name: str
    words: str
    measure: Measure

    @property
    def is_length(self) -> bool:
        """Whether it is a length, in mm."""
        return self.measure in (_SIZE, _DEPTH, _ANY_LENGTH)

    @property
    def is_word(self) -> bool:
        """Whether it is a name rather than a number."""
        return self.measure is _WORD

    def write(self, value: Value, unit: LengthUnit = LengthUnit.MM) -> str:
        """Show a value of this figure."""
        return self.measure.write(value, unit)


class Figures:
    """Takes down the figures of one plan as they are decided."""

    def __init__(self, overrides: Iterable[Override] = ()) -> None:
        self.sources: dict[str, str] = {}
        self.overridden: list[Overridden] = []
        self._overrides = {override.figure: override for override in overrides}

    def take(self, name: str, computed: Computed, source: str) -> Computed:
        """Note the source of a figure and give its value: the computed one, or its override."""
        override = self._overrides.pop(name, None)
        if override is None:
            self.sources[name] = source
            return computed
        was = None if computed is None else as_override(computed)
        overridden = Overridden(**dict(override), instead_of=was)
        self.overridden.append(overridden)
        self.sources[name] = overridden.told()
        return _like(computed, override.value)

    def is_overridden(self, *names: str) -> bool:
        """Whether a person overruled one of these figures, as far as they are taken down yet."""
        return any(one.figure in names for one in self.overridden)

    def note(self, sources: Mapping[str, str]) -> None:
        """Note sources of what cannot be overruled, by its name such as ``depth.touch_offs``."""
        self.sources |= sources

    def finish(self) -> None:
        """Refuse overrides of figures that this plan has not got; raises FigureError."""
        for name in self._overrides:
            words = figure_named(name).words
            raise FigureError(f"This hole has no {words}: take the override back.", field=name)


def figure_named(name: str) -> Figure:
    """Give the figure of a name such as ``remnant.web_mm``, or of its words; raises FigureError.

    A word that only one figure has is enough.

    >>> figure_named("remnant.web_mm").words, figure_named("Web").name, figure_named("limit").words
    ('web', 'remnant.web_mm', 'bottom limit')
    """
    wanted = " ".join(name.lower().split())
    for figure in FIGURES:
        if wanted in (figure.name, figure.words):
            return figure
    found = [figure for figure in FIGURES if wanted and f" {wanted} " in f" {figure.words} "]
    if len(found) == 1:
        return found[0]
    what = "may be more than one figure" if found else "is no figure of a plan"
    words = ", ".join(figure.words for figure in found or FIGURES)
    raise FigureError(f"{quoted(wanted)} {what}: say one of {words}.", field=name)


def read_override(name: str, text: str, unit: LengthUnit = LengthUnit.MM) -> Value:
    """Read what is to stand in place of a figure; bare lengths in ``unit``; raises FigureError.

    >>> read_override("remnant.web_mm", "5/32 in")
    3.96875
    """
    figure = figure_named(name)
    try:
        return figure.measure.read(text.strip(), unit)
    except (UnitsError, ValueError) as error:
        raise FigureError(f"{figure.words}: {error}", field=figure.name) from error


def as_override(computed: object) -> Value:
    """Give a figure of a plan as an override of it would be kept."""
    if isinstance(computed, tuple):
        return float(computed[0])
    return str(computed) if isinstance(computed, str | Decimal) else float(str(computed))


def _like(computed: Computed, value: Value) -> Computed:
    """Give an override the type of the figure it stands for."""
    typed: object = value
    if isinstance(computed, Decimal):
        typed = Decimal(str(value))
    elif isinstance(computed, int) and not isinstance(computed, bool):
        typed = int(float(value))
    elif isinstance(computed, tuple):
        typed = (float(value),)
    return typed  # type: ignore[return-value]


# How figures are read and shown -----------------------------------------------------------------


# Nothing in a shop is longer, hotter or stronger than this, so a slip of the keys is.
_MOST_MM: Final = 10_000.0
_MOST: Final = 100_000.0
_LEAST: Final = 0.001


def _length(over_mm: float | None) -> Measure:
    """A length that has to be over so much, or may be any."""

    def read(text: str, unit: LengthUnit) -> float:
        mm = read_length_mm(text, unit)
        if over_mm is not None and mm <= over_mm:
            raise ValueError(f"{quoted(text)} is too little.")
        if abs(mm) > _MOST_MM:
            raise ValueError(f"{quoted(text)} is more than any part has.")
        return mm

    return Measure(read, lambda mm, unit: write_length(float(mm), unit))


def _number(unit: str, reader: Callable[[str], float]) -> Measure:
    def read(text: str, _unit: LengthUnit) -> float:
        number = reader(text)
        if not _LEAST <= number <= _MOST:
            raise ValueError(f"{quoted(text)} is not from {_LEAST:g} to {_MOST:,.0f} {unit}.")
        return number

    return Measure(read, lambda number, _: f"{float(number):.4g} {unit}")


def _plain(unit: str) -> Measure:
    """A number in a unit that only this figure has; the unit may be typed with it."""

    def reader(text: str) -> float:
        bare = text.lower().removesuffix(unit.lower()).strip()
        try:
            return float(bare)
        except ValueError:
            raise ValueError(f"{quoted(text)} is not a number of {unit}.") from None

    return _number(unit, reader)


def _count(text: str, _unit: LengthUnit) -> float:
    if not (text.isascii() and text.isdigit() and len(text) < 4 and int(text) > 0):
        raise ValueError(f"{quoted(text)} is not a whole number over 0.")
    return float(text)


def _money(text: str, _unit: LengthUnit) -> str:
    try:
        money = Decimal(text)
    except InvalidOperation:
        money = Decimal(-1)
    if not (money.is_finite() and 0 <= money < 1_000_000):
        raise ValueError(f"{quoted(text)} is not an amount such as 85.00.")
    return str(money.quantize(Decimal("0.01")))


def _word(text: str, _unit: LengthUnit) -> str:
    if not text or not text.isprintable():
        raise ValueError("say which, in a word.")
    return text


_SIZE: Final = _length(0.0)
_DEPTH: Final = _length(-1e-9)
_ANY_LENGTH: Final = _length(None)
_AMPS: Final = _number("A", read_current_a)
_TIME: Final = Measure(
    _number("s", read_time_s).read, lambda seconds, _: f"{write_clock(float(seconds))} min"
)
_WORD: Final = Measure(_word, lambda word, _: str(word))

FIGURES: Final = (
    Figure("thread.minor_min_mm", "minor diameter", _SIZE),
    Figure("remnant.web_mm", "web", _SIZE),
    Figure("electrode.gap_mm", "arc gap", _DEPTH),
    Figure("electrode.required_clearance_mm", "required clearance", _DEPTH),
    Figure("electrode.label", "electrode", _WORD),
    Figure("electrode.hole_mm", "burnt hole", _SIZE),
    Figure("electrode.thread_clearance_mm", "thread clearance", _ANY_LENGTH),
    Figure("electrode.web_margin_mm", "web margin", _ANY_LENGTH),
    Figure("electrode.allowed_offset_mm", "off centre", _ANY_LENGTH),
    Figure("electrode.reach_mm", "reach", _SIZE),
    Figure("electrode.needed", "electrodes needed", Measure(_count, lambda n, _: f"{float(n):g}")),
    Figure("arc.amps_low", "least current", _AMPS),
    Figure("arc.amps_high", "most current", _AMPS),
    Figure("arc.range", "heat range", _WORD),
    Figure("flush.pressure_kpa", "flush pressure", _number("kPa", read_pressure_kpa)),
    Figure("flush.flow_l_min", "flush flow", _plain("l/min")),
    Figure("flush.catch_ml_10s", "flush catch", _plain("ml")),
    Figure("flush.rise_k", "flush warms", _plain("degrees C")),
    Figure("depth.recess_mm", "break", _DEPTH),
    Figure("depth.limit_mm", "bottom limit", _SIZE),
    Figure("depth.target_mm", "target", _SIZE),
    Figure("depth.burn_mm", "burn length", _SIZE),
    Figure("depth.stops_mm", "first stop", _SIZE),
    Figure("pilot_mm", "pilot burn", _SIZE),
    Figure("time.median_s", "arc time", _TIME),
    Figure("time.low_s", "shortest arc time", _TIME),
    Figure("time.high_s", "longest arc time", _TIME),
    Figure("price", "price", Measure(_money, lambda money, _: str(money))),
)
"""Every figure that can be overruled, by the parts of a plan in the order that it has them."""

_OTHER_WORDS: Final = {
    "thread.designation": "thread",
    "thread.standard": "standard",
    "thread.nominal_mm": "nominal diameter",
    "thread.pitch_mm": "pitch",
    "thread.minor_max_mm": "greatest minor diameter",
    "remnant.kind": "what is broken",
    "remnant.flutes": "flutes",
    "remnant.web_source": "source of the web",
    "electrode.diameter_mm": "electrode across",
    "electrode.length_mm": "electrode length",
    "electrode.thread_clearance_surface_mm": "thread clearance at the surface",
    "electrode.web_margin_surface_mm": "web margin at the surface",
    "electrode.allowed_surface_mm": "off centre at the surface",
    "electrode.allowed_below_mm": "off centre at the deep end",
    "electrode.allowed_out_of_square": "out of square",
    "electrode.why": "why this electrode",
    "electrode.neighbours": "the electrodes beside it",
    "depth.touch_offs": "touch-offs",
    "time.burns_known": "earlier burns",
    "time.alike": "earlier burns that were alike",
    "time.area_mm2": "area burnt",
    "wear.ratio": "wear ratio",
    "wear.ratio_sd": "wear ratio's sd",
    "wear.burns_known": "burns that were measured",
    "wear.alike": "burns that were measured and alike",
    "cautions": "cautions",
}


def words_of(name: str) -> str:
    """Give what an operator calls a figure of a plan, whether it can be overruled or not.

    One that only an earlier version had is called what that one called it.

    >>> words_of("electrode.thread_clearance_mm"), words_of("thread.pitch_mm")
    ('thread clearance', 'pitch')
    """
    found = next((figure.words for figure in FIGURES if figure.name == name), None)
    return found or _OTHER_WORDS.get(name, name)


RESTS_ON: Final[Mapping[str, tuple[str, ...]]] = {
    "thread.minor_max_mm": ("thread.minor_min_mm",),
    "remnant.web_mm": ("thread.minor_min_mm",),
    "remnant.web_source": ("remnant.web_mm",),
    "electrode.label": (
        "thread.minor_min_mm",
        "remnant.web_mm",
        "electrode.gap_mm",
        "electrode.required_clearance_mm",
        "depth.recess_mm",
        "depth.limit_mm",
        "depth.target_mm",
    ),
    "electrode.diameter_mm": ("electrode.label",),
    "electrode.length_mm": ("electrode.label",),
    "electrode.why": ("electrode.label",),
    "electrode.neighbours": ("electrode.allowed_offset_mm",),
    "electrode.hole_mm": ("electrode.label", "electrode.gap_mm"),
    "electrode.thread_clearance_mm": (
        "thread.minor_min_mm",
        "electrode.hole_mm",
        "depth.limit_mm",
        "depth.target_mm",
    ),
    "electrode.thread_clearance_surface_mm": ("electrode.thread_clearance_mm",),
    "electrode.web_margin_mm": (
        "remnant.web_mm",
        "electrode.hole_mm",
        "depth.limit_mm",
        "depth.target_mm",
    ),
    "electrode.web_margin_surface_mm": ("electrode.web_margin_mm",),
    "electrode.allowed_surface_mm": (
        "electrode.thread_clearance_surface_mm",
        "electrode.web_margin_surface_mm",
        "electrode.required_clearance_mm",
    ),
    "electrode.allowed_below_mm": (
        "electrode.thread_clearance_mm",
        "electrode.web_margin_mm",
        "electrode.required_clearance_mm",
    ),
    "electrode.allowed_offset_mm": ("electrode.allowed_surface_mm", "electrode.allowed_below_mm"),
    "electrode.allowed_out_of_square": (
        "electrode.allowed_below_mm",
        "depth.limit_mm",
        "depth.target_mm",
    ),
    "electrode.gap_mm": ("electrode.label",),
    "electrode.reach_mm": ("electrode.label", "depth.recess_mm"),
    "wear.ratio": ("electrode.label",),
    "wear.ratio_sd": ("electrode.label",),
    "wear.alike": ("electrode.label",),
    "time.alike": ("electrode.label",),
    "electrode.needed": ("electrode.reach_mm", "depth.target_mm"),
    "arc.amps_low": ("electrode.label",),
    "arc.amps_high": ("electrode.label",),
    "arc.range": ("arc.amps_low", "arc.amps_high"),
    "flush.flow_l_min": ("electrode.label", "flush.pressure_kpa"),
    "flush.catch_ml_10s": ("flush.flow_l_min",),
    "flush.rise_k": ("flush.flow_l_min", "arc.amps_low", "arc.amps_high"),
    "depth.target_mm": ("depth.limit_mm",),
    "depth.burn_mm": ("depth.target_mm", "depth.recess_mm"),
    "depth.stops_mm": ("depth.target_mm", "depth.limit_mm", "depth.recess_mm", "wear.ratio"),
    "depth.touch_offs": ("depth.stops_mm",),
    "pilot_mm": ("electrode.label", "depth.burn_mm"),
    "time.area_mm2": ("electrode.hole_mm", "electrode.gap_mm"),
    "time.median_s": (
        "time.area_mm2",
        "depth.burn_mm",
        "arc.amps_low",
        "arc.amps_high",
    ),
    "time.low_s": ("time.median_s",),
    "time.high_s": ("time.median_s",),
    "price": ("time.median_s", "electrode.needed"),
}
"""The figures that each figure is worked out from, if any; through them it rests on theirs."""
