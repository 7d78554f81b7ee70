from dataclasses import replace
from pathlib import Path

import pytest
from textual.events import Paste

from cockpit.flow.steps import Step
from cockpit.widgets.answer_input import AnswerInput
from cockpit.widgets.quantity_input import QuantityInput
from tests.screens.hands import Hands, bring_to, cockpit_on


def kept(hands: Hands) -> list[tuple[float, float, str]]:
    return [(row.across_mm, row.along_mm, row.verdict) for row in hands.page().centres]


async def test_the_big_key_says_centred(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CENTRE) as hands:
        assert "yes, centred" in hands.big_key_line()
        await hands.big()
        assert kept(hands) == [(0.0, 0.0, "go on")]
        assert hands.part("item-title") == "Guard on"
        await hands.big()
        assert hands.screen_name == "BurnScreen"


async def test_a_typed_offset_is_judged_first_and_then_kept(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CENTRE) as hands:
        await hands.type("0.2", "enter")
        await hands.type("-.1")
        assert "GO ON   off 0.22, at most 0.66 mm" in hands.part("verdict")
        await hands.big(key="enter")
        assert kept(hands) == []
        assert "guard on, then burn" in hands.big_key_line()
        await hands.big()
        assert kept(hands) == [(0.2, -0.1, "go on")]
        assert hands.in_hand().step is Step.GUARD


async def test_what_is_no_length_is_not_taken_for_centred(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CENTRE) as hands:
        await hands.type("0.2.2")
        assert hands.part("verdict") == "", "no verdict on what nobody can read"
        assert "on to away or towards you" in hands.big_key_line()
        await hands.press("enter")
        await hands.big(key="enter")
        assert "not a length" in hands.part("complaint")
        assert kept(hands) == []
        assert hands.screen_name == "CentreScreen"


async def test_a_spot_to_move_leads_to_the_guard_and_another_pilot(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CENTRE) as hands:
        allowed_mm = hands.in_hand().plan.electrode.allowed_offset_mm
        await hands.type(f"{allowed_mm + 0.2:.2f}", "enter")
        await hands.big(key="enter")
        assert "MOVE" in hands.part("verdict")
        assert "moved: guard on, another spot" in hands.big_key_line()
        await hands.big()
        assert kept(hands)[-1][2] == "move"
        assert hands.part("item-title") == "Guard on"
        await hands.big()
        assert hands.screen_name == "PilotScreen"
        assert "arc on: a short pilot burn" in hands.big_key_line()


async def test_a_spot_in_the_thread_stops_the_hole(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CENTRE) as hands:
        await hands.type("4", "enter")
        await hands.big(key="enter")
        assert "STOP" in hands.part("verdict")
        await hands.big()
        assert kept(hands)[-1][2] == "stop"
        assert hands.screen_name == "OutcomeScreen"


async def test_nobody_burns_on_at_a_spot_that_was_said_to_be_off(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CENTRE) as hands:
        assert "P pilot on" in hands.keys_line()
        await hands.type("1.5", "enter")
        await hands.press("p")
        assert hands.screen_name == "CentreScreen"
        await hands.big(key="enter")
        assert "STOP" in hands.part("verdict")
        assert "P pilot on" not in hands.keys_line()
        await hands.press("p")
        assert hands.screen_name == "CentreScreen"
        assert hands.in_hand().step is Step.CENTRE


async def test_a_spot_that_stopped_the_hole_is_looked_at_again_without_an_arc(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path, at=Step.CENTRE) as hands:
        await hands.type("4", "enter")
        await hands.big(key="enter")
        await hands.big()
        assert hands.screen_name == "OutcomeScreen"
        await hands.press("backspace")
        hands.rests()
        await hands.press("backspace")
        assert hands.part("item-title") == "Guard on"
        await hands.big()
        assert "look at the spot" in hands.big_key_line()


async def test_backspace_takes_a_judgement_back(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CENTRE) as hands:
        await hands.type("0.3", "enter")
        await hands.big(key="enter")
        await hands.press("backspace")
        assert "on to away or towards you" in hands.big_key_line()
        await hands.press("backspace", "1")
        assert "off 0.10, at most" in hands.part("verdict")
        assert kept(hands) == []


async def test_a_figure_typed_into_an_offset_that_stands_takes_its_place(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CENTRE) as hands:
        await hands.type("0.3", "enter")
        await hands.big(key="enter")
        await hands.press("backspace")
        await hands.type("0.1")
        assert "off 0.10, at most" in hands.part("verdict")
        await hands.big(key="enter")
        await hands.press("backspace")
        await hands.press("space")
        await hands.type("2")
        across = hands.screen.query_one("#across", QuantityInput)
        assert across.text == "0.1 2", "a space goes on with what stands there"


