from pathlib import Path

from cockpit.flow.steps import Step
from tests.screens.hands import Hands, cockpit_on


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
        assert "GO ON   off by 0.22 mm" in hands.part("verdict")
        await hands.big(key="enter")
        assert kept(hands) == []
        assert "guard on, then burn" in hands.big_key_line()
        await hands.big()
        assert kept(hands) == [(0.2, -0.1, "go on")]
        assert hands.in_hand().step is Step.GUARD


async def test_what_is_no_length_is_not_taken_for_centred(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CENTRE) as hands:
        await hands.type("0.2.2", "enter")
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


async def test_backspace_takes_a_judgement_back(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CENTRE) as hands:
        await hands.type("0.3", "enter")
        await hands.big(key="enter")
        await hands.press("backspace")
        assert "judge the offset" in hands.big_key_line()
        await hands.press("backspace", "1")
        assert "off by 0.10 mm" in hands.part("verdict")
        assert kept(hands) == []


async def test_another_pilot_can_be_burnt_first(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CENTRE) as hands:
        await hands.press("p")
        assert hands.part("item-title") == "Guard on"
        await hands.big()
        assert hands.screen_name == "PilotScreen"
