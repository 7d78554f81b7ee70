from pathlib import Path

import pytest

from cockpit.burn.calls import Call, CallKind
from cockpit.sound.rhythms import DEFAULTS, bells_s
from tests.screens.hands import Hands, cockpit_on


async def test_mute_mutes_the_sound(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    async with cockpit_on(tmp_path) as hands:
        rung: list[str] = []
        monkeypatch.setattr(hands.app, "bell", lambda: rung.append("bell"))
        target = Call(1.0, CallKind.TARGET, 18.0)
        hands.app.heard.ring(target)
        await until_rung(hands, rung, len(bells_s(DEFAULTS[CallKind.TARGET])))
        await hands.press("m")
        rung.clear()
        hands.app.heard.ring(target)
        assert not rung, "a rhythm begins at once, so this one does not begin"


async def until_rung(hands: Hands, rung: list[str], times: int) -> None:
    for _ in range(500):
        if len(rung) >= times:
            return
        await hands.pilot.pause(0.02)
    raise AssertionError(f"rung {len(rung)} times only")
