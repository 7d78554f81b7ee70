"""The screens on a text console: sixteen colours, and no more letters than ASCII has."""

from __future__ import annotations

from pathlib import Path

import pytest
from coloraide import Color
from rich.color import Color as RichColor

from cockpit.screens.shared.themes import NAMES
from tests.screens.hands import Hands, cockpit_on
from tests.screens.moments import Scene
from tests.screens.scenes import SCENES, segments, text_alone, written

#: Text on its ground: WCAG 2.2, success criterion 1.4.3.
LEAST_CONTRAST = 4.5
#: VGA's sixteen colours, with which the Linux console begins (its source's default_red, default_grn
#: and default_blu; from memory).
CONSOLE = (
    *("#000000", "#aa0000", "#00aa00", "#aa5500", "#0000aa", "#aa00aa", "#00aaaa", "#aaaaaa"),
    *("#555555", "#ff5555", "#55ff55", "#ffff55", "#5555ff", "#ff55ff", "#55ffff", "#ffffff"),
)

scenes = pytest.mark.parametrize("scene", SCENES.values(), ids=list(SCENES))


@pytest.fixture
def console(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TERM", "linux")
    monkeypatch.delenv("COLORTERM")


def number(colour: RichColor | None) -> int:
    assert colour is not None
    return CONSOLE.index(colour.get_truecolor().hex)


def unreadable(hands: Hands) -> list[str]:
    """The texts that this console does not show as they are meant, or not well enough."""
    found = set()
    for text, style in written(hands):
        ink, ground = number(style.color), number(style.bgcolor)
        ratio = Color(CONSOLE[ink]).contrast(CONSOLE[ground], method="wcag21")
        is_plain = ground < 8 and not style.reverse and not style.dim
        if not is_plain or (style.bold and ink < 8) or ratio < LEAST_CONTRAST:
            found.add(f"{text.strip()!r} {ink} on {ground} {style}: {ratio:.2f}")
    return sorted(found)


@scenes
@pytest.mark.usefixtures("console")
async def test_every_screen_is_ascii_and_can_be_read(scene: Scene, tmp_path: Path) -> None:
    strange: list[str] = []
    async with scene.opened(tmp_path) as hands:
        async for moment in scene.moves(hands):
            shown = text_alone(hands)
            strange += [f"{moment}: {one}" for one in sorted(set(shown)) if not one.isascii()]
            assert all(line.cell_length == 80 for line in hands.screen._compositor.render_strips())
            for name in NAMES:
                hands.app.theme = name
                await hands.pilot.pause()
                strange += [f"{moment}, {name}: {one}" for one in unreadable(hands)]
    assert strange == []


@pytest.mark.usefixtures("console")
async def test_letters_stay_as_a_person_typed_them(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.press("n")
        hands.field().value = "Ångström ± 1"
        await hands.press("enter")
        assert "Ångström +/- 1" in hands.shown()


async def test_without_colour_what_stood_out_is_reversed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    async with cockpit_on(tmp_path) as hands:
        for name in NAMES:
            hands.app.theme = name
            await hands.pilot.pause()
            assert not [one for one in segments(hands) if one.style and one.style.color]
            assert not [one for one in segments(hands) if one.style and one.style.bgcolor]
            reversed_texts = [text.strip() for text, style in written(hands) if style.reverse]
            assert reversed_texts[-1] == "SPACE"
            assert reversed_texts[0] == "►"
            assert "bench" not in " ".join(reversed_texts), "the title is no more than bold"
