from pathlib import Path

import pytest
from textual.widgets import DataTable

from cockpit.flow.clock import HandClock
from cockpit.flow.floor import ShopFloor
from cockpit.flow.steps import Step
from cockpit.flow.stocktake import Said
from cockpit.log.rows import CheckResult, Outcome, Result
from cockpit.trade.remnants import Kind
from cockpit.trade.stock import StockEntry
from cockpit.trade.ticket import Ticket
from tests.screens.hands import BEGAN, Hands, bring_to, cockpit_on

LONG = "Harrowfield and Ostrel Pumps, Boats and Gears of the Lower Marshes, Incorporated"


def row_of(hands: Hands, label: str) -> str:
    """The line of the bench that a hole stands in."""
    return next(line for line in hands.lines() if f" {label} " in line and "next" not in line)


def stock_with(folder: Path, holes: int, name: str = "flange", **job: str) -> None:
    """A bench of so many holes, left by MT in an earlier shift."""
    with ShopFloor(folder, gauge="simulated", clock=HandClock(BEGAN), seed=1) as floor:
        floor.open_shift("MT")
        ticket = Ticket(
            hole="x", thread="M10x1.5", broken=Kind.TAP, flutes=3, depth_mm=22.0, recess_mm=3.0
        )
        taken = floor.take_in_job(
            job.get("customer", "Harrowfield Pumps"), "HP-2207", job.get("part", "pump casing")
        )
        for number in range(1, holes + 1):
            hole = ticket.model_copy(update={"hole": f"{name} {number}"})
            floor.take_in_hole(taken, hole)


async def test_the_bench_says_what_each_hole_needs_next(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.GUARD) as hands:
        await hands.press("escape")
        assert hands.screen_name == "BenchScreen"
        assert "flange 3: guard on, then burn" in hands.big_key_line()
        assert "Harrowfield Pumps" in hands.shown()
        totals = "4 to do   0 closed this shift   arc 1:00   1 call   arrows choose"
        assert hands.part("totals") == totals, "the pilot burn was of this shift"
        assert "DEMO" in hands.part("title")
        await hands.press("down")
        assert "cover 1: plan it" in hands.big_key_line()
        await hands.big()
        assert hands.screen_name == "PlanScreen"
        assert "cover 1" in hands.part("title")


