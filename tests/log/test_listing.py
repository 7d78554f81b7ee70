"""The holes of the log as they are listed, newest first."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest

from cockpit.burn.calls import Call, CallKind
from cockpit.burn.reading import Mark, MarkKind, Reading
from cockpit.log import LogError, listing
from cockpit.log.rows import BurnEnd, BurnKind, Outcome, Result, Tally
from cockpit.trade.plan import Plan
from cockpit.trade.remnants import Kind
from tests.log.conftest import TICKET, Bench
from tests.wall_clock import clock_of, needs_zone

DAY = date(2026, 5, 4)


def found(bench: Bench, **asked: object) -> list[int]:
    holes = listing.shift_log(bench.store.connection, **asked)  # type: ignore[arg-type] # any question
    return [hole.row.id for hole in holes]


def end(bench: Bench, hole: int, result: Result, gauged: str = "") -> int:
    bench.store.add_outcome(bench.shift, hole, Outcome(result, gauged=gauged, why="so"))
    (last,) = bench.store.connection.execute("SELECT max(id) FROM outcomes").fetchone()
    return int(last)


def tally(hole: int, outcome: int, **said: object) -> Tally:
    """What a hole came to."""
    usual: dict[str, object] = {
        "hole_id": hole,
        "outcome_id": outcome,
        "plan_id": None,
        "kind": "tap",
        "material": "cast iron",
        "hard_metal": False,
        "electrode": "7/32 in",
        "electrode_mm": 5.556,
        "electrodes": 1,
        "arc_s": 300.0,
        "depth_mm": 18.0,
        "depth_sd_mm": 0.03,
        "burnt_mm": 15.0,
        "worn_mm": 4.2,
        "area_mm2": 26.9,
        "amps": 192.5,
        "amps_said": False,
        "wear_ratio": 0.22,
        "wear_ratio_sd": 0.01,
        "price": Decimal("88.50"),
        "currency": "EUR",
    }
    return Tally(**(usual | said))  # type: ignore[arg-type] # as the class has them


def test_the_shift_log_is_asked_by_day_both_ends_included(bench: Bench) -> None:
    holes = []
    for day in range(3):
        bench.now = bench.now.replace(day=4 + day, hour=23, minute=59)
        holes.append(bench.take_in())
    assert found(bench) == holes[::-1]
    assert found(bench, first=DAY + timedelta(days=1)) == [holes[2], holes[1]]
    assert found(bench, last=DAY) == [holes[0]]
    assert found(bench, first=DAY + timedelta(days=1), last=DAY + timedelta(days=1)) == [holes[1]]
    assert found(bench, first=DAY + timedelta(days=9)) == []


@needs_zone
def test_a_late_shift_is_found_by_the_day_on_its_own_clock(bench: Bench) -> None:
    bench.now = datetime(2026, 5, 5, 1, 30, tzinfo=UTC)
    with clock_of("CST6CDT,M3.2.0,M11.1.0"):
        # Half past eight in the evening of the 4th, in Chicago.
        hole = bench.take_in()
        assert found(bench, first=DAY, last=DAY, text="2026-05-04") == [hole]
        assert found(bench, first=DAY + timedelta(days=1)) == []
        (entry,) = listing.next_entries(bench.store.connection, None, 10)
        assert "2026-05-04" in entry.words
    assert found(bench, last=DAY) == []


@pytest.mark.parametrize(
    ("text", "places"),
    [
        ("", [0, 1, 2]),
        ("HARROW", [0]),
        ("öHLER", [1]),
        ("%", [1]),
        ("_", [2]),
        ("'", [2]),
        ("o'b", [2]),
        ("'; DROP TABLE holes; --", []),
        ("m10X1.5", [0, 1]),
        ("pin 8", [2]),
        ("given up", [1]),
        ("mt", [0, 1, 2]),
        ("casing flange", [0]),
        ("FLANGE 3 pump 2026-05-04", [0]),
        ("2026-05 öhler", [1]),
        ("pin öhler", []),
        ("2026-05-05", []),
        ("nothing like it", []),
    ],
)
def test_the_shift_log_is_asked_by_text_as_it_stands(
    bench: Bench, text: str, places: list[int]
) -> None:
    holes = [
        bench.take_in(),
        bench.take_in(customer="Öhler Gears", reference="100%", part="rocker"),
        bench.take_in(
            TICKET.model_copy(update={"thread": "pin 8 mm", "broken": Kind.PIN, "flutes": None}),
            customer="O'Brae Boats",
            reference="OB_7",
            part="housing",
        ),
    ]
    end(bench, holes[1], Result.GIVEN_UP)
    assert sorted(found(bench, text=text)) == [holes[place] for place in places]


def test_a_hole_has_what_it_came_to(bench: Bench, plan: Plan) -> None:
    open_, closed = bench.take_in(), bench.take_in()
    bench.store.add_plan(bench.shift, closed, plan, "{}")
    bench.store.add_tally(tally(closed, end(bench, closed, Result.DONE, "go passes")))
    second = tally(closed, end(bench, closed, Result.DONE, "no-go stops"), price=Decimal("91.20"))
    bench.store.add_tally(second)
    hole, other = listing.shift_log(bench.store.connection)
    assert (hole.row.id, other.row.id) == (closed, open_)
    assert (hole.target_mm, hole.depth_mm, hole.worn_mm) == (18.0, 18.0, 4.2)
    assert (hole.electrode, hole.electrodes, hole.wear_ratio) == ("7/32 in", 1, 0.22)
    assert (hole.price, hole.currency, hole.gauged) == (Decimal("91.20"), "EUR", "no-go stops")
    assert (other.target_mm, other.depth_mm, other.price, other.electrodes) == (None,) * 4
    assert other.gauged == ""


def test_what_was_said_wrongly_of_a_job_is_listed_as_it_was_corrected(bench: Bench) -> None:
    hole = bench.take_in()
    for reference in ("HP-2208", "HP-2209"):
        bench.store.connection.execute(
            "INSERT INTO job_corrections (job_id, shift_id, at_utc, customer, reference, part, "
            "correction) VALUES (1, 1, '2026-05-04T10:00:00+00:00', 'Quillstone', ?, 'arm', 'so')",
            [reference],
        )
    assert found(bench, text="hp-2209 quill ARM") == [hole]
    assert found(bench, text="Harrow") == []


def test_a_burn_that_nobody_ended_counts_as_far_as_it_is_known(bench: Bench) -> None:
    hole, store = bench.take_in(), bench.store
    bench.take_in()
    burn = store.open_burn(bench.shift, hole, BurnKind.PILOT, 0, Mark(0.0, MarkKind.START))
    store.close_burn(bench.shift, hole, burn, BurnEnd.OPERATOR, 1, Mark(5.0, MarkKind.STOP))
    store.open_burn(bench.shift, hole, BurnKind.BURN, 2, Mark(10.0, MarkKind.START))
    store.add_readings(hole, [(3, Reading(17.5, 3.0))])
    arcs_s = [hole.row.arc_s for hole in listing.shift_log(store.connection)]
    assert arcs_s == [0.0, 12.5]


def test_slices_come_to_the_whole_list(bench: Bench) -> None:
    """What a search holds of each hole, table by table, is what the list says of it."""
    holes, store = [bench.take_in() for _ in range(7)], bench.store
    store.add_calls(bench.shift, holes[2], [Call(1.0, CallKind.NEAR, 3.0)] * 2)
    store.add_tally(tally(holes[3], end(bench, holes[3], Result.DONE)))
    end(bench, holes[4], Result.LATER)
    burn = store.open_burn(bench.shift, holes[5], BurnKind.PILOT, 0, Mark(0.0, MarkKind.START))
    store.close_burn(bench.shift, holes[5], burn, BurnEnd.OPERATOR, 1, Mark(5.0, MarkKind.STOP))
    store.open_burn(bench.shift, holes[5], BurnKind.BURN, 2, Mark(10.0, MarkKind.START))
    store.add_readings(holes[5], [(3, Reading(17.5, 3.0))])
    connection = store.connection
    assert listing.how_many(connection) == 7
    read: list[listing.Entry] = []
    while some := listing.next_entries(connection, read[-1].id if read else None, 3):
        read += some
    assert read == [listing.entry_of(hole) for hole in listing.shift_log(connection)]
    assert [entry.is_closed for entry in read] == [False, False, False, True, False, False, False]
    assert [entry.arc_ms for entry in read] == [0, 12_500, 0, 0, 0, 0, 0]
    these = listing.these_holes(connection, [holes[1], holes[5], 99])
    assert [hole.row.id for hole in these] == [holes[5], holes[1]]


@pytest.mark.parametrize("price", ["much", "nan", "-Infinity", ""])
def test_a_price_that_is_none_is_said_so(bench: Bench, price: str) -> None:
    hole = bench.take_in()
    bench.store.add_tally(tally(hole, end(bench, hole, Result.DONE)))
    ask = bench.store.connection.execute
    ask("DROP TRIGGER tallies_no_update")
    ask("UPDATE tallies SET price = ?", [price])
    with pytest.raises(LogError, match=f"price of hole {hole} in the log can't be read"):
        found(bench)
