from decimal import Decimal
from pathlib import Path

import pytest
from textual.widgets import DataTable

from cockpit.flow import search
from cockpit.flow.steps import Step
from cockpit.log.rows import Outcome, Result
from cockpit.record.text import hole_record
from cockpit.screens import shiftlog
from cockpit.screens.shiftlog import FIRST_ROWS
from cockpit.units import LengthUnit
from tests.log.conftest import TICKET
from tests.log.test_listing import tally
from tests.screens.hands import cockpit_on


async def test_the_log_is_searched_as_it_is_typed(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.press("l")
        table = hands.screen.query_one(DataTable)
        assert table.row_count == 4
        assert "4 holes" in hands.part("totals")
        await hands.type("quill")
        assert table.row_count == 1
        assert hands.part("totals").startswith("1 hole, 0 closed")
        assert "look at pivot" in hands.big_key_line()
        await hands.type("zzz")
        assert table.row_count == 0
        assert hands.big_key_line() == ""
        await hands.big(key="enter")
        assert hands.screen_name == "ShiftLogScreen"


@pytest.mark.parametrize(
    ("outcome", "closed"),
    [(Outcome(Result.LATER, why="no taps left"), 0), (Outcome(Result.DONE), 1)],
)
async def test_a_hole_left_for_later_is_not_counted_as_closed(
    tmp_path: Path, outcome: Outcome, closed: int
) -> None:
    async with cockpit_on(tmp_path, at=Step.OUTCOME) as hands:
        hands.in_hand().close(outcome)
        await hands.press("escape", "l")
        assert hands.part("totals").startswith(f"4 holes, {closed} closed")


async def test_a_hole_is_picked_with_the_arrows_and_the_big_key(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.press("l", "down")
        assert "look at stud 2" in hands.big_key_line()
        await hands.press("up")
        assert "look at pivot" in hands.big_key_line()
        await hands.big()
        assert hands.screen_name == "HolePageScreen"
        await hands.press("backspace")
        assert hands.screen_name == "ShiftLogScreen"
        await hands.press("backspace")
        assert hands.screen_name == "BenchScreen"


async def test_rows_beyond_the_first_come_as_somebody_goes_down_to_them(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        job, ticket = hands.page(1).row.job, hands.page(1).ticket
        with hands.floor.store.together():
            for number in range(FIRST_ROWS):
                named = ticket.model_copy(update={"hole": f"rim {number}"})
                hands.floor.take_in_hole(job.id, named)
        await hands.press("l")
        table = hands.screen.query_one(DataTable)
        assert table.row_count == FIRST_ROWS
        assert f"{FIRST_ROWS + 4} holes, 0 closed" in hands.part("totals")
        await hands.press(*["down"] * FIRST_ROWS)
        assert table.row_count == FIRST_ROWS + 4
        assert "look at pivot" in hands.big_key_line()
        await hands.type("cover")
        assert table.row_count == 1
        assert "look at cover 1" in hands.big_key_line()


async def test_depth_and_price_stand_where_there_is_room(tmp_path: Path) -> None:
    for size, is_there in (((120, 40), True), ((80, 24), False)):
        async with cockpit_on(tmp_path / str(size[0]), size=size) as hands:
            hands.floor.take_up(1).close(Outcome(Result.DONE))
            store = hands.floor.store
            store.add_tally(tally(1, 1, price=Decimal("88.50"), depth_mm=17.96))
            await hands.press("l")
            (line,) = (line for line in hands.lines() if "flange 3" in line)
            assert ("17.96" in line) == is_there
            assert ("88.50 EUR" in line) == is_there
            assert "1 electrode   88.50 EUR" in hands.part("totals")
            await hands.press("ctrl+u")


async def test_a_hole_that_was_looked_at_is_as_the_log_has_it_then(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.press("l")
        await hands.big()
        assert hands.screen_name == "HolePageScreen"
        hole = hands.page(4).row.id
        hands.floor.store.add_outcome(1, hole, Outcome(Result.GIVEN_UP, why="too thin"))
        await hands.press("backspace")
        (marked,) = (line for line in hands.lines() if "►" in line)
        assert marked.rstrip().endswith("given up")
        await hands.type("given")
        assert hands.part("totals").startswith("1 hole, 1 closed")


async def test_every_hole_of_a_job_is_found_by_what_its_job_was_corrected_to(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path) as hands:
        store = hands.floor.store
        job = store.add_job(1, "Harrowfield Pumps", "HP-9", "cover")
        for label in ("left", "right"):
            store.add_hole(1, job, TICKET.model_copy(update={"hole": label}), "plan")
        await hands.press("l")
        await hands.type("HP-9 left")
        assert hands.part("totals").startswith("1 hole")
        await hands.press("enter")
        assert hands.screen_name == "HolePageScreen"
        store.correct_job(1, job, ("Ostrel Boatworks", "OB-9", "cover"), "misread")
        await hands.press("backspace")
        for text, many in (("OB-9", "2 holes"), ("HP-9", "0 holes")):
            await hands.press("ctrl+u")
            await hands.type(text)
            assert hands.part("totals").startswith(many)


async def test_a_long_log_says_that_it_is_still_being_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(search, "FIRST_HOLES", 2)
    monkeypatch.setattr(shiftlog, "PAUSE_S", 60.0)
    monkeypatch.setattr(shiftlog, "ANSWERED_S", 60.0)
    async with cockpit_on(tmp_path) as hands:
        await hands.press("l")
        assert hands.part("totals").startswith("2 holes, 0 closed   still reading: 2 of 4")
        await hands.type("flange")
        hands.screen._read_on()  # type: ignore[attr-defined] # nothing is read beside a key
        assert "Nothing in what was read so far has" in hands.shown()
        monkeypatch.setattr(shiftlog, "ANSWERED_S", 0.0)
        hands.screen._read_on()  # type: ignore[attr-defined] # what the pause would end with
        hands.screen._read_on()  # type: ignore[attr-defined] # what the pause would end with
        await hands.press()
        assert hands.part("totals").startswith("1 hole, 0 closed\n")


async def test_a_hole_page_shows_record_and_trace_in_the_operators_unit(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CENTRE) as hands:
        await hands.press("escape", "l", "down", "down", "down")
        await hands.big()
        assert hands.part("title") == "hole 1   flange 3"
        assert hands.part("facts").startswith("depth ")
        assert "travel" in hands.shown()
        await hands.press("8")
        record = hands.part("told")
        assert "Harrowfield Pumps" in record
        assert "M10x1.5" in record
        assert "mm" in record
        await hands.press("u")
        assert hands.part("told") != record


async def test_the_trace_is_saved_beside_the_log(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CENTRE) as hands:
        await hands.press("escape", "l", "down", "down", "down")
        await hands.big()
        await hands.press("x")
        assert "saved as" in hands.part("complaint")
        rows = (tmp_path / "trace-1.csv").read_text(encoding="utf-8").splitlines()
        assert len(rows) >= 600


async def test_a_trace_that_cant_be_saved_is_said_so(tmp_path: Path) -> None:
    (tmp_path / "trace-4.csv").mkdir()
    async with cockpit_on(tmp_path) as hands:
        await hands.press("l")
        await hands.big()
        await hands.press("x")
        assert "can't be saved" in hands.part("complaint")


async def test_going_to_the_bench_from_a_hole_page_leaves_nothing_behind(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        depth = len(hands.app.screen_stack)
        for _ in range(3):
            await hands.press("l")
            await hands.big()
            await hands.press("escape")
            assert hands.screen_name == "BenchScreen"
        assert len(hands.app.screen_stack) == depth


async def test_the_chosen_hole_has_a_mark_and_a_search_that_finds_nothing_says_so(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.press("l", "down")
        (marked,) = (line for line in hands.lines() if "►" in line)
        assert "stud 2" in marked
        assert "05-06 07:08" in marked
        await hands.type("zzz")
        assert 'Nothing in the log has "zzz" in it.' in hands.shown()
        await hands.press("ctrl+u")
        await hands.type("cover")
        (marked,) = (line for line in hands.lines() if "►" in line)
        assert "cover 1" in marked


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (160, 45)])
async def test_the_columns_of_the_log_fit(tmp_path: Path, size: tuple[int, int]) -> None:
    async with cockpit_on(tmp_path, size=size) as hands:
        job, ticket = hands.page(1).row.job, hands.page(1).ticket
        name = "the flange beside the outlet of the casing, third from the left"
        long = hands.floor.take_in_hole(job.id, ticket.model_copy(update={"hole": name}))
        hands.floor.take_up(long).close(Outcome(Result.LATER, why="no taps left"))
        await hands.press("l")
        (marked,) = (line for line in hands.lines() if "►" in line)
        assert "left for later" in marked
        assert "…" in marked or size[0] > 120
        assert marked.rstrip().endswith("left for later")
        assert ("pump casing" in hands.shown()) == (size[0] > 120)


async def test_a_record_longer_than_the_screen_says_so(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.OUTCOME) as hands:
        await hands.press("escape", "l", "down", "down", "down")
        await hands.big()
        await hands.press("8")
        assert "DOWN for" in hands.shown()
        last = hole_record(hands.page(), None, LengthUnit.MM).splitlines()[-1].strip()
        assert last not in hands.shown()
        await hands.press(*["down"] * 60)
        assert "DOWN for" not in hands.shown()
        assert last in hands.shown()


async def test_a_hole_page_says_who_had_it(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.GUARD) as hands:
        assert "had by" not in hole_record(hands.page(), None, LengthUnit.MM)
        await hands.press("escape")
        hands.floor.close_shift("")
        hands.floor.open_shift("RK")
        hands.floor.take_up(1).leave()
        hands.app.show_hole(1)
        await hands.press("8")
        assert "had by          MT, then RK" in hands.part("told")
