"""What a hole and a job cost by the shop's rate card; money is decimal, never float.

Every amount on a bill is rounded to the hundredth of the currency, half up, and the sum is the sum
of what is printed, so that whoever adds it up gets the same. Arc time is charged as it is printed,
in hundredths of a minute, half up.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Final, Self

from pydantic import Field, model_validator

from cockpit.trade.base import Frozen
from cockpit.units import Millimetres

_CENT: Final = Decimal("0.01")


class SizeRate(Frozen):
    """What a hole costs up to a nominal diameter, mm."""

    up_to_mm: Millimetres = Field(gt=0, validation_alias="up_to")
    per_hole: Decimal = Field(ge=0)


class RateCard(Frozen):
    """What the shop asks, in its own currency.

    ``per_hole`` holds for every hole that is larger than all of ``sizes``; the smallest of those
    that a hole still falls under holds for it. ``minimum``: what a job costs at the least.
    """

    name: str
    currency: str
    setup_per_part: Decimal = Field(ge=0)
    per_hole: Decimal = Field(ge=0)
    sizes: tuple[SizeRate, ...] = ()
    per_arc_minute: Decimal = Field(ge=0)
    per_electrode: Decimal = Field(ge=0)
    minimum: Decimal = Field(ge=0)

    @model_validator(mode="after")
    def _each_size_once(self) -> Self:
        if len({size.up_to_mm for size in self.sizes}) < len(self.sizes):
            raise ValueError("sizes: two of them are up to the same diameter; keep one of them")
        return self

    def hole_rate(self, nominal_mm: float | None) -> Decimal:
        """What a hole of a nominal diameter costs; one of an unknown size as much as any.

        >>> card = RateCard(name="x", currency="EUR", setup_per_part="0", per_hole="25",
        ...                 sizes=[{"up_to": "6 mm", "per_hole": "20"}], per_arc_minute="0",
        ...                 per_electrode="0", minimum="0")
        >>> card.hole_rate(6.0), card.hole_rate(6.1)
        (Decimal('20'), Decimal('25'))
        """
        found = (
            []
            if nominal_mm is None
            else [size for size in self.sizes if nominal_mm <= size.up_to_mm]
        )
        return min(found, key=lambda size: size.up_to_mm).per_hole if found else self.per_hole


@dataclass(frozen=True, slots=True)
class Work:
    """What a hole took, or is planned to take: its size in mm, arc time in s, electrodes used."""

    label: str
    nominal_mm: float | None
    arc_s: float
    electrodes: int


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a bill: what for, how many of what, at which rate, and the amount."""

    what: str
    quantity: Decimal
    of: str
    rate: Decimal
    amount: Decimal


@dataclass(frozen=True, slots=True)
class Bill:
    """What a job costs; ``total`` is the sum of the amounts."""

    currency: str
    lines: tuple[Line, ...]

    @property
    def total(self) -> Decimal:
        """The sum, to 2 places."""
        return sum((line.amount for line in self.lines), Decimal("0.00"))


def rounded(amount: Decimal) -> Decimal:
    """An amount to 2 places, half up.

    >>> rounded(Decimal("7.325")), rounded(Decimal("0.005"))
    (Decimal('7.33'), Decimal('0.01'))
    """
    return amount.quantize(_CENT, ROUND_HALF_UP)


def arc_minutes(arc_s: float) -> Decimal:
    """Arc time as it is charged: minutes to 2 places, half up.

    >>> arc_minutes(330), arc_minutes(100)
    (Decimal('5.50'), Decimal('1.67'))
    """
    return rounded(Decimal(repr(float(arc_s))) / 60)


def hole_lines(rates: RateCard, work: Work) -> tuple[Line, ...]:
    """What one hole costs beside its part's set-up."""
    of_hole = (
        ("hole", Decimal(1), "hole", rates.hole_rate(work.nominal_mm)),
        ("arc time", arc_minutes(work.arc_s), "min", rates.per_arc_minute),
        ("electrodes", Decimal(work.electrodes), "used", rates.per_electrode),
    )
    return tuple(
        Line(f"{work.label}: {what}", quantity, of, rate, rounded(quantity * rate))
        for what, quantity, of, rate in of_hole
    )


def bill(rates: RateCard, parts: Iterable[Sequence[Work]]) -> Bill:
    """What a job costs: a set-up for each part, its holes, and what is missing to the minimum.

    >>> card = RateCard(name="x", currency="EUR", setup_per_part="40", per_hole="25",
    ...                 per_arc_minute="2.50", per_electrode="6", minimum="75")
    >>> bill(card, [[Work("a", 10, 330, 1), Work("b", 10, 100, 0)]]).total
    Decimal('113.93')
    """
    lines: list[Line] = []
    for holes in parts:
        set_up = rates.setup_per_part
        lines.append(Line("set-up", Decimal(1), "part", set_up, rounded(set_up)))
        for work in holes:
            lines += hole_lines(rates, work)
    missing = rates.minimum - sum((line.amount for line in lines), Decimal(0))
    if lines and missing > 0:
        lines.append(Line("up to the minimum", Decimal(1), "job", missing, rounded(missing)))
    return Bill(rates.currency, tuple(lines))


def price_hole(
    rates: RateCard,
    *,
    arc_s: float,
    electrodes: int,
    nominal_mm: float | None = None,
    first_of_part: bool = True,
) -> Decimal:
    """Give the price of one hole, to 2 places, half up.

    Per hole + arc minutes + electrodes used; the first hole of a part also carries the set-up, and
    is never under the minimum.

    >>> card = RateCard(name="x", currency="EUR", setup_per_part="40", per_hole="25",
    ...                 per_arc_minute="2.50", per_electrode="6", minimum="75")
    >>> price_hole(card, arc_s=330, electrodes=1), price_hole(card, arc_s=10, electrodes=0)
    (Decimal('84.75'), Decimal('75.00'))
    """
    work = Work("", nominal_mm, arc_s, electrodes)
    if first_of_part:
        return bill(rates, [[work]]).total
    return sum((line.amount for line in hole_lines(rates, work)), Decimal("0.00"))
