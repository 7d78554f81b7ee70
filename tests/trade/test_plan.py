"""The whole plan of one hole."""

import dataclasses
import json
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cockpit.trade.centring import judge_centre
from cockpit.trade.errors import TradeError
from cockpit.trade.figures import FIGURES, FigureError, Override, read_override, words_of
from cockpit.trade.plan import Plan, make_plan
from cockpit.trade.remnants import Kind
from cockpit.trade.threads import Thread, standard_threads
from cockpit.trade.ticket import Shop, Ticket
from cockpit.trade.wear import MeasurementNoise
from cockpit.units import LengthUnit, read_length_mm, write_length
from tests.contract import PLAN_KEYS, PLAN_LONE_KEYS


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


def test_the_plan_carries_the_keys_that_stay_stable(shop: Shop) -> None:
    held = json.loads(make_plan(ticket(), shop).model_dump_json())
    for part, keys in PLAN_KEYS.items():
        assert set(keys) <= set(held[part])
    assert set(PLAN_LONE_KEYS) <= set(held)
    assert all(isinstance(text, str) for text in held["cautions"])


def leaves(held: dict[str, Any], prefix: str = "") -> Iterator[str]:
    """The dotted names of everything a plan says, its lists as one."""
    for key, value in held.items():
        if isinstance(value, dict):
            yield from leaves(value, f"{prefix}{key}.")
        else:
            yield f"{prefix}{key}"


def test_a_web_that_nobody_knows_or_measured_is_doubted(shop: Shop) -> None:
    doubted = [
        any("measure a like one" in one for one in make_plan(ticket(**said), shop).warnings)
        for said in ({"flutes": 6}, {"flutes": 6, "web_mm": 5.0}, {"flutes": 4}, {"flutes": None})
    ]
    assert doubted == [True, False, False, False]


# What is not a figure: it says something about the others, or needs no source.
WITHOUT_SOURCE = {
    "thread.series",
    "thread.thread_class",
    "thread.taper",
    "remnant.form",
    "remnant.hard_metal",
    "currency",
    "acknowledge",
    "warnings",
    "dangers",
    "fits",
    "overrides",
}


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"through": True},
        {"broken": "screw"},
        {"broken": "drill", "web_mm": 2},
        {"thread": "pin 8 mm", "broken": "pin"},
        {"thread": "1/4-20 UNC", "tool_end_mm": 18, "sister_depth_mm": 21},
        {"broken": "insert", "hard_metal": True},
        {"thread": "G1/4"},
        {"thread": "1/8-27 NPT", "depth_mm": 10, "recess_mm": 1},
        {"thread": "M10x1.5 STI", "broken": "insert"},
        {"thread": "M10x1.4 special"},
    ],
)
def test_everything_a_plan_says_has_a_source(shop: Shop, changes: dict[str, object]) -> None:
    plan = make_plan(ticket(**changes), shop)
    held = plan.model_dump(exclude={"sources", "unmoved"})
    said = set(leaves(held)) - WITHOUT_SOURCE
    assert said - set(plan.sources) == set()
    assert all(plan.sources.values())
    for part, keys in PLAN_KEYS.items():
        assert {f"{part}.{key}" for key in keys} <= set(plan.sources)
    assert set(PLAN_LONE_KEYS) - {"sources"} <= set(plan.sources)
    # ... and a source is never of something that the plan does not say.
    assert set(plan.sources) <= said
    # Each has a name of its own in the words of the trade.
    words = {words_of(name) for name in plan.sources}
    assert len(words) == len(plan.sources)
    assert not any("_" in one or "." in one for one in words)


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
    # 8 in less 35 mm of grip and stand-off, 3 mm deep at the start; 95 % of wear is under 0.4145
    assert plan.electrode.reach_mm == pytest.approx(3 + (203.2 - 35 - 3) * (1 - 0.4145), abs=0.01)
    # what the deep end has over 0.1 mm of centring, on 21.5 mm of depth
    assert plan.electrode.allowed_out_of_square == pytest.approx((0.660 - 0.1) / 21.5, abs=1e-4)
    assert plan.pilot_mm == pytest.approx(plan.electrode.diameter_mm / 2)
    assert plan.currency == "EUR"
    assert plan.price == plan.price.quantize(Decimal("0.01")) > 75


