"""What an operator can set, set at the screen: shown and heard at once, and kept."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from textual.app import SystemCommand
from textual.events import Key

from cockpit import locations
from cockpit.burn.calls import Call, CallKind
from cockpit.flow.steps import Step
from cockpit.screens.shared import keygate, leaving, themes
from cockpit.screens.shared.pedal import why_not
from cockpit.sound.rhythms import DEFAULTS, SPARE
from cockpit.sound.speech import NONE_FOUND
from cockpit.units import LengthUnit
from tests.screens.hands import Hands, cockpit_on
from tests.screens.test_sizes import at_every_size
from tests.sound.programs import SpeechProgram, until

#: The lines in their order, before the bells.
LINES = ("big key", "unit", "theme", "sound", "speech")


def kept(folder: Path) -> dict[str, object]:
    found = json.loads((folder / locations.PREFERENCES_NAME).read_text(encoding="utf-8"))
    assert isinstance(found, dict)
    return found


def chosen(hands: Hands) -> str:
    (line,) = [line for line in hands.part("list").splitlines() if line.startswith("►")]
    return line.removeprefix("►").strip()


async def to_line(hands: Hands, name: str) -> None:
    if hands.screen_name != "PreferencesScreen":
        hands.app.show_preferences()
    for _ in range(20):
        await hands.press("up")
    while not chosen(hands).startswith(name):
        before = chosen(hands)
        await hands.press("down")
        assert chosen(hands) != before, f"there is no line {name}"


async def learn(hands: Hands, key: str) -> None:
    await to_line(hands, "big key")
    await hands.big()
    assert "press the pedal now" in chosen(hands)
    assert hands.big_key_line() == ""
    await hands.big(key=key)
    assert "press the pedal now" not in chosen(hands)


@pytest.fixture
def rung(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Every rhythm that was played."""
    played: list[str] = []
    monkeypatch.setattr(
        "cockpit.screens.shared.bells.play", lambda app, rhythm: played.append(rhythm)
    )
    return played


async def test_p_on_the_bench_shows_all_there_is_at_80_by_24_and_back_is_the_bench(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path) as hands:
        for back in ("escape", "backspace"):
            await hands.press("p")
            assert hands.screen_name == "PreferencesScreen"
            for name in (*LINES, *(f"bell, {kind}" for kind in CallKind)):
                assert f"  {name} " in hands.shown().replace("►", " "), name
            assert hands.keys_line().endswith("? keys")
            await hands.press(back)
            assert hands.screen_name == "BenchScreen"