async def test_what_is_pasted_takes_its_place_and_is_gone_on_with(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CENTRE) as hands:
        await hands.type("0.3", "enter")
        await hands.big(key="enter")
        await hands.press("backspace")
        across = hands.screen.query_one("#across", QuantityInput)
        across.query_one(AnswerInput).post_message(Paste("0.1"))
        await hands.pilot.pause()
        await hands.type("5")
        assert across.text == "0.15"


async def test_whoever_clicks_into_a_figure_goes_on_with_it(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CENTRE) as hands:
        await hands.type("0.3", "enter")
        await hands.big(key="enter")
        await hands.press("backspace")
        across = hands.screen.query_one("#across", QuantityInput)
        await hands.pilot.click(across.query_one(AnswerInput), offset=(3, 0))
        await hands.type("5")
        assert across.text == "0.35"


async def test_a_spot_that_holds_the_electrode_is_said_to(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.PILOT) as hands:
        await hands.big()
        await hands.passes(60.0)
        assert "TOO DEEP" not in hands.shown()
        await hands.passes(140.0)
        assert "■■■ TOO DEEP ■■■" in hands.shown()
        await hands.big()
        assert "TOO DEEP to be moved: look" in hands.part("facts")
        await hands.big()
        assert hands.screen_name == "CentreScreen"
        assert "may pull an electrode that is moved back in" in hands.part("complaint")
        await hands.type("0.8", "enter")
        await hands.big(key="enter")
        assert "MOVE" in hands.part("verdict")
        assert "burn the next one short" in hands.part("complaint")


async def test_what_was_typed_of_a_spot_waits_for_whoever_comes_back_to_it(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CENTRE) as hands:
        await hands.type("4", "enter")
        await hands.type("-.2")
        await hands.press("enter")
        assert "STOP" in hands.part("verdict")
        await hands.press("escape", "u")
        await hands.big()
        assert hands.screen_name == "CentreScreen"
        across = hands.screen.query_one("#across", QuantityInput)
        assert across.understood.mm == pytest.approx(4.0, abs=0.01), "whatever the unit is now"
        assert "STOP" in hands.part("verdict")
        assert "yes, centred" not in hands.big_key_line()
        await hands.big(3, key="enter")
        assert kept(hands)[-1][2] == "stop"
        assert hands.app.offsets == {}


async def test_an_answer_that_is_mended_is_no_move(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CENTRE) as hands:
        await hands.big()
        assert hands.part("item-title") == "Guard on"
        await hands.press("backspace")
        assert hands.screen_name == "CentreScreen"
        await hands.type("0.8", "enter")
        assert "MOVE" in hands.part("verdict")
        assert "WRONG WAY" not in hands.shown(), "it is the same spot"