async def test_the_choice_stays_while_a_hole_is_in_hand(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.press("down", "down")
        await hands.press("u", "u")
        assert hands.screen.query_one(DataTable).cursor_row == 2


async def test_enter_is_the_big_key_too(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.big(key="enter")
        assert hands.screen_name == "PlanScreen"


async def test_a_closed_hole_can_be_looked_at(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.OUTCOME) as hands:
        await hands.press("1", "1", "1", "1", "1")
        await hands.big()
        await hands.press("down", "down", "down")
        assert "look at flange 3" in hands.big_key_line()
        await hands.press("u")
        assert "look at flange 3" in hands.big_key_line(), "the choice stays where it is"
        await hands.big()
        assert hands.screen_name == "HolePageScreen"
        await hands.press("backspace")
        assert hands.screen_name == "BenchScreen"


async def test_the_last_note_on_a_hole_is_shown_to_whoever_takes_it_up(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        hands.in_hand().note("a crack at the edge")
        hands.in_hand().note("look at [the] crack")
        await hands.press("escape")
        await hands.big()
        assert hands.screen_name == "SetupScreen"
        assert hands.part("complaint") == "Note by MT: look at [the] crack"
        await hands.confirm()
        assert hands.part("complaint") == ""


async def test_the_hole_that_was_put_down_is_the_chosen_one(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.press("down", "down")
        assert "stud 2: plan it" in hands.big_key_line()
        await hands.big()
        assert hands.screen_name == "PlanScreen"
        await hands.press("escape")
        assert "stud 2: plan it" in hands.big_key_line()
        await hands.press("up", "u")
        assert "cover 1: plan it" in hands.big_key_line()


async def test_a_hole_that_was_begun_does_not_wait(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.press("escape", "down")
        await hands.big(2)
        await hands.press("escape")
        assert "begun" in row_of(hands, "flange 3")
        assert "in hand" in row_of(hands, "cover 1")
        assert "waits" in row_of(hands, "stud 2")


async def test_quitting_leaves_everything_on_disk(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.press("q")
        assert hands.app.return_code == 0
        assert not hands.app.is_running
    async with cockpit_on(tmp_path, stocked=False) as hands:
        assert hands.screen_name == "BenchScreen"
        assert "4 to do" in hands.part("totals")


async def test_the_chosen_hole_has_a_mark_before_it_and_is_told_under_the_list(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path) as hands:
        assert row_of(hands, "flange 3").startswith(" ► waits")
        assert " of 4" not in hands.part("chosen"), "all of them are in sight"
        await hands.press("down")
        assert not row_of(hands, "flange 3").startswith(" ►")
        assert " of 4" not in hands.part("chosen"), "all of them are in sight"
        assert row_of(hands, "cover 1").startswith(" ► waits")
        assert "Ostrel Boatworks, OB-118, thruster housing, die-cast" in hands.part("chosen")
        assert "cover 1, 1/4-20 UNC tap. Taken in by MT." in hands.part("chosen")
        await hands.press("up", "u")
        assert row_of(hands, "flange 3").startswith(" ► waits")


async def test_a_burn_that_was_cut_short_is_said_with_its_arc_time(tmp_path: Path) -> None:
    """The program went down with the arc on: nothing is taken up again to see it."""
    clock = HandClock(BEGAN)
    with ShopFloor(tmp_path, gauge="simulated", clock=clock, seed=1) as floor:
        floor.open_shift("MT")
        for item in floor.daily_left():
            floor.answer_daily(item, CheckResult.CONFIRMED)
        job = floor.take_in_job("Harrowfield Pumps", "HP-2207", "pump casing")
        ticket = Ticket(
            hole="flange 3", thread="M10x1.5", broken=Kind.TAP, flutes=3, depth_mm=22, recess_mm=3
        )
        floor.take_in_hole(job, ticket)
        bring_to(floor, clock, Step.PILOT)
        hole = floor.take_up(1)
        for item in hole.checks_left():
            hole.answer_check(item, CheckResult.CONFIRMED)
        hole.checks_done()
        hole.arc_starts()
        clock.advance(151.0)
        hole.keep()  # as when the power is cut: kept so far, and nobody ended it
    async with cockpit_on(tmp_path, clock=clock, stocked=False) as hands:
        row = row_of(hands, "flange 3")
        assert "► CUT SHORT" in row
        assert row.rstrip().endswith(" 2:31")
        assert "CUT SHORT: look at the hole first." in hands.part("chosen")
        assert "flange 3 was cut short: the machine may burn on." in hands.part("complaint")
        assert "arc 2:31" in hands.part("totals")


async def test_a_hole_left_for_later_says_why(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.OUTCOME) as hands:
        hands.in_hand().close(Outcome(Result.LATER, why="no taps left"))
        await hands.press("escape")
        assert "► left " in row_of(hands, "flange 3")
        assert "Left for later: no taps left." in hands.part("chosen")


async def test_who_had_a_hole_before_is_said_to_the_next_shift(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.GUARD) as hands:
        await hands.press("escape")
        assert "in hand" in row_of(hands, "flange 3")
        assert "had it before" not in hands.part("chosen")
        hands.floor.close_shift("")
        hands.floor.open_shift("RK")
        for item in hands.floor.daily_left():
            hands.floor.answer_daily(item, CheckResult.CONFIRMED)
        await hands.press("u")
        assert "MT had it before." in hands.part("chosen")
        await hands.big()
        await hands.press("escape")
        assert "MT had it before." in hands.part("chosen")
        await hands.pilot.resize_terminal(160, 45)
        await hands.press("u")
        assert "MT, RK" in row_of(hands, "flange 3")


async def test_an_empty_bench_says_what_to_do(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, stocked=False) as hands:
        await hands.say("MT")
        await hands.set_up()
        assert "No hole is waiting" in hands.shown()
        assert "SPACE takes in a hole" in hands.shown()
        assert "take in a hole" in hands.big_key_line()
        assert "BACKSPACE" not in hands.keys_line()


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (160, 45)])
async def test_long_names_are_cut_short_and_what_comes_next_never_is(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    stock_with(tmp_path, 2, name="the flange beside the outlet of the casing", customer=LONG)
    async with cockpit_on(tmp_path, stocked=False, size=size) as hands:
        hands.floor.take_up(1).accept_plan()
        for item in hands.floor.daily_left():
            hands.floor.answer_daily(item, CheckResult.CONFIRMED)
        await hands.pilot.pause()
        hands.app.to_bench()
        await hands.pilot.pause()
        rows = [line for line in hands.lines() if "►" in line or "waits" in line]
        assert len(rows) == 2
        for row, needs in zip(rows, ("set it up", "plan it"), strict=True):
            assert f" {needs} " in row
            assert "…" in row
            assert len(row.rstrip()) <= size[0]
        # The whole name stands under the list, where there may be a line's end in it.
        assert LONG in " ".join(" ".join(hands.lines()).split())


async def test_two_hundred_holes_are_scrolled_through(tmp_path: Path) -> None:
    stock_with(tmp_path, 200)
    async with cockpit_on(tmp_path, stocked=False) as hands:
        assert hands.part("totals").startswith("200 to do")
        assert "1 of 200: flange 1, M10x1.5 tap." in hands.part("chosen")
        for _ in range(30):
            await hands.press("down")
        assert row_of(hands, "flange 31").startswith(" ► waits")
        assert "31 of 200: flange 31, M10x1.5 tap." in hands.part("chosen")
        assert sum("►" in line for line in hands.lines()) == 1
        await hands.pilot.resize_terminal(120, 40)
        await hands.pilot.pause()
        assert row_of(hands, "flange 31").startswith(" ► waits")


async def test_electrodes_that_run_out_are_said(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        assert "LOW" not in hands.part("totals")
        # The rack's profile says at how many of a size it is time to order.
        for label, number in (("1/8 in", 2), ("3/32 in", 2)):
            hands.floor.enter_stock(Said(label, StockEntry.COUNTED, number))
        await hands.press("u")
        # A line of its own, so that no shift is so long that it is cut off.
        assert hands.part("totals").splitlines()[0] == "electrodes LOW: 1/8 in (2)"
        for line in ("electrodes LOW: 1/8 in (2)", "4 to do   0 closed this shift"):
            assert line in hands.shown()


async def test_a_log_that_cant_be_read_is_said_and_the_cockpit_stays(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        connection = hands.floor.store.connection
        connection.execute("ALTER TABLE calls RENAME TO lost")
        await hands.press("e")
        assert hands.screen_name == "BenchScreen"
        assert "can't be read" in hands.part("complaint")
        await hands.press("l")
        assert "can't be read" in hands.part("complaint")
        await hands.type("q")
        assert "can't be read" in hands.part("complaint")
        connection.execute("ALTER TABLE lost RENAME TO calls")
        await hands.type("u")
        assert "look at pivot" in hands.big_key_line()
