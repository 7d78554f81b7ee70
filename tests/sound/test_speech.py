"""The speech program, a real one each time: it records, chatters, hangs, fails or is not there."""

from __future__ import annotations

import os
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from cockpit.sound.speech import NONE_FOUND, PROGRAMS, Speaker
from cockpit.sound.words import Saying
from tests.sound.programs import CHATTERS, FAILS, HANGS, SpeechProgram, until

#: Long enough for a program to begin, short enough to wait for, s.
HUNG_S = 3.0
#: What a program does that speaks until it is allowed to stop.
SPEAKS_ON = "while not os.path.exists({go!r}): time.sleep(0.02)"

Speakers = Callable[[], Speaker]


@pytest.fixture
def speakers() -> Iterator[Speakers]:
    made: list[Speaker] = []

    def make(hung_s: float = 60.0) -> Speaker:
        made.append(Speaker(hung_s))
        return made[-1]

    yield make
    for one in made:
        one.close()


@pytest.fixture
def speaker() -> Iterator[Speaker]:
    one = Speaker()
    yield one
    one.close()


@pytest.mark.parametrize("name", [program.name for program in PROGRAMS])
def test_each_program_gets_the_words_as_one_thing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, speaker: Speaker, name: str
) -> None:
    program = SpeechProgram(tmp_path, monkeypatch, name)
    speaker.say(Saying("fell through; at $(twelve) point 'four'"))
    until(program.heard)
    (line,) = program.heard()
    assert line.split("|").count("fell through; at $(twelve) point 'four'") == 1
    assert speaker.program is not None
    assert speaker.program[0].name == name


def test_the_best_of_several_programs_is_used_and_looked_for_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, speaker: Speaker
) -> None:
    other = SpeechProgram(tmp_path, monkeypatch, "spd-say")
    best = SpeechProgram(tmp_path, monkeypatch, "espeak-ng")
    speaker.say(Saying("near"))
    until(best.heard)
    monkeypatch.setenv("PATH", str(tmp_path))
    speaker.say(Saying("target"))
    until(lambda: best.spoken() == ["near", "target"])
    assert other.heard() == []


@pytest.mark.parametrize("words", ["-w /etc/passwd", "--version", "- - near", "\n-x\x00\x1b[2J"])
def test_words_are_never_an_option(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, speaker: Speaker, words: str
) -> None:
    program = SpeechProgram(tmp_path, monkeypatch, "say")
    speaker.say(Saying(words))
    until(program.heard)
    (line,) = program.spoken()
    assert line
    assert not line.startswith("-")
    assert line.isprintable()


def speaks_until(
    go: Path, monkeypatch: pytest.MonkeyPatch, speakers: Speakers, saying: Saying
) -> tuple[SpeechProgram, Speaker]:
    """A program that says this and is not done before the file is there."""
    program = SpeechProgram(go.parent, monkeypatch, then=SPEAKS_ON.format(go=str(go)))
    speaker = speakers()
    speaker.say(saying)
    until(program.heard)
    return program, speaker


def test_one_at_a_time_and_the_weightiest_of_what_waits(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, speakers: Speakers
) -> None:
    go = tmp_path / "go"
    program, speaker = speaks_until(go, monkeypatch, speakers, Saying("stalled", 7))
    for words, weight in (("near", 8), ("limit", 0), ("target", 3), ("three to go", 11)):
        speaker.say(Saying(words, weight))
    assert program.spoken() == ["stalled"]
    go.touch()
    until(lambda: len(program.heard()) == 2)
    speaker.say(Saying("through", 1))
    until(lambda: len(program.heard()) == 3)
    assert program.spoken() == ["stalled", "limit", "through"]


def test_the_newest_of_two_that_weigh_the_same_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, speakers: Speakers
) -> None:
    go = tmp_path / "go"
    program, speaker = speaks_until(go, monkeypatch, speakers, Saying("near"))
    speaker.say(Saying("three to go"))
    speaker.say(Saying("two to go"))
    go.touch()
    until(lambda: len(program.heard()) == 2, program.heard)
    assert program.spoken() == ["near", "two to go"]


