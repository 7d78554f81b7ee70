"""The whole plan of one hole."""

import dataclasses
import json
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cockpit.trade.centring import judge_centre
from cockpit.trade.errors import TradeError
from cockpit.trade.plan import Plan, make_plan
from cockpit.trade.remnants import Kind
from cockpit.trade.threads import Thread, standard_threads
from cockpit.trade.ticket import Shop, Ticket


def ticket(**changes: object) -> Ticket:
    usual: dict[str, object] = {
        "hole": "1",
        "thread": "M10x1.5",
        "broken": "tap",
        "flutes": 3,
        "depth_mm": "22 mm",
        "recess_mm": "3 mm",
    }
    return Ticket.model_validate(usual | changes)


# contract.md's keys of `plan --json`, each with those inside it.
KEYS = {
    "thread": "designation standard nominal_mm pitch_mm minor_min_mm minor_max_mm",
    "remnant": "kind flutes web_mm web_source",
    "electrode": "label diameter_mm hole_mm thread_clearance_mm web_margin_mm allowed_offset_mm "
    "reach_mm needed",
    "arc": "amps_low amps_high range",
    "flush": "pressure_kpa flow_l_min catch_ml_10s rise_k",
    "depth": "recess_mm target_mm limit_mm burn_mm stops_mm",
    "time": "median_s low_s high_s burns_known",
}


def test_the_plan_carries_the_keys_that_stay_stable(shop: Shop) -> None:
    held = json.loads(make_plan(ticket(), shop).model_dump_json())
    for part, keys in KEYS.items():
        assert set(keys.split()) <= set(held[part])
    assert {"price", "cautions", "sources"} <= set(held)
    assert all(isinstance(text, str) for text in held["cautions"])


def test_every_figure_has_a_source_and_every_source_a_figure(shop: Shop) -> None:
    plan = make_plan(ticket(), shop)
    held = plan.model_dump()
    figures = {
        f"{part}.{key}"
        for part in KEYS
        for key, value in held[part].items()
        if key.endswith(("_mm", "_s", "_k", "_kpa", "_min", "_10s", "amps_low", "amps_high"))
    } | {"price", "pilot_mm"}
    # The length is read off the rack; it is not a figure of the plan.
    assert figures - {"electrode.length_mm"} <= set(plan.sources)
    for name in plan.sources:
        part, _, key = name.partition(".")
        assert key in held[part] if key else part in held


def test_the_usual_tap(shop: Shop) -> None:
    plan = make_plan(ticket(), shop)
    # M10x1.5, web 4.0: 3/16 in burns 5.0625; web side (5.0625 - 4)/2 = 0.531 is the closer one
    # and 7/32 in burns 5.85625: thread side (8.3762 - 5.85625)/2 - 0.6 = 0.660, the better.
    assert plan.electrode.label == "7/32 in"
    assert plan.electrode.allowed_offset_mm == pytest.approx(0.660, abs=0.001)
    assert plan.fits
    assert plan.warnings == ()
    assert plan.arc.range == "5"
    assert plan.depth.limit_mm == plan.depth.target_mm == 21.5
    assert plan.electrode.needed == 1
    # 8 in less 35 mm of grip and stand-off, 3 mm deep at the start; 95 % of wear is under 0.4148
    assert plan.electrode.reach_mm == pytest.approx(3 + (203.2 - 35 - 3) * (1 - 0.4148), abs=0.01)
    assert plan.pilot_mm == pytest.approx(plan.electrode.diameter_mm / 2)
    assert plan.currency == "EUR"
    assert plan.price == plan.price.quantize(Decimal("0.01")) > 75


def test_a_plan_survives_being_kept(shop: Shop) -> None:
    plan = make_plan(ticket(), shop)
    assert Plan.model_validate_json(plan.model_dump_json()) == plan


