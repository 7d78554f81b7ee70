"""What the command palette lists: what the screen can do, and what holds everywhere."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Iterator
from functools import partial
from typing import TYPE_CHECKING

from textual.app import SystemCommand
from textual.command import CommandList, CommandPalette
from textual.screen import Screen

from cockpit.screens.shared import themes
from cockpit.screens.shared.closes import ClosesOnce
from cockpit.screens.shared.step import StepScreen
from cockpit.text import printable

if TYPE_CHECKING:
    from cockpit.app import CockpitApp


class Palette(CommandPalette, ClosesOnce[None]):
    """Everything by name; asked for in words that are not a programmer's."""

    def __init__(self) -> None:
        super().__init__(placeholder="What is to be done? Type a word of it.")

    def _action_command_list(self, action: str) -> None:
        # A list that is empty yet has no page to turn.
        if self.query_one(CommandList).option_count:
            super()._action_command_list(action)


def commands(app: CockpitApp, screen: Screen[object]) -> Iterator[SystemCommand]:
    """Everything that can be done on this screen, each once."""
    named = {one.title: one for one in (*_everywhere(app), *_of_screen(screen))}
    yield from named.values()


def _of_screen(screen: Screen[object]) -> Iterator[SystemCommand]:
    if not isinstance(screen, StepScreen):
        return
    does = printable(screen.next_words())
    if does and screen.cockpit.arc_is_on and not screen.is_typing:
        # What the big key does is for the big key, but for what can't wait.
        yield _command(does, "What the big key does now", screen.cockpit.arc_off)
    for one in screen.actions():
        yield _command(one.description, one.tooltip, _deed(screen, one.action))


def _everywhere(app: CockpitApp) -> Iterator[SystemCommand]:
    if app.can_set():
        yield _command("preferences", "Pedal, unit, sound, theme", app.show_preferences)
    yield _command("inch/mm", "Switch between inch and millimetre", app.switch_unit)
    yield _command("mute", "Sound off or on; the calls stay visible", app.switch_mute)
    for name in themes.NAMES:
        yield _command(
            f"theme {name}", "The colours of the screen", partial(app.prefer, theme=name)
        )
    yield _command("quit", "Put the hole down and leave the cockpit", app.action_leave)


def _command(name: str, tells: str, deed: Callable[[], Awaitable[None] | None]) -> SystemCommand:
    return SystemCommand(name[:1].upper() + name[1:], tells, deed)


def _deed(screen: StepScreen, action: str) -> Callable[[], Awaitable[None]]:
    async def deed() -> None:
        await screen.run_action(action)

    return deed
