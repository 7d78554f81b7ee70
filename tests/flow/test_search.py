"""The log searched as somebody types finds what the log itself finds, and adds it up right."""

from __future__ import annotations

from decimal import Decimal
from functools import partial
from operator import attrgetter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cockpit.flow.search import HoleSearch, SlicedReading, Totals, log_line, totals_of
from cockpit.flow.steps import Step
from cockpit.log import listing
from cockpit.log.listing import Listed
from cockpit.log.rows import HoleRow, Job, Outcome, Result
from cockpit.units import LengthUnit
from tests.log.conftest import TICKET, Bench, bench
from tests.log.test_listing import tally

__all__ = ["bench"]


def close(bench: Bench, hole: int, price: str, currency: str = "EUR") -> None:
    bench.store.add_outcome(bench.shift, hole, Outcome(Result.DONE))
    bench.store.add_step(bench.shift, hole, Step.ENDED)
    (last,) = bench.store.connection.execute("SELECT max(id) FROM outcomes").fetchone()
    bench.store.add_tally(tally(hole, last, price=Decimal(price), currency=currency, electrodes=2))


@pytest.mark.parametrize(
    "text",
    [
        "",
        "QUILL",
        "flange",
        "m10",
        "öst",
        "MT",
        "zzz",
        "\n",
        "3 QUILL",
        "2026-05 boss",
        "boss öst x",
    ],
)
def test_it_finds_what_the_log_finds(bench: Bench, text: str) -> None:
    bench.take_in()
    bench.take_in(TICKET, customer="Quillstone Gears", reference="QG-41", part="rocker arm")
    bench.take_in(TICKET.model_copy(update={"hole": "boss 7"}), customer="ÖSTREL Boatworks")
    every = list(listing.shift_log(bench.store.connection))
    assert len(every) == 3
    wanted = [hole.row.id for hole in listing.shift_log(bench.store.connection, text=text)]
    assert HoleSearch(map(listing.entry_of, every)).find(text) == wanted


names = st.text("abÄ 1", max_size=4)


def made(number: int, said: tuple[str, str, str, int]) -> Listed:
    customer, label, price, arc_s = said
    job = Job(1, customer, "r", "p")
    row = HoleRow(
        number, 1, job, "2026-05-04", "MT", label, "M8", "tap", "ended", "done", arc_s, 1, 2
    )
    money = Decimal(price) if price else None
    return Listed(row, None, None, 1, None, None, None, money, "EUR" if price else None, "")


@given(
    st.lists(st.tuples(names, names, st.sampled_from(["", "1.10", "75.00"]), st.integers(0, 9))),
    st.lists(names, max_size=6),
    st.integers(0, 20),
)
def test_whatever_is_typed_and_whenever_more_comes_it_is_right(
    said: list[tuple[str, str, str, int]], typed: list[str], later: int
) -> None:
    """Letter by letter, in any order of searches: what is found, and what it comes to."""
    holes = [made(len(said) - place, one) for place, one in enumerate(said)]
    entries = [listing.entry_of(hole) for hole in holes]
    search = HoleSearch(entries[: len(entries) - min(later, len(entries))])
    rest = entries[len(search) :]
    for text in (*typed, ""):
        for end in range(len(text) + 1):
            search.find(text[:end])
            if rest:
                search.add([rest.pop(0)])
        there = holes[: len(search)]
        wanted = [
            hole
            for hole in there
            if all(word in listing.words_of(hole) for word in text.casefold().split())
        ]
        assert search.find(text) == [hole.row.id for hole in wanted]
        totals = search.totals()
        prices = [hole.price for hole in wanted if hole.price is not None]
        assert totals.holes == totals.closed == totals.electrodes == len(wanted)
        assert totals.calls == 2 * len(wanted)
        assert totals.arc_s == sum(map(attrgetter("row.arc_s"), wanted))
        assert totals.prices == ({"EUR": sum(prices)} if prices else {})


def test_totals_are_of_all_that_is_found_by_currency(bench: Bench) -> None:
    holes = [bench.take_in() for _ in range(3)]
    other = bench.take_in(customer="Quillstone Gears")
    close(bench, holes[0], "0.10")
    close(bench, holes[1], "0.20")
    close(bench, other, "99.95", "CHF")
    search = HoleSearch(map(listing.entry_of, listing.shift_log(bench.store.connection)))
    search.find("")
    totals = search.totals()
    assert (totals.holes, totals.closed, totals.electrodes) == (4, 3, 6)
    assert totals.prices == {"EUR": Decimal("0.30"), "CHF": Decimal("99.95")}
    search.find("harrow")
    assert search.totals() == Totals(3, 2, 0.0, 0, 4, {"EUR": Decimal("0.30")})


def test_a_hole_that_came_to_something_else_is_renewed(bench: Bench) -> None:
    holes = [bench.take_in() for _ in range(3)]
    connection = bench.store.connection
    search = HoleSearch(map(listing.entry_of, listing.shift_log(connection)))
    assert search.find("done") == []
    close(bench, holes[1], "75.00")
    (hole,) = listing.these_holes(connection, [holes[1]])
    search.renew(listing.entry_of(hole))
    assert search.find("done") == [holes[1]]
    assert search.totals().prices == {"EUR": Decimal("75.00")}
    bench.store.add_outcome(bench.shift, holes[1], Outcome(Result.DAMAGED, why="so"))
    search.renew(*map(listing.entry_of, listing.these_holes(connection, [holes[1]])))
    assert search.totals().holes == 0
    assert search.find("damaged") == [holes[1]]


def test_a_log_is_read_in_slices_and_searched_meanwhile(bench: Bench) -> None:
    with bench.store.together():
        holes = [bench.take_in() for _ in range(600)][::-1]
    search = HoleSearch()
    reading = SlicedReading(bench.store.connection, search)
    assert (reading.of, len(search), reading.is_done) == (600, 0, False)
    reading.read_on()
    assert search.find("flange") == holes[:250]
    while not reading.is_done:
        reading.read_on()
    assert search.find("flange") == holes
    reading.read_on()
    assert len(search) == 600


def test_what_is_told_of_it() -> None:
    totals = Totals(1234, 1200, 61.0, 1, 5, {"EUR": Decimal("1234.50"), "CHF": Decimal("7.00")})
    assert totals_of(totals, 200, 5000, 5000) == (
        "1234 holes, newest 200 shown, 1200 closed",
        "arc 1:01   1 call   5 electrodes   7.00 CHF   1,234.50 EUR",
    )
    told, _ = totals_of(totals, 2000, 1500, 5000)
    assert told == "1234 holes, 1200 closed   still reading: 1500 of 5000"


def test_a_line_has_depth_and_price_in_the_unit_of_the_operator(bench: Bench) -> None:
    close(bench, bench.take_in(), "88.50")
    (hole,) = listing.shift_log(bench.store.connection)
    line = partial(log_line, hole, "2026")
    assert line(LengthUnit.MM)[6:] == ("18.00", "0:00", "0", "88.50 EUR", "done")
    assert line(LengthUnit.INCH)[6] == "0.7087"