@given(st.sampled_from(standard_threads()), st.sampled_from(Kind), st.floats(0, 1))
def test_no_plan_that_fits_ever_lets_a_thread_be_touched(
    shop: Shop, thread: Thread, kind: Kind, part: float
) -> None:
    plan = make_plan(ticket(thread=thread.designation, broken=kind, recess_mm=1), shop)
    if plan.fits:
        offset_mm = part * plan.electrode.allowed_offset_mm
        verdict = judge_centre(plan.electrode.window, offset_mm, 0)
        assert verdict.verdict == "go on"
        assert verdict.thread_clearance_mm >= max(0.25, 0.06 * thread.nominal_mm) - 1e-9
        assert verdict.web_margin_mm is None or verdict.web_margin_mm >= -1e-9
    else:
        assert plan.warnings[0].startswith("No electrode on hand fits")


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"thread": "M10x1.4"}, "thread"),
        ({"thread": "pin 8 mm"}, "thread"),
        ({"flutes": 0}, "flutes"),
        ({"web_mm": "12 mm"}, "web_mm"),
        ({"depth_mm": 0}, "depth_mm"),
        ({"recess_mm": "30 mm"}, "recess_mm"),
        ({"tool_end_mm": 40}, "tool_end_mm"),
        ({"sister_depth_mm": -1}, "sister_depth_mm"),
        ({"material": "cheese"}, "material"),
    ],
)
def test_a_bad_ticket_is_refused_beside_the_field_at_fault(
    shop: Shop, changes: dict[str, object], field: str
) -> None:
    assert field in Ticket.model_fields
    with pytest.raises(TradeError) as refusal:
        make_plan(ticket(**changes), shop)
    assert refusal.value.field == field


def test_a_special_thread_is_planned_with_a_warning(shop: Shop) -> None:
    plan = make_plan(ticket(thread="M10x1.4", special=True), shop)
    assert "in no standard series" in plan.warnings[0]


def test_a_tool_that_ends_on_the_bottom_leaves_its_tip(shop: Shop) -> None:
    plan = make_plan(ticket(tool_end_mm=22), shop)
    assert "0.50 mm" in plan.warnings[0]


@pytest.mark.parametrize(
    ("depth", "needed", "says"),
    [("60 mm", 1, None), ("140 mm", 2, "have 2 ready"), ("180 mm", None, "too short")],
)
def test_the_plan_says_when_one_electrode_is_not_enough(
    shop: Shop, depth: str, needed: int | None, says: str | None
) -> None:
    plan = make_plan(ticket(depth_mm=depth), shop)
    assert plan.electrode.needed == needed
    assert [says in warning for warning in plan.warnings if says] == ([True] if says else [])
    assert (plan.electrode.reach_mm >= plan.depth.target_mm) == (needed == 1)


def test_the_plan_says_when_the_rack_runs_out(shop: Shop) -> None:
    few = tuple(electrode.model_copy(update={"on_hand": 1}) for electrode in shop.stock)
    plan = make_plan(ticket(depth_mm=140), dataclasses.replace(shop, stock=few))
    assert "and 1 on hand" in plan.warnings[0]


def test_a_weak_machine_is_burnt_with_what_it_gives(shop: Shop) -> None:
    weak = shop.machine.model_copy(update={"rating_a": 100.0})
    plan = make_plan(ticket(), dataclasses.replace(shop, machine=weak))
    assert plan.arc.amps_high == 100
    assert "wants 175 to 210 A, more than the machine gives: burn at 100 A" in plan.warnings[0]


def test_a_machine_too_strong_for_a_thin_electrode_is_warned_of(shop: Shop) -> None:
    strong = shop.machine.model_copy(update={"ranges": shop.machine.ranges[4:]})
    plan = make_plan(ticket(thread="M6"), dataclasses.replace(shop, machine=strong))
    assert plan.arc.amps_low == strong.ranges[0].amps_low
    assert "wants 100 to 120 A, less than the machine gives: burn at 155 A" in plan.warnings[0]


def test_a_flush_that_would_boil_is_warned_of(shop: Shop) -> None:
    thirsty = shop.machine.model_copy(update={"flush_kpa": 2.0})
    plan = make_plan(ticket(), dataclasses.replace(shop, machine=thirsty))
    assert "boil" in plan.warnings[0]


def test_cautions_of_the_material_reach_the_plan(shop: Shop) -> None:
    assert "hydrogen" in make_plan(ticket(material="Magnesium"), shop).cautions[0]


def test_a_screw_takes_the_largest_electrode_that_spares_the_thread(shop: Shop) -> None:
    plan = make_plan(ticket(broken="screw"), shop)
    # (8.3762 - d - 0.3)/2 must stay over 0.6: d under 6.876, so 1/4 in
    assert plan.electrode.label == "1/4 in"
    assert plan.electrode.web_margin_mm is None
