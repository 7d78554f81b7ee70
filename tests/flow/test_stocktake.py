"""What people say of the rack, and that a count is never lost to the profile."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from cockpit import profiles
from cockpit.flow.floor import ShopFloor
from cockpit.flow.stocktake import Said, StockError, entry_words, read_number, read_said
from cockpit.log import racks
from cockpit.log.store import LogError
from cockpit.trade.stock import StockEntry
from cockpit.units import LengthUnit
from tests.flow.walk import open_floor

WRONG = ["-3", "x", "1.5", "1000000", "", " ", "٣", "9" * 6000, "1e3", "0x7"]


@pytest.mark.parametrize("text", WRONG)
@pytest.mark.parametrize("entry", [StockEntry.COUNTED, StockEntry.CAME_IN])
def test_what_is_no_number_of_electrodes_is_one_sentence(text: str, entry: StockEntry) -> None:
    with pytest.raises(StockError) as refused:
        read_number(text, entry)
    said = str(refused.value)
    assert said.endswith(".")
    assert len(said) < 120


def test_none_can_be_counted_but_not_come_in() -> None:
    assert read_number("0", StockEntry.COUNTED) == 0
    assert read_number("0007", StockEntry.COUNTED) == 7
    with pytest.raises(StockError, match="nothing to enter"):
        read_number("0", StockEntry.CAME_IN)


def test_a_size_is_named_whole_or_without_its_unit_but_never_by_a_beginning() -> None:
    shop = profiles.load_shop()
    for text in ("5/32 in=7", " 5/32  IN =7", "5/32=7"):
        assert read_said(text, StockEntry.COUNTED, shop) == Said("5/32 in", StockEntry.COUNTED, 7)
    for text in ("9=7", "=7", "5=7", "5/33 in=7", "7"):
        with pytest.raises(StockError):
            read_said(text, StockEntry.COUNTED, shop)


def one(floor: ShopFloor, label: str) -> tuple[int, bool]:
    (size,) = (size for size in floor.sizes() if size.label == label)
    return size.left.count, size.is_low


def test_what_is_entered_counts_at_once_and_is_low_at_its_own_level(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        assert one(floor, "5/32 in") == (10, False)
        floor.enter_stock(Said("5/32 in", StockEntry.COUNTED, 4))
        assert one(floor, "5/32 in") == (4, False)
        floor.enter_stock(Said("5/32 in", StockEntry.COUNTED, 3))
        assert one(floor, "5/32 in") == (3, True)
        floor.enter_stock(Said("5/32 in", StockEntry.CAME_IN, 10, " slip\n7 "))
        assert one(floor, "5/32 in") == (13, False)
        assert one(floor, "3/32 in") == (6, False)
        newest, *_ = racks.history(floor.store.connection, 5)
        assert entry_words(newest).endswith("5/32 in: 10 came in (slip 7)")
    with open_floor(tmp_path) as floor:
        assert one(floor, "5/32 in") == (13, False)


def test_a_box_for_a_size_that_is_new_in_the_profile_is_not_lost_with_the_next_shift(
    tmp_path: Path,
) -> None:
    with open_floor(tmp_path) as floor:
        shop = profiles.load_shop()
        new = shop.stock[0].model_copy(update={"label": "4 mm", "diameter_mm": 4.0, "on_hand": 2})
        floor.shop = replace(shop, stock=(*shop.stock, new))
        floor.enter_stock(Said("4 mm", StockEntry.CAME_IN, 10))
        assert one(floor, "4 mm") == (12, False)
        floor.close_shift()
        floor.open_shift("RB")
        assert one(floor, "4 mm") == (12, False)


def test_without_a_shift_nothing_is_entered(tmp_path: Path) -> None:
    with ShopFloor(tmp_path, gauge="typed") as floor:
        with pytest.raises(LogError, match="No shift is open"):
            floor.enter_stock(Said("5/32 in", StockEntry.COUNTED, 4))
        assert racks.stamp(floor.store.connection) == 0


def test_how_far_the_one_in_use_is_worn_is_said_in_the_unit_that_is_shown(tmp_path: Path) -> None:
    with open_floor(tmp_path) as floor:
        shift = floor.shift
        assert shift is not None
        floor.store.add_stock(shift.id, "5/32 in", StockEntry.WORN, 50_800)
        (size,) = (size for size in floor.sizes() if size.label == "5/32 in")
        assert size.in_use(LengthUnit.MM) == "51 of 168 mm"
        assert size.in_use(LengthUnit.INCH) == "2.00 of 6.62 in"
