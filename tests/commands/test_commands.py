"""The commands, as a person or a script runs them."""

from __future__ import annotations

import csv
import io
import json
import os
import signal
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from cockpit import profiles
from cockpit.burn.reading import Reading
from cockpit.burn.trace import write_trace
from cockpit.flow.past import past_aim, past_events
from cockpit.log import questions
from cockpit.log.store import Store
from cockpit.trade.remnants import Kind
from cockpit.trade.ticket import Ticket
from tests.commands.shell import ROOT, answer, burn_cockpit, refusal
from tests.contract import REPLAY_KEYS

PLAN = ("plan", "M10x1.5", "--broken", "tap", "--flutes", "3", "--depth", "22 mm")


@pytest.fixture
def trace(tmp_path: Path) -> Path:
    """A burn of half a minute from a break at 3 mm."""
    path = tmp_path / "burn.csv"
    with path.open("w") as file:
        write_trace(file, (Reading.at(0.1 * n, 3.0 + 0.006 * n) for n in range(301)))
    return path


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of a log with two rehearsed holes, and one that nobody began."""
    folder = tmp_path_factory.mktemp("shop")
    for seed in ("1", "2"):
        answer("rehearse", "--seed", seed, "--data", folder)
    with Store(folder / "shop.sqlite3") as store:
        shift = questions.open_shift(store.connection)
        assert shift is not None
        job = store.add_job(shift.id, "=Öhler, Sons", '"100%"', "rocker")
        ticket = Ticket(hole="pivot", thread="pin 8 mm", broken=Kind.PIN, depth_mm=20.0)
        store.add_hole(shift.id, job, ticket, "plan")
    return folder


def copied(shop: Path, folder: Path, *changes: str) -> Path:
    """A copy of the shop's log, with changes that the cockpit would never make."""
    path = folder / "shop.sqlite3"
    with (
        closing(sqlite3.connect(shop / "shop.sqlite3")) as good,
        closing(sqlite3.connect(path, isolation_level=None)) as copy,
    ):
        good.backup(copy)
        for change in changes:
            copy.execute(change)
    return path


# Usage -------------------------------------------------------------------------------------------


def test_help_names_the_commands() -> None:
    said = answer("--help").out
    for command in (
        "plan",
        "replay",
        "gauge",
        "log",
        "price",
        "record",
        "rehearse",
        "verify",
        "backup",
        "restore",
    ):
        assert f"\n    {command} " in said
    assert answer("--version").out.startswith("burn-cockpit 0.")


@pytest.mark.parametrize(
    "command", ["plan", "replay", "gauge", "log", "record", "rehearse", "verify"]
)
def test_every_command_has_help(command: str) -> None:
    assert f"burn-cockpit {command}" in answer(command, "--help").out


@pytest.mark.parametrize(
    ("words", "about"),
    [
        (("nonsense",), "nonsense"),
        (("record", "1"), "--to"),
        (("--he",), "--he"),
        (("plan",), "--broken"),
        ((*PLAN, "--flutes", "x"), "'x' is not a whole number"),
        ((*PLAN, "--jso"), "--jso"),
        (("replay",), "FILE.csv"),
        (("replay", "x.csv", "--wear", "1"), "from 0 to just under 1"),
        (("replay", "x.csv", "--wear", "nan"), "from 0 to just under 1"),
        (("replay", "x.csv", "--wear-sd", "0"), "over 0"),
        (("rehearse", "--speed", "-1"), "over 0"),
        (("rehearse", "--speed", "fast"), "'fast' is not a number"),
        (("rehearse", "--seed", "1.5"), "whole number"),
        (("log", "--from", "yesterday"), "YYYY-MM-DD"),
        (("log", "--json", "--csv"), "not allowed with"),
        (("gauge", "watch"), "NAME"),
    ],
)
def test_wrong_usage_is_refused_in_one_line(words: tuple[str, ...], about: str) -> None:
    said = refusal(2, *words)
    assert said.out == ""
    assert about in said.err
    assert said.err.startswith("burn-cockpit")
    assert "--help" in said.err


# Replay ------------------------------------------------------------------------------------------


def test_replay_answers_file_by_file_in_their_order(trace: Path, tmp_path: Path) -> None:
    other = tmp_path / "other.csv"
    other.write_text("t_s,travel_mm\n0,5\n10,5.5\n")
    said = answer("replay", trace, other, trace, "--json", "--target", "18 mm")
    first, second, third = map(json.loads, said.lines)
    assert first == third
    assert (first["readings"], second["readings"]) == (301, 2)
    assert first["arc_s"] == 30.0
    # The break is where the readings begin: 1.794 mm of travel (the median is a reading behind), of
    # which the first few hundredths pass until the tip is seen to stand.
    assert first["depth_mm"] == pytest.approx(3.0 + 0.75 * 1.794, abs=0.01)
    assert second["arc_s"] == 10.0


