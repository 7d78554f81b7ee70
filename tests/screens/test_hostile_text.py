"""The screens, where every word of the log, and all that is pasted, is up to something."""

from __future__ import annotations

import re
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from datetime import timedelta
from pathlib import Path

import pytest
from rich.cells import cell_len
from textual.events import Paste
from textual.widgets import Input

from cockpit import locations
from cockpit.flow import demo
from cockpit.flow.clock import HandClock
from cockpit.flow.floor import ShopFloor
from cockpit.flow.steps import Step
from cockpit.log import questions
from cockpit.log.rows import CheckResult
from cockpit.text import MOST_LETTERS, MOST_NOTE_LETTERS, one_line, printable
from cockpit.widgets.text_field import TextField
from tests.hostile import ALL_AT_ONCE, ATTACKS, as_read, rewrite, unseemly
from tests.screens.hands import BEGAN, Hands, bring_to, cockpit_on

WIDTH = 80
each_attack = pytest.mark.parametrize("name", ATTACKS)


def assert_it_is_only_text(hands: Hands) -> None:
    """No cell of the terminal holds anything but a character, and none does anything."""
    for strip in hands.screen._compositor.render_strips():
        for segment in strip:
            assert not segment.control
            assert unseemly(segment.text) == [], segment.text
            style = segment.style
            assert style is None or not style.link
            assert "app.quit" not in str(style and style.meta)
        assert strip.cell_length == WIDTH
        assert cell_len(strip.text) == WIDTH, strip.text


@asynccontextmanager
async def rewritten(
    folder: Path, text: str, step: Step = Step.PLAN, *, shift: bool = True
) -> AsyncIterator[Hands]:
    """The cockpit on a log whose first hole stands at a step, and whose words are all this text."""
    clock = HandClock(BEGAN)
    with ShopFloor(folder, gauge=demo.GAUGE, clock=clock, seed=1) as floor:
        demo.stock(floor)
        for item in floor.daily_left():
            floor.answer_daily(item, CheckResult.CONFIRMED)
        bring_to(floor, clock, step)
        if not shift:
            floor.close_shift("all well")
    rewrite(folder / locations.LOG_NAME, text)
    later = HandClock(BEGAN + timedelta(hours=1))
    async with cockpit_on(folder, clock=later, stocked=False) as hands:
        yield hands


async def paste(hands: Hands, text: str) -> None:
    """Paste into the field in hand, as a terminal with bracketed paste hands it over."""
    focused = hands.app.focused
    assert isinstance(focused, Input)
    focused.post_message(Paste(text))
    await hands.press()


# What stands in the log ---------------------------------------------------------------------------


@each_attack
async def test_no_word_of_the_log_is_more_than_text(tmp_path: Path, name: str) -> None:
    """From the bench to every screen that lists or tells a hole, or asks for another one."""
    async with rewritten(tmp_path, ATTACKS[name]) as hands:
        names = []
        for keys in ("", "?", "x", "l", "space", "backspace", "escape", "n", "escape", "e"):
            await hands.press(*([keys] if keys else []))
            names.append(hands.screen_name)
            assert_it_is_only_text(hands)
        assert names == [
            *("BenchScreen", "HelpScreen", "BenchScreen", "ShiftLogScreen", "HolePageScreen"),
            *("ShiftLogScreen", "BenchScreen", "TicketScreen", "BenchScreen", "WordScreen"),
        ]


@each_attack
async def test_no_name_moves_the_lines_of_the_plan(tmp_path: Path, name: str) -> None:
    async with rewritten(tmp_path, ATTACKS[name]) as hands:
        await hands.big()
        assert hands.screen_name == "PlanScreen"
        for keys in ("", "s", "s", "?", "x", "o", "1"):
            await hands.press(*([keys] if keys else []))
            assert_it_is_only_text(hands)
            if hands.screen_name == "PlanScreen":
                title, under = hands.lines()[:2]
                assert title.startswith(f" {printable(as_read(ATTACKS[name]))[:5]}")
                assert "goes" in under or "web" in under
                assert "SPACE" in hands.big_key_line()
                assert "? keys" in hands.keys_line()


