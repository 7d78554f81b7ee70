from pathlib import Path

import pytest
from textual.widgets import DataTable

from tests.screens.hands import Hands, cockpit_on


def row_of(hands: Hands, label: str) -> str:
    """The row of a size, without its mark and its name."""
    row = next(line for line in hands.lines() if line[3:].startswith(label))
    return row[3 + len(label) :]


async def test_a_size_is_counted_and_what_came_in_is_entered(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.press("s", "down", "down", "down")
        assert "count 5/32 in" in hands.big_key_line()
        await hands.big()
        assert "10, as the log has it" in hands.big_key_line()
        await hands.say("3")
        assert row_of(hands, "5/32 in").split()[:3] == ["3", "LOW", "3"]
        assert "5/32 in: 3 counted" in hands.part("entries").splitlines()[1]
        await hands.press("i")
        await hands.say("10")
        await hands.say("slip 7")
        assert row_of(hands, "5/32 in").split()[:2] == ["13", "3"]
        assert "10 came in (slip 7)" in hands.part("entries").splitlines()[1]
        assert "count 5/32 in" in hands.big_key_line()
        await hands.press("escape", "s")
        assert row_of(hands, "5/32 in").split()[0] == "13"


async def test_the_big_key_says_that_it_is_as_the_log_has_it(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.press("s")
        await hands.big(2)
        assert hands.screen_name == "StockScreen"
        assert "1/16 in: 6 counted" in hands.part("entries").splitlines()[1]


@pytest.mark.parametrize("key", ["space", "i"])
@pytest.mark.parametrize("text", ["-3", "1.5", "1000000", "7x", "x"])
async def test_a_wrong_number_is_told_beside_the_field_and_not_taken(
    tmp_path: Path, key: str, text: str
) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.press("s")
        await hands.big(key=key)
        await hands.type(text)
        assert hands.part("understood").startswith("✗ ")
        assert hands.part("understood").endswith(".")
        await hands.big(key="enter")
        assert hands.screen_name == "CountScreen"
        assert hands.field().value == text
        await hands.press("escape", "s")
        assert row_of(hands, "1/16 in").split()[0] == "6"


async def test_one_steps_back_from_the_note_to_the_number_and_enters_nothing(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.press("s", "i")
        await hands.big()
        assert hands.screen_name == "CountScreen", "nothing typed is no number that came in"
        await hands.say("10")
        assert "no note" in hands.big_key_line()
        await hands.press("backspace")
        assert hands.field().value == "10"
        await hands.press("backspace", "backspace")
        hands.rests()
        await hands.press("backspace")
        assert hands.screen_name == "StockScreen"
        assert row_of(hands, "1/16 in").split()[0] == "6"


async def test_every_size_and_the_newest_entry_are_in_sight_at_80_by_24(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.press("s")
        sizes = hands.screen.query_one(DataTable).row_count
        assert sizes == len(hands.floor.shop.stock)
        for one in hands.floor.shop.stock:
            assert row_of(hands, one.label)
        assert hands.part("entries").splitlines()[1].strip() in hands.shown()
