"""The lines that screen and command tell a plan by."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress

import pytest

from cockpit import profiles
from cockpit.commands.plan_lines import plan_lines
from cockpit.trade.errors import TradeError
from cockpit.trade.figures import FIGURES, Override, Value
from cockpit.trade.plan import Plan, make_plan
from cockpit.units import LengthUnit
from tests.log.conftest import TICKET

PLAN = make_plan(TICKET, profiles.load_shop())


def overruled(figure: str, value: Value) -> Plan:
    one = Override(figure=figure, value=value, who="MT", at_utc="2026-05-04T09:30", why="measured")
    return make_plan(TICKET, profiles.load_shop(), [one])


def others(figure: str) -> Iterator[Plan]:
    """The same plan with a figure overruled by another value, as far as that can be planned."""
    value = PLAN.value(figure)
    assert value is not None
    named: dict[str, tuple[Value, ...]] = {
        "electrode.label": ("3/16 in", "1/4 in"),
        "electrode.needed": (2.0,),
        "arc.range": ("4",),
        "price": ("1.00",),
    }
    for other in named.get(figure, ()) or (float(value) * part for part in (0.5, 0.9, 1.1, 2.0)):
        with suppress(TradeError):
            yield overruled(figure, other)


def marked(plan: Plan, unit: LengthUnit | None) -> list[str]:
    return [name for name, value in plan_lines(plan, unit) if "*" in value]


@pytest.mark.parametrize("figure", [figure.name for figure in FIGURES])
def test_every_line_that_an_override_changes_is_marked_in_every_unit(figure: str) -> None:
    plans, usual = list(others(figure)), dict(plan_lines(PLAN))
    assert plans
    for plan in plans:
        changed = {
            name for name, value in plan_lines(plan) if value.replace("*", "") != usual[name]
        }
        lines = marked(plan, None)
        assert changed <= set(lines)
        assert [marked(plan, unit) for unit in LengthUnit] == [lines, lines]
    assert not marked(PLAN, None)


def test_a_mark_stands_by_its_own_figure() -> None:
    # The heat range is the one that gives the current, so it rests on that; not the other way.
    assert dict(plan_lines(overruled("arc.amps_low", 170.0)))["heat range"] == "5, 170 to 210 A*"
    assert dict(plan_lines(overruled("arc.range", "4")))["heat range"] == "4*, 175 to 210 A"


def test_lengths_are_in_the_unit_that_was_asked_for_or_in_both() -> None:
    def lengths(unit: LengthUnit | None) -> tuple[str, str]:
        lines = dict(plan_lines(PLAN, unit))
        return lines["target"], lines["  top, bottom"]

    assert lengths(LengthUnit.MM) == ("18.00 mm", "0.66, 0.66 mm")
    assert lengths(LengthUnit.INCH) == ("0.7087 in", "0.0260, 0.0260 in")
    both = "0.66 mm = 0.0260 in"
    assert lengths(None) == ("18.00 mm = 0.7087 in", f"{both}, {both}")


def test_no_line_but_a_list_of_stops_is_too_wide_for_a_small_screen() -> None:
    for unit in LengthUnit:
        for name, value in plan_lines(PLAN, unit):
            assert len(name) < 14
            assert len(value) < 25, name


def test_how_often_to_touch_off_is_said_right() -> None:
    told = {}
    for times in range(3):
        depth = PLAN.depth.model_copy(update={"touch_offs": times})
        lines = dict(plan_lines(PLAN.model_copy(update={"depth": depth})))
        told[times] = lines.get("touch off")
    assert told == {0: None, 1: "once", 2: "2 times"}
