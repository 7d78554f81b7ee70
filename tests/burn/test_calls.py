"""The board: raised once, cleared with hysteresis, the most important first."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cockpit.burn.calls import ACTION, PRIORITY, Board, Call, CallKind, below


def test_every_call_says_what_to_do() -> None:
    assert set(ACTION) == set(PRIORITY) == set(CallKind)
    for kind in CallKind:
        assert Call(0.0, kind, None).text == ACTION[kind] != ""


@given(verdicts=st.lists(st.sampled_from([True, False, None])))
def test_a_call_is_raised_at_each_rise_and_at_no_other_time(verdicts: list[bool | None]) -> None:
    board, stands, rises = Board(), False, []
    for t, verdict in enumerate(verdicts):
        board.judge(Call(float(t), CallKind.NEAR, 1.0), verdict)
        if verdict and not stands:
            rises.append(float(t))
        stands = stands if verdict is None else verdict
        assert bool(board.standing) is stands
    assert [call.t_s for call in board.history] == rises


def test_what_stands_is_shown_the_most_important_first() -> None:
    board = Board()
    for kind in (CallKind.JUMP, CallKind.NEAR, CallKind.LIMIT):
        board.judge(Call(1.0, kind, 2.0), True)
    assert [call.kind for call in board.standing] == [CallKind.LIMIT, CallKind.NEAR, CallKind.JUMP]
    board.clear(CallKind.LIMIT, CallKind.THROUGH)
    assert [call.kind for call in board.standing] == [CallKind.NEAR, CallKind.JUMP]


@pytest.mark.parametrize(
    ("value", "verdict"),
    [(-1.0, True), (1.0, True), (1.1, None), (1.25, None), (1.26, False)],
)
def test_a_value_between_raising_and_clearing_changes_nothing(
    value: float, verdict: bool | None
) -> None:
    assert below(value, raise_at=1.0, clear_at=1.25) is verdict