def test_replay_takes_the_belief_and_the_break_that_it_is_given(trace: Path) -> None:
    words = ("--wear", "0.5", "--wear-sd", "0.01", "--recess", "0", "--json")
    (line,) = answer("replay", trace, *words).lines
    # A tip that first stands at 3.0, with the break at 0, came there through the open.
    assert json.loads(line)["depth_mm"] == pytest.approx(3.0 + 1.794 / 2, abs=0.02)
    said = answer("replay", trace, "--target", "4.2 mm").out
    assert "301 readings, 0 rejected" in said
    assert "near target: hand on the switch" in said


def test_replay_of_a_rehearsal_says_what_the_log_says(shop: Path, tmp_path: Path) -> None:
    with Store(shop / "shop.sqlite3") as store:
        page = questions.page(store.connection, 1)
        aim = past_aim(store.connection, 1)
        events = past_events(store.connection, 1)
    assert page is not None
    assert aim is not None
    path = tmp_path / "hole.csv"
    with path.open("w") as file:
        write_trace(file, events)
    words = ["--target", f"{aim.target_mm} mm", "--recess", f"{aim.recess_mm} mm"]
    words += [] if aim.limit_mm is None else ["--limit", f"{aim.limit_mm} mm"]
    (line,) = answer("replay", path, *words, "--json").lines
    replayed = json.loads(line)
    assert [(call["t_s"], call["call"]) for call in replayed["calls"]] == [
        (row.t_s, row.call) for row in page.calls
    ]
    assert replayed["arc_s"] == pytest.approx(page.row.arc_s, abs=0.002)


def test_a_bad_row_is_refused_with_its_line_or_skipped(trace: Path) -> None:
    with trace.open("a") as file:
        file.write("31,deep,,\n")
    said = refusal(1, "replay", trace, "--json")
    assert said.out == ""
    assert f"{trace}, line 303: travel_mm is 'deep'" in said.err
    (line,) = answer("replay", trace, "--json", "--lenient").lines
    assert json.loads(line)["rejected"] == 1


def test_what_was_answered_before_a_bad_file_stays_answered(trace: Path, tmp_path: Path) -> None:
    said = refusal(1, "replay", trace, tmp_path / "nothing.csv", "--json")
    assert len(said.lines) == 1
    assert "nothing.csv" in said.err


@pytest.mark.parametrize(
    ("words", "about"),
    [
        (("--target", "deep"), "not a length"),
        (("--target", "2 mm", "--recess", "3 mm"), "--target must be deeper"),
        (("--limit", "0"), "--limit must be deeper"),
        (("--target", "3 mm"), "--target must be deeper than the break at 3 mm"),
        (("--target", "19 mm", "--limit", "18 mm"), "--target 19 mm lies below --limit 18 mm"),
        (("--gauge", "nobodys"), "nobodys"),
        (("--machine", "nobodys"), "nobodys"),
    ],
)
def test_replay_refuses_depths_that_can_not_be(
    trace: Path, words: tuple[str, ...], about: str
) -> None:
    assert about in refusal(1, "replay", trace, *words).err


def test_replay_takes_a_gauge_and_a_machine(tmp_path: Path) -> None:
    """A typed gauge is not silent between readings; another is, until its pace is known."""
    path = tmp_path / "typed.csv"
    rows = [f"{30 * n},{3 + 1.5 * n:.2f},," for n in range(8)]
    path.write_text("\n".join(["t_s,travel_mm,mark,value_mm", *rows, ""]))
    calls = {}
    for gauge in ("simulated", "typed"):
        (line,) = answer("replay", path, "--gauge", gauge, "--json").lines
        calls[gauge] = [call["call"] for call in json.loads(line)["calls"]]
    assert calls == {"simulated": ["silent"] * 3, "typed": []}


def test_replay_follows_every_mark(tmp_path: Path) -> None:
    """A pilot, another spot, a touch-off, another electrode, a gauged depth: every key is there."""
    rows = [
        "0,3.00,start,4.5",
        *(f"{n / 10:.1f},{3 + 0.006 * n:.3f},," for n in range(1, 400)),
        "40,,stop,",
        "41,,spot,",
        "42,,start,",
        *(f"{42 + n / 10:.1f},{3.6 + 0.006 * n:.3f},," for n in range(1, 400)),
        "82,,stop,",
        "83,,touch,1.2",
        "84,,wear,1.21",
        "85,,electrode,",
        "86,,depth,4.8",
        "87,,start,",
        *(f"{87 + n / 10:.1f},{4.75 + 0.006 * n:.3f},," for n in range(1, 400)),
        "127,,stop,",
    ]
    path = tmp_path / "marks.csv"
    path.write_text("\n".join(["t_s,travel_mm,mark,value_mm", *rows, ""]))
    (line,) = answer("replay", path, "--json").lines
    said = json.loads(line)
    assert tuple(said) == REPLAY_KEYS
    assert [call["call"] for call in said["calls"]] == ["pilot"]
    assert said["arc_s"] == pytest.approx(40 + 40 + 40)
    # What a new electrode gained on 4.75, less what it wore by the ratio that was touched off.
    assert said["depth_mm"] == pytest.approx(4.75 + 2.394 * (1 - said["wear_ratio"]), abs=0.08)
    assert said["depth_low_mm"] < said["depth_mm"] < said["depth_high_mm"]


