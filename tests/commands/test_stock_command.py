"""``burn-cockpit stock`` on the log of a shift that is open."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from cockpit.flow.floor import ShopFloor
from tests.commands.shell import answer, refusal


def open_shift(folder: Path) -> None:
    with ShopFloor(folder, gauge="typed") as floor:
        floor.open_shift("MT")


def rack(folder: Path, *words: str) -> dict[str, dict[str, object]]:
    said = answer("stock", "--json", "--data", folder, *words)
    return {row["electrode"]: row for row in map(json.loads, said.lines)}


def test_the_rack_is_listed_and_what_is_entered_counts_in_its_order(tmp_path: Path) -> None:
    open_shift(tmp_path)
    before = rack(tmp_path)
    assert before["5/32 in"] == {
        "electrode": "5/32 in",
        "diameter_mm": 3.96875,
        "on_hand": 10,
        "worn_mm": 0.0,
        "usable_mm": 168.2,
        "reorder_at": 3,
        "low": False,
    }
    words = ("--came-in", "5/32 in=10", "--count", "5/32 in=2", "--came-in", "3/32=4")
    after = rack(tmp_path, *words)
    assert (after["5/32 in"]["on_hand"], after["5/32 in"]["low"]) == (2, True)
    assert after["3/32 in"]["on_hand"] == 10
    said = answer("stock", "--data", tmp_path)
    assert said.lines[-1].endswith("LOW: 5/32 in (2)")
    assert "LOW" in next(line for line in said.lines if line.startswith("5/32 in"))


@pytest.mark.parametrize(
    "wrong",
    ["5/32 in=-3", "5/32 in=x", "5/32 in=1.5", "5/32 in=1000000", "9=3", "5/32 in", "=", ""],
)
def test_of_what_is_wrong_nothing_is_entered(tmp_path: Path, wrong: str) -> None:
    open_shift(tmp_path)
    refusal(1, "stock", "--data", tmp_path, "--count", "1/8 in=1", "--count", wrong)
    assert rack(tmp_path)["1/8 in"]["on_hand"] == 8


def test_without_an_open_shift_or_a_log_nothing_is_entered(tmp_path: Path) -> None:
    assert "no log yet" in refusal(1, "stock", "--data", tmp_path).err
    open_shift(tmp_path)
    with ShopFloor(tmp_path, gauge="typed") as floor:
        floor.close_shift()
    said = refusal(1, "stock", "--data", tmp_path, "--count", "1/8 in=1")
    assert "No shift is open" in said.err
    assert rack(tmp_path)["1/8 in"]["on_hand"] == 8


def test_while_a_cockpit_has_the_log_open_it_is_listed_but_nothing_is_entered(
    tmp_path: Path,
) -> None:
    with ShopFloor(tmp_path, gauge="typed") as floor:
        floor.open_shift("MT")
        refusal(1, "stock", "--data", tmp_path, "--count", "1/8 in=1")
        assert rack(tmp_path)["1/8 in"]["on_hand"] == 8
