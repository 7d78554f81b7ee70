"""What a hole costs by the shop's rate card; money is decimal, never float."""

from decimal import ROUND_HALF_UP, Decimal
from typing import Final

from pydantic import Field

from cockpit.trade.base import Frozen

_CENT: Final = Decimal("0.01")


class RateCard(Frozen):
    """What the shop asks, in its own currency."""

    name: str
    currency: str
    setup_per_part: Decimal = Field(ge=0)
    per_hole: Decimal = Field(ge=0)
    per_arc_minute: Decimal = Field(ge=0)
    per_electrode: Decimal = Field(ge=0)
    minimum: Decimal = Field(ge=0)


def price_hole(
    rates: RateCard, *, arc_s: float, electrodes: int, first_of_part: bool = True
) -> Decimal:
    """Give the price of one hole, to 2 places, half up.

    Per hole + arc minutes + electrodes used; the first hole of a part also carries the set-up, and
    is never under the minimum.

    >>> card = RateCard(name="x", currency="EUR", setup_per_part="40", per_hole="25",
    ...                 per_arc_minute="2.50", per_electrode="6", minimum="75")
    >>> price_hole(card, arc_s=330, electrodes=1), price_hole(card, arc_s=10, electrodes=0)
    (Decimal('84.75'), Decimal('75.00'))
    """
    minutes = Decimal(repr(float(arc_s))) / 60
    price = (
        rates.per_hole + minutes * rates.per_arc_minute + Decimal(electrodes) * rates.per_electrode
    )
    if first_of_part:
        price = max(price + rates.setup_per_part, rates.minimum)
    return price.quantize(_CENT, ROUND_HALF_UP)
