from hypothesis import given
from hypothesis import strategies as st

from cockpit.widgets.sparkline import ASCII_LEVELS, BLOCKS, feed_trace

values = st.lists(st.none() | st.floats(-10, 1e6), max_size=60)


@given(values, st.integers(0, 50), st.booleans())
def test_it_is_always_as_wide_as_asked(
    trace: list[float | None], width: int, ascii_only: bool
) -> None:
    assert len(feed_trace(trace, width, ascii_only=ascii_only)) == width


@given(st.lists(st.floats(0, 100), min_size=2, max_size=30), st.booleans())
def test_more_is_never_drawn_lower(trace: list[float], ascii_only: bool) -> None:
    levels = ASCII_LEVELS if ascii_only else BLOCKS
    drawn = feed_trace(trace, len(trace), ascii_only=ascii_only)
    pairs = sorted(zip(trace, (levels.index(mark) for mark in drawn), strict=True))
    assert [level for _, level in pairs] == sorted(level for _, level in pairs)


def test_the_newest_is_at_the_right_and_the_greatest_is_full() -> None:
    assert feed_trace([9, 9, 0, 1, 2, 4], 4) == "▁▃▅█"


def test_a_set_top_holds_the_scale_still() -> None:
    assert feed_trace([1, 2], 2, top=4) == "▃▅"


def test_nothing_known_is_a_gap_and_nothing_fed_is_not() -> None:
    assert feed_trace([None, 0.0], 3) == "  ▁"
