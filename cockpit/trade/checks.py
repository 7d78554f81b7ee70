"""The checklist: what a person looks at before the arc. Which, and in which order, is a profile."""

from typing import Literal, Self

from pydantic import Field, model_validator

from cockpit.trade.base import Frozen


class CheckItem(Frozen):
    """One thing to look at, and what right looks like.

    ``safety`` items cannot be passed over. ``live`` names what the cockpit can see for itself,
    ``shows`` the figure of the plan that belongs beside the item, ``again_after_pilot`` an item
    that is asked once more after the centre check, ``by_electrode`` one that holds only for the
    electrode that was in the holder.
    """

    key: str = Field(min_length=1)
    title: str = Field(min_length=1, max_length=40)
    look: str = Field(min_length=1, max_length=120)
    right: str = Field(min_length=1, max_length=120)
    safety: bool = False
    live: Literal["gauge", "zero"] | None = None
    shows: (
        Literal["stop", "electrode", "current", "flush", "cautions", "centre", "square"] | None
    ) = None
    again_after_pilot: bool = False
    by_electrode: bool = False


class Checklist(Frozen):
    """The daily check of a shift, and the set-up check of every hole, in their order."""

    name: str
    daily: tuple[CheckItem, ...]
    setup: tuple[CheckItem, ...] = Field(min_length=1)

    @model_validator(mode="after")
    def _shows_cautions(self) -> Self:
        if not any(item.shows == "cautions" and item.safety for item in self.setup):
            raise ValueError('setup needs an item with safety = true and shows = "cautions"')
        return self
