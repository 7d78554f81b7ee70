"""Damage of every kind is planted in a real log, found, and told with the way to mend it."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

import pytest

from cockpit.burn.reading import Mark, MarkKind, Reading
from cockpit.flow import demo
from cockpit.flow.rehearsal import rehearse
from cockpit.log import schema
from cockpit.log.folding import fold, unfold
from cockpit.log.rows import BurnKind
from cockpit.log.store import Store
from tests.commands.shell import answer, burn_cockpit
from tests.log.conftest import TICKET

PAGE = 4096
RESTORE = "burn-cockpit restore puts the copy shop-"
GO_BACK = "does not have this: burn-cockpit restore goes back to it"
MEND = "burn-cockpit verify --mend puts that right."
ASIDE = "move it aside"


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shop with a hole that was burnt to its end, holes that wait, and a copy of the log."""
    folder = tmp_path_factory.mktemp("whole")
    rehearse(folder, 3, None)
    with Store(folder / "shop.sqlite3") as store:
        shift = store.open_shift(demo.OPERATOR, "standard", "typed")
        job = store.add_job(shift, "Ostrel Boatworks", "OB-118", "thruster housing")
        for _ in range(3):
            store.add_hole(shift, job, TICKET, "plan")
        store.keep_copy()
    return folder


@pytest.fixture
def shop(whole: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(whole, tmp_path / "shop"))


def change(log: Path, *statements: str, guarded: bool = False) -> None:
    """Do to the log what its guards forbid; they are back afterwards."""
    with closing(sqlite3.connect(log, isolation_level=None)) as connection:
        for table in schema.tables(connection) if not guarded else ():
            for verb in ("update", "delete"):
                connection.execute(f"DROP TRIGGER IF EXISTS {table}_no_{verb}")
        for statement in statements:
            connection.execute(statement)
        if not guarded:
            schema.guard(connection)


def overwrite(log: Path, at: int, held: bytes) -> None:
    with log.open("r+b") as file:
        file.seek(at)
        file.write(held)


def break_the_header(log: Path) -> None:
    overwrite(log, 0, b"\xa5" * 100)


