"""``burn-cockpit plan``: one hole, overridden figures, and a file of holes."""

from __future__ import annotations

import getpass
import json
from pathlib import Path

import pytest

from tests.commands.shell import answer, burn_cockpit, refusal
from tests.contract import PLAN_KEYS, PLAN_LONE_KEYS

PLAN = ("plan", "M10x1.5", "--broken", "tap", "--flutes", "3", "--depth", "22 mm")
HOLES = """\
part,hole,thread,broken,flutes,depth,recess,through,material
casing,flange 3,M10x1.5,tap,3,22 mm,3 mm,,cast iron
casing,"stud, left",M12x1.75,carbide stud,,24 mm,,no,cast iron

housing,port,1/8-27 NPT,tap,4,10 mm,1 mm,,aluminium
lid,one,G1/4,screw,,15 mm,,yes,
"""


def test_plan_prints_the_agreed_keys() -> None:
    (line,) = answer(*PLAN, "--recess", "3 mm", "--json").lines
    plan = json.loads(line)
    for part, keys in PLAN_KEYS.items():
        assert set(keys) <= set(plan[part]), part
    assert set(PLAN_LONE_KEYS) <= set(plan)
    assert plan["thread"]["minor_min_mm"] == pytest.approx(8.376, abs=0.001)
    assert plan["depth"]["recess_mm"] == 3.0
    assert all(isinstance(caution, str) for caution in plan["cautions"])
    assert plan["sources"]
    assert float(plan["price"]) > 0


def test_plan_tells_a_person_the_same() -> None:
    said = answer(*PLAN, "--recess", "1/8 in", "--material", "aluminium").out
    assert said.startswith("M10x1.5  tap\n")
    assert "3.17 mm = 0.1250 in" in said or "3.18 mm = 0.1250 in" in said
    assert "first stop" in said


@pytest.mark.parametrize(
    ("words", "about"),
    [
        (("plan", "M10x1.6", "--broken", "tap", "--depth", "22"), "M10"),
        (("plan", "M10x1.5", "--broken", "cheese", "--depth", "22"), "cheese"),
        (("plan", "M10x1.5", "--broken", "tap", "--depth", "0"), "depth"),
        (("plan", "M10x1.5", "--broken", "tap", "--depth", "deep"), "not a length"),
        (("plan", "M10x1.5", "--broken", "tap", "--depth", "5", "--recess", "6"), "break"),
        ((*PLAN, "--material", "cheese"), "cheese"),
        (("--machine", "other", *PLAN), "no machine profile 'other'"),
    ],
)
def test_a_hole_that_can_not_be_planned_is_refused_in_one_line(
    words: tuple[str, ...], about: str
) -> None:
    said = refusal(1, *words)
    assert said.out == ""
    assert about in said.err


def test_sister_hole_and_tool_end_bound_the_burn() -> None:
    (line,) = answer(*PLAN, "--sister", "20 mm", "--json").lines
    assert json.loads(line)["depth"]["limit_mm"] == 19.5
    (line,) = answer(*PLAN, "--tool-end", "18 mm", "--json").lines
    assert json.loads(line)["depth"]["target_mm"] == 18.0


def test_sources_are_printed_when_they_are_asked_for() -> None:
    said = answer(*PLAN, "--sources").lines
    assert "  thread.minor_min_mm: D - 1.0825318 P, ISO 724, ISO 68-1" in said
    assert "  thread.minor_min_mm: D - 1.0825318 P, ISO 724, ISO 68-1" not in answer(*PLAN).lines


# Overrides ---------------------------------------------------------------------------------------

WHY = ("--why", "only one sharp", "--by", "MT")


def test_an_override_is_marked_and_told_with_who_when_and_why() -> None:
    said = answer(*PLAN, "--override", "electrode.label=3/16 in", *WHY).out
    assert "electrode       3/16 in*\n" in said
    assert "* electrode 3/16 in, not 7/32 in; MT, 20" in said
    assert ": only one sharp\n" in said


def test_overrides_are_in_the_json_with_what_they_stand_for() -> None:
    words = ("--override", "web=3.9 mm", "--override", "target=15 mm", "--json")
    (line,) = answer(*PLAN, *words, *WHY).lines
    plan = json.loads(line)
    held = {one["figure"]: one for one in plan["overrides"]}
    assert plan["remnant"]["web_mm"] == 3.9
    assert held["remnant.web_mm"]["instead_of"] == 4.0
    assert held["depth.target_mm"]["who"] == "MT"
    assert plan["sources"]["remnant.web_mm"].endswith("only one sharp")


