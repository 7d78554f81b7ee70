import pytest
from hypothesis import given
from hypothesis import strategies as st
from textual.app import App, ComposeResult

from cockpit.burn.calls import Call, CallKind
from cockpit.widgets.block_figures import block_figures
from cockpit.widgets.call_line import OUTDONE, QUIET, CallLine, call_block, call_words
from cockpit.widgets.next_line import NextLine, fit_keys

KEYS = (("T", "touch off"), ("N", "note"), ("M", "mute"), ("?", "keys"))


@given(st.integers(0, 80))
def test_the_key_for_help_always_stays(width: int) -> None:
    line = fit_keys(KEYS, width)
    assert line.endswith("? keys")
    assert len(line) <= max(width, len("? keys"))


def test_every_call_says_its_word_and_what_to_do() -> None:
    for kind in CallKind:
        call = Call(1.0, kind, None)
        for ascii_only in (False, True):
            words = call_words([call], ascii_only=ascii_only)
            assert kind.upper() in words
            assert call.text in words
            assert not words[0].isalnum()
            assert words.isascii() or not ascii_only


def test_the_weightiest_call_comes_first_and_the_others_are_named() -> None:
    words = call_words([Call(2.0, CallKind.LIMIT, None), Call(1.0, CallKind.SILENT, None)])
    assert words.index("LIMIT") < words.index("also silent")


def test_that_the_target_is_near_says_nothing_beyond_it() -> None:
    near = Call(1.0, CallKind.NEAR, None)
    for kind in set(CallKind) - {CallKind.NEAR}:
        is_beyond = kind in OUTDONE[CallKind.NEAR]
        assert ("also near" in call_words([Call(2.0, kind, None), near])) is not is_beyond


def test_nobody_is_told_to_touch_off_beside_a_fall() -> None:
    fell, target = Call(1.0, CallKind.THROUGH, None), Call(2.0, CallKind.TARGET, None)
    assert "touch off" not in "".join(call_block([fell, target], 80, 3))
    assert "also target" not in call_words([fell, target])


@pytest.mark.parametrize("ascii_only", [False, True])
@pytest.mark.parametrize(("width", "height"), [(80, 3), (120, 5), (160, 5)])
def test_over_several_rows_a_call_is_large_and_whole(
    width: int, height: int, ascii_only: bool
) -> None:
    for kind in CallKind:
        call, other = Call(1.0, kind, None), Call(1.0, CallKind.LONG, None)
        rows = call_block([call, other], width, height, ascii_only=ascii_only)
        assert len(rows) == height
        assert all(len(row) <= width for row in rows)
        large = block_figures(kind.upper(), height, ascii_only=ascii_only)
        beside = " ".join(" ".join(row[len(large[0]) + 1 :] for row in rows).split())
        assert call.text in beside
        # With what to do where there is room for that.
        assert beside.endswith(("also long", f"LONG: {other.text}"))
        assert [row[1 : 1 + len(large[0])] for row in rows] == large


class Lines(App[None]):
    def compose(self) -> ComposeResult:
        yield CallLine()
        yield NextLine("arc off", KEYS)


def grounds(line: CallLine) -> set[object]:
    """What the cells of a line stand on."""
    return {part.style and part.style.bgcolor for part in line.render_line(0)}


def test_each_call_says_what_to_do_where_there_is_room() -> None:
    calls = [Call(1.0, CallKind.TARGET, None), Call(1.0, CallKind.SLIPPED, None)]
    wide = " ".join(call_block(calls, 160, 5))
    assert f"SLIPPED: {calls[1].text}" in wide
    narrow = " ".join(call_block(calls, 80, 3))
    assert "also slipped" in narrow


def test_nobody_is_told_to_put_an_arc_off_that_is_off() -> None:
    calls = [Call(1.0, CallKind.LIMIT, None)]
    assert "may be too deep: touch off" in " ".join(call_block(calls, 80, 3, arc_on=False))
    assert "arc off" not in call_words(calls, arc_on=False)
    assert "arc off, touch off" in call_words(calls)


async def test_a_standing_call_is_on_a_bar_from_edge_to_edge_and_clears() -> None:
    app = Lines()
    async with app.run_test(size=(80, 6)) as pilot:
        line = app.query_one(CallLine)
        line.quiet = QUIET
        await pilot.pause()
        assert QUIET in line.render_line(0).text
        (quiet,) = grounds(line)
        line.calls = (Call(1.0, CallKind.TARGET, 18.0),)
        await pilot.pause()
        (bar,) = grounds(line)
        assert bar != quiet
        assert line.render_line(0).cell_length == 80
        assert "TARGET" in line.render_line(0).text
        line.calls = ()
        await pilot.pause()
        assert QUIET in line.render_line(0).text


async def test_the_bottom_lines_say_what_the_big_key_does() -> None:
    app = Lines()
    async with app.run_test(size=(40, 6)) as pilot:
        line = app.query_one(NextLine)
        assert "SPACE  arc off" in line.render_line(0).text
        line.does = "touch off"
        await pilot.pause()
        assert "SPACE  touch off" in line.render_line(0).text
        assert "? keys" in line.render_line(1).text
