from __future__ import annotations

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from cockpit.burn.arctime import ArcTime
from cockpit.burn.gaps import arc_time_s
from cockpit.burn.reading import Mark, MarkKind, Reading

START, STOP, UNSEEN = MarkKind.START, MarkKind.STOP, MarkKind.UNSEEN
kinds = st.sampled_from([START, STOP, UNSEEN, MarkKind.TOUCH, None])
courses = st.lists(st.tuples(st.integers(0, 5000), kinds), min_size=1, max_size=30)


def events(course: list[tuple[int, MarkKind | None]]) -> list[Reading | Mark]:
    """What follows each other after so many ms."""
    t_ms, made = 0, list[Reading | Mark]()
    for after_ms, kind in course:
        t_ms += after_ms
        made.append(Reading(t_ms / 1000, 1.0) if kind is None else Mark(t_ms / 1000, kind, 1.0))
    return made


@given(courses)
def test_it_comes_to_the_arc_time_of_the_whole(course: list[tuple[int, MarkKind | None]]) -> None:
    made = events(course)
    arc = ArcTime(made)
    assert abs(arc.total_s - arc_time_s(made)) < 1e-6
    assert abs(arc.arc_s(made[-1].t_s) - arc.total_s) < 1e-6
    assert len(arc.burns) <= sum(isinstance(one, Mark) and one.kind is START for one in made)


@given(courses, st.lists(st.floats(-1.0, 200.0), min_size=2, max_size=10))
def test_it_never_goes_back_nor_faster_than_the_clock(
    course: list[tuple[int, MarkKind | None]], at_s: list[float]
) -> None:
    arc = ArcTime(events(course))
    at_s.sort()
    for before_s, after_s in pairwise(at_s):
        passed_s = arc.arc_s(after_s) - arc.arc_s(before_s)
        assert -1e-9 <= passed_s <= after_s - before_s + 1e-9
        assert 0.0 <= arc.arc_s(after_s) <= arc.total_s + 1e-9


def test_it_stands_still_while_the_arc_is_off() -> None:
    arc = ArcTime(
        [Mark(2.0, START), Mark(3.0, START), Mark(5.0, STOP), Mark(9.0, START), Mark(10.0, UNSEEN)]
    )
    assert [arc.arc_s(t_s) for t_s in (0.0, 2.5, 5.0, 8.0, 9.5, 99.0)] == [0, 0.5, 3, 3, 3.5, 4]
    assert arc.burns == [(0.0, 3.0), (3.0, 4.0)]
    assert ArcTime([]).total_s == 0.0