async def test_it_is_drawn_at_every_size_with_the_chosen_line_in_sight(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.press("p", *["down"] * 18)
        await at_every_size(hands)
        assert "► bell, long" in hands.shown()
        assert "Longer than it should take" in hands.shown()


async def test_unit_theme_and_sound_change_at_once_and_hold_at_the_next_start(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path) as hands:
        await to_line(hands, "unit")
        await hands.big()
        assert chosen(hands).split() == ["unit", "inch"]
        await to_line(hands, "theme")
        await hands.big()
        assert chosen(hands).split() == ["theme", themes.NAMES[1]]
        await to_line(hands, "sound")
        await hands.big()
        assert chosen(hands).split() == ["sound", "off"]
        assert hands.lines()[0].rstrip().endswith("MUTED")
    held = kept(tmp_path)
    assert (held["unit"], held["theme"], held["muted"]) == ("in", themes.NAMES[1], True)
    async with cockpit_on(tmp_path, stocked=False) as hands:
        assert hands.app.unit is LengthUnit.INCH
        assert hands.app.muted
        assert hands.app.preferences.theme == themes.NAMES[1]


async def test_u_and_m_anywhere_are_kept_as_well(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        await hands.press("u", "m")
        held = kept(tmp_path)
        assert (held["unit"], held["muted"]) == ("in", True)
        await hands.press("u", "m")
        held = kept(tmp_path)
        assert (held["unit"], held["muted"]) == ("mm", False)


@pytest.mark.parametrize("at", [None, Step.CHECKS, Step.CENTRE, Step.BURN, Step.OUTCOME])
async def test_every_screen_says_at_its_right_edge_that_it_is_muted(
    tmp_path: Path, at: Step | None
) -> None:
    async with cockpit_on(tmp_path, at=at) as hands:
        assert "MUTED" not in hands.lines()[0]
        await hands.press("m")
        for width, height in ((80, 24), (120, 40)):
            await hands.pilot.resize_terminal(width, height)
            await hands.pilot.pause()
            assert hands.lines()[0].rstrip().endswith("MUTED")
        await hands.press("m")
        assert "MUTED" not in hands.lines()[0]


# The pedal ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("key", ["f5", "pagedown", "b", "comma", "f12", "right_square_bracket"])
async def test_a_pedal_is_learnt_and_is_a_big_key_from_then_on(tmp_path: Path, key: str) -> None:
    async with cockpit_on(tmp_path) as hands:
        await learn(hands, key)
        assert hands.app.big_keys == (key, "space", "enter")
        await hands.press("escape")
    assert kept(tmp_path)["pedal"] == key
    async with cockpit_on(tmp_path, stocked=False) as hands:
        name = {"comma": ",", "pagedown": "PAGE DOWN", "right_square_bracket": "]"}.get(key, key)
        assert hands.big_key_line().startswith(f"{name.upper()}  flange 3")
        await hands.big(key=key)
        assert hands.screen_name == "PlanScreen"
        for other in (key, "space", "enter"):
            at = hands.screen_name, hands.part("title")
            await hands.big(key=other)
            assert (hands.screen_name, hands.part("title")) != at


@pytest.mark.parametrize(
    ("key", "why"),
    [
        ("backspace", "BACKSPACE steps back"),
        ("t", 'T means "touch'),
        ("U", 'U means "inch/mm"'),
        ("3", "3 answers a question"),
        ("full_stop", ". begins a length"),
        ("minus", "- begins a length"),
        ("down", "DOWN chooses a line"),
        ("tab", "TAB goes to the next field"),
        ("question_mark", '? means "keys"'),
        ("ctrl+a", "CTRL+A is for the keyboard"),
    ],
)
async def test_a_key_that_means_something_else_is_refused_and_the_pedal_stays(
    tmp_path: Path, key: str, why: str
) -> None:
    async with cockpit_on(tmp_path) as hands:
        await learn(hands, "f5")
        await learn(hands, key)
        assert why in hands.part("complaint")
        assert hands.part("complaint").endswith("let the pedal type another key, such as F5.")
        assert hands.screen_name == "PreferencesScreen"
        assert hands.app.preferences.pedal == "f5"


async def test_escape_leaves_the_pedal_as_it_was_without_a_word(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await learn(hands, "f5")
        await hands.big(key="f5")
        assert hands.keys_line().strip() == ""
        await hands.press("escape")
        assert hands.part("complaint") == ""
        assert hands.screen_name == "PreferencesScreen"
        assert hands.app.preferences.pedal == "f5"


async def test_space_forgets_the_pedal_and_enter_can_be_one(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await learn(hands, "f5")
        await learn(hands, "space")
        assert hands.app.preferences.pedal is None
        assert hands.app.big_keys == ("space", "enter")
        await learn(hands, "enter")
        assert hands.app.big_keys == ("enter", "space")
        assert hands.big_key_line().startswith("ENTER")


async def test_a_pedal_in_the_file_that_can_not_be_one_is_said_and_the_rest_holds(
    tmp_path: Path,
) -> None:
    path = tmp_path / locations.PREFERENCES_NAME
    path.write_text('{"pedal": "escape", "unit": "in"}', encoding="utf-8")
    async with cockpit_on(tmp_path) as hands:
        await hands.press()
        assert "no pedal is set. ESC goes back" in hands.part("complaint")
        assert hands.app.big_keys == ("space", "enter")
        assert hands.app.unit is LengthUnit.INCH


async def test_a_file_that_can_not_be_read_is_said_on_the_first_screen_and_put_aside(
    tmp_path: Path,
) -> None:
    path = tmp_path / locations.PREFERENCES_NAME
    path.write_text("{", encoding="utf-8")
    async with cockpit_on(tmp_path) as hands:
        await hands.press()
        assert f"{path}: it does not hold preferences" in hands.part("complaint")
        await hands.press("u")
        assert "is kept as" in hands.part("complaint")
    assert kept(tmp_path)["unit"] == "in"
    assert path.with_suffix(".unreadable").read_text(encoding="utf-8") == "{"


async def test_a_pedal_that_types_a_letter_types_it_only_within_a_word(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await learn(hands, "b")
        assert "No word can begin with b then; a capital B can." in hands.part("complaint")
        await hands.press("escape", "n")
        field = hands.field("answer")
        assert "keep Quillstone Gears" in hands.big_key_line()
        await hands.big(key="b")
        assert field.value == ""
        assert "their reference" in hands.part("title") + hands.big_key_line() + hands.shown()
        await hands.press("B", "o", "b")
        assert field.value == "Bob"
        assert hands.big_key_line().startswith("ENTER")
        await hands.big(key="enter")
        assert "Bob" in hands.shown()
        assert field.value == ""


async def test_a_pedal_that_types_no_letter_takes_what_is_typed(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        await learn(hands, "pagedown")
        await hands.press("escape", "n")
        await hands.type("Alder")
        await hands.big(key="pagedown")
        assert hands.field("answer").value == ""
        assert "customer             Alder" in hands.part("ticket")


async def test_pedal_and_space_bouncing_together_count_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with cockpit_on(tmp_path, daily_done=False) as hands:
        hands.app.prefer(pedal="f5")
        left = len(hands.floor.daily_left())
        # Longer than it is, so that on a slow computer these presses still are a bounce.
        monkeypatch.setattr(keygate, "BOUNCE_S", 60.0)
        await hands.press("f5", "space", "f5", "enter", "space")
        assert len(hands.floor.daily_left()) == left - 1


async def test_the_bounce_of_the_key_that_began_it_is_not_learnt_nor_one_after_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with cockpit_on(tmp_path) as hands:
        await learn(hands, "f5")
        monkeypatch.setattr(keygate, "BOUNCE_S", 60.0)
        await hands.press("space", "space", "space")
        assert "press the pedal now" in chosen(hands)
        await hands.press("f6", "f6", "f6")
        assert hands.app.preferences.pedal == "f6"
        assert "press the pedal now" not in chosen(hands)


async def test_a_held_pedal_is_learnt_once_it_is_known_not_to_be_the_key_before(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with cockpit_on(tmp_path) as hands:
        await to_line(hands, "big key")
        await hands.big()
        # As if the key before had come a moment ago, however slow the computer is.
        monkeypatch.setattr(keygate, "BOUNCE_S", 0.0)
        monkeypatch.setattr(keygate, "REPEAT_DELAY_S", 60.0)
        await hands.press("f5")
        for _ in range(200):
            if hands.app.preferences.pedal == "f5":
                break
            await hands.pilot.pause(0.05)
        assert hands.app.preferences.pedal == "f5"


def test_a_pedal_can_type_whatever_no_screen_means() -> None:
    assert [key for key in "abcdefghijklmnopqrstuvwxyz" if not why_not(key)] != []
    for number in range(1, 13):
        assert why_not(f"f{number}") == ""


# What is heard -----------------------------------------------------------------------------------


async def test_a_bell_steps_through_rhythms_that_no_other_call_has_and_plays_each(
    tmp_path: Path, rung: list[str]
) -> None:
    async with cockpit_on(tmp_path) as hands:
        await to_line(hands, "bell, near")
        await hands.press("h")
        assert rung == [DEFAULTS[CallKind.NEAR]]
        rung.clear()
        for rhythm in SPARE:
            await hands.big()
            assert chosen(hands).endswith(f" {rhythm}")
        await hands.big()
        assert chosen(hands).endswith(f" {DEFAULTS[CallKind.NEAR]}")
        assert "Passed over, since another call has it: xxxxxx" in hands.part("complaint")
        await hands.big()
        assert rung == [*SPARE, DEFAULTS[CallKind.NEAR], SPARE[0]]
        await to_line(hands, "bell, jump")
        await hands.big()
        assert chosen(hands).endswith(f" {SPARE[1]}")
        hands.app.heard.ring(Call(1.0, CallKind.NEAR, 12.0))
        assert rung[-1] == SPARE[0]
    usual = {str(kind): rhythm for kind, rhythm in DEFAULTS.items()}
    assert kept(tmp_path)["bells"] == usual | {"near": SPARE[0], "jump": SPARE[1]}


async def test_muted_nothing_is_played_and_it_says_so(tmp_path: Path, rung: list[str]) -> None:
    async with cockpit_on(tmp_path) as hands:
        await to_line(hands, "bell, near")
        await hands.press("m")
        for key in ("h", "space"):
            await hands.press(key)
            assert "Sound is off" in hands.part("complaint")
        assert rung == []
        await hands.press("m", "h")
        assert rung == [SPARE[0]]


async def test_speech_is_off_until_it_is_put_on_and_then_calls_are_spoken(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    program = SpeechProgram(tmp_path, monkeypatch)
    through = Call(1.0, CallKind.THROUGH, 12.4)
    async with cockpit_on(tmp_path) as hands:
        hands.app.heard.ring(through)
        await to_line(hands, "speech")
        assert "by espeak-ng" in hands.part("about")
        await hands.big()
        until(program.heard)
        assert program.spoken() == ["calls are spoken"]
        hands.app.heard.ring(through)
        until(lambda: len(program.heard()) == 2)
        assert program.spoken()[1] == "fell through at twelve point four"
        await hands.press("m")
        hands.app.heard.ring(through)
        await hands.press("m")
        await to_line(hands, "speech")
        await hands.big()
        assert chosen(hands).split() == ["speech", "off"]
        hands.app.heard.ring(through)
    # Closed with the cockpit: nothing can come any more.
    assert len(program.heard()) == 2
    assert kept(tmp_path)["speech"] is False


async def test_the_count_down_is_spoken_while_it_burns(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    program = SpeechProgram(tmp_path, monkeypatch)
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        hands.app.prefer(speech=True)
        hole = hands.in_hand()
        target_mm = hole.plan.depth.target_mm
        hole.arc_starts()
        for _ in range(6000):
            hands.clock.advance(0.2)
            hands.app.heard.follow(hole.live.pump(), target_mm)
            if program.heard():
                break
        until(program.heard)
        assert program.spoken()[0] == "five to go"
        hole.arc_stops()


async def test_no_speech_program_is_a_sentence_and_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    async with cockpit_on(tmp_path) as hands:
        await to_line(hands, "speech")
        await hands.big()
        assert hands.part("about") == NONE_FOUND
        assert hands.part("complaint") == ""
        hands.app.heard.ring(Call(1.0, CallKind.NEAR, 12.0))


# Where it can be reached -------------------------------------------------------------------------


def offered(hands: Hands) -> dict[str, SystemCommand]:
    return {one.title: one for one in hands.app.get_system_commands(hands.screen)}


EVERYWHERE = {"Preferences", "Inch/mm", "Mute", "Keys", "Quit"} | {
    f"Theme {name}" for name in themes.NAMES
}
STEPS = (None, Step.CHECKS, Step.PILOT, Step.CENTRE, Step.GUARD, Step.BURN, Step.CLEANOUT,
         Step.OUTCOME)  # fmt: skip


@pytest.mark.parametrize("at", STEPS)
async def test_the_palette_lists_every_key_of_the_screen_and_what_holds_everywhere(
    tmp_path: Path, at: Step | None
) -> None:
    async with cockpit_on(tmp_path, at=at) as hands:
        titles = set(offered(hands))
        assert titles >= EVERYWHERE
        said = {title.lower() for title in titles}
        for key in hands.named_keys():
            assert key.partition(" ")[2].lower() in said, key
        if at in (Step.PILOT, Step.BURN):
            await hands.big()
            assert "Arc off: stop the clock" in offered(hands)


async def test_the_palette_lists_letters_too_that_are_typed_on_the_shift_screen(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path, stocked=False) as hands:
        assert hands.screen_name == "ShiftScreen"
        assert "M mute" not in hands.keys_line()
        assert set(offered(hands)) >= EVERYWHERE
        await hands.press("ctrl+o")
        assert hands.screen_name == "PreferencesScreen"
        assert "Preferences" not in offered(hands)
        await hands.press("escape")
        assert hands.screen_name == "ShiftScreen"


async def test_preferences_by_name_lie_over_the_screen_which_stays_as_it_was(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.press("n")
        await hands.type("Alder")
        await hands.press("ctrl+p")
        await hands.type("preferences")
        for _ in range(100):
            await hands.pilot.pause(0.05)
            if "Pedal, unit, sound, theme" in hands.shown():
                break
        await hands.press("enter")
        assert hands.screen_name == "PreferencesScreen"
        await learn(hands, "f5")
        await hands.press("backspace")
        assert hands.screen_name == "TicketScreen"
        assert hands.field("answer").value == "Alder"
        await hands.press(*["backspace"] * 5)
        assert hands.big_key_line().startswith("F5")


async def test_with_the_arc_on_there_are_no_preferences_and_they_make_way_for_it(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path, at=Step.BURN) as hands:
        hands.app.show_preferences()
        await hands.press()
        assert hands.screen_name == "PreferencesScreen"
        hands.in_hand().arc_starts()
        await hands.looks()
        await hands.press()
        assert hands.screen_name == "BurnScreen"
        assert "Preferences" not in offered(hands)
        hands.app.show_preferences()
        await hands.press()
        assert hands.screen_name == "BurnScreen"


async def test_a_theme_by_name_is_kept(tmp_path: Path) -> None:
    async with cockpit_on(tmp_path) as hands:
        for name in (*themes.NAMES[1:], themes.NAMES[0]):
            offered(hands)[f"Theme {name}"].callback()
            assert hands.app.theme == name
            await hands.app.workers.wait_for_complete()
            assert kept(tmp_path)["theme"] == name
    async with cockpit_on(tmp_path, stocked=False) as hands:
        hands.app.prefer(theme=themes.NAMES[1])
    async with cockpit_on(tmp_path, stocked=False) as hands:
        assert hands.app.theme == themes.NAMES[1]


async def test_two_escapes_in_a_burst_close_preferences_and_nothing_beneath(
    tmp_path: Path,
) -> None:
    async with cockpit_on(tmp_path) as hands:
        await hands.press("p")
        for _ in range(2):
            hands.app.post_message(Key("escape", None))
        await hands.press()
        assert hands.screen_name == "BenchScreen"


async def test_what_is_said_over_a_screen_leaves_what_the_one_beneath_says(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(leaving, "TOLD_S", 0.05)
    async with cockpit_on(tmp_path) as hands:
        hands.app.complain("The disk is nearly full.")
        await hands.press("p")
        hands.app.tell("Done.")
        for _ in range(100):
            if not hands.part("complaint"):
                break
            await hands.pilot.pause(0.05)
        assert hands.part("complaint") == ""
        await hands.press("escape")
        assert hands.screen_name == "BenchScreen"
        assert hands.part("complaint") == "The disk is nearly full."
