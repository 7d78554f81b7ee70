"""``burn-cockpit stock``: what is left in the rack; enters a count, or what came in."""

from __future__ import annotations

import argparse
from contextlib import closing
from pathlib import Path

from cockpit import profiles
from cockpit.commands.answer import existing_log, say, say_json, sentences
from cockpit.flow.shop_now import ShopNow
from cockpit.flow.stocktake import LOW, Size, enter, read_said, sizes, totals_words
from cockpit.log import LogError
from cockpit.log.opening import open_to_read
from cockpit.log.store import Store
from cockpit.profiles import ProfileError
from cockpit.text import one_line
from cockpit.trade.errors import TradeError
from cockpit.trade.stock import StockEntry
from cockpit.trade.ticket import Shop
from cockpit.units import LengthUnit


def run(asked: argparse.Namespace) -> None:
    """Enter what was said, all of it or nothing; then print what is left of each size."""
    path = existing_log(asked.data, asked.demo)
    with sentences(LogError, ProfileError, TradeError):
        shop = profiles.load_shop(asked.machine)
        if asked.entries:
            _enter(path, shop, asked.entries)
        with closing(open_to_read(path)) as connection:
            now = ShopNow(connection, shop)
            rack = sizes(shop.stock, now.rack)
    for one in rack:
        if asked.json:
            say_json(as_json(one))
        else:
            say(_line(one))
    if not asked.json:
        say(totals_words(rack))


def _enter(path: Path, shop: Shop, entries: list[tuple[str, str]]) -> None:
    said = [read_said(one_line(text), StockEntry(entry), shop) for entry, text in entries]
    counts = {one.label: one.on_hand for one in shop.stock}
    with Store(path) as store:
        enter(store, counts, said)


def as_json(one: Size) -> dict[str, object]:
    """One size of the rack."""
    return {
        "electrode": one.label,
        "diameter_mm": one.electrode.diameter_mm,
        "on_hand": one.left.count,
        "worn_mm": one.left.worn_mm,
        "usable_mm": one.left.usable_mm,
        "reorder_at": one.electrode.reorder_at,
        "low": one.is_low,
    }


def _line(one: Size) -> str:
    in_use = one.in_use(LengthUnit.MM)
    worn = f"the one in use worn {in_use}" if in_use else ""
    low = LOW if one.is_low else ""
    reorder = f"order at {one.electrode.reorder_at}"
    return f"{one.label:<10} {one.left.count:>4} on hand   {reorder:<12} {low:<4} {worn}".rstrip()