def test_what_is_no_longer_true_is_not_said_and_holds_nothing_up(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, speakers: Speakers
) -> None:
    go = tmp_path / "go"
    program, speaker = speaks_until(go, monkeypatch, speakers, Saying("near"))
    speaker.say(Saying("two to go", weight=3, good_s=0.0))
    time.sleep(0.01)
    # It weighs less, but what waits is not true any more.
    speaker.say(Saying("jump", weight=9))
    go.touch()
    until(lambda: len(program.heard()) == 2, program.heard)
    assert program.spoken() == ["near", "jump"]


def test_a_program_that_hangs_is_ended_with_all_it_started_and_the_next_is_heard(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, speakers: Callable[[float], Speaker]
) -> None:
    pids = tmp_path / "pids"
    starts_another = (
        "child = os.fork()\n"
        f"with open({str(pids)!r}, 'a') as file: print(os.getpid(), file=file)\n"
        f"{HANGS}"
    )
    program = SpeechProgram(tmp_path, monkeypatch, then=starts_another)
    speaker = speakers(HUNG_S)
    speaker.say(Saying("near"))
    until(lambda: speaker.trouble)
    assert "did not come to an end" in speaker.trouble
    assert str(program.path) in speaker.trouble
    started = [int(line) for line in pids.read_text().split()]
    assert len(started) == 2
    until(lambda: not any(map(is_running, started)))
    program = SpeechProgram(tmp_path, monkeypatch)
    speaker.say(Saying("target"))
    until(lambda: not speaker.trouble)
    assert program.spoken() == ["near", "target"]


def test_a_program_that_fails_is_told_and_tried_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, speaker: Speaker
) -> None:
    SpeechProgram(tmp_path, monkeypatch, then=FAILS)
    speaker.say(Saying("near"))
    until(lambda: speaker.trouble)
    assert "failed (3): nothing is spoken" in speaker.trouble
    SpeechProgram(tmp_path, monkeypatch)
    speaker.say(Saying("near"))
    until(lambda: not speaker.trouble)


def test_a_program_that_can_not_be_started_is_a_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, speaker: Speaker
) -> None:
    program = SpeechProgram(tmp_path, monkeypatch)
    program.path.write_bytes(b"\x7fELF, but not really")
    speaker.say(Saying("near"))
    until(lambda: speaker.trouble)
    assert speaker.trouble.startswith(f"{program.path} can't be started (")
    program.path.unlink()
    speaker.say(Saying("near"))
    until(lambda: "No such file" in speaker.trouble)


def test_without_a_program_nothing_is_started_and_it_is_said_why(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, speaker: Speaker
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    threads = threading.active_count()
    speaker.say(Saying("near"))
    assert speaker.program is None
    assert speaker.trouble == NONE_FOUND
    assert threading.active_count() == threads


def test_nothing_that_a_program_prints_reaches_the_screen(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    speaker: Speaker,
    capfd: pytest.CaptureFixture[str],
) -> None:
    program = SpeechProgram(
        tmp_path, monkeypatch, then=f"{CHATTERS}; open({str(tmp_path / 'end')!r}, 'w')"
    )
    speaker.say(Saying("near"))
    until((tmp_path / "end").exists)
    speaker.close()
    assert program.spoken() == ["near"]
    assert capfd.readouterr() == ("", "")


def test_closed_it_ends_what_is_being_said_and_says_nothing_more(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, speaker: Speaker
) -> None:
    pid = tmp_path / "pid"
    writes = f"open({str(pid)!r}, 'w').write(str(os.getpid()) + '.')\n{HANGS}"
    program = SpeechProgram(tmp_path, monkeypatch, then=writes)
    speaker.say(Saying("near"))
    until(lambda: pid.exists() and pid.read_text().endswith("."))
    speaker.say(Saying("target"))
    speaker.close()
    until(lambda: not is_running(int(pid.read_text()[:-1])))
    speaker.say(Saying("limit", 0))
    speaker.close()
    assert program.spoken() == ["near"]


def is_running(pid: int) -> bool:
    """Whether a process is there and not merely left for its parent to look at."""
    try:
        os.kill(pid, 0)
        state = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0]
    except ProcessLookupError:
        return False
    except FileNotFoundError:
        return Path("/proc").exists() is False
    return state != "Z"
