"""What is said: of each call, and on the way to the target; each thing once, and short."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cockpit.burn.calls import PRIORITY, Call, CallKind
from cockpit.burn.state import BurnState, Span
from cockpit.sound.words import SAID, CallOuts, Saying, spoken
from cockpit.trade.wear import Wear
from cockpit.units import LengthUnit

MM, INCH = LengthUnit.MM, LengthUnit.INCH
#: As many as fit into two seconds, at 175 words a minute and a little more for short ones.
MOST_WORDS = 7
BURNING = BurnState(
    t_s=10.0, arc_on=True, arc_s=10.0, burns=1, electrodes=1, travel_mm=5.0, high_mm=5.0,
    has_landed=True,
    is_unseen=False, depth_mm=Span(4.8, 5.0, 5.2), wear=Wear.prior(0.3, 0.1), feed_mm_min=1.0,
    to_go_mm=None, to_target_s=None, standing=(), readings=9, rejected=0,
)  # fmt: skip


def at(depth_mm: float, **other: object) -> BurnState:
    changes = {"depth_mm": Span(depth_mm - 0.2, depth_mm, depth_mm + 0.2), **other}
    return replace(BURNING, **changes)  # type: ignore[arg-type]


def counted(depths_mm: list[float], target_mm: float, unit: LengthUnit = MM) -> list[str]:
    outs = CallOuts()
    sayings = [outs.of_state(at(depth_mm), target_mm, unit) for depth_mm in depths_mm]
    return [one.words for one in sayings if one is not None]


def test_the_last_five_millimetres_are_counted_down_once_each() -> None:
    depths = [10.0 + 0.05 * n for n in range(200)]
    expected = ["five to go", "four to go", "three to go", "two to go", "one to go"]
    assert counted(depths, 18.0) == expected
    wavering = [depth for deeper in depths for depth in (deeper, deeper - 0.2, deeper)]
    assert counted(wavering, 18.0) == expected


def test_inches_are_counted_in_twentieths() -> None:
    depths = [10.0 + 0.05 * n for n in range(200)]
    assert counted(depths, 18.0, INCH) == [
        "point two five to go",
        "point two to go",
        "point one five to go",
        "point one to go",
        "point zero five to go",
    ]


def test_a_step_that_was_passed_long_ago_is_not_said() -> None:
    assert counted([14.6, 14.9, 15.02], 18.0) == ["three to go"]
    assert counted([12.9, 16.6, 17.05], 18.0) == ["one to go"]
    assert counted([18.0, 18.4], 18.0) == []


def test_nothing_is_counted_without_an_arc_a_depth_or_a_gauge() -> None:
    outs = CallOuts()
    silent = (Call(1.0, CallKind.SILENT, None),)
    for state in (at(14.0, arc_on=False), replace(BURNING, depth_mm=None), at(14, standing=silent)):
        assert outs.of_state(state, 18.0, MM) is None
    assert outs.of_state(at(14.0), 18.0, MM) == Saying("four to go", good_s=1.5)


def test_the_next_burn_counts_anew_since_a_measurement_may_have_moved_the_depth() -> None:
    outs = CallOuts()
    assert outs.of_state(at(16.0), 18.0, MM) is not None
    assert outs.of_state(at(15.9), 18.0, MM) is None
    assert outs.of_state(at(14.5, arc_on=False), 18.0, MM) is None
    assert outs.of_state(at(15.0), 18.0, MM) == Saying("three to go", good_s=1.5)


def test_near_says_how_near_and_the_count_does_not_say_it_again() -> None:
    outs, near = CallOuts(), Call(1.0, CallKind.NEAR, 15.9)
    assert outs.of_call(near, MM).words == "near"
    assert outs.of_state(at(15.9), 18.0, MM) is None
    assert outs.of_call(near, MM).words == "near, two point one to go"
    assert outs.of_state(at(16.0), 18.0, MM) is None
    assert outs.of_state(at(17.0), 18.0, MM) == Saying("one to go", good_s=1.5)


@pytest.mark.parametrize("unit", [MM, INCH])
@pytest.mark.parametrize("kind", CallKind)
def test_every_call_is_said_in_a_breath_and_in_words_alone(
    kind: CallKind, unit: LengthUnit
) -> None:
    outs = CallOuts()
    outs.of_state(at(37.4), 38.7, unit)
    saying = outs.of_call(Call(1.0, kind, 37.4), unit)
    assert saying.weight == PRIORITY[kind]
    assert saying.words.startswith(SAID[kind])
    assert len(saying.words.split()) <= MOST_WORDS
    assert saying.words.replace(" ", "").replace(",", "").replace("-", "").isalpha()


def test_a_call_is_weightier_than_the_count() -> None:
    count = CallOuts().of_state(at(14.0), 18.0, MM)
    assert count is not None
    assert count.weight > max(PRIORITY.values())


def test_through_says_where_as_it_was_asked_for() -> None:
    through = Call(1.0, CallKind.THROUGH, 12.41)
    assert CallOuts().of_call(through, MM).words == "fell through at twelve point four"
    assert CallOuts().of_call(through, INCH).words == "fell through at point four eight nine"
    unknown = Call(1.0, CallKind.THROUGH, None)
    assert CallOuts().of_call(unknown, MM).words == "fell through"


@pytest.mark.parametrize(
    ("mm", "unit", "words"),
    [
        (0.0, MM, "zero"),
        (0.04, MM, "zero"),
        (0.5, MM, "point five"),
        (19.95, MM, "twenty"),
        (40.0, MM, "forty"),
        (99.9, MM, "ninety-nine point nine"),
        (110.0, MM, "one hundred ten"),
        (-0.3, MM, "minus point three"),
        (25.4, INCH, "one"),
        (25.39, INCH, "one"),
        (1.27, INCH, "point zero five"),
    ],
)
def test_lengths_in_words(mm: float, unit: LengthUnit, words: str) -> None:
    assert spoken(mm, unit) == words