def test_a_plan_survives_being_kept(shop: Shop) -> None:
    plan = make_plan(ticket(), shop)
    assert Plan.model_validate_json(plan.model_dump_json()) == plan


DIAMETERS = st.lists(st.floats(min_value=0.5, max_value=40), min_size=1, max_size=6)


@given(
    thread=st.sampled_from(standard_threads()),
    kind=st.sampled_from(Kind),
    diameters_mm=DIAMETERS,
    depth_mm=st.floats(min_value=2, max_value=60),
    through=st.booleans(),
    out_of_square=st.floats(min_value=0, max_value=0.01),
    part=st.floats(min_value=0, max_value=1),
)
def test_no_plan_that_fits_ever_lets_a_thread_be_touched(
    shop: Shop,
    thread: Thread,
    kind: Kind,
    diameters_mm: list[float],
    depth_mm: float,
    through: bool,
    out_of_square: float,
    part: float,
) -> None:
    """At any offset up to the allowed one, at the surface and at the deepest of the burn."""
    stock = tuple(
        shop.stock[0].model_copy(
            update={"label": f"{d:g} mm", "diameter_mm": d, "bore_mm": d / 3, "length_mm": 500.0}
        )
        for d in diameters_mm
    )
    machine = shop.machine.model_copy(update={"out_of_square": out_of_square})
    plan = make_plan(
        ticket(
            thread=thread.designation,
            broken=kind,
            depth_mm=depth_mm,
            recess_mm=0.5,
            through=through,
        ),
        dataclasses.replace(shop, stock=stock, machine=machine),
    )
    assert Plan.model_validate_json(plan.model_dump_json()) == plan
    if not plan.fits:
        assert any(text.startswith("No electrode on hand fits") for text in plan.warnings)
        return
    offset_mm = part * plan.electrode.allowed_offset_mm
    assert judge_centre(plan.electrode.window, offset_mm, 0).verdict == "go on"
    # The same from first principles: radii about the burn's axis, which the head carries aside.
    least_mm = max(0.25, 0.06 * thread.nominal_mm) - 1e-9
    radius_mm = plan.electrode.diameter_mm / 2 + 0.15
    for at_mm in (0.0, plan.depth.deepest_mm / 2, plan.depth.deepest_mm):
        aside_mm = offset_mm + out_of_square * at_mm
        wall_mm = (thread.minor_min_mm - thread.taper * at_mm) / 2
        assert wall_mm - radius_mm - aside_mm >= least_mm
        if plan.remnant.web_mm is not None:
            assert radius_mm - plan.remnant.web_mm / 2 - aside_mm >= -1e-9


@given(
    st.floats(min_value=0.2, max_value=3, allow_subnormal=False),
    st.floats(min_value=0.01, max_value=0.1),
)
def test_a_ticket_in_inches_gives_the_plan_of_the_same_ticket_in_millimetres(
    shop: Shop, depth_in: float, recess_in: float
) -> None:
    inches = ticket(depth_mm=f"{depth_in:.6f} in", recess_mm=f"{recess_in:.6f} in")
    metric = ticket(depth_mm=25.4 * round(depth_in, 6), recess_mm=25.4 * round(recess_in, 6))
    for one, other in zip(
        numbers(make_plan(inches, shop).model_dump()),
        numbers(make_plan(metric, shop).model_dump()),
        strict=True,
    ):
        assert one == pytest.approx(other, rel=1e-9, abs=1e-9)


@given(st.floats(min_value=-500, max_value=500), st.sampled_from(LengthUnit))
def test_a_length_shown_in_a_unit_reads_back_in_it(mm: float, unit: LengthUnit) -> None:
    shown = write_length(mm, unit)
    half_a_place_mm = 0.005 if unit is LengthUnit.MM else 0.00005 * 25.4
    assert read_length_mm(shown) == pytest.approx(mm, abs=half_a_place_mm + 1e-9)
    bare = write_length(mm, unit, with_unit=False)
    assert read_length_mm(bare, unit) == read_length_mm(shown)


