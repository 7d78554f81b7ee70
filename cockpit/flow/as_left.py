"""A set-up that is asked for again, and that an operator says is as it was left."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from cockpit.log.rows import CheckResult, CheckRow

#: What the log says of a check that is as it was before something else was in hand.
AS_LEFT = "as it was left"
#: What the log says of a stop that was set, before where.
SET_AT = "set at "


def knows_zero(sittings: Sequence[tuple[float, str | None]], gauge: str) -> bool:
    """Whether the ``gauge`` of now is the only one that this hole had: two don't share a zero.

    ``sittings``: as ``questions.sittings`` gives them; an old log does not know the gauge.

    >>> knows_zero([(0.0, "typed"), (60.0, "typed")], "typed"), knows_zero([(0.0, None)], "typed")
    (True, False)
    """
    return all(used == gauge for _, used in sittings)


def answers_as_before(
    rows: Sequence[CheckRow],
    asked: Collection[str],
    stops: Collection[str],
    stop_word: str,
    taken_on: Collection[str],
) -> Iterator[tuple[CheckRow, CheckResult, str]]:
    """Give the checks that hold again once all is as it was left, each with its answer now.

    ``asked``: the keys of the set-up; what was never answered is still to be. What nobody saw to be
    right keeps the word why. A stop (``stops``) that was to be set anew, and does not stand where
    ``stop_word`` says, is not set by saying that nothing has moved. Whoever took cautions on
    (``taken_on``) still does.
    """
    held = {row.item for row in rows if row.holds}
    last = {row.item: row for row in rows if row.item in asked and row.item not in held}
    set_at = [row.word for row in rows if row.item in stops and row.word.startswith(SET_AT)]
    for row in last.values():
        if row.item in stops and set_at and set_at[-1] != stop_word:
            continue
        is_doubted = row.result is CheckResult.SKIPPED or row.is_against_the_gauge
        stays = is_doubted or row.item in taken_on
        yield (row, row.result, row.word) if stays else (row, CheckResult.CONFIRMED, AS_LEFT)
