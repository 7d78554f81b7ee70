"""A copy that is there is a good one, and a log that broke never takes its place."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest

from cockpit.log import LogError, backups, listing, questions, schema
from cockpit.log.lock import LogLock
from cockpit.log.opening import open_to_read
from cockpit.log.store import Store
from tests.log.conftest import Bench
from tests.log.older import as_version

PAGE = 4096


def customers(path: Path) -> list[str]:
    with closing(sqlite3.connect(path)) as connection:
        return [str(row[0]) for row in connection.execute("SELECT customer FROM jobs")]


def break_a_page(path: Path) -> None:
    """Overwrite a page in the middle of the file; what SQLite kept beside it is in it by then."""
    with path.open("r+b") as file:
        file.seek(len(path.read_bytes()) // PAGE // 2 * PAGE)
        file.write(b"\xa5" * PAGE)


def test_a_copy_is_made_in_use_and_is_one_file(bench: Bench, tmp_path: Path) -> None:
    bench.take_in(customer="Harrowfield Pumps")
    target = tmp_path / "elsewhere" / "copy.sqlite3"
    backups.copy(bench.path, bench.store.connection, target)
    bench.take_in(customer="Ostrel Boatworks")
    assert customers(target) == ["Harrowfield Pumps"]
    assert list(target.parent.iterdir()) == [target]
    with Store(target) as copy:
        assert listing.how_many(copy.connection) == 1


def test_one_copy_a_day_is_kept_and_the_oldest_go(bench: Bench) -> None:
    for day in range(backups.KEEP + 3):
        bench.take_in(customer=f"customer {day}")
        for _ in range(2):
            bench.store.keep_copy()
        bench.now += timedelta(days=1)
    kept = backups.kept(bench.path)
    assert len(kept) == backups.KEEP
    assert kept[0].name == "shop-2026-05-16.sqlite3"
    assert kept[-1].name == "shop-2026-05-07.sqlite3"
    assert not any(backups.fault_of(copy) for copy in kept)


def test_a_damaged_log_is_not_copied_over_a_good_copy(bench: Bench) -> None:
    bench.take_in()
    bench.store.keep_copy()
    (copy,) = backups.kept(bench.path)
    good = copy.read_bytes()
    bench.store.connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    bench.store.connection.execute("PRAGMA shrink_memory")
    break_a_page(bench.path)
    with pytest.raises(LogError, match=r"is damaged .* no copy was made"):
        bench.store.keep_copy()
    assert copy.read_bytes() == good
    assert list(copy.parent.iterdir()) == [copy]


def test_a_copy_that_can_not_be_made_is_said(bench: Bench) -> None:
    backups.folder(bench.path).write_bytes(b"a file where the folder should be")
    with pytest.raises(LogError, match="the copy can't be made"):
        bench.store.keep_copy()


def test_a_broken_log_names_its_copy_which_takes_its_place(bench: Bench) -> None:
    bench.take_in(customer="Harrowfield Pumps")
    bench.store.keep_copy()
    bench.store.close()
    bench.path.write_bytes(b"\xa5" * 9000)
    with pytest.raises(
        LogError, match=r"left as it is\. burn-cockpit restore puts the copy shop-2"
    ):
        Store(bench.path)
    source = backups.newest(bench.path)
    assert source is not None
    with LogLock(bench.path):
        aside = backups.restore(bench.path, source, bench.now)
    assert aside is not None
    assert aside.read_bytes() == b"\xa5" * 9000
    assert customers(bench.path) == ["Harrowfield Pumps"]
    assert source.exists()
    with Store(bench.path) as store:
        assert questions.open_shift(store.connection) is not None


def test_what_sqlite_kept_beside_the_broken_log_goes_with_it(bench: Bench) -> None:
    bench.take_in()
    bench.store.keep_copy()
    (copy,) = backups.kept(bench.path)
    wal = bench.path.with_name(bench.path.name + "-wal")
    beside = wal.read_bytes()
    assert beside
    aside = backups.restore(bench.path, copy, bench.now)
    assert aside is not None
    assert aside.with_name(aside.name + "-wal").read_bytes() == beside
    assert not wal.exists()


@pytest.mark.parametrize("held", [b"", b"nothing of the kind" * 999])
def test_what_is_no_log_takes_no_logs_place(bench: Bench, tmp_path: Path, held: bytes) -> None:
    bench.store.close()
    before = bench.path.read_bytes()
    source = tmp_path / "source"
    source.write_bytes(held)
    with pytest.raises(LogError, match="can't take the place"):
        backups.restore(bench.path, source, bench.now)
    assert bench.path.read_bytes() == before


def test_a_newer_log_is_no_copy_to_go_back_to(bench: Bench, tmp_path: Path) -> None:
    bench.store.connection.execute(f"PRAGMA user_version = {schema.VERSION + 1}")
    source = tmp_path / "newer.sqlite3"
    backups.copy(bench.path, bench.store.connection, source)
    with pytest.raises(LogError, match="newer cockpit"):
        backups.restore(bench.path, source, bench.now)


def test_a_damaged_copy_is_passed_over_for_a_sound_one(bench: Bench) -> None:
    bench.store.keep_copy()
    (older,) = backups.kept(bench.path)
    bench.now += timedelta(days=1)
    bench.take_in()
    bench.store.keep_copy()
    newer = backups.kept(bench.path)[0]
    assert newer != older
    newer.write_bytes(b"\xa5" * 9000)
    assert backups.newest(bench.path) == older


def test_copies_go_by_what_is_in_them_whatever_the_clock_on_the_wall_says(bench: Bench) -> None:
    own = backups.folder(bench.path) / "shop-before-the-fair.sqlite3"
    backups.copy(bench.path, bench.store.connection, own)
    ahead = bench.now + timedelta(days=900)
    for day in range(3 * backups.KEEP):
        bench.take_in(customer=f"customer {day}")
        # Once the clock was far ahead, and from the middle on it goes backwards.
        before, bench.now = bench.now, ahead if day == 4 else bench.now
        bench.store.keep_copy()
        newest = backups.newest(bench.path)
        assert newest is not None
        assert customers(newest)[-1] == f"customer {day}"
        bench.now = before + timedelta(days=1 if day < backups.KEEP else -1)
    assert own.exists()
    assert len(backups.kept(bench.path)) == backups.KEEP


def test_a_log_is_restored_with_what_was_not_yet_in_its_file(bench: Bench, tmp_path: Path) -> None:
    """A log set aside while it was open has its newest rows in a file beside it."""
    for number in range(25):
        bench.take_in(customer=f"customer {number}")
    killed = tmp_path / "killed" / "shop.sqlite3"
    killed.parent.mkdir()
    for end in ("", "-wal"):
        source = bench.path.with_name(bench.path.name + end)
        killed.with_name(killed.name + end).write_bytes(source.read_bytes())
    target = tmp_path / "new" / "shop.sqlite3"
    target.parent.mkdir()
    assert backups.restore(target, killed, bench.now) is None
    assert len(customers(target)) == 25
    with pytest.raises(LogError, match="is the log itself"):
        backups.restore(target, target, bench.now)
    assert len(customers(target)) == 25


def test_a_restore_that_fails_leaves_all_as_it_was(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    bench.take_in()
    bench.store.keep_copy()
    (copied,) = backups.kept(bench.path)
    beside = bench.path.with_name(bench.path.name + "-wal")
    before = bench.path.read_bytes(), beside.read_bytes()
    rename = Path.rename

    def refuse(path: Path, to: Path) -> Path:
        if path == beside:
            raise OSError(5, "Input/output error")
        return rename(path, to)

    monkeypatch.setattr(Path, "rename", refuse)
    with pytest.raises(LogError, match="can't take its place"):
        backups.restore(bench.path, copied, bench.now)
    assert (bench.path.read_bytes(), beside.read_bytes()) == before


def test_where_only_a_copy_is_left_no_empty_log_takes_its_place(bench: Bench) -> None:
    bench.store.keep_copy()
    bench.store.close()
    bench.path.rename(bench.path.with_name("away"))
    with pytest.raises(LogError, match=r"is not there, but a copy of it is.* burn-cockpit restore"):
        Store(bench.path)
    assert not bench.path.exists()


@pytest.mark.parametrize("opens", [Store, open_to_read])
def test_an_emptied_log_is_lost_and_takes_no_copys_place(
    bench: Bench, opens: Callable[[Path], object]
) -> None:
    bench.take_in(customer="Harrowfield Pumps")
    bench.store.keep_copy()
    (copy,) = backups.kept(bench.path)
    bench.store.close()
    bench.path.write_bytes(b"")
    with pytest.raises(LogError, match=r"is empty, but a copy of it is there.* restore"):
        opens(bench.path)
    assert bench.path.read_bytes() == b""
    assert customers(copy) == ["Harrowfield Pumps"]
    with LogLock(bench.path):
        backups.restore(bench.path, copy, bench.now)
    assert customers(bench.path) == ["Harrowfield Pumps"]


@pytest.mark.parametrize("opens", [Store, open_to_read])
@pytest.mark.parametrize("emptied", [True, False])
@pytest.mark.parametrize("copied", [True, False])
def test_what_was_written_last_is_not_thrown_away_where_the_log_is_gone(
    bench: Bench, tmp_path: Path, opens: Callable[[Path], object], emptied: bool, copied: bool
) -> None:
    """A killed cockpit leaves it beside the log, and SQLite deletes it beside an empty one."""
    bench.take_in(customer="Harrowfield Pumps")
    killed = tmp_path / "killed" / "shop.sqlite3"
    killed.parent.mkdir()
    if emptied:
        killed.touch()
    backups.wal(killed).write_bytes(left := backups.wal(bench.path).read_bytes())
    if copied:
        backups.copy(bench.path, bench.store.connection, backups.daily(killed, bench.now.date()))
    do = "restore puts the copy shop-2026-05-04" if copied else "to begin anew, move that away"
    with pytest.raises(LogError, match=rf"shop\.sqlite3-wal, which .* put the log back .*{do}"):
        opens(killed)
    assert backups.wal(killed).read_bytes() == left
    # The log comes back, and with it what was written last.
    killed.write_bytes(bench.path.read_bytes())
    Store(killed).close()
    assert customers(killed) == ["Harrowfield Pumps"]


def test_looking_into_an_empty_copy_deletes_nothing_beside_it(bench: Bench, tmp_path: Path) -> None:
    bench.take_in()
    emptied = tmp_path / "emptied.sqlite3"
    emptied.touch()
    backups.wal(emptied).write_bytes(left := backups.wal(bench.path).read_bytes())
    assert backups.fault_of(emptied) == "it is no log of a cockpit"
    assert backups.wal(emptied).read_bytes() == left


def test_an_older_log_that_is_damaged_names_its_copy(bench: Bench) -> None:
    for _ in range(40):
        bench.take_in()
    bench.store.keep_copy()
    bench.store.close()
    as_version(bench.path, 5)
    break_a_page(bench.path)
    with pytest.raises(LogError, match=r"is damaged.*burn-cockpit restore puts the copy shop-2"):
        Store(bench.path)