def numbers(held: object) -> Iterator[float]:
    """Every number in a dumped plan, in its order."""
    if isinstance(held, dict):
        for value in held.values():
            yield from numbers(value)
    elif isinstance(held, list | tuple):
        for value in held:
            yield from numbers(value)
    elif isinstance(held, int | float | Decimal) and not isinstance(held, bool):
        yield float(held)


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
    assert says is None or any(says in warning for warning in plan.warnings)
    assert (plan.electrode.reach_mm >= plan.depth.target_mm) == (needed == 1)


def test_the_plan_says_when_the_rack_runs_out(shop: Shop) -> None:
    few = tuple(electrode.model_copy(update={"on_hand": 1}) for electrode in shop.stock)
    plan = make_plan(ticket(depth_mm=140), dataclasses.replace(shop, stock=few))
    assert "and 1 on hand" in plan.warnings[0]


def test_a_weak_machine_is_burnt_with_what_it_gives(shop: Shop) -> None:
    weak = shop.machine.model_copy(update={"rating_a": 100.0})
    plan = make_plan(ticket(), dataclasses.replace(shop, machine=weak))
    assert plan.arc.amps_high == 100
    assert "wants 175 to 210 A: at 100 A it burns slower" in plan.warnings[0]


def test_a_machine_too_strong_for_a_thin_electrode_is_warned_of(shop: Shop) -> None:
    strong = shop.machine.model_copy(update={"ranges": shop.machine.ranges[4:]})
    plan = make_plan(ticket(thread="M6"), dataclasses.replace(shop, machine=strong))
    assert plan.arc.amps_low == strong.ranges[0].amps_low
    assert "wants 100 to 120 A: at 155 A it wears faster" in plan.warnings[0]


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


def test_a_plain_bore_has_no_thread_to_be_too_near_to(shop: Shop) -> None:
    stock = tuple(one for one in shop.stock if one.diameter_mm > 7.5)
    plan = make_plan(
        ticket(thread="pin 8 mm", broken="pin"), dataclasses.replace(shop, stock=stock)
    )
    assert not plan.fits
    assert "too near the bore on each side" in plan.warnings[0]
    measured = make_plan(
        ticket(thread="pin 8 mm", broken="pin"), shop, [overruled("thread.minor_min_mm", 7.9)]
    )
    assert measured.thread.wall == "bore"
    in_a_thread = make_plan(ticket(), dataclasses.replace(shop, stock=stock))
    assert "too near the thread on each side" in in_a_thread.warnings[0]


def test_an_insert_is_planned_in_the_thread_around_it(shop: Shop) -> None:
    plan = make_plan(ticket(broken="insert"), shop)
    assert plan.electrode.web_margin_mm is None
    assert "for a wire insert write M10x1.5 STI" in plan.warnings[0]


def test_only_the_first_hole_of_a_part_carries_its_set_up(shop: Shop) -> None:
    first, next_one = (make_plan(ticket(), shop, first_of_part=first) for first in (True, False))
    deep = [
        make_plan(ticket(depth_mm=60), shop, first_of_part=first).price for first in (True, False)
    ]
    assert deep[0] - deep[1] == shop.rates.setup_per_part
    assert first.price == max(next_one.price + shop.rates.setup_per_part, shop.rates.minimum)


# Overrides ---------------------------------------------------------------------------------------


def overruled(figure: str, value: float | str) -> Override:
    return Override(
        figure=figure, value=value, who="MT", at_utc="2026-11-02T08:15:00+00:00", why="measured"
    )