def cut_off_the_end(log: Path) -> None:
    log.write_bytes(log.read_bytes()[: len(log.read_bytes()) // 2 // PAGE * PAGE])


def break_a_table_page(log: Path) -> None:
    with closing(sqlite3.connect(log)) as connection:
        ((page,),) = connection.execute("SELECT rootpage FROM sqlite_schema WHERE name = 'checks'")
    overwrite(log, (page - 1) * PAGE, b"\xa5" * PAGE)


def lose_an_index_entry(log: Path) -> None:
    """Let the index forget a row, by writing one while it is not known to be there."""
    with closing(sqlite3.connect(log, isolation_level=None)) as connection:
        (held,) = connection.execute(
            "SELECT rowid, type, name, tbl_name, rootpage, sql FROM sqlite_schema "
            "WHERE name = 'notes_by_hole'"
        ).fetchall()
        connection.execute("PRAGMA writable_schema = ON")
        connection.execute("DELETE FROM sqlite_schema WHERE name = 'notes_by_hole'")
    with closing(sqlite3.connect(log, isolation_level=None)) as connection:
        connection.execute(
            "INSERT INTO notes (hole_id, shift_id, at_utc, text) "
            "SELECT 1, 1, at_utc, 'tight' FROM holes WHERE id = 1"
        )
        connection.execute("PRAGMA writable_schema = ON")
        connection.execute("INSERT INTO sqlite_schema VALUES (?, ?, ?, ?, ?)", held[1:])


def spoil_a_trace(log: Path) -> None:
    with closing(sqlite3.connect(log)) as connection:
        body = connection.execute("SELECT body FROM traces ORDER BY length(body) DESC").fetchone()
    spoilt = bytearray(body[0])
    spoilt[len(spoilt) // 2] ^= 0x10
    change(log, f"UPDATE traces SET body = x'{spoilt.hex()}' WHERE length(body) = {len(spoilt)}")


def forget_readings(log: Path) -> None:
    """A stretch that is whole in itself, and misses its last readings."""
    with closing(sqlite3.connect(log)) as connection:
        first, body = connection.execute(
            "SELECT first_seq, body FROM traces ORDER BY readings DESC"
        ).fetchone()
    rows = unfold(body)[:-5]
    change(
        log,
        f"UPDATE traces SET body = x'{fold(rows).hex()}', readings = {len(rows)}, "
        f"last_seq = {rows[-1][0]} WHERE first_seq = {first}",
    )


def turn_back_time(log: Path) -> None:
    change(log, "UPDATE marks SET t_ms = t_ms - 3000 WHERE mark = 'touch'")


@dataclass(frozen=True)
class Damage:
    """What is done to a log, what is said of it, and what to do."""

    do: Callable[[Path], None]
    said: str
    remedy: str = GO_BACK


def by(*statements: str, said: str, remedy: str = GO_BACK, guarded: bool = False) -> Damage:
    return Damage(lambda log: change(log, *statements, guarded=guarded), said, remedy)


CAN_NOT_BE = "tally 1 of hole 1 holds a figure that can't be"
OVERRIDE = (
    "INSERT INTO overrides (hole_id, shift_id, at_utc, figure, value, why) "
    "SELECT id, shift_id, at_utc, 'remnant.web_mm', '{}', 'x' FROM holes WHERE id = 2"
)

DAMAGES = {
    "header": Damage(
        break_the_header, "is not a log that can be read (file is not a database)", RESTORE
    ),
    "cut off": Damage(cut_off_the_end, "malformed", RESTORE),
    "page": Damage(break_a_table_page, "shop.sqlite3 pages: ", RESTORE),
    "correction": by(
        "INSERT INTO notes (hole_id, shift_id, at_utc, text) SELECT id, 1, at_utc, 'x' FROM holes "
        "WHERE id < 3",
        "INSERT INTO notes (hole_id, shift_id, at_utc, text, corrects, correction) "
        "SELECT 2, 1, at_utc, 'y', min(id), 'z' FROM notes WHERE hole_id = 1",
        said="corrects one of another hole or a later one",
    ),
    "tally": by(
        "UPDATE tallies SET price = '12.5'", said="tally 1 of hole 1 holds a price that is none"
    ),
    "price": by(
        "UPDATE tallies SET price = '1.2.33'", said="tally 1 of hole 1 holds a price that is none"
    ),
    "no current": by("UPDATE tallies SET amps = -5.0", said=CAN_NOT_BE),
    "endless": by("UPDATE tallies SET area_mm2 = 9e999", said=CAN_NOT_BE),
    "no electrode": by("UPDATE tallies SET electrode_um = 0", said=CAN_NOT_BE),
    "half a ratio": by(
        "UPDATE tallies SET wear_ratio = 0.2, wear_ratio_sd = NULL", said=CAN_NOT_BE
    ),
    "override": by(
        OVERRIDE.format('{"a": 1}'), said="the value of override 1 of hole 2 can't be read"
    ),
    "deep": by(OVERRIDE.format("[" * 20_000), said="the value of override 1 of hole 2 can't be"),
    "far off": by(
        "UPDATE marks SET seq = 9000000000000000 WHERE seq = (SELECT max(seq) FROM marks)",
        said="readings or marks are missing, the first at place",
    ),
    "index entry": Damage(lose_an_index_entry, "missing from index notes_by_hole", MEND),
    "index": by("DROP INDEX steps_by_hole", said="index steps_by_hole is gone", remedy=MEND),
    "guard": by(
        "DROP TRIGGER outcomes_no_update",
        said="the guard outcomes_no_update, which keeps rows as they are, is gone",
        remedy=MEND,
        guarded=True,
    ),
    "column": by(
        "ALTER TABLE calls DROP COLUMN text", said="table calls is not what", remedy=RESTORE
    ),
    "reference": by(
        "PRAGMA foreign_keys = OFF",
        "UPDATE checks SET hole_id = 77 WHERE id = (SELECT max(id) FROM checks)",
        said="of checks points at a row of holes that is not there",
    ),
    "date": by("UPDATE holes SET at_utc = 'Monday' WHERE id = 2", said="'Monday', which is no"),
    "plan": by("UPDATE plans SET body = '{}'", said="the plan 1 of hole 1 can't be read"),
    "ticket": by("UPDATE tickets SET depth_um = 99000 WHERE hole_id = 2", said="contradicts"),
    "hole": by("DELETE FROM tickets WHERE hole_id = 3", said="hole 3 has no ticket"),
    "burn": by("UPDATE burn_ends SET t_ms = t_ms - 999999", said="ends before it begins"),
    "mark": by("DELETE FROM marks WHERE mark = 'start'", said="begins without its mark"),
    "text": by(
        "UPDATE jobs SET customer = CAST(x'4dfc6c6c6572' AS TEXT) WHERE id = 1",
        said="jobs holds bytes that are no text (rows: 1)",
    ),
    "call": by("UPDATE calls SET call = 'hooray'", said="has a call 'hooray', which there is not"),
    "trace": Damage(spoil_a_trace, "are lost: its readings are damaged"),
    "readings": Damage(forget_readings, "5 readings or marks are missing, the first at place"),
    "time": Damage(turn_back_time, "time goes back from one reading or mark to the next"),
    "reading": by(
        "INSERT INTO readings VALUES (2, 0, 0, 5000000)", said="farther than any head travels"
    ),
    "no burn": by(
        "PRAGMA foreign_keys = OFF",
        "DELETE FROM burn_ends WHERE burn_id = 1",
        "DELETE FROM burns WHERE id = 1",
        said="has a start of the arc that belongs to no burn",
    ),
    "target": by("UPDATE plans SET target_um = 1", said="the plan of hole 1 contradicts itself"),
    "empty": by(
        f"INSERT INTO traces VALUES (2, 0, 0, 0, x'{fold([]).hex()}')",
        said="its readings are not all there",
    ),
    "step": by("UPDATE steps SET step = 'tea' WHERE hole_id = 2", said="stands at 'tea'"),
    "newer": by("PRAGMA user_version = 99", said="newer cockpit", remedy="Update the cockpit"),
    "foreign": by("PRAGMA application_id = 1", said="another program", remedy="another folder"),
}


def test_a_whole_log_is_found_whole(shop: Path) -> None:
    assert all(line.startswith("ok ") for line in answer("verify", "--data", shop).lines)


@pytest.mark.parametrize("kind", DAMAGES)
def test_planted_damage_is_found_and_told_with_the_way_to_mend_it(shop: Path, kind: str) -> None:
    damage, log = DAMAGES[kind], shop / "shop.sqlite3"
    damage.do(log)
    said = burn_cockpit("verify", "--data", shop)
    assert said.code == 1
    assert "Traceback" not in said.err
    bad = [line for line in said.lines if line.startswith("BAD ")]
    assert any(damage.said in line for line in bad), said.out
    assert any(damage.remedy in line for line in bad), said.out


@pytest.mark.parametrize("kind", [name for name, one in DAMAGES.items() if one.remedy == MEND])
def test_what_needs_no_copy_is_put_right_in_place(shop: Path, kind: str) -> None:
    log = shop / "shop.sqlite3"
    DAMAGES[kind].do(log)
    answer("verify", "--data", shop, "--mend")
    assert all(line.startswith("ok ") for line in answer("verify", "--data", shop).lines)
    (before,) = shop.glob("shop.sqlite3.before-mending-*")
    assert before.stat().st_size > 0


@pytest.mark.parametrize(
    "kind", [name for name, one in DAMAGES.items() if one.remedy in (RESTORE, GO_BACK)]
)
def test_what_needs_the_copy_is_whole_once_it_is_restored(shop: Path, kind: str) -> None:
    log = shop / "shop.sqlite3"
    DAMAGES[kind].do(log)
    damaged = log.read_bytes()
    said = answer("restore", "--data", shop)
    assert len(said.lines) == 2
    (aside,) = shop.glob("shop.sqlite3.set-aside-*Z")
    assert aside.read_bytes() == damaged
    assert all(line.startswith("ok ") for line in answer("verify", "--data", shop).lines)


def test_without_a_copy_the_log_is_to_be_moved_aside(shop: Path) -> None:
    shutil.rmtree(shop / "backups")
    break_the_header(shop / "shop.sqlite3")
    assert ASIDE in burn_cockpit("verify", "--data", shop).out


def test_a_damaged_copy_is_told_too(shop: Path) -> None:
    (copy,) = (shop / "backups").iterdir()
    break_the_header(copy)
    said = burn_cockpit("verify", "--data", shop)
    assert f"BAD copy {copy}: file is not a database; delete it" in said.out


def test_a_fault_that_the_copy_has_too_is_no_reason_to_go_back(shop: Path) -> None:
    change(shop / "shop.sqlite3", "UPDATE steps SET step = 'tea' WHERE hole_id = 2")
    with Store(shop / "shop.sqlite3") as store:
        store.keep_copy()
    said = burn_cockpit("verify", "--data", shop).out
    assert "The rest of the log is good, and can be worked with; keep a copy" in said
    assert "burn-cockpit restore" not in said


def test_with_nothing_to_put_right_in_place_nothing_is_touched(shop: Path) -> None:
    before = (shop / "shop.sqlite3").read_bytes()
    assert "nothing to put right in place" in answer("verify", "--data", shop, "--mend").out
    assert (shop / "shop.sqlite3").read_bytes() == before
    assert list(shop.glob("*.before-mending-*")) == []


def test_a_place_that_an_earlier_cockpit_left_out_is_no_damage(shop: Path) -> None:
    """It used up a place for a mark before it knew whether the log would take it."""
    change(
        shop / "shop.sqlite3",
        "UPDATE sittings SET gauge = NULL",
        "DELETE FROM marks WHERE mark = 'touch'",
    )
    assert all(line.startswith("ok ") for line in answer("verify", "--data", shop).lines)


def test_a_log_that_is_gone_is_said_as_long_as_a_copy_is_there(shop: Path) -> None:
    (shop / "shop.sqlite3").unlink()
    said = burn_cockpit("verify", "--data", shop)
    assert said.code == 1
    assert "is not there, but a copy of it is" in said.out
    answer("restore", "--data", shop)
    assert all(line.startswith("ok ") for line in answer("verify", "--data", shop).lines)


def test_a_log_that_a_cockpit_was_killed_on_is_sound(shop: Path) -> None:
    with Store(shop / "shop.sqlite3") as store:
        mark = Mark(0.0, MarkKind.START)
        store.add_sitting(1, 2, 0.0, "simulated")
        store.open_burn(1, 2, BurnKind.PILOT, 0, mark)
        store.add_readings(2, [(1, Reading(0.1, 1.0))])
    assert all(line.startswith("ok ") for line in answer("verify", "--data", shop).lines)
