"""An exported log comes back whole, or not at all with a sentence that names the line."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cockpit.flow.rehearsal import rehearse
from cockpit.flow.steps import Step
from cockpit.log import LogError, importing, schema, soundness
from cockpit.log.exporting import lines
from cockpit.log.importing import import_log
from cockpit.log.opening import open_to_read
from cockpit.log.store import Store
from cockpit.trade.plan import Plan
from tests.hostile import ATTACKS
from tests.log.conftest import TICKET, Bench
from tests.log.older import as_version
from tests.log.test_exporting import exported
from tests.log.test_schema import rows as rows_of
from tests.log.test_store import fill

STEPS = frozenset(Step)


def taken_in(source: Path, path: Path) -> int:
    """Import, and hold what came of it to what ``burn-cockpit verify`` asks."""
    rows = import_log(path, source, STEPS)
    left = sorted(one.name for one in path.parent.iterdir() if path.name in one.name)
    assert left == [path.name, f"{path.name}.lock"]
    with closing(open_to_read(path)) as connection:
        assert [fault for _, found in soundness.faults(connection, STEPS) for fault in found] == []
    return rows


def refused(made: list[str], folder: Path) -> str:
    """The sentence with which these lines are refused; nothing may be left of them."""
    source, path = folder / "changed.json", folder / "new" / "shop.sqlite3"
    source.write_bytes("".join(f"{line}\n" for line in made).encode("utf-8", "surrogatepass"))
    with pytest.raises(LogError) as refusal:
        import_log(path, source, STEPS)
    assert [one.name for one in path.parent.iterdir()] == [f"{path.name}.lock"]
    said = str(refusal.value)
    assert said.endswith(".")
    assert "\n" not in said
    return said


@pytest.fixture
def made(bench: Bench, plan: Plan, tmp_path: Path) -> list[str]:
    """The lines of a log that has a row in nearly every table."""
    fill(bench, plan)
    return exported(bench.path, tmp_path / "log.json")


# There and back ----------------------------------------------------------------------------------


def test_an_export_comes_back_and_goes_out_the_same(
    bench: Bench, made: list[str], tmp_path: Path
) -> None:
    path = tmp_path / "new" / "shop.sqlite3"
    assert taken_in(tmp_path / "log.json", path) == len(made) - 2
    assert exported(path, tmp_path / "again.json") == made
    bench.store.close()
    assert rows_of(path) == rows_of(bench.path)
    with Store(path) as store:  # a cockpit works on there
        assert store.connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)
        assert store.connection.execute("PRAGMA page_size").fetchone() == (2048,)
        store.add_note(1, 1, "worked on")
        with pytest.raises(sqlite3.IntegrityError, match="append-only"):
            store.connection.execute("DELETE FROM notes")


def test_a_rehearsed_hole_comes_back_and_goes_out_the_same(tmp_path: Path) -> None:
    rehearse(tmp_path / "shop", 5)
    made = exported(tmp_path / "shop" / "shop.sqlite3", tmp_path / "log.json")
    path = tmp_path / "new" / "shop.sqlite3"
    taken_in(tmp_path / "log.json", path)
    assert exported(path, tmp_path / "again.json") == made


@pytest.mark.parametrize("version", range(1, schema.VERSION))
def test_an_export_of_an_earlier_version_is_brought_up(
    bench: Bench, plan: Plan, tmp_path: Path, version: int
) -> None:
    fill(bench, plan)
    bench.store.close()
    as_version(bench.path, version)
    with closing(sqlite3.connect(bench.path)) as old:
        made = list(lines(bench.path, old))
    assert json.loads(made[0])["version"] == version
    source, path = tmp_path / "old.json", tmp_path / "new" / "shop.sqlite3"
    source.write_text("\n".join(made), encoding="ascii")
    taken_in(source, path)
    with Store(bench.path):  # the cockpit's own way up
        pass
    assert rows_of(path) == rows_of(bench.path)


texts = st.one_of(st.text(max_size=60), st.sampled_from(sorted(set(ATTACKS) - {"broken", "long"})))


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(texts, texts, texts)
def test_any_text_comes_back(customer: str, handover: str, note: str) -> None:
    words = [ATTACKS.get(one, one) for one in (customer, handover, note)]
    with TemporaryDirectory() as passing:
        folder = Path(passing)
        bench = Bench(folder / "shop.sqlite3")
        with bench.store as store:
            hole = bench.take_in(TICKET.model_copy(update={"hole": words[0]}), customer=words[0])
            store.add_note(bench.shift, hole, words[2] or "-")
            store.close_shift(bench.shift, words[1])
        made = exported(bench.path, folder / "log.json")
        path = folder / "new" / "shop.sqlite3"
        taken_in(folder / "log.json", path)
        assert exported(path, folder / "again.json") == made
        assert rows_of(path) == rows_of(bench.path)


def test_an_empty_log_may_be_filled(made: list[str], tmp_path: Path) -> None:
    path = tmp_path / "new" / "shop.sqlite3"
    Store(path).close()
    assert taken_in(tmp_path / "log.json", path) == len(made) - 2


# Refused -----------------------------------------------------------------------------------------


@pytest.mark.usefixtures("made")
def test_a_log_that_holds_something_is_not_touched(bench: Bench, tmp_path: Path) -> None:
    path = tmp_path / "new" / "shop.sqlite3"
    with Store(path) as store:
        store.open_shift("RK", "standard", "simulated")
    before = rows_of(path)
    with pytest.raises(LogError, match="holds a log already"):
        import_log(path, tmp_path / "log.json", STEPS)
    assert rows_of(path) == before
    with pytest.raises(LogError, match="another cockpit has this log open"):
        import_log(bench.path, tmp_path / "log.json", STEPS)


def changed(line: str, **values: object) -> str:
    """A row with other values."""
    ((table, row),) = json.loads(line).items()
    return json.dumps({table: row | values})


def at(made: list[str], table: str) -> int:
    """The place of the first row of a table."""
    return next(place for place, line in enumerate(made) if line.startswith(f'{{"{table}"'))


def _edit(table: str, **values: object) -> Callable[[list[str]], int]:
    def edit(made: list[str]) -> int:
        place = at(made, table)
        made[place] = changed(made[place], **values)
        return place + 1

    return edit


def _with(text: str, place: int) -> Callable[[list[str]], int]:
    def put(made: list[str]) -> int:
        made[place] = text
        return place % len(made) + 1

    return put


def _without(table: str, column: str) -> Callable[[list[str]], int]:
    def drop(made: list[str]) -> int:
        ((_, row),) = json.loads(made[place := at(made, table)]).items()
        del row[column]
        made[place] = json.dumps({table: row})
        return place + 1

    return drop


def _twice(made: list[str]) -> int:
    made.insert(place := at(made, "notes"), made[place])
    return place + 2


def _cut_off(made: list[str]) -> int:
    del made[-1]
    return len(made)


def _lost(made: list[str]) -> int:
    del made[at(made, "notes")]
    return len(made)


def _goes_on(made: list[str]) -> int:
    made.append(made[-1])
    return len(made)


@pytest.mark.parametrize(
    ("harm", "why"),
    [
        (_with("{", 4), "is no JSON"),
        (_with("[1]", 4), "is no JSON object"),
        (_with("{}", 4), "is no JSON object"),
        (_with('{"notes": {"id": NaN}}', 4), "NaN is no number"),
        (_with('{"notes": {"id": 1, "id": 2}}', 4), "a name is in it twice"),
        (_with("[" * 100_000, 4), "is no JSON"),
        (_with('{"notes": {"id": ' + "9" * 5000 + "}}", 4), "is no JSON"),
        (_with('{"notes": 3}', 4), "has no row of notes in it"),
        (_with('{"notes": {}, "jobs": {}}', 4), "holds more than one row"),
        (_with('{"weather": {"id": 1}}', 4), 'names no table of the log, but "weather"'),
        (_with("{'log': 1}", 0), "is no JSON"),
        (_with('{"jobs": {}}', 0), "does not begin an exported log"),
        (_with('{"log": "burn-cockpit", "version": true}', 0), "does not begin an exported log"),
        (_with('{"log": "burn-cockpit", "version": 0}', 0), "there never was"),
        (_with('{"log": "burn-cockpit", "version": 99}', 0), "a newer cockpit"),
        (_with('{"end": {"rows": "12"}}', -1), "rows, but"),
        (_with('{"end": 12}', -1), "does not end an exported log"),
        (_with('{"' + "x" * 3000 + '": {}}', 4), f'but "{"x" * 30}"; nothing was imported'),
        (_edit("notes", **{"x" * 3000: 1}), f'has not: "{"x" * 30}"; nothing was imported'),
        (_with('{"end": {"rows": "' + "x" * 3000 + '"}}', -1), f'are "{"x" * 30}" rows, but'),
        (_edit("notes", id=None), "lacks what tells rows of notes apart: id"),
        (_edit("notes", weather="dry"), 'a column that notes has not: "weather"'),
        (_without("notes", "text"), "lacks a column of notes: text"),
        (_edit("notes", text=3), "has in text what is not a text"),
        (_edit("notes", text=None), "is no row that notes can have"),
        (_edit("notes", text=""), "is no row that notes can have"),
        (_edit("notes", text="a\ud800"), "has in text half a character"),
        (_edit("holes", number="1"), "has in number what is not a whole number"),
        (_edit("holes", number=True), "has in number what is not a whole number"),
        (_edit("holes", number=1.5), "has in number what is not a whole number"),
        (_edit("holes", number=2**63), "has in number a number that is too large"),
        (_edit("traces", body="AA=A"), "has in body what is not a text in Base64"),
        (_edit("traces", body="\u00e9"), "has in body what is not a text in Base64"),
        (_edit("holes", job_id=77), "points at a row of jobs that did not come before (job_id)"),
        (_edit("burns", kind="long"), "is no row that burns can have"),
        (_twice, "is no row that notes can have"),
        (_cut_off, "the file was cut off"),
        (_lost, "some were lost"),
        (_goes_on, "comes after the end"),
    ],
)
def test_what_is_wrong_is_refused_by_its_line(
    made: list[str], tmp_path: Path, harm: Callable[[list[str]], int], why: str
) -> None:
    line = harm(made)
    said = refused(made, tmp_path)
    assert said.startswith(f"{tmp_path / 'changed.json'}: line {line} ")
    assert why in said


def test_what_no_line_alone_can_show_is_refused_too(made: list[str], tmp_path: Path) -> None:
    place = at(made, "plans")
    made[place] = changed(made[place], body="{}")
    assert "not sound (tickets and plans: the plan 1 of hole 1" in refused(made, tmp_path)


def test_no_file_an_empty_one_and_one_that_is_no_text(tmp_path: Path) -> None:
    assert "line 0 is not there: the file is empty" in refused([], tmp_path)
    path, source = tmp_path / "other" / "shop.sqlite3", tmp_path / "bytes.json"
    with pytest.raises(LogError, match="can't be made of"):
        import_log(path, source, STEPS)
    assert not path.parent.exists()
    source.write_bytes(b'{"log": "\xff"}\n')
    with pytest.raises(LogError, match="line 1 is not UTF-8"):
        import_log(path, source, STEPS)


def test_a_line_without_end_does_not_fill_the_memory(
    made: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(importing, "LONGEST_LINE_BYTES", 20_000)
    made[3] = '"' + "x" * 30_000
    assert "line 4 is longer than any row" in refused(made, tmp_path)


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_an_export_that_was_tampered_with_is_refused_or_taken_whole(
    made: list[str], data: st.DataObject
) -> None:
    """Whatever was done to it: a sentence and nothing, or a sound log."""
    lines: list[Any] = list(made)
    place = data.draw(st.integers(0, len(lines) - 1))
    line = lines[place]
    match data.draw(st.sampled_from(["drop", "twice", "swap", "letter", "cut"])):
        case "drop":
            del lines[place]
        case "twice":
            lines.insert(place, line)
        case "swap":
            lines[place], lines[-1 - place] = lines[-1 - place], line
        case "letter":
            spot = data.draw(st.integers(0, len(line) - 1))
            lines[place] = (
                line[:spot] + data.draw(st.sampled_from('0a"{}[],:\\é')) + line[spot + 1 :]
            )
        case _:
            lines[place:] = [line[: data.draw(st.integers(0, len(line)))]]
    with TemporaryDirectory() as passing:
        source, path = Path(passing) / "log.json", Path(passing) / "new" / "shop.sqlite3"
        source.write_text("\n".join(lines), encoding="utf-8")
        said = ""
        try:
            taken_in(source, path)
        except LogError as refusal:
            said = str(refusal)
        assert path.exists() == (not said)
        assert said == "" or said.startswith(str(source))