# A figure of every kind, what is put in its place, and the key that shows it.
VALUES: dict[str, float | str] = {
    "thread.minor_min_mm": 8.5,
    "remnant.web_mm": 3.5,
    "electrode.gap_mm": 0.2,
    "electrode.required_clearance_mm": 0.4,
    "electrode.label": "3/16 in",
    "electrode.hole_mm": 5.7,
    "electrode.thread_clearance_mm": 1.1,
    "electrode.web_margin_mm": 0.8,
    "electrode.allowed_offset_mm": 0.3,
    "electrode.reach_mm": 60.0,
    "electrode.needed": 2,
    "arc.amps_low": 150.0,
    "arc.amps_high": 180.0,
    "arc.range": "4",
    "flush.pressure_kpa": 80.0,
    "flush.flow_l_min": 1.0,
    "flush.catch_ml_10s": 150.0,
    "flush.rise_k": 30.0,
    "depth.recess_mm": 4.0,
    "depth.limit_mm": 20.0,
    "depth.target_mm": 19.0,
    "depth.burn_mm": 15.0,
    "depth.stops_mm": 20.5,
    "pilot_mm": 2.0,
    "time.median_s": 400.0,
    "time.low_s": 100.0,
    "time.high_s": 900.0,
    "price": "80.00",
}


@pytest.mark.parametrize("name", [figure.name for figure in FIGURES])
def test_every_figure_can_be_overruled_and_says_who_when_and_why(shop: Shop, name: str) -> None:
    before = make_plan(ticket(), shop)
    plan = make_plan(ticket(), shop, [overruled(name, VALUES[name])])
    part, _, key = name.partition(".")
    held = plan.model_dump()[part][key] if key else plan.model_dump()[part]
    assert str(held[0] if key == "stops_mm" else held) == str(VALUES[name])
    assert plan.sources[name].endswith("; MT, 2026-11-02 08:15: measured")
    assert ", not " in plan.sources[name]
    assert plan.overridden(name) is not None
    assert plan.mark(name) == "*"
    assert before.mark(name) == ""
    assert Plan.model_validate_json(plan.model_dump_json()) == plan


def test_what_follows_from_an_overruled_figure_follows_it(shop: Shop) -> None:
    wide = make_plan(ticket(), shop, [overruled("remnant.web_mm", 5.2)])
    # web 5.2: 1/4 in burns 6.65, web side 0.725, thread side 0.263; 7/32: 0.328 and 0.660
    assert wide.electrode.web_margin_mm == pytest.approx((5.85625 - 5.2) / 2)
    shallow = make_plan(ticket(), shop, [overruled("depth.target_mm", 12.0)])
    assert shallow.depth.burn_mm == 9.0
    assert shallow.time.median_s < wide.time.median_s
    slow = make_plan(
        ticket(), shop, [overruled("arc.amps_low", 80.0), overruled("arc.amps_high", 100.0)]
    )
    assert slow.time.median_s > wide.time.median_s
    assert slow.arc.range == "3"
    named = make_plan(ticket(), shop, [overruled("electrode.label", "1/8 IN")])
    assert named.electrode.label == "1/8 in"
    assert not named.fits
    assert "1/8 in does not fit: it leaves 0.26 mm" in named.warnings[0]


@pytest.mark.parametrize(
    ("overrides", "field", "says"),
    [
        ({"electrode.label": "1 ft"}, "electrode.label", "no electrode"),
        ({"arc.range": "99"}, "arc.range", "no heat range"),
        ({"arc.amps_high": 9999.0}, "arc.amps_high", "over the machine's rating"),
        ({"arc.amps_low": 240.0}, "arc.amps_low", "is over the most"),
        ({"depth.target_mm": 2.0}, "depth.target_mm", "leaves nothing to burn"),
        ({"depth.limit_mm": 2.0}, "depth.limit_mm", "leaves nothing to burn"),
        ({"depth.stops_mm": 1.0}, "depth.stops_mm", "is not below the break"),
        ({"pilot_mm": 50.0}, "pilot_mm", "would pass the target"),
        ({"time.low_s": 9000.0}, "time.median_s", "is not between"),
        ({"electrode.hole_mm": 2.0}, "electrode.hole_mm", "not wider than its electrode"),
        ({"electrode.hole_mm": 5.57}, "electrode.hole_mm", "not wider than its electrode"),
        (
            {"electrode.label": "1"},
            "electrode.label",
            "more than one electrode",
        ),
        ({"thread.minor_min_mm": 210.8}, "thread.minor_min_mm", "is not under the nominal"),
        ({"depth.recess_mm": 30.0}, "recess_mm", "not above the bottom"),
        ({"electrode.gap_mm": 0.0}, "electrode.gap_mm", "wider than its electrode"),
        ({"electrode.reach_mm": 300.0}, "electrode.reach_mm", "can't reach 300.00 mm"),
    ],
)
def test_an_override_that_cannot_be_is_refused(
    shop: Shop, overrides: dict[str, float | str], field: str, says: str
) -> None:
    with pytest.raises(TradeError, match=says) as refusal:
        make_plan(ticket(), shop, [overruled(*pair) for pair in overrides.items()])
    assert refusal.value.field == field


