"""The themes: contrast as it is drawn, colour-vision deficiencies, and nothing by colour alone."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import combinations
from pathlib import Path

import pytest
from coloraide import Color
from rich.color import Color as RichColor
from rich.color import ColorSystem
from rich.color_triplet import ColorTriplet
from rich.style import Style

from cockpit.burn.calls import Call, CallKind
from cockpit.flow.steps import Step
from cockpit.screens.shared import themes
from cockpit.screens.shared.themes import NAMES
from cockpit.widgets.call_line import CallLine
from cockpit.widgets.cross_section import CrossSection
from tests.screens.hands import Hands, cockpit_on
from tests.screens.moments import Scene
from tests.screens.scenes import SCENES, text_alone, written

#: Text on its ground: WCAG 2.2, success criterion 1.4.3.
LEAST_CONTRAST = 4.5
#: The same in glare: WCAG 2.2, success criterion 1.4.6.
GLARE_CONTRAST = 7.0
#: Two colours told apart by lightness alone: W3C, technique G183.
APART_BY_LIGHTNESS = 3.0
#: Two colours told apart as CIEDE2000 has it (CIE 142-2001). Nobody published a bound for inks of
#: text: this one is assumed, about four times what is just noticeable (2.3 in CIELAB, Mahy, Van
#: Eycken and Oosterlinck 1994; from memory).
APART = 10.0
#: Machado, Oliveira and Fernandes 2009, at full severity.
DEFICIENCIES = ("protan", "deutan", "tritan")

ROOT = Path(__file__).parents[2]
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


async def test_a_text_too_faint_is_found(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    faint = replace(themes.palette_of(themes.DARK), muted="#6c6c6c")
    monkeypatch.setitem(themes._MANY_COLOURS, themes.DARK, faint)
    async with cockpit_on(tmp_path) as hands:
        found = too_faint(hands, ColorSystem.TRUECOLOR, LEAST_CONTRAST)
        assert any("to do" in one and "#6c6c6c on #121212" in one for one in found)


def test_the_themes_on_offer_are_ours_alone() -> None:
    assert NAMES == ("dark", "light", "glare")
    for name in NAMES:
        for sixteen in (False, True):
            assert themes.named(name, sixteen=sixteen).name == name
    with pytest.raises(KeyError):
        themes.named("textual-dark")


async def test_the_app_has_our_themes_and_no_other(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        assert hands.app.theme == themes.DARK
        assert tuple(hands.app.available_themes) == NAMES
        titles = [command.title for command in hands.app.get_system_commands(hands.screen)]
        offered = [title for title in titles if "theme" in title.lower()]
        assert offered == [f"Theme {name}" for name in NAMES]


# Colour-vision deficiencies --------------------------------------------------------------------


def inks(name: str) -> dict[str, str]:
    """What carries a meaning, and what it must not be taken for."""
    one = themes.palette_of(name)
    return {
        "text and thread": one.text,
        "muted": one.muted,
        "act now, harm, limit": one.now,
        "act soon, web, stop": one.soon,
        "look, tip, burnt": one.look,
        "good, target, allowed": one.good,
        "electrode": one.electrode,
    }


def bars(name: str) -> dict[str, str]:
    one = themes.palette_of(name)
    return {
        "act now": one.now_bar,
        "act soon": one.soon_bar,
        "look": one.look_bar,
        "chosen": one.chosen,
        "screen": one.background,
    }


def as_seen(colour: str, deficiency: str | None) -> Color:
    seen = Color(colour)
    return seen.filter(deficiency, method="machado").clip() if deficiency else seen


def alike(colours: dict[str, str], deficiency: str | None) -> list[str]:
    """The pairs that can be told apart neither by their colour nor by their lightness."""
    seen = {name: as_seen(colour, deficiency) for name, colour in colours.items()}
    return [
        f"{one} and {other}"
        for one, other in combinations(seen, 2)
        if seen[one].delta_e(seen[other], method="2000") < APART
        and seen[one].contrast(seen[other], method="wcag21") < APART_BY_LIGHTNESS
    ]


@pytest.mark.parametrize("deficiency", [None, *DEFICIENCIES])
@pytest.mark.parametrize("name", NAMES)
def test_what_means_something_can_be_told_apart(name: str, deficiency: str | None) -> None:
    assert alike(inks(name), deficiency) == []
    assert alike(bars(name), deficiency) == []


def test_the_simulation_makes_red_and_green_alike() -> None:
    """With a red and a green of one lightness the test fails, as it must."""
    colours = {"red": "#b05050", "green": "#6a7a3a"}
    assert alike(colours, None) == []
    assert alike(colours, "deutan") == ["red and green"]


def test_the_simulation_is_the_published_one() -> None:
    """Machado, Oliveira and Fernandes 2009, the matrices at severity 1.0, first entries."""
    red = {"protan": 0.152286, "deutan": 0.367322, "tritan": 1.255528}
    for deficiency, part in red.items():
        seen = Color("srgb-linear", [0.5, 0, 0]).filter(deficiency, method="machado")
        assert seen.convert("srgb-linear")["red"] == pytest.approx(0.5 * part, abs=1e-4)


# Nothing by colour alone -----------------------------------------------------------------------


async def test_every_call_is_told_from_every_other_without_colour(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        line = hands.screen.query_one(CallLine)
        seen = {"quiet": line.render_line(0).text}
        for kind in CallKind:
            line.calls = (Call(1.0, kind, None),)
            await hands.pilot.pause()
            seen[kind] = line.render_line(0).text
        assert len(set(seen.values())) == len(CallKind) + 1


async def test_arc_on_and_off_are_told_apart_without_colour(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        off = hands.shown()
        assert "arc on" in hands.big_key_line()
        await hands.big()
        # Nothing has moved yet: what differs is what says that the arc is on.
        assert "arc off" in hands.big_key_line()
        assert hands.lines()[1:4] != off.splitlines()[1:4]


async def test_a_field_says_without_colour_whether_it_is_understood(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CENTRE) as hands:
        await hands.type("0.5")
        assert "0.50 mm = " in text_alone(hands)
        assert "✗" not in text_alone(hands)
        await hands.type(".")
        assert "✗ " in text_alone(hands)


async def test_the_field_in_hand_is_marked_without_colour(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.CENTRE) as hands:
        assert "► right" in text_alone(hands)
        await hands.type("0.5", "enter")
        assert "► right" not in text_alone(hands)
        assert "► away" in text_alone(hands)


def marked(hands: Hands) -> list[str]:
    """The rows that have the mark of what is chosen."""
    return [line.strip(" ►") for line in hands.lines() if line.strip().startswith("►")]


async def test_the_chosen_row_is_marked_without_colour(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        for key in ("n", "l"):
            before = marked(hands)
            assert len(before) == 1
            await hands.press("down")
            assert len(marked(hands)) == 1
            assert marked(hands) != before
            await hands.press("escape", key)
            if key == "n":
                assert [row.split()[0] for row in marked(hands)] == ["customer"]
                await hands.press("escape", "l")


async def test_the_verdicts_are_told_apart_without_colour(tmp_path: Path) -> None:
    said: dict[str, str] = {}
    async with cockpit_on(tmp_path, at=Step.CENTRE) as hands:
        for offset, verdict in (("0.2", "GO ON"), ("0.7", "MOVE"), ("3", "STOP")):
            await hands.type(offset)
            said[verdict] = text_alone(hands)
            assert f"{verdict} " in said[verdict]
            drawn = hands.screen.query_one(CrossSection)
            said[f"{verdict}, drawn"] = "".join(drawn.render_line(y).text for y in range(12))
            await hands.press(*["backspace"] * len(offset))
    assert len(set(said.values())) == len(said)


async def test_confirmed_and_passed_over_are_told_apart_without_colour(tmp_path: Path) -> None:
    said = []
    for folder, is_confirmed in (("confirmed", True), ("passed over", False)):
        (tmp_path / folder).mkdir()
        async with cockpit_on(tmp_path / folder, at=Step.CHECKS) as hands:
            while "pass over" not in hands.keys_line():
                await hands.big()
            if is_confirmed:
                await hands.big()
            else:
                asked = text_alone(hands)
                await hands.press("k")
                assert text_alone(hands) != asked
                await hands.say("none here")
            said.append(text_alone(hands))
    assert ": confirmed" in said[0]
    assert "Passed over: " not in said[0]
    assert "Passed over: " in said[1]
    assert ": confirmed" not in said[1]


async def test_the_chosen_line_of_the_palette_is_underlined(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.press("ctrl+p")
        await hands.pilot.pause(0.5)
        first = [text.strip() for text, style in written(hands) if style.underline]
        await hands.press("down")
        second = [text.strip() for text, style in written(hands) if style.underline]
        # A command is two lines: its name, and what it does.
        assert len(first) == len(second) == 2
        assert first != second


# Colours by name only --------------------------------------------------------------------------

#: What sets a colour in a style sheet, and its value.
SETS_COLOUR = re.compile(r"\b(?:color|background|background-tint|border[a-z-]*): *([^;]+);")
#: The parts of such a value that are no colour: kinds of border, and what has none.
NO_COLOUR = frozenset({"round", "none", "!important", "transparent"})


def styles(file: Path, text: str) -> list[str]:
    """The style sheets in a file."""
    return [text] if file.suffix == ".tcss" else re.findall(r'CSS = """(.*?)"""', text, re.S)


def test_style_sheets_take_their_colours_from_the_theme() -> None:
    sheets = [file for kind in ("*.tcss", "*.py") for file in (ROOT / "cockpit").rglob(kind)]
    texts = [sheet.read_text(encoding="utf-8") for sheet in sheets]
    sets = [one for sheet, text in zip(sheets, texts, strict=True) for one in styles(sheet, text)]
    values = [part for one in sets for value in SETS_COLOUR.findall(one) for part in value.split()]
    assert len(values) > 40
    of_theme = [f"${name}" for name in css_names(themes.DEFAULT)]
    assert [part for part in values if part not in of_theme and part not in NO_COLOUR] == []


@pytest.mark.parametrize("name", themes.NAMES)
def test_every_theme_has_the_same_names(name: str) -> None:
    assert css_names(name) == css_names(themes.DEFAULT)


def css_names(theme: str) -> set[str]:
    """The names that a theme gives its colours."""
    ours = themes.named(theme)
    return {*ours.to_color_system().generate(), *ours.variables}
