"""Another electrode in the middle of a hole, by keys."""

from __future__ import annotations

import time
from pathlib import Path

from cockpit.burn.reading import Mark, MarkKind
from cockpit.flow.past import past_events
from cockpit.flow.steps import Step
from cockpit.screens.shared.keygate import KeyGate
from tests.screens.hands import Hands, cockpit_on
from tests.screens.test_refused import log_refuses


def changes(hands: Hands) -> int:
    events = past_events(hands.floor.store.connection, 1)
    return sum(isinstance(event, Mark) and event.changes for event in events)


async def burnt(hands: Hands) -> None:
    await hands.big()
    await hands.passes(60.0)
    await hands.big()
    assert "arc on" in hands.big_key_line()


async def test_another_electrode_is_set_up_by_keys_and_the_burn_goes_on(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await burnt(hands)
        before = hands.in_hand().live.state().depth_mm
        await hands.press("e")
        assert "another electrode 1 of" in hands.shown()
        titles = []
        while hands.in_hand().step is Step.ELECTRODE:
            assert changes(hands) == 0
            titles.append(hands.shown())
            await hands.confirm()
        zero = next(shown for shown in titles if "Zero" in shown)
        assert "pass over" not in zero
        assert any("at the stop the indicator reads" in shown for shown in titles)
        assert changes(hands) == 1
        assert hands.in_hand().step is Step.GUARD
        await hands.big()
        assert "tip not yet on the work" in hands.part("facts")
        assert hands.in_hand().live.state().depth_mm == before
        await hands.passes(1.0)
        await hands.big()
        await hands.passes(20.0)
        assert "wear 0." in hands.part("facts")
        assert hands.in_hand().live.state().has_landed


async def test_who_steps_back_keeps_the_electrode(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await burnt(hands)
        await hands.press("e")
        await hands.press("backspace")
        assert hands.in_hand().step is Step.GUARD
        assert changes(hands) == 0


async def test_with_the_arc_on_no_electrode_can_be_changed(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.big()
        await hands.press("e")
        assert hands.in_hand().step is Step.BURN
        assert "E electrode" not in hands.shown()


async def test_an_electrode_that_wont_last_is_called_and_space_leads_to_another(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await burnt(hands)
        live = hands.in_hand().live
        reach_mm, high_mm = live.tracker.aim.reach_mm, live.state().high_mm
        assert reach_mm is not None
        assert high_mm is not None
        ratio = 1 - (14.0 - 3.0) / (reach_mm - 3.0)
        live.measured(MarkKind.TOUCH, ratio * (high_mm - 3.0))
        await hands.passes(0.5)
        # With the arc off already: the time to change it is now.
        assert "SHORT" in hands.shown()
        assert "electrode too short: change the" in hands.shown()
        assert "change the electrode" in hands.big_key_line()
        await hands.big()
        assert hands.in_hand().step is Step.ELECTRODE


async def taken_up_after_another_hole(hands: Hands) -> None:
    await burnt(hands)
    await hands.press("escape")
    other = hands.floor.take_up(2)
    other.accept_plan()
    other.leave()
    hands.app.take_up(1)
    await hands.press()


async def test_the_set_up_after_another_hole_is_no_other_electrode(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await taken_up_after_another_hole(hands)
        assert hands.in_hand().step is Step.AGAIN
        assert "set up again 1 of" in hands.lines()[0]
        assert "another electrode" not in hands.lines()[0]
        assert "Another hole was in hand since" in hands.part("complaint")
        await hands.set_up("Guard on")
        await hands.big()
        assert hands.screen_name == "BurnScreen"
        await hands.big()
        await hands.passes(20.0)
        assert hands.page().zeroed_again == 1


async def test_who_says_that_it_is_as_it_was_has_the_guard_alone_to_see_to(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await taken_up_after_another_hole(hands)
        assert hands.part("complaint").endswith(
            "L if part, electrode, zero and stop are all as they were."
        )
        await hands.press("backspace")
        assert hands.screen_name == "BenchScreen", "stepping back says nothing of the zero"
        await hands.big()
        assert "L all as it was left" in hands.keys_line()
        hands.app.gate.shut_until(time.monotonic() + 60.0)
        await hands.press("l")
        assert hands.in_hand().step is Step.AGAIN, "meant for the screen before"
        hands.app.gate = KeyGate()
        await hands.pilot.resize_terminal(60, 20)
        await hands.press("l")
        assert hands.in_hand().step is Step.AGAIN, "nobody can see what it says"
        await hands.pilot.resize_terminal(80, 24)
        with log_refuses(hands):
            await hands.press("l")
            assert "can't be written" in hands.part("complaint")
            assert hands.in_hand().step is Step.AGAIN
        await hands.press("l")
        assert hands.in_hand().step is Step.GUARD
        assert "before the arc 1 of 1" in hands.lines()[0]
        assert changes(hands) == 0


async def test_a_set_up_again_goes_on_where_it_was_and_can_be_stepped_back_to(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await taken_up_after_another_hole(hands)
        await hands.press("l", "backspace")
        assert "set up again 1 of 13" in hands.lines()[0]
        await hands.confirm()
        await hands.press("escape")
        await hands.big()
        assert "set up again 2 of 13" in hands.lines()[0]
        assert "L all as it was left" not in hands.keys_line()


async def test_backspace_at_another_electrode_leads_back_to_the_set_up_before(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await taken_up_after_another_hole(hands)
        await hands.press("e", "backspace")
        assert hands.in_hand().step is Step.AGAIN
        assert "set up again 1 of 13" in hands.lines()[0]


async def test_nothing_confirms_itself_where_all_may_be_as_it_was_left(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        # A shop whose list has the indicator first.
        setup = sorted(hands.floor.checklist.setup, key=lambda item: item.live is None)
        changed = {"setup": tuple(setup)}
        hands.floor.checklist = hands.floor.checklist.model_copy(update=changed)
        await taken_up_after_another_hole(hands)
        assert hands.part("item-title") == "Zero"
        for _ in range(40):
            await hands.passes(0.5)
        assert hands.part("item-title") == "Zero"
        assert "L if part" in hands.part("complaint")
        assert hands.big_key_line().endswith("confirm")
        await hands.big()
        assert hands.part("item-title") == "Gauge follows"
        for _ in range(40):
            await hands.passes(0.5)
        assert hands.part("item-title") == "Cautions of the material", "from then on as ever"


async def test_who_puts_another_one_in_says_so_by_a_key(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await taken_up_after_another_hole(hands)
        assert "E another electrode" in hands.keys_line()
        await hands.press("e")
        assert hands.in_hand().step is Step.ELECTRODE
        assert "another electrode 1 of" in hands.lines()[0]
        assert "E another electrode" not in hands.keys_line()
        await hands.set_up("Guard on")
        assert hands.page().zeroed_again == 0
        assert changes(hands) == 1


async def test_a_worn_electrode_that_is_not_zeroed_is_not_taken_all_the_same(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await burnt(hands)
        await hands.press("e")
        await hands.set_up("Zero")
        hands.in_hand().live.touching(False)
        await hands.passes(2.0)
        await hands.big()
        assert "The indicator shows" in hands.part("complaint")
        assert "A takes it" not in hands.part("complaint")
        await hands.press("a")
        assert hands.part("item-title") == "Zero"