@pytest.mark.parametrize(
    ("override", "line"),
    [
        ("arc gap=0.2 mm", "burns "),
        ("required clearance=0.4 mm", "off centre "),
        ("minor diameter=8.5 mm", "off centre "),
        ("flush pressure=80 kPa", "flush catch "),
        ("shortest arc time=1 min", "arc time "),
        ("burn length=10 mm", "arc time "),
        ("bottom limit=20 mm", "first stop "),
        ("reach=60 mm", "electrodes "),
    ],
)
def test_the_line_that_rests_on_an_override_is_marked(override: str, line: str) -> None:
    said = answer(*PLAN, "--override", override, *WHY).lines
    (marked,) = [text for text in said if text[2:].startswith(line)]
    assert marked.endswith("*")
    value = override.partition("=")[2].replace(" kPa", "").replace("1 min", "1:00 min")
    assert any(text.startswith("* ") and value.split()[0] in text for text in said)


def test_whoever_is_at_the_computer_overrides_unless_told() -> None:
    words = ("--override", "web=3.9 mm", "--why", "measured", "--json")
    (line,) = answer(*PLAN, *words, USER=getpass.getuser()).lines
    assert json.loads(line)["overrides"][0]["who"] == getpass.getuser()


@pytest.mark.parametrize(
    ("code", "words", "about"),
    [
        (2, ("--override", "web=3.9"), "needs --why"),
        (1, ("--override", "hope=3.9", *WHY), '"hope" is no figure of a plan'),
        (1, ("--override", "web", *WHY), "is not a length"),
        (1, ("--override", "web=12 mm", "--broken", "screw", *WHY), "This hole has no web"),
        (2, ("--override", "web=4", "--override", "remnant.web_mm=5", *WHY), "web twice"),
        (1, ("--override", "flush flow=5e-324", *WHY), "is not from 0.001"),
        (1, ("--override", "flush flow=1e308", *WHY), "is not from 0.001"),
        (1, ("--override", "electrode=a\nb", *WHY), "say which, in a word"),
        (1, ("--override", "price=a\nb", *WHY), "is not an amount"),
        (1, ("--override", "electrode=1 ft", *WHY), 'no electrode "1 ft" in the rack'),
    ],
)
def test_an_override_that_can_not_be_is_refused_in_one_line(
    code: int, words: tuple[str, ...], about: str
) -> None:
    assert about in refusal(code, *PLAN, *words).err


# A file of holes ---------------------------------------------------------------------------------


@pytest.fixture
def holes(tmp_path: Path) -> Path:
    path = tmp_path / "holes.csv"
    path.write_text(HOLES)
    return path


def test_a_file_of_holes_is_planned_row_by_row(holes: Path) -> None:
    plans = [json.loads(line) for line in answer("plan", "--from", holes, "--json").lines]
    assert [plan["hole"] for plan in plans] == ["flange 3", "stud, left", "port", "one"]
    assert [plan["line"] for plan in plans] == [2, 3, 5, 6]
    assert [plan["thread"]["designation"] for plan in plans] == [
        "M10x1.5",
        "M12x1.75",
        "1/8-27 NPT",
        "G1/4",
    ]
    assert plans[1]["remnant"]["hard_metal"] is True
    assert plans[3]["depth"]["limit_mm"] is None
    assert "another hole" in plans[1]["sources"]["price"]
    assert "another hole" not in plans[2]["sources"]["price"]
    # A row says the same as the command for that one hole.
    (alone,) = answer(*PLAN, "--recess", "3 mm", "--material", "cast iron", "--json").lines
    assert {key: plans[0][key] for key in PLAN_KEYS} == {
        key: json.loads(alone)[key] for key in PLAN_KEYS
    }


def test_a_person_gets_a_line_for_each_hole_and_the_sum(holes: Path) -> None:
    said = answer("plan", "--from", holes).lines
    assert said[0].split()[:4] == ["hole", "thread", "broken", "electrode"]
    assert said[1].startswith("flange 3    M10x1.5     tap")
    assert said[-1].startswith("4 planned, ")
    assert said[-1].endswith(" EUR together")


def test_the_table_says_cautions_and_what_does_not_fit(tmp_path: Path) -> None:
    path = tmp_path / "holes.csv"
    path.write_text("thread,broken,depth,hole,material\nM6,tap,15,a,titanium\n#0-80,screw,5,b,\n")
    said = answer("plan", "--from", path).lines
    assert any(line.startswith("! a: Fine particles and hot metal") for line in said)
    (row,) = [line for line in said if line.startswith("b ")]
    assert "does not fit" in row