# Rehearse ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", ["0", "7", "-3"])
def test_rehearse_prints_one_object(seed: str) -> None:
    (line,) = answer("rehearse", "--seed", seed, "--json").lines
    told = json.loads(line)
    assert told["outcome"] == "done"
    assert told["depth_low_mm"] <= told["depth_mm"] <= told["depth_high_mm"]
    assert told["arc_s"] > 60
    assert told["calls"]


def test_rehearse_prints_a_record_and_leaves_the_shops_log_alone(tmp_path: Path) -> None:
    said = answer("rehearse", home=tmp_path).out
    assert said.startswith("Hole record: ")
    for told in ("depth ", "arc time ", "Calls", "Outcome", "result "):
        assert told in said
    assert list(tmp_path.iterdir()) == []


def test_rehearse_in_a_folder_that_can_not_be_is_refused(tmp_path: Path) -> None:
    (tmp_path / "shop").write_text("a note")
    said = refusal(1, "rehearse", "--data", tmp_path / "shop")
    assert said.out == ""
    assert str(tmp_path / "shop") in said.err


# Log ---------------------------------------------------------------------------------------------


def test_the_log_is_printed_for_people_and_for_programs(shop: Path) -> None:
    assert len(answer("log", "--data", shop).lines) == 3
    rows = [json.loads(line) for line in answer("--data", str(shop), "log", "--json").lines]
    assert [row["hole"] for row in rows] == [3, 2, 1]
    assert rows[0]["customer"] == "=Öhler, Sons"
    assert rows[1]["outcome"] == "done"
    assert rows[1]["arc_s"] > 60
    table = list(csv.DictReader(io.StringIO(answer("log", "--data", shop, "--csv").as_file().out)))
    assert [list(row) for row in table] == [list(rows[0])] * 3
    # A spreadsheet must not take a name for a formula.
    assert table[0]["customer"] == "'=Öhler, Sons"
    assert table[0]["reference"] == '"100%"'
    assert table[1]["calls"] == str(rows[1]["calls"])


def test_the_log_is_searched_by_text_and_day(shop: Path) -> None:
    def holes(*words: str) -> list[int]:
        said = answer("log", "--data", shop, "--json", *words)
        return [json.loads(line)["hole"] for line in said.lines]

    assert holes("--job", "öhler") == [3]
    assert holes("--from", "2000-01-01", "--to", "2000-12-31") == []
    assert holes("--from", "2000-01-01", "--job", "done") == [2, 1]


def test_an_empty_table_still_has_its_columns(shop: Path) -> None:
    (line,) = answer("log", "--data", shop, "--csv", "--job", "nobody").as_file().lines
    assert line.startswith("hole,taken_in_utc,operator,customer,reference,part,label,")
    assert ",step,outcome,arc_s,burns,calls,electrode,electrodes,target_mm,depth_mm," in line
    assert line.endswith(",worn_mm,wear_ratio,price,currency,gauged")


def test_a_log_that_is_not_there_newer_or_broken_is_refused_in_one_line(
    shop: Path, tmp_path: Path
) -> None:
    assert "there is no log yet" in refusal(1, "log", "--data", tmp_path).err
    assert list(tmp_path.iterdir()) == []
    path = copied(shop, tmp_path, "PRAGMA user_version = 99")
    held = path.read_bytes()
    for command in ("log", "rehearse"):
        assert "newer cockpit" in refusal(1, command, "--data", tmp_path).err
    assert path.read_bytes() == held
    # Nonsense behind a good first page.
    path = copied(shop, tmp_path, "PRAGMA user_version = 1")
    whole = path.read_bytes()
    path.write_bytes(whole[:4096] + b"\xa5" * (len(whole) - 4096))
    assert str(path) in refusal(1, "log", "--data", tmp_path).err


# Verify ------------------------------------------------------------------------------------------


