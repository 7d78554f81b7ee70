"""The drawing of a burn: what happened is to be seen in it, in dots and in plain characters."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cockpit.flow import demo
from cockpit.flow.past_trace import (
    _CALLED,
    _CHANGED,
    _MEASURED,
    _OTHER_CALL,
    PastTrace,
    Sign,
    SignKind,
    past_trace,
)
from cockpit.log import questions
from cockpit.units import LengthUnit
from cockpit.widgets.picture import Ink
from cockpit.widgets.plain_text import in_ascii
from cockpit.widgets.trace_plot import LEAST_ROWS, trace_plot
from tests.flow.eventful import SILENT_S, burn_with_events
from tests.flow.walk import open_floor

#: What the page of a hole leaves to the drawing at 80 × 24, 120 × 40 and 200 × 60.
SIZES = [(78, 18), (118, 34), (198, 54)]
plains = pytest.mark.parametrize("is_plain", [False, True])
sizes = pytest.mark.parametrize("size", SIZES)


@pytest.fixture(scope="module")
def trace(tmp_path_factory: pytest.TempPathFactory) -> PastTrace:
    with open_floor(tmp_path_factory.mktemp("log")) as floor:
        job, ticket = demo.HOLES[0]
        hole_id = floor.take_in_hole(floor.take_in_job(*demo.JOBS[job]), ticket)
        burn_with_events(floor, hole_id)
        page = questions.page(floor.store.connection, hole_id)
        assert page is not None
        past = past_trace(floor.store.connection, page, floor.streams)
    assert past is not None
    return past


def lines(trace: PastTrace, size: tuple[int, int], *, is_plain: bool = False) -> list[str]:
    return trace_plot(trace, LengthUnit.MM, *size, is_plain=is_plain).lines


class Place:
    """Where in a drawing the rows and columns of the burn itself are."""

    def __init__(self, drawn: list[str]) -> None:
        self.under = next(row for row, line in enumerate(drawn) if "arc time" in line) - 1
        axis = re.search(r"[└+][─┬+-]+", drawn[self.under])
        assert axis is not None
        self.left, self.width = axis.start() + 1, len(axis[0]) - 1
        is_axis = [line[axis.start()] in "│┤|+" for line in drawn]
        self.top = is_axis.index(True)
        self.rows = self.under - self.top

    def column(self, part: float) -> int:
        """The column of a part of the arc time."""
        return self.left + min(int(part * self.width), self.width - 1)


@sizes
@plains
def test_the_rows_grow_with_the_terminal(
    trace: PastTrace, size: tuple[int, int], is_plain: bool
) -> None:
    drawn = lines(trace, size, is_plain=is_plain)
    assert [len(line) for line in drawn] == [size[0]] * size[1]
    assert Place(drawn).rows >= max(LEAST_ROWS, size[1] - 8)


@sizes
@plains
def test_all_that_happened_is_spelled_out(
    trace: PastTrace, size: tuple[int, int], is_plain: bool
) -> None:
    shown = "\n".join(lines(trace, size, is_plain=is_plain))
    for sign in trace.signs:
        assert f"{sign.letter} {sign.words}" in shown
    for words in ("break +3.00", "target +18.00", "limit +21.50", "depth", "travel", "arc time"):
        assert re.search(words, shown)
    assert "95 % of the depth" in shown
    assert "0:00" in shown


@sizes
def test_plain_characters_are_plain(trace: PastTrace, size: tuple[int, int]) -> None:
    shown = "\n".join(lines(trace, size, is_plain=True))
    assert shown.isascii()
    legend = {f"{mark}{one.letter}" for one in trace.signs for mark in "@^!" if mark in shown}
    assert legend & set(re.findall(r"[@^!][A-Z]", shown))


@plains
def test_letters_stand_over_the_column_of_their_time(trace: PastTrace, is_plain: bool) -> None:
    drawn = lines(trace, (118, 34), is_plain=is_plain)
    place = Place(drawn)
    for sign in trace.signs:
        column = place.column(sign.arc_s / trace.end_s)
        assert sign.letter in [line[column] for line in drawn[: place.top]]
    begin_s, end_s = trace.unread[0]
    word = next(line for line in drawn[place.top : place.under] if "silent" in line)
    assert place.column(begin_s / trace.end_s) < word.index("silent")
    assert word.index("silent") + 6 <= place.column(end_s / trace.end_s)


def test_a_silence_is_blank(trace: PastTrace) -> None:
    assert len(trace.unread) == 1
    begin_s, end_s = trace.unread[0]
    assert end_s - begin_s == pytest.approx(SILENT_S, abs=1.0)
    picture = trace_plot(trace, LengthUnit.MM, 118, 34)
    place = Place(picture.lines)
    inks = (Ink.TIP, Ink.ELECTRODE, Ink.DOUBT)
    drawn = {x for x, y, _, ink in picture.cells() if ink in inks and y < place.under}
    gaps = [x for x in range(place.left, place.left + place.width - 1) if x not in drawn]
    assert len(gaps) == pytest.approx(SILENT_S / trace.end_s * place.width, abs=2)
    assert gaps == list(range(gaps[0], gaps[-1] + 1))
    assert "blank: gauge silent, 0:40" in "\n".join(picture.lines)


def test_the_unit_is_that_of_the_figures(trace: PastTrace) -> None:
    shown = "\n".join(trace_plot(trace, LengthUnit.INCH, 78, 18).lines)
    assert re.search("target +0.7087", shown)
    assert shown.partition("\n")[0].endswith(" in")
    assert re.search(r"^ *0\.2┤", shown, re.MULTILINE)


def test_more_at_one_moment_than_there_are_lanes_is_said(trace: PastTrace) -> None:
    many = tuple(
        Sign(trace.end_s / 2, SignKind.CALLED, letter, f"call {letter}") for letter in "LFOPGV"
    )
    shown = "\n".join(lines(replace(trace, signs=many), (78, 18)))
    assert "+ several more" in shown
    assert "several more" not in "\n".join(lines(replace(trace, signs=many[:1]), (78, 18)))


@given(st.integers(0, 140), st.integers(0, 60), st.booleans(), st.sampled_from(LengthUnit))
def test_nothing_is_drawn_outside(
    trace: PastTrace, width: int, height: int, is_plain: bool, unit: LengthUnit
) -> None:
    drawn = trace_plot(trace, unit, width, height, is_plain=is_plain)
    assert [len(line) for line in drawn.lines] == [width] * height


def test_nothing_burnt_is_drawn_as_nothing(trace: PastTrace) -> None:
    """As of a hole whose only burn had no reading at all."""
    bare = replace(trace, moments=(), signs=(), unread=())
    shown = "\n".join(lines(bare, (78, 18)))
    assert "target" in shown
    assert "travel" not in shown
    assert not re.search("[\u2801-\u28ff]", shown.replace("⢕ 95 %", ""))


def test_every_letter_is_of_one_thing_alone() -> None:
    told = [letter for letter, _ in (*_MEASURED.values(), *_CHANGED.values())]
    told += [*_CALLED.values(), _OTHER_CALL]
    assert len(told) == len(set(told))
    assert in_ascii("●T ▲E") == "@T ^E"
