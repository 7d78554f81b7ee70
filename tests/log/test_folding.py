"""Folded readings come back to the last digit, or not at all."""

from __future__ import annotations

from contextlib import closing, suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cockpit.burn.reading import Mark, MarkKind, Reading
from cockpit.burn.scene import Scene
from cockpit.burn.simulate import SimulatedBurn
from cockpit.log import LogError, questions
from cockpit.log.folding import FoldError, Row, fold, unfold
from cockpit.log.opening import open_to_read
from cockpit.log.store import FOLD_AT_ONCE
from tests.log.conftest import Bench

NUMBERS = st.integers(-(2**62), 2**62)


def steady_burn(many: int, hz: int = 10) -> list[Row]:
    burn = SimulatedBurn(Scene(recess_mm=1.0, end_mm=60.0), 3)
    rows = []
    for seq in range(many):
        burn.advance(1 / hz, True)
        rows.append((seq, round(1000 * burn.t_s), round(1000 * burn.reading_mm())))
    return rows


@given(st.lists(st.tuples(NUMBERS, NUMBERS, NUMBERS), min_size=1, max_size=60))
def test_any_readings_come_back_as_they_were(rows: list[Row]) -> None:
    assert unfold(fold(rows)) == rows


def test_a_steady_burn_takes_less_than_a_byte_a_reading() -> None:
    rows = steady_burn(3000)
    assert len(fold(rows)) < len(rows)


@given(at=st.integers(0), bit=st.integers(0, 7))
def test_a_flipped_bit_is_never_taken_for_readings(at: int, bit: int) -> None:
    rows = steady_burn(40)
    body = bytearray(fold(rows))
    body[at % len(body)] ^= 1 << bit
    with suppress(FoldError):
        # There are bits that bzip2 itself passes over.
        assert unfold(bytes(body)) == rows


@given(cut=st.integers(0))
def test_what_is_cut_off_is_refused(cut: int) -> None:
    body = fold(steady_burn(40))
    with pytest.raises(FoldError):
        unfold(body[: cut % len(body)])


@given(st.binary(max_size=60))
def test_what_was_never_folded_is_refused(body: bytes) -> None:
    with pytest.raises(FoldError):
        unfold(body)


def test_a_hole_tells_the_same_before_and_after_it_is_folded(bench: Bench) -> None:
    store, hole = bench.store, bench.take_in()
    many = 2 * FOLD_AT_ONCE + 17
    store.add_readings(hole, [(n, Reading.at(n / 10, n / 1000)) for n in range(1, many)])
    store.add_mark(bench.shift, hole, 0, Mark(0.0, MarkKind.START))
    store.add_mark(bench.shift, hole, many, Mark(many / 10, MarkKind.STOP))
    other = bench.take_in()
    store.add_readings(other, [(0, Reading(1.0, 1.0))])
    before = questions.events(store.connection, hole)
    assert len(before) == many + 1
    folded = []
    while now := store.fold(hole):
        folded.append(now)
        assert questions.events(store.connection, hole) == before
    assert folded == [FOLD_AT_ONCE, FOLD_AT_ONCE, 16]
    assert store.connection.execute("SELECT hole_id FROM readings").fetchall() == [(other,)]
    store.add_readings(hole, [(many + 1, Reading(9999.0, 1.0))])
    assert questions.events(store.connection, hole)[:-1] == before
    store.fold_all()
    assert store.connection.execute("SELECT count(*) FROM readings").fetchone() == (0,)
    assert questions.events(store.connection, hole)[:-1] == before


def test_who_reads_while_a_cockpit_folds_sees_no_reading_twice(bench: Bench) -> None:
    store, hole = bench.store, bench.take_in()
    store.add_readings(hole, [(n, Reading.at(n / 10, n / 1000)) for n in range(40)])
    before = questions.events(store.connection, hole)
    with closing(open_to_read(store.path)) as reader:
        live = reader.execute("SELECT count(*) FROM readings").fetchone()
        while store.fold(hole):
            pass
        assert reader.execute("SELECT count(*) FROM readings").fetchone() == live == (40,)
        assert reader.execute("SELECT count(*) FROM traces").fetchone() == (0,)
        assert questions.events(reader, hole) == before
    assert store.connection.execute("SELECT count(*) FROM readings").fetchone() == (0,)


def test_a_damaged_trace_is_said_and_its_hole_named(bench: Bench) -> None:
    hole = bench.take_in()
    bench.store.connection.execute(
        "INSERT INTO traces VALUES (?, 0, 9, 10, ?)", (hole, fold([(0, 0, 0)])[:-3])
    )
    with pytest.raises(LogError, match=rf"The trace of hole {hole} .* burn-cockpit verify"):
        questions.events(bench.store.connection, hole)
