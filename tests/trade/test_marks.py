"""The mark of an override: on the figure itself, and on all that rests on it."""

import dataclasses
from collections.abc import Iterator
from typing import Any

import pytest

from cockpit.trade.errors import TradeError
from cockpit.trade.figures import FIGURES, RESTS_ON, Override, Value
from cockpit.trade.plan import (
    CATCH_RESTS_ON,
    HOLE_RESTS_ON,
    OFFSET_RESTS_ON,
    STOP_RESTS_ON,
    TIME_RESTS_ON,
    Plan,
    make_plan,
)
from cockpit.trade.ticket import Shop, Ticket

# Every way that a plan is worked out: with a web and without, measured and not, blind and through,
# tapered, deep enough for several electrodes.
TICKETS = {
    "tap": {"thread": "M10x1.5", "broken": "tap", "flutes": 3, "depth_mm": 22, "recess_mm": 3},
    "drill": {"thread": "M8", "broken": "drill", "depth_mm": 25, "recess_mm": 1},
    "measured drill": {"thread": "M8", "broken": "drill", "web_mm": 1.5, "depth_mm": 25},
    "taper": {"thread": "1/4 NPT", "broken": "tap", "depth_mm": 14, "recess_mm": 1},
    "screw": {"thread": "M12", "broken": "screw", "depth_mm": 30, "through": True},
    "deep": {"thread": "M10x1.5", "broken": "tap", "depth_mm": 140, "recess_mm": 3},
    "pin": {"thread": "pin 8 mm", "broken": "pin", "depth_mm": 20, "tool_end_mm": 15},
}


def ticket(name: str) -> Ticket:
    return Ticket.model_validate({"hole": "1"} | TICKETS[name])


@pytest.fixture(scope="module", params=[0.0, 0.01], ids=["square", "leaning"])
def any_shop(request: pytest.FixtureRequest, shop: Shop) -> Shop:
    """The usual shop, and one whose head leans and leaves the core standing."""
    lean: float = request.param
    changed = {"out_of_square": lean, "core_washed": not lean}
    return dataclasses.replace(shop, machine=shop.machine.model_copy(update=changed))


def overruled(figure: str, value: Value) -> Override:
    return Override(figure=figure, value=value, who="MT", at_utc="2026-11-02T08:15", why="measured")


def others(figure: str, plan: Plan, shop: Shop) -> Iterator[Value]:
    """What may be put in place of a figure: other names, or a little and a lot more or less."""
    value = plan.value(figure)
    if figure == "electrode.label":
        yield from (one.label for one in shop.stock)
    elif figure == "arc.range":
        yield from (heat.position for heat in shop.machine.ranges)
    elif figure == "electrode.needed":
        yield from (1.0, 2.0, 5.0)
    elif figure == "price":
        yield "1.00"
    elif value is not None:
        yield from (
            float(value) * part + more for part in (0.5, 0.95, 1.05, 2) for more in (0, 0.1)
        )


def leaves(held: dict[str, Any], prefix: str = "") -> Iterator[tuple[str, object]]:
    for key, value in held.items():
        if isinstance(value, dict):
            yield from leaves(value, f"{prefix}{key}.")
        else:
            yield f"{prefix}{key}", value


def figures_of(plan: Plan) -> dict[str, object]:
    """Everything a plan says that has a source, by its dotted name."""
    said = leaves(plan.model_dump(exclude={"sources"}))
    return {name: value for name, value in said if name in plan.sources}


@pytest.mark.parametrize("figure", [figure.name for figure in FIGURES])
def test_whatever_an_override_moves_is_marked(any_shop: Shop, figure: str) -> None:
    admitted = 0
    for name in TICKETS:
        plain = make_plan(ticket(name), any_shop)
        before = figures_of(plain)
        for value in others(figure, plain, any_shop):
            try:
                plan = make_plan(ticket(name), any_shop, [overruled(figure, value)])
            except TradeError:
                continue
            admitted += 1
            moved = {leaf for leaf, held in figures_of(plan).items() if held != before[leaf]}
            assert {leaf for leaf in moved if not plan.mark(leaf)} == set(), (name, value)
            assert plan.mark(figure) == "*"
            assert not any(map(plain.mark, before))
    assert admitted


@pytest.mark.parametrize(
    ("figure", "value", "line"),
    [
        ("remnant.web_mm", 5.5, OFFSET_RESTS_ON),
        ("electrode.hole_mm", 5.7, OFFSET_RESTS_ON),
        ("electrode.gap_mm", 0.3, OFFSET_RESTS_ON),
        ("electrode.label", "3/16 in", HOLE_RESTS_ON),
        ("electrode.label", "3/16 in", CATCH_RESTS_ON),
        ("depth.limit_mm", 20.0, STOP_RESTS_ON),
        ("arc.amps_low", 150.0, TIME_RESTS_ON),
        ("depth.target_mm", 20.0, TIME_RESTS_ON),
        ("depth.recess_mm", 4.0, TIME_RESTS_ON),
        ("arc.amps_high", 400.0, ("arc.range",)),
        ("electrode.needed", 3.0, ("price",)),
    ],
)
def test_a_line_says_whose_override_it_rests_on(
    shop: Shop, figure: str, value: Value, line: tuple[str, ...]
) -> None:
    plan = make_plan(ticket("tap"), shop, [overruled(figure, value)])
    assert plan.mark(*line) == "*"
    assert [one.figure for one in plan.overruled_behind(*line)] == [figure]


@pytest.mark.parametrize(
    ("name", "figure", "value", "untouched"),
    [
        ("tap", "remnant.web_mm", 3.9, "depth.stops_mm"),
        ("tap", "remnant.web_mm", 3.9, "thread.minor_min_mm"),
        ("tap", "flush.pressure_kpa", 90.0, "arc.amps_low"),
        ("tap", "depth.recess_mm", 4.0, "depth.target_mm"),
        ("tap", "time.median_s", 400.0, "depth.burn_mm"),
        # They rest on it, and come out the same all the same.
        ("tap", "depth.target_mm", 17.5, "electrode.label"),
        ("tap", "depth.target_mm", 17.5, "arc.range"),
        # A tap's web goes by the nominal diameter, a measured one by itself; a drill's by its wall.
        ("tap", "thread.minor_min_mm", 8.5, "remnant.web_mm"),
        ("measured drill", "thread.minor_min_mm", 6.7, "remnant.web_mm"),
    ],
)
def test_what_does_not_rest_on_an_override_is_not_marked(
    shop: Shop, name: str, figure: str, value: float, untouched: str
) -> None:
    assert make_plan(ticket(name), shop, [overruled(figure, value)]).mark(untouched) == ""


def test_behind_an_overruled_figure_no_other_override_counts(shop: Shop) -> None:
    both = [overruled("remnant.web_mm", 3.9), overruled("electrode.allowed_offset_mm", 0.2)]
    plan = make_plan(ticket("tap"), shop, both)
    behind = plan.overruled_behind(*OFFSET_RESTS_ON)
    assert [one.figure for one in behind] == ["electrode.allowed_offset_mm"]


def test_what_rests_on_what_names_figures_of_a_plan_alone(shop: Shop) -> None:
    known = make_plan(ticket("tap"), shop).sources.keys()
    assert RESTS_ON.keys() <= known
    assert all(known >= set(causes) for causes in RESTS_ON.values())
