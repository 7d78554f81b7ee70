"""The colours of the cockpit: three themes of our own, each also for a terminal with sixteen.

Every pair of colours that is shown has a contrast of at least 4.5 to 1 (WCAG 2.2, success criterion
1.4.3), and the inks that carry a meaning can be told apart with the common colour-vision
deficiencies; ``tests/screens/test_themes.py`` works out both. No colour is the only carrier of
what it says, and sixteen are too few for all of it: there some inks are the same.

A style sheet takes its colours from these names alone:

    $text-error     act now; harm, the limit          $error      the bar behind such a call
    $text-warning   act soon; web, stop, move         $warning    the bar behind such a call
    $text-accent    look; the tip, what is burnt      $accent     the bar behind such a call
    $text-success   good; the target                  $button-color-foreground   text on a bar
    $text-secondary the electrode                     $foreground, $text-muted   all other text
    $background, $surface, $panel, $block-cursor-background   what text stands on
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from textual.app import App
from textual.color import Color
from textual.filter import LineFilter
from textual.theme import Theme

from cockpit.widgets.few_colours import NoColours, SixteenColours

DARK, LIGHT, GLARE = "dark", "light", "glare"
NAMES = (DARK, LIGHT, GLARE)
DEFAULT = DARK


@dataclass(frozen=True, slots=True)
class Palette:
    """The colours of a theme: grounds, text, the inks with a meaning, the bars behind calls.

    ``stripe``: every other row of a table. ``panel``: title, and heads of tables. ``chosen``: the
    row that is chosen, ``on_chosen`` its text; ``on_bar`` the text on the bars of calls.
    """

    background: str
    surface: str
    stripe: str
    panel: str
    text: str
    muted: str
    now: str
    soon: str
    look: str
    good: str
    electrode: str
    chosen: str
    on_chosen: str
    now_bar: str
    soon_bar: str
    look_bar: str
    on_bar: str


_MANY_COLOURS = {
    DARK: Palette(
        background="#121212",
        surface="#121212",
        stripe="#1c1c1c",
        panel="#262626",
        text="#eeeeee",
        muted="#aeaeae",
        now="#ff7643",
        soon="#eadd24",
        look="#32a1e6",
        good="#3ded9c",
        electrode="#f9c1fd",
        chosen="#005f87",
        on_chosen="#ffffff",
        now_bar="#ff7643",
        soon_bar="#eadd24",
        look_bar="#32a1e6",
        on_bar="#000000",
    ),
    LIGHT: Palette(
        background="#f5f5f5",
        surface="#f5f5f5",
        stripe="#eeeeee",
        panel="#e4e4e4",
        text="#000000",
        muted="#5d5d5d",
        now="#790f06",
        soon="#725e24",
        look="#2f2cb9",
        good="#1b5739",
        electrode="#7d0774",
        chosen="#000000",
        on_chosen="#ffffff",
        now_bar="#790f06",
        soon_bar="#725e24",
        look_bar="#2f2cb9",
        on_bar="#ffffff",
    ),
    # In the sun: black on white, and nothing under 7 to 1 (WCAG 2.2, success criterion 1.4.6).
    GLARE: Palette(
        background="#ffffff",
        surface="#ffffff",
        stripe="#ffffff",
        panel="#e4e4e4",
        text="#000000",
        muted="#2e2e2e",
        now="#9a1c2e",
        soon="#3e2503",
        look="#0a29a7",
        good="#296058",
        electrode="#2c0751",
        chosen="#000000",
        on_chosen="#ffffff",
        now_bar="#9a1c2e",
        soon_bar="#3e2503",
        look_bar="#0a29a7",
        on_bar="#ffffff",
    ),
}

# The sixteen colours of the Linux console, which are VGA's, and those that the terminal library
# takes for a terminal's sixteen. A ground can only be one of the dark eight.
_BLACK, _RED, _BROWN, _BLUE, _GREY = "#000000", "#aa0000", "#aa5500", "#0000aa", "#aaaaaa"
_WHITE, _BRIGHT_RED, _YELLOW = "#ffffff", "#ff5555", "#ffff55"
_BRIGHT_GREEN, _BRIGHT_MAGENTA, _BRIGHT_CYAN = "#55ff55", "#ff55ff", "#55ffff"

_DARK_IN_SIXTEEN = Palette(
    background=_BLACK,
    surface=_BLACK,
    stripe=_BLACK,
    panel=_BLUE,
    text=_WHITE,
    muted=_GREY,
    now=_BRIGHT_RED,
    soon=_YELLOW,
    look=_BRIGHT_CYAN,
    good=_BRIGHT_GREEN,
    electrode=_BRIGHT_MAGENTA,
    chosen=_GREY,
    on_chosen=_BLACK,
    now_bar=_RED,
    soon_bar=_BROWN,
    look_bar=_BLUE,
    on_bar=_WHITE,
)
_SIXTEEN_COLOURS = {
    DARK: _DARK_IN_SIXTEEN,
    # On the grey of a console only black and blue can be read.
    LIGHT: replace(
        _DARK_IN_SIXTEEN,
        background=_GREY,
        surface=_GREY,
        stripe=_GREY,
        panel=_GREY,
        text=_BLACK,
        muted=_BLACK,
        now=_BLACK,
        soon=_BLACK,
        look=_BLUE,
        good=_BLUE,
        electrode=_BLUE,
        chosen=_BLUE,
        on_chosen=_WHITE,
    ),
    # White on black is the most that a console has.
    GLARE: replace(_DARK_IN_SIXTEEN, muted=_WHITE),
}


def offer(app: App[None]) -> list[LineFilter]:
    """Have an app offer these themes and no other, in the colours that its terminal has.

    Gives what each line has to go through on a terminal that has few of them.
    """
    is_sixteen = app.console.color_system == "standard"
    for name in list(app.available_themes):
        app.unregister_theme(name)
    for name in NAMES:
        app.register_theme(named(name, sixteen=is_sixteen))
    app.theme = DEFAULT
    if app.no_color:
        return [NoColours(lambda: Color.parse(app.current_theme.background or "black"))]
    return [SixteenColours()] if is_sixteen else []


def named(name: str, *, sixteen: bool = False) -> Theme:
    """The theme of this name. Raises KeyError.

    >>> named("glare").background
    '#ffffff'
    """
    palette = palette_of(name, sixteen=sixteen)
    return Theme(
        name=name,
        primary=palette.look,
        secondary=palette.electrode,
        warning=palette.soon_bar,
        error=palette.now_bar,
        success=palette.good,
        accent=palette.look_bar,
        foreground=palette.text,
        background=palette.background,
        surface=palette.surface,
        panel=palette.panel,
        dark=_is_dark(palette),
        variables=_variables(palette),
    )


def palette_of(name: str, *, sixteen: bool = False) -> Palette:
    """The colours that the theme of this name is made of. Raises KeyError."""
    return (_SIXTEEN_COLOURS if sixteen else _MANY_COLOURS)[name]


def _is_dark(palette: Palette) -> bool:
    return Color.parse(palette.background).brightness < Color.parse(palette.text).brightness


def _variables(palette: Palette) -> dict[str, str]:
    """Every colour that Textual would otherwise mix by itself, without an eye on the contrast."""
    return _inks(palette) | _grounds(palette) | _widgets(palette)


def _inks(palette: Palette) -> dict[str, str]:
    return {
        "text": palette.text,
        "text-muted": palette.muted,
        "text-disabled": palette.muted,
        "foreground-muted": palette.muted,
        "foreground-disabled": palette.muted,
        "text-primary": palette.look,
        "text-secondary": palette.electrode,
        "text-warning": palette.soon,
        "text-error": palette.now,
        "text-success": palette.good,
        "text-accent": palette.look,
        "button-color-foreground": palette.on_bar,
    }


def _grounds(palette: Palette) -> dict[str, str]:
    return {
        "surface-active": palette.surface,
        "surface-darken-1": palette.stripe,
        "surface-lighten-1": palette.stripe,
        "panel-darken-1": palette.surface,
        "block-hover-background": palette.stripe,
        "scrollbar-background": palette.background,
        "scrollbar-background-hover": palette.background,
        "scrollbar-background-active": palette.background,
        "scrollbar-corner-color": palette.background,
    }


def _widgets(palette: Palette) -> dict[str, str]:
    """What is chosen, the cursor, borders and scroll bars."""
    chosen = dict.fromkeys(_CHOSEN_GROUNDS, palette.chosen)
    on_chosen = dict.fromkeys(_CHOSEN_INKS, palette.on_chosen)
    return (
        chosen
        | on_chosen
        | {
            "block-cursor-text-style": "bold",
            "block-cursor-blurred-text-style": "bold",
            "input-cursor-background": palette.text,
            "input-cursor-foreground": palette.background,
            "border": palette.text,
            "border-blurred": palette.muted,
            "scrollbar": palette.muted,
            "scrollbar-hover": palette.text,
            "scrollbar-active": palette.text,
        }
    )


_CHOSEN_GROUNDS = (
    "block-cursor-background",
    "block-cursor-blurred-background",
    "input-selection-background",
    "screen-selection-background",
)
_CHOSEN_INKS = (
    "block-cursor-foreground",
    "block-cursor-blurred-foreground",
    "input-selection-foreground",
    "screen-selection-foreground",
)
