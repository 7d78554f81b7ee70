"""The commands, where names, notes, files and profiles hold what would steer a terminal."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest

from cockpit.flow.rehearsal import rehearse
from cockpit.text import one_line
from tests.commands.shell import ROOT, Said, answer, burn_cockpit, refusal
from tests.hostile import ATTACKS, as_read, rewrite, unseemly

PLAN = ("plan", "M10x1.5", "--broken", "tap", "--flutes", "3", "--depth", "22 mm")
#: What an argument of a command, the name of a file, or a cell of one can be, in two handfuls.
WORDS = (
    ATTACKS["escape"] + ATTACKS["c1"] + ATTACKS["unseen"] + ATTACKS["markup"],
    ATTACKS["layout"] + ATTACKS["flood"] + ATTACKS["formula"],
)
each_word = pytest.mark.parametrize("text", WORDS, ids=["steering", "layout"])
OF_OURS = ("hole", "arc_s", "burns", "calls")


def assert_it_steers_nothing(said: Said) -> None:
    """Every line of the answer ends where ours do, and holds nothing but text."""
    for stream in (said.out, said.err):
        assert unseemly(stream.replace("\n", "")) == []
    assert "Traceback" not in said.err


@pytest.fixture(scope="module")
def rehearsed(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """A log with one whole hole in it."""
    folder = tmp_path_factory.mktemp("rehearsed")
    rehearse(folder, 1, None)
    return (folder / "shop.sqlite3").read_bytes()


@pytest.fixture(params=ATTACKS)
def attack(request: pytest.FixtureRequest, tmp_path: Path, rehearsed: bytes) -> str:
    """A text, and a log in ``tmp_path`` that has it in every word."""
    text = ATTACKS[str(request.param)]
    (tmp_path / "shop.sqlite3").write_bytes(rehearsed)
    rewrite(tmp_path / "shop.sqlite3", text)
    return text


@pytest.mark.usefixtures("attack")
def test_no_log_steers_the_terminal(tmp_path: Path) -> None:
    said = answer("log", "--data", tmp_path)
    assert_it_steers_nothing(said)
    assert len(said.lines) == 1
    assert_it_steers_nothing(burn_cockpit("verify", "--data", tmp_path))


@pytest.mark.usefixtures("attack")
def test_no_cell_of_the_log_begins_a_formula(tmp_path: Path) -> None:
    said = answer("log", "--data", tmp_path, "--csv").as_file()
    assert_it_steers_nothing(said)
    (row,) = csv.DictReader(io.StringIO(said.out))
    for name, value in row.items():
        if name in OF_OURS:
            float(value)
        else:
            assert not value.startswith(("=", "+", "-", "@", "\t", "\r"))
    for delimiter in ";\t":
        for cells in csv.reader(io.StringIO(said.out), delimiter=delimiter):
            assert not [one for one in cells if one.startswith(("=", "+", "-", "@"))]


def test_the_json_of_a_log_is_exact_and_steers_nothing(attack: str, tmp_path: Path) -> None:
    said = answer("log", "--data", tmp_path, "--json")
    assert_it_steers_nothing(said)
    (line,) = said.lines
    held = json.loads(line)
    assert {held[name] for name in ("operator", "customer", "part", "label")} == {as_read(attack)}


@each_word
def test_no_argument_steers_the_terminal(text: str, tmp_path: Path) -> None:
    file = tmp_path / text.replace("/", "")[:80]
    for words in (
        (text,),
        ("plan", text, "--broken", "tap", "--depth", "22"),
        ("log", "--data", file),
        ("rehearse", "--data", Path("/dev/null") / text),
        ("replay", file),
        ("plan", "--from", file),
        ("--machine", text),
        ("gauge", "watch", "serial-decimal", "--seconds", "0.1", "--port", text),
        (*PLAN, "--override", f"{text}=1", "--why", "x"),
    ):
        said = burn_cockpit(*words)
        assert said.code in (1, 2), words
        assert_it_steers_nothing(said)
        assert said.err.count("\n") == 1, words


@each_word
def test_who_overrides_and_why_are_kept_as_one_line(text: str) -> None:
    words = (*PLAN, "--override", "web=3.9 mm", "--why", text)
    assert_it_steers_nothing(answer(*words, "--by", text, "--sources"))
    (line,) = answer(*words, "--json", USER=text).lines
    (held,) = json.loads(line)["overrides"]
    assert held["who"] == held["why"] == one_line(text)


def test_a_reason_that_nobody_can_see_is_none() -> None:
    words = (*PLAN, "--override", "web=3.9 mm", "--why", "\u200b \x07")
    assert "--why" in refusal(2, *words).err
    seen = answer(*PLAN, "--override", "web=3.9 mm", "--why", "x", "--by", "\u202e").out
    assert "; somebody, 20" in seen


@each_word
def test_a_file_of_holes_steers_nothing(text: str, tmp_path: Path) -> None:
    path = tmp_path / "holes.csv"
    with path.open("w", encoding="utf-8", newline="") as file:
        table = csv.writer(file)
        table.writerow(("part", "hole", "thread", "broken", "depth"))
        table.writerow((text, text, "M10x1.5", "tap", "22"))
        table.writerow(("lid", "one", text, "tap", "22"))
        table.writerow(("lid", "two", "M10x1.5", "tap", f"22{text}"))
    for form in ((), ("--json",)):
        said = burn_cockpit("plan", "--from", path, *form)
        assert said.code == 1
        assert_it_steers_nothing(said)
    path.write_text(f"hole,{text.splitlines()[0]},thread,broken,depth\n", encoding="utf-8")
    assert_it_steers_nothing(refusal(1, "plan", "--from", path))


@each_word
def test_a_trace_steers_nothing(text: str, tmp_path: Path) -> None:
    path = tmp_path / "trace.csv"
    for row in (f"0,1,{text}", f"0,{text},", f"{text},1,"):
        path.write_text(f"t_s,travel_mm,mark\n{row}\n", encoding="utf-8")
        assert_it_steers_nothing(burn_cockpit("replay", path))


# Profiles ----------------------------------------------------------------------------------------


def write_profile(home: Path, name: str, held: str) -> None:
    path = home / ".config" / "burn-cockpit" / "profiles" / "gauge" / f"{name}.toml"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(held, encoding="utf-8")


def in_toml(text: str) -> str:
    """A text as TOML writes it: as JSON does, but that it has no half characters."""
    whole = text.replace("\ud800", "").replace("\udc9b", "")
    return json.dumps(whole, ensure_ascii=False)


def test_no_profile_steers_the_terminal(tmp_path: Path) -> None:
    for name, text in ATTACKS.items():
        quoted = in_toml(text)
        write_profile(tmp_path, name, f'source = "typed"\nnote = {quoted}\nname = {quoted}\n')
    write_profile(tmp_path, "x\x1b[2J\ny", 'source = "typed"\n')
    said = answer("gauge", home=tmp_path)
    assert_it_steers_nothing(said)
    listed = said.lines[said.lines.index("gauge profiles") + 1 :]
    shipped = list((ROOT / "profiles/gauge").glob("*.toml"))
    assert len(listed) == len(shipped) + len(ATTACKS) + 1
    for name, text in ATTACKS.items():
        quoted = in_toml(text)
        write_profile(tmp_path, name, f'source = "typed"\n{quoted} = {quoted}\n')
    said = burn_cockpit("verify", "--data", tmp_path, home=tmp_path)
    assert_it_steers_nothing(said)
    assert sum(line.startswith("BAD ") for line in said.lines) == len(ATTACKS)
    assert all(line.startswith(("BAD ", "ok ")) for line in said.lines)


def test_a_recording_that_no_file_can_be_called_is_refused(tmp_path: Path) -> None:
    write_profile(tmp_path, "null", 'source = "recorded"\nfile = "a\\u0000\\u001b[2J"\n')
    said = refusal(1, "gauge", "watch", "null", home=tmp_path)
    assert_it_steers_nothing(said)
    assert "a??[2J: is no name of a file" in said.err