def test_verify_finds_a_sound_shop_sound(shop: Path) -> None:
    lines = answer("verify", "--data", shop, "--gauge", "simulated").lines
    assert all(line.startswith("ok ") for line in lines)
    for told in ("machine/standard", "pages", "references", "traces", "simulated"):
        assert any(told in line for line in lines), told
    assert any("none yet" in line for line in answer("verify", "--data", shop / "empty").lines)


def test_verify_says_what_is_wrong_with_profile_log_and_gauge(tmp_path: Path) -> None:
    own = tmp_path / ".config" / "burn-cockpit" / "profiles" / "gauge"
    own.mkdir(parents=True)
    (own / "bench.toml").write_text('source = "radio"')
    (tmp_path / "shop.sqlite3").write_text("a note")
    said = refusal(1, "verify", "--data", tmp_path, "--gauge", "bench", home=tmp_path)
    bad = [line for line in said.lines if line.startswith("BAD ")]
    assert said.err.startswith("3 things")
    assert len(bad) == 3
    for line, told in zip(bad, ("'radio'", "left as it is", "'radio'"), strict=True):
        assert told in line


# Backup and restore ------------------------------------------------------------------------------


def test_a_backup_is_a_log_of_its_own_and_is_never_overwritten(shop: Path, tmp_path: Path) -> None:
    target = tmp_path / "stick" / "shop.sqlite3"
    assert str(target) in answer("backup", target, "--data", shop).out
    assert answer("log", "--data", target.parent).out == answer("log", "--data", shop).out
    held = target.read_bytes()
    assert "is there already" in refusal(1, "backup", target, "--data", shop).err
    assert target.read_bytes() == held
    assert "there is no log yet" in refusal(1, "backup", target, "--data", tmp_path).err


def test_a_copy_that_was_named_takes_the_logs_place(shop: Path, tmp_path: Path) -> None:
    copy = tmp_path / "stick.sqlite3"
    answer("backup", copy, "--data", shop)
    folder = tmp_path / "new"
    assert "no sound copy" in refusal(1, "restore", "--data", folder).err
    assert "there is no such file" in refusal(1, "restore", folder / "x", "--data", folder).err
    folder.mkdir()
    assert len(answer("restore", copy, "--data", folder).lines) == 1
    assert answer("log", "--data", folder).out == answer("log", "--data", shop).out


# Gauge -------------------------------------------------------------------------------------------


def test_gauge_lists_ports_and_profiles() -> None:
    said = answer("gauge").out
    assert said.startswith("ports\n")
    for name in profiles.profile_paths("gauge"):
        assert f"\n  {name} " in said


def test_gauge_watch_shows_readings_and_their_rate() -> None:
    said = answer("gauge", "watch", "simulated", "--seconds", "0.6")
    *readings, last = said.lines
    assert 4 <= len(readings) <= 7
    assert all(" mm" in line for line in readings)
    assert f"{len(readings)} readings" in last
    assert "0 rejected" in last


@pytest.mark.parametrize(
    ("words", "about"),
    [
        (("dial",), "no gauge profile 'dial'"),
        (("serial-decimal", "--port", "nothing-there", "--seconds", "0.3"), "nothing-there"),
        (("serial-decimal", "--port", "warp://9", "--seconds", "0.3"), "warp"),
        (("recorded", "--port", "nothing.csv"), "nothing.csv"),
        (("typed", "--seconds", "0.2"), ""),
    ],
)
def test_a_gauge_that_is_not_there_is_refused_in_one_line(
    words: tuple[str, ...], about: str
) -> None:
    assert about in refusal(1, "gauge", "watch", *words).err


# Streams -----------------------------------------------------------------------------------------


def watching(*words: str) -> subprocess.Popen[str]:
    """Somebody who watches the simulated gauge, from the outside."""
    return subprocess.Popen(
        [sys.executable, "-m", "cockpit", "gauge", "watch", "simulated", *words],
        cwd=ROOT,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def test_a_reader_that_has_had_enough_is_no_error() -> None:
    with watching("--seconds", "5") as watch:
        assert watch.stdout is not None
        assert watch.stderr is not None
        watch.stdout.readline()
        watch.stdout.close()
        assert watch.wait(timeout=20) == 0
        assert watch.stderr.read() == ""


def test_a_watch_that_is_interrupted_ends_with_its_sum() -> None:
    with watching() as watch:
        assert watch.stdout is not None
        watch.stdout.readline()
        os.kill(watch.pid, signal.SIGINT)
        out, err = watch.communicate(timeout=20)
    assert watch.returncode == 0
    assert err == ""
    assert "readings in" in out.splitlines()[-1]


def test_a_terminal_that_knows_only_ascii_gets_an_answer(trace: Path) -> None:
    said = burn_cockpit("replay", trace, PYTHONIOENCODING="ascii", PYTHONUTF8="0")
    assert (said.code, said.err) == (0, "")
    assert "wear ratio" in said.out