async def test_another_pilot_can_be_burnt_first(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CENTRE) as hands:
        await hands.press("p")
        assert hands.part("item-title") == "Guard on"
        await hands.big()
        assert hands.screen_name == "PilotScreen"


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_both_drawings_are_there_and_show_the_spot_where_it_stands(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    async with cockpit_on(tmp_path, at=Step.CENTRE, size=size) as hands:
        before = hands.shown()
        # Nobody has said anything yet: no burn, no judgement.
        assert "on centre" not in before
        assert "to scale" in before or "width" in before
        assert "at stop" in before
        await hands.type("1.5", "enter")
        await hands.type("-0.4")
        shown = hands.shown()
        assert "off right    1.50 mm" in shown
        assert "MOVE left    1.50 mm" in shown
        assert "MOVE away    0.40 mm" in shown
        assert "into thread" in shown
        assert "at stop" in shown


async def test_what_is_left_is_said_for_surface_and_bottom(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CENTRE) as hands:
        await hands.type("0.4")
        # M10x1.5: (8.376 - 5.856)/2 = 1.260 to the thread, (5.856 - 4)/2 = 0.928 past the web
        *_, thread, web, words = hands.part("verdict").splitlines()
        assert thread.split() == ["thread", "0.86", "0.86", "0.60"]
        assert web.split() == ["web", "0.53", "0.53", "0.00"]
        assert words.startswith("Go on: 0.86 mm")


async def test_a_head_out_of_square_takes_from_the_bottom(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        shop = hands.floor.shop
        leaning = shop.machine.model_copy(update={"out_of_square": 0.01})
        hands.floor.shop = replace(shop, machine=leaning)
        bring_to(hands.floor, hands.clock, Step.CENTRE)
        await hands.big()
        await hands.type("0.4")
        *_, thread, web, _ = hands.part("verdict").splitlines()
        # 21.5 mm x 0.01 = 0.215 mm aside at the deepest of the burn
        assert thread.split() == ["thread", "0.86", "0.64", "0.60"]
        assert web.split() == ["web", "0.53", "0.31", "0.00"]


async def test_a_move_the_wrong_way_is_plain_to_see(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CENTRE) as hands:
        await hands.type("0.8")
        await hands.big(key="enter")
        await hands.big(key="enter")
        await hands.big()  # move it
        await hands.big()  # guard on
        await hands.big()  # arc on
        await hands.passes(60.0)
        await hands.big(2)  # arc off, look
        assert hands.screen_name == "CentreScreen"
        await hands.type("1.1")
        first, second, *_ = hands.part("verdict").splitlines()
        assert first.startswith("MOVE")
        assert second == "WRONG WAY: 0.80 mm before"
        assert "before" in hands.shown()
        await hands.press("backspace", "backspace", "backspace", "0")
        await hands.type(".2")
        assert "WRONG WAY" not in hands.part("verdict")


async def test_a_centred_spot_that_cuts_the_thread_is_shown_before_the_hole_is_closed(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path) as hands:
        shop = hands.floor.shop
        thick = tuple(one for one in shop.stock if one.diameter_mm > 9)
        hands.floor.shop = replace(shop, stock=thick)
        bring_to(hands.floor, hands.clock, Step.CENTRE)
        await hands.big()
        assert "yes, centred" in hands.big_key_line()
        await hands.big()
        assert hands.part("verdict").startswith("STOP")
        assert hands.screen_name == "CentreScreen"
        assert kept(hands) == []
        await hands.big()
        assert kept(hands)[-1][2] == "stop"


async def test_what_was_wrong_is_no_longer_said_when_it_is_mended(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CENTRE) as hands:
        await hands.type("1/", "enter")
        await hands.big(key="enter")
        assert "not a length" in hands.part("complaint")
        await hands.press("backspace")
        await hands.type("64")
        assert hands.part("complaint") == ""


async def test_a_letter_is_not_lost_and_the_next_press_is_not_taken_for_centred(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path, at=Step.CENTRE) as hands:
        await hands.press("x")
        assert 'No length begins with "x"' in hands.part("complaint")
        assert "look again" in hands.big_key_line()
        await hands.big()
        assert kept(hands) == []
        assert hands.screen_name == "CentreScreen"
        assert 'Not taken for centred: "x" was typed before.' in hands.part("complaint")
        assert "yes, centred" in hands.big_key_line()
        await hands.big()
        assert kept(hands) == [(0.0, 0.0, "go on")]


async def test_a_letter_is_forgotten_once_a_figure_is_typed(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CENTRE) as hands:
        await hands.press("r")
        await hands.type("0.3")
        assert hands.part("complaint") == ""
        await hands.press("enter", "x")
        assert 'No length begins with "x"' in hands.part("complaint")
        await hands.press("backspace")
        assert "judge the offset" in hands.big_key_line()
        await hands.big()
        await hands.big()
        assert kept(hands) == [(0.3, 0.0, "go on")]


async def test_where_the_spot_sits_is_said_as_the_operator_stands(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CENTRE) as hands:
        assert hands.part("where") == ""
        await hands.type("-0.2", "enter")
        assert hands.part("where") == "spot 0.20 mm to the LEFT"
        await hands.type("0.1")
        assert "0.10 mm AWAY FROM YOU" in hands.part("where")
        assert "0.20 mm to the LEFT" in hands.shown()


async def test_another_unit_changes_neither_the_offset_nor_the_verdict(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CENTRE) as hands:
        await hands.type("0.2", "enter")
        await hands.type("-.1", "enter")
        assert "guard on, then burn" in hands.big_key_line()
        before = hands.part("verdict").split()[0]
        await hands.press("u")
        assert hands.part("verdict").split()[0] == before == "GO"
        assert "spot 0.0079 in to the RIGHT" in hands.part("where")
        assert "guard on, then burn" in hands.big_key_line()
        await hands.big()
        assert hands.screen_name == "SetupScreen"
        (centre,) = hands.page().centres
        assert (centre.across_mm, centre.along_mm) == (0.2, -0.1)


async def test_a_pilot_that_went_to_the_stop_is_touched_off_before_it_burns_on(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path, at=Step.PILOT) as hands:
        await hands.big()
        while not {"at stop", "target"} & {call.kind for call in hands.in_hand().live.standing}:
            await hands.passes(5.0)
        await hands.big(2)
        assert hands.screen_name == "CentreScreen"
        assert "P pilot on" not in hands.keys_line()
        await hands.big()
        assert hands.screen_name == "TouchScreen"
