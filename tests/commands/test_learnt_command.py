"""Holes that were burnt teach; ``learnt`` shows what, and the next ``plan`` goes by it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from cockpit.flow.floor import ShopFloor
from tests.commands.shell import answer, refusal
from tests.flow.school import TAUGHT, teach
from tests.log.conftest import break_table

PLAN = ("plan", "M10x1.5", "--broken", "tap", "--flutes", "3", "--depth", "22 mm")
LIKE_IT = (*PLAN, "--recess", "3 mm", "--tool-end", "18 mm", "--material", "cast iron")


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    with ShopFloor(tmp_path, gauge="typed") as floor:
        floor.open_shift("MT")
        teach(floor.store, TAUGHT)
    return tmp_path


def rows(folder: Path, *words: str) -> list[dict[str, Any]]:
    said = answer("learnt", "--json", "--data", folder, *words)
    return [json.loads(line) for line in said.lines]


def planned(folder: Path) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(answer(*LIKE_IT, "--json", "--data", folder).out)
    return found


def test_holes_that_were_rehearsed_teach_and_the_next_plan_says_so(tmp_path: Path) -> None:
    assumed = planned(tmp_path)
    assert (assumed["time"]["burns_known"], assumed["wear"]["burns_known"]) == (0, 0)
    for seed in range(3):
        answer("rehearse", "--seed", str(seed), "--data", tmp_path)
    rate, *_ = rows(tmp_path)
    assert (rate["figure"], rate["burns"]) == ("rate", 3)
    by_kind = {one["kind"]: one["burns"] for one in rate["levels"] if one["kind"]}
    assert sum(by_kind.values()) == 3
    plan = planned(tmp_path)
    assert (plan["time"]["burns_known"], plan["wear"]["burns_known"]) == (3, 3)
    assert "3 burns" in plan["sources"]["time.median_s"]
    assert plan["time"]["high_s"] / plan["time"]["low_s"] < (
        assumed["time"]["high_s"] / assumed["time"]["low_s"]
    )
    words = " ".join(answer(*LIKE_IT, "--data", tmp_path).out.split())
    assert "from 3 burns," in words
    assert "wear from 3 burns," in words


def test_without_a_log_a_plan_says_that_no_burn_is_known(tmp_path: Path) -> None:
    words = " ".join(answer(*LIKE_IT, "--data", tmp_path / "none").out.split())
    assert "from no burn known yet" in words
    assert not (tmp_path / "none").exists()


def test_a_log_that_cant_be_read_is_one_sentence_and_no_plan(shop: Path) -> None:
    break_table(shop / "shop.sqlite3", "tallies")
    for words in (LIKE_IT, ("learnt",)):
        assert refusal(1, *words, "--data", shop).out == ""
    holes = shop / "holes.csv"
    holes.write_text("thread,broken,depth\nM6,tap,15\n", encoding="utf-8")
    assert refusal(1, "plan", "--from", holes, "--data", shop).out == ""
    (shop / "shop.sqlite3").write_bytes(b"no log at all, and long enough to be looked at" * 99)
    assert refusal(1, *LIKE_IT, "--data", shop).out == ""


def test_a_file_of_holes_is_planned_by_the_log_too(shop: Path) -> None:
    holes = shop / "holes.csv"
    holes.write_text("thread,broken,depth\nM6,tap,15\nM8,tap,15\n", encoding="utf-8")
    said = answer("plan", "--from", holes, "--json", "--data", shop)
    assert [json.loads(line)["time"]["burns_known"] for line in said.lines] == [10, 10]


def test_a_burn_is_set_aside_and_taken_in_again(shop: Path) -> None:
    *figures, odd = [row for row in rows(shop, "--holes") if row.get("unlike", True)]
    assert len(figures) == 4
    assert (odd["figure"], odd["unlike"], odd["aside"]) == ("rate", True, None)
    hole = str(odd["hole"])
    assert figures[0]["burns"] == 10
    said = answer("learnt", "--aside", hole, "burn rate", "--why", "water off", "--data", shop)
    assert any("burn rate" in line and "9 burns" in line for line in said.lines)
    (aside,) = (row for row in rows(shop, "--holes") if row.get("aside"))
    assert (aside["hole"], aside["aside"]["by"], aside["aside"]["why"]) == (
        odd["hole"],
        "MT",
        "water off",
    )
    assert "Set aside by MT" in answer("learnt", "--holes", "--data", shop).out
    refusal(1, "learnt", "--aside", hole, "rate", "--why", "twice", "--data", shop)
    answer("learnt", "--again", hole, "rate", "--why", "it was the filter", "--data", shop)
    assert rows(shop)[0]["burns"] == 10


@pytest.mark.parametrize(
    ("code", "words"),
    [
        (2, ("--aside", "1", "rate")),
        (2, ("--aside", "1", "rate", "--why", "  ")),
        (2, ("--why", "x")),
        (2, ("--aside", "1", "rate", "--again", "1", "rate", "--why", "x")),
        (2, ("--aside", "one", "rate", "--why", "x")),
        (2, ("--aside", "9" * 40, "rate", "--why", "x")),
        (1, ("--aside", "1", "speed", "--why", "x")),
        (1, ("--aside", "999", "rate", "--why", "x")),
        (1, ("--again", "1", "rate", "--why", "x")),
    ],
)
def test_what_makes_no_sense_is_one_sentence(shop: Path, code: int, words: tuple[str, ...]) -> None:
    refusal(code, "learnt", *words, "--data", shop)
    assert [row["burns"] for row in rows(shop)] == [10, 10, 9, 1]


def test_lengths_are_in_the_unit_that_was_asked_for(shop: Path) -> None:
    mm, inch = (answer("learnt", *words, "--data", shop).out for words in ((), ("--inch",)))
    assert "arc gap, mm on each side" in mm
    assert "arc gap, in on each side" in inch
    assert "A for each in of electrode" in inch
