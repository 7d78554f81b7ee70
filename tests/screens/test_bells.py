from pathlib import Path

import pytest

from cockpit.burn.calls import Call, CallKind
from cockpit.screens.bells import RHYTHMS
from cockpit.widgets.call_line import urgency_of
from tests.screens.hands import Hands, cockpit_on


def test_every_call_has_a_rhythm_that_begins_at_once() -> None:
    assert set(RHYTHMS) == set(CallKind)
    for kind, rhythm in RHYTHMS.items():
        assert rhythm[0] == 0.0, kind
        assert list(rhythm) == sorted(set(rhythm)), kind


def test_calls_of_different_urgency_never_sound_alike() -> None:
    for kind in CallKind:
        for other in CallKind:
            if urgency_of(kind) is not urgency_of(other):
                assert RHYTHMS[kind] != RHYTHMS[other], (kind, other)


def test_target_limit_and_through_can_be_told_apart() -> None:
    assert len({RHYTHMS[k] for k in (CallKind.TARGET, CallKind.LIMIT, CallKind.THROUGH)}) == 3


async def test_mute_mutes_the_sound(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    async with cockpit_on(tmp_path) as hands:
        rung: list[str] = []
        monkeypatch.setattr(hands.app, "bell", lambda: rung.append("bell"))
        target = Call(1.0, CallKind.TARGET, 18.0)
        hands.app.ring(target)
        await until_rung(hands, rung, len(RHYTHMS[CallKind.TARGET]))
        await hands.press("m")
        rung.clear()
        hands.app.ring(target)
        assert not rung, "a rhythm begins at once, so this one does not begin"


async def until_rung(hands: Hands, rung: list[str], times: int) -> None:
    for _ in range(500):
        if len(rung) >= times:
            return
        await hands.pilot.pause(0.02)
    raise AssertionError(f"rung {len(rung)} times only")
