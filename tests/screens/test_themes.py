"""The themes: contrast as it is drawn, colour-vision deficiencies, and nothing by colour alone."""

from __future__ import annotations

from itertools import combinations
from pathlib import Path

import pytest
from coloraide import Color
from rich.color import Color as RichColor
from rich.color import ColorSystem
from rich.color_triplet import ColorTriplet
from rich.style import Style

from cockpit.screens import themes
from cockpit.screens.themes import NAMES, Palette
from tests.screens.hands import Hands
from tests.screens.scenes import SCENES, Scene, text_alone, written

#: Text on its ground: WCAG 2.2, success criterion 1.4.3.
LEAST_CONTRAST = 4.5
#: The same in glare: WCAG 2.2, success criterion 1.4.6.
GLARE_CONTRAST = 7.0
#: Two colours told apart by lightness alone: W3C, technique G183.
APART_BY_LIGHTNESS = 3.0
#: Two colours told apart as CIEDE2000 has it (CIE 142-2001). Nobody published a bound for inks of
#: text: this one is assumed, about four times what is just noticeable (2.3 in CIELAB, Mahy, Van
#: Eycken and Oosterlinck 1994).
APART = 10.0
#: Machado, Oliveira and Fernandes 2009, at full severity.
DEFICIENCIES = ("protan", "deutan", "tritan")
MANY = (ColorSystem.TRUECOLOR, ColorSystem.EIGHT_BIT)

scenes = pytest.mark.parametrize("scene", SCENES.values(), ids=list(SCENES))
Pair = tuple[str, str]
"""Ink and ground, as #rrggbb."""


def contrast(ink: str, ground: str) -> float:
    return Color(ink).contrast(ground, method="wcag21")


def hex_of(colour: RichColor, system: ColorSystem) -> str:
    triplet: ColorTriplet = colour.downgrade(system).get_truecolor()
    return triplet.hex


def pair(style: Style, system: ColorSystem) -> Pair:
    """What a style writes in and on, as a terminal of so many colours shows it."""
    assert not style.dim, "the terminal would mix a colour of its own"
    assert style.color is not None
    assert style.bgcolor is not None
    both = hex_of(style.color, system), hex_of(style.bgcolor, system)
    return (both[1], both[0]) if style.reverse else both


def too_faint(hands: Hands, system: ColorSystem, least: float) -> list[str]:
    """The texts on the screen that have not enough contrast."""
    found: dict[Pair, str] = {}
    for text, style in written(hands):
        found.setdefault(pair(style, system), text.strip())
    return [
        f"{text!r} {ink} on {ground}: {contrast(ink, ground):.2f}"
        for (ink, ground), text in found.items()
        if contrast(ink, ground) < least
    ]


@scenes
async def test_all_that_is_drawn_has_the_contrast_to_be_read(scene: Scene, tmp_path: Path) -> None:
    faint: list[str] = []
    async with scene.opened(tmp_path) as hands:
        async for moment in scene.moves(hands):
            for name in NAMES:
                hands.app.theme = name
                await hands.pilot.pause()
                least = GLARE_CONTRAST if name == themes.GLARE else LEAST_CONTRAST
                faint += [
                    f"{moment}, {name}: {one}"
                    for one in too_faint(hands, ColorSystem.TRUECOLOR, least)
                ]
                faint += [
                    f"{moment}, {name} in 256 colours: {one}"
                    for one in too_faint(hands, ColorSystem.EIGHT_BIT, LEAST_CONTRAST)
                ]
    assert faint == []