@pytest.mark.parametrize(
    "step", [Step.CHECKS, Step.PILOT, Step.CENTRE, Step.BURN, Step.CLEANOUT, Step.OUTCOME]
)
async def test_no_plan_and_no_check_is_more_than_text(tmp_path: Path, step: Step) -> None:
    async with rewritten(tmp_path, ALL_AT_ONCE, step) as hands:
        await hands.big()
        assert_it_is_only_text(hands)
        await hands.big()
        assert_it_is_only_text(hands)
        if step is Step.BURN:
            assert hands.screen_name == "BurnScreen"
            await hands.press("n")
            assert_it_is_only_text(hands)
            await hands.press("escape", "t")
            assert hands.screen_name == "TouchScreen"
            assert_it_is_only_text(hands)


@each_attack
async def test_no_handover_is_more_than_text(tmp_path: Path, name: str) -> None:
    async with rewritten(tmp_path, ATTACKS[name], shift=False) as hands:
        assert hands.screen_name == "ShiftScreen"
        assert "Its note: " in hands.shown()
        assert_it_is_only_text(hands)


async def test_a_name_in_brackets_is_shown_as_it_was_written(tmp_path: Path) -> None:
    async with rewritten(tmp_path, "[bold red]x[/]") as hands:
        await hands.pilot.resize_terminal(160, 45)
        for keys in ((), ("l",), ("space", "8")):
            await hands.press(*keys)
            assert hands.shown().count("[bold red]x[/]") >= 4


async def test_a_name_without_end_leaves_the_table_readable(tmp_path: Path) -> None:
    async with rewritten(tmp_path, ATTACKS["long"]) as hands:
        cell = next(line for line in hands.lines() if line.count("endless") > 5)
        assert cell_len(cell) == WIDTH
        await hands.press("l")
        assert "look at endless" in hands.big_key_line()


async def test_a_step_that_another_program_wrote_is_shown_and_not_taken(tmp_path: Path) -> None:
    async with rewritten(tmp_path, "x") as hands:
        store = hands.floor.store
        shift = hands.floor.shift
        assert shift is not None
        store.add_step(shift.id, 1, "\x1b[2J[bold]later[/]")
        await hands.press("u")
        assert "at ?[2J[bold]later[/]" in hands.shown()
        await hands.big()
        assert hands.screen_name == "BenchScreen"
        assert 'stands at "?[2J[bold]later[/]"' in hands.part("complaint")
        assert_it_is_only_text(hands)


# What is pasted -----------------------------------------------------------------------------------


@each_attack
async def test_what_is_pasted_becomes_one_line_or_is_refused_whole(
    tmp_path: Path, name: str
) -> None:
    text = ATTACKS[name]
    async with cockpit_on(tmp_path, stocked=False, daily_done=False) as hands:
        await hands.type("M")
        await paste(hands, text)
        kept = f"M{one_line(text)}"
        if len(kept) > 12:
            kept = "M"
            assert hands.part("complaint") == (
                "No more than 12 characters fit in here: say it shorter."
            )
        assert hands.field("initials").value == kept
        assert_it_is_only_text(hands)
        await hands.big(key="enter")
        shift = hands.floor.shift
        assert shift is not None
        assert shift.operator == kept


@each_attack
async def test_whatever_is_pasted_into_a_ticket_is_read_as_one_line(
    tmp_path: Path, name: str
) -> None:
    text = ATTACKS[name]
    fits = 0 < len(one_line(text)) <= MOST_LETTERS
    async with cockpit_on(tmp_path) as hands:
        await hands.press("n")
        for question in ("customer", "their reference", "part", "hole"):
            assert hands.part("asks").startswith(question)
            await paste(hands, text)
            assert_it_is_only_text(hands)
            if not fits:
                assert "No more than 80 characters" in hands.part("complaint")
                await hands.type("x")
            await hands.big(key="enter")
            assert_it_is_only_text(hands)
        # What is read as a thread or a length is refused beside the field, as it was pasted.
        await paste(hands, f"1{text}" if fits else "1\x1b")
        assert_it_is_only_text(hands)
        assert "write it like M10x1.5" in hands.part("understood")
        draft = hands.app.draft
        assert draft is not None
        assert draft.answers["customer"] == (one_line(text) if fits else "x")


