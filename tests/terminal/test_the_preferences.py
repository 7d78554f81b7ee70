"""What an operator sets, in a real terminal: it holds at the next start; speech holds up nobody."""

from __future__ import annotations

import json
import os
import sys
import time
from pathlib import Path

import pytest

from tests.pseudo_terminal import needs_pty
from tests.sound.programs import HANGS, SpeechProgram, until
from tests.terminal.shop import AFTER_LIVE_S, BETWEEN_PRESSES_S, ROOT, Operator, cockpit
from tests.terminal.terminal import Terminal

pytestmark = needs_pty


def leaves(operator: Operator) -> None:
    operator.terminal.press("ctrl+q")
    assert operator.terminal.wait_exit() == 0


def steps(operator: Operator, key: str, offered: str) -> None:
    """Press a pedal once the bottom line names it and says what it does."""
    operator.sees(rf"{key} +{offered}")
    time.sleep(BETWEEN_PRESSES_S)
    operator.terminal.press(key.lower())


def test_a_pedal_is_learnt_once_and_works_at_the_next_start_as_the_others_do(
    tmp_path: Path,
) -> None:
    with cockpit(tmp_path, "--demo") as terminal:
        operator = Operator(terminal)
        operator.daily_checks()
        terminal.press("p")
        operator.sees("► big key +SPACE, ENTER")
        operator.space("learn a pedal's key", after_s=AFTER_LIVE_S)
        operator.sees("press the pedal now")
        time.sleep(BETWEEN_PRESSES_S)
        terminal.press("f5")
        operator.sees("► big key +F5, SPACE, ENTER")
        terminal.press("backspace")
        operator.sees("F5 +flange 3: plan it")
        leaves(operator)
    assert json.loads((tmp_path / "preferences.json").read_text("utf-8"))["pedal"] == "f5"
    with cockpit(tmp_path, "--demo") as terminal:
        operator = Operator(terminal)
        steps(operator, "F5", "flange 3: plan it")
        steps(operator, "F5", "accept the plan")
        operator.sees("set-up 1 of 14")
        steps(operator, "F5", "confirm")
        operator.sees("set-up 2 of 14")
        time.sleep(BETWEEN_PRESSES_S)
        terminal.press("space")
        operator.sees("set-up 3 of 14")
        leaves(operator)


def test_unit_and_mute_hold_at_the_next_start_and_a_broken_file_is_one_sentence(
    tmp_path: Path,
) -> None:
    kept = tmp_path / "preferences.json"
    with cockpit(tmp_path, "--demo") as terminal:
        operator = Operator(terminal)
        operator.sees("daily check 1 of 5")
        terminal.press("u", "m")
        operator.sees(r"\A.*MUTED")
        leaves(operator)
    assert json.loads(kept.read_text("utf-8"))["unit"] == "in"
    with cockpit(tmp_path, "--demo") as terminal:
        operator = Operator(terminal)
        operator.sees(r"\A.*MUTED")
        leaves(operator)
    kept.write_text("{", encoding="utf-8")
    with cockpit(tmp_path, "--demo") as terminal:
        operator = Operator(terminal)
        operator.sees(r"it does not hold\s+preferences")
        operator.daily_checks()
        assert "MUTED" not in terminal.screen()
        leaves(operator)
    assert kept.read_text(encoding="utf-8") == "{", "nothing was set, so nothing was written"


def test_a_pipe_in_the_place_of_the_file_holds_up_no_start(tmp_path: Path) -> None:
    """Whoever reads from one waits until somebody writes into it."""
    kept = tmp_path / "preferences.json"
    os.mkfifo(kept)
    with cockpit(tmp_path, "--demo") as terminal:
        operator = Operator(terminal)
        operator.sees(r"this\s+is\s+no\s+file")
        operator.daily_checks()
        terminal.press("m")
        operator.sees(r"\A.*MUTED")
        leaves(operator)
    assert json.loads(kept.read_text("utf-8"))["muted"] is True


def test_a_speech_program_that_hangs_and_chatters_stops_neither_keys_nor_leaving(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    pid = tmp_path / "pid"
    chatters = "os.write(1, b'CHATTER'), os.write(2, b'CHATTER')"
    writes = f"open({str(pid)!r}, 'w').write(str(os.getpid()) + '.')\n{chatters}\n{HANGS}"
    program = SpeechProgram(tmp_path, monkeypatch, then=writes)
    data = tmp_path / "data"
    command: list[str | Path] = [sys.executable, "-m", "cockpit", "--demo", "--data", data]
    with Terminal(command, folder=ROOT) as terminal:
        operator = Operator(terminal)
        operator.daily_checks()
        terminal.press("p")
        operator.sees("► big key")
        terminal.press("up", "down", "down", "down", "down")
        operator.sees("► speech +off")
        operator.space("say calls aloud", after_s=AFTER_LIVE_S)
        operator.sees("► speech +on")
        until(lambda: pid.exists() and pid.read_text().endswith("."))
        terminal.press("u")
        operator.sees("unit +inch")
        assert "CHATTER" not in terminal.screen()
        leaves(operator)
    assert program.spoken() == ["calls are spoken"]
    until(lambda: is_gone(int(pid.read_text()[:-1])))


def is_gone(pid: int) -> bool:
    """Whether a process is no more; where that can't be seen, it is."""
    return not Path(f"/proc/{pid}").exists()