@pytest.mark.parametrize(
    ("broken", "too_wide_mm", "narrow_mm"),
    # The drill filled the drilled wall, 6.65 mm; the tap its thread, 8 mm.
    [("drill", 7.0, 6.5), ("tap", 8.0, 7.0)],
)
def test_a_web_goes_into_its_tool_on_the_ticket_and_as_an_override_alike(
    shop: Shop, broken: str, too_wide_mm: float, narrow_mm: float
) -> None:
    of_m8 = {"thread": "M8", "broken": broken, "flutes": 2}
    with pytest.raises(TradeError, match="does not go into") as on_ticket:
        make_plan(ticket(**of_m8, web_mm=too_wide_mm), shop)
    with pytest.raises(FigureError) as overriding:
        make_plan(ticket(**of_m8), shop, [overruled("remnant.web_mm", too_wide_mm)])
    assert str(overriding.value) == str(on_ticket.value)
    assert (on_ticket.value.field, overriding.value.field) == ("web_mm", "remnant.web_mm")
    for plan in (
        make_plan(ticket(**of_m8, web_mm=narrow_mm), shop),
        make_plan(ticket(**of_m8), shop, [overruled("remnant.web_mm", narrow_mm)]),
    ):
        assert plan.remnant.web_mm == narrow_mm


def test_an_override_of_what_a_hole_has_not_got_is_refused(shop: Shop) -> None:
    with pytest.raises(FigureError, match="This hole has no web"):
        make_plan(ticket(broken="screw"), shop, [overruled("remnant.web_mm", 3.0)])


@pytest.mark.parametrize(
    ("overrides", "says"),
    [
        ({"depth.stops_mm": 24.0}, "% chance to pass the bottom limit"),
        ({"depth.limit_mm": 23.0}, "lies below the bottom at 22.00 mm"),
        ({"depth.target_mm": 21.8}, "lies below the bottom limit at 21.50 mm"),
        ({"depth.burn_mm": 15.0}, "is not what lies between break and target"),
        ({"arc.range": "1"}, "Heat range 1 gives 20 to 45 A, not the 175 to 210 A"),
        ({"flush.pressure_kpa": 5000.0}, "more than pumps of a shop give"),
        ({"electrode.hole_mm": 7.6}, "does not fit with the figures that were overridden"),
        ({"electrode.allowed_offset_mm": 0.04}, "off by 0.04 mm = 0.0016 in at most"),
    ],
)
def test_an_override_that_is_dangerous_is_doubted(
    shop: Shop, overrides: dict[str, float | str], says: str
) -> None:
    plan = make_plan(ticket(), shop, [overruled(*pair) for pair in overrides.items()])
    assert any(says in warning for warning in plan.warnings)


@pytest.mark.parametrize(
    ("overrides", "says"),
    [
        ({"thread.minor_min_mm": 9.9}, "over the 8.68 mm = 0.3416 in to be expected of M10x1.5"),
        ({"electrode.required_clearance_mm": 0.0}, "less than any burn needs, 0.25 mm"),
        ({"electrode.thread_clearance_mm": 3.0}, "more than lies between burnt hole and thread"),
        ({"electrode.allowed_offset_mm": 5.0}, "more than thread and web leave"),
        ({"depth.limit_mm": 22.0}, "can't be told from the bottom"),
        ({"depth.limit_mm": 21.95}, "can't be told from the bottom"),
        ({"depth.limit_mm": 23.0}, "lies below the bottom"),
        ({"depth.target_mm": 21.8}, "lies below the bottom limit"),
        ({"depth.stops_mm": 24.0}, "chance to pass the bottom limit"),
    ],
)
def test_an_override_that_may_ruin_the_part_has_to_be_taken_on(
    shop: Shop, overrides: dict[str, float | str], says: str
) -> None:
    plan = make_plan(ticket(), shop, [overruled(*pair) for pair in overrides.items()])
    assert any(says in danger for danger in plan.dangers)
    assert plan.is_to_be_taken_on
    assert not make_plan(ticket(), shop).is_to_be_taken_on


