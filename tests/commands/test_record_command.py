"""``burn-cockpit record``, as the shop runs it for its customer."""

from __future__ import annotations

import html
import io
import json
import shutil
from pathlib import Path

import pytest
from pypdf import PdfReader

from cockpit.flow import demo
from cockpit.flow.floor import ShopFloor
from cockpit.flow.rehearsal import rehearse
from cockpit.log import listing
from tests.commands.shell import answer, refusal
from tests.hostile import ATTACKS, rewrite, unseemly

ENDINGS = ("html", "pdf", "md", "json", "txt")


@pytest.fixture(scope="module")
def log(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A log with one whole hole, and one of the same job that was only taken in."""
    folder = tmp_path_factory.mktemp("log")
    rehearse(folder, 2)
    with ShopFloor(folder, gauge=demo.GAUGE) as floor:
        (hole,) = listing.shift_log(floor.store.connection)
        floor.take_in_hole(hole.row.job.id, demo.HOLES[2][1])
    return folder


def written(log: Path, file: Path, *words: str) -> str:
    said = answer("record", "1", "--to", file, "--data", log, *words)
    assert said.lines == [f"{file}: the record of hole 1"]
    if file.suffix == ".pdf":
        pages = PdfReader(io.BytesIO(file.read_bytes())).pages
        return "".join(page.extract_text() for page in pages)
    return file.read_text("utf-8")


@pytest.mark.parametrize("ending", ENDINGS)
def test_the_ending_says_the_form(log: Path, tmp_path: Path, ending: str) -> None:
    text = written(log, tmp_path / f"record.{ending}")
    for word in ("Harrowfield Pumps", "HP-2207", "flange 3", "cast iron", "go passes, no-go stops"):
        assert word in text
    assert [file.name for file in tmp_path.iterdir()] == [f"record.{ending}"]


def test_the_terminal_form_is_what_a_rehearsal_prints(log: Path, tmp_path: Path) -> None:
    record = written(log, tmp_path / "a.TXT").splitlines()
    printed = answer("rehearse", "--seed", "2").lines
    assert [line for line in record if "20" not in line] == [
        line for line in printed if "20" not in line
    ]


@pytest.mark.parametrize("ending", ["html", "pdf", "md", "txt"])
def test_lengths_are_in_the_unit_that_was_asked_for(log: Path, tmp_path: Path, ending: str) -> None:
    file = tmp_path / f"record.{ending}"
    assert "0.7087 in" in written(log, file, "--inch")
    for words in ((), ("--mm",)):
        text = written(log, file, *words)
        assert "18.00 mm" in text
        assert "0.7087" not in text


@pytest.mark.parametrize("ending", ENDINGS)
def test_prices_are_told_only_when_asked_for(log: Path, tmp_path: Path, ending: str) -> None:
    file = tmp_path / f"record.{ending}"
    assert "EUR" not in written(log, file)
    assert "EUR" in written(log, file, "--prices")


@pytest.mark.parametrize("ending", ENDINGS)
def test_a_job_is_recorded_with_all_its_holes(log: Path, tmp_path: Path, ending: str) -> None:
    file = tmp_path / f"job.{ending}"
    said = answer("record", "2", "--job", "--to", file, "--data", log)
    assert said.lines == [f"{file}: the record of job HP-2207, 2 holes"]
    if ending == "pdf":
        pages = PdfReader(io.BytesIO(file.read_bytes())).pages
        text = "".join(page.extract_text() for page in pages)
    else:
        text = file.read_text("utf-8")
    assert "flange 3" in text
    assert "stud 2" in text
    if ending == "json":
        assert [hole["hole"] for hole in json.loads(text)["holes"]] == [1, 2]


def test_what_it_can_t_do_is_said_and_leaves_what_was_there(log: Path, tmp_path: Path) -> None:
    for name in ("record", "record.docx", "record.html.bak"):
        said = refusal(2, "record", "1", "--to", tmp_path / name, "--data", log)
        assert ".html, .pdf, .md, .json or .txt" in said.err
    said = refusal(1, "record", "77", "--to", tmp_path / "a.html", "--data", log)
    assert "There is no hole 77 in" in said.err
    said = refusal(1, "record", "1", "--to", tmp_path / "no" / "a.html", "--data", log)
    assert "can't be written there" in said.err
    assert refusal(1, "record", "1", "--to", tmp_path / "a.md", "--data", tmp_path).err
    refusal(2, "record", "one", "--to", tmp_path / "a.md", "--data", log)
    refusal(2, "record", "1", "--data", log)
    refusal(2, "record", "1", "--to", tmp_path / "a.md", "--mm", "--inch", "--data", log)
    assert list(tmp_path.iterdir()) == []


def test_a_file_that_can_t_be_replaced_stays_as_it_was(log: Path, tmp_path: Path) -> None:
    (tmp_path / "a.html").mkdir()
    (tmp_path / "a.html" / "kept").touch()
    refusal(1, "record", "1", "--to", tmp_path / "a.html", "--data", log)
    assert [file.name for file in tmp_path.rglob("*")] == ["a.html", "kept"]
    file = tmp_path / "b.html"
    file.write_text("old", encoding="utf-8")
    refusal(1, "record", "77", "--to", file, "--data", log)
    assert file.read_text(encoding="utf-8") == "old"
    assert "flange 3" in written(log, file)


@pytest.mark.parametrize("text", ATTACKS.values(), ids=ATTACKS)
def test_a_log_that_is_up_to_something_makes_a_record(log: Path, tmp_path: Path, text: str) -> None:
    shutil.copy(log / "shop.sqlite3", tmp_path)
    rewrite(tmp_path / "shop.sqlite3", text)
    for ending in ENDINGS:
        file = tmp_path / f"record.{ending}"
        said = answer("record", "1", "--job", "--to", file, "--data", tmp_path)
        assert unseemly(said.out.replace("\n", "")) == []
        if ending != "pdf":
            assert unseemly(file.read_text("utf-8").replace("\n", "")) == []


HEAD = """shop = "Ashgrove <Tool> Works"
lines = ["4 Mill Lane, Upper Sallow", "quality@ashgrove.example"]
"""


@pytest.fixture
def shop_home(tmp_path: Path) -> Path:
    """The home of a shop that has put its name at the head of its records."""
    folder = tmp_path / "home/.config/burn-cockpit/profiles/letterhead"
    folder.mkdir(parents=True)
    (folder / "standard.toml").write_text(HEAD, "utf-8")
    return tmp_path / "home"


@pytest.mark.parametrize("ending", ENDINGS)
def test_a_record_begins_with_whose_it_is(
    log: Path, tmp_path: Path, shop_home: Path, ending: str
) -> None:
    file = tmp_path / f"record.{ending}"
    answer("record", "1", "--job", "--to", file, "--data", log, home=shop_home)
    told = ["Ashgrove <Tool> Works", "4 Mill Lane, Upper Sallow", "quality@ashgrove.example"]
    if ending == "json":
        assert json.loads(file.read_text("utf-8"))["head"] == told
        return
    if ending == "pdf":
        text = "\n".join(page.extract_text() for page in PdfReader(file).pages)
    else:
        text = html.unescape(file.read_text("utf-8").split("<body>")[-1]).replace("\\", "")
    # The job, and each of its two holes.
    assert [text.count(line) for line in told] == [3, 3, 3]
    assert text.index(told[0]) < text.index(told[1]) < text.index("Job record: HP-2207")


def test_a_letterhead_that_is_none_is_said_so(log: Path, tmp_path: Path, shop_home: Path) -> None:
    profile = shop_home / ".config/burn-cockpit/profiles/letterhead/standard.toml"
    profile.write_text("shop = 7\n", "utf-8")
    file = tmp_path / "record.md"
    said = refusal(1, "record", "1", "--to", file, "--data", log, home=shop_home)
    assert "letterhead/standard.toml: shop holds 7: " in said.err
    assert not file.exists()
