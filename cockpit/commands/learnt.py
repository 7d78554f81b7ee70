"""``burn-cockpit learnt``: what the burns taught; sets one of them aside, or takes it in again."""

from __future__ import annotations

import argparse
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

from cockpit import profiles
from cockpit.commands import UsageError
from cockpit.commands.answer import existing_log, say, say_json, sentences
from cockpit.commands.learnt_lines import COLUMNS, burn_cells, figure_lines, told
from cockpit.flow import learnt
from cockpit.flow.learnt import Burn, Figure, Span
from cockpit.flow.shop_now import log_shop
from cockpit.log import LogError
from cockpit.log.opening import open_to_read
from cockpit.log.store import Store
from cockpit.profiles import ProfileError
from cockpit.text import one_line
from cockpit.trade.errors import TradeError
from cockpit.trade.learning import Lesson
from cockpit.trade.ticket import Shop
from cockpit.units import LengthUnit, quoted

#: What a figure's key ends in: its unit, as JSON has it.
KEYS = {
    Lesson.RATE: "mm3_per_min_a",
    Lesson.WEAR: "mm_per_mm",
    Lesson.GAP: "mm",
    Lesson.CURRENT: "a_per_mm",
}
#: How wide the columns of ``--holes`` are; the last takes what it needs.
_WIDTHS = (10, 18, 11, 10, 23, 11, 10, 16, 0)


def run(asked: argparse.Namespace) -> None:
    """Set aside or take in what was said; then print what was learnt."""
    _refuse(asked)
    path = existing_log(asked.data, asked.demo)
    with sentences(LogError, ProfileError, TradeError):
        shop = profiles.load_shop(asked.machine)
        _act(path, asked)
        with closing(open_to_read(path)) as connection:
            shop = log_shop(connection, shop)
            _say(connection, shop, asked)


def _refuse(asked: argparse.Namespace) -> None:
    if asked.aside and asked.again:
        raise UsageError("burn-cockpit learnt: --aside or --again, not both at once.")
    if (asked.aside or asked.again) and not one_line(asked.why or ""):
        raise UsageError("burn-cockpit learnt: needs --why: say in a word why.")
    if asked.why and not (asked.aside or asked.again):
        raise UsageError("burn-cockpit learnt: --why goes with --aside or --again.")


def _act(path: Path, asked: argparse.Namespace) -> None:
    said = asked.aside or asked.again
    if said:
        hole, lesson = _hole(said[0]), learnt.lesson_named(said[1])
        with Store(path) as store:
            learnt.set_aside(store, hole, lesson, asked.why, is_aside=bool(asked.aside))


def _hole(text: str) -> int:
    # The log's numbers are no longer than this.
    if not (text.isascii() and text.isdigit() and len(text) < 19):
        raise UsageError(
            f"burn-cockpit learnt: {quoted(text)} is no hole: give its number, as --holes has it."
        )
    return int(text)


def _say(connection: sqlite3.Connection, shop: Shop, asked: argparse.Namespace) -> None:
    figures = learnt.figures(shop.experience)
    if asked.json:
        for figure in figures:
            say_json(figure_json(figure))
    else:
        unit = LengthUnit.INCH if asked.inch else LengthUnit.MM
        for line in figure_lines(figures, unit, shop.stock):
            say(line.rstrip())
    if not asked.holes:
        return
    burns = learnt.burns(connection, shop.experience)
    if asked.json:
        for burn in burns:
            say_json(burn_json(burn))
    else:
        for line in _burn_lines(burns, shop, unit):
            say(line)


def _burn_lines(burns: Iterator[Burn], shop: Shop, unit: LengthUnit) -> Iterator[str]:
    yield ""
    yield _in_columns(COLUMNS)
    for burn in burns:
        yield _in_columns(burn_cells(burn, unit, shop.stock))
        if burn.aside is not None:
            *_, why = told(burn, unit, shop.stock)
            yield f"{'':<10}{why}"


def _in_columns(cells: tuple[str, ...]) -> str:
    pairs = zip(cells, _WIDTHS, strict=True)
    return " ".join(f"{cell:<{width}}" for cell, width in pairs).rstrip()


def figure_json(figure: Figure) -> dict[str, object]:
    """One of the four figures."""
    key = KEYS[figure.lesson]
    return {
        "figure": figure.lesson.value,
        **_span_json("assumed", figure.assumed, key),
        **_span_json("now", figure.now, key),
        "burns": figure.burns,
        "levels": [
            {
                "electrode_mm": level.like.electrode_mm,
                "kind": level.like.kind,
                "material": level.like.material,
                **_span_json("now", level.now, key),
                "burns": level.burns,
            }
            for level in figure.levels
        ],
    }


def burn_json(burn: Burn) -> dict[str, object]:
    """A figure of a single burn."""
    key, aside = KEYS[burn.lesson], burn.aside
    return {
        "hole": burn.hole_id,
        "label": burn.label,
        "closed_utc": burn.at_utc,
        "figure": burn.lesson.value,
        "electrode_mm": burn.like.electrode_mm,
        "kind": burn.like.kind,
        "material": burn.like.material,
        f"value_{key}": burn.value,
        **_span_json("others", burn.others, key),
        "unlike": burn.is_unlike,
        "aside": aside and {"by": aside.operator, "at_utc": aside.at_utc, "why": aside.why},
    }


def _span_json(name: str, span: Span, key: str) -> dict[str, float]:
    return {
        f"{name}_{key}": span.median,
        f"{name}_low_{key}": span.low,
        f"{name}_high_{key}": span.high,
    }
