"""Who understands what arrives: bytes with their times in, profiles and sentences out."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cockpit import locations
from cockpit.gauges.recognise import (
    NOT_HEARD,
    Finding,
    Heard,
    Understanding,
    gauge_profiles,
    how_heard,
    serial_profiles,
    told,
    understandings,
)
from cockpit.gauges.serial_line import line_settings
from cockpit.profiles import GaugeProfile
from cockpit.units import LengthUnit
from tests.gauges.lines import serial_profile

PLAIN = serial_profile(name="plain")
LINE = line_settings(PLAIN)


def heard(*lines: str, rate_hz: float = 10.0, end: str = "\r\n") -> list[Heard]:
    """Lines as they arrive, a chunk each; the first is cut short, as whoever joins in hears it."""
    chunks = [f"{line}{end}".encode("latin-1") for line in ("9", *lines)]
    return [Heard(number / rate_hz, chunk) for number, chunk in enumerate(chunks)]


def falling(count: int = 20, rate_hz: float = 10.0) -> list[Heard]:
    return heard(*(f"+{0.5 * number:.2f} mm" for number in range(count)), rate_hz=rate_hz)


def understood(
    chunks: list[Heard], *profiles: GaugeProfile, request: str | None = None
) -> tuple[Understanding, ...]:
    return understandings(chunks, LINE, profiles, request)


def finding(chunks: list[Heard], *profiles: GaugeProfile) -> Finding:
    """What a listener that heard all this would have found."""
    return Finding(
        "port",
        raw=b"".join(chunk.data for chunk in chunks)[-64:],
        line="9600 8N1",
        silent_s=0.0 if chunks else None,
        understood=understood(chunks, *profiles),
        tried=True,
    )


def names(found: tuple[Understanding, ...]) -> list[str]:
    return [one.profile.name for one in found]


def test_readings_rejects_rate_and_movement_are_counted() -> None:
    (one,) = understood(falling(20), PLAIN)
    assert (one.readings, one.rejects, one.share) == (20, 0, 1.0)
    assert one.rate_hz == pytest.approx(10.0)
    assert one.moved_mm == pytest.approx(9.5)
    assert one.moves
    assert one.is_sure


def test_a_gauge_that_stands_still_does_not_move_whatever_its_last_place_does() -> None:
    (one,) = understood(heard(*["+2.00 mm", "+2.01 mm", "+1.99 mm"] * 4), PLAIN)
    assert one.is_sure
    assert not one.moves


def test_a_profile_that_reads_some_of_it_by_chance_comes_after_and_is_not_sure() -> None:
    even = serial_profile(name="even", pattern=r"\+(?P<value>\d+\.\d[02468]) mm")
    lines = heard(*(f"+{0.11 * number:.2f} mm" for number in range(40)))
    found = understood(lines, even, PLAIN)
    assert names(found) == ["plain", "even"]
    assert [one.is_sure for one in found] == [True, False]
    assert found[1].readings > 10


def test_a_few_garbled_lines_do_not_shake_it_and_half_of_them_do() -> None:
    lines = ["+1.00 mm"] * 9 + ["+1.0\x00"]
    assert understood(heard(*lines), PLAIN)[0].is_sure
    assert not understood(heard(*lines, *["+1.0\x00"] * 9), PLAIN)[0].is_hopeful


def test_two_readings_are_hopeful_and_no_more() -> None:
    (one,) = understood(falling(2), PLAIN)
    assert one.is_hopeful
    assert not one.is_sure
    assert "as far as so little tells" in told(finding(falling(2), PLAIN))


def test_after_a_pause_the_first_line_is_a_whole_one_and_else_it_may_be_a_tail() -> None:
    line = b"+1.00 mm\r\n"
    for quiet_s, readings in ((0.2, 0), (0.3, 1)):
        (one,) = understood([Heard(5.0, line, quiet_s)], PLAIN)
        assert (one.readings, one.is_hopeful) == (readings, readings == 1)
    later = [Heard(5.0, b"2.00 mm\r\n"), Heard(9.0, line, 3.9)]
    assert understood(later, PLAIN)[0].readings == 1, "only the first chunk tells how it began"


def test_of_two_that_read_alike_the_one_that_knows_the_rate_is_first_else_the_order_stays() -> None:
    slow, other = serial_profile(name="slow", rate_hz=1), serial_profile(name="other")
    assert names(understood(falling(), slow, PLAIN, other)) == ["plain", "other", "slow"]
    assert names(understood(falling(), slow, other, PLAIN)) == ["other", "plain", "slow"]
    assert names(understood(falling(rate_hz=1.0), PLAIN, slow)) == ["slow", "plain"]


def test_only_profiles_that_set_the_line_so_and_ask_so_could_have_heard_it() -> None:
    fast, asks = (
        serial_profile(name="fast", baudrate=4800),
        serial_profile(name="asks", request="?"),
    )
    assert names(understood(falling(), fast, asks, PLAIN)) == ["plain"]
    assert names(understood(falling(), fast, asks, PLAIN, request="?")) == ["asks"]


def test_nothing_at_all_is_nothing() -> None:
    (one,) = understood([], PLAIN)
    assert (one.readings, one.rejects, one.rate_hz, one.moved_mm) == (0, 0, 0.0, 0.0)
    assert not one.is_hopeful
    assert told(finding([], PLAIN)).startswith("says nothing: check that the gauge is switched on")


def test_rubbish_is_taken_for_the_wrong_settings_and_text_for_another_form() -> None:
    noise = Random(3)
    rubbish = [Heard(0.1 * n, noise.randbytes(12)) for n in range(60)]
    assert not any(one.is_hopeful for one in understood(rubbish, PLAIN))
    assert "no text at 9600 8N1, which is likely the wrong baud rate" in told(
        finding(rubbish, PLAIN)
    )
    text = told(finding(heard(*["depth: twelve"] * 9), PLAIN))
    assert "depth: twelve" in text
    assert text.endswith("no profile understands it; it needs a gauge profile of its own")


SHIPPED = serial_profiles()[0]


@pytest.mark.parametrize(
    ("line", "end", "who", "why"),
    [
        (
            "------",
            "\r\n",
            "serial-decimal and serial-units know it but do",
            '"------" is an overflow mark: the gauge is out of its range; move the head back',
        ),
        (
            "E+0012.34",
            "\r\n",
            "serial-status knows it but does",
            'the gauge sends status "E", not "A": it does not vouch for this reading; see what ',
        ),
        (
            "+88888.88 mm",
            "\r\n",
            "serial-decimal and serial-units know it but do",
            "no head travels that far: an overflow mark, or the wrong unit; see what the ",
        ),
        (
            "+12.34 mm",
            "\n",
            "serial-decimal and serial-units know it but do",
            'its lines end in LF; write line_end = "\\n" in a profile of its own',
        ),
        (
            "+0012340",
            "\r",
            "serial-counts knows it but does",
            'its lines end in CR; write line_end = "\\r" in a profile of its own',
        ),
    ],
)
def test_what_is_known_but_no_reading_is_said_with_its_reason_and_what_to_do(
    line: str, end: str, who: str, why: str
) -> None:
    found = finding(heard(*[line] * 30, end=end), *SHIPPED)
    assert not found.sure
    assert f": {who} not read it: {why}" in told(found)


def test_too_few_known_lines_or_too_many_strange_ones_are_no_reason() -> None:
    for lines in (["------"] * 2, [*["------"] * 9, *["depth: twelve"] * 9]):
        assert finding(heard(*lines), *SHIPPED).refused == ()
    some = finding(heard(*["+1.00 mm"] * 4, *["------"] * 9), *SHIPPED)
    assert [one.profile.name for one in some.refused] == ["serial-units", "serial-decimal"]
    assert "move the head back" in told(some)
    assert "move the head back" not in told(finding(heard(*["+1.00 mm"] * 9, "------"), *SHIPPED))


def test_what_some_gauges_put_around_a_line_is_text() -> None:
    """STX and ETX: the line is set right, and the form is what has to be written."""
    said = told(finding(heard(*["\x02+12.34\x03"] * 9), *SHIPPED))
    assert said.endswith("no profile understands it; it needs a gauge profile of its own")


def test_a_gauge_in_inches_is_read_in_millimetres() -> None:
    lines = heard(*["+0.5000 in"] * 9)
    (one,) = understood(lines, PLAIN)
    assert one.last is not None
    assert one.last.travel_mm == pytest.approx(12.7)
    assert told(finding(lines, PLAIN)) == (
        "sends +0.5000 in 10 times a second: plain understands it"
    )


def test_profiles_that_read_it_differently_are_both_told_with_what_they_read() -> None:
    inches = serial_profile(name="inches", unit="in")
    lines = heard(*["0.5000"] * 9)
    assert "plain reads 0.50 mm, inches reads 12.70 mm; right is the one that shows" in told(
        finding(lines, PLAIN, inches)
    )
    assert "plain reads 0.0197 in, inches reads 0.5000 in" in told(
        finding(lines, PLAIN, inches), LengthUnit.INCH
    )
    same = serial_profile(name="same")
    assert told(finding(lines, PLAIN, same)).endswith("plain and same understand it")


def test_what_is_said_of_a_port_never_steers_a_terminal() -> None:
    said = told(finding(heard(*["\x1b[2J\x07[red]x"] * 9), PLAIN))
    assert said.isprintable()
    assert r"\x1b[2J\x07[red]x" in said


@given(st.lists(st.binary(max_size=40), max_size=20))
def test_whatever_comes_is_counted_and_nothing_is_raised(pieces: list[bytes]) -> None:
    chunks = [Heard(float(number), piece) for number, piece in enumerate(pieces)]
    (one,) = understood(chunks, PLAIN)
    assert one.is_sure == (one.readings >= 3 and one.share >= 0.8)
    assert told(finding([chunk for chunk in chunks if chunk.data], PLAIN)).isprintable()


# Profiles ----------------------------------------------------------------------------------------


@pytest.fixture
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The shop's own gauge profiles."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    folder = locations.user_profiles() / "gauge"
    assert folder.is_relative_to(tmp_path)
    folder.mkdir(parents=True)
    return folder


def test_the_shops_own_profiles_come_first_under_the_names_they_are_loaded_by(own: Path) -> None:
    own.joinpath("mine.toml").write_text('source = "serial"\nname = "By the door"\n', "utf-8")
    known, troubles = gauge_profiles()
    assert troubles == []
    assert known[0].name == "mine"
    assert {"serial-decimal", "serial-polled", "typed"} <= {one.name for one in known}
    assert {one.source for one in serial_profiles()[0]} == {"serial"}


def test_a_profile_that_can_not_be_used_is_one_sentence_and_the_others_stay(own: Path) -> None:
    own.joinpath("broken.toml").write_text("source = ", "utf-8")
    own.joinpath("snow.toml").write_text('source = "serial"\nrequest = "\\u2603"\n', "utf-8")
    usable, troubles = serial_profiles()
    assert len(troubles) == 2
    assert "broken.toml: is not valid TOML" in troubles[0]
    assert "snow: request holds a character that is not one byte" in troubles[1]
    assert "serial-decimal" in [one.name for one in usable]
    assert "snow" not in [one.name for one in usable]


def test_how_a_gauge_is_found_is_said_where_listening_does_not_find_it() -> None:
    assert how_heard(PLAIN) == ""
    assert how_heard(serial_profile(request="?")) == "heard only when asked"
    assert how_heard(GaugeProfile(name="hand", source="typed")) == ""
    # A source that comes with another kind of line is not heard either.
    by_name = PLAIN.model_copy(update={"source": "bus"})
    assert how_heard(by_name) == NOT_HEARD
