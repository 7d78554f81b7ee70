"""A hole of the demo from bench to outcome with the big key, and no other."""

from pathlib import Path

from cockpit.flow.steps import Step
from cockpit.log.rows import BurnKind, CheckResult, Result
from tests.screens.hands import Hands, cockpit_on

#: What the hands do at the machine before the big key, s: burn until a look, go to the face.
ARC_S, HANDS_S = 20.0, 5.0
MOST_PRESSES = 80
MOST_LOOKS = 40


async def test_a_hole_from_bench_to_outcome_with_the_big_key_alone(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        met = [hands.screen_name]
        for _ in range(MOST_PRESSES):
            await one_step(hands)
            if hands.screen_name != met[-1]:
                met.append(hands.screen_name)
            if hands.screen_name == "BenchScreen":
                break
        assert met[:4] == ["BenchScreen", "PlanScreen", "SetupScreen", "PilotScreen"]
        assert met[4:8] == ["CentreScreen", "SetupScreen", "BurnScreen", "TouchScreen"]
        assert met[-4:] == ["TouchScreen", "CleanoutScreen", "OutcomeScreen", "BenchScreen"] or (
            met[-4:] == ["BurnScreen", "CleanoutScreen", "OutcomeScreen", "BenchScreen"]
        )
        page = hands.page()
        assert page.outcome is not None
        assert page.outcome.outcome.result is Result.DONE
        assert page.row.step == Step.ENDED
        assert page.burns[0].kind is BurnKind.PILOT
        assert all(burn.end_s is not None for burn in page.burns)
        assert {"near", "target"} & {call.call for call in page.calls}
        setup = {item.key for item in hands.floor.checklist.setup}
        answers = {row.item: row.result for row in page.checks}
        assert setup <= set(answers)
        assert CheckResult.SKIPPED not in answers.values()


async def one_step(hands: Hands) -> None:
    """What the bottom line asks for, and nothing else."""
    if hands.screen_name == "SetupScreen":
        await hands.confirm()
        return
    if hands.screen_name in ("PilotScreen", "BurnScreen") and hands.in_hand().live.arc_on:
        for _ in range(MOST_LOOKS):
            if has_to_stop(hands):
                break
            await hands.passes(ARC_S)
    if hands.screen_name == "TouchScreen":
        await hands.passes(HANDS_S)
    assert hands.big_key_line(), "the bottom line always says what the big key does"
    await hands.big()


def has_to_stop(hands: Hands) -> bool:
    return any(
        words in hands.shown()
        for words in ("PILOT", "AT THE STOP", "TARGET", "THROUGH", "LIMIT", "STALLED")
    )
