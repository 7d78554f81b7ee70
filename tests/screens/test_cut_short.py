"""A burn that was cut short: touch off first, and how deep it is where that can be gauged."""

from __future__ import annotations

from pathlib import Path

from cockpit.burn.reading import Mark, MarkKind
from cockpit.flow.past import past_events
from cockpit.flow.steps import Step
from cockpit.widgets.block_figures import BlockFigures
from tests.screens.hands import Hands, cockpit_on


async def taken_up_cut_short(hands: Hands) -> None:
    """The cockpit is gone in mid burn, and the hole is taken up again."""
    await hands.cut_short(60.0)
    assert "flange 3: arc off, touch off" in hands.big_key_line()
    await hands.big()
    await hands.passes(4.0)
    assert hands.screen_name == "TouchScreen"


async def test_the_touch_off_is_asked_for_first_and_says_why(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await taken_up_cut_short(hands)
        assert "touch-off, burn cut short" in hands.lines()[0]
        assert "The burn was cut short: arc off at the machine" in hands.part("complaint")
        assert "It may have burnt on" in hands.part("facts")
        keys = hands.named_keys()
        assert "D depth gauged" not in keys, "the wear comes before the depth"
        assert {"L length lost", "C clean out"} <= set(keys)
        await hands.big()
        assert "set the stop to this gap" in hands.part("asks")
        assert "D: gauge it" in hands.part("facts")
        assert "D depth gauged" in hands.named_keys()
        await hands.big()
        assert hands.part("item-title") == "Guard on"


async def test_a_depth_can_be_gauged_before_the_stop_is_set(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await taken_up_cut_short(hands)
        await hands.big()
        gap = hands.screen.query_one(BlockFigures).text
        await hands.press("d")
        assert "How deep is the burn" in hands.part("asks")
        await hands.press("backspace")
        assert hands.screen.query_one(BlockFigures).text == gap, "the touch-off stands"
        await hands.press("d")
        await hands.type("18")
        await hands.press("enter")
        assert "far from" in hands.part("complaint")
        await hands.press("a")
        assert "Taken. The burn is done." in hands.part("asks")
        assert "clean out" in hands.big_key_line()


async def test_backspace_burns_on_as_it_was_and_it_is_asked_again_the_next_time(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await taken_up_cut_short(hands)
        wear = hands.in_hand().live.state().wear
        await hands.press("backspace")
        assert hands.part("item-title") == "Guard on"
        assert hands.in_hand().live.state().wear == wear
        await hands.press("escape")
        assert "CUT SHORT: look at the hole first." in hands.part("chosen")
        assert "may burn on" in hands.part("complaint")
        await hands.big()
        assert hands.screen_name == "TouchScreen"


async def test_until_the_tip_lands_the_depth_is_at_least_what_was_seen(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await taken_up_cut_short(hands)
        assert "depth at least" in hands.part("facts")
        await hands.big(2)
        await hands.big()
        assert hands.screen_name == "BurnScreen"
        assert "or deeper" in hands.part("beside-depth")
        assert "at most" in hands.part("beside-target")
        await hands.passes(0.6)
        await hands.big()
        assert "time not known before the tip lands" in hands.part("facts")
        while not hands.in_hand().live.state().has_landed:
            await hands.passes(0.5)
        assert "±" in hands.part("beside-depth")


async def test_where_the_zero_is_gone_it_is_zeroed_anew(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await taken_up_cut_short(hands)
        assert "Z zero is gone" in hands.keys_line()
        await hands.press("z")
        assert hands.in_hand().step is Step.AGAIN
        assert "set up again 1 of 3" in hands.lines()[0]
        assert hands.part("item-title") == "Zero"
        await hands.set_up("Guard on")
        assert hands.page().zeroed_again == 1
        await hands.press("escape")
        assert "CUT SHORT" not in hands.shown()


async def test_at_another_touch_off_no_zero_is_gone(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.to_touch_off()
        assert "zero is gone" not in hands.keys_line()
        await hands.press("z")
        assert hands.screen_name == "TouchScreen"


async def test_once_it_is_touched_off_the_bench_warns_no_more(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await taken_up_cut_short(hands)
        await hands.big()
        await hands.press("escape")
        assert "CUT SHORT" not in hands.shown()
        assert "may burn on" not in hands.shown()


async def test_a_second_look_at_the_touch_off_is_a_measurement_like_any_other(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await taken_up_cut_short(hands)
        await hands.big()
        await hands.press("backspace")
        assert hands.part("asks").startswith("Arc off. Tip on the reference face")
        await hands.big()
        events = past_events(hands.floor.store.connection, 1)
        kinds = [event.kind for event in events if isinstance(event, Mark)]
        assert kinds[-3:] == [MarkKind.UNSEEN, MarkKind.TOUCH, MarkKind.TOUCH]
