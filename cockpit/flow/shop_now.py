"""The shop as it stands: its profiles, what it has learnt by now, and what is left in the rack."""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping, Sequence
from dataclasses import replace

from cockpit.log import lessons, racks
from cockpit.trade.experience import Experience
from cockpit.trade.stock import Entry, OnHand, StockEntry, on_hand
from cockpit.trade.ticket import Shop


class ShopNow:
    """Keeps up with the log: looked at anew whenever there is something new in it."""

    def __init__(self, connection: sqlite3.Connection, profiles: Shop) -> None:
        self._connection = connection
        self._profiles = profiles
        self._lessons: tuple[int, ...] | None = None
        self._racks: int | None = None
        self._shop = profiles
        self._rack: dict[str, OnHand] = {}

    @property
    def counts(self) -> dict[str, int]:
        """How many of each size the rack's profile says there are."""
        return {one.label: one.on_hand for one in self._profiles.stock}

    @property
    def rack(self) -> dict[str, OnHand]:
        """What is left of each size, by its label. Raises LogError."""
        self._count_anew()
        return self._rack

    @property
    def shop(self) -> Shop:
        """The shop by the log of now. Raises LogError."""
        self._count_anew()
        lessons_now = lessons.stamp(self._connection)
        if lessons_now != self._lessons:
            self._shop = replace(self._shop, experience=learnt(self._connection, self._profiles))
            self._lessons = lessons_now
        return self._shop

    def _count_anew(self) -> None:
        now = racks.stamp(self._connection)
        if now == self._racks:
            return
        # Only what is new: a long log has an entry for every hole.
        new = racks.entries(self._connection, self._racks or 0)
        self._rack = racked(new, self._profiles, self._rack)
        stock = tuple(
            one.model_copy(update={"on_hand": self._rack[one.label].count})
            for one in self._profiles.stock
        )
        self._shop = replace(self._shop, stock=stock)
        self._racks = now


def learnt(connection: sqlite3.Connection, shop: Shop) -> Experience:
    """What the log teaches this shop."""
    blank = Experience(shop.experience.wear, shop.experience.gap_mm)
    return replace(blank, taught=lessons.groups(connection, blank.assumed))


def racked(
    entries: Mapping[str, Sequence[Entry]], shop: Shop, before: Mapping[str, OnHand]
) -> dict[str, OnHand]:
    """What is left of each size of the rack after these entries; at first as its profile says."""
    return {
        one.label: on_hand(
            entries.get(one.label, ())
            if one.label in before
            else [Entry(StockEntry.PROFILE, one.on_hand), *entries.get(one.label, ())],
            one.length_mm,
            shop.machine.holder_mm,
            before.get(one.label),
        )
        for one in shop.stock
    }


def log_shop(connection: sqlite3.Connection, shop: Shop) -> Shop:
    """The shop by a log that is only read. Raises LogError."""
    return ShopNow(connection, shop).shop
