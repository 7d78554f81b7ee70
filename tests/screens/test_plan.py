from dataclasses import replace
from pathlib import Path

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
        for figure, source in hands.in_hand().plan.sources.items():
            assert f"{figure}: {source}" in hands.part("plan")
        await hands.press("s", "u")
        assert "target        0.7087 in" in hands.part("plan")


async def test_a_poor_fit_is_not_accepted_by_the_big_key(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        floor = hands.floor
        shop = floor.shop
        thick = max(shop.stock, key=lambda electrode: electrode.diameter_mm)
        floor.shop = replace(shop, stock=(thick,))
        await hands.big()
        assert not hands.in_hand().plan.fits
        assert hands.part("plan").startswith("! ")
        assert hands.big_key_line() == ""
        await hands.big()
        assert hands.screen_name == "PlanScreen"
        assert "No electrode fits" in hands.part("complaint")
        await hands.press("a")
        assert hands.screen_name == "SetupScreen"
