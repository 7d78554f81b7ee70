"""Pictures of the screens: plain text, the same on every computer.

A picture is what a terminal of its size shows, row by row, without the blanks at the end of each,
and under a rule the rows that are reversed or bold. Time is moved on by hand, the burn is invented
from a seed, and the screen looks at the gauge only when it is told to.
"""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from contextlib import contextmanager
from difflib import unified_diff
from pathlib import Path

import pytest
from rich.segment import Segment
from textual._compositor import LayoutUpdate

from cockpit.gauges import ports
from cockpit.screens.shared.arc import ArcScreen
from cockpit.screens.shared.step import StepScreen
from cockpit.units import LengthUnit
from tests.screens.hands import HOPS, Hands
from tests.screens.moments import Scene, Size
from tests.wall_clock import clock_of

FOLDER = Path(__file__).parent / "pictures"
RULE = "─" * 8
#: A screen that has not heard of its new size yet is waited for in steps of so long, s.
A_MOMENT_S = 0.002
#: A picture that stays the same for so many rounds of messages is finished.
PAUSES = 2
#: How many pictures that have changed are shown in full by a test.
SHOWN = 4


@contextmanager
def by_hand_alone() -> Iterator[None]:
    """No look at the gauge that nobody asked for, no ports of this computer."""
    with clock_of("UTC0"), pytest.MonkeyPatch.context() as patch:
        for screen in _kinds(StepScreen):
            patch.setattr(screen, "LOOK_EVERY_S", None)
        patch.setattr(ports, "list_ports", list)
        for module in ("textual.pilot", "textual.app"):
            patch.setattr(f"{module}.wait_for_idle", _handed_on)
        for name in ("NO_COLOR", "LC_ALL"):
            patch.delenv(name, raising=False)
        patch.setenv("TERM", "xterm-256color")
        patch.setenv("LANG", "C.UTF-8")
        yield


def _kinds(screen: type[StepScreen]) -> Iterator[type[StepScreen]]:
    """A kind of screen, and all that derive from it."""
    yield screen
    for kind in screen.__subclasses__():
        yield from _kinds(kind)


async def pictures(scene: Scene, folder: Path) -> dict[str, str]:
    """All pictures of a scene, by the names of their files; its log goes into ``folder``."""
    taken: dict[str, str] = {}
    with by_hand_alone():
        async with scene.opened(folder) as hands:
            async for moment in scene.moves(hands):
                await _take(hands, scene, moment, taken)
    assert not any(str(folder) in picture for picture in taken.values())
    return taken


async def _take(hands: Hands, scene: Scene, moment: str, taken: dict[str, str]) -> None:
    """This moment at every size, in both units; the screen is left as it was."""
    for size in scene.sizes:
        await _resized(hands, size)
        for unit in LengthUnit:
            for screen in hands.app.screen_stack:
                if isinstance(screen, ArcScreen):
                    screen.show_section()  # as with the next look at the gauge
            taken["{}.{}x{}.{}.txt".format(moment, *size, unit.value)] = await _settled(hands)
            hands.app.switch_unit()
    await _resized(hands, scene.sizes[0])
    await _settled(hands)


async def _resized(hands: Hands, size: Size) -> None:
    """Another size; what is fitted to it by a look at the gauge is fitted at once."""
    await hands.pilot.resize_terminal(*size)
    assert hands.app.size == size
    await _settled(hands)
    for screen in hands.app.screen_stack:
        if isinstance(screen, StepScreen):
            screen.refresh_all()


async def _settled(hands: Hands) -> str:
    """The picture, once every screen has the terminal's size and it stays as it is."""
    app, before, after = hands.app, "", ""
    while not after or before != after:
        for _ in range(PAUSES):
            await hands.pilot.pause()
            for screen in (*app._background_screens, app.screen):
                screen._on_timer_update()
        if all(one._compositor.size == app.size for one in (*app._background_screens, app.screen)):
            before, after = after, _picture(hands)
        else:
            await asyncio.sleep(A_MOMENT_S)
    return after


async def _handed_on(_least_s: float = 0.0, _most_s: float = 0.0) -> None:
    """Let every message arrive. The library waits by the clock, which is long for many pictures."""
    for _ in range(HOPS):
        await asyncio.sleep(0)


def _picture(hands: Hands) -> str:
    rows = _rows(hands)
    lines = ["".join(one.text for one in row).rstrip() for row in rows]
    reverse = [number for number, row in enumerate(rows, 1) if _is_mostly(row, "reverse")]
    bold = [number for number, row in enumerate(rows, 1) if _is_mostly(row, "bold")]
    return "\n".join([*lines, RULE, f"reversed {reverse}   bold {bold}", ""])


def _rows(hands: Hands) -> list[list[Segment]]:
    """What is on the terminal, what lies under a box too."""
    app = hands.app
    update = app.screen._compositor.render_update(full=True, screen_stack=app._background_screens)
    assert isinstance(update, LayoutUpdate)
    return [[segment for strip in row for segment in strip] for row in update.strips]


def _is_mostly(row: list[Segment], attribute: str) -> bool:
    """Whether most of what is written in a row is; a cursor alone is not."""
    written = [one for one in row if one.text.strip()]
    has = sum(len(one.text) for one in written if one.style and getattr(one.style, attribute))
    return 2 * has > sum(len(one.text) for one in written)


# Kept ones ---------------------------------------------------------------------------------------


def kept(name: str) -> dict[str, str]:
    """The pictures that are kept of a scene."""
    files = sorted((FOLDER / name).glob("*.txt"))
    return {file.name: file.read_text(encoding="utf-8") for file in files}


def keep(name: str, taken: dict[str, str]) -> None:
    """Keep these of a scene, and no others."""
    (FOLDER / name).mkdir(parents=True, exist_ok=True)
    for gone in kept(name).keys() - taken.keys():
        (FOLDER / name / gone).unlink()
    for file, picture in taken.items():
        (FOLDER / name / file).write_text(picture, encoding="utf-8", newline="\n")


def changes(before: dict[str, str], after: dict[str, str]) -> str:
    """What is another picture now, some of it in full; nothing if all are the same."""
    other = [one for one in sorted(before | after) if before.get(one) != after.get(one)]
    shown: list[str] = []
    for name in other[:SHOWN]:
        old, new = before.get(name, "").splitlines(), after.get(name, "").splitlines()
        shown += unified_diff(old, new, f"kept {name}", f"now {name}", n=1, lineterm="")
    return "\n".join([*shown, *other[SHOWN:]])
