"""What is broken, what of it has to go."""

import pytest

from cockpit.trade.remnants import (
    Broken,
    FluteForm,
    Kind,
    RemnantError,
    read_broken,
    remnant_in,
)
from cockpit.trade.threads import read_thread

M10 = read_thread("M10x1.5")


@pytest.mark.parametrize(
    ("words", "broken"),
    [
        ("tap", Broken(Kind.TAP)),
        (" Drill ", Broken(Kind.DRILL)),
        ("STUD", Broken(Kind.SCREW)),
        ("threaded insert", Broken(Kind.INSERT)),
        ("dowel", Broken(Kind.PIN)),
        ("spring  pin", Broken(Kind.PIN)),
        ("carbide drill", Broken(Kind.DRILL, hard_metal=True)),
        ("spiral point tap", Broken(Kind.TAP, FluteForm.SPIRAL_POINT)),
        ("Hard metal spiral-flute tap", Broken(Kind.TAP, FluteForm.SPIRAL_FLUTE, hard_metal=True)),
        ("straight flute tap", Broken(Kind.TAP)),
    ],
)
def test_the_words_of_the_trade_are_understood(words: str, broken: Broken) -> None:
    assert read_broken(words) == broken
    assert read_broken(str(broken)) == broken


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ("spanner", "tap, drill, screw, pin, insert"),
        ("", "tap, drill, screw"),
        ("spiral-point drill", "only a tap has; say drill alone"),
        ("carbide", "is not something"),
        ("\x1btap", "is not something"),
    ],
)
def test_an_unknown_word_is_refused_with_the_known_ones(words: str, says: str) -> None:
    with pytest.raises(RemnantError) as refusal:
        read_broken(words)
    assert says in str(refusal.value)
    assert str(refusal.value).isprintable()
    assert refusal.value.field == "broken"


@pytest.mark.parametrize("kind", Kind)
def test_every_kind_says_what_goes_what_stays_and_how_the_rest_comes_out(kind: Kind) -> None:
    way = remnant_in(M10, kind).way
    assert all((way.goes, way.stays, way.leaves))
    steps = way.cleanout
    assert way.out in steps
    assert steps[0].startswith("Machine off, head up. Blow out")
    assert steps[-1].startswith("Blow out again")
    assert ("face shield" in way.out) == (kind in (Kind.TAP, Kind.DRILL))


@pytest.mark.parametrize(
    ("flutes", "form", "part"),
    [
        (2, FluteForm.STRAIGHT, 0.35),
        (3, FluteForm.STRAIGHT, 0.40),
        (4, FluteForm.STRAIGHT, 0.45),
        (None, FluteForm.STRAIGHT, 0.45),
        (3, FluteForm.SPIRAL_POINT, 0.45),
        (3, FluteForm.SPIRAL_FLUTE, 0.40),
    ],
)
def test_a_tap_has_its_usual_web(flutes: int | None, form: FluteForm, part: float) -> None:
    tap = remnant_in(M10, Kind.TAP, flutes=flutes, form=form)
    assert tap.web_mm == pytest.approx(part * 10)
    assert "from memory" in tap.web_source


def test_a_measured_web_wins() -> None:
    tap = remnant_in(M10, Kind.TAP, flutes=3, web_mm=4.1)
    assert tap.web_mm == 4.1
    assert tap.web_source == "measured on a like tap"


def test_a_drill_has_the_web_of_its_own_size_not_of_the_thread() -> None:
    drill = remnant_in(M10, Kind.DRILL)
    assert drill.web_mm == pytest.approx(0.18 * M10.minor_min_mm)
    assert drill.flutes == 2


@pytest.mark.parametrize("kind", [Kind.SCREW, Kind.INSERT, Kind.PIN])
def test_a_solid_core_has_neither_web_nor_flutes(kind: Kind) -> None:
    core = remnant_in(M10, kind, flutes=3, web_mm=4.1)
    assert core.web_mm is None
    assert core.flutes is None


@pytest.mark.parametrize("web_mm", [0, -1, 10, 11])
def test_a_web_that_cannot_be_is_refused(web_mm: float) -> None:
    with pytest.raises(RemnantError) as refusal:
        remnant_in(M10, Kind.TAP, web_mm=web_mm)
    assert refusal.value.field == "web_mm"


@pytest.mark.parametrize("flutes", [0, -3, 13])
def test_flutes_that_cannot_be_are_refused(flutes: int) -> None:
    with pytest.raises(RemnantError) as refusal:
        remnant_in(M10, Kind.TAP, flutes=flutes)
    assert refusal.value.field == "flutes"


def test_a_tap_needs_a_thread_to_stand_in() -> None:
    with pytest.raises(RemnantError) as refusal:
        remnant_in(read_thread("drill 1/4"), Kind.TAP)
    assert refusal.value.field == "thread"


def test_every_kind_has_its_own_way_out() -> None:
    ways = {kind: remnant_in(M10, kind).way.cleanout for kind in Kind}
    assert "land inward" in " ".join(ways[Kind.TAP])
    assert "coil" in " ".join(ways[Kind.SCREW])
    assert "sleeve" in " ".join(ways[Kind.PIN])
    assert all("Blow out again" in steps[-1] for steps in ways.values())