@each_attack
async def test_a_note_is_kept_as_one_line(tmp_path: Path, name: str) -> None:
    text = ATTACKS[name]
    fits = 0 < len(one_line(text)) <= MOST_NOTE_LETTERS
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.press("n")
        await paste(hands, text)
        assert_it_is_only_text(hands)
        if not fits:
            assert "No more than 400 characters" in hands.part("refused")
            await hands.type("x")
        await hands.press("enter")
        assert [note.text for note in hands.page().notes] == [one_line(text) if fits else "x"]
        assert_it_is_only_text(hands)


@each_attack
async def test_nothing_that_is_pasted_elsewhere_is_more_than_text(
    tmp_path: Path, name: str
) -> None:
    """The search of the log, the word why, and the command palette, which is not ours."""
    async with cockpit_on(tmp_path, daily_done=False) as hands:
        await hands.big(3)
        await hands.press("k")
        await paste(hands, ATTACKS[name])
        assert_it_is_only_text(hands)
        if not hands.field("word").value:  # the long one is refused whole
            await hands.type("x")
        await hands.big(key="enter")
        checks = questions.daily_checks(hands.floor.store.connection, 1)
        text = one_line(ATTACKS[name])
        assert checks[3].word == (text if 0 < len(text) <= MOST_LETTERS else "x")
        await hands.press("ctrl+p")
        assert hands.screen_name == "Palette"
        await paste(hands, ATTACKS[name])
        assert unseemly(hands.shown().replace("\n", "")) == []
        await hands.press("escape")
        hands.app.show_log()
        await hands.press()
        assert hands.screen_name == "ShiftLogScreen"
        await paste(hands, ATTACKS[name])
        assert_it_is_only_text(hands)


async def test_a_field_holds_only_what_can_be_seen_wherever_it_comes_from(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.press("n")
        field = hands.field("answer")
        assert isinstance(field, TextField)
        field.value = ALL_AT_ONCE
        assert unseemly(field.value) == []
        field.value = "two words "
        assert field.value == "two words "


# Profiles and trouble -----------------------------------------------------------------------------


async def test_no_checklist_and_no_rack_is_more_than_text(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    hostile = r"[b]x[/]\u001b[2J\u009b\n\u202e\u0007"  # escaped, as TOML has it
    # The head of each text stays, since no two electrodes may be called alike.
    said = re.compile(r'^(title|look|right|label|position) = "(.{0,8}).*"', re.MULTILINE)
    for kind in ("checklists", "electrodes", "machine"):
        shipped = locations.shipped_profiles() / kind / "standard.toml"
        own = locations.user_profiles() / kind / "standard.toml"
        own.parent.mkdir(parents=True)
        text = said.sub(
            lambda found: f'{found[1]} = "{found[2]}{hostile}"', shipped.read_text(encoding="utf-8")
        )
        own.write_text(text, encoding="utf-8")
    async with cockpit_on(tmp_path, daily_done=False) as hands:
        assert hands.screen_name == "DailyScreen"
        assert "[b]x[/]?[2J?" in hands.shown()
        assert_it_is_only_text(hands)
        await hands.big()
        assert_it_is_only_text(hands)
        for item in hands.floor.daily_left():
            hands.floor.answer_daily(item, CheckResult.CONFIRMED)
        hands.app.to_bench()
        for keys in ("space", "s", "s", "o", "5", "backspace", "1", "8", "backspace"):
            await hands.press(keys)
            assert_it_is_only_text(hands)
        rows = questions.daily_checks(hands.floor.store.connection, 1)
        assert len(rows) >= 4


async def test_an_exception_brings_nothing_into_the_file_for_who_mends_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with cockpit_on(tmp_path) as hands:
        # A test's app would hand it to the test instead.
        monkeypatch.setattr(type(hands.app), "is_headless", False)
        hands.app._handle_exception(ValueError(ALL_AT_ONCE))
        told = (tmp_path / "trouble.txt").read_text(encoding="utf-8")
        assert "ValueError: [bold re" in told
        assert unseemly(told.replace("\n", "")) == []
        monkeypatch.undo()
