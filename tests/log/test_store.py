"""What is opened, what is refused, and that nothing written is ever half written or changed."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from cockpit.burn.calls import Call, CallKind
from cockpit.burn.reading import Mark, MarkKind, Reading
from cockpit.log import questions, schema
from cockpit.log.backups import wal
from cockpit.log.lock import lock_path
from cockpit.log.rows import BurnEnd, BurnKind, CheckResult, Outcome, Result
from cockpit.log.store import LogError, Store
from cockpit.trade.centring import judge_centre
from cockpit.trade.learning import Lesson
from cockpit.trade.plan import Plan
from cockpit.trade.stock import StockEntry
from tests.log.conftest import TICKET, Bench, a_tally, break_table, make_read_only


def fill(bench: Bench, plan: Plan) -> int:
    """A row in every table."""
    store, shift = bench.store, bench.shift
    hole = bench.take_in()
    store.correct_ticket(shift, hole, TICKET)
    store.add_override(shift, hole, "remnant.web_mm", 3.9, "measured a like tap")
    store.add_plan(shift, hole, plan, "{}")
    store.add_check(shift, hole, "ground", "Ground", CheckResult.CONFIRMED)
    store.reopen_check(shift, hole, "ground")
    store.add_sitting(shift, hole, 0.0)
    burn = store.open_burn(shift, hole, BurnKind.PILOT, 0, Mark(0.0, MarkKind.START))
    store.add_readings(hole, [(1, Reading(0.1, 3.0)), (2, Reading(0.2, 3.01))])
    store.close_burn(shift, hole, burn, BurnEnd.OPERATOR, 3, Mark(0.3, MarkKind.STOP))
    store.fold(hole)
    store.add_readings(hole, [(5, Reading(0.5, 2.0))])
    store.add_mark(shift, hole, 4, Mark(0.4, MarkKind.ELECTRODE))
    store.add_calls(shift, hole, [Call(0.2, CallKind.NEAR, 3.01)])
    store.add_centre(shift, hole, judge_centre(plan.electrode.window, 0.1, -0.1))
    store.add_note(shift, hole, "tight")
    outcome = store.add_outcome(shift, hole, Outcome(Result.DONE))
    store.add_tally(a_tally(hole, outcome))
    store.add_width(shift, hole, 5.86)
    store.correct_job(shift, 1, ("Harrowfield Pumps", "HP-2208", "casing"), "misread")
    store.set_aside(shift, hole, Lesson.RATE, "the pump stood still")
    store.add_stock(shift, "7/32 in", StockEntry.COUNTED, 4)
    store.close_shift(shift, "nothing left")
    return hole


def killed_copy(bench: Bench, tmp_path: Path) -> Path:
    """The log and its -wal as a cockpit that is killed now would leave them."""
    killed = tmp_path / "killed" / "shop.sqlite3"
    killed.parent.mkdir()
    killed.write_bytes(bench.path.read_bytes())
    wal(killed).write_bytes(wal(bench.path).read_bytes())
    return killed


def refusal(path: Path) -> str:
    with pytest.raises(LogError) as refused:
        Store(path)
    said = str(refused.value)
    assert said.startswith(str(path))
    assert said.endswith(".")
    assert "\n" not in said
    return said


# The file ----------------------------------------------------------------------------------------


def test_a_new_log_is_durable_strict_and_ours(bench: Bench) -> None:
    ask = bench.store.connection.execute
    pragmas = {
        name: ask(f"PRAGMA {name}").fetchone()[0]
        for name in (
            "journal_mode",
            "synchronous",
            "foreign_keys",
            "recursive_triggers",
            "user_version",
            "application_id",
        )
    }
    assert pragmas == {
        "journal_mode": "wal",
        "synchronous": 2,
        "foreign_keys": 1,
        "recursive_triggers": 1,
        "user_version": schema.VERSION,
        "application_id": int.from_bytes(b"burn"),
    }
    strict = {row[1]: row[5] for row in ask("PRAGMA table_list") if not row[1].startswith("sqlite")}
    assert set(strict) == set(schema.tables(bench.store.connection))
    assert set(strict.values()) == {1}


def test_what_was_written_is_there_when_it_is_opened_again(bench: Bench, plan: Plan) -> None:
    hole = fill(bench, plan)
    before = list(bench.store.connection.iterdump())
    bench.store.close()
    with Store(bench.path) as again:
        assert list(again.connection.iterdump()) == before
        assert questions.page(again.connection, hole) is not None


def test_what_was_written_survives_a_kill(tmp_path: Path) -> None:
    path = tmp_path / "shop.sqlite3"
    script = (
        "import os, signal, sys; from pathlib import Path; from cockpit.log.store import Store\n"
        "store = Store(Path(sys.argv[1])); store.open_shift('MT', 'standard', 'typed')\n"
        "os.kill(os.getpid(), signal.SIGKILL)"
    )
    killed = subprocess.run([sys.executable, "-c", script, str(path)], check=False)
    assert killed.returncode != 0
    with Store(path) as store:
        shift = questions.open_shift(store.connection)
        assert shift is not None
        assert shift.operator == "MT"


def test_of_several_cockpits_on_a_new_log_one_at_a_time_has_it(tmp_path: Path) -> None:
    path = tmp_path / "shop.sqlite3"
    script = (
        "import sys; from pathlib import Path; from cockpit.log.store import LogError, Store\n"
        "try:\n"
        "    with Store(Path(sys.argv[1])) as store: store.open_shift('MT', 'standard', 'typed')\n"
        "except LogError as error: sys.exit(str(error))"
    )
    command = [sys.executable, "-c", script, str(path)]
    running = [subprocess.Popen(command, stderr=subprocess.PIPE, text=True) for _ in range(4)]
    said = [process.communicate()[1] for process in running]
    opened = said.count("")
    assert opened >= 1
    assert all("another cockpit has this log open" in one for one in said if one)
    with Store(path) as store:
        assert store.connection.execute("SELECT count(*) FROM shifts").fetchone() == (opened,)


# What is refused ---------------------------------------------------------------------------------


def test_a_newer_log_is_refused_and_left_byte_for_byte(bench: Bench) -> None:
    bench.store.connection.execute(f"PRAGMA user_version = {schema.VERSION + 1}")
    bench.store.close()
    before = bench.path.read_bytes()
    said = refusal(bench.path)
    assert "newer cockpit" in said
    assert f"log version {schema.VERSION + 1}" in said
    assert bench.path.read_bytes() == before
    assert sorted(bench.path.parent.iterdir()) == [bench.path, lock_path(bench.path)]


def test_a_newer_log_that_a_cockpit_was_killed_on_is_left_byte_for_byte(tmp_path: Path) -> None:
    path = tmp_path / "shop.sqlite3"
    script = (
        "import os, signal, sys; from pathlib import Path; from cockpit.log import schema\n"
        "from cockpit.log.store import Store\n"
        "store = Store(Path(sys.argv[1])); store.open_shift('MT', 'standard', 'typed')\n"
        "store.connection.execute(f'PRAGMA user_version = {schema.VERSION + 1}')\n"
        "os.kill(os.getpid(), signal.SIGKILL)"
    )
    subprocess.run([sys.executable, "-c", script, str(path)], check=False)
    before = path.read_bytes(), wal(path).read_bytes()
    assert all(before)
    for _ in range(2):
        assert "newer cockpit" in refusal(path)
        assert (path.read_bytes(), wal(path).read_bytes()) == before


@pytest.mark.parametrize("killed", [True, False])
def test_a_damaged_log_is_refused_and_left_byte_for_byte(
    bench: Bench, tmp_path: Path, killed: bool
) -> None:
    bench.take_in()
    bench.store.keep_copy()
    bench.store.connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    bench.take_in()
    if killed:
        # In the middle of the log; its -wal is whole, and none of what is in it may be lost.
        path = killed_copy(bench, tmp_path)
    else:
        bench.store.close()
        path = bench.path
    break_table(path, "shift_ends")
    before = path.read_bytes(), killed and wal(path).read_bytes()
    said = refusal(path)
    assert "is damaged (Page " in said
    assert "it was left as it is" in said
    assert (path.read_bytes(), killed and wal(path).read_bytes()) == before
    offered = "move it aside with its -wal and -shm" if killed else "puts the copy shop-2026"
    assert offered in said


@pytest.mark.parametrize(
    "held", [b"not a database at all" * 99, b"SQLite format 3\0" + bytes(range(256)) * 16]
)
def test_what_is_no_database_is_refused_and_left_byte_for_byte(tmp_path: Path, held: bytes) -> None:
    path = tmp_path / "shop.sqlite3"
    path.write_bytes(held)
    assert "left as it is" in refusal(path)
    assert path.read_bytes() == held


def test_a_database_of_another_program_is_refused_and_left_byte_for_byte(tmp_path: Path) -> None:
    path = tmp_path / "shop.sqlite3"
    with closing(sqlite3.connect(path)) as other:
        other.execute("CREATE TABLE recipes (name TEXT)")
    before = path.read_bytes()
    assert "another program" in refusal(path)
    assert path.read_bytes() == before


def test_a_folder_in_the_place_of_the_log_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "shop.sqlite3"
    path.mkdir()
    refusal(path)
    assert list(path.iterdir()) == []


def test_a_file_in_the_place_of_the_folder_is_refused(tmp_path: Path) -> None:
    (tmp_path / "shop").write_text("a note")
    refusal(tmp_path / "shop" / "shop.sqlite3")
    assert (tmp_path / "shop").read_text() == "a note"


def test_a_log_that_another_program_locks_is_refused_and_not_called_broken(bench: Bench) -> None:
    bench.store.close()
    with closing(sqlite3.connect(bench.path, isolation_level=None)) as other:
        other.execute("PRAGMA locking_mode = EXCLUSIVE")
        other.execute("BEGIN EXCLUSIVE")
        said = refusal(bench.path)
    assert "locked" in said
    assert "whether another program holds it" in said
    Store(bench.path).close()


def test_a_read_only_log_is_refused_at_the_first_row(bench: Bench) -> None:
    bench.store.close()
    make_read_only(bench.path)
    before = bench.path.read_bytes()
    with Store(bench.path) as store, pytest.raises(LogError, match="can't be written"):
        store.open_shift("MT", "standard", "typed")
    assert bench.path.read_bytes() == before


def test_what_can_not_be_written_is_said_in_a_sentence(bench: Bench) -> None:
    hole = bench.take_in()
    bench.store.connection.execute("PRAGMA query_only = ON")
    with pytest.raises(LogError, match="can't be written"):
        bench.store.add_note(bench.shift, hole, "tight")
    with pytest.raises(LogError, match="can't be written"):
        bench.store.add_readings(hole, [(1, Reading(0.1, 3.0))])
    with pytest.raises(LogError, match="can't be written"):
        bench.store.add_calls(bench.shift, hole, [Call(0.1, CallKind.NEAR, 3.0)])
    bench.store.connection.execute("PRAGMA query_only = OFF")
    bench.store.add_note(bench.shift, hole, "goes on")
    bench.store.close()
    with pytest.raises(LogError, match="can't be written"):
        bench.store.add_note(bench.shift, hole, "too late")


def test_a_full_disk_is_said_and_nothing_is_half_written(bench: Bench) -> None:
    hole, ask = bench.take_in(), bench.store.connection.execute
    pages = ask("PRAGMA page_count").fetchone()[0]
    ask(f"PRAGMA max_page_count = {pages + 1}")
    batch = [(seq, Reading(0.1 * seq, 3.0)) for seq in range(5_000)]
    with pytest.raises(LogError, match="full"):
        bench.store.add_readings(hole, batch)
    assert ask("SELECT count(*) FROM readings").fetchone() == (0,)
    ask(f"PRAGMA max_page_count = {pages + 1000}")
    bench.store.add_readings(hole, batch)
    assert ask("SELECT count(*) FROM readings").fetchone() == (5_000,)


def test_a_log_that_is_busy_says_so_and_is_not_jammed(bench: Bench) -> None:
    hole, ask = bench.take_in(), bench.store.connection.execute
    with closing(sqlite3.connect(bench.path, timeout=0, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(LogError, match="locked"):
            bench.store.add_readings(hole, [(1, Reading(0.1, 3.0))])
        other.execute("ROLLBACK")
    bench.store.add_readings(hole, [(1, Reading(0.1, 3.0))])
    assert ask("SELECT count(*) FROM readings").fetchone() == (1,)


def test_a_log_that_is_damaged_under_way_is_said_with_the_way_back(bench: Bench) -> None:
    for _ in range(40):
        hole = bench.take_in()
    bench.store.keep_copy()
    bench.store.connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    bench.store.connection.execute("PRAGMA shrink_memory")
    break_table(bench.path, "notes")
    for _ in range(2):
        with pytest.raises(LogError, match=r"is damaged \(.*burn-cockpit restore") as said:
            bench.store.add_note(bench.shift, hole, "tight")
        assert "free the disk" not in str(said.value)


# Append-only -------------------------------------------------------------------------------------


def test_no_row_of_what_happened_can_be_changed_deleted_or_replaced(
    bench: Bench, plan: Plan
) -> None:
    fill(bench, plan)
    connection = bench.store.connection
    kept = set(schema.tables(connection)) - schema.FOLDABLE
    assert len(kept) == len(schema.tables(connection)) - 1
    before = list(connection.iterdump())
    for table in kept:
        column = connection.execute(f"PRAGMA table_info({table})").fetchone()[1]
        for change in (
            f"UPDATE {table} SET {column} = {column}",
            f"DELETE FROM {table}",
            f"INSERT OR REPLACE INTO {table} SELECT * FROM {table}",
        ):
            with pytest.raises(sqlite3.IntegrityError, match=f"{table} is append-only"):
                connection.execute(change)
    assert list(connection.iterdump()) == before


def test_a_row_that_points_nowhere_is_refused(bench: Bench) -> None:
    with pytest.raises(sqlite3.IntegrityError, match="FOREIGN KEY"):
        bench.store.add_note(bench.shift, 77, "no such hole")
    with pytest.raises(sqlite3.IntegrityError, match="FOREIGN KEY"):
        bench.store.add_job(77, "nobody", "", "")


@pytest.mark.parametrize(
    ("table", "column", "value"),
    [("readings", "travel_um", "deep"), ("readings", "t_ms", 1.5), ("calls", "depth_um", "deep")],
)
def test_a_column_takes_its_own_type_alone(
    bench: Bench, table: str, column: str, value: object
) -> None:
    hole = bench.take_in()
    rows: dict[str, dict[str, object]] = {
        "readings": {"hole_id": hole, "seq": 1, "t_ms": 1, "travel_um": 1},
        "calls": {
            "hole_id": hole,
            "shift_id": bench.shift,
            "at_utc": "",
            "t_ms": 1,
            "call": "near",
            "text": "",
        },
    }
    row = rows[table] | {column: value}
    places = ", ".join("?" * len(row))
    with pytest.raises(sqlite3.IntegrityError, match="cannot store"):
        bench.store.connection.execute(
            f"INSERT INTO {table} ({', '.join(row)}) VALUES ({places})", list(row.values())
        )


def test_a_batch_of_readings_is_kept_whole_or_not_at_all(bench: Bench) -> None:
    hole = bench.take_in()
    bench.store.add_readings(hole, [(7, Reading(0.7, 3.0))])
    with pytest.raises(sqlite3.IntegrityError):
        bench.store.add_readings(hole, [(n, Reading(n / 10, 3.0)) for n in range(5, 9)])
    assert [seq for seq, _ in questions.events(bench.store.connection, hole)] == [7]


def test_a_burn_and_its_marks_are_kept_together(bench: Bench) -> None:
    hole = bench.take_in()
    bench.store.open_burn(bench.shift, hole, BurnKind.BURN, 0, Mark(0.0, MarkKind.START))
    with pytest.raises(sqlite3.IntegrityError):
        bench.store.open_burn(bench.shift, hole, BurnKind.BURN, 0, Mark(1.0, MarkKind.START))
    assert len(questions.burns(bench.store.connection, hole)) == 1
    with pytest.raises(sqlite3.IntegrityError):
        bench.store.close_burn(bench.shift, hole, 77, BurnEnd.OPERATOR, 1, Mark(1.0, MarkKind.STOP))
    assert len(questions.events(bench.store.connection, hole)) == 1


def test_a_correction_points_at_the_row_it_corrects(bench: Bench) -> None:
    hole = bench.take_in()
    bench.store.correct_ticket(bench.shift, hole, TICKET.model_copy(update={"recess_mm": 4.0}))
    bench.store.add_outcome(bench.shift, hole, Outcome(Result.LATER, why="lunch"))
    bench.store.add_outcome(bench.shift, hole, Outcome(Result.DONE))
    connection = bench.store.connection
    bench.store.add_override(bench.shift, hole, "remnant.web_mm", 3.9, "measured a like tap")
    bench.store.add_override(bench.shift, hole, "remnant.web_mm", None, "it was another tap")
    for table in ("tickets", "outcomes", "overrides"):
        rows = connection.execute(f"SELECT id, corrects FROM {table} ORDER BY id").fetchall()
        assert rows == [(1, None), (2, 1)]
    assert questions.ticket(connection, hole).recess_mm == 4.0
    page = questions.page(connection, hole)
    assert page is not None
    assert page.outcome is not None
    assert page.outcome.outcome.result is Result.DONE
    assert len(page.outcomes) == 2


def test_lengths_are_whole_micrometres_and_times_whole_milliseconds(bench: Bench) -> None:
    hole = bench.take_in()
    bench.store.add_readings(hole, [(0, Reading.at(1.2345, 3.96875))])
    row = bench.store.connection.execute("SELECT t_ms, travel_um FROM readings").fetchone()
    assert row == (1234, 3969)
    assert bench.store.connection.execute("SELECT recess_um FROM tickets").fetchone() == (3000,)
    assert bench.store.connection.execute("SELECT began_utc FROM shifts").fetchone() == (
        "2026-05-04T09:30:00.000+00:00",
    )


def test_a_check_holds_until_somebody_steps_back_to_it(bench: Bench) -> None:
    store, shift, hole = bench.store, bench.shift, bench.take_in()
    for item in ("ground", "clamp"):
        store.add_check(shift, hole, item, item, CheckResult.CONFIRMED)
        store.add_check(shift, None, item, item, CheckResult.CONFIRMED)
    store.reopen_check(shift, hole, "ground")
    store.reopen_check(shift, hole, "ground")
    store.add_check(shift, hole, "ground", "ground", CheckResult.CONFIRMED)
    rows = questions.hole_checks(store.connection, hole)
    assert [(row.item, row.holds) for row in rows] == [
        ("ground", False),
        ("clamp", True),
        ("ground", True),
    ]
    later = store.open_shift("MT", "standard", "typed")
    store.reopen_check(later, None, "ground")
    assert all(row.holds for row in questions.daily_checks(store.connection, shift))
    store.reopen_check(shift, None, "ground")
    daily = questions.daily_checks(store.connection, shift)
    assert [(row.item, row.holds) for row in daily] == [("ground", False), ("clamp", True)]


def test_an_override_is_in_force_until_it_is_taken_back(bench: Bench) -> None:
    hole, other = bench.take_in(), bench.take_in()
    add = bench.store.add_override
    add(bench.shift, hole, "remnant.web_mm", 3.9, "measured a like tap")
    add(bench.shift, hole, "electrode.label", "3/16 in", "the only sharp one")
    add(bench.shift, hole, "remnant.web_mm", 4.1, "measured again")
    connection = bench.store.connection
    held = questions.overrides(connection, hole)
    assert [(one.figure, one.value, one.who, one.why) for one in held] == [
        ("electrode.label", "3/16 in", "MT", "the only sharp one"),
        ("remnant.web_mm", 4.1, "MT", "measured again"),
    ]
    assert held[0].at_utc.startswith("2026-05-04T09:30")
    add(bench.shift, hole, "electrode.label", None, "a new one came")
    assert [one.figure for one in questions.overrides(connection, hole)] == ["remnant.web_mm"]
    assert questions.overrides(connection, other) == []


def test_a_log_that_was_moved_away_is_missed_before_anything_is_written_to_nowhere(
    bench: Bench, tmp_path: Path
) -> None:
    hole = bench.take_in()
    away = bench.path.rename(tmp_path / "away.sqlite3")
    with pytest.raises(LogError, match=r"moved or deleted while .* put it back"):
        bench.store.add_note(bench.shift, hole, "tight")
    away.rename(bench.path)
    bench.store.add_note(bench.shift, hole, "tight")
    page = questions.page(bench.store.connection, hole)
    assert page is not None
    assert [note.text for note in page.notes] == ["tight"]