@pytest.mark.parametrize("thread", ["pin 8 mm", "1/4-18 NPT", "M10 STI"])
def test_a_bore_measured_far_too_wide_is_a_danger_without_a_tolerance_too(
    shop: Shop, thread: str
) -> None:
    broken = "pin" if "pin" in thread else "tap"
    least_mm = make_plan(ticket(thread=thread, broken=broken), shop).thread.minor_min_mm
    for more_mm, is_danger in ((1.5, True), (0.05, False)):
        override = overruled("thread.minor_min_mm", least_mm + more_mm)
        plan = make_plan(ticket(thread=thread, broken=broken), shop, [override])
        assert bool(plan.dangers) is is_danger


def test_a_limit_somebody_sets_in_a_through_hole_is_their_own(shop: Shop) -> None:
    for limit_mm in (22.0, 30.0):
        overrides = [overruled("depth.limit_mm", limit_mm), overruled("depth.target_mm", 20.0)]
        plan = make_plan(ticket(through=True), shop, overrides)
        assert not any("The limit" in warning for warning in plan.warnings)


def test_a_danger_beside_the_burn_hides_none_below_it(shop: Shop) -> None:
    for hole in (ticket(through=True), ticket(depth_mm=60, recess_mm=1)):
        usual = make_plan(hole, shop).warnings[-1]
        assert "may come out" in usual or "heed the calls" in usual
        narrow = make_plan(hole, shop, [overruled("electrode.required_clearance_mm", 0.1)])
        assert narrow.dangers
        assert "may come out" in narrow.warnings[-1] or "heed the calls" in narrow.warnings[-1]


def test_a_measured_minor_diameter_within_the_thread_s_tolerance_is_no_danger(shop: Shop) -> None:
    assert make_plan(ticket(), shop, [overruled("thread.minor_min_mm", 8.6)]).dangers == ()


@pytest.mark.parametrize(
    ("of", "says"),
    [
        ({"depth_mm": 0.75, "recess_mm": 0.0, "through": True}, "is shallow for M10x1.5"),
        ({"depth_mm": 558.8}, "is deep for M10x1.5: check its unit"),
        ({"thread": "pin 60 mm", "broken": "pin"}, "leaves a shell of"),
    ],
)
def test_what_hardly_can_be_is_doubted(shop: Shop, of: dict[str, object], says: str) -> None:
    assert any(says in warning for warning in make_plan(ticket(**of), shop).warnings)
    assert not any(says in warning for warning in make_plan(ticket(), shop).warnings)


def test_the_largest_electrode_that_fits_is_not_too_small(shop: Shop) -> None:
    big = shop.stock[0].model_copy(update={"label": "22 mm", "diameter_mm": 22.0, "on_hand": 3})
    stocked = replace(shop, stock=(*shop.stock, big))
    plan = make_plan(ticket(thread="M30", broken="screw"), stocked)
    assert plan.electrode.label == "22 mm"
    assert not any("shell" in warning for warning in plan.warnings)
    small = make_plan(ticket(thread="M30", broken="screw"), shop)
    assert any("shell" in warning for warning in small.warnings)


def test_a_shell_thin_enough_to_collapse_is_not_doubted(shop: Shop) -> None:
    for thread, broken in (("M12x1.75", "screw"), ("pin 8 mm", "pin")):
        plan = make_plan(ticket(thread=thread, broken=broken), shop)
        assert not any("shell" in warning for warning in plan.warnings)


