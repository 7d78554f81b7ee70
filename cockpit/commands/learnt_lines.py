"""What was learnt, line by line: the same on the screen as from the command."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cockpit import dates
from cockpit.flow.learnt import Burn, Figure, Level, Span
from cockpit.trade.electrodes import Electrode
from cockpit.trade.learning import Lesson
from cockpit.units import LengthUnit, in_unit, write_length

#: What the spans are, said once on each page.
NINE_OF_TEN = "9 of 10 burns are within the brackets; half are over the figure before them."
ALL_ASSUMED = "No burn has taught anything yet: all of this is assumed."
#: In inches the burn rate is told of an hour and 100 A: of a minute and 1 A it is next to nothing.
_INCH_RATE_TIMES = 60 * 100

_ABOUT = {
    LengthUnit.MM: {
        Lesson.RATE: "mm3 a minute for each A",
        Lesson.WEAR: "of the travel",
        Lesson.GAP: "mm on each side",
        Lesson.CURRENT: "A for each mm of electrode",
    },
    LengthUnit.INCH: {
        Lesson.RATE: "in3 an hour for 100 A",
        Lesson.WEAR: "of the travel",
        Lesson.GAP: "in on each side",
        Lesson.CURRENT: "A for each in of electrode",
    },
}


def unit_words(lesson: Lesson, unit: LengthUnit) -> str:
    """What a figure is in."""
    return _ABOUT[unit][lesson]


def value_words(value: float, lesson: Lesson, unit: LengthUnit) -> str:
    """A figure in its unit, which is not named.

    >>> [value_words(0.30, Lesson.RATE, unit) for unit in LengthUnit]
    ['0.30', '0.110']
    >>> [value_words(0.15, Lesson.GAP, unit) for unit in LengthUnit]
    ['0.15', '0.0059']
    >>> [value_words(35.0, Lesson.CURRENT, unit) for unit in LengthUnit]
    ['35.0', '889']
    """
    is_mm, one = unit is LengthUnit.MM, in_unit(1.0, unit)
    if lesson is Lesson.GAP:
        return write_length(value, unit, with_unit=False)
    if lesson is Lesson.CURRENT:
        return f"{value / one:.{1 if is_mm else 0}f}"
    if lesson is Lesson.RATE and not is_mm:
        return f"{value * one**3 * _INCH_RATE_TIMES:.3f}"
    return f"{value:.2f}"


def span_words(span: Span, lesson: Lesson, unit: LengthUnit) -> str:
    """What the next burn gives: half of them more than this, and 9 of 10 from here to there."""
    median, low, high = (
        value_words(one, lesson, unit) for one in (span.median, span.low, span.high)
    )
    return f"{median} ({low} to {high})"


def figure_lines(
    figures: Sequence[Figure], unit: LengthUnit, stock: Sequence[Electrode]
) -> Iterator[str]:
    """What is assumed and what is believed of each figure, then by electrode, kind and material."""
    if not any(figure.burns for figure in figures):
        yield ALL_ASSUMED
        yield ""
    yield f"{'':<12}{'assumed':<26}{'this shop':<26}from"
    for figure in figures:
        assumed, now = (
            span_words(one, figure.lesson, unit) for one in (figure.assumed, figure.now)
        )
        by = _burns(figure.burns) if figure.burns else "no burn"
        yield f"{figure.words:<12}{assumed:<26}{now if figure.burns else 'as assumed':<26}{by}"
    yield NINE_OF_TEN
    for figure in figures:
        yield ""
        yield f"{figure.words}, {unit_words(figure.lesson, unit)}"
        if not figure.levels:
            yield "  no burn known yet"
        for level in figure.levels:
            name = level_name(level, unit, stock)
            now = span_words(level.now, figure.lesson, unit)
            yield f"  {name:<36}{now:<26}{_burns(level.burns)}"


def level_name(level: Level, unit: LengthUnit, stock: Sequence[Electrode]) -> str:
    """What an electrode, a kind or a material is called."""
    size_mm = level.like.electrode_mm
    if size_mm is not None:
        return f"electrode {size_name(size_mm, unit, stock)}"
    if level.like.kind is not None:
        return f"kind {level.like.kind}"
    return f"material {level.like.material}"


def size_name(size_mm: float, unit: LengthUnit, stock: Sequence[Electrode]) -> str:
    """The label of an electrode of this size, to the µm; of one that is gone, its diameter."""
    for one in stock:
        if round(one.diameter_mm * 1000) == round(size_mm * 1000):
            return one.label
    return write_length(size_mm, unit)


#: The columns of single burns.
COLUMNS = (
    "stands",
    "hole",
    "figure",
    "this burn",
    "the others",
    "closed",
    "electrode",
    "kind",
    "material",
)


def burn_cells(burn: Burn, unit: LengthUnit, stock: Sequence[Electrode]) -> tuple[str, ...]:
    """A single burn's figure, column by column."""
    return (
        stands(burn),
        f"{burn.hole_id} {burn.label}",
        burn.words,
        value_words(burn.value, burn.lesson, unit),
        span_words(burn.others, burn.lesson, unit),
        dates.day(burn.at_utc),
        size_name(burn.like.electrode_mm or 0.0, unit, stock),
        burn.like.kind or "",
        burn.like.material or "",
    )


def stands(burn: Burn) -> str:
    """Whether a burn's figure counts, and whether it is to be looked at."""
    if burn.aside is not None:
        return "set aside"
    return "UNLIKE" if burn.is_unlike else "counts"


def told(burn: Burn, unit: LengthUnit, stock: Sequence[Electrode]) -> Iterator[str]:
    """What there is to be said of a single burn, in sentences."""
    value, others, like = burn.value, burn.others, burn.like
    size = size_name(like.electrode_mm or 0.0, unit, stock)
    yield f"hole {burn.hole_id}, {burn.label}: {size} electrode, {like.kind}, {like.material}"
    figure = f"{burn.words[:1].upper()}{burn.words[1:]}"
    yield f"{figure} {value_words(value, burn.lesson, unit)} {unit_words(burn.lesson, unit)}."
    if burn.believed.burns:
        yield f"The others say {span_words(others, burn.lesson, unit)}" + (
            ": it is UNLIKE them." if burn.is_unlike else "."
        )
    else:
        yield "There is no other burn to hold it against."
    if burn.aside is not None:
        when = dates.moment(burn.aside.at_utc)
        yield f"Set aside by {burn.aside.operator}, {when}: {burn.aside.why}."


def _burns(number: int) -> str:
    return "1 burn" if number == 1 else f"{number} burns"
