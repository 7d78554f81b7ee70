from dataclasses import replace
from pathlib import Path

from cockpit.screens.plan import PlanScreen
from cockpit.trade.figures import words_of
from cockpit.widgets.page import Page
from tests.screens.hands import cockpit_on


async def test_the_plan_is_in_the_log_once_it_is_accepted(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.big()
        assert hands.screen_name == "PlanScreen"
        plan = hands.in_hand().plan
        assert f"electrode     {plan.electrode.label}" in hands.part("plan")
        assert "accept all the same" not in hands.keys_line()
        assert hands.page().plan is None
        await hands.big()
        assert hands.screen_name == "SetupScreen"
        assert hands.page().plan == plan


async def test_every_figure_says_where_it_comes_from(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.big()
        await hands.press("s")
        plan, shown = hands.in_hand().plan, hands.part("plan")
        for figure, source in plan.sources.items():
            assert any(
                line.startswith(words_of(figure)) and line.endswith(f": {source}")
                for line in shown.splitlines()
            )
            assert "." not in words_of(figure)
            assert "_" not in words_of(figure)
        assert "burnt away: the web, so that the lands come loose" in shown
        assert "not 3/16 in: off by 0.53 mm" in shown
        await hands.press("s", "u")
        assert "target        0.7087 in" in hands.part("plan")


async def test_what_does_not_fit_on_the_screen_is_scrolled_to(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.big()
        await hands.press("s")
        assert not any("general practice" in line for line in hands.lines())
        for _ in range(30):
            await hands.press("down")
        assert any("general practice" in line for line in hands.lines())
        for _ in range(30):
            await hands.press("up")
        assert any("burnt away: the web" in line for line in hands.lines())


async def test_a_poor_fit_is_not_accepted_by_the_big_key(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        floor = hands.floor
        shop = floor.shop
        thick = max(shop.stock, key=lambda electrode: electrode.diameter_mm)
        floor.shop = replace(shop, stock=(thick,))
        await hands.big()
        assert not hands.in_hand().plan.fits
        assert hands.part("doubts").startswith("! ")
        assert hands.big_key_line() == ""
        await hands.big()
        assert hands.screen_name == "PlanScreen"
        assert "Read the first warning" in hands.part("complaint")
        await hands.press("a")
        assert hands.screen_name == "WordScreen", "a key alone takes nothing on"
        await hands.type("12", "enter")
        assert "initials are letters" in hands.part("refused")
        assert hands.page().plan is None
        await hands.press("backspace", "backspace")
        await hands.type("MT", "enter")
        assert hands.screen_name == "SetupScreen"
        warning = hands.in_hand().plan.warnings[0]
        assert hands.page().notes[-1].text == f"Plan taken on against its warning by MT: {warning}"


async def test_a_plan_that_may_ruin_the_part_is_not_accepted_by_the_big_key(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.big()
        hands.in_hand().override("depth.stops_mm", 30.0, "a new gauge")
        await hands.press("u", "u")
        assert "chance to pass the bottom limit" in hands.part("doubts").splitlines()[0]
        assert hands.big_key_line() == ""
        await hands.big()
        assert hands.screen_name == "PlanScreen"
        await hands.press("a")
        await hands.type("MT", "enter")
        assert hands.screen_name == "SetupScreen"


async def test_initials_are_typed_by_whoever_takes_a_plan_on(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.big()
        hands.in_hand().override("depth.stops_mm", 30.0, "a new gauge")
        await hands.press("u", "u", "a")
        await hands.type("MT", "escape")
        await hands.press("a", "enter")
        assert hands.page().plan is None, "what another one typed is not there again"


async def test_a_plan_that_can_not_be_seen_is_not_taken_on(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.big()
        hands.in_hand().override("depth.stops_mm", 30.0, "a new gauge")
        await hands.pilot.resize_terminal(60, 20)
        await hands.press("a")
        assert hands.screen_name == "PlanScreen"
        assert "can't be seen" in hands.shown()


async def test_the_ticket_stands_over_its_plan(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.big()
        assert hands.lines()[0].rstrip().endswith("plan   cast iron, 3 flutes     mm")


async def test_a_plan_longer_than_the_screen_says_so_and_is_read_before_it_is_accepted(
    tmp_path: Path,
) -> None:
    """At 80 x 24 with many doubts the big key reads on until the last of them was in sight."""
    async with cockpit_on(tmp_path) as hands:
        await hands.big()
        hole = hands.in_hand()
        doubts = tuple(f"doubt {n}: {'look at the print again, ' * 5}please." for n in range(6))
        hole.plan = hole.plan.model_copy(update={"warnings": doubts})
        await hands.press("u", "u")
        assert "! doubt 0" in hands.lines()[1], "doubts come first"
        assert "DOWN for" in hands.shown()
        seen = hands.shown()
        while "read on" in hands.big_key_line():
            assert hands.page().plan is None
            await hands.big()
            seen += hands.shown()
        assert all(f"! doubt {n}" in seen for n in range(6))
        assert "accept the plan" in hands.big_key_line()
        assert "UP for" in hands.shown()
        await hands.big()
        assert hands.screen_name == "SetupScreen"


async def test_a_plan_that_fits_says_nothing_of_more(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.big()
        assert "DOWN for" not in hands.shown()
        await hands.press("s")
        assert "DOWN for" in hands.shown()
        assert "back to the figures" in hands.big_key_line()


async def test_the_page_keys_turn_over_all_that_is_seen(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.big()
        await hands.press("s")
        page = hands.screen.query_one(Page)
        unseen = page.lines_below
        await hands.press("down")
        assert page.lines_below == unseen - 3
        await hands.press("up", "pagedown")
        turned = unseen - page.lines_below
        assert turned > 6
        last_seen = hands.lines()[1]
        await hands.press("pageup")
        assert page.lines_below == unseen
        assert hands.lines()[1 + turned] == last_seen, "no line is passed over"


async def test_a_message_to_a_plan_that_was_left_changes_nothing(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.big()
        left = hands.screen
        await hands.press("escape")
        assert hands.screen_name == "BenchScreen"
        assert isinstance(left, PlanScreen)
        left._turned()
        left.refresh_all()
        assert hands.screen_name == "BenchScreen"
