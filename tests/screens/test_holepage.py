"""The page of one hole: every part by its key, all of them by the big one."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from cockpit.burn.aim import Aim
from cockpit.burn.hindsight import Hindsight
from cockpit.flow import past_trace
from cockpit.flow.hole_parts import PARTS
from cockpit.flow.steps import Step
from tests.flow.eventful import burn_with_events
from tests.screens.hands import Hands, cockpit_on

NAMES = [part.name for part in PARTS]


async def open_page(hands: Hands, *, eventful: bool = True) -> None:
    if eventful:
        burn_with_events(hands.floor, 1)
    hands.app.show_hole(1)
    await hands.press()


def in_sight(hands: Hands) -> str:
    """The part whose name stands in brackets."""
    return hands.part("parts").partition("[")[2].partition("]")[0].partition(" ")[2]


async def test_the_big_key_leads_through_the_parts_and_back(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await open_page(hands)
        for part, after in zip(PARTS, [*PARTS[1:], None], strict=True):
            assert in_sight(hands) == part.name
            words = "back" if after is None else f"on to {after.words}"
            assert hands.big_key_line().endswith(words)
            await hands.big()
        assert hands.screen_name == "BenchScreen"


async def test_parts_with_nothing_in_them_are_passed_over_but_can_be_looked_at(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path, at=Step.CENTRE) as hands:
        await open_page(hands, eventful=False)
        seen = []
        while hands.screen_name == "HolePageScreen":
            seen.append(in_sight(hands))
            await hands.big()
        assert seen == ["trace", "plan", "checks", "burns", "calls", "record"]
        await open_page(hands, eventful=False)
        for number, says in ((6, "Nobody left a note."), (7, "Not closed yet.")):
            await hands.press(str(number))
            assert hands.part("told") == says


async def test_each_part_has_a_key_of_its_own(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await open_page(hands)
        for number, name in reversed(list(enumerate(NAMES, 1))):
            await hands.press(str(number))
            assert in_sight(hands) == name
        for name in [*NAMES[1:], NAMES[-1]]:
            await hands.press("right")
            assert in_sight(hands) == name
        await hands.press(*["left"] * 20)
        assert in_sight(hands) == NAMES[0]
        await hands.press("question_mark")
        assert "Plan and what it came to" in hands.shown()


@pytest.mark.parametrize("number", [1, 4, 8])
async def test_backspace_goes_back_from_every_part(tmp_path: Path, number: int) -> None:
    async with cockpit_on(tmp_path) as hands:
        await open_page(hands)
        await hands.press(str(number), "backspace")
        assert hands.screen_name == "BenchScreen"


async def test_what_was_done_is_told_in_its_part(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await open_page(hands)
        assert hands.part("facts").endswith("in 3 burns   2 touch-offs")
        told = {}
        for number, name in enumerate(NAMES[1:], 2):
            await hands.press(str(number))
            told[name] = hands.part("told")
        plan = told["plan"].splitlines()
        assert any("7/32 in, 1 needed" in line and "2 burnt with" in line for line in plan)
        assert any("web 4.20 mm, not 4.00 mm; MT" in line for line in plan)
        assert told["plan"].replace("\n  ", "").endswith("measured on the stub")
        assert "asked again later" in told["checks"]
        assert "MT    confirmed          Ground" in told["checks"]
        burns = told["burns"].splitlines()
        assert burns[0].startswith("pilot 1")
        assert [line.split()[1] for line in burns if line.startswith("   ")] == [
            "touch-off",
            "electrode",
            "touch-off",
        ]
        assert "near target" in told["calls"]
        assert "flush grey, nozzle turned" in told["notes"]
        said = told["outcome"]
        assert said.startswith("result          done")
        assert "in place of     left for later, said by MT" in said
        assert said.endswith("why             no taps left")


async def test_calls_are_told_on_the_arc_s_clock(tmp_path: Path) -> None:
    """The hole's clock runs on while the arc is off; the page and the drawing have one clock."""
    async with cockpit_on(tmp_path) as hands:
        await open_page(hands)
        await hands.press("5")
        last = hands.part("told").splitlines()[-1]
        arc_s = hands.page().row.arc_s
        minutes, seconds = last.split()[0].split(":")
        assert last.split()[1] == "target"
        assert 60 * int(minutes) + int(seconds) == pytest.approx(arc_s, abs=1.5)
        assert hands.page().calls[-1].t_s > arc_s + 5.0


async def test_the_trace_is_gone_through_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    gone = []

    class Counted(Hindsight):
        def __init__(self, aim: Aim, points: int) -> None:
            gone.append(points)
            super().__init__(aim, points)

    monkeypatch.setattr(past_trace, "Hindsight", Counted)
    async with cockpit_on(tmp_path) as hands:
        await open_page(hands)
        await hands.press("2", "u", "1", "u", "8")
        await hands.pilot.resize_terminal(120, 40)
        await hands.press("1")
        assert len(gone) == 1


@pytest.mark.parametrize(("size", "least"), [((80, 24), 12), ((120, 40), 26), ((200, 60), 46)])
async def test_the_drawing_uses_the_room(tmp_path: Path, size: tuple[int, int], least: int) -> None:
    async with cockpit_on(tmp_path, size=size) as hands:
        await open_page(hands)
        rows = [line for line in hands.lines() if re.match(r" *[\d.]*[│┤]", line)]
        assert len(rows) >= least
        assert "travel" in hands.shown()


async def test_a_part_longer_than_the_screen_is_turned_page_by_page(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await open_page(hands)
        await hands.press("3")
        assert "DOWN for" in hands.shown()
        await hands.press("pagedown", "pagedown")
        assert "Blow out again" in hands.shown()
        await hands.press("4")
        assert "pilot 1" in hands.shown()


async def test_the_record_is_saved_beside_the_log_to_be_handed_over(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await open_page(hands)
        await hands.press("r")
        await hands.app.workers.wait_for_complete()
        await hands.press()
        saved = hands.floor.store.path.parent / "record-1.pdf"
        assert str(saved) in "".join(hands.part("complaint").split("\n"))
        assert saved.read_bytes().startswith(b"%PDF-")
        assert list(saved.parent.glob(".record*")) == []


async def test_a_record_that_can_not_be_saved_is_said(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await open_page(hands)
        (hands.floor.store.path.parent / "record-1.pdf").mkdir()
        await hands.press("r")
        await hands.app.workers.wait_for_complete()
        await hands.press()
        assert "can't be written there" in hands.part("complaint")