def test_a_limit_below_the_bottom_is_never_made_light_of(shop: Shop) -> None:
    plan = make_plan(ticket(), shop, [overruled("depth.limit_mm", 100.0)])
    assert not any("heed the calls" in warning for warning in plan.warnings)
    stop = make_plan(ticket(), shop, [overruled("depth.stops_mm", 40.0)])
    assert not any("heed the calls" in warning for warning in stop.warnings)
    assert stop.dangers


def test_how_many_electrodes_follows_an_overruled_reach(shop: Shop) -> None:
    usual = make_plan(ticket(), shop)
    recess_mm, target_mm = usual.depth.recess_mm, usual.depth.target_mm
    usable_mm = usual.electrode.length_mm - shop.machine.holder_mm - recess_mm
    half_way_mm = (recess_mm + target_mm) / 2
    # The second one starts from half way down, and has that much less of its length to use.
    gain_mm = (half_way_mm - recess_mm) * (1 - (half_way_mm - recess_mm) / usable_mm)
    assert half_way_mm + gain_mm < target_mm
    for reach_mm, needed in ((half_way_mm, 3), (60.0, 1), (recess_mm, None)):
        plan = make_plan(ticket(), shop, [overruled("electrode.reach_mm", reach_mm)])
        assert plan.electrode.needed == needed, reach_mm


def test_an_overruled_burn_length_moves_no_electrode_length(shop: Shop) -> None:
    deep = ticket(depth_mm=400)
    usual = make_plan(deep, shop)
    short = make_plan(deep, shop, [overruled("depth.burn_mm", 10.0)])
    said = next(warning for warning in usual.warnings if "too short to reach" in warning)
    assert said in short.warnings


def test_an_electrode_of_which_enough_are_on_hand_goes_before_one_that_runs_out(shop: Shop) -> None:
    best = make_plan(ticket(), shop).electrode
    stub_mm = shop.machine.holder_mm + 3 + 28  # enough for most of 18.5 mm, not for all
    stock = tuple(
        one.model_copy(update={"length_mm": stub_mm, "on_hand": 1})
        if one.label == best.label
        else one
        for one in shop.stock
    )
    plan = make_plan(ticket(), replace(shop, stock=stock))
    assert plan.electrode.label != best.label
    assert plan.electrode.needed == 1
    many = tuple(
        one.model_copy(update={"on_hand": 9}) if one.label == best.label else one for one in stock
    )
    assert make_plan(ticket(), replace(shop, stock=many)).electrode.label == best.label


def test_a_gauge_that_cannot_show_the_target_is_doubted(shop: Shop) -> None:
    coarse = replace(shop, noise=MeasurementNoise(touch_sd_mm=0.3))
    plan = make_plan(ticket(), coarse)
    assert plan.depth.touch_offs is None
    assert any("gauge the depth in the hole" in warning for warning in plan.warnings)
    fine = make_plan(ticket(), shop)
    assert fine.depth.touch_offs
    assert not any("gauge the depth in the hole" in warning for warning in fine.warnings)


def test_neighbours_are_not_judged_by_figures_that_no_longer_hold(shop: Shop) -> None:
    assert make_plan(ticket(), shop).electrode.neighbours
    plan = make_plan(ticket(), shop, [overruled("electrode.hole_mm", 5.7)])
    assert plan.electrode.neighbours == ()


def test_a_measured_minor_diameter_has_no_tolerance(shop: Shop) -> None:
    plan = make_plan(ticket(), shop, [overruled("thread.minor_min_mm", 9.0)])
    assert plan.thread.minor_max_mm is None
    assert plan.sources["thread.minor_max_mm"] == "none, since the least is overridden"


def test_a_sister_hole_says_nothing_about_a_through_hole(shop: Shop) -> None:
    plan = make_plan(ticket(through=True, sister_depth_mm=8), shop)
    assert plan.depth.target_mm == 22
    far = make_plan(ticket(through=True, tool_end_mm=80), shop)
    assert "The target at 80.00 mm = 3.1496 in lies below the far side" in far.warnings[0]