def test_every_bad_row_is_named_and_the_good_ones_are_planned(holes: Path) -> None:
    bad = [
        "housing,bad 1,M13,tap,3,22 mm,,,",
        "housing,bad 2,M8,spoon,3,22 mm,,,",
        "housing,bad 3,M8,tap,three,22 mm,,,",
        "housing,bad 4,M8,tap,3,,,,",
        "housing,bad 5,M8,tap,3,deep,,,",
        "housing,bad 6,M8,tap,3,22 mm,,perhaps,",
        "housing,bad 7,M8,tap,3,22 mm,,,cheese",
        "housing,bad 8,M8,tap,3,22 mm,30 mm,,",
        "housing,bad 9,M8,tap,3,22 mm,,,,,too much",
        f"housing,bad 10,M8,tap,{'9' * 5000},22 mm,,,",
        "housing,bad 11,M8,tap,3,22 mm,,,\x1b[31m",
    ]
    holes.write_text(HOLES + "\n".join(bad) + "\n")
    said = burn_cockpit("plan", "--from", holes, "--json")
    assert said.code == 1
    assert len(said.lines) == 4
    *named, last = said.err.splitlines()
    assert last == f"{holes}: 11 rows have no plan; mend what is named above."
    for number, sentence in enumerate(named):
        assert sentence.startswith(f"{holes}, line {7 + number}: ")
        assert sentence.endswith(".")
    for sentence, about in zip(
        named,
        [
            "M13",
            "spoon",
            "three",
            "says no depth",
            "deep",
            "perhaps",
            "cheese",
            "30.00",
            "cells",
            "99999",
            "[31m",
        ],
        strict=True,
    ):
        assert about in sentence


@pytest.mark.parametrize(
    ("held", "says"),
    [
        (b"hole,thread,broken\n1,M8,tap\n", "line 1: has no column depth"),
        (b"thread,broken,depth,colour\n", 'line 1: knows no column "colour"'),
        (b"thread,broken,depth,depth\n", "line 1: has a column twice"),
        (b"", "line 1: has no column thread, broken, depth"),
        (b"thread,broken,depth\n", "has no hole in it"),
        (b'thread,broken,depth\nM8,tap,"22\n', "is not CSV"),
        (b"thread,broken,depth\nM8,t\xffp,22\n", "is not UTF-8"),
        (b'thread,broken,depth\nM8,"t\0ap,22\n', "line"),
    ],
)
def test_a_file_that_is_no_list_of_holes_is_refused(tmp_path: Path, held: bytes, says: str) -> None:
    path = tmp_path / "holes.csv"
    path.write_bytes(held)
    said = burn_cockpit("plan", "--from", path)
    assert said.code == 1
    assert said.out == ""
    assert says in said.err
    assert "Traceback" not in said.err


def test_a_file_that_is_not_there_is_said(tmp_path: Path) -> None:
    assert "No such file" in refusal(1, "plan", "--from", tmp_path / "none.csv").err


def test_a_quote_left_open_does_not_swallow_the_rows_after_it(tmp_path: Path) -> None:
    path = tmp_path / "holes.csv"
    path.write_text(
        'thread,broken,depth,hole\nM10,tap,22,"flange 1\nM8,tap,20,flange 2\nM6,tap,15,"\n'
    )
    said = burn_cockpit("plan", "--from", path)
    assert said.code == 1
    assert "has a line break in hole: is a quote left open?" in said.err


def test_what_a_spreadsheet_leaves_at_the_edges_is_passed_over(tmp_path: Path) -> None:
    path = tmp_path / "holes.csv"
    path.write_text("\r\nthread,broken,depth,,\r\nM8,tap,22 mm,,,,\r\n,,,,\r\n")
    (line,) = answer("plan", "--from", path, "--json").lines
    assert json.loads(line)["thread"]["designation"] == "M8x1.25"


def test_columns_parted_by_semicolons_and_named_by_a_person_are_read(tmp_path: Path) -> None:
    path = tmp_path / "holes.csv"
    path.write_text("\ufeffThread;Broken;Depth;Tool end\nM8;tap;22 mm;18 mm\n", "utf-8")
    (line,) = answer("plan", "--from", path, "--json").lines
    assert json.loads(line)["depth"]["target_mm"] == 18.0


def test_a_file_and_a_hole_at_once_make_no_sense(holes: Path) -> None:
    assert "leave out" in refusal(2, *PLAN, "--from", holes).err
    for words in (("--material", "titanium"), ("--through",), ("--recess", "4"), ("--why", "z")):
        assert f"leave out {words[0][2:]}" in refusal(2, "plan", "--from", holes, *words).err
