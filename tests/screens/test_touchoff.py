from pathlib import Path

import pytest

from cockpit.burn.calls import Call
from cockpit.burn.reading import Mark, MarkKind
from cockpit.flow.steps import Step
from cockpit.log import questions
from cockpit.log.rows import CheckResult
from cockpit.units import write_both
from cockpit.widgets.block_figures import BlockFigures
from cockpit.widgets.quantity_input import QuantityInput
from tests.screens.hands import Hands, cockpit_on


def measured(hands: Hands) -> list[tuple[MarkKind, float]]:
    events = questions.events(hands.floor.store.connection, 1)
    return [
        (event.kind, event.value_mm)
        for _, event in events
        if isinstance(event, Mark) and event.measures and event.value_mm is not None
    ]


async def test_the_big_key_takes_the_indicator(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.to_touch_off()
        before = hands.in_hand().live.state()
        assert before.travel_mm is not None
        assert f"take {before.travel_mm:.2f} mm as the touch-off" in hands.big_key_line()
        await hands.big()
        assert measured(hands) == [(MarkKind.TOUCH, before.travel_mm)]
        after = hands.in_hand().live.state()
        assert after.wear.sd_mm < before.wear.sd_mm
        assert f"{hands.in_hand().stop_mm:.2f} mm" in hands.part("facts")
        # The tip is on the face, so what the indicator shows there is not in the gap.
        gap = hands.in_hand().stop_mm - after.wear.wear_mm
        assert gap == pytest.approx(hands.in_hand().stop_mm - before.travel_mm, abs=0.05)
        assert hands.screen.query_one(BlockFigures).text == f"{gap:.2f}"
        assert "set the stop to this gap" in hands.part("asks")
        assert "the stop is set" in hands.big_key_line()
        await hands.big()
        stop = hands.page().checks[-1]
        assert (stop.item, stop.result) == ("stop", CheckResult.CONFIRMED)
        assert stop.word == f"set at {write_both(hands.in_hand().stop_mm)}"
        assert hands.part("item-title") == "Guard on"
        await hands.big()
        assert hands.screen_name == "BurnScreen"


async def test_a_stop_that_was_not_set_is_asked_for_before_the_arc(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.to_touch_off()
        await hands.big()
        await hands.press("escape")
        await hands.big()
        assert hands.in_hand().step is Step.GUARD
        assert hands.part("item-title") == "Depth stop"
        assert f"the indicator reads {hands.in_hand().stop_mm:.2f} mm" in hands.part("item-note")
        await hands.press("k")
        assert "can't be passed over" in hands.part("complaint")
        await hands.big(2)
        assert hands.part("item-title") == "Guard on"
        await hands.big()
        assert hands.screen_name == "BurnScreen"


async def test_what_was_passed_over_is_said_at_the_touch_off(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CHECKS) as hands:
        await hands.set_up("Electrode")
        await hands.press("k")
        await hands.say("no light")
        await hands.set_up()
        await hands.big()
        await hands.passes(60.0)
        await hands.big()
        await hands.big()  # look at the spot
        await hands.big()  # centred
        await hands.big()  # guard on
        await hands.to_touch_off(60.0)
        assert "NOT SEEN: Electrode (no light)" in hands.part("facts")


async def test_a_target_that_was_touched_off_is_not_called_any_more(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.big()
        while not any(call.kind == "target" for call in standing(hands)):
            await hands.passes(5.0)
        await hands.big()
        await hands.press("t")
        await hands.passes(5.0)
        assert "TARGET" in hands.shown()
        await hands.big()
        assert "Taken." in hands.part("asks")
        assert "TARGET" not in hands.shown()


async def test_a_head_on_its_way_is_not_taken_for_a_touch_off(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.big()
        await hands.passes(120.0)
        await hands.big()
        await hands.press("t")
        await hands.passes(0.3)
        assert "once the indicator stands still" in hands.big_key_line()
        await hands.big()
        assert measured(hands) == []
        await hands.passes(5.0)
        assert "as the touch-off" in hands.big_key_line()
        await hands.big()
        assert [kind for kind, _ in measured(hands)] == [MarkKind.TOUCH]


async def test_an_unlikely_figure_is_asked_about_and_a_takes_it(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.to_touch_off(240.0)
        state = hands.in_hand().live.state()
        assert state.high_mm is not None
        value_mm = round(state.high_mm - hands.in_hand().plan.depth.recess_mm - 0.5, 2)
        await hands.say(f"{value_mm}")
        assert f"is not the {state.travel_mm:.2f} mm" in hands.part("complaint")
        assert measured(hands) == []
        await hands.press("a")
        assert measured(hands) == [(MarkKind.TOUCH, value_mm)]


async def test_the_big_key_does_not_take_a_doubted_indicator(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.to_touch_off(240.0)
        shown_mm = hands.in_hand().live.state().travel_mm
        assert shown_mm is not None
        hands.in_hand().live.measured(MarkKind.TOUCH, shown_mm + 9.0)  # another face, say
        hands.in_hand().live.measured(MarkKind.WEAR, shown_mm + 9.0)
        await hands.big()
        assert "far from" in hands.part("complaint")
        assert "as the touch-off" not in hands.big_key_line()
        taken = measured(hands)
        await hands.big()
        assert measured(hands) == taken
        await hands.press("a")
        assert measured(hands) == [*taken, (MarkKind.TOUCH, shown_mm)]


async def test_a_doubt_ends_with_another_way_of_measuring(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.to_touch_off(240.0)
        state = hands.in_hand().live.state()
        assert state.high_mm is not None
        await hands.say(f"{state.high_mm - hands.in_hand().plan.depth.recess_mm - 0.5:.2f}")
        await hands.press("d", "a")
        assert measured(hands) == [], "the doubted figure was no depth"


async def test_a_figure_that_cant_be_is_refused(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.to_touch_off()
        await hands.say("90")
        assert "can't be" in hands.part("complaint")
        await hands.press("a")
        assert measured(hands) == []


async def test_length_lost_can_be_typed_instead(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.to_touch_off()
        await hands.press("l")
        assert "shorter" in hands.part("asks")
        assert "as the touch-off" not in hands.big_key_line()
        wear_mm = round(hands.in_hand().live.state().wear.wear_mm, 2)
        await hands.say(f"{wear_mm}")
        assert measured(hands) == [(MarkKind.WEAR, wear_mm)]


async def test_a_gauged_depth_can_be_typed_instead(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.to_touch_off()
        await hands.press("d")
        assert "gauged" in hands.part("asks")
        depth = hands.in_hand().live.state().depth_mm
        assert depth is not None
        value_mm = round(depth.mid, 2)
        await hands.say(f"{value_mm}")
        assert measured(hands) == [(MarkKind.DEPTH, value_mm)]


async def test_a_figure_is_typed_in_the_operators_unit(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.to_touch_off()
        await hands.press("u")
        wear_in = round(hands.in_hand().live.state().wear.wear_mm / 25.4, 3)
        await hands.say(f"{wear_in}")
        assert measured(hands) == [(MarkKind.TOUCH, round(wear_in * 25.4, 3))]


async def test_what_the_gauge_types_is_in_its_unit_and_what_a_person_measures_in_the_shown(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN, gauge="typed-by-gauge") as hands:
        await hands.press("u", "t")
        field = hands.screen.query_one(QuantityInput)
        await hands.type("0.25")
        assert field.understood.mm == 0.25
        field.clear()
        await hands.press("l")
        await hands.type("0.25")
        assert field.understood.mm == 6.35


async def test_measuring_again_finds_the_field_ready(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.to_touch_off()
        await hands.big()
        await hands.press("backspace")
        await hands.type("1.2")
        assert hands.field().value == "1.2"


async def test_the_bottom_line_offers_only_other_ways_of_measuring(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN, size=(120, 40)) as hands:
        await hands.to_touch_off()
        assert "T touch-off" not in hands.keys_line()
        assert "L length lost" in hands.keys_line()
        await hands.press("l")
        assert "T touch-off" in hands.keys_line()
        assert "L length lost" not in hands.keys_line()


async def test_a_finished_burn_leads_to_the_clean_out(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        for _ in range(6):
            await hands.big()
            for _ in range(40):
                done = any(call.kind in ("target", "through") for call in standing(hands))
                if done or "AT THE STOP" in hands.part("facts"):
                    break
                await hands.passes(20.0)
            await hands.big()
            await hands.press("t")
            await hands.passes(5.0)
            await hands.big()
            if "clean out" in hands.big_key_line():
                break
            await hands.big(2)
        assert "clean out" in hands.big_key_line()
        await hands.big()
        assert hands.screen_name == "CleanoutScreen"


def standing(hands: Hands) -> tuple[Call, ...]:
    return hands.in_hand().live.state().standing


async def test_after_a_doubted_figure_the_big_key_does_not_take_another_at_once(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.to_touch_off()
        await hands.say("9.9")
        assert "go by the indicator instead" in hands.big_key_line()
        await hands.big(key="enter")
        assert measured(hands) == []
        assert "9.90 mm" in hands.part("complaint")
        assert "as the touch-off" in hands.big_key_line()
        await hands.big()
        assert len(measured(hands)) == 1