def test_a_depth_that_no_part_has_is_asked_about(shop: Shop) -> None:
    with pytest.raises(TradeError, match="more than any part has"):
        make_plan(ticket(depth_mm=99_999), shop)


def test_wire_inserts_are_only_offered_where_they_are_made(shop: Shop) -> None:
    for thread, offered in (("M10x1.5", True), ("M64", False), ("#0-80", False), ("G1/4", False)):
        plan = make_plan(ticket(thread=thread, broken="insert"), shop)
        assert ("wire insert" in " ".join(plan.warnings)) == offered


@pytest.mark.parametrize("depth_mm", [0.4, 0.5])
def test_a_hole_shallower_than_the_bottom_allowance_is_asked_about(
    shop: Shop, depth_mm: float
) -> None:
    with pytest.raises(TradeError, match="check its depth and its unit") as refusal:
        make_plan(ticket(depth_mm=depth_mm, recess_mm=0), shop)
    assert refusal.value.field == "depth_mm"


@pytest.mark.parametrize(
    ("changes", "figure", "source"),
    [
        ({"tool_end_mm": 21.8}, "depth.target_mm", "the bottom limit, which lies above the end"),
        ({"broken": "drill", "flutes": None}, "remnant.flutes", "two, as drills have"),
        ({"broken": "screw"}, "remnant.flutes", "none without a web"),
        ({"broken": "screw"}, "electrode.web_margin_surface_mm", "none without a web"),
        ({"flutes": None}, "remnant.flutes", "not counted"),
    ],
)
def test_a_source_says_what_the_plan_does(
    shop: Shop, changes: dict[str, object], figure: str, source: str
) -> None:
    assert make_plan(ticket(**changes), shop).sources[figure].startswith(source)


def test_a_plan_kept_before_there_were_overrides_is_read() -> None:
    """As an earlier cockpit wrote it into its log."""
    kept = (Path(__file__).parent / "plan_of_the_first_log.json").read_text(encoding="utf-8")
    plan = Plan.model_validate_json(kept)
    assert plan.electrode.label == "7/32 in"
    assert plan.electrode.gap_mm == pytest.approx(0.15)
    assert plan.electrode.allowed_below_mm == plan.electrode.allowed_offset_mm
    assert plan.depth.stops_mm[0] == pytest.approx(22.19, abs=0.01)
    assert plan.electrode.allowed_out_of_square is None
    assert plan.overrides == ()


@pytest.mark.parametrize(
    ("name", "text", "value"),
    [
        ("web", "5/32 in", 3.96875),
        ("remnant.web_mm", "4", 4.0),
        ("electrode.needed", "2", 2.0),
        ("arc.amps_low", "150 A", 150.0),
        ("flush pressure", "15 psi", pytest.approx(103.42, abs=0.01)),
        ("flush.catch_ml_10s", "150ml", 150.0),
        ("arc time", "5 min", 300.0),
        ("price", "85", "85.00"),
        ("electrode", "3/16 in", "3/16 in"),
    ],
)
def test_an_override_is_read_in_the_figures_own_unit(
    name: str, text: str, value: float | str
) -> None:
    assert read_override(name, text) == value


@pytest.mark.parametrize(
    ("name", "text", "says"),
    [
        ("web", "-1 mm", 'web: "-1 mm" is too little.'),
        ("web", "wide", 'web: "wide" is not a length'),
        ("electrode.needed", "0", "is not a whole number over 0"),
        ("arc.amps_low", "0 A", "is not from 0.001 to 100,000 A"),
        ("flush.catch_ml_10s", "much", "is not a number of ml"),
        ("flush.catch_ml_10s", "nan", "is not from 0.001 to"),
        ("price", "-5", "is not an amount"),
        ("price", "NaN", "is not an amount"),
        ("electrode", "", "say which"),
        ("depth.hope_mm", "3", "is no figure of a plan"),
    ],
)
def test_an_override_that_cannot_be_read_is_one_sentence(name: str, text: str, says: str) -> None:
    with pytest.raises(FigureError, match=r"^[^\n]+$") as refusal:
        read_override(name, text)
    assert says in str(refusal.value)
